"""The files of an axle's doubt: intervals as CSV, shares of each measurement as CSV and chart, curves with bands."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limits
from kinematics.doubt.assessment import EXACT, NORMAL_95, Assessment
from kinematics.doubt.question import NumberAt, Place
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.run_off import run_off_before
from kinematics.sweeps.sweep_job import is_steered
from reports.outputs.csv_files import write_columns, write_rows
from reports.outputs.output import Output, drawn
from reports.result_figures import doubt_figure, shares_figure
from reports.words.gaps import NO_NUMBER_OR_DOUBT, RUNS_OFF, gap_words
from solvers.vectors import Array, Flags

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_PLACES: tuple[Place, ...] = ("ride height", "bump", "roll", "steer")


@dataclass(frozen=True)
class AssessedAxle:
    """An axle's assessment, and the numbers (keys) whose doubt is traced back."""

    assessment: Assessment
    about: Sequence[str]


def doubt_outputs(car: Car, axle: Axle, limits: Limits, drawing: str) -> list[Output[AssessedAxle]]:
    """Every file of an axle's doubt; drawing: the figures' ending."""
    head = f"{axle.name}_doubt"
    places = [place for place in _PLACES if place != "steer" or is_steered(axle)]
    tables = [Output(f"{head}_{place.replace(' ', '_')}.csv", _intervals(car, place)) for place in places]
    figures: dict[str, Callable[[AssessedAxle], Figure]] = {
        "bump": lambda one: doubt_figure(one.assessment, car, "bump", limits),
        "roll": lambda one: doubt_figure(one.assessment, car, "roll", limits),
        "shares": lambda one: shares_figure(one.assessment, car, one.about),
    }
    return [
        *tables,
        Output(f"{head}_shares.csv", lambda one, file: _write_shares(car, one.assessment, file)),
        *(Output(f"{head}_{what}.{drawing}", drawn(draw, drawing)) for what, draw in figures.items()),
    ]


def _intervals(car: Car, place: Place) -> Callable[[AssessedAxle, BinaryIO], None]:
    """Return what writes every number of a place: one row for each state, number and side."""

    def write(one: AssessedAxle, file: BinaryIO) -> None:
        assessment = one.assessment
        drivers = _drivers(assessment, place, car.unit)
        drawn_ones = [] if assessment.chances is None else ["drawn_low", "drawn_high", "drawn_part"]
        head = [*drivers, "number", "side", "unit", "value", "standard_deviation", *drawn_ones, "note"]
        numbers = [
            each for key in assessment.sweeps[place].values for each in _doubted(assessment, place, key, car.unit)
        ]
        gaps = assessment.sweeps[place].gaps.each(gap_words).reshape(-1)
        run_off = run_off_before(assessment.sweeps[place])
        rows = (
            [*(float(at[state]) for at in drivers.values()), *number.head, *number.values[:, state].tolist(),
             _note(number, state, gaps[state], run_off.get((number.key, number.side)))]
            for state in range(gaps.size)
            for number in numbers
        )  # fmt: skip
        write_rows(head, rows, file)

    return write


@dataclass(frozen=True)
class _Doubted:
    """A number over the states of a place: value, standard deviation and what was drawn (parts, S), as written."""

    key: str
    side: str
    head: tuple[str, str, str]
    values: Array


def _doubted(assessment: Assessment, place: Place, key: str, unit: LengthUnit) -> Iterator[_Doubted]:
    known, asked = QUANTITIES[key], (place, key)
    scale, symbol = known.dimension.scale(unit), known.dimension.unit(unit)
    parts = [assessment.sweeps[place][key] * scale, assessment.first[asked].standard_deviation * scale]
    if assessment.chances is not None:
        spread = assessment.chances.spread[asked]
        parts += [end * scale for end in spread.interval()]
        parts.append(np.broadcast_to(spread.known / assessment.chances.draws, parts[0].shape))
    values = np.stack([np.broadcast_to(part, parts[0].shape) for part in parts])
    for i, side in enumerate(SIDE_NAMES if known.per_side else ("",)):
        yield _Doubted(key, side, (known.title, side, symbol), values[:, i] if known.per_side else values)


def _drivers(assessment: Assessment, place: Place, unit: LengthUnit) -> dict[str, Array]:
    """What was asked for in each state of a place, in columns named with their units; nothing at ride height."""
    question = assessment.question
    length = 1.0 / unit.in_mm
    return {
        "ride height": {},
        "bump": {f"travel_{unit.symbol}": question.travel * length},
        "roll": {"roll_deg": np.degrees(question.roll)},
        "steer": {f"rack_travel_{unit.symbol}": question.rack * length},
    }[place]


def _note(number: _Doubted, state: int, gap: str, run_off: Flags | None) -> str:
    """Why something is missing in a row, and whether its number has run to infinity on the way there."""
    there = bool(np.isfinite(number.values[:, state]).all())
    through = run_off is not None and bool(run_off[state])
    return "; ".join(filter(None, ("" if there else gap or NO_NUMBER_OR_DOUBT, RUNS_OFF if through else "")))


def _write_shares(car: Car, assessment: Assessment, file: BinaryIO) -> None:
    """Write one row for each source of doubt: its share in the variance of each number at ride height, then alone."""
    columns: dict[str, Array] = {}
    for key in assessment.sweeps["ride height"].values:
        asked: NumberAt = ("ride height", key)
        quantity, first = QUANTITIES[key], assessment.first[asked]
        # Shares of a number that no measurement touches would be rounding over rounding.
        if not np.isfinite(first.slopes).all() or float(first.standard_deviation.max()) <= EXACT:
            continue
        flat = (len(first.slopes), -1)
        halved = NORMAL_95 * quantity.dimension.scale(car.unit) * first.halved().reshape(flat)
        for side, name in enumerate(SIDE_NAMES if quantity.per_side else ("",)):
            whose = "_".join(part for part in (key, name) if part)
            columns[f"{whose}_share"] = first.shares.reshape(flat)[:, side]
            columns[f"{quantity.column(car.unit, name)}_either_way_if_halved"] = halved[:, side]
    write_columns(columns, [""] * len(assessment.doubt.sources), file, ("measurement", assessment.doubt.sources))
