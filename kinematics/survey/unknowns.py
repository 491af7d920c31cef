"""The unknowns of a survey: where points and helpers lie, as one vector; and where to begin.

ahead = 0 is exact: both wheel centres where both sides are alike, or else the middle between them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES
from kinematics.car.suspension_type import CHASSIS, Point, SuspensionType
from kinematics.car.uncertainty import WAYS, Coordinate
from solvers.vectors import Array, Flags

WHEEL = "wheel_centre"
# A direction known to no better than this is not known: it is longer than the car. What is known far worse than a tape
# can tell, but better than this, stays in the covariance, and `missing` tells it.
USELESS = 1e4  # mm

_ALONE, _TOGETHER = 60.0, 150.0  # mm: how far a point by itself, and all points, may lie from the typical car
_HELPER_FROM_NEIGHBOURS = 300.0  # mm
_LISTED_ALONE = 400.0  # mm; a free linkage has no typical places


@dataclass(frozen=True)
class Spot:
    """A point or a helper that lies somewhere: its name in words, its key, and the sides that it is on.

    sides: (0,), (1,), or (0, 1) for both, the right one mirrored or, if in the middle, the same. mirrored: `out`
    counts to the right.
    """

    name: str
    key: str
    sides: tuple[int, ...]
    helper: bool = False
    mirrored: bool = False


@dataclass(frozen=True)
class Place:
    """A named place: x ahead, y left, z up as linear in the parameters (3, n); outward: sign of y outwards, if any."""

    linear: Array
    outward: int | None


@dataclass(frozen=True)
class Unknowns:
    """Which coordinates are unknown: those of the spots, in the order ahead, out, up, but for what is a definition.

    spread: (3 spots, n), the coordinates that parameters give. names: what may stand in a reading, with the spot,
    the sign of y there and, where the name has a side, of y outwards.
    """

    spots: tuple[Spot, ...]
    spread: Array
    names: Mapping[str, tuple[int, int, int | None]]

    @property
    def count(self) -> int:
        """Number of parameters."""
        return int(self.spread.shape[1])

    @cached_property
    def coordinates(self) -> tuple[Coordinate, ...]:
        """Every coordinate of every spot, helpers last."""
        return tuple(Coordinate(spot.key, way, spot.sides) for spot in self.spots for way in WAYS)

    @cached_property
    def hardpoint_rows(self) -> Array:
        """How the coordinates of the hardpoints alone follow from the parameters (3 hardpoints, n)."""
        return self.spread[: 3 * sum(not spot.helper for spot in self.spots)]

    @cached_property
    def of_helpers(self) -> Flags:
        """Which parameters are a helper's (n,)."""
        return np.asarray(~(self.hardpoint_rows != 0.0).any(axis=0))

    @cached_property
    def places(self) -> Mapping[str, Place]:
        """Every named place."""
        return {
            name: Place(self.spread[3 * spot : 3 * spot + 3] * np.array([[1.0], [sign], [1.0]]), outward)
            for name, (spot, sign, outward) in self.names.items()
        }

    def points(self, parameters: Array, before: Mapping[str, Array]) -> dict[str, Array]:
        """Hardpoints on both sides, key to (2, 3) [mm]."""
        coordinates = (self.spread @ parameters).reshape(-1, 3)
        points = {key: point.copy() for key, point in before.items()}
        for spot, own in zip(self.spots, coordinates, strict=True):
            for side in () if spot.helper else spot.sides:
                mirrored = side == RIGHT and (spot.mirrored or self._mirrors(spot))
                points[spot.key][side] = own * [1.0, -1.0 if mirrored else 1.0, 1.0]
        return points

    def _mirrors(self, spot: Spot) -> bool:
        return f"right {spot.key}" in self.names


class NameFault(Enum):
    """Why a name in a reading names no place."""

    NEEDS_SIDE = "needs side"  # each side is measured by itself
    HAS_NO_SIDE = "has no side"  # one place for both sides
    NOT_KNOWN = "not known"  # neither a point nor a helper


@dataclass(frozen=True)
class Misnamed:
    """A name that names no place: why not, and the names that may stand in its place (NOT_KNOWN: all, without side)."""

    name: str
    fault: NameFault
    instead: tuple[str, ...]


def unknowns(suspension: SuspensionType, helpers: Sequence[str], *, apart: bool) -> Unknowns:
    """The unknowns of an axle whose sides are alike or apart, with helpers of these names."""
    spots: list[Spot] = []
    names: dict[str, tuple[int, int, int | None]] = {}
    for point in suspension.points:
        if point.single:
            names[point.key] = (len(spots), 1, None)
            spots.append(Spot(point.key, point.key, (LEFT, RIGHT)))
        elif each_by_itself(point, apart=apart):
            for side, sign in ((LEFT, 1), (RIGHT, -1)):
                name = f"{SIDE_NAMES[side]} {point.key}"
                names[name] = (len(spots), sign, sign)
                spots.append(Spot(name, point.key, (side,), mirrored=sign < 0))
        else:
            names[point.key] = names[f"left {point.key}"] = (len(spots), 1, 1)
            names[f"right {point.key}"] = (len(spots), -1, -1)
            spots.append(Spot(point.key, point.key, (LEFT, RIGHT)))
    for helper in helpers:
        if not apart:
            # A mark on the floor may be made on the other side too; it lies where the mirror shows it.
            names.setdefault(f"right {helper}", (len(spots), -1, -1))
            names.setdefault(f"left {helper}", (len(spots), 1, 1))
        names[helper] = (len(spots), 1, None if apart else 1)
        spots.append(Spot(helper, helper, (LEFT,), helper=True))
    return Unknowns(tuple(spots), _spread(spots), names)


def each_by_itself(point: Point, *, apart: bool) -> bool:
    """Whether a point is an unknown on each side."""
    return not point.single and (apart or point.other_side is not None)


def misnamed(name: str, suspension: SuspensionType, helpers: Sequence[str], *, apart: bool) -> Misnamed | None:
    """What is wrong with a name in a reading, None if nothing."""
    known = unknowns(suspension, helpers, apart=apart).names
    if name in known:
        return None
    side, _, rest = name.partition(" ")
    bare = rest if side in SIDE_NAMES else name
    sided = tuple(f"{one} {bare}" for one in SIDE_NAMES)
    if sided[LEFT] in known:
        return Misnamed(name, NameFault.NEEDS_SIDE, sided)
    if bare in known:
        return Misnamed(name, NameFault.HAS_NO_SIDE, (bare,))
    return Misnamed(name, NameFault.NOT_KNOWN, (*suspension.keys, *helpers))


def typical(unknown: Unknowns, suspension: SuspensionType, partners: Mapping[str, Sequence[str]]) -> Array:
    """Coordinates (spots, 3) of the type's typical car; a helper lies amid the spots that it is measured with."""
    known = {point.key: point for point in suspension.points}
    places = np.zeros((len(unknown.spots), 3))
    for index, spot in enumerate(unknown.spots):
        if spot.helper:
            continue
        point = known[spot.key]
        right = spot.sides == (RIGHT,) and point.other_side is not None
        places[index] = (point.other_side if right else None) or point.typical
        if suspension.listed and spot.key != WHEEL:
            # Listed points have no typical place: somewhere about the corner, no two alike.
            turn = 2.4 * index
            inboard = 400.0 if point.carrier == CHASSIS else 620.0
            places[index] = [150.0 * np.cos(turn), inboard + 40.0 * np.sin(turn), 300.0 + 120.0 * np.sin(turn)]
    for index, spot in enumerate(unknown.spots):
        if spot.helper:
            near = [_seen(unknown, places, name) for name in partners.get(spot.name, ())]
            places[index] = np.mean(near, axis=0) if near else [0.0, 500.0, 200.0]
            places[index, 0] += 3.0 * (index + 1)  # so that no two helpers lie on each other
    return places


def _seen(unknown: Unknowns, places: Array, name: str) -> Array:
    spot, sign, _ = unknown.names[name]
    return np.asarray(places[spot] * [1.0, sign, 1.0])


def start(
    unknown: Unknowns, suspension: SuspensionType, partners: Mapping[str, Sequence[str]], linear: Array, reads: Array
) -> Array:
    """Parameters (n,) to begin with: the typical car, drawn to what is read directly.

    linear (k, n), reads (k,): readings in which coordinates stand as they are. What a point is off, others are likely
    to be off too (a lowered car, a narrower one), so a point that is not read goes along.
    """
    places = typical(unknown, suspension, partners)
    # Of both wheel centres apart, half the difference is what is unknown.
    first = np.linalg.pinv(unknown.spread) @ places.ravel()
    if not len(reads):
        return first
    way = np.tile(np.arange(3), len(unknown.spots))
    helper = np.repeat([spot.helper for spot in unknown.spots], 3)
    alone = np.where(helper, _HELPER_FROM_NEIGHBOURS, _LISTED_ALONE if suspension.listed else _ALONE)
    prior = np.diag(alone**2) + _TOGETHER**2 * (way[:, None] == way)
    back = np.linalg.pinv(unknown.spread)
    prior = back @ prior @ back.T
    shown = linear @ prior @ linear.T + np.eye(len(reads))
    return np.asarray(first + prior @ linear.T @ np.linalg.solve(shown, reads - linear @ first))


def _spread(spots: Sequence[Spot]) -> Array:
    """(3 spots, n): one parameter for each coordinate, but for the wheel centres' `ahead`."""
    columns: list[Array] = []
    rows = np.eye(3 * len(spots))
    wheels = [3 * index for index, spot in enumerate(spots) if spot.key == WHEEL and not spot.helper]
    for row in range(len(rows)):
        if row not in wheels:
            columns.append(rows[row])
        elif len(wheels) == 2 and row == wheels[0]:
            columns.append(rows[wheels[0]] - rows[wheels[1]])
    return np.array(columns).T
