"""From the entries of a survey file to readings, with the faults of each entry."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.lengths import LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.uncertainty import ANGLES, Coordinate
from kinematics.inputs.car.car_tables import PointTable
from kinematics.inputs.reading.faults import Fault, did_you_mean, shown
from kinematics.inputs.survey.survey_tables import (
    READING_KINDS,
    InstrumentsTable,
    ReadingTable,
    SurveyAxleTable,
    SurveyTable,
)
from kinematics.survey.readings import Reading, ReadingKind, Survey, View
from kinematics.survey.unknowns import WHEEL, Misnamed, NameFault, each_by_itself, misnamed
from kinematics.survey.usual_doubts import PLUMB, RULE, STRAIGHT, TAPE


@dataclass(frozen=True)
class Doubts:
    """One standard deviation of each instrument [mm, rad]."""

    tape: float
    rule: float
    plumb: float
    straight: float
    level: float

    def of(self, kind: ReadingKind) -> float:
        """The one that goes with a kind of reading."""
        if kind in ("tape", "track"):
            return self.tape
        if kind in ("level", "in_line"):
            return self.straight
        return {"plumb": self.plumb, "angle": self.level}.get(kind, self.rule)


def doubts_of(table: InstrumentsTable, unit: LengthUnit) -> Doubts:
    """What each instrument is good for, as the file states it or as usual."""

    def mm(value: float | None, default: float) -> float:
        return default if value is None else unit.to_mm(value)

    return Doubts(
        tape=mm(table.tape, TAPE),
        rule=mm(table.rule, RULE),
        plumb=mm(table.plumb, PLUMB),
        straight=mm(table.straight, STRAIGHT),
        level=math.radians(table.level),
    )


def axle_survey(
    axle: Axle,
    table: SurveyAxleTable,
    points: Sequence[tuple[str, str, PointTable]],
    doubts: Doubts,
    whole: SurveyTable,
    unit: LengthUnit,
) -> tuple[Survey, list[Fault]]:
    """The survey of one axle from its readings and points as written, and the faults of these."""
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
        faults += [*_definition_faults(name, key, point, apart=apart), *_under_ground(name, key, point)]
        readings += _coordinates(name, key, point, rule, unit, apart=apart)
    if not readings and not faults:
        faults.append(Fault(f"{axle.name}.readings", "is empty; a survey needs readings"))
    survey = Survey(
        replace(axle, doubt=None),
        apart,
        table.helpers,
        tuple(readings),
        _angle_doubts(axle, table, doubts.level),
        good_for={kind: doubts.of(kind) for kind in READING_KINDS},
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
        yield Fault(key, f"{text}; give one of: {', '.join(READING_KINDS)}")
        return
    (kind,) = entry.kinds
    needed, allowed = READING_KINDS[kind]
    for field in needed:
        if getattr(entry, field) is None:
            yield Fault(f"{key}.{field}", f"is missing ({_NEEDED[field]})")
    for field in ("reads", "seen_from", "along", "by"):
        if getattr(entry, field) is not None and field not in (*needed, *allowed):
            goes = ", ".join((*needed, *allowed, "known_to", "note"))
            yield Fault(f"{key}.{field}", f"does not go with {kind}; allowed: {goes}")
    if kind == "tape" and entry.reads is not None and entry.reads <= 0.0:
        yield Fault(f"{key}.reads", f"read {entry.reads:g}; a length above 0 is allowed")
    if (
        kind == "up"
        and [_bare(name) for name in entry.names(kind)] == [WHEEL]
        and entry.reads is not None
        and entry.reads <= 0.0
    ):
        yield Fault(f"{key}.reads", f"read {entry.reads:g}; {_OVER_GROUND}")
    if kind == "angle" and entry.reads is not None and abs(entry.reads) > 90.0:
        yield Fault(f"{key}.reads", f"read {entry.reads:g}; -90 to 90 degrees over level are allowed")


_OVER_GROUND = "a wheel centre lies above the ground, so a height above 0 is allowed"
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
        for name in dict.fromkeys(names):
            wrong = misnamed(name, suspension, helpers, apart=apart)
            if wrong is not None:
                yield Fault(f"{key}.{field}", _misnamed(wrong, suspension))
        if len(set(names)) < len(names):
            yield Fault(f"{key}.{field}", f"read {shown(names)}; the names must differ")
    if kind == "ahead" and not apart and {_bare(name) for name in entry.names(kind)} == {WHEEL}:
        yield Fault(f"{key}.{kind}", "`ahead` is counted from the wheel centres, so theirs is 0 and nothing to read")


def _misnamed(wrong: Misnamed, suspension: SuspensionType) -> str:
    match wrong.fault:
        case NameFault.NEEDS_SIDE:
            write = " or ".join(f'"{one}"' for one in wrong.instead)
            return f"{wrong.name} is there on both sides, each measured by itself: write {write}"
        case NameFault.HAS_NO_SIDE:
            (bare,) = wrong.instead
            return f"{bare} is one place for both sides; write it without {wrong.name.partition(' ')[0]}"
    hint = did_you_mean(_bare(wrong.name), wrong.instead)
    return f"{wrong.name} is neither a point of a {suspension.name} nor among the helpers{hint}"


def _reading(entry: ReadingTable, key: str, doubts: Doubts, unit: LengthUnit) -> Reading:
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


def points_written(
    name: str, written: Mapping[str, Any], table: SurveyAxleTable, suspension: SuspensionType
) -> list[tuple[str, str, PointTable]]:
    """The points that the owner wrote himself: as a reading names it, its key in the file, and the point.

    As in a car file, a point under [front.points] is for both sides but where a side has its own.
    """
    own = {
        "": (table_at(written.get("points")), table.points),
        "left": (table_at(table_at(written.get("left")).get("points")), table.left.points),
        "right": (table_at(table_at(written.get("right")).get("points")), table.right.points),
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


def _under_ground(name: str, key: str, point: PointTable) -> Iterator[Fault]:
    if _bare(name) == WHEEL and point.up <= 0.0:
        yield Fault(f"{key}.up", f"read {point.up:g}; {_OVER_GROUND}")


def _coordinates(
    name: str, key: str, point: PointTable, rule: float, unit: LengthUnit, *, apart: bool
) -> Iterator[Reading]:
    """Each coordinate of a point as a reading."""
    doubt = rule if point.known_to is None else unit.to_mm(point.known_to)
    kinds: tuple[ReadingKind, ...] = ("ahead", "out", "up")
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


def table_at(value: object) -> dict[str, Any]:
    """What stands where a table is expected, empty if it is none."""
    return value if isinstance(value, dict) else {}
