"""The survey file: a car file in which an axle has readings, as they come off the garage floor, in place of points."""

import copy
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from kinematics.car import SIDE_NAMES, Axle, Car
from kinematics.doubt.inputs import ANGLES, WAYS, Coordinate
from kinematics.files.car_file import (
    axle_from,
    kinds_in,
    limits_from,
    limits_not_there,
    point_faults,
    radii_written,
)
from kinematics.files.car_tables import AxleTable, CarTable, PointTable
from kinematics.files.faults import Fault, InputFaultError, shown
from kinematics.files.file_fields import Length, Number, PositiveLength, Table, validated
from kinematics.files.fittings_file import body_from
from kinematics.files.free_linkage_file import PairOfNames
from kinematics.files.plausibility import implausible
from kinematics.files.toml_file import read_toml
from kinematics.lengths import MM, UNITS, LengthUnit
from kinematics.survey.readings import Kind, Reading, Survey, View
from kinematics.survey.unknowns import WHEEL, each_by_itself, misnamed
from kinematics.suspension import SuspensionType

_ENTRY = re.compile(r"(front|rear)\.readings,? (?:entry )?(\d+)")
_NO_READING = (
    "there is no reading: give an axle a list, like readings = [ ... ] under [front]; `cornersweep sheet` writes one "
    "to fill in (a car file that has its points goes to `cornersweep show`)"
)
_SURVEY_ONLY = ("sides", "helpers", "readings", "points")
_TAPE, _RULE, _PLUMB, _STRAIGHT = 2.0, 1.5, 1.5, 2.0  # mm, one standard deviation (common practice, no source)


def _one_or_two(value: object) -> object:
    if isinstance(value, str):
        return (value,)
    if not isinstance(value, list) or len(value) != 2 or not all(isinstance(one, str) for one in value):
        raise ValueError(f'read {shown(value)}; a name in quotes is allowed, or two, like ["a", "b"]')
    return tuple(value)


def _three(value: object) -> object:
    if not isinstance(value, list) or len(value) != 3 or not all(isinstance(one, str) for one in value):
        raise ValueError(f'read {shown(value)}; three names are allowed, the middle one second, like ["a", "b", "c"]')
    return tuple(value)


def _direction(value: object) -> object:
    if value in WAYS:
        return value
    if not isinstance(value, list) or len(value) != 2 or not all(isinstance(one, str) for one in value):
        raise ValueError(f'read {shown(value)}; "ahead", "out", "up" or two names, like ["a", "b"], are allowed')
    return tuple(value)


_Names = Annotated[tuple[str, ...], BeforeValidator(_one_or_two)]
_Line = Annotated[tuple[str, ...], BeforeValidator(_three)]
_Along = Annotated[str | tuple[str, str], BeforeValidator(_direction)]


class InstrumentsTable(Table):
    """One standard deviation of what each instrument reads, in the file's unit; the level in degrees."""

    tape: PositiveLength | None = None
    rule: PositiveLength | None = None
    plumb: PositiveLength | None = None
    straight: PositiveLength | None = None
    level: Annotated[Number, Field(gt=0.0)] = 0.2


class ReadingTable(Table):
    """One reading: exactly one of its kinds, and what goes with it."""

    up: _Names | None = None
    out: _Names | None = None
    ahead: _Names | None = None
    tape: PairOfNames | None = None
    plumb: PairOfNames | None = None
    angle: PairOfNames | None = None
    level: PairOfNames | None = None
    in_line: _Line | None = None
    offset: PairOfNames | None = None
    track: PositiveLength | None = None
    reads: Length | None = None
    known_to: PositiveLength | None = None
    seen_from: Literal["front", "side"] | None = None
    along: _Along | None = None
    by: Length | None = None
    note: str = ""

    @property
    def kinds(self) -> list[Kind]:
        """The kinds of reading that are given."""
        return [kind for kind in _KINDS if getattr(self, kind) is not None]

    def names(self, kind: Kind) -> tuple[str, ...]:
        """The names that a reading is taken of."""
        return () if kind == "track" else tuple(getattr(self, kind))


# What goes with each kind of reading: what must be there, and what may.
_KINDS: dict[Kind, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "up": (("reads",), ()),
    "out": (("reads",), ()),
    "ahead": (("reads",), ()),
    "tape": (("reads",), ()),
    "plumb": ((), ("reads",)),
    "angle": (("reads",), ("seen_from",)),
    "level": ((), ()),
    "in_line": ((), ()),
    "offset": (("along", "by"), ()),
    "track": ((), ()),
}


class SurveyAxleTable(AxleTable):
    """One axle, with its readings if it is surveyed."""

    sides: Literal["alike", "apart"] = "alike"
    helpers: tuple[Annotated[str, Field(min_length=1)], ...] = ()
    readings: tuple[ReadingTable, ...] | None = None


class SurveyTable(CarTable):
    """The whole file."""

    instruments: InstrumentsTable = InstrumentsTable()
    front: SurveyAxleTable | None = None
    rear: SurveyAxleTable | None = None


@dataclass(frozen=True)
class SurveyFile:
    """What a survey file holds.

    car: the car; of a surveyed axle all but its points, which are placeholders. surveys: one for each surveyed axle.
    written: the file's content without what only a survey has, and without the surveyed axles' points.
    """

    car: Car
    surveys: tuple[Survey, ...]
    written: dict[str, Any]


@dataclass(frozen=True)
class _Doubts:
    """One standard deviation of each instrument [mm, rad]."""

    tape: float
    rule: float
    plumb: float
    straight: float
    level: float

    def of(self, kind: Kind) -> float:
        """The one that goes with a kind of reading."""
        if kind in ("tape", "track"):
            return self.tape
        if kind in ("level", "in_line"):
            return self.straight
        return {"plumb": self.plumb, "angle": self.level}.get(kind, self.rule)


def read_survey(path: str | Path) -> SurveyFile:
    """Read a survey file. InputFaultError names every fault: key, what was read, what is allowed."""
    written = read_toml(Path(path))
    return survey_from(written, str(path))


def survey_from(written: Mapping[str, Any], source: str) -> SurveyFile:
    """Make surveys of a file's content; `source` names the file in messages."""
    if not written:
        raise InputFaultError(source, [Fault("", "the file is empty; a survey is a car file with `readings`")])
    surveyed = [name for name in ("front", "rear") if "readings" in _table(written.get(name))]
    kinds, faults = kinds_in(written)
    filled = _filled(written, surveyed, kinds)
    table, more = validated(SurveyTable, filled)
    faults = [_with_entry(one, written) for one in more] + faults + point_faults(filled, kinds)
    if not surveyed:
        faults.append(Fault("", _NO_READING))
    if "doubt" in written:
        faults.append(Fault("doubt", "the readings say how well each point is known; leave it out"))
    if table is None:
        raise InputFaultError(source, faults)
    unit = UNITS[table.units]
    body, body_faults = body_from(table.body, unit)
    faults += body_faults
    sound = not faults
    axles: list[Axle] = []
    surveys: list[Survey] = []
    for name, axle_table in (("front", table.front), ("rear", table.rear)):
        if axle_table is None or not sound:
            continue
        axle, missing = axle_from(name, axle_table, kinds[name], unit, table.measured_to, body)
        faults += missing
        axles.append(axle)
        if name in surveyed:
            points = _points_written(name, written[name], axle_table, kinds[name])
            survey, wrong = _survey(axle, axle_table, points, _doubts(table.instruments, unit), table, unit)
            surveys.append(survey)
            faults += wrong
        else:
            faults += [] if missing else implausible(axle, unit, radii_written(axle_table, unit))
            faults += _only_with_readings(name, axle_table)
    limits, limit_faults = limits_from(table.limits, unit)
    faults += limit_faults or limits_not_there(limits, axles)
    if faults:
        raise InputFaultError(source, faults)
    return SurveyFile(Car(table.name, unit, tuple(axles), limits), tuple(surveys), _rest(written, surveyed, kinds))


def _with_entry(fault: Fault, written: Mapping[str, Any]) -> Fault:
    """A fault of one reading, with what it is a reading of: numbers alone are hard to find in a list."""
    place = _ENTRY.match(fault.key)
    readings = _table(written.get(place[1])).get("readings") if place else None
    entry = _table(readings[int(place[2]) - 1]) if place and isinstance(readings, list) else {}
    of = next((f"{kind} {shown(entry[kind])}" for kind in _KINDS if kind in entry and kind != "track"), "track")
    if not entry:
        return fault
    blank = "; fill it in, or take the line away" if fault.message == "is still blank" else ""
    return Fault(fault.key, f"{fault.message} (the reading of {of}){blank}")


def _table(value: object) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _filled(written: Mapping[str, Any], surveyed: Sequence[str], kinds: Mapping[str, SuspensionType]) -> dict[str, Any]:
    """The file's content with placeholders for the points that a surveyed axle does not list."""
    filled = copy.deepcopy(dict(written))
    in_mm = UNITS.get(str(written.get("units")), MM).in_mm
    for name in surveyed:
        if name not in kinds or not isinstance(filled[name].get("points", {}), dict):
            continue
        points = filled[name].setdefault("points", {})
        for point in kinds[name].points:
            if point.key not in points:
                points[point.key] = {way: value / in_mm for way, value in zip(WAYS, point.typical, strict=True)}
    return filled


def _rest(written: Mapping[str, Any], surveyed: Sequence[str], kinds: Mapping[str, SuspensionType]) -> dict[str, Any]:
    """What a car file keeps. Of a free linkage's points that is what carries them."""
    rest = {key: copy.deepcopy(value) for key, value in written.items() if key != "instruments"}
    for name in surveyed:
        tables = [rest[name].get(side, {}) for side in reversed(SIDE_NAMES)] + [rest[name]]
        points = {key: point for table in tables for key, point in table.get("points", {}).items()}
        rest[name] = {key: value for key, value in rest[name].items() if key not in _SURVEY_ONLY}
        for side in SIDE_NAMES:
            rest[name].get(side, {}).pop("points", None)
        if kinds[name].listed:
            kept = ("on", "single")
            rest[name]["points"] = {
                key: {one: value for one, value in point.items() if one in kept} for key, point in points.items()
            }
    return rest


def _only_with_readings(name: str, table: SurveyAxleTable) -> Iterator[Fault]:
    for key in ("sides", "helpers"):
        if key in table.model_fields_set:
            yield Fault(f"{name}.{key}", "is for an axle with `readings`; this one has none")


def _doubts(table: InstrumentsTable, unit: LengthUnit) -> _Doubts:
    def mm(value: float | None, default: float) -> float:
        return default if value is None else unit.to_mm(value)

    return _Doubts(
        tape=mm(table.tape, _TAPE),
        rule=mm(table.rule, _RULE),
        plumb=mm(table.plumb, _PLUMB),
        straight=mm(table.straight, _STRAIGHT),
        level=math.radians(table.level),
    )


def _survey(
    axle: Axle,
    table: SurveyAxleTable,
    points: Sequence[tuple[str, str, PointTable]],
    doubts: _Doubts,
    whole: SurveyTable,
    unit: LengthUnit,
) -> tuple[Survey, list[Fault]]:
    apart = table.sides == "apart"
    faults = list(_helper_faults(axle, table))
    readings: list[Reading] = []
    for number, entry in enumerate(table.readings or (), start=1):
        key = f"{axle.name}.readings {number}"
        wrong = list(_entry_faults(entry, key))
        wrong = wrong or list(_name_faults(entry, key, axle.suspension, table.helpers, apart=apart))
        faults += wrong
        if not wrong:
            readings.append(_reading(entry, key, doubts, unit))
    rule = doubts.rule if whole.measured_to is None else unit.to_mm(whole.measured_to)
    for name, key, point in points:
        faults += list(_definition_faults(name, key, point, apart=apart))
        readings += _coordinates(name, key, point, rule, unit, apart=apart)
    if not readings and not faults:
        faults.append(Fault(f"{axle.name}.readings", "is empty; a survey needs readings"))
    survey = Survey(
        replace(axle, doubt=None), apart, table.helpers, tuple(readings), _angle_doubts(axle, table, doubts.level)
    )
    return survey, faults


def _helper_faults(axle: Axle, table: SurveyAxleTable) -> Iterator[Fault]:
    sided = [f"{side} {key}" for side in SIDE_NAMES for key in axle.suspension.keys]
    for number, helper in enumerate(table.helpers, start=1):
        key = f"{axle.name}.helpers, entry {number}"
        if helper in axle.suspension.keys or helper in sided:
            yield Fault(
                key, f"read {shown(helper)}, which is a point of the suspension; call the helper something else"
            )
        if helper in table.helpers[: number - 1]:
            yield Fault(key, f"read {shown(helper)} a second time")


def _entry_faults(entry: ReadingTable, key: str) -> Iterator[Fault]:
    """What is wrong with one reading by itself."""
    if len(entry.kinds) != 1:
        text = "says nothing of what was read" if not entry.kinds else f"read {' and '.join(entry.kinds)} in one"
        yield Fault(key, f"{text}; give one of: {', '.join(_KINDS)}")
        return
    (kind,) = entry.kinds
    needed, allowed = _KINDS[kind]
    for field in needed:
        if getattr(entry, field) is None:
            yield Fault(f"{key}.{field}", f"is missing ({_NEEDED[field]})")
    for field in ("reads", "seen_from", "along", "by"):
        if getattr(entry, field) is not None and field not in (*needed, *allowed):
            goes = ", ".join((*needed, *allowed, "known_to", "note"))
            yield Fault(f"{key}.{field}", f"does not go with {kind}; allowed: {goes}")
    if kind == "tape" and entry.reads is not None and entry.reads <= 0.0:
        yield Fault(f"{key}.reads", f"read {entry.reads:g}; a length above 0 is allowed")
    if kind == "angle" and entry.reads is not None and abs(entry.reads) > 90.0:
        yield Fault(f"{key}.reads", f"read {entry.reads:g}; -90 to 90 degrees over level are allowed")


_NEEDED = {
    "reads": "what was read",
    "along": '"ahead", "out", "up" or two names: the direction from the first to the second',
    "by": "how far the second lies from the first, along that direction",
}


def _name_faults(
    entry: ReadingTable, key: str, suspension: SuspensionType, helpers: Sequence[str], *, apart: bool
) -> Iterator[Fault]:
    """Names that there are not, or twice the same."""
    (kind,) = entry.kinds
    for field, names in ((kind, entry.names(kind)), ("along", entry.along)):
        if not isinstance(names, tuple):
            continue
        wrong = [text for name in dict.fromkeys(names) if (text := misnamed(name, suspension, helpers, apart=apart))]
        for text in wrong:
            yield Fault(f"{key}.{field}", text)
        if len(set(names)) < len(names):
            yield Fault(f"{key}.{field}", f"read {shown(names)}; the names must differ")
    if kind == "ahead" and not apart and {_bare(name) for name in entry.names(kind)} == {WHEEL}:
        yield Fault(f"{key}.{kind}", "`ahead` is counted from the wheel centres, so theirs is 0 and nothing to read")


def _reading(entry: ReadingTable, key: str, doubts: _Doubts, unit: LengthUnit) -> Reading:
    (kind,) = entry.kinds
    written = {"track": entry.track, "offset": entry.by}.get(kind, entry.reads)
    if kind == "angle":
        reads = None if written is None else math.radians(written)
        known_to = None if entry.known_to is None else math.radians(entry.known_to)
    else:
        reads = None if written is None else unit.to_mm(written)
        known_to = None if entry.known_to is None else unit.to_mm(entry.known_to)
    view: View | None = entry.seen_from
    return Reading(
        kind=kind,
        of=entry.names(kind),
        reads=0.0 if kind in ("level", "in_line") else reads,
        doubt=doubts.of(kind) if known_to is None else known_to,
        drop_doubt=doubts.rule if known_to is None else known_to,
        seen_from=view,
        along=entry.along,
        key=key,
    )


def _points_written(
    name: str, written: Mapping[str, Any], table: SurveyAxleTable, suspension: SuspensionType
) -> list[tuple[str, str, PointTable]]:
    """The points that the owner wrote himself: as a reading names it, its key in the file, and the point.

    As in a car file, a point under [front.points] is for both sides but where a side has its own.
    """
    own = {
        "": (_table(written.get("points")), table.points),
        "left": (_table(_table(written.get("left")).get("points")), table.left.points),
        "right": (_table(_table(written.get("right")).get("points")), table.right.points),
    }
    out = []
    for point in suspension.points:
        given = {side: read[point.key] for side, (raw, read) in own.items() if point.key in raw}
        sides = [side for side in SIDE_NAMES if side in given or "" in given]
        if sides and (len(given) > 1 or "" not in given or each_by_itself(point, apart=table.sides == "apart")):
            for side in sides:
                place = f"{name}.{side}.points" if side in given else f"{name}.points"
                out.append((f"{side} {point.key}", f"{place}.{point.key}", given.get(side) or given[""]))
        elif sides:
            out.append((point.key, f"{name}.points.{point.key}", given[""]))
    return out


def _bare(name: str) -> str:
    """A point's key without its side."""
    side, _, rest = name.partition(" ")
    return rest if side in SIDE_NAMES else name


def _definition_faults(name: str, key: str, point: PointTable, *, apart: bool) -> Iterator[Fault]:
    if _bare(name) == WHEEL and not apart and point.ahead != 0.0:
        yield Fault(f"{key}.ahead", f"read {point.ahead:g}; `ahead` is counted from the wheel centres, so theirs is 0")


def _coordinates(
    name: str, key: str, point: PointTable, rule: float, unit: LengthUnit, *, apart: bool
) -> Iterator[Reading]:
    """Each coordinate of a point as a reading."""
    doubt = rule if point.known_to is None else unit.to_mm(point.known_to)
    kinds: tuple[Kind, ...] = ("ahead", "out", "up")
    for kind in kinds:
        if _bare(name) == WHEEL and kind == "ahead" and not apart:
            continue
        yield Reading(kind, (name,), unit.to_mm(getattr(point, kind)), doubt, key=f"{key}.{kind}")


def _angle_doubts(axle: Axle, table: SurveyAxleTable, level: float) -> tuple[tuple[Coordinate, float], ...]:
    """Doubt of the wheel angles as the file states it, or else the level's; that of its points is in the readings."""
    stated: dict[Coordinate, float] = {}
    if axle.doubt is not None:
        pairs = zip(axle.doubt.coordinates, axle.doubt.standard_deviation.tolist(), strict=True)
        stated = {one: doubt for one, doubt in pairs if one.of in ANGLES}
    found = []
    for angle, written in (("camber", "camber"), ("toe", "toe_in")):
        apart = any(getattr(side.wheel, written) is not None for side in (table.left, table.right))
        for sides in ((0,), (1,)) if apart else ((0, 1),):
            one = Coordinate(angle, "", sides)
            found.append((one, stated.get(one, level)))
    return tuple(found)
