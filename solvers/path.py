"""The path of a one-freedom mechanism as a function of its driver: solved at a few nodes, read anywhere.

Along its path a linkage moves smoothly, so poses at a few dozen Chebyshev nodes and the polynomial through
them give the pose at any driver value, to rounding where no lock is near. What is read is held against the
equations every time, and solved further where a length is off by more than the tolerance.
Derivatives are not the polynomial's: they come from the equations' null vector at the position read.
"""

from dataclasses import dataclass

import numpy as np

from solvers.chebyshev import Series, fit, nodes
from solvers.elimination import solve_many
from solvers.equations import Equations, equations
from solvers.mechanism import Mechanism, Pose
from solvers.moving import move
from solvers.newton import newton
from solvers.rotations import matrix, normalised, rotate
from solvers.vectors import Array, Flags

_LENGTHS_HOLD = 2e-10  # mm; polynomial values with larger residuals are solved further
_NODES = 24
_MORE_NODES = 48


@dataclass(frozen=True)
class Positions:
    """Solved positions, batch axes of the mechanism first, then one axis of samples.

    position (..., S, bodies, 3) and rotation (..., S, bodies, 3, 3); velocity and spin (..., S, bodies, 3):
    their exact change per unit of driver displacement. reached (..., S): False where the driver value lies
    outside the path; the arrays there hold the nearest position that could be reached.
    error: largest length residual (..., S).
    """

    position: Array
    rotation: Array
    velocity: Array
    spin: Array
    reached: Flags
    error: Array


@dataclass(frozen=True)
class Lock:
    """What ended a path before the driver value asked for (...): there, how much each row holds against it."""

    locked: Flags
    share: Array


@dataclass(frozen=True)
class Path:
    """A mechanism's poses over its driver's reachable range low..high (...), within what was asked.

    lock_low, lock_high: whether the linkage locks at that end, and which rows hold it there.
    node_pose: poses at the nodes (..., nodes); poses: the polynomials through them, 3 of position and 4 of
    quaternion for each body.
    """

    mechanism: Mechanism
    low: Array
    high: Array
    lock_low: Lock
    lock_high: Lock
    node_pose: Pose
    poses: Series

    def fit(self, values: Array) -> Series:
        """Polynomials through other values (..., k, nodes) known at the path's nodes."""
        return fit(self.low, self.high, values)

    def at(self, driver: Array) -> Positions:
        """Solved positions at driver displacements (..., S), leading axes as the mechanism's batch."""
        low, high = self.low[..., None], self.high[..., None]
        reached = (driver >= low - 1e-9) & (driver <= high + 1e-9)
        held = np.clip(driver, low, high)
        bodies = len(self.mechanism.bodies)
        values = self.poses.at(held)
        parts = np.moveaxis(values, -2, 0).reshape(bodies, 7, *reached.shape)
        quaternion = normalised(parts[:, 3:].swapaxes(0, 1)).swapaxes(0, 1)
        rows = equations(self.mechanism.with_state_axis())
        position, quaternion, jacobian, error = _polished(rows, parts[:, :3], quaternion, held[None])
        twist = driver_twist(rows, jacobian)
        rotation = np.stack([matrix(one) for one in quaternion])
        return Positions(
            np.moveaxis(position, (0, 1), (-2, -1)),
            np.moveaxis(rotation, (0, 1, 2), (-3, -2, -1)),
            np.moveaxis(twist[:, :3], (0, 1), (-2, -1)),
            np.moveaxis(twist[:, 3:], (0, 1), (-2, -1)),
            reached,
            error,
        )


def driver_twist(rows: Equations, jacobian: Array, driver: int = 0) -> Array:
    """Null vector of the guiding rows, scaled to unit speed of one driver: (bodies, 6, ...)."""
    right = np.zeros((rows.rows, 1, jacobian[0, 0].size))
    right[rows.guide_rows + driver] = 1.0
    twist = solve_many(jacobian.reshape(rows.rows, rows.rows, -1), right).solution
    return twist.reshape(rows.bodies, 6, *jacobian.shape[2:])


def carried(rotation: Array, position: Array, arm: Array) -> Array:
    """Points (..., S, 3) of one body: its rotation (..., S, 3, 3), position (..., S, 3), arms (..., 1, 3)."""
    turned = rotate(np.moveaxis(rotation, (-2, -1), (0, 1)), np.moveaxis(arm, -1, 0))
    return np.asarray(position + np.moveaxis(turned, 0, -1))


def trace(mechanism: Mechanism, low: Array | float, high: Array | float) -> Path:
    """Trace the path over driver displacements low..high (low < 0 < high), as far as the linkage goes."""
    shape = mechanism.batch_shape
    start, end = (np.broadcast_to(np.asarray(limit, dtype=float), shape) for limit in (low, high))
    wide = mechanism.with_state_axis()
    asked = np.concatenate([start[..., None], end[..., None], nodes(start, end, _NODES)], axis=-1)
    found = move(wide, asked[..., None])
    lock_low, lock_high = (Lock(~found.arrived[..., end], found.share[..., end, :]) for end in (0, 1))
    if found.arrived.all():
        pose = Pose(found.pose.position[..., 2:, :, :], found.pose.quaternion[..., 2:, :, :])
    else:
        # Near a lock the path bends like a square root: more nodes, and `at` solves the rest of the way.
        reach = found.reached * asked
        start, end = reach[..., 0], reach[..., 1]
        pose = move(wide, nodes(start, end, _MORE_NODES)[..., None]).pose
    poses = fit(start, end, _components(pose))
    if poses.tail > _LENGTHS_HOLD and pose.position.shape[-3] == _NODES:
        pose = move(wide, nodes(start, end, _MORE_NODES)[..., None]).pose
        poses = fit(start, end, _components(pose))
    return Path(mechanism, start, end, lock_low, lock_high, pose, poses)


def _components(pose: Pose) -> Array:
    """Poses at the nodes as (..., 7 * bodies, nodes)."""
    stacked = np.concatenate([pose.position, pose.quaternion], axis=-1)
    return np.moveaxis(stacked.reshape(*stacked.shape[:-2], -1), -1, -2)


def _polished(rows: Equations, position: Array, quaternion: Array, driven: Array) -> tuple[Array, Array, Array, Array]:
    residual, jacobian = rows.evaluate(position, quaternion, driven)
    error = np.abs(residual).max(axis=0)
    rough = ~(error < _LENGTHS_HOLD)
    if rough.any():
        chosen = np.flatnonzero(rough)
        flat = rows.flattened(error.shape).take(chosen)
        parts = [part.reshape(*part.shape[: part.ndim - error.ndim], -1) for part in (position, quaternion, driven)]
        better = newton(flat, *(part[..., chosen] for part in parts))
        position, quaternion = position.copy(), quaternion.copy()
        position[..., rough], quaternion[..., rough] = better.position, better.quaternion
        jacobian[..., rough], error[rough] = better.jacobian, better.error
    return position, quaternion, jacobian, error
