"""The scales file: what four pads showed, level and with one end raised, read and checked."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
from pydantic import Field

from kinematics.car.car import LEFT, RIGHT, Car
from kinematics.car.lengths import UNITS, LengthUnit, as_written
from kinematics.car.units import Units
from kinematics.inputs.reading.faults import Fault, InputFaultError, other_unit
from kinematics.inputs.reading.file_fields import Length, Number, PositiveLength, PositiveNumber, Table, validated
from kinematics.inputs.reading.file_kinds import FileKind, refuse_other_kind
from kinematics.inputs.reading.toml_file import read_toml
from kinematics.weighing.centre_of_gravity import FRONT, REAR, Added, Raised, Weighing

_USUAL_KNOWN_TO = 0.5  # kg, a pad: common practice, no source
_LENGTHS_KNOWN_TO, _LIFT_KNOWN_TO = 3.0, 2.0  # mm, a tape over the car and a rule: common practice, no source
_LOADS = (20.0, 1200.0)  # kg on a wheel, as in a car file
_HEIGHTS = (100.0, 2000.0)  # mm, as in a car file
_APART = 0.005  # part by which two ways to the same number may differ: common practice, no source
_SIGMAS = 3.0
_PADS = ("front_left", "front_right", "rear_left", "rear_right")
_ENDS = {"front": FRONT, "rear": REAR}


class LevelTable(Table):
    """What each pad showed, all four level; the whole, where it was weighed besides."""

    front_left: PositiveNumber
    front_right: PositiveNumber
    rear_left: PositiveNumber
    rear_right: PositiveNumber
    total: PositiveNumber | None = Field(default=None, description="the whole car, as another scale showed it")


class RaisedTable(Table):
    """What the pads showed with one end's wheels on blocks, its springs blocked."""

    end: Literal["front", "rear"]
    by: PositiveLength = Field(description="how much higher the raised wheels stand")
    known_to: PositiveLength | None = None
    front_left: PositiveNumber | None = None
    front_right: PositiveNumber | None = None
    rear_left: PositiveNumber | None = None
    rear_right: PositiveNumber | None = None


class AddedTable(Table):
    """What was not aboard on the scales and is when racing, or the other way round with a negative mass."""

    what: str = Field(max_length=60)
    mass: Number
    ahead: Length = Field(description="of the front wheel centres, negative behind")
    out: Length = 0.0
    up: Length


class ScalesTable(Table):
    """A scales file."""

    units: Literal["mm", "in"]
    name: str = Field(default="", max_length=100)
    aboard: str = Field(default="", description="what was in the car: driver, fuel", max_length=200)
    note: str = ""
    known_to: PositiveNumber | None = None
    wheelbase: PositiveLength | None = None
    front_track: PositiveLength | None = None
    rear_track: PositiveLength | None = None
    front_radius: PositiveLength | None = None
    rear_radius: PositiveLength | None = None
    lengths_known_to: PositiveLength | None = None
    level: LevelTable
    raised: RaisedTable | None = None
    add: tuple[AddedTable, ...] = ()


@dataclass(frozen=True)
class ScalesFile:
    """A weighing, and the words beside it. unit: as its owner writes it."""

    name: str
    aboard: str
    unit: LengthUnit
    weighing: Weighing


def read_scales(path: str | Path, car: Car | None) -> ScalesFile:
    """Read a scales file; lengths that it leaves out are the car's. InputFaultError names every fault."""
    written = read_toml(path)
    return scales_from(written, str(path), car)


def scales_from(written: Mapping[str, Any], source: str, car: Car | None) -> ScalesFile:
    """Make a weighing of a file's content."""
    refuse_other_kind(written, FileKind.SCALES, source)
    table, faults = validated(ScalesTable, written)
    if table is None:
        raise InputFaultError(source, faults)
    unit = UNITS[table.units]
    faults += _pad_faults(table, unit)
    lengths, more = _lengths(table, unit, car)
    faults += more
    if not faults:
        faults += _sums(table, unit)
    if faults:
        raise InputFaultError(source, faults)
    weighing = _weighing(table, unit, lengths)
    name = table.name or ("" if car is None else car.name)
    return ScalesFile(name, table.aboard, as_written(unit, written), weighing)


def _weighing(table: ScalesTable, unit: LengthUnit, lengths: Mapping[str, float]) -> Weighing:
    mass = Units(unit).mass
    level = table.level
    load = np.array([[level.front_left, level.front_right], [level.rear_left, level.rear_right]]) * mass
    known_to = _USUAL_KNOWN_TO if table.known_to is None else table.known_to * mass
    apart = _LENGTHS_KNOWN_TO if table.lengths_known_to is None else unit.to_mm(table.lengths_known_to)
    tracks = np.array([lengths["front_track"], lengths["rear_track"]])
    found = Weighing(load, lengths["wheelbase"], tracks, known_to, apart)
    if table.raised is not None:
        low = np.array(_low(table.raised)) * mass
        radii = np.array([lengths["front_radius"], lengths["rear_radius"]])
        raised = Raised(_ENDS[table.raised.end], unit.to_mm(table.raised.by), low, radii)
        lift = _LIFT_KNOWN_TO if table.raised.known_to is None else unit.to_mm(table.raised.known_to)
        found = replace(found, raised=raised, lift_known_to=lift)
    return replace(
        found,
        added=tuple(
            Added(one.what, one.mass * mass, *(unit.to_mm(value) for value in (one.ahead, one.out, one.up)))
            for one in table.add
        ),
    )


def _low(raised: RaisedTable) -> tuple[float | None, float | None]:
    """What the pads under the wheels that stayed down show."""
    down = "front" if raised.end == "rear" else "rear"
    return getattr(raised, f"{down}_left"), getattr(raised, f"{down}_right")


def _pad_faults(table: ScalesTable, unit: LengthUnit) -> list[Fault]:
    """Loads that no wheel carries, and pads that are missing under the wheels that stayed down."""
    mass, symbol = Units(unit).mass, Units(unit).mass_symbol
    read = [(f"level.{pad}", getattr(table.level, pad)) for pad in _PADS]
    faults = []
    if table.raised is not None:
        read += [(f"raised.{pad}", getattr(table.raised, pad)) for pad in _PADS]
        down = "front" if table.raised.end == "rear" else "rear"
        text = f"is missing: with the {table.raised.end} raised, what the {down} pads show tells the height"
        faults += [
            Fault(f"raised.{down}_{side}", text)
            for side, one in zip(("left", "right"), _low(table.raised), strict=True)
            if one is None
        ]
    low, high = (f"{end / mass:.4g}" for end in _LOADS)
    other = other_unit(unit.symbol)
    for key, value in read:
        if value is not None and not _LOADS[0] <= value * mass <= _LOADS[1]:
            faults.append(Fault(key, f"read {value:g} {symbol}; {low} to {high} {symbol} is allowed", other))
    return faults


_OF_CAR = {
    "wheelbase": (800.0, 6000.0),
    "front_track": (500.0, 3000.0),
    "rear_track": (500.0, 3000.0),
    "front_radius": (100.0, 600.0),
    "rear_radius": (100.0, 600.0),
}  # mm: from a kart to a truck


def _lengths(table: ScalesTable, unit: LengthUnit, car: Car | None) -> tuple[dict[str, float], list[Fault]]:
    """Lengths of the file, or else of the car; one that both tell must be the same."""
    told = {} if car is None else _told_by(car)
    found: dict[str, float] = {}
    faults = []
    needed = [key for key in _OF_CAR if table.raised is not None or not key.endswith("radius")]
    for key in needed:
        written = getattr(table, key)
        low, high = (unit.from_mm(end) for end in _OF_CAR[key])
        if written is None and key not in told:
            where = "" if car is None else ", and the car file does not tell it"
            faults.append(Fault(key, f"is missing{where}; how to measure it: {_HOW[key]}"))
        elif written is not None and not low <= written <= high:
            text = f"read {written:g} {unit.symbol}; {low:.4g} to {high:.4g} {unit.symbol} is allowed"
            faults.append(Fault(key, text, other_unit(unit.symbol)))
        elif written is not None and key in told and abs(unit.to_mm(written) / told[key] - 1.0) > 2.0 * _APART:
            text = f"read {written:g} {unit.symbol}, but the car file makes it {unit.from_mm(told[key]):.5g}"
            faults.append(Fault(key, f"{text}; leave it out, or put one of the two right"))
        else:
            found[key] = told[key] if written is None else unit.to_mm(written)
    return found, faults


TRACK_HOW = "between the middles of the two tyres' marks on the floor"
_RADIUS_HOW = "from the floor to the wheel centre, the car on its wheels"
_HOW = {
    "wheelbase": "along the floor between the plumb lines of the hubs, both sides, halved",
    "front_track": TRACK_HOW,
    "rear_track": TRACK_HOW,
    "front_radius": _RADIUS_HOW,
    "rear_radius": _RADIUS_HOW,
}


def _told_by(car: Car) -> dict[str, float]:
    """What a car tells of its own lengths [mm]."""
    told = {} if car.body.wheelbase is None else {"wheelbase": car.body.wheelbase}
    for axle in car.axles:
        contact = axle.contact[:, 1]
        told[f"{axle.name}_track"] = float(contact[LEFT] - contact[RIGHT])
        told[f"{axle.name}_radius"] = float(np.mean(axle.radius))
    return told


def _sums(table: ScalesTable, unit: LengthUnit) -> list[Fault]:
    """Scales that do not add up."""
    units = Units(unit)
    known_to = (_USUAL_KNOWN_TO / units.mass) if table.known_to is None else table.known_to
    four = sum(getattr(table.level, pad) for pad in _PADS)
    faults = []

    def far(one: float, other: float, pads: int) -> bool:
        return abs(one - other) > max(_APART * other, _SIGMAS * known_to * math.sqrt(pads))

    symbol = units.mass_symbol
    whole = table.level.total
    if whole is not None and far(whole, four, 5):
        text = f"read {whole:g} {symbol}, but the four pads show {four:g} {symbol} together; the scales do not add up"
        faults.append(Fault("level.total", f"{text}: set all to zero and weigh again"))
    raised = table.raised
    if raised is not None:
        pads = [getattr(raised, pad) for pad in _PADS]
        together = sum(one for one in pads if one is not None)
        if None not in pads and far(together, four, 8):
            text = f"the four pads show {together:g} {symbol} together, level they showed {four:g} {symbol}"
            faults.append(Fault("raised", f"{text}; the scales do not add up: is the same aboard?"))
        if unit.to_mm(raised.by) >= 1000.0:
            most = f"{unit.from_mm(1000.0):.4g} {unit.symbol}"
            faults.append(Fault("raised.by", f"read {raised.by:g} {unit.symbol}; less than {most} is allowed"))
    return faults


def height_faults(found: float, unit: LengthUnit, end: str) -> Sequence[Fault]:
    """A height over the ground [mm] that no car has: most often pads of the wrong axle, or springs that gave way."""
    low, high = _HEIGHTS
    if low <= found <= high:
        return []
    allowed = f"{unit.from_mm(low):.3g} to {unit.from_mm(high):.4g} {unit.symbol}"
    text = f"puts the centre of gravity {unit.from_mm(found):.4g} {unit.symbol} up; {allowed} is allowed"
    return [Fault("raised", f'{text}. Is end = "{end}" right, and by, and which pad shows what?')]
