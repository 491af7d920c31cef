"""Corners under way: where wheel, upright and points of an axle are at any wheel travel, relative to the body."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kinematics.car import SIDE_NAMES, Axle
from kinematics.lengths import INCH
from kinematics.linkage import UPRIGHT, corner_linkage
from solvers.chebyshev import Series
from solvers.path import Path, Positions, trace
from solvers.rotations import matrix, rotate, rotate_points
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
        return self._turned[0]

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
        points = {key: point[..., None, :] for key, point in self.axle.points.items()}
        points["wheel_centre"] = self.wheel_centre
        for key, arm in zip(self._on_upright, self._turned[1:], strict=True):
            points[key] = self.wheel_centre + arm
        return points

    @property
    def _on_upright(self) -> tuple[str, ...]:
        kind = self.axle.suspension
        return tuple(key for key in kind.keys if key in kind.on_upright and key != "wheel_centre")

    @cached_property
    def _turned(self) -> list[Array]:
        """Spin axis, then the arm from the wheel centre to each point on the upright."""
        centre = self.axle.points["wheel_centre"]
        arms = (self.axle.points[key] - centre for key in self._on_upright)
        whole = np.zeros((*self.axle.batch_shape, 2, 3))
        measured = np.stack(np.broadcast_arrays(self.axle.spin_axis, *arms, whole)[:-1])
        rotation = np.moveaxis(self.positions.rotation[..., UPRIGHT, :, :], (-2, -1), (0, 1))
        turned = rotate_points(rotation, np.moveaxis(measured, -1, 0))
        return list(np.moveaxis(turned, (0, 1), (-1, 0)))


def trace_corners(axle: Axle, low: float, high: float) -> Corners:
    """Trace both corners of an axle over wheel travel low..high [mm], as far as the linkage goes."""
    return Corners(axle, trace(corner_linkage(axle), min(low, -1.0), max(high, 1.0)))
