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
from kinematics.car.uncertainty import WAYS
from kinematics.survey.reading_tasks import INSTRUMENTS, Instrument, Step, Task
from kinematics.survey.readings import ReadingKind, View
from kinematics.survey.unknowns import WHEEL

SuggestedKind = ReadingKind | Literal["note", "camber", "toe_in"]
Measure = Literal["length", "angle", "words"]

_FROM_BELOW = 320.0  # mm up: lower points of the typical car see their likes on the other side under the car
_SHORTEST, _SHORTEST_FOR_LEVEL = 40.0, 120.0  # mm: on shorter parts they tell little
_SEEN = 0.25  # the part of its length by which some tape must run a way, to check a coordinate that way


@dataclass(frozen=True)
class SuggestedReading:
    """One entry of the list: its number from 1, the step of the work that it belongs to, what to read and how.

    kind, of, seen_from: as in a survey's readings; a `note` is for the owner, `camber` and `toe_in` of the wheel that
    `of` names ("left", "right"). side: of a ride height. point: of which a coordinate is read. part: that both ends of
    a tape lie on, or the title of the arm whose slope is read.
    """

    number: int
    step: Step
    task: Task
    kind: SuggestedKind
    of: tuple[str, ...] = ()
    seen_from: View | None = None
    side: str = ""
    point: Point | None = None
    part: str = ""

    @property
    def group(self) -> tuple[Step, str]:
        """What is done in one go: a step, and of hardpoints the one that it is about."""
        return self.step, self.of[0] if self.step is Step.HARDPOINT else ""

    @property
    def instruments(self) -> tuple[Instrument, ...]:
        """What it is read with."""
        return INSTRUMENTS[self.task]

    @property
    def measure(self) -> Measure:
        """Whether a length is read, an angle in degrees, or something that takes words."""
        if self.task in (Task.TYRE_PRESSURES, Task.LOAD_ABOARD):
            return "words"
        return "angle" if self.kind in ("angle", "camber", "toe_in") else "length"


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


def point_names(point: Point) -> tuple[str, ...]:
    """How readings name a point: once, or by side where its parts are not built alike."""
    return (point.key,) if point.other_side is None else tuple(f"{side} {point.key}" for side in SIDE_NAMES)


def _set_up() -> Iterator[SuggestedReading]:
    for task in (Task.LEVEL_GROUND, Task.TYRE_PRESSURES, Task.LOAD_ABOARD):
        yield SuggestedReading(0, Step.SET_UP, task, "note")
    for side in SIDE_NAMES:
        yield SuggestedReading(0, Step.SET_UP, Task.RIDE_HEIGHT, "note", side=side)


def _wheels() -> Iterator[SuggestedReading]:
    for side in SIDE_NAMES:
        yield SuggestedReading(0, Step.WHEELS, Task.CAMBER, "camber", (side,))
    for side in SIDE_NAMES:
        yield SuggestedReading(0, Step.WHEELS, Task.TOE_IN, "toe_in", (side,))


def _centres(kind: SuspensionType) -> Iterator[SuggestedReading]:
    wheel = next(point for point in kind.points if point.key == WHEEL)
    for side in SIDE_NAMES:
        yield SuggestedReading(0, Step.CENTRES, Task.HEIGHT, "up", (f"{side} {WHEEL}",), point=wheel)
    yield SuggestedReading(0, Step.CENTRES, Task.WHEEL_OUT, "out", (WHEEL,), point=wheel)
    yield SuggestedReading(0, Step.CENTRES, Task.TRACK, "track")


def _coordinates(point: Point, name: str) -> Iterator[SuggestedReading]:
    yield SuggestedReading(0, Step.HARDPOINT, Task.HEIGHT, "up", (name,), point=point)
    yield SuggestedReading(0, Step.HARDPOINT, Task.OUT, "out", (name,), point=point)
    yield SuggestedReading(0, Step.HARDPOINT, Task.AHEAD, "ahead", (name,), point=point)


def _on_the_right(kind: SuspensionType, checks: Sequence[SuggestedReading]) -> Iterator[SuggestedReading]:
    """Coordinates that no other reading checks, read on the other side as well, where the parts are alike."""
    for point in kind.points:
        if point.key == WHEEL or point.single or point.other_side is not None:
            continue
        for entry in _coordinates(point, f"right {point.key}"):
            if not _is_checked(kind, point, entry.kind, checks):
                yield replace(entry, step=Step.RIGHT_TOO)


def _is_checked(kind: SuspensionType, point: Point, way: SuggestedKind, checks: Sequence[SuggestedReading]) -> bool:
    """Whether a tape at this point runs well along a way in the typical car, or a level tells its height."""
    at = {one.key: one.typical for one in kind.points}
    axis = WAYS.index(way)
    for check in checks:
        keys = [name.removeprefix("left ").removeprefix("right ") for name in check.of]
        if point.key not in keys:
            continue
        if check.step is Step.ACROSS:
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
    for pair, task, part in _lengths(kind):
        for one, other in _named(kind, pair):
            if frozenset((one, other)) not in seen and _apart(kind, pair) > _SHORTEST:
                seen.add(frozenset((one, other)))
                yield SuggestedReading(0, Step.LENGTHS, task, "tape", (one, other), part=part)


def _lengths(kind: SuspensionType) -> Iterator[tuple[Pair, Task, str]]:
    arms = [pair for arm in kind.arms for pair in ((arm.joint, arm.pivot_front), (arm.joint, arm.pivot_rear))]
    for pair in arms:
        yield pair, Task.ARM_LENGTH, ""
    for pair in kind.links:
        yield pair, Task.LINK_LENGTH, ""
    for arm in kind.arms:
        yield (arm.pivot_front, arm.pivot_rear), Task.AXIS_LENGTH, ""
    if kind.strut is not None:
        yield (kind.strut.low, kind.strut.top_mount), Task.STRUT_LENGTH, ""
    for hinge in kind.hinges:
        yield (hinge.first, hinge.second), Task.AXIS_LENGTH, ""
    # The wheel's centre lies inside the wheel, where no tape reaches.
    for one in kind.points:
        near = next((other for other in kind.points if _likes(one, other)), None)
        if one.single and near is not None:
            yield (near.key, one.key), Task.BOTH_ON_PART, one.carrier
    for part in kind.bodies:
        on_it = [key for key in kind.points_on(part) if key != WHEEL]
        if part == kind.bodies[0]:
            for pair in pairwise(key for key in on_it if kind.carriers[key] == part):
                yield pair, Task.BOTH_ON_PART, part
        else:
            for pair in combinations(on_it, 2):
                yield pair, Task.ACROSS_PART, part
    top = None if kind.strut is None else kind.strut.top_mount
    for pair in pairwise(key for key, part in kind.carriers.items() if part == CHASSIS and key != top):
        yield pair, Task.BOTH_ON_PART, CHASSIS


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
        task = Task.ACROSS_TOP if point.key == top else Task.ACROSS_UNDERNEATH
        yield SuggestedReading(0, Step.ACROSS, task, "tape", pair, point=point)


def _angles(kind: SuspensionType) -> Iterator[SuggestedReading]:
    for arm in kind.arms:
        yield replace(_slope(Task.ARM_SLOPE, (arm.pivot_front, arm.joint)), part=arm.title)
    if kind.strut is not None:
        views: tuple[View, ...] = ("front", "side")
        for view in views:
            yield replace(_slope(Task.STRUT_SLOPE, (kind.strut.low, kind.strut.top_mount)), seen_from=view)
    for moving, fixed in kind.links:
        for of in _named(kind, (fixed, moving)):
            yield _slope(Task.LINK_SLOPE, of)
    axes = [(arm.pivot_front, arm.pivot_rear) for arm in kind.arms]
    axes += [
        (hinge.first, hinge.second)
        for hinge in kind.hinges
        if _apart(kind, (hinge.first, hinge.second)) > _SHORTEST_FOR_LEVEL
    ]
    for axis in axes:
        yield _slope(Task.AXIS_SLOPE, axis)


def _slope(task: Task, of: Pair) -> SuggestedReading:
    return SuggestedReading(0, Step.ANGLES, task, "angle", of)


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
