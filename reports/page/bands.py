"""The bands in which 95 of 100 such measurements lie, round the curves of the car as measured."""

import math
from collections.abc import Iterator

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.doubt.assessment import Bands, bands_95, doubtful_cars
from kinematics.motion.reasons import UnreachedError
from kinematics.numbers.outer_share import within
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.body import sweep_bump, sweep_roll
from reports.documents.amounts import Record
from reports.page.bench import Bench, OpenCar, asked_of
from reports.page.position import CURVES, SAMPLES, Pose, Stand, axle_named
from reports.page.reach import rack_reach

_MORE_DIGITS = 2  # than are printed


def bands(bench: Bench, opened: OpenCar, pose: Pose) -> Record:
    """Low and high ends along the curves at a pose, by what they run over; none where the file tells no doubt.

    None with the rack moved either: that is another linkage for each of the cars as they might be.
    """
    axle = axle_named(opened, pose.axle)
    unit = opened.car.unit
    stand = Stand.of(pose, opened.reach, rack_reach(axle, unit), unit)
    found: Record = {"version": opened.version, "bands": []}
    if axle.doubt is None or stand.rack:
        return found
    share, reach = within(opened.limits).of(axle.name), opened.reach
    travel, roll = (np.linspace(-most, most, SAMPLES) for most in (reach.heave, reach.roll))
    try:
        cars = bench.kept(opened, ("doubtful", axle.name), lambda: doubtful_cars(axle, *asked_of(reach)))
        bump = sweep_bump(cars, travel, pitch=stand.pitch, outer_share=share, only=CURVES)
        rolled = sweep_roll(cars, roll, stand.heave, pitch=stand.pitch, outer_share=share, only=CURVES)
    except UnreachedError:
        return found
    told = (("travel", bands_95(travel, bump.values)), ("roll", bands_95(roll, rolled.values)))
    return {**found, "bands": [{"over": over, "lines": list(_lines(one, opened))} for over, one in told]}


def _lines(found: Bands, opened: OpenCar) -> Iterator[Record]:
    unit = opened.car.unit
    for key, ends in found.ends.items():
        known = QUANTITIES[key]
        digits = known.dimension.decimals(unit) + _MORE_DIGITS
        low, high = ((end * known.dimension.scale(unit)).reshape(-1, found.at.size) for end in ends)
        for side, own_low, own_high in zip(SIDE_NAMES if known.per_side else ("",), low, high, strict=True):
            yield {"key": key, "side": side, "low": _rounded(own_low, digits), "high": _rounded(own_high, digits)}


def _rounded(values: np.ndarray, digits: int) -> list[float | None]:
    return [round(one, digits) if math.isfinite(one) else None for one in values.tolist()]
