"""What a linkage is made of: bodies, and the rows of equations that its joints put on them.

Two kinds of row are enough for every joint here:

* a link: a point of one body keeps its distance from a point of another;
* a plane: a point of one body keeps its distance from a plane carried by another.

A hinge or a slider is five planes, a ball joint three, an axis sliding through a point two, a driver (a point
held at a given height) one. The ground counts as a body that never moves.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from solvers.tangents import has_tangents
from solvers.vectors import Array, two_normals, unit

FIXED = -1


@dataclass(frozen=True)
class Links:
    """n fixed-length links between two bodies.

    on_body, on_other: ends (..., n, 3) in each body's own coordinates (the ground's: in space).
    length: (..., n), in the unit of the points. names: one for each row.
    sums: (rows, n), where these sums of lengths are held and not each length: links that would hold a body once
    too often, whose bushes share what does not fit.
    """

    body: int
    on_body: Array
    other: int
    on_other: Array
    length: Array
    names: tuple[str, ...]
    sums: Array | None = None

    def with_state_axis(self) -> "Links":
        """The same links with one more batch axis, of length one, behind the others."""
        on_body, on_other = _with_axis(self.on_body), _with_axis(self.on_other)
        return replace(self, on_body=on_body, on_other=on_other, length=self.length[..., None, :])


@dataclass(frozen=True)
class Planes:
    """n planes carried by `other`, each with a point of `body` at distance `offset` from it.

    on_body: the points (..., n, 3); on_other, normal: a point of each plane and its unit normal
    (..., n, 3), in each body's own coordinates. offset: (..., n), in the unit of the points, positive along the normal.
    """

    body: int
    on_body: Array
    other: int
    on_other: Array
    normal: Array
    offset: Array
    names: tuple[str, ...]

    def with_state_axis(self) -> "Planes":
        """The same planes with one more batch axis, of length one, behind the others."""
        on_body, on_other = _with_axis(self.on_body), _with_axis(self.on_other)
        normal, offset = _with_axis(self.normal), self.offset[..., None, :]
        return replace(self, on_body=on_body, on_other=on_other, normal=normal, offset=offset)


@dataclass(frozen=True)
class Pose:
    """Where bodies are: reference points (..., bodies, 3) and unit quaternions (..., bodies, 4)."""

    position: Array
    quaternion: Array


@dataclass(frozen=True)
class Mechanism:
    """Bodies at a known start, the rows that guide them and the rows that drive them.

    Any row may drive: a plane by its distance, a link by its length.

    Bodies' own coordinates are relative to their reference points, with axes as in `start.quaternion`.
    Guiding and driving rows together must number six for each body, else ValueError. Driver values are displacements
    from the start, in the unit of the points. Every array may carry leading batch axes.
    """

    bodies: tuple[str, ...]
    start: Pose
    links: tuple[Links, ...]
    planes: tuple[Planes, ...]
    drivers: tuple[Links | Planes, ...]

    def __post_init__(self) -> None:
        rows = sum(len(group.names) for group in self.groups)
        if rows != 6 * len(self.bodies):
            message = f"{rows} equations for {len(self.bodies)} bodies: six for each body are needed"
            raise ValueError(message)

    @property
    def groups(self) -> tuple[Links | Planes, ...]:
        """All groups of rows in the order of the equations: links, planes, drivers."""
        return self.links + self.planes + self.drivers

    @property
    def batch_shape(self) -> tuple[int, ...]:
        """Broadcast shape of all leading axes."""
        shapes = [self.start.position.shape[:-2]]
        for group in self.groups:
            shapes += [group.on_body.shape[:-2], group.on_other.shape[:-2]]
        return np.broadcast_shapes(*shapes)

    @property
    def has_tangents(self) -> bool:
        """Whether its points carry tangents."""
        return has_tangents(*(ends for group in self.groups for ends in (group.on_body, group.on_other)))

    @property
    def driver_count(self) -> int:
        """How many driver rows there are."""
        return sum(len(group.names) for group in self.drivers)

    @property
    def driver_names(self) -> tuple[str, ...]:
        """Names of the driving rows, in order."""
        return tuple(name for group in self.drivers for name in group.names)

    @property
    def row_names(self) -> tuple[str, ...]:
        """Names of the guiding rows, links first, in the order of the equations."""
        return tuple(name for group in self.groups[: len(self.links) + len(self.planes)] for name in group.names)

    def with_state_axis(self) -> "Mechanism":
        """The same mechanism with one more batch axis, of length one, behind its own: an axis for states."""
        start = Pose(_with_axis(self.start.position), _with_axis(self.start.quaternion))
        return replace(
            self,
            start=start,
            links=tuple(group.with_state_axis() for group in self.links),
            planes=tuple(group.with_state_axis() for group in self.planes),
            drivers=tuple(group.with_state_axis() for group in self.drivers),
        )


def hinge(body: int, on_body: Array, body_axis: Array, other: int, on_other: Array, axis: Array, name: str) -> Planes:
    """Five planes that let a body only turn about an axis of another.

    on_body, on_other: one point of the axis (..., 3) in each body's own coordinates; body_axis, axis: the
    vector from there to a second point of the axis, in each body's coordinates. The second point makes
    the alignment rows lengths like all the others; take it about as far away as the real bearings are apart.
    """
    along = unit(axis)
    side, up = two_normals(along)
    points = [on_body, on_body, on_body, on_body + body_axis, on_body + body_axis]
    plane_points = [on_other, on_other, on_other, on_other + axis, on_other + axis]
    rows = ("along", "across", "across", "direction", "direction")
    return Planes(
        body,
        _stack(points),
        other,
        _stack(plane_points),
        _stack([along, side, up, side, up]),
        np.zeros(5),
        tuple(f"{name} ({row})" for row in rows),
    )


def slider(body: int, on_body: Array, other: int, on_other: Array, direction: Array, reach: float, name: str) -> Planes:
    """Five planes that let a body only move along a unit direction of another, without turning.

    on_body, on_other: one point (..., 3) in each body's own coordinates, both with the same axes; direction:
    (..., 3); reach: about the distance between the real bearings, in the unit of the points, which makes the
    alignment rows lengths like all the others.
    """
    first, second = two_normals(direction)
    ahead, aside = reach * direction, reach * first
    arms = [np.zeros(3), np.zeros(3), ahead, ahead, aside]
    return Planes(
        body,
        _stack([on_body + arm for arm in arms]),
        other,
        _stack([on_other + arm for arm in arms]),
        _stack([first, second, first, second, second]),
        np.zeros(5),
        tuple(f"{name} ({row})" for row in ("across", "across", "direction", "direction", "turn")),
    )


def ball(body: int, on_body: Array, other: int, on_other: Array, name: str) -> Planes:
    """Three planes that keep a point (..., 3) of a body on a point of another, each in its own coordinates."""
    return Planes(
        body,
        _stack([on_body] * 3),
        other,
        _stack([on_other] * 3),
        np.eye(3),
        np.zeros(3),
        (f"{name} (ahead)", f"{name} (across)", f"{name} (up)"),
    )


def slide(body: int, on_body: Array, direction: Array, other: int, through: Array, name: str) -> Planes:
    """Two planes that keep an axis of `body` passing through a point of `other`.

    on_body: a point of the axis (..., 3), and `direction` its unit direction (..., 3), in the body's coordinates;
    through: the point (..., 3) in the coordinates of `other`.
    """
    first, second = two_normals(direction)
    return Planes(
        other,
        _stack([through, through]),
        body,
        _stack([on_body, on_body]),
        _stack([first, second]),
        np.zeros(2),
        (f"{name} (across)", f"{name} (across)"),
    )


def held_along(body: int, on_body: Array, direction: Array, name: str) -> Planes:
    """A driver row: a point of a body held at a given displacement along a unit direction in space, each (..., 3)."""
    return in_plane(body, on_body, np.zeros(3), direction, name)


def in_plane(body: int, on_body: Array, on_ground: Array, normal: Array, name: str) -> Planes:
    """A row that keeps a point of a body in the plane through a point in space with a unit normal, each (..., 3)."""
    return Planes(body, _stack([on_body]), FIXED, _stack([on_ground]), _stack([normal]), np.zeros(1), (name,))


def _with_axis(vectors: Array) -> Array:
    return vectors[..., None, :, :]


def _stack(points: Sequence[Array]) -> Array:
    return np.stack(np.broadcast_arrays(*points), axis=-2)
