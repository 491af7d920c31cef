"""The car file's entries on what is turned to align a car: how far each adjuster goes, and what one turn of it does."""

import math
from typing import Annotated

from pydantic import BeforeValidator, Field

from kinematics.car.fittings import Adjusters, CamberBy
from kinematics.car.lengths import LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.inputs.reading.faults import LEAVE_OUT, Fault, other_unit, shown
from kinematics.inputs.reading.file_fields import Length, PositiveLength, Table, two_of

_BOLTS = "strut bolts"
_THREADS = (0.2, 15.0)  # mm a turn: from a fine screw to a sleeve with a left-hand and a right-hand thread
_LEVERS = (10.0, 600.0)  # mm
_A_TURN = "how far one turn goes: the thread's pitch, twice that for a sleeve with a left-hand and a right-hand thread"
_Range = Annotated[tuple[Length, Length], BeforeValidator(two_of("shortest and longest", "[-8, 8]"))]
_Thread = Annotated[PositiveLength | None, Field(description=_A_TURN)]


class CamberTable(Table):
    """What sets camber, and its range: lengths, or degrees for strut bolts; the screw that moves it."""

    by: CamberBy
    range: _Range | None = None
    thread: _Thread = None
    lever: PositiveLength | None = Field(default=None, description="strut bolts: from the bolt that stays to the screw")


class AdjustersTable(Table):
    """How the axle is aligned."""

    toe_link: _Range | None = None
    camber: CamberTable | None = None
    toe_link_thread: _Thread = None
    perch_thread: _Thread = None


def angle_of_a_turn(thread: float, lever: float) -> float:
    """The angle [rad] by which a turn of a screw of some thread swings an arm of some lever, both in one unit.

    The screw stands at right angles to the arm: atan(thread / lever) (formula).
    """
    return math.atan(thread / lever)


def adjusters_from(
    table: AdjustersTable, kind: SuspensionType, unit: LengthUnit, axle: str
) -> tuple[Adjusters, list[Fault]]:
    """Make an axle's adjusters of their table, with what does not suit its suspension type."""
    key, camber = f"{axle}.adjusters", table.camber
    by: CamberBy = "none" if camber is None else camber.by
    strut, arms = kind.strut is None, len(kind.arms)
    lacks = {"strut top": strut, _BOLTS: strut, "lower arm": arms < 1, "upper arm": arms < 2}
    faults = [
        Fault(f"{key}.{name}", f"a {kind.name} has no toe link")
        for name in ("toe_link", "toe_link_thread")
        if getattr(table, name) is not None and kind.toe_link is None
    ]
    if lacks.get(by, False):
        what = by if by.endswith("arm") else "strut"
        faults.append(Fault(f"{key}.camber.by", f"read {shown(by)}, but a {kind.name} has no {what}"))
    ranges = {"toe_link": table.toe_link, "camber.range": None if camber is None else camber.range}
    for name, limits in ranges.items():
        if limits is not None and not limits[0] <= 0.0 <= limits[1]:
            text = "the shorter end first, with zero, where it stands now, in between"
            faults.append(Fault(f"{key}.{name}", f"read {shown(list(limits))}; {text}, is allowed"))
    faults += _thread_faults(table, unit, key)
    return Adjusters(
        _in_mm(table.toe_link, unit),
        by,
        _camber_range(camber, unit),
        _length(table.toe_link_thread, unit),
        None if camber is None else _camber_turn(camber, unit),
        _length(table.perch_thread, unit),
    ), faults


def _thread_faults(table: AdjustersTable, unit: LengthUnit, key: str) -> list[Fault]:
    """What no screw has, and a lever where none is or is needed."""
    camber = table.camber or CamberTable(by="none")
    read = [
        ("toe_link_thread", table.toe_link_thread, _THREADS),
        ("camber.thread", camber.thread, _THREADS),
        ("camber.lever", camber.lever, _LEVERS),
        ("perch_thread", table.perch_thread, _THREADS),
    ]
    faults = []
    for name, value, (low, high) in read:
        if value is not None and not low <= unit.to_mm(value) <= high:
            allowed = f"{unit.from_mm(low):.3g} to {unit.from_mm(high):.3g} {unit.symbol} is allowed"
            faults.append(Fault(f"{key}.{name}", f"read {value:g} {unit.symbol}; {allowed}", other_unit(unit.symbol)))
    if camber.by == "none" and (camber.thread is not None or camber.lever is not None):
        faults.append(Fault(f"{key}.camber.by", 'read "none"; a screw needs something that it sets'))
    elif camber.by != _BOLTS and camber.lever is not None:
        faults.append(Fault(f"{key}.camber.lever", f"only {_BOLTS} take a lever", LEAVE_OUT))
    elif camber.by == _BOLTS and (camber.thread is None) != (camber.lever is None):
        lacks = "thread" if camber.thread is None else "lever"
        faults.append(Fault(f"{key}.camber.{lacks}", "is missing: thread and lever together say what a turn does"))
    return faults


def _camber_turn(camber: CamberTable, unit: LengthUnit) -> float | None:
    if camber.thread is None:
        return None
    if camber.by != _BOLTS:
        return unit.to_mm(camber.thread)
    return None if camber.lever is None else angle_of_a_turn(camber.thread, camber.lever)


def _camber_range(camber: CamberTable | None, unit: LengthUnit) -> tuple[float, float]:
    if camber is None or camber.range is None:
        return -math.inf, math.inf
    low, high = camber.range
    return (math.radians(low), math.radians(high)) if camber.by == _BOLTS else _in_mm(camber.range, unit)


def _in_mm(limits: tuple[float, float] | None, unit: LengthUnit) -> tuple[float, float]:
    return (-math.inf, math.inf) if limits is None else (unit.to_mm(limits[0]), unit.to_mm(limits[1]))


def _length(value: float | None, unit: LengthUnit) -> float | None:
    return None if value is None else unit.to_mm(value)
