"""The bands in which 95 of 100 such measurements lie, round the curves of the car as measured."""

from collections.abc import Iterator

from kinematics.car.car import Axle
from kinematics.car.lengths import LengthUnit
from kinematics.doubt.assessment import Bands, bands_95, doubtful_cars
from kinematics.motion.moving_axle import MovingAxle
from kinematics.motion.reasons import UnreachedError
from kinematics.numbers.outer_share import within
from reports.documents.amounts import Record
from reports.page.bench import Bench, OpenCar, asked_of
from reports.page.position import Pose, Stand, axle_named, curves_swept, drawn_values, sides_of
from reports.page.reach import rack_reach


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
    share = within(opened.limits).of(axle.name)
    try:
        cars = bench.kept(opened, ("doubtful", axle.name), lambda: _cars(opened, axle))
        swept = curves_swept(cars, stand, opened.reach, share)
    except UnreachedError:
        return found
    told = {over: bands_95(at, sweep.values) for over, (at, sweep) in swept.items()}
    return {**found, "bands": [{"over": over, "lines": list(_lines(one, unit))} for over, one in told.items()]}


def _cars(opened: OpenCar, axle: Axle) -> MovingAxle:
    return doubtful_cars(axle, *asked_of(opened.reach), limits=opened.limits)


def _lines(found: Bands, unit: LengthUnit) -> Iterator[Record]:
    for key, ends in found.ends.items():
        low, high = (drawn_values(key, end, unit) for end in ends)
        for side, own_low, own_high in zip(sides_of(key), low, high, strict=True):
            yield {"key": key, "side": side, "low": own_low, "high": own_high}
