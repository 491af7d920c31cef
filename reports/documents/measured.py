"""The documents of `show` and `sweep`: numbers at ride height, the verdict, and all that the tables of a sweep hold."""

from collections.abc import Iterator

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.doubt.solved_car import MeasuredAxle, MeasuredCar, SolvedAxle, SolvedCar
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.body import Sweep
from kinematics.sweeps.roll_axis import ROLL_AXIS, RollAxis
from kinematics.sweeps.run_off import run_off_before
from reports.documents.amounts import MISSING, Record, amount, codes, column, number
from reports.documents.checks import verdict


def measured_document(solved: MeasuredCar) -> Record:
    """A car at ride height, held against its limits. chance: that all limits hold, null where it is not known."""
    unit = solved.car.unit
    combined = [one.combined for one in solved.axles if one.combined is not None]
    return {
        **verdict(solved.findings, unit, combined),
        "chance": solved.chance,
        "axles": [_axle(one, unit) for one in solved.axles],
        "roll_axis": None if solved.roll_axis is None else _roll_axis(solved.roll_axis, unit),
    }


def swept_document(solved: SolvedCar, measured: MeasuredCar) -> Record:
    """The same with its sweeps, column by column, as the CSV files have them."""
    unit = solved.car.unit
    swept = [_sweeps(one, unit) for one in solved.axles]
    axis = solved.roll_axis
    over = None if axis is None else _roll_axis_table(axis.over_all, unit)
    return {**measured_document(measured), "sweeps": swept, "roll_axis_swept": over}


def _axle(measured: MeasuredAxle, unit: LengthUnit) -> Record:
    axle = measured.axle
    return {"axle": axle.name, "suspension": axle.suspension.name, "numbers": list(_numbers(measured, unit))}


def _numbers(measured: MeasuredAxle, unit: LengthUnit) -> Iterator[Record]:
    """Every number at ride height, of each side where it has sides, with its 95 % way where that is known."""
    rest = measured.rest
    gap = rest.gaps.at(0)
    why = MISSING if gap is None else gap.gap.name.lower()
    for key, values in rest.values.items():
        known = QUANTITIES[key]
        ways = measured.half_width.get(key)
        for place, side in enumerate(SIDE_NAMES if known.per_side else (None,)):
            told = number(known, float(values.reshape(-1)[place]), unit, why, side=side)
            if ways is not None:
                way = amount(float(np.broadcast_to(ways.reshape(-1), 2)[place]), known.dimension, unit)
                told["either_way_95"] = way["value"]
            yield told


def _roll_axis(axis: RollAxis, unit: LengthUnit) -> Record:
    read = ((known, known.read(axis)) for known in ROLL_AXIS.values())
    return {"numbers": [number(one, float(value.reshape(-1)[0]), unit) for one, value in read if value is not None]}


def _roll_axis_table(axis: RollAxis, unit: LengthUnit) -> Record:
    read = ((known, known.read(axis)) for known in ROLL_AXIS.values())
    return {"columns": [column(one, values.reshape(-1), unit) for one, values in read if values is not None]}


def _sweeps(solved: SolvedAxle, unit: LengthUnit) -> Record:
    tables = {kind: _table(sweep, unit) for kind, sweep in solved.sweeps.items()}
    return {"axle": solved.axle.name, "tables": tables}


def _table(sweep: Sweep, unit: LengthUnit) -> Record:
    """One sweep; missing: for each state the code of what is missing, null where nothing is.

    through_infinity: numbers that run there on the way to the states named by their places.
    """
    columns = []
    for key, values in sweep.values.items():
        known = QUANTITIES[key]
        for place, side in enumerate(SIDE_NAMES if known.per_side else (None,)):
            own = values[place] if known.per_side else values
            columns.append(column(known, own.reshape(-1), unit, side=side))
    through = [
        {"key": key, "side": side or None, "before": np.flatnonzero(before).tolist()}
        for (key, side), before in run_off_before(sweep).items()
    ]
    return {"columns": columns, "missing": codes(sweep.gaps), "through_infinity": through}
