"""The body over level ground: its attitude, the wheels' contact points, and the travel that keeps them down.

The body is posed by the point O of its centre plane that lay on the floor when the car was measured:
heave is O's height change, roll turns the body about the x axis through O (positive: left side rises).
The ground frame has its origin under O; its axes are level.
"""

from dataclasses import dataclass

import numpy as np

from kinematics.car import SIDES
from kinematics.corners import Corners, CornerStates
from solvers.vectors import Array, Flags, dot, vector

_LEVEL_TO = 1e-9  # mm; contact points are held to the ground this closely


@dataclass(frozen=True)
class Attitude:
    """Heave [mm, up positive] and roll [rad, left side up positive] of the body, shape (..., S) each."""

    heave: Array
    roll: Array

    @property
    def normal(self) -> Array:
        """The ground's upward normal in body axes, one for both sides (..., 1, S, 3)."""
        roll = self.roll[..., None, :]
        return vector(np.zeros_like(roll), np.sin(roll), np.cos(roll))

    def to_ground(self, points: Array) -> Array:
        """Points of the body frame (..., 2, S, 3) in the ground frame: z is height over the ground."""
        turned = self.turned(points)
        turned[..., 2] += self.heave[..., None, :]
        return turned

    def turned(self, directions: Array) -> Array:
        """Directions of the body frame (..., 2, S, 3) in the ground frame."""
        sine, cosine = np.sin(self.roll)[..., None, :], np.cos(self.roll)[..., None, :]
        y, z = directions[..., 1], directions[..., 2]
        return vector(directions[..., 0], cosine * y - sine * z, sine * y + cosine * z)


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


def stand_on_ground(corners: Corners, attitude: Attitude) -> Standing:
    """Find the travel of each corner at which its contact point lies on level ground."""
    path, disc = corners.path, corners.disc
    low, high = path.low[..., None], path.high[..., None]
    radius = corners.axle.radius[..., None]
    centre_z = corners.axle.points["wheel_centre"][..., 2, None]
    sine, cosine = np.sin(attitude.roll)[..., None, :], np.cos(attitude.roll)[..., None, :]
    heave = attitude.heave[..., None, :]
    half_track = corners.axle.points["wheel_centre"][..., 1, None]
    travel = np.clip(-(heave + half_track * sine), low, high)
    for _ in range(12):
        values, slopes = disc.with_slopes(travel)
        lean = sine * values[..., 1, :] + cosine * values[..., 2, :]
        lean_slope = sine * slopes[..., 1, :] + cosine * slopes[..., 2, :]
        upright = np.sqrt(1.0 - lean * lean)
        height = sine * values[..., 0, :] + cosine * (centre_z + travel) - radius * upright + heave
        slope = sine * slopes[..., 0, :] + cosine + radius * lean * lean_slope / upright
        step = -height / slope
        inside = (travel + step >= low) & (travel + step <= high)
        travel = np.clip(travel + step, low, high)
        if not (inside & (np.abs(step) > _LEVEL_TO)).any():
            break
    missed = ~inside | ~(np.abs(step) <= _LEVEL_TO)
    above = height > 0.0
    return Standing(travel, missed & above & ~inside, missed & ~above & ~inside, missed & inside)


def expected_travel(half_track: float, attitude: Attitude) -> tuple[float, float]:
    """Range of wheel travel that an attitude will ask for, with a margin, low and high [mm]."""
    travel = -(attitude.heave[..., None, :] + half_track * SIDES[:, None] * np.sin(attitude.roll)[..., None, :])
    margin = 5.0 + 0.05 * float(np.abs(travel).max(initial=0.0))
    return float(travel.min()) - margin, float(travel.max()) + margin
