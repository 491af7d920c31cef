"""Residuals and exact Jacobian of a mechanism's rows, for many positions at once.

Here and in the Newton iteration arrays have their components first and the positions last: (3, n, ...) for
n points, (rows, columns, ...) for Jacobians, so that every NumPy call runs along the positions.
Columns go body by body: three of translation of its reference point, three of rotation (a small turn,
applied after the present orientation).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from solvers.mechanism import FIXED, Links, Mechanism, Planes
from solvers.rotations import matrix, rotate_points
from solvers.vectors import Array, Index

_Change = Callable[[Array, int], Array]


@dataclass(frozen=True)
class _Group:
    """One group of links (normal is None) or planes: points (3, n, *batch), value (rows, *batch).

    sums: (rows, n) where the rows are sums of links, otherwise each link or plane is a row.
    """

    rows: slice
    body: int
    on_body: Array
    other: int
    on_other: Array
    normal: Array | None
    value: Array
    sums: Array | None = None


@dataclass(frozen=True)
class Equations:
    """A mechanism's rows, drivers last; the batch axes of their parameters broadcast with those of the positions."""

    groups: tuple[_Group, ...]
    bodies: int
    guide_rows: int

    @property
    def rows(self) -> int:
        """Number of equations and of unknowns."""
        return 6 * self.bodies

    def flattened(self, shape: tuple[int, ...]) -> "Equations":
        """The same rows with their batch axes broadcast to `shape` and joined into one."""

        def flat(values: Array, own: int) -> Array:
            if values[(0,) * own].size == 1:
                return values.reshape((*values.shape[:own], 1))
            padding = (1,) * (len(shape) + own - values.ndim)
            padded = values.reshape((*values.shape[:own], *padding, *values.shape[own:]))
            return np.broadcast_to(padded, (*values.shape[:own], *shape)).reshape((*values.shape[:own], -1))

        return self._each(flat)

    def take(self, chosen: Index) -> "Equations":
        """Flattened rows for some of the positions only (integer or boolean index)."""
        return self._each(lambda values, _: values if values.shape[-1] == 1 else values[..., chosen])

    def _each(self, change: _Change) -> "Equations":
        groups = tuple(
            replace(
                group,
                on_body=change(group.on_body, 2),
                on_other=change(group.on_other, 2),
                normal=None if group.normal is None else change(group.normal, 2),
                value=change(group.value, 1),
            )
            for group in self.groups
        )
        return replace(self, groups=groups)

    def _numbers(self, *arrays: Array) -> Any:
        """The dtype of a residual: complex where tangents are carried along."""
        own = [values for group in self.groups for values in (group.on_body, group.on_other, group.value)]
        return np.result_type(*arrays, *own)

    def residual(self, position: Array, rotation: Array, driven: Array) -> Array:
        """Residuals (rows, ...), in the unit of the points.

        position: (bodies, 3, ...); rotation: matrices (bodies, 3, 3, ...); driven: (drivers, ...), displacements.
        """
        residual = np.empty((self.rows, *position.shape[2:]), self._numbers(position, rotation, driven))
        for group in self.groups:
            np.subtract(_value(group, position, rotation), group.value, out=residual[group.rows])
        residual[self.guide_rows :] -= driven
        return residual

    def evaluate(self, position: Array, quaternion: Array, driven: Array) -> tuple[Array, Array]:
        """Residuals (rows, ...) and Jacobian (rows, 6 * bodies, ...).

        position: (bodies, 3, ...); quaternion: (bodies, 4, ...); driven: (drivers, ...), displacements.
        """
        return self.linearised(position, [matrix(one) for one in quaternion], driven)

    def linearised(self, position: Array, rotation: Array | list[Array], driven: Array) -> tuple[Array, Array]:
        """The same from rotation matrices (bodies, 3, 3, ...) in place of quaternions."""
        shape = position.shape[2:]
        numbers = self._numbers(position, rotation[0], driven)
        residual = np.empty((self.rows, *shape), numbers)
        # One body fills every column of each row it is in.
        jacobian = (np.empty if self.bodies == 1 else np.zeros)((self.rows, self.rows, *shape), numbers)
        for group in self.groups:
            between, arm_body, arm_other = _ends(group, position, rotation)
            if group.normal is None:
                along = _lengths(between)
                force = between / along
            else:
                force = _normals(group, rotation)
                along = _heights(between, force)
                if arm_other is not None:
                    # The plane turns with its carrier, so the arm is that of the point, not of the plane's own point.
                    arm_other = between + arm_other
            np.subtract(_summed(group, along), group.value, out=residual[group.rows])
            if arm_body is not None:
                _write(jacobian, group, group.body, 1.0, force, arm_body)
            if arm_other is not None:
                _write(jacobian, group, group.other, -1.0, force, arm_other)
        residual[self.guide_rows :] -= driven
        return residual, jacobian


def equations(mechanism: Mechanism) -> Equations:
    """Rearrange a mechanism's arrays for evaluation; driver values are zero at its start."""
    groups: list[_Group] = []
    first = 0
    axes = len(mechanism.batch_shape)
    for group in mechanism.groups:
        rows = slice(first, first + len(group.names))
        first = rows.stop
        normal = _components_first(group.normal, 2, axes) if isinstance(group, Planes) else None
        value, sums = (group.length, group.sums) if isinstance(group, Links) else (group.offset, None)
        if sums is not None:
            value = value @ sums.T
        groups.append(
            _Group(
                rows,
                group.body,
                _components_first(group.on_body, 2, axes),
                group.other,
                _components_first(group.on_other, 2, axes),
                normal,
                _components_first(value, 1, axes),
                sums,
            )
        )
    laid_out = Equations(tuple(groups), len(mechanism.bodies), first - mechanism.driver_count)
    return _with_drivers_at_rest(laid_out, mechanism)


def _with_drivers_at_rest(rows: Equations, mechanism: Mechanism) -> Equations:
    position, quaternion = start_pose(mechanism, mechanism.batch_shape)
    rotation = [matrix(one) for one in quaternion]
    groups = tuple(
        replace(group, value=_value(group, position, rotation)) if group.rows.start >= rows.guide_rows else group
        for group in rows.groups
    )
    return replace(rows, groups=groups)


def start_pose(mechanism: Mechanism, shape: tuple[int, ...]) -> tuple[Array, Array]:
    """Copies of the start pose, broadcast to a batch shape: (bodies, 3, *shape) and quaternions (bodies, 4, *shape)."""

    def spread(values: Array) -> Array:
        parts = _components_first(values, 2, len(shape)).swapaxes(0, 1)
        return np.broadcast_to(parts, (*parts.shape[:2], *shape)).copy()

    return spread(mechanism.start.position), spread(mechanism.start.quaternion)


def _components_first(values: Array, own_axes: int, batch_axes: int) -> Array:
    """(*batch, n, 3) to (3, n, *batch), or (*batch, n) to (n, *batch), batch padded in front with ones."""
    own = values.shape[values.ndim - own_axes :]
    batch = values.shape[: values.ndim - own_axes]
    padded = values.reshape((*(1,) * (batch_axes - len(batch)), *batch, *own))
    axes = range(batch_axes, batch_axes + own_axes)
    return np.ascontiguousarray(padded.transpose(*reversed(axes), *range(batch_axes)))


def _ends(group: _Group, position: Array, rotation: Array | list[Array]) -> tuple[Array, Array | None, Array | None]:
    """Vector from the other end to the body's, and each end's arm from its reference point (None on the ground)."""
    arm_body = None if group.body == FIXED else _arms(rotation[group.body], group.on_body)
    arm_other = None if group.other == FIXED else _arms(rotation[group.other], group.on_other)
    end_body = group.on_body if arm_body is None else position[group.body][:, None] + arm_body
    end_other = group.on_other if arm_other is None else position[group.other][:, None] + arm_other
    return end_body - end_other, arm_body, arm_other


def _arms(rotation: Array, points: Array) -> Array:
    """Rotation matrices (3, 3, ...) applied to points (3, n, ...)."""
    if points.ndim > 2 and points.shape[-1] == 1 < rotation.shape[-1]:
        return rotate_points(rotation, points[..., 0])
    out = rotation[:, 0, None] * points[0]
    out += rotation[:, 1, None] * points[1]
    out += rotation[:, 2, None] * points[2]
    return np.asarray(out)


def _normals(group: _Group, rotation: Array | list[Array]) -> Array:
    assert group.normal is not None
    return group.normal if group.other == FIXED else _arms(rotation[group.other], group.normal)


def _lengths(between: Array) -> Array:
    return np.asarray(np.sqrt((between * between).sum(axis=0)))


def _heights(between: Array, normal: Array) -> Array:
    return np.asarray((between * normal).sum(axis=0))


def _value(group: _Group, position: Array, rotation: Array | list[Array]) -> Array:
    """Lengths, their sums, or heights (rows, ...), that a group's equations hold at `value`."""
    between, _, _ = _ends(group, position, rotation)
    return _summed(group, _lengths(between) if group.normal is None else _heights(between, _normals(group, rotation)))


def _summed(group: _Group, along: Array) -> Array:
    """Lengths or heights (n, ...) as rows (rows, ...)."""
    return along if group.sums is None else np.tensordot(group.sums, along, 1)


def _write(jacobian: Array, group: _Group, body: int, sign: float, force: Array, arm: Array) -> None:
    """Write line coordinates, force (3, n, ...) and its moment at an arm (3, n, ...), into a body's six columns."""
    first = 6 * body
    fx, fy, fz = force
    ax, ay, az = arm
    block = jacobian[group.rows, first : first + 6]
    lines = block if group.sums is None else np.empty((len(fx), *block.shape[1:]), block.dtype)
    lines[:, 0], lines[:, 1], lines[:, 2] = fx, fy, fz
    np.subtract(ay * fz, az * fy, out=lines[:, 3])
    np.subtract(az * fx, ax * fz, out=lines[:, 4])
    np.subtract(ax * fy, ay * fx, out=lines[:, 5])
    if group.sums is not None:
        block[...] = np.tensordot(group.sums, lines, 1)
    if sign < 0.0:
        np.negative(block, out=block)
