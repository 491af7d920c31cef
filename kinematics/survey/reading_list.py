"""What to read of an axle on the garage floor, in which order: enough for every coordinate, and more as a check.

The list follows from the suspension type's points and joints. Sides are taken as alike: a point is read on the left,
and where the parts are not built alike, on both sides.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from typing import Literal

from kinematics.car.car import SIDE_NAMES
from kinematics.car.suspension_type import CHASSIS, Pair, Point, SuspensionType
from kinematics.survey.readings import ReadingKind, View
from kinematics.survey.unknowns import WHEEL

AskedKind = ReadingKind | Literal["note", "camber", "toe_in"]
Measure = Literal["length", "angle", "words"]

SET_UP, WHEELS, CENTRES = "Before anything is measured", "Wheels", "Wheel centres and track"
RIGHT_TOO, LENGTHS = "The same on the right, as a check", "Lengths, as a check"
ACROSS, ANGLES = "Across the car, as a check", "Angles, as a check"

_TAPE, _RULE, _LEVEL = "tape", "rule", "digital level"
_FROM_BELOW = 320.0  # mm up: lower points of the typical car see their likes on the other side under the car
_SHORTEST, _SHORTEST_FOR_LEVEL = 40.0, 120.0  # mm: on shorter parts they tell little
_SEEN = 0.25  # the part of its length by which some tape must run a way, to check a coordinate that way


@dataclass(frozen=True)
class SuggestedReading:
    """One entry of the list: its number from 1, what to read and where, and with which instrument.

    kind, of, seen_from: as in a survey's readings; a `note` is for the owner, `camber` and `toe_in` of the wheel that
    `of` names ("left", "right"). measure: whether the entry is a length, an angle in degrees or words.
    """

    number: int
    group: str
    kind: AskedKind
    of: tuple[str, ...]
    what: str
    where: str
    instrument: str
    measure: Measure = "length"
    seen_from: View | None = None


def reading_list(kind: SuspensionType) -> tuple[SuggestedReading, ...]:
    """All that is to be read of an axle of this type, in order. ValueError for a type whose owner lists the points."""
    if kind.listed:
        raise ValueError(
            f"a {kind.name} has the points that its owner lists, so no list of readings can be made for it"
        )
    entries = [*_set_up(), *_wheels(), *_centres(kind)]
    for point in kind.points:
        if point.key != WHEEL:
            entries += [entry for name in point_names(point) for entry in _coordinates(point, name)]
    checks = [*_tapes(kind), *_across(kind), *_angles(kind)]
    entries += [*_on_the_right(kind, checks), *checks]
    return tuple(replace(entry, number=number) for number, entry in enumerate(entries, start=1))


def words(name: str) -> str:
    """A point's key as one would say it."""
    return name.replace("_", " ")


def point_names(point: Point) -> tuple[str, ...]:
    """How readings name a point: once, or by side where its parts are not built alike."""
    return (point.key,) if point.other_side is None else tuple(f"{side} {point.key}" for side in SIDE_NAMES)


def _set_up() -> Iterator[SuggestedReading]:
    yield SuggestedReading(
        0,
        SET_UP,
        "note",
        (),
        "level ground",
        "highest less lowest of the four places where tyres stand, after shimming: water level, or a straight bar "
        "with a level on it",
        "water level",
    )
    yield SuggestedReading(
        0,
        SET_UP,
        "note",
        (),
        "tyre pressures, cold",
        "front left, front right, rear left, rear right, with their unit",
        "gauge",
        "words",
    )
    yield SuggestedReading(
        0,
        SET_UP,
        "note",
        (),
        "driver or ballast aboard",
        "whose weight, in which seat; and the fuel in the tank",
        "scales",
        "words",
    )
    for side in SIDE_NAMES:
        yield SuggestedReading(
            0,
            SET_UP,
            "note",
            (),
            f"ride height, {side}",
            "from the floor to a mark on the body over the wheel centre that you will find again; roll the car back "
            "and forth and bounce it before",
            _RULE,
        )


def _wheels() -> Iterator[SuggestedReading]:
    for side in SIDE_NAMES:
        yield SuggestedReading(
            0,
            WHEELS,
            "camber",
            (side,),
            f"camber, {side} wheel",
            "on the rim's upright diameter, wheels straight ahead; minus: the top leans in",
            _LEVEL,
            "angle",
        )
    for side in SIDE_NAMES:
        yield SuggestedReading(
            0,
            WHEELS,
            "toe_in",
            (side,),
            f"toe-in, {side} wheel",
            "string beside it along the centre line: 57.3 x (front less rear gap to the rim) / rim's diameter; minus: "
            "toe-out",
            "string, rule",
            "angle",
        )


def _centres(kind: SuspensionType) -> Iterator[SuggestedReading]:
    where = next(point.where for point in kind.points if point.key == WHEEL)
    for side in SIDE_NAMES:
        name = f"{side} {WHEEL}"
        yield SuggestedReading(
            0, CENTRES, "up", (name,), f"{words(name)}, height", f"{where}; straight up from the floor", _RULE
        )
    yield SuggestedReading(
        0,
        CENTRES,
        "out",
        (WHEEL,),
        f"{words(WHEEL)}, out",
        "from the centre line on the floor, square to it, to the wheel's centre plane at the height of the hub",
        _RULE,
    )
    yield SuggestedReading(
        0,
        CENTRES,
        "track",
        (),
        "track on the ground",
        "middle of one tyre's contact patch to middle of the other's: tread edges, left to left and right to right, "
        "and the mean of both",
        _TAPE,
    )


def _coordinates(point: Point, name: str) -> Iterator[SuggestedReading]:
    said = words(name)
    group = f"{said[0].upper()}{said[1:]}"
    out = "from its mark on the floor to the centre line, square to it"
    if point.single:
        out += "; minus: right of the centre line"
    yield SuggestedReading(
        0, group, "up", (name,), f"{said}, height", f"{point.where}; straight up from the floor", _RULE
    )
    yield SuggestedReading(0, group, "out", (name,), f"{said}, out", f"plumb bob; {out}", "plumb bob, rule")
    ahead = "same mark, along the car to the wheel centres' line; minus: behind it"
    yield SuggestedReading(0, group, "ahead", (name,), f"{said}, ahead", ahead, "plumb bob, rule")


def _on_the_right(kind: SuspensionType, checks: Sequence[SuggestedReading]) -> Iterator[SuggestedReading]:
    """Coordinates that no other reading checks, read on the other side as well, where the parts are alike."""
    for point in kind.points:
        if point.key == WHEEL or point.single or point.other_side is not None:
            continue
        for entry in _coordinates(point, f"right {point.key}"):
            if not _is_checked(kind, point, entry.kind, checks):
                yield replace(entry, group=RIGHT_TOO)


def _is_checked(kind: SuspensionType, point: Point, way: AskedKind, checks: Sequence[SuggestedReading]) -> bool:
    """Whether a tape at this point runs well along a way in the typical car, or a level tells its height."""
    at = {one.key: one.typical for one in kind.points}
    axis = ("ahead", "out", "up").index(way)
    for check in checks:
        keys = [name.removeprefix("left ").removeprefix("right ") for name in check.of]
        if point.key not in keys:
            continue
        if check.group == ACROSS:
            if way == "out":
                return True
        elif check.kind == "angle":
            if way == "up":
                return True
        elif abs(at[keys[0]][axis] - at[keys[1]][axis]) > _SEEN * _apart(kind, (keys[0], keys[1])):
            return True
    return False


def _tapes(kind: SuspensionType) -> Iterator[SuggestedReading]:
    """Lengths of links, pivot axes and parts, and between neighbours."""
    seen: set[frozenset[str]] = set()
    for pair, where in _lengths(kind):
        for one, other in _named(kind, pair):
            if frozenset((one, other)) not in seen and _apart(kind, pair) > _SHORTEST:
                seen.add(frozenset((one, other)))
                what = f"{words(one)} to {words(other)}"
                yield SuggestedReading(0, LENGTHS, "tape", (one, other), what, where, _TAPE)


def _lengths(kind: SuspensionType) -> Iterator[tuple[Pair, str]]:
    arms = [pair for arm in kind.arms for pair in ((arm.joint, arm.pivot_front), (arm.joint, arm.pivot_rear))]
    for pair in arms:
        yield pair, "along the arm, centre to centre"
    for pair in kind.links:
        yield pair, "along the link, centre to centre"
    for arm in kind.arms:
        yield (arm.pivot_front, arm.pivot_rear), "along the pivot axis, centre to centre"
    if kind.strut is not None:
        yield (kind.strut.low, kind.strut.top_mount), "along the strut"
    for hinge in kind.hinges:
        yield (hinge.first, hinge.second), "along the pivot axis, centre to centre"
    # The wheel's centre lies inside the wheel, where no tape reaches.
    for one in kind.points:
        near = next((other for other in kind.points if _likes(one, other)), None)
        if one.single and near is not None:
            yield (near.key, one.key), f"straight across, both on the {one.carrier}"
    for part in kind.bodies:
        on_it = [key for key in kind.points_on(part) if key != WHEEL]
        if part == kind.bodies[0]:
            for pair in pairwise(key for key in on_it if kind.carriers[key] == part):
                yield pair, f"straight across, both on the {part}"
        else:
            for pair in combinations(on_it, 2):
                yield pair, f"straight across the {part}, centre to centre"
    top = None if kind.strut is None else kind.strut.top_mount
    for pair in pairwise(key for key, part in kind.carriers.items() if part == CHASSIS and key != top):
        yield pair, "straight across, both on the chassis"


def _likes(one: Point, other: Point) -> bool:
    """Whether a point in the middle can be taped from another on the same part."""
    return other.carrier == one.carrier and not other.single and other.other_side is None and other.key != WHEEL


def _across(kind: SuspensionType) -> Iterator[SuggestedReading]:
    """Between a point and its like on the other side, where the two see each other."""
    top = None if kind.strut is None else kind.strut.top_mount
    for point in kind.points:
        seen = point.key == top or point.typical[2] <= _FROM_BELOW
        if point.single or point.key == WHEEL or point.other_side is not None or not seen:
            continue
        pair = (f"left {point.key}", f"right {point.key}")
        where = (
            "across the engine bay or the boot" if point.key == top else "under the car, or between marks on the floor"
        )
        yield SuggestedReading(0, ACROSS, "tape", pair, f"{words(point.key)}, left to right", where, _TAPE)


def _angles(kind: SuspensionType) -> Iterator[SuggestedReading]:
    for arm in kind.arms:
        yield _slope(
            (arm.pivot_front, arm.joint),
            f"{arm.title}, its slope",
            f"level along the arm from {words(arm.pivot_front)} to {words(arm.joint)}; minus: {words(arm.joint)} lower",
        )
    if kind.strut is not None:
        for view in ("front", "side"):
            across = "square to the car's length" if view == "front" else "along the car"
            where = f"on the damper tube, the level held {across}; over the horizontal, near 90"
            of = (kind.strut.low, kind.strut.top_mount)
            yield SuggestedReading(0, ANGLES, "angle", of, f"strut, seen from the {view}", where, _LEVEL, "angle", view)
    for moving, fixed in kind.links:
        for of in _named(kind, (fixed, moving)):
            where = f"level on the link, {words(of[0])} to {words(of[1])}; minus: {words(of[1])} lower"
            yield _slope(of, f"{words(of[0])} to {words(of[1])}, slope", where)
    axes = [(arm.pivot_front, arm.pivot_rear) for arm in kind.arms]
    axes += [
        (hinge.first, hinge.second)
        for hinge in kind.hinges
        if _apart(kind, (hinge.first, hinge.second)) > _SHORTEST_FOR_LEVEL
    ]
    for first, second in axes:
        where = f"level or straight bar from {words(first)} to {words(second)}; minus: {words(second)} lower"
        yield _slope((first, second), f"{words(first)} to {words(second)}, slope", where)


def _slope(of: Pair, what: str, where: str) -> SuggestedReading:
    return SuggestedReading(0, ANGLES, "angle", of, what, where, _LEVEL, "angle")


def _named(kind: SuspensionType, pair: Pair) -> Sequence[Pair]:
    """A pair as readings name it: once, or on both sides where a point of it is not built alike."""
    points = {point.key: point for point in kind.points}
    if all(points[key].other_side is None for key in pair):
        return [pair]

    def on(side: str, key: str) -> str:
        return key if points[key].single else f"{side} {key}"

    return [(on(side, pair[0]), on(side, pair[1])) for side in SIDE_NAMES]


def _apart(kind: SuspensionType, pair: Pair) -> float:
    """Distance of two points in the typical car [mm]."""
    one, other = (next(point.typical for point in kind.points if point.key == key) for key in pair)
    return float(sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) ** 0.5)
