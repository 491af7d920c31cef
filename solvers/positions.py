"""Solved positions of a mechanism, batch axes first, and the motion that its equations give there."""

from dataclasses import dataclass

import numpy as np

from solvers import moving
from solvers.elimination import solve_many
from solvers.equations import Equations, equations
from solvers.mechanism import Mechanism, Pose
from solvers.rotations import matrix, rotate
from solvers.vectors import Array, Flags


@dataclass(frozen=True)
class Positions:
    """Solved positions, batch axes of the mechanism first, then one axis of samples.

    position (..., S, bodies, 3), rotation (..., S, bodies, 3, 3), quaternion (..., S, bodies, 4).
    velocity, spin (..., S, bodies, 3): their exact change, spin in rad, per unit of driver displacement. reached
    (..., S): False where the driver value lies outside the path; there the arrays hold the nearest position that could
    be reached. error: largest length residual (..., S). Lengths in the unit of the points.
    """

    position: Array
    rotation: Array
    quaternion: Array
    velocity: Array
    spin: Array
    reached: Flags
    error: Array


def positions(
    position: Array, quaternion: Array, twist: Array, reached: Flags, error: Array, rotation: Array | None = None
) -> Positions:
    """Positions of poses (bodies, 3, ...), (bodies, 4, ...) and their motion (bodies, 6, ...).

    rotation: the quaternions' matrices (bodies, 3, 3, ...), if they are known already; reached, error: (...).
    """
    rotation = matrices(quaternion) if rotation is None else rotation
    velocity, spin = batch_first(twist[:, :3], 2), batch_first(twist[:, 3:], 2)
    turned = batch_first(rotation, 3), batch_first(quaternion, 2)
    return Positions(batch_first(position, 2), *turned, velocity, spin, reached, error)


def with_tangents(mechanism: Mechanism, found: Positions, driver: Array) -> tuple[Positions, Equations]:
    """Add the tangents of a mechanism (with an axis for states) and of its driver (..., S) to positions found without.

    Also returns the rows that carry them.
    """
    pose = moving.with_tangents(mechanism, Pose(found.position, found.quaternion), driver[..., None])
    rows = equations(mechanism)
    position, quaternion = (np.moveaxis(part, (-2, -1), (0, 1)) for part in (pose.position, pose.quaternion))
    _, jacobian = rows.evaluate(position, quaternion, driver[None])
    twist = row_twist(rows, jacobian, rows.guide_rows)
    return positions(position, quaternion, twist, found.reached, found.error), rows


def row_twist(rows: Equations, jacobian: Array, row: int) -> Array:
    """Motion (bodies, 6, ...) that changes one row at unit speed and leaves all others alone.

    jacobian: (rows, rows, ...). For a driver's row the motion is the null vector of the guiding rows.
    """
    right = np.zeros((rows.rows, 1, jacobian[0, 0].size))
    right[row] = 1.0
    twist = solve_many(jacobian.reshape(rows.rows, rows.rows, -1), right).solution
    return twist.reshape(rows.bodies, 6, *jacobian.shape[2:])


def motion_of_row(rows: Equations, found: Positions, row: int) -> Array:
    """Motion (bodies, 6, ..., S) at solved positions that changes one row at unit speed and leaves all others alone."""
    position, quaternion = (np.moveaxis(part, (-2, -1), (0, 1)) for part in (found.position, found.quaternion))
    _, jacobian = rows.evaluate(position, quaternion, np.zeros((1, *position.shape[2:])))
    return row_twist(rows, jacobian, row)


def carried(rotation: Array, position: Array, arm: Array) -> Array:
    """Points (..., S, 3) of one body: its rotation (..., S, 3, 3), position (..., S, 3), arms (..., 1, 3)."""
    turned = rotate(np.moveaxis(rotation, (-2, -1), (0, 1)), np.moveaxis(arm, -1, 0))
    return np.asarray(position + np.moveaxis(turned, 0, -1))


def batch_first(part: Array, own: int) -> Array:
    """The same array with its first `own` axes moved behind all others (a view)."""
    return part.transpose(*range(own, part.ndim), *range(own))


def matrices(quaternion: Array) -> Array:
    """Rotation matrices (bodies, 3, 3, ...) of quaternions (bodies, 4, ...)."""
    return np.moveaxis(matrix(quaternion.swapaxes(0, 1)), 2, 0)
