"""Corners under way: where wheels, moving parts and points of an axle are at any wheel travel, relative to the body."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.suspension_type import CHASSIS, Pair
from kinematics.motion.linkage import UPRIGHT
from solvers.positions import Positions, carried
from solvers.rotations import rotate_points
from solvers.vectors import Array, Flags, cross, dot


@dataclass(frozen=True)
class Motion:
    """How the part that carries the wheel moves, per mm of this wheel's travel.

    centre: of the wheel centre (..., 2, S, 3); turn: rotation [rad/mm].
    """

    centre: Array
    turn: Array

    def at(self, point: Array, wheel_centre: Array) -> Array:
        """Motion of that part's material point at a place (..., 2, S, 3)."""
        return np.asarray(self.centre + cross(self.turn, point - wheel_centre))


@dataclass(frozen=True)
class CornerStates:
    """Solved states of both corners in the body's own axes; arrays (..., 2, S, 3) or (..., 2, S).

    positions: of the moving parts, the first one's reference point being the wheel centre; their motion is that of
    both wheels moved together. opposite: the motion where the other wheel goes the other way, None where the wheels
    know nothing of each other. start: the parts' reference points as measured (..., 2, bodies, 3).
    released: the motion as one link's length changes [per mm], wheel-centre height held; None on live axles.
    """

    axle: Axle
    travel: Array
    positions: Positions
    start: Array
    opposite: Motion | None = None
    released: Callable[[Pair], Motion] | None = None

    @property
    def reached(self) -> Flags:
        """False where the travel lies outside what the linkage can reach (..., 2, S)."""
        return self.positions.reached

    @property
    def wheel_centre(self) -> Array:
        """Wheel centres [mm]."""
        return self.positions.position[..., UPRIGHT, :]

    @property
    def together(self) -> Motion:
        """Motion with both wheels going the same way."""
        return Motion(self.positions.velocity[..., UPRIGHT, :], self.positions.spin[..., UPRIGHT, :])

    @property
    def in_roll(self) -> Motion:
        """Motion with the wheels going opposite ways; on independent corners the same as together."""
        return self.opposite or self.together

    @property
    def wheel_centre_rate(self) -> Array:
        """Motion of the wheel centre per mm of travel."""
        return self.together.centre

    @property
    def turn_rate(self) -> Array:
        """Rotation of the wheel's part per mm of travel [rad/mm]."""
        return self.together.turn

    @property
    def rotation(self) -> Array:
        """Rotation matrices of the wheel's part since measured (..., 2, S, 3, 3)."""
        return self.positions.rotation[..., UPRIGHT, :, :]

    @cached_property
    def spin_axis(self) -> Array:
        """Outward unit vector of the wheel's spin axis."""
        return self._arms[0]

    @cached_property
    def spin_axis_rate(self) -> Array:
        """Change of the spin axis per mm of travel [1/mm]."""
        return cross(self.turn_rate, self.spin_axis)

    def point(self, key: str) -> Array:
        """Where a measured point is now, whatever carries it [mm]."""
        return np.broadcast_to(self.points[key], self.wheel_centre.shape)

    @cached_property
    def points(self) -> dict[str, Array]:
        """Where all measured points are now [mm]; those on the chassis have a states axis of length one."""
        kind = self.axle.suspension
        points = {key: point[..., None, :] for key, point in self.axle.points.items()}
        points["wheel_centre"] = self.wheel_centre
        for key, arm in zip(self._on_upright, self._arms[1:], strict=True):
            points[key] = self.wheel_centre + arm
        for key, carrier in kind.carriers.items():
            if carrier not in (CHASSIS, kind.bodies[UPRIGHT]):
                points[key] = self._on_body(kind.bodies.index(carrier), self.axle.points[key])
        return points

    @cached_property
    def steering_axis(self) -> tuple[Array, Array] | None:
        """Lower and upper point of each steering axis; None where the type has none.

        Without a fixed axis it is the instantaneous one about which the upright turns as the toe link's length
        changes, with the wheel centre's height held.
        """
        kind = self.axle.suspension
        if kind.steering_axis is not None:
            lower, upper = kind.steering_axis
            return self.points[lower], self.points[upper]
        if self.released is None or kind.toe_link is None or not kind.has_steering_axis:
            return None
        twist = self.released(kind.toe_link)
        spin = twist.turn
        along = spin / np.sqrt(dot(spin, spin))[..., None]
        # Upwards, whichever way the link turns it.
        along = along * np.where(along[..., 2] < 0.0, -1.0, 1.0)[..., None]
        foot = self.wheel_centre + cross(spin, twist.centre) / dot(spin, spin)[..., None]
        reach = self.axle.radius[..., None, None] * along
        return foot - reach, foot + reach

    def _on_body(self, body: int, measured: Array) -> Array:
        arm = (measured - self.start[..., body, :])[..., None, :]
        return carried(self.positions.rotation[..., body, :, :], self.positions.position[..., body, :], arm)

    @property
    def _on_upright(self) -> tuple[str, ...]:
        kind = self.axle.suspension
        return tuple(key for key in kind.keys if key in kind.on_upright and key != "wheel_centre")

    @cached_property
    def _arms(self) -> list[Array]:
        """Spin axis, then the arm from the wheel centre to each point on the upright."""
        centre = self.axle.points["wheel_centre"]
        arms = (self.axle.points[key] - centre for key in self._on_upright)
        whole = np.zeros((*self.axle.batch_shape, 2, 3))
        measured = np.stack(np.broadcast_arrays(self.axle.spin_axis, *arms, whole)[:-1])
        rotation = np.moveaxis(self.rotation, (-2, -1), (0, 1))
        turned = rotate_points(rotation, np.moveaxis(measured, -1, 0))
        return list(np.moveaxis(turned, (0, 1), (-1, 0)))
