"""Centre of gravity from scales under the wheels: along and across from level pads, its height from a raised axle.

Statics of a rigid car: moments of the wheel loads about an axle and about the centre plane. Raised at one end by an
angle, the centre of gravity moves over towards the low axle by its height over the line through the hubs times the
sine of it: with wheels of one radius r, height = r + wheelbase (low axle's load raised - level) / (mass tan(angle))
(formula; found in books on vehicle dynamics, from memory). Here wheels may differ, and the hubs give the angle. The
springs must be blocked, for a body that moves on them is not rigid; tyres are taken as not squashed further.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from kinematics.doubt.assessment import NORMAL_95
from solvers.tangents import derivatives
from solvers.vectors import Array

FRONT, REAR = 0, 1
_PADS, _BASE, _TRACKS, _LOW, _LIFT, _RADII = slice(0, 4), 4, slice(5, 7), slice(7, 9), 9, slice(10, 12)
KEYS = ("total", "front_share", "left_share", "cross_weight", "behind_front", "aside")
HEIGHT = "up"


@dataclass(frozen=True)
class Known:
    """A value and half of its 95 % interval, to first order."""

    value: float
    either_way_95: float


@dataclass(frozen=True)
class Raised:
    """One axle on blocks.

    end: which, FRONT or REAR; by: how much higher its wheels stand [mm]; low: what the two pads show under the wheels
    that stayed down, left and right (2,) [kg]; radii: loaded, front and rear (2,) [mm].
    """

    end: int
    by: float
    low: Array
    radii: Array


@dataclass(frozen=True)
class Added:
    """A mass put aboard after weighing, or taken out (negative) [kg], and its place.

    ahead of the front wheel centres, out to the left, up from the ground [mm].
    """

    what: str
    mass: float
    ahead: float
    out: float
    up: float


@dataclass(frozen=True)
class Weighing:
    """What was read. load: by axle and side (2, 2) [kg]; wheelbase [mm]; tracks: front and rear (2,) [mm].

    known_to: one standard deviation of a pad [kg]; lengths_known_to: of the wheelbase and the tracks, lift_known_to: of
    the lift and the radii [mm].
    """

    load: Array
    wheelbase: float
    tracks: Array
    known_to: float
    lengths_known_to: float
    raised: Raised | None = None
    lift_known_to: float = 2.0
    added: tuple[Added, ...] = ()


@dataclass(frozen=True)
class Weighed:
    """Where the weight is. load: on each wheel (2, 2) [kg].

    values: total [kg]; front_share, left_share, cross_weight, as parts of one; behind_front: behind the front wheel
    centres, aside: to the left of the centre plane [mm]; up: over the ground [mm], where an axle was raised.
    """

    load: Array
    values: Mapping[str, Known]


def weighed(weighing: Weighing) -> Weighed:
    """Where the weight of a car is as it stood on the scales."""
    values, known_to = _inputs(weighing)
    return Weighed(weighing.load, _known(weighing, values, known_to, ()))


def ready_to_race(weighing: Weighing) -> Weighed:
    """The same with what was added after. Wheels share its weight by their distances from it, axle by axle."""
    values, known_to = _inputs(weighing)
    load = weighing.load + sum((_on_wheels(weighing, one) for one in weighing.added), np.zeros((2, 2)))
    return Weighed(load, _known(weighing, values, known_to, weighing.added))


def _known(weighing: Weighing, values: Array, known_to: Array, added: tuple[Added, ...]) -> dict[str, Known]:
    def found(inputs: Array) -> Array:
        return _numbers(inputs, weighing, added)

    told = found(values)
    spread = NORMAL_95 * np.sqrt(((derivatives(found, values) * known_to) ** 2).sum(axis=-1))
    keys = KEYS if weighing.raised is None else (*KEYS, HEIGHT)
    return {key: Known(float(one), float(way)) for key, one, way in zip(keys, told, spread, strict=True)}


def _inputs(weighing: Weighing) -> tuple[Array, Array]:
    """All readings in one row, and one standard deviation of each."""
    lengths, pad = weighing.lengths_known_to, weighing.known_to
    values = [*weighing.load.ravel(), weighing.wheelbase, *weighing.tracks]
    known_to = [pad] * 4 + [lengths] * 3
    raised = weighing.raised
    if raised is not None:
        values += [*raised.low, raised.by, *raised.radii]
        known_to += [pad] * 2 + [weighing.lift_known_to] * 3
    return np.array(values, dtype=float), np.array(known_to, dtype=float)


def _numbers(inputs: Array, weighing: Weighing, added: tuple[Added, ...]) -> Array:
    """The numbers (..., k) of readings (..., n); algebra carries imaginary parts."""
    load = inputs[..., _PADS].reshape(*inputs.shape[:-1], 2, 2)
    base, tracks = inputs[..., _BASE], inputs[..., _TRACKS]
    total = load.sum(axis=(-2, -1))
    rear = load[..., REAR, :].sum(axis=-1)
    behind = base * rear / total
    aside = (0.5 * tracks * (load[..., 0] - load[..., 1])).sum(axis=-1) / total
    up = None if weighing.raised is None else _height(inputs, weighing.raised.end, total, behind)
    diagonal = load[..., FRONT, 1] + load[..., REAR, 0]
    for one in added:
        whole = total + one.mass
        behind = (total * behind - one.mass * one.ahead) / whole
        aside = (total * aside + one.mass * one.out) / whole
        up = None if up is None else (total * up + one.mass * one.up) / whole
        diagonal = diagonal + sum(_parts(one, base, tracks)[i][1 - i] for i in (FRONT, REAR))
        total = whole
    left = 0.5 + _left_more(load, tracks, added, base) / total
    numbers = [total, 1.0 - behind / base, left, diagonal / total, behind, aside]
    return np.stack([*numbers, *([] if up is None else [up])], axis=-1)


def _left_more(load: Array, tracks: Array, added: tuple[Added, ...], base: Array) -> Array:
    """Half of what the left wheels carry more than the right ones."""
    more = 0.5 * (load[..., 0] - load[..., 1]).sum(axis=-1)
    for one in added:
        parts = _parts(one, base, tracks)
        more = more + 0.5 * sum(left - right for left, right in parts)
    return np.asarray(more)


def _parts(one: Added, base: Array, tracks: Array) -> list[tuple[Array, Array]]:
    """What an added mass puts on the left and right wheel of each axle [kg]."""
    on_rear = -one.mass * one.ahead / base
    axles = (one.mass - on_rear, on_rear)
    return [
        (on * (0.5 + one.out / tracks[..., i]), on * (0.5 - one.out / tracks[..., i])) for i, on in enumerate(axles)
    ]


def _on_wheels(weighing: Weighing, one: Added) -> Array:
    return np.array(_parts(one, np.asarray(weighing.wheelbase), weighing.tracks), dtype=float)


def _height(inputs: Array, end: int, total: Array, behind: Array) -> Array:
    """Height over the ground, by moments about the raised wheels' contact with their blocks, level and raised."""
    base, low = inputs[..., _BASE], inputs[..., _LOW].sum(axis=-1)
    radii = inputs[..., _RADII]
    high_radius, low_radius = radii[..., end], radii[..., 1 - end]
    # The line of the hubs stands at this angle to the floor more than before: its ends rise by the lift alone.
    before = (high_radius - low_radius) / base
    after = (inputs[..., _LIFT] + high_radius - low_radius) / _hub_distance(base, high_radius - low_radius)
    sine = _sine_of_difference(after, before / np.sqrt(1.0 + before**2))
    cosine = np.sqrt(1.0 - sine**2)
    # From the raised hub, level: the centre of gravity lies `ahead` of it towards the low end and `over` it.
    ahead = base - behind if end == REAR else behind
    part = low / total
    reach = base * cosine + (low_radius - high_radius) * sine
    over = (part * reach - ahead * cosine) / sine
    return np.asarray(over + high_radius)


def _hub_distance(base: Array, difference: Array) -> Array:
    return np.asarray(np.sqrt(base**2 + difference**2))


def _sine_of_difference(after: Array, before: Array) -> Array:
    """Sine of the difference of two angles, of their sines."""
    return np.asarray(after * np.sqrt(1.0 - before**2) - before * np.sqrt(1.0 - after**2))
