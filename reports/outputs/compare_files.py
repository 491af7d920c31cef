"""The files of a comparison: its numbers as CSV, and curves of all plans laid over each other."""

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, BinaryIO

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.limits import Limits
from kinematics.planning.comparison import Comparison, Outcome
from kinematics.sweeps.body import stances
from reports.outputs.csv_files import write_rows
from reports.outputs.sweep_files import Output, SweepJob, drawn

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MOST_IN_A_FIGURE = 5  # lines that can still be told apart


def comparison_names(axle: Axle, drawing: str) -> list[str]:
    """Names of all files of a comparison, for one axle."""
    figures = [f"{axle.name}_plans_{what}.{drawing}" for what in ("bump", "roll", "drawings")]
    return [f"{axle.name}_plans.csv", *figures]


def comparison_outputs(comparison: Comparison, axle: Axle, job: SweepJob, limits: Limits) -> Iterator[Output]:
    """Every file of a comparison for one axle, in the order of `comparison_names`."""
    names = comparison_names(axle, job.drawing)
    shown = drawable(comparison)
    yield Output(names[0], lambda file: _write_numbers(comparison, axle, file))
    yield Output(names[1], drawn(lambda: _curves(comparison, shown, axle, job, limits, "bump"), job.drawing))
    yield Output(names[2], drawn(lambda: _curves(comparison, shown, axle, job, limits, "roll"), job.drawing))
    yield Output(names[3], drawn(lambda: _front_views(comparison, shown, axle, limits), job.drawing))


def drawable(comparison: Comparison) -> list[Outcome]:
    """Return the car as measured and the best plans that fit together, as many as a figure holds, in their order."""
    measured, *plans = comparison.outcomes
    best = [plan for plan in comparison.ranked if plan.numbers and plan is not measured][: MOST_IN_A_FIGURE - 1]
    return [measured, *(plan for plan in plans if plan in best)]


def _curves(
    comparison: Comparison, outcomes: Sequence[Outcome], axle: Axle, job: SweepJob, limits: Limits, kind: str
) -> "Figure":
    from reports.figures.curves import curves
    from reports.figures.style import Sheet

    sweeps = [(outcome.plan.name, job.sweep(outcome.axles[axle.name].axle, kind)) for outcome in outcomes]
    title = ("Plans in bump and droop" if kind == "bump" else "Plans in roll") + _left_out(comparison, outcomes)
    car = comparison.car
    return curves(sweeps, limits.of(axle), car.unit, Sheet(title, car.name), limits.working)


def _front_views(comparison: Comparison, outcomes: Sequence[Outcome], axle: Axle, limits: Limits) -> "Figure":
    from reports.figures.front_views import front_views
    from reports.figures.style import Sheet

    here = np.zeros(1)
    views = [(one.plan.name, stances(one.axles[axle.name].axle, here, here)) for one in outcomes]
    car = comparison.car
    title = f"Plans at ride height{_left_out(comparison, outcomes)}"
    return front_views(views, car.unit, Sheet(title, car.name), limits.of(axle))


def _left_out(comparison: Comparison, shown: Sequence[Outcome]) -> str:
    """What a title says of plans that are not in the figure."""
    count = sum(bool(outcome.numbers) for outcome in comparison.outcomes) - len(shown)
    return f" (the best {len(shown) - 1} of {len(shown) - 1 + count})" if count else ""


def _write_numbers(comparison: Comparison, axle: Axle, file: BinaryIO) -> None:
    """Write one row for each number and side, one column for each plan; an empty field where a plan has none."""
    unit = comparison.car.unit
    rows: list[list[object]] = []
    refused = [outcome.plan.name for outcome in comparison.outcomes if not outcome.numbers]
    refused_note = f"cannot be put together: {', '.join(refused)}" if refused else ""
    for number in comparison.numbers(axle.name):
        kind = number.dimension
        same = [outcome.values(axle.name, number.key) for outcome in comparison.outcomes]
        sides = SIDE_NAMES if any(len(values) == 2 for values in same) else ("",)
        for side, name in enumerate(sides):
            known = [values[side % len(values)] * kind.scale(unit) if values else math.nan for values in same]
            lacking = [
                outcome.plan.name
                for outcome, value in zip(comparison.outcomes, known, strict=True)
                if outcome.numbers and not math.isfinite(value)
            ]
            notes = [refused_note, f"no such number, or none that is finite: {', '.join(lacking)}" if lacking else ""]
            cells = [repr(value) if math.isfinite(value) else "" for value in known]
            rows.append([number.title, name, kind.unit(unit), *cells, "; ".join(filter(None, notes))])
    write_rows(["number", "side", "unit", *(outcome.plan.name for outcome in comparison.outcomes), "note"], rows, file)
