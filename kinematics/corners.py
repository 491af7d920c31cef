"""Corners under way: where wheel, upright and points of an axle are at any wheel travel, relative to the body."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kinematics.car import SIDE_NAMES, Axle
from kinematics.lengths import INCH
from kinematics.linkage import UPRIGHT, corner_linkage
from solvers.chebyshev import Series
from solvers.path import Path, Positions, carried, trace
from solvers.rotations import matrix, rotate
from solvers.vectors import Array, Flags, cross


@dataclass(frozen=True)
class Corners:
    """Both corners of an axle with the path of each upright traced over a range of travel."""

    axle: Axle
    path: Path

    def at(self, travel: Array) -> "CornerStates":
        """States at wheel travel (..., 2, S) [mm], bump positive."""
        return CornerStates(self.axle, travel, self.path.at(travel))

    @cached_property
    def disc(self) -> Series:
        """Wheel-centre y, spin-axis y and z as polynomials of travel (..., 2, 3, nodes)."""
        pose = self.path.node_pose
        rotation = matrix(np.moveaxis(pose.quaternion[..., UPRIGHT, :], -1, 0))
        axis = rotate(rotation, np.moveaxis(self.axle.spin_axis[..., None, :], -1, 0))
        lateral = pose.position[..., UPRIGHT, 1]
        return self.path.fit(np.stack([lateral, axis[1], axis[2]], axis=-2))

    def why_short(self, side: int, *, low: bool) -> str:
        """One sentence on the end of a corner's path: at what travel it locks and which links hold it."""
        lock, travel = (self.path.lock_low, self.path.low) if low else (self.path.lock_high, self.path.high)
        share = lock.share.reshape(-1, 2, lock.share.shape[-1])[0, side]
        names = self.path.mechanism.row_names
        blamed = [names[i] for i in np.argsort(-share) if share[i] > 0.5][:3]
        where = travel.reshape(-1, 2)[0, side]
        axle = self.axle.name
        place = f"{where:+.1f} mm ({where / INCH.in_mm:+.2f} in) of travel"
        return f"the {axle} {SIDE_NAMES[side]} linkage locks at {place} ({', '.join(blamed)})"


@dataclass(frozen=True)
class CornerStates:
    """Solved states of both corners in the body's own axes; arrays (..., 2, S, 3) or (..., 2, S)."""

    axle: Axle
    travel: Array
    positions: Positions

    @property
    def reached(self) -> Flags:
        """False where the travel lies outside what the linkage can reach (..., 2, S)."""
        return self.positions.reached

    @property
    def wheel_centre(self) -> Array:
        """Wheel centres [mm]."""
        return self.positions.position[..., UPRIGHT, :]

    @property
    def wheel_centre_rate(self) -> Array:
        """Motion of the wheel centre per mm of travel."""
        return self.positions.velocity[..., UPRIGHT, :]

    @property
    def turn_rate(self) -> Array:
        """Rotation of the upright per mm of travel [rad/mm]."""
        return self.positions.spin[..., UPRIGHT, :]

    @cached_property
    def spin_axis(self) -> Array:
        """Outward unit vector of the wheel's spin axis."""
        return carried(self.positions.rotation[..., UPRIGHT, :, :], np.zeros(3), self.axle.spin_axis[..., None, :])

    @cached_property
    def spin_axis_rate(self) -> Array:
        """Change of the spin axis per mm of travel [1/mm]."""
        return cross(self.turn_rate, self.spin_axis)

    def point(self, key: str) -> Array:
        """Where a measured point is now, whatever carries it [mm]."""
        measured = self.axle.points[key][..., None, :]
        if key not in self.axle.suspension.on_upright:
            return np.broadcast_to(measured, self.wheel_centre.shape)
        arm = measured - self.axle.points["wheel_centre"][..., None, :]
        return carried(self.positions.rotation[..., UPRIGHT, :, :], self.wheel_centre, arm)


def trace_corners(axle: Axle, low: float, high: float) -> Corners:
    """Trace both corners of an axle over wheel travel low..high [mm], as far as the linkage goes."""
    return Corners(axle, trace(corner_linkage(axle), min(low, -1.0), max(high, 1.0)))
