"""The car file's entries on adjusters, travel stops, joints and centre of gravity."""

import math
from typing import Annotated

from pydantic import BeforeValidator, Field

from kinematics.files.faults import Fault, did_you_mean, shown
from kinematics.files.file_fields import Length, Number, PositiveLength, Table, two_of, within
from kinematics.fittings import Adjusters, CamberBy, Fittings
from kinematics.lengths import LengthUnit
from kinematics.suspension import SuspensionType

_Range = Annotated[tuple[Length, Length], BeforeValidator(two_of("shortest and longest", "[-8, 8]"))]


class CamberTable(Table):
    """What sets camber, and its range: lengths, or degrees for strut bolts."""

    by: CamberBy
    range: _Range | None = None


class AdjustersTable(Table):
    """How the axle is aligned."""

    toe_link: _Range | None = None
    camber: CamberTable | None = None


class StopsTable(Table):
    """Wheel travel from the measured ride height to the stops."""

    bump: PositiveLength | None = None
    droop: PositiveLength | None = None


JointAngles = dict[str, Annotated[Number, within(0.0, 90.0, open_low=True)]]


class GravityTable(Table):
    """Height of the sprung mass's centre of gravity."""

    up: PositiveLength


class BodyTable(Table):
    """The sprung mass."""

    centre_of_gravity: GravityTable | None = Field(default=None, description="like { up = 510 }")


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
    moving = {joint for link in kind.all_links for joint in link if joint in kind.on_upright}
    moving |= {inner for _, inner in kind.links}
    for key in joints:
        if key not in moving:
            unknown = f"no joint of a {kind.name} turns there{did_you_mean(key, sorted(moving))}"
            faults.append(Fault(f"{axle}.joint_angles.{key}", unknown))
    camber = adjusters.camber
    by = "none" if camber is None else camber.by
    lacks = {"strut top": kind.strut is None, "strut bolts": kind.strut is None, "upper arm": len(kind.arms) < 2}
    if lacks.get(by, False):
        what = "upper arm" if by == "upper arm" else "strut"
        faults.append(Fault(f"{axle}.adjusters.camber.by", f"read {shown(by)}, but a {kind.name} has no {what}"))
    ranges = {"toe_link": adjusters.toe_link, "camber.range": None if camber is None else camber.range}
    for key, limits in ranges.items():
        if limits is not None and not limits[0] <= 0.0 <= limits[1]:
            text = "the shorter end first, with zero, where it stands now, in between"
            faults.append(Fault(f"{axle}.adjusters.{key}", f"read {shown(list(limits))}; {text}, is allowed"))
    made = Adjusters(camber_by=by)
    if adjusters.toe_link is not None:
        made = Adjusters(_in_mm(adjusters.toe_link, unit), by)
    if camber is not None and camber.range is not None:
        low, high = camber.range
        in_bolts = (math.radians(low), math.radians(high))
        made = Adjusters(made.toe_link, by, in_bolts if by == "strut bolts" else _in_mm(camber.range, unit))
    bump, droop = (None if value is None else unit.to_mm(value) for value in (stops.bump, stops.droop))
    return Fittings(made, bump, droop, {key: math.radians(most) for key, most in joints.items()}), faults


def _in_mm(limits: tuple[float, float], unit: LengthUnit) -> tuple[float, float]:
    return unit.to_mm(limits[0]), unit.to_mm(limits[1])
