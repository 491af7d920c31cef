"""The files of a comparison: its numbers as CSV, and curves of all plans laid over each other."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.limits import Limits
from kinematics.planning.comparison import Comparison, Outcome
from kinematics.planning.swept_plans import SweptPlan
from kinematics.sweeps.body import Sweep
from reports.outputs.csv_files import write_rows
from reports.outputs.output import Output, drawn

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MOST_IN_A_FIGURE = 5  # lines that can still be told apart


@dataclass(frozen=True)
class ComparedAxle:
    """One axle's part of a comparison, with the plans that are drawn; about: what titles tell of, else the best."""

    comparison: Comparison
    drawn: Sequence[SweptPlan]
    about: str = ""


def comparison_outputs(axle: Axle, limits: Limits, drawing: str) -> list[Output[ComparedAxle]]:
    """Every file of a comparison for one axle; drawing: the figures' ending."""
    figures: dict[str, Callable[[ComparedAxle], Figure]] = {
        "bump": lambda one: plan_curves(one, [(plan.name, plan.bump) for plan in one.drawn], axle, limits),
        "roll": lambda one: plan_curves(one, [(plan.name, plan.roll) for plan in one.drawn], axle, limits),
        "drawings": lambda one: plan_views(one, axle, limits),
    }
    return [
        Output(f"{axle.name}_plans.csv", lambda one, file: _write_numbers(one.comparison, axle, file)),
        *(Output(f"{axle.name}_plans_{what}.{drawing}", drawn(draw, drawing)) for what, draw in figures.items()),
    ]


def drawable(comparison: Comparison) -> list[Outcome]:
    """Return the car as measured and the best plans that fit together, as many as a figure holds, in their order."""
    measured, *plans = comparison.outcomes
    best = [plan for plan in comparison.ranked if plan.numbers and plan is not measured][: MOST_IN_A_FIGURE - 1]
    return [measured, *(plan for plan in plans if plan in best)]


def plan_curves(compared: ComparedAxle, swept: Sequence[tuple[str, Sweep]], axle: Axle, limits: Limits) -> "Figure":
    """Curves of plans laid over those of the car as measured; swept: each by its name, all in bump or all in roll."""
    from reports.figures.curves import curves
    from reports.figures.style import Sheet

    car = compared.comparison.car
    sheet = Sheet(_title(compared, swept, limits), car.name)
    return curves(swept, limits.of(axle), car.unit, sheet, limits.working)


def _title(compared: ComparedAxle, swept: Sequence[tuple[str, Sweep]], limits: Limits) -> str:
    """What the best of the plans that are drawn does; the first of them is the car as measured."""
    from reports.figures.plans import driver_of
    from reports.words.figure_titles import plan_title

    by_name = dict(swept[1:])
    ranked = [compared.about, *(one.plan.name for one in compared.comparison.ranked)]
    best = next((name for name in ranked if name in by_name), None)
    if best is None:
        return "No plan fits together: the car as measured"
    both = swept[0][1], by_name[best]
    begins = f"Best of these plans, {best}" if len(by_name) > 1 else f"With {best}"
    if best == compared.about:
        begins = best[:1].upper() + best[1:]
    return plan_title(begins, both, driver_of(both[0]), limits.working, compared.comparison.car.unit) + _left_out(
        compared
    )


def plan_views(compared: ComparedAxle, axle: Axle, limits: Limits, *, upright: bool = False) -> "Figure":
    """Plans from the front, each over a pale ghost of the car as measured; upright: on a page that is not turned."""
    from reports.figures.front_views import front_views
    from reports.figures.style import Sheet

    car = compared.comparison.car
    title = _title(compared, [(plan.name, plan.bump) for plan in compared.drawn], limits)
    views = [(plan.name, plan.at_ride_height) for plan in compared.drawn]
    return front_views(views, car.unit, Sheet(title, car.name), limits.of(axle), upright=upright)


def _left_out(compared: ComparedAxle) -> str:
    """What a title says of plans that are not in the figure."""
    fit, shown = sum(bool(outcome.numbers) for outcome in compared.comparison.outcomes), len(compared.drawn)
    if compared.about:
        return ""
    return f" (the best {shown - 1} of {fit - 1})" if fit > shown else ""


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
            rows.append([number.title, name, kind.unit(unit), *known, "; ".join(filter(None, notes))])
    write_rows(["number", "side", "unit", *(outcome.plan.name for outcome in comparison.outcomes), "note"], rows, file)
