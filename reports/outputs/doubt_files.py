"""The files of an axle's doubt: intervals as CSV, shares of each measurement as CSV and chart, curves with bands."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.limits import Limits
from kinematics.doubt.assessment import EXACT, NORMAL_95, Assessment
from kinematics.doubt.question import NumberAt, Place
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.sweep_job import is_steered
from reports.outputs.csv_files import write_columns
from reports.outputs.output import Output, drawn
from reports.result_figures import doubt_figure, shares_figure
from reports.words.gaps import NO_NUMBER_OR_DOUBT, gap_words
from solvers.vectors import Array

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
    """Return what writes every number of a place with its standard deviation and 95 % interval, one row a state."""

    def write(one: AssessedAxle, file: BinaryIO) -> None:
        assessment = one.assessment
        sweep, chances = assessment.sweeps[place], assessment.chances
        columns: dict[str, Array] = {}
        for key in sweep.values:
            quantity, asked = QUANTITIES[key], (place, key)
            scale = quantity.dimension.scale(car.unit)
            parts = {"": sweep[key], "standard_deviation": assessment.first[asked].standard_deviation}
            if chances is not None:
                low, high = chances.spread[asked].interval()
                parts |= {
                    "drawn_low": low,
                    "drawn_high": high,
                    "drawn_part": chances.spread[asked].known / chances.draws,
                }
            for name, values in parts.items():
                factor = 1.0 if name == "drawn_part" else scale
                for side in SIDE_NAMES if quantity.per_side else ("",):
                    chosen = values[SIDE_NAMES.index(side)] if side else values
                    column = quantity.column(car.unit, side)
                    columns[f"{column}_{name}" if name else column] = np.broadcast_to(chosen * factor, sweep.shape)
        notes = sweep.gaps.each(gap_words).reshape(-1)
        holes = ~np.isfinite(np.stack(list(columns.values()))).all(axis=0)
        notes[holes & (notes == "")] = NO_NUMBER_OR_DOUBT
        write_columns(columns, notes, file)

    return write


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
