"""The car file's entries on travel stops, joints and the body, put together with those on adjusters."""

import math
from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field

from kinematics.car.fittings import Body, Fittings
from kinematics.car.lengths import LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.inputs.car.adjuster_entries import AdjustersTable, adjusters_from
from kinematics.inputs.car.parts_known_to import known_to_faults
from kinematics.inputs.reading.faults import Fault, did_you_mean, other_unit
from kinematics.inputs.reading.file_fields import Number, PositiveLength, Table, within

_GRAVITY_HEIGHTS = (100.0, 2000.0)  # mm: from a kart's to a truck's
_MOST_TURNS = 20.0  # of a propshaft for one of the wheels
_WHEELBASES = (800.0, 6000.0)  # mm: from a kart's to a truck's


def _part_of_one(value: float) -> float:
    if not 0.0 <= value <= 1.0:
        raise ValueError(f"read {value:g}; 0 (all at the rear) to 1 (all at the front) is allowed")
    return value


def _gear_ratio(value: float) -> float:
    if not 0.0 < value <= _MOST_TURNS:
        text = f"above 0, up to {_MOST_TURNS:g}, is allowed: the crown wheel's teeth over the pinion's, such as 3.9"
        raise ValueError(f"read {value:g}; {text}")
    return value


_Ratio = Annotated[Number, AfterValidator(_gear_ratio)]
_Share = Annotated[Number, AfterValidator(_part_of_one)]


class StopsTable(Table):
    """Wheel travel from the measured ride height to the stops, and how far the tyre and the ground are away."""

    bump: PositiveLength | None = None
    droop: PositiveLength | None = None
    tyre_to_arch: PositiveLength | None = None
    ground_clearance: PositiveLength | None = None


class SteeringTable(Table):
    """How far the rack goes, from straight ahead to full lock."""

    rack_travel: PositiveLength


class JointTable(Table):
    """How far a joint may turn from its middle, and how far it is from there as the car stands [deg]."""

    most: Annotated[Number, within(0.0, 90.0, open_low=True)]
    at_ride_height: Annotated[Number, within(-90.0, 90.0)] = 0.0


def _most_alone(value: object) -> object:
    return value if isinstance(value, dict) else {"most": value}


JointAngles = dict[str, Annotated[JointTable, BeforeValidator(_most_alone, json_schema_input_type=JointTable | Number)]]


class GravityTable(Table):
    """Where the sprung mass's centre of gravity is."""

    up: PositiveLength
    behind_front: PositiveLength | None = None
    up_known_to: PositiveLength | None = None


class BodyTable(Table):
    """The car between its axles."""

    centre_of_gravity: GravityTable | None = Field(default=None, description="like { up = 510 }")
    wheelbase: PositiveLength | None = None
    wheelbase_known_to: PositiveLength | None = None
    front_brakes: _Share | None = None
    front_drive: _Share | None = None
    final_drive: _Ratio | None = None


def _range_words(value: float, allowed: tuple[float, float], unit: LengthUnit) -> str:
    low, high = (f"{unit.from_mm(end):.4g} {unit.symbol}" for end in allowed)
    return f"read {value:g} {unit.symbol}; {low} to {high} is allowed"


def body_from(table: BodyTable, unit: LengthUnit) -> tuple[Body, list[Fault]]:
    """Make a body of its table, with what cannot be."""
    gravity, wheelbase = table.centre_of_gravity, table.wheelbase
    behind = None if gravity is None else gravity.behind_front
    other = other_unit(unit.symbol)
    faults = []
    if gravity is not None and not _GRAVITY_HEIGHTS[0] <= unit.to_mm(gravity.up) <= _GRAVITY_HEIGHTS[1]:
        faults.append(Fault("body.centre_of_gravity.up", _range_words(gravity.up, _GRAVITY_HEIGHTS, unit), other))
    if wheelbase is not None and not _WHEELBASES[0] <= unit.to_mm(wheelbase) <= _WHEELBASES[1]:
        faults.append(Fault("body.wheelbase", _range_words(wheelbase, _WHEELBASES, unit), other))
    elif behind is not None and wheelbase is not None and behind >= wheelbase:
        text = f"read {behind:g}; it must lie between the axles, less than the wheelbase {wheelbase:g}"
        faults.append(Fault("body.centre_of_gravity.behind_front", text))

    def in_mm(value: float | None) -> float | None:
        return None if value is None else unit.to_mm(value)

    up, up_known_to = (None, None) if gravity is None else (gravity.up, gravity.up_known_to)
    faults += known_to_faults("body.centre_of_gravity.up", up_known_to, up)
    faults += known_to_faults("body.wheelbase", table.wheelbase_known_to, wheelbase)
    return Body(
        in_mm(up),
        in_mm(behind),
        in_mm(wheelbase),
        table.front_brakes,
        table.front_drive,
        final_drive=table.final_drive,
        centre_of_gravity_known_to=in_mm(up_known_to),
        wheelbase_known_to=in_mm(table.wheelbase_known_to),
    ), faults


def fittings_from(
    adjusters: AdjustersTable,
    stops: StopsTable,
    joints: JointAngles,
    kind: SuspensionType,
    unit: LengthUnit,
    axle: str,
) -> tuple[Fittings, list[Fault]]:
    """Make an axle's fittings of its tables, with what does not suit its suspension type."""
    faults = []
    moving = {arm.joint for arm in kind.arms} | {end for link in kind.links_to_chassis for end in link}
    for key in joints:
        if key not in moving:
            unknown = f"no joint of a {kind.name} turns there{did_you_mean(key, sorted(moving))}"
            faults.append(Fault(f"{axle}.joint_angles.{key}", unknown))
        elif abs(joints[key].at_ride_height) >= joints[key].most:
            text = f"read {joints[key].at_ride_height:g}; less than `most`, {joints[key].most:g} degrees, is allowed"
            faults.append(Fault(f"{axle}.joint_angles.{key}.at_ride_height", text))
    made, more = adjusters_from(adjusters, kind, unit, axle)
    faults += more
    bump, droop, arch, clearance = (
        None if value is None else unit.to_mm(value)
        for value in (stops.bump, stops.droop, stops.tyre_to_arch, stops.ground_clearance)
    )
    return Fittings(
        made,
        bump,
        droop,
        {key: math.radians(one.most) for key, one in joints.items()},
        joint_middles={key: math.radians(one.at_ride_height) for key, one in joints.items() if one.at_ride_height},
        tyre_to_arch=arch,
        clearance=clearance,
    ), faults
