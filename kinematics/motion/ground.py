"""The body over level ground: its attitude, the wheels' contact points, and the travel that keeps them down.

The body is posed by the point O of its centre plane that lay on the floor when the car was measured:
heave is O's height change, roll turns the body about the x axis through O (positive: left side rises), and pitch then
about the level y axis through O (positive: the nose goes down).
The ground frame has its origin under O; its axes are level.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDES, Axle
from kinematics.motion.states import CornerStates
from solvers.tangents import tangent
from solvers.vectors import Array, Flags, Index, components_last, dot, vector

LEVEL_TO = 1e-9  # mm; contact points are held to the ground this closely
_MOST_STEPS = 12
_MOST_HALVINGS = 4  # of steps out of reach
_MARGIN = 0.15  # of the travel expected: contact points wander sideways, and then need more


@dataclass(frozen=True)
class Attitude:
    """Heave [mm, up positive] and roll [rad, left side up positive] of the body, shape (..., S) each.

    pitch: [rad, nose down positive], None where the body does not pitch.
    """

    heave: Array
    roll: Array
    pitch: Array | None = None

    @cached_property
    def sine(self) -> Array:
        """Sine of the roll, one for both sides (..., 1, S)."""
        return np.sin(self.roll)[..., None, :]

    @cached_property
    def cosine(self) -> Array:
        """Cosine of the roll, one for both sides (..., 1, S)."""
        return np.cos(self.roll)[..., None, :]

    @cached_property
    def nose(self) -> tuple[Array, Array]:
        """Sine and cosine of the pitch, one for both sides (..., 1, S); (0, 1) where there is none."""
        pitch = np.zeros_like(self.roll) if self.pitch is None else self.pitch
        return np.sin(pitch)[..., None, :], np.cos(pitch)[..., None, :]

    def at(self, chosen: Index | slice) -> "Attitude":
        """Some of the states."""
        pitch = None if self.pitch is None else self.pitch[..., chosen]
        return Attitude(self.heave[..., chosen], self.roll[..., chosen], pitch)

    @cached_property
    def normal(self) -> Array:
        """The ground's upward normal in body axes, one for both sides (..., 1, S, 3)."""
        if self.pitch is None:
            return vector(np.zeros_like(self.sine), self.sine, self.cosine)
        down, level = self.nose
        return vector(-down + np.zeros_like(self.sine), level * self.sine, level * self.cosine)

    def to_ground(self, points: Array) -> Array:
        """Points of the body frame (..., 2, S, 3) in the ground frame: z is height over the ground."""
        ground = self.in_ground_axes(points)
        ground[..., 2] += self.heave[..., None, :]
        return ground

    def in_ground_axes(self, directions: Array) -> Array:
        """Directions of the body frame (..., 2, S, 3) in the ground frame."""
        x, y, z = directions[..., 0], directions[..., 1], directions[..., 2]
        out = np.empty((3, *np.broadcast(x, self.sine).shape), np.result_type(x, self.sine))
        out[0] = x
        np.subtract(self.cosine * y, self.sine * z, out=out[1])
        np.add(self.sine * y, self.cosine * z, out=out[2])
        if self.pitch is not None:
            down, level = self.nose
            out[0], out[2] = level * out[0] + down * out[2], level * out[2] - down * out[0]
        return components_last(out)

    def in_ground_axes_in_front_view(self, y: Array, z: Array) -> tuple[Array, Array]:
        """Lateral and vertical part (..., 2, S), in the ground frame, of directions that lie across the body frame."""
        across, up = self.cosine * y - self.sine * z, self.sine * y + self.cosine * z
        return across, up if self.pitch is None else up * self.nose[1]


def attitude_at(heave: Array, roll: Array, pitch: float = 0.0) -> Attitude:
    """The body at heaves [mm] and rolls [rad] (..., S), all at one pitch [rad, nose down positive]."""
    return Attitude(heave, roll, np.full(np.shape(roll)[-1:], pitch) if pitch else None)


def contact_points(states: CornerStates, normal: Array) -> Array:
    """Lowest point of each wheel's disc along the ground's normal (..., 2, S, 3), body axes [mm]."""
    axis = states.spin_axis
    lean = dot(normal, axis)
    scale = states.axle.radius[..., None] / np.sqrt(1.0 - lean * lean)
    return np.asarray(states.wheel_centre - scale[..., None] * (normal - lean[..., None] * axis))


@dataclass(frozen=True)
class Standing:
    """Wheel travel (..., 2, S) that puts both contact points on the ground; low, high: it ran out at that end.

    turned_over: the contact point reaches no lower although the linkage would still move.
    """

    travel: Array
    low: Flags
    high: Flags
    turned_over: Flags


class Movable(Protocol):
    """What can be moved to wheel travels (..., 2, S)."""

    def at(self, travel: Array) -> CornerStates:
        """States at those travels."""


def on_the_ground(corners: Movable, standing: Standing, attitude: Attitude) -> Standing:
    """Give travels that were found without tangents those that keep the contact points on the ground.

    Only where something stands, and is not there yet: to find anew that a linkage locks takes long.
    """
    travel = np.array(standing.travel, dtype=complex)
    lost = standing.low | standing.high | standing.turned_over
    under_way = np.flatnonzero(~lost.any(axis=-2).reshape(-1, lost.shape[-1]).all(axis=0))
    for _ in range(_MOST_STEPS):
        here, there = attitude.at(under_way), travel[..., under_way]
        states, contact, height = _heights(corners, there, here)
        off = states.reached & (np.abs(tangent(height)) > LEVEL_TO)
        if not off.any():
            break
        travel[..., under_way] = there - 1j * height_steps(states, contact, here, height).imag
        under_way = under_way[off.reshape(-1, off.shape[-1]).any(axis=0)]
    return replace(standing, travel=travel)


def brought_down(
    corners: Movable, travel: Array, attitude: Attitude, low: Array | float = -np.inf, high: Array | float = np.inf
) -> tuple[Array, CornerStates, Array]:
    """Bring contact points to the ground by Newton's steps of travel (..., 2, S), kept within low..high.

    Returned: the travel, the states there and the heights that are left. A step out of what can be reached is halved;
    what cannot be brought down that way is left where it first could not be reached. Only what is not there yet is
    looked at again: to find anew that a linkage locks takes long.
    """
    travel = np.array(travel)
    last, beyond, halved = np.zeros_like(travel), np.full_like(travel, np.nan), np.zeros(travel.shape, dtype=int)
    under_way = np.arange(travel.shape[-1])
    for _ in range(_MOST_STEPS):
        here, there, before = attitude.at(under_way), travel[..., under_way], last[..., under_way]
        states, contact, height = _heights(corners, there, here)
        free = states.reached & (there > low) & (there < high)
        off, lost = free & (np.abs(height) > LEVEL_TO), ~states.reached
        lost &= halved[..., under_way] < _MOST_HALVINGS
        if not (off | lost).any():
            break
        halved[..., under_way] += lost
        beyond[..., under_way] = np.where(lost & np.isnan(beyond[..., under_way]), there, beyond[..., under_way])
        step = np.where(free, _finite(height_steps(states, contact, here, height)), 0.0)
        last[..., under_way] = np.where(lost, before, there)
        travel[..., under_way] = np.clip(np.where(lost, 0.5 * (before + there), there - step), low, high)
        under_way = under_way[(off | lost).reshape(-1, off.shape[-1]).any(axis=0)]
    states, _, height = _heights(corners, travel, attitude)
    gone = ~np.isnan(beyond) & (~states.reached | ~(np.abs(height) <= LEVEL_TO))
    if gone.any():
        travel = np.where(gone, beyond, travel)
        states, _, height = _heights(corners, travel, attitude)
    return travel, states, height


def _finite(steps: Array) -> Array:
    """No step where a height does not change with travel."""
    return np.where(np.isfinite(steps), steps, 0.0)


def _heights(corners: Movable, travel: Array, attitude: Attitude) -> tuple[CornerStates, Array, Array]:
    """The states at a travel, their contact points in body axes and the heights of these over the ground."""
    states = corners.at(travel)
    contact = contact_points(states, attitude.normal)
    return states, contact, attitude.to_ground(contact)[..., 2]


def height_steps(states: CornerStates, contact: Array, attitude: Attitude, height: Array) -> Array:
    """Newton's steps of both wheels' travel (..., 2, S) to bring the contact points' heights to zero.

    On a live axle they are only nearly Newton's, where its sides are not built alike.

    The lowest point of a disc moves along the ground over the wheel, so its height changes as its material point's.
    """
    together = dot(attitude.normal, states.together.at(contact, states.wheel_centre))
    if states.opposite is None:
        return np.asarray(height / together)
    opposite = dot(attitude.normal, states.in_roll.at(contact, states.wheel_centre))
    # In roll, rates are per mm of each wheel's own travel.
    mean, half_difference = height.sum(axis=-2) / 2.0, (height[..., LEFT, :] - height[..., RIGHT, :]) / 2.0
    sum_of, difference_of = together.mean(axis=-2), opposite.mean(axis=-2)
    return np.asarray((mean / sum_of)[..., None, :] + SIDES[:, None] * (half_difference / difference_of)[..., None, :])


def expected_travel(axle: Axle, attitude: Attitude) -> tuple[float, float]:
    """Range of wheel travel that an attitude will ask of an axle, with a margin, low and high [mm]."""
    half_track = float(np.abs(axle.points["wheel_centre"][..., 1]).max())
    travel = -(attitude.heave[..., None, :] + half_track * SIDES[:, None] * attitude.sine)
    if attitude.pitch is not None:
        # The body's vertical leans, so that a wheel goes farther along it to the same height.
        level = attitude.nose[1]
        travel = (travel + float(axle.radius.real.max()) * (1.0 - level)) / level
    margin = 5.0 + _MARGIN * float(np.abs(travel).max(initial=0.0))
    return float(travel.min(initial=0.0)) - margin, float(travel.max(initial=0.0)) + margin
