"""The path of a one-freedom mechanism as a function of its driver: solved at a few nodes, read anywhere.

Along its path a linkage moves smoothly, so poses at a few dozen Chebyshev nodes and the polynomial through
them give the pose at any driver value, to rounding where no lock is near. What is read is held against the
equations every time, and followed to from the start where a length is off by more than the tolerance.
Derivatives are not the polynomial's: they come from the equations' null vector at the position read. Only where very
many positions are asked for, and no lock is near, are poses and motion read from polynomials that proved as good.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from solvers.chebyshev import Series, fit, midway, nodes
from solvers.equations import Equations, start_pose
from solvers.mechanism import Mechanism, Pose
from solvers.moving import follow
from solvers.positions import Positions, batch_first, matrices, positions, row_twist
from solvers.rotations import normalised
from solvers.vectors import Array, Flags

LENGTHS_HOLD = 2e-10  # mm; polynomial values with larger residuals are solved further
_MANY = 200  # positions on one path; fewer are solved for one by one
_TWIST_HOLDS = 3 * (1e-12,) + 3 * (1e-14,)  # mm/mm and rad/mm between polynomials of the motion and the exact one
# What last coefficients may come to and be left out, since reading very many positions then takes less time: of places
# [mm] and quaternions, of velocities [mm/mm] and spins [rad/mm].
_POSE_LEFT_OUT = 3 * (2e-11,) + 4 * (2e-14,)
_TWIST_LEFT_OUT = 3 * (2e-13,) + 3 * (2e-15,)
_LENGTHS_LEFT_OUT = 1.5e-10  # mm; no length is off by more for it, with arms up to a metre


@dataclass(frozen=True)
class Lock:
    """What ended a path before the driver value asked for (...): there, how much each row holds against it."""

    locked: Flags
    share: Array


@dataclass(frozen=True)
class Path:
    """A mechanism's poses over its driver's reachable range low..high (...), within what was asked.

    rows: its equations, with an axis for positions. lock_low, lock_high: whether the linkage locks at that
    end, and which rows hold it there. node_pose: poses at the nodes (..., nodes). motion: the polynomials
    through them, for each body 3 of position and 4 of quaternion. followed: some of them lock, so the nodes were
    reached step by step, and what is read between is not trusted without a look.
    """

    mechanism: Mechanism
    rows: Equations
    low: Array
    high: Array
    lock_low: Lock
    lock_high: Lock
    node_pose: Pose
    motion: Series
    followed: bool = False

    def fit(self, values: Array) -> Series:
        """Polynomials through other values (..., k, nodes) known at the path's nodes."""
        return fit(self.low, self.high, values)

    def poses(self, driver: Array) -> Pose:
        """Poses at driver displacements (..., S) by the polynomials alone, the driver held within low..high.

        Not solved again: every length is right to `bound` there.
        """
        held = np.clip(driver, self.low[..., None], self.high[..., None])
        position, quaternion = self._apart(self.motion.at(held))
        return Pose(batch_first(position, 2), batch_first(quaternion, 2))

    @cached_property
    def nodes(self) -> Array:
        """Driver displacements at the nodes (..., nodes)."""
        return nodes(self.low, self.high, self.node_pose.position.shape[-3])

    @cached_property
    def middles(self) -> Array:
        """Driver displacements midway between them and at the ends (..., nodes + 1)."""
        return midway(self.low, self.high, self.node_pose.position.shape[-3])

    @cached_property
    def smooth(self) -> bool:
        """Whether the polynomials have settled all over: no lock is near."""
        return bool((self.motion.tail < LENGTHS_HOLD).all())

    @cached_property
    def bound(self) -> Array:
        """How far off a length is at most between the nodes (...), where a mechanism's own residual says so.

        The residual of the polynomials vanishes at the nodes and swings between them; it is looked at midway, where the
        swings are largest, and twice that is allowed for.
        """
        position, quaternion = self._apart(self.motion.at(self.middles))
        residual = self.rows.residual(position, matrices(quaternion), self.middles[None])
        return np.asarray(2.0 * np.abs(residual).max(axis=(0, -1)))

    def at(self, driver: Array) -> Positions:
        """Solved positions at driver displacements (..., S), leading axes as the mechanism's batch."""
        low, high = self.low[..., None], self.high[..., None]
        reached = (driver >= low - 1e-9) & (driver <= high + 1e-9)
        held = np.clip(driver, low, high)
        if held.shape[-1] >= _MANY and self.motion_and_twist is not None:
            return self._read(held, reached)
        position, quaternion = self._apart(self.motion.at(held))
        rotation = matrices(quaternion)
        residual, jacobian = self.rows.linearised(position, rotation, held[None])
        error = np.abs(residual).max(axis=0)
        rough = ~(error < LENGTHS_HOLD) & reached
        if self.followed:
            # Where a lock is near, another assembly may be too, on which all lengths hold.
            rough |= reached & ~self._on_branch(jacobian)
        if rough.any():
            reached[rough] = self._follow(rough, held, (position, quaternion, jacobian, error))
            rotation = matrices(quaternion)
        twist = row_twist(self.rows, jacobian, self.rows.guide_rows)
        return positions(position, quaternion, twist, reached, error, rotation)

    def _apart(self, values: Array) -> tuple[Array, Array]:
        """Positions (bodies, 3, ..., S) and unit quaternions (bodies, 4, ..., S) of polynomial values (..., k, S)."""
        bodies = len(self.mechanism.bodies)
        poses = np.ascontiguousarray(np.moveaxis(values[..., : 7 * bodies, :], -2, 0))
        parts = poses.reshape(bodies, 7, *poses.shape[1:])
        return parts[:, :3], _normalised(parts[:, 3:])

    def _on_branch(self, jacobian: Array) -> Flags:
        """Whether the determinant (rows, rows, ..., S) has the sign that it has at the start."""
        sign = np.sign(np.linalg.det(np.moveaxis(jacobian, (0, 1), (-2, -1))))
        return np.asarray(sign == self._sign_at_start[..., None])

    @cached_property
    def _sign_at_start(self) -> Array:
        wide = self.mechanism.with_state_axis()
        position, quaternion = start_pose(wide, (*self.low.shape, 1))
        _, jacobian = self.rows.evaluate(position, quaternion, np.zeros((1, *self.low.shape, 1)))
        return np.asarray(np.sign(np.linalg.det(np.moveaxis(jacobian, (0, 1), (-2, -1))))[..., 0])

    def _follow(self, chosen: Flags, held: Array, found: tuple[Array, Array, Array, Array]) -> Flags:
        """Follow the path from its start to chosen positions, put what is there into its place; whether it was reached.

        found: position, quaternion, Jacobian and error of all.
        """
        rows = self.rows.flattened(chosen.shape).take(chosen.ravel())
        start = start_pose(self.mechanism.with_state_axis(), chosen.shape)
        begin = [part.reshape(*part.shape[:2], -1)[..., chosen.ravel()] for part in start]
        position, quaternion, part, _ = follow(rows, begin[0], begin[1], held[None, chosen])
        residual, jacobian = rows.evaluate(position, quaternion, held[None, chosen])
        for place, values in zip(found, (position, quaternion, jacobian, np.abs(residual).max(axis=0)), strict=True):
            place[..., chosen] = values
        return np.asarray(part >= 1.0)

    @cached_property
    def motion_and_twist(self) -> Series | None:
        """Polynomials of the poses and of the exact motion; None where they do not prove good enough.

        For each body 3 of position and 4 of quaternion, then for each 3 of velocity and 3 of spin.
        """
        twist = self._twist_series(self.rows.guide_rows)
        if twist is None:
            return None
        both = np.concatenate([self.motion.coefficients, twist.coefficients], axis=-2)
        allowed = np.concatenate([self._each_body(_POSE_LEFT_OUT), self._each_body(_TWIST_LEFT_OUT)])
        return replace(self.motion, coefficients=both).shortened(allowed)

    def row_motion(self, row: int, driver: Array) -> Array | None:
        """Motion (bodies, 6, ..., S) that changes one row at unit speed and keeps all others, at drivers (..., S).

        Read from polynomials, for very many positions; None for fewer, and where they do not prove good enough.
        """
        if driver.shape[-1] < _MANY:
            return None
        if row not in self._row_series:
            found = self._twist_series(row)
            self._row_series[row] = None if found is None else found.shortened(self._each_body(_TWIST_LEFT_OUT))
        series = self._row_series[row]
        if series is None:
            return None
        values = series.at(np.clip(driver, self.low[..., None], self.high[..., None]))
        return np.moveaxis(values, -2, 0).reshape(self.rows.bodies, 6, *driver.shape)

    @cached_property
    def _row_series(self) -> dict[int, Series | None]:
        return {}

    def _twist_series(self, row: int) -> Series | None:
        """Polynomials of the exact motion as one row changes; None where they do not prove good enough.

        They are held midway between the nodes, where they are worst, against the equations and motion solved for there.
        """
        if self.followed or not (self.bound < 2.0 * LENGTHS_HOLD).all():
            return None
        series = self.fit(self._twist(row, self.nodes))
        off = np.abs(series.at(self.middles) - self._twist(row, self.middles)).max(axis=-1)
        return series if (off < self._each_body(_TWIST_HOLDS)).all() else None

    def _each_body(self, allowed: tuple[float, ...]) -> Array:
        """What is allowed for one body's values, for all bodies (k,)."""
        return np.tile(allowed, self.rows.bodies)

    def _twist(self, row: int, driver: Array) -> Array:
        """The exact motion (..., 6 bodies, S) as one row changes, at poses read from the polynomials."""
        position, quaternion = self._apart(self.motion.at(driver))
        _, jacobian = self.rows.evaluate(position, quaternion, driver[None])
        return np.moveaxis(row_twist(self.rows, jacobian, row).reshape(-1, *driver.shape), 0, -2)

    def _read(self, held: Array, reached: Flags) -> Positions:
        """Positions and their motion by the polynomials alone: for many on one path, to the bound that they proved."""
        assert self.motion_and_twist is not None
        bodies = len(self.mechanism.bodies)
        values = self.motion_and_twist.at(held)
        position, quaternion = self._apart(values)
        twist = np.moveaxis(values[..., 7 * bodies :, :], -2, 0).reshape(bodies, 6, *held.shape)
        error = np.broadcast_to(self.bound[..., None] + _LENGTHS_LEFT_OUT, held.shape)
        return positions(position, quaternion, twist, reached, error)


def _normalised(quaternion: Array) -> Array:
    """Quaternions (bodies, 4, ...) scaled to length one."""
    return normalised(quaternion.swapaxes(0, 1)).swapaxes(0, 1)
