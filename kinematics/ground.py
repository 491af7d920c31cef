"""The body over level ground: its attitude, the wheels' contact points, and the travel that keeps them down.

The body is posed by the point O of its centre plane that lay on the floor when the car was measured:
heave is O's height change, roll turns the body about the x axis through O (positive: left side rises).
The ground frame has its origin under O; its axes are level.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kinematics.car import SIDES
from kinematics.states import CornerStates
from solvers.vectors import Array, Flags, components_last, dot, vector

LEVEL_TO = 1e-9  # mm; contact points are held to the ground this closely


@dataclass(frozen=True)
class Attitude:
    """Heave [mm, up positive] and roll [rad, left side up positive] of the body, shape (..., S) each."""

    heave: Array
    roll: Array

    @cached_property
    def sine(self) -> Array:
        """Sine of the roll, one for both sides (..., 1, S)."""
        return np.sin(self.roll)[..., None, :]

    @cached_property
    def cosine(self) -> Array:
        """Cosine of the roll, one for both sides (..., 1, S)."""
        return np.cos(self.roll)[..., None, :]

    @property
    def normal(self) -> Array:
        """The ground's upward normal in body axes, one for both sides (..., 1, S, 3)."""
        return vector(np.zeros_like(self.sine), self.sine, self.cosine)

    def to_ground(self, points: Array) -> Array:
        """Points of the body frame (..., 2, S, 3) in the ground frame: z is height over the ground."""
        turned = self.turned(points)
        turned[..., 2] += self.heave[..., None, :]
        return turned

    def turned(self, directions: Array) -> Array:
        """Directions of the body frame (..., 2, S, 3) in the ground frame."""
        x, y, z = directions[..., 0], directions[..., 1], directions[..., 2]
        out = np.empty((3, *np.broadcast(x, self.sine).shape))
        out[0] = x
        np.subtract(self.cosine * y, self.sine * z, out=out[1])
        np.add(self.sine * y, self.cosine * z, out=out[2])
        return components_last(out)

    def turned_in_front_view(self, y: Array, z: Array) -> tuple[Array, Array]:
        """Lateral and vertical part (..., 2, S) of directions of the body frame, in the ground frame."""
        return self.cosine * y - self.sine * z, self.sine * y + self.cosine * z


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


def expected_travel(half_track: float, attitude: Attitude) -> tuple[float, float]:
    """Range of wheel travel that an attitude will ask for, with a margin, low and high [mm]."""
    travel = -(attitude.heave[..., None, :] + half_track * SIDES[:, None] * attitude.sine)
    margin = 5.0 + 0.05 * float(np.abs(travel).max(initial=0.0))
    return float(travel.min()) - margin, float(travel.max()) + margin
