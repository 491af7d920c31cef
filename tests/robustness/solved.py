"""Solved positions checked anew in plain NumPy: each checker tells every car's worst miss [mm], infinite for NaN.

Nothing here asks the solver whether it is content: lengths, axes and meeting points are measured on the positions.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kinematics import Axle
from kinematics.car.car import SIDES
from kinematics.car.suspension_type import CHASSIS
from kinematics.motion.states import CornerStates
from solvers.vectors import Array, Flags

HOLDS = 1e-8  # mm; the solver promises 1e-9 of each length, of which a part's distances add up a few


@dataclass(frozen=True)
class Solved:
    """What was solved for N cars: points (N, 2, S, 3) by key, places (N, 2, S, bodies, 3) and turns (..., 3, 3)."""

    axle: Axle
    travel: Array
    reached: Flags
    points: dict[str, Array]
    place: Array
    turned: Array
    start: Array

    @classmethod
    def of(cls, states: CornerStates) -> "Solved":
        axle, pose = states.axle, states.positions
        points = {key: states.point(key) for key in axle.suspension.keys}
        travel = np.broadcast_to(states.travel, states.reached.shape)
        return cls(axle, travel, states.reached, points, pose.position, pose.rotation, states.start)

    def measured(self, key: str) -> Array:
        """A point as measured (N, 2, 1, 3)."""
        return np.broadcast_to(self.axle.points[key], (*self.axle.batch_shape, 2, 3))[..., None, :]

    def on(self, body: str, key: str) -> Array:
        """Where a body has a point that it shares with another."""
        if body == CHASSIS:
            return self.measured(key)
        index = self.axle.suspension.bodies.index(body)
        arm = self.measured(key) - self.start[..., None, index, :]
        return self.place[..., index, :] + (self.turned[..., index, :, :] @ arm[..., None])[..., 0]

    def worst(self, off: Array) -> Array:
        """The worst (N,) of what is off (N, 2, S), where reached."""
        off = np.where(np.isfinite(off), np.abs(off), np.inf)
        return np.asarray(np.where(self.reached, off, 0.0).max(axis=(-2, -1)))


def _apart(a: Array, b: Array) -> Array:
    return np.asarray(np.linalg.norm(a - b, axis=-1))


def lengths(solved: Solved) -> Array:
    """Links, against their measured lengths."""
    kind = solved.axle.suspension
    worst = np.zeros(solved.axle.batch_shape)
    for pair in kind.all_links:
        if kind.bushed is None or pair not in kind.bushed:
            worst = np.maximum(worst, solved.worst(_stretched(solved, pair)))
    if kind.bushed is not None:
        upper, lower = (_stretched(solved, pair) for pair in kind.bushed)
        # Equal bushes leave what is equal and opposite across both pairs.
        across = upper[..., :1, :] + lower[..., :1, :] + 0.0 * upper
        sums = (upper + upper[..., ::-1, :], lower + lower[..., ::-1, :], across)
        worst = np.maximum(worst, np.max([solved.worst(one) for one in sums], axis=0))
    return worst


def _stretched(solved: Solved, pair: tuple[str, str]) -> Array:
    now = _apart(solved.points[pair[0]], solved.points[pair[1]])
    return np.asarray(now - _apart(solved.measured(pair[0]), solved.measured(pair[1])))


def rigid(solved: Solved) -> Array:
    """Distances within a part, and its handedness: no part is bent or turned inside out."""
    kind = solved.axle.suspension
    worst = np.zeros(solved.axle.batch_shape)
    for body in kind.bodies:
        keys = kind.points_on(body)
        for first in keys[:3]:
            for second in keys:
                here = solved.points[first] if kind.carriers[first] == body else solved.on(body, first)
                there = solved.points[second] if kind.carriers[second] == body else solved.on(body, second)
                off = _apart(here, there) - _apart(solved.measured(first), solved.measured(second))
                worst = np.maximum(worst, solved.worst(off))
        if len(keys) > 3:
            worst = np.maximum(worst, _inside_out(solved, body, keys))
    return worst


def _inside_out(solved: Solved, body: str, keys: tuple[str, ...]) -> Array:
    """Change of the volume that four points of a part span, as the length of a cube's edge would tell it."""

    def volume(at: Callable[[str], Array]) -> Array:
        a, b, c = (at(key) - at(keys[0]) for key in keys[1:4])
        return np.asarray((np.cross(a, b) * c).sum(axis=-1))

    def where(key: str) -> Array:
        return solved.points[key] if solved.axle.suspension.carriers[key] == body else solved.on(body, key)

    area = np.max([_apart(where(key), where(keys[0])) for key in keys[1:4]], axis=0) ** 2
    return solved.worst((volume(where) - volume(solved.measured)) / np.maximum(area, 1.0))


def joints(solved: Solved) -> Array:
    """Hinges and ball joints: both parts have their points in one place; rests keep their height."""
    kind = solved.axle.suspension
    worst = np.zeros(solved.axle.batch_shape)
    shared = [(one.part, one.on, key) for one in kind.hinges for key in (one.first, one.second)]
    for part, on, key in shared + [(one.part, one.on, one.at) for one in kind.balls]:
        worst = np.maximum(worst, solved.worst(_apart(solved.on(part, key), solved.on(on, key))))
    for rest in kind.height_supports:
        worst = np.maximum(worst, solved.worst((solved.points[rest.at] - solved.measured(rest.at))[..., 2]))
    for key in kind.single:
        worst = np.maximum(worst, solved.worst(_apart(solved.points[key], solved.points[key][..., ::-1, :, :])))
    return worst


def strut(solved: Solved) -> Array:
    """How far the top mount lies off the strut's axis, which is fixed in its part."""
    kind = solved.axle.suspension
    if kind.strut is None:
        return np.zeros(solved.axle.batch_shape)
    low, top = kind.strut.low, kind.strut.top_mount
    along = solved.measured(top) - solved.measured(low)
    index = kind.bodies.index(kind.carriers[low])
    axis = (solved.turned[..., index, :, :] @ along[..., None])[..., 0]
    axis = axis / np.linalg.norm(axis, axis=-1, keepdims=True)
    return solved.worst(np.linalg.norm(np.cross(solved.points[top] - solved.points[low], axis), axis=-1))


def travel(solved: Solved) -> Array:
    """Wheel centres, against the travel asked for."""
    rise = solved.points["wheel_centre"][..., 2] - solved.measured("wheel_centre")[..., 2]
    return solved.worst(rise - solved.travel)


def standing(solved: Solved, heave: Array, roll: Array) -> Array:
    """Heights of the discs' lowest points over the ground, for a body heaved and rolled (S,)."""
    normal = np.stack([np.zeros_like(roll), np.sin(roll), np.cos(roll)], axis=-1)
    axis = spin_axis(solved)
    lean = (axis * normal).sum(axis=-1)
    down = (normal - lean[..., None] * axis) / np.sqrt(1.0 - lean**2)[..., None]
    radius = solved.measured("wheel_centre")[..., 0, 2] / np.cos(
        np.broadcast_to(solved.axle.camber, (*solved.axle.batch_shape, 2))
    )
    contact = solved.points["wheel_centre"] - radius[..., None, None] * down
    return solved.worst((contact * normal).sum(axis=-1) + heave)


def spin_axis(solved: Solved) -> Array:
    """Outward spin axes (N, 2, S, 3) in body axes."""
    camber, toe = (np.broadcast_to(one, (*solved.axle.batch_shape, 2)) for one in (solved.axle.camber, solved.axle.toe))
    flat = np.cos(camber)
    measured = np.stack([flat * np.sin(toe), SIDES * flat * np.cos(toe), -np.sin(camber)], axis=-1)
    return np.asarray((solved.turned[..., 0, :, :] @ measured[..., None, :, None])[..., 0])


CHECKS: dict[str, Callable[[Solved], Array]] = {
    "link lengths": lengths,
    "parts rigid": rigid,
    "joints together": joints,
    "strut through its top mount": strut,
    "travel as asked": travel,
}
