"""How unlikely an axle would be among cars: one density, of independent numbers with long tails.

What spreads it is stated here, as one standard deviation either way, and is common practice, no source. The means of
places are those of the type's invented car (`Point.typical`), grown or shrunk to the car's own half-track.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car.car import SIDES, Axle
from kinematics.car.suspension_type import Pair, RodAcross, SuspensionType
from solvers.vectors import Array

BEYOND = 4.0  # spreads from the mean: hardly a car lies there
_TAILS = 8.0  # degrees of freedom of Student's t


@dataclass(frozen=True)
class Usual:
    """A number of most cars: its mean, and one standard deviation below and above it; degrees, mm, or as it is."""

    mean: float
    below: float
    above: float

    @property
    def ends(self) -> tuple[float, float]:
        """Beyond them hardly a car lies."""
        return self.mean - BEYOND * self.below, self.mean + BEYOND * self.above

    def spreads(self, value: Array) -> Array:
        """How many spreads a value lies from the mean, above it positive."""
        away = value - self.mean
        return np.asarray(away / np.where(away < 0.0, self.below, self.above))


# Of cars in degrees and mm. Wheels that lean out, or steering axes that lean forwards, are rare on a car that is raced.
USUAL: Mapping[str, Usual] = {
    "camber": Usual(-2.0, 1.5, 0.8125),
    "toe": Usual(0.0, 0.35, 0.35),
    "caster": Usual(4.0, 1.44, 2.75),
    "kingpin_inclination": Usual(9.0, 7.25, 2.75),
    "scrub_radius": Usual(0.0, 30.0, 30.0),
}
ASLANT = Usual(0.0, 6.25, 6.25)  # degrees, a steered axle's tie rod in plan view
# These the whole linkage makes: bump steer [deg/mm], the roll centre, and how far the drawing board's lies from it.
MADE: Mapping[str, Usual] = {
    "bump_steer": Usual(0.0, 0.025, 0.025),
    "roll_centre_height": Usual(60.0, 65.0, 60.0),
}
HIGH_ROLL_CENTRE = Usual(300.0, 70.0, 70.0)  # of a live axle or a swing axle
TEXTBOOK_APART = Usual(0.0, 20.0, 20.0)
UNSTEERED_CASTER = Usual(3.0, 3.5, 3.5)
CAMBER_OF_A_BEAM = Usual(0.0, 2.0, 0.3125)
_RADIUS = Usual(0.41, 0.045, 0.05)  # loaded radius over half-track

# mm, ahead, out, up: beside the wheel centre, of what moves with the wheel and of all else; then of a link's end beside
# its other, and how much more for each mm of it; then of the left side beside the right.
_WITH_THE_WHEEL = np.array([30.0, 20.0, 35.0])
_ELSEWHERE = np.array([70.0, 50.0, 45.0])
_LINK, _LINK_GROWS = np.array([25.0, 20.0, 22.0]), np.array([0.25, 0.08, 0.08])
_SIDES_APART = np.array([12.0, 12.0, 12.0])


@dataclass(frozen=True)
class Entries:
    """An axle's points as its file has them: (..., points, 2, 3), ahead, out, up [mm]; wheel angles (..., 2) [rad].

    A point in the middle counts `out` to the left on the left side and to the right on the right one.
    """

    kind: SuspensionType
    points: Array
    camber: Array
    toe: Array

    @classmethod
    def of(cls, axle: Axle) -> "Entries":
        """An axle's entries."""
        points = np.stack([axle.points[key] for key in axle.suspension.keys])
        return cls(axle.suspension, points * _outward(), axle.camber, axle.toe)

    def at(self, key: str) -> Array:
        """A point (..., 2, 3)."""
        return np.asarray(self.points[..., self.kind.keys.index(key), :, :])

    def on(self, axle: Axle) -> Axle:
        """The axle with these entries instead of its own."""
        points = {key: self.at(key) * _outward() for key in self.kind.keys}
        return replace(axle, points=points, camber=self.camber, toe=self.toe)


def _outward() -> Array:
    return np.stack([np.ones(2), SIDES, np.ones(2)], axis=-1)


def typical_places(kind: SuspensionType) -> list[Array]:
    """The type's invented car as entries (points, 2, 3), in each way in which cars of the type are built.

    Tie rods and toe links lie ahead of the axle as well as behind it, rods across may have either end on the axle.
    """
    signs = np.where([point.single for point in kind.points], -1.0, 1.0)
    left = np.array([point.typical for point in kind.points], dtype=float)
    right = np.array([point.other_side or point.typical for point in kind.points], dtype=float)
    right[:, 1] *= signs
    ways = [np.stack([left, right], axis=1)]
    for keys, turned in _either_way(kind):
        flip = np.ones((len(kind.keys), 1, 3))
        flip[[kind.keys.index(key) for key in keys]] = turned
        ways += [way * flip for way in ways]
    watt = [number for number, key in enumerate(kind.keys) if key.startswith("watt")]
    if watt:
        ways += [_other_way_up(way, watt) for way in ways]
    return ways


def _other_way_up(places: Array, crank: list[int]) -> Array:
    """A Watt linkage whose left rod is where the right one was."""
    turned = places.copy()
    turned[crank] = places[crank][:, ::-1]
    return turned


def _either_way(kind: SuspensionType) -> Iterator[tuple[tuple[str, ...], tuple[float, float, float]]]:
    if kind.toe_link is not None:
        yield kind.toe_link, (-1.0, 1.0, 1.0)
    crank = tuple(key for key in kind.keys if key.startswith("watt"))
    if crank:
        yield crank, (-1.0, 1.0, 1.0)
    if isinstance(kind.drawing, RodAcross):
        yield (kind.drawing.on_axle, kind.drawing.on_chassis), (-1.0, 1.0, 1.0)
        yield (kind.drawing.on_axle, kind.drawing.on_chassis), (1.0, -1.0, 1.0)


@dataclass(frozen=True)
class Beside:
    """A point as seen from another: spreads (3,) [mm] of how far it lies ahead, outboard and above."""

    of: str
    seen_from: str
    spreads: Array


def beside(kind: SuspensionType) -> list[Beside]:
    """What is seen from what: every point from the wheel centre, and one end of whatever has two from its other."""
    if kind.listed:
        return []
    typical = {point.key: np.array(point.typical, dtype=float) for point in kind.points}
    pairs: list[Pair] = [(at, on) for on, at in kind.all_links]
    pairs += [(arm.pivot_front, arm.pivot_rear) for arm in kind.arms]
    pairs += [(hinge.first, hinge.second) for hinge in kind.hinges]
    pairs += [kind.steering_axis] if kind.steering_axis is not None else []
    pairs += [(kind.strut.low, kind.strut.top_mount)] if kind.strut is not None else []
    found = [
        Beside(of, other, _LINK + _LINK_GROWS * np.abs(typical[of] - typical[other]))
        for of, other in dict.fromkeys(pairs)
    ]
    places = [
        Beside(key, "wheel_centre", _WITH_THE_WHEEL if key in kind.on_upright else _ELSEWHERE)
        for key in kind.keys
        if key != "wheel_centre"
    ]
    return [*found, *places]


@dataclass(frozen=True)
class Seen:
    """How far points lie from others (..., pairs, 2, 3) [mm], what is usual, and how many spreads lie between."""

    pairs: list[Beside]
    away: Array
    usual: Array
    spreads: Array


def seen(entries: Entries) -> Seen:
    """What is seen from what, of the likeliest way in which cars of the type are built."""
    kind, pairs = entries.kind, beside(entries.kind)
    if not pairs:
        none = np.zeros((*entries.camber.shape[:-1], 0, 2, 3))
        return Seen([], none, none, none)
    of, other = ([kind.keys.index(getattr(one, end)) for one in pairs] for end in ("of", "seen_from"))
    away = entries.points[..., of, :, :] - entries.points[..., other, :, :]
    size = (entries.at("wheel_centre")[..., 1] / kind.points[kind.keys.index("wheel_centre")].typical[1])[
        ..., None, :, None
    ]
    spreads = np.stack([one.spreads for one in pairs])[:, None, :]
    ways = np.stack([(away / size - (way[of] - way[other])) / spreads for way in typical_places(kind)])
    likeliest = tailed(ways).sum(axis=(-1, -2, -3)).argmin(axis=0)
    chosen = np.take_along_axis(ways, likeliest[None, ..., None, None, None], axis=0)[0]
    return Seen(pairs, away, away - chosen * spreads * size, chosen)


def usual_of(kind: SuspensionType) -> dict[str, Usual]:
    """What is usual of the wheel angles and the steering axis of a type, where that is fixed in the upright."""
    usual = {"camber": CAMBER_OF_A_BEAM if kind.whole_axle else USUAL["camber"], "toe": USUAL["toe"]}
    if kind.steering_axis is not None:
        usual["caster"] = USUAL["caster"] if kind.rack else UNSTEERED_CASTER
        usual |= {key: USUAL[key] for key in ("kingpin_inclination", "scrub_radius")}
    return usual


def numbers(entries: Entries) -> dict[str, tuple[Array, Usual]]:
    """Derived numbers on both sides (..., 2), in degrees and mm, and what is usual of each."""
    kind, centre = entries.kind, entries.at("wheel_centre")
    camber, usual = entries.camber, usual_of(entries.kind)
    found = {"camber": np.degrees(camber), "toe": np.degrees(entries.toe)}
    if kind.steering_axis is not None:
        lower, upper = (entries.at(key) for key in kind.steering_axis)
        rise = np.maximum(upper[..., 2] - lower[..., 2], 1.0)
        inward = (lower[..., 1] - upper[..., 1]) / rise
        found["caster"] = np.degrees(np.arctan((lower[..., 0] - upper[..., 0]) / rise))
        found["kingpin_inclination"] = np.degrees(np.arctan(inward))
        contact = centre[..., 1] + centre[..., 2] * np.tan(camber)
        found["scrub_radius"] = contact - lower[..., 1] - lower[..., 2] * inward
    told = {key: (np.asarray(value), usual[key]) for key, value in found.items()}
    told["radius"] = np.asarray(centre[..., 2] / np.cos(camber) / np.maximum(centre[..., 1], 1.0)), _RADIUS
    if kind.rack and kind.toe_link is not None:
        along, across, _ = np.moveaxis(entries.at(kind.toe_link[1]) - entries.at(kind.toe_link[0]), -1, 0)
        told["aslant"] = np.degrees(np.arctan2(along, np.abs(across))), ASLANT
    return told


def apart(entries: Entries) -> Array:
    """How much the left side lies apart from the right one (..., points, 3), in spreads; noughts where it may."""
    may = [point.single or point.other_side is not None for point in entries.kind.points]
    return np.where(np.array(may)[:, None], 0.0, (entries.points[..., 0, :] - entries.points[..., 1, :]) / _SIDES_APART)


def unlikeliness(entries: Entries) -> Array:
    """-log of the density of such an axle (...), but for a constant: its sides on average, and their difference."""
    of_sides = tailed(seen(entries).spreads).sum(axis=(-3, -1))
    for value, usual in numbers(entries).values():
        of_sides = of_sides + tailed(usual.spreads(value))
    ahead = entries.at("wheel_centre")[..., 0] / _WITH_THE_WHEEL[0]
    return np.asarray((of_sides + tailed(ahead)).mean(axis=-1) + tailed(apart(entries)).sum(axis=(-1, -2)))


def tailed(spreads: Array) -> Array:
    """-log of the density of a number so many spreads off, but for a constant."""
    return np.asarray(0.5 * (_TAILS + 1.0) * np.log1p(spreads**2 / _TAILS))
