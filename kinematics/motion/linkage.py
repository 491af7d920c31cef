"""An axle's corners, or a whole live axle, as a mechanism: what the solver needs to know of a car, and no more.

A corner's mechanism has the side among its batch axes and one driver, wheel travel. A whole axle's is one for both
sides and has two, left and right. A joint's point lies on two parts; the part that carries it moves with `points`,
the other keeps its own copy where it was measured.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car.car import LEFT, SIDE_NAMES, Axle
from kinematics.car.suspension_type import CHASSIS, RACK, Pair, SuspensionType
from solvers.mechanism import (
    FIXED,
    Links,
    Mechanism,
    Planes,
    Pose,
    ball,
    held_along,
    hinge,
    in_plane,
    slide,
    slider,
)
from solvers.rotations import IDENTITY, matrix
from solvers.vectors import Array, length, unit

UPRIGHT = 0
_LEFTWARD: Array = np.array([0.0, 1.0, 0.0])
_UP: Array = np.array([0.0, 0.0, 1.0])
_RACK_BEARINGS = 300.0  # mm apart, about
# Upper left, upper right, lower left, lower right: what equal bushes leave of four links that fit but for a warp.
_UNWARPED: Array = np.array([[1.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 1.0], [1.0, 0.0, 1.0, 0.0]])


def axle_linkage(axle: Axle) -> Mechanism:
    """An axle as measured: batch shape (..., 2) and one driver, or (...) and two; travel [mm], bump positive."""
    points = _every_variants(axle)
    return linkage(axle.suspension, points, points)


def _every_variants(axle: Axle) -> dict[str, Array]:
    """Points with all batch axes of the axle, also where variants share them."""
    shape = (*axle.batch_shape, 2, 3)
    return {key: point if point.shape == shape else np.broadcast_to(point, shape) for key, point in axle.points.items()}


def steered_linkage(axle: Axle) -> Mechanism:
    """The same with the rack as one more part and its travel [mm], to the left positive, as the last driver."""
    kind = axle.suspension
    points = tuple(replace(point, carrier=RACK) if point.key in kind.rack else point for point in kind.points)
    own = _every_variants(axle)
    return linkage(replace(kind, points=points), own, own)


def linkage(
    kind: SuspensionType,
    points: Mapping[str, Array],
    own: Mapping[str, Array],
    lengths: Array | None = None,
    strut_direction: Array | None = None,
) -> Mechanism:
    """Joints between parts that are placed as measured, whether or not they fit there.

    points: (..., 2, 3) where the parts that carry them have them; own: where the parts joined there have them.
    lengths: (..., 2, n) of `kind.all_links`, strut_direction: in the upright; as placed if left out.
    """
    builder = _Builder(kind, points, own, lengths, strut_direction)
    position = np.stack(np.broadcast_arrays(*builder.reference.values()), axis=-2)
    return Mechanism(
        bodies=kind.bodies,
        start=Pose(position, np.broadcast_to(IDENTITY, (*position.shape[:-1], 4))),
        links=tuple(builder.links()),
        planes=tuple(builder.planes()),
        drivers=tuple(builder.drivers()),
    )


def link_name(pair: Pair) -> str:
    """A link by its two points, in words."""
    return f"{pair[0]} to {pair[1]}".replace("_", " ")


@dataclass
class _Builder:
    kind: SuspensionType
    points: Mapping[str, Array]
    own: Mapping[str, Array]
    lengths: Array | None
    strut_direction: Array | None

    def __post_init__(self) -> None:
        self.reference = {body: self._reference(body) for body in self.kind.bodies}

    def _reference(self, body: str) -> Array:
        """A body's reference point: the wheel centre, a live axle's middle, or else the first point on it."""
        kind = self.kind
        if body == kind.bodies[UPRIGHT]:
            centre = self.points["wheel_centre"]
            return np.asarray(centre.mean(axis=-2) if kind.whole_axle else centre)
        keys = [key for key, carrier in kind.carriers.items() if carrier == body]
        keys += [key for part, on, key in kind.jointed if body in (part, on)]
        return self._of_side(self.own[keys[0]], LEFT)

    def _of_side(self, values: Array, side: int) -> Array:
        """One side's values for a whole axle; both for a corner."""
        return np.asarray(values[..., side, :]) if self.kind.whole_axle else values

    def _index(self, body: str) -> int:
        return FIXED if body == CHASSIS else self.kind.bodies.index(body)

    def _on(self, body: str, key: str, side: int = LEFT) -> Array:
        """A point in a body's own coordinates."""
        source = self.points if self.kind.carriers[key] == body else self.own
        place = self._of_side(source[key], side)
        return place if body == CHASSIS else place - self.reference[body]

    def _sides(self, *keys: str) -> list[int]:
        """Which times a joint is there: once in a corner's mechanism, or once for each side of a whole axle."""
        single = not self.kind.whole_axle or all(key in self.kind.single for key in keys)
        return [LEFT] if single else [0, 1]

    def _name(self, text: str, side: int, *keys: str) -> str:
        words = text.replace("_", " ")
        return f"{SIDE_NAMES[side]} {words}" if len(self._sides(*keys)) > 1 else words

    def links(self) -> Iterator[Links]:
        """Links by the two bodies that they join; those that share their bushes by themselves."""
        groups: dict[tuple[str, str, bool], list[tuple[Pair, int]]] = {}
        bushed = self.kind.bushed or ()
        for pair in self.kind.all_links:
            bodies = [self.kind.carriers[key] for key in pair]
            for side in self._sides(*pair):
                groups.setdefault((bodies[0], bodies[1], pair in bushed), []).append((pair, side))
        for (body, other, shared), members in groups.items():
            ends = [np.stack(np.broadcast_arrays(*(self._on(part, pair[i], side) for pair, side in members)), axis=-2)
                    for i, part in enumerate((body, other))]  # fmt: skip
            names = tuple(self._name(link_name(pair), side, *pair) for pair, side in members)
            values = np.stack(np.broadcast_arrays(*(self._length(pair, side) for pair, side in members)), axis=-1)
            group = Links(self._index(body), ends[0], self._index(other), ends[1], values, names)
            if shared:
                rows = ("upper links together", "lower links together", "left links together")
                group = replace(group, names=rows, sums=_UNWARPED)
            yield group

    def _length(self, pair: Pair, side: int) -> Array:
        if self.lengths is None:
            return self._of_side(length(self.points[pair[0]] - self.points[pair[1]])[..., None], side)[..., 0]
        values = self.lengths[..., self.kind.all_links.index(pair)]
        return np.asarray(values[..., side]) if self.kind.whole_axle else values

    def planes(self) -> Iterator[Planes]:
        """Struts, hinges, ball joints, rests and the rack's bearings."""
        kind = self.kind
        if kind.strut is not None:
            low, top = kind.strut.low, kind.strut.top_mount
            upright, mount = kind.carriers[low], kind.carriers[top]
            for side in self._sides(low, top):
                along = self.strut_direction
                if along is None:
                    along = unit(self.points[top] - self.points[low])
                name = self._name("strut through its top mount", side, low, top)
                through = self._on(mount, top, side)
                axis = self._of_side(along, side)
                yield slide(self._index(upright), self._on(upright, low, side), axis, self._index(mount), through, name)
        for joint in kind.hinges:
            ends = [(self._on(body, joint.first), self._on(body, joint.second)) for body in (joint.part, joint.on)]
            (at, beyond), (on_other, beyond_other) = ends
            name = f"{joint.part} on its pivots"
            part, on = self._index(joint.part), self._index(joint.on)
            yield hinge(part, at, beyond - at, on, on_other, beyond_other - on_other, name)
        for one in kind.balls:
            for side in self._sides(one.at):
                at, on_other = self._on(one.part, one.at, side), self._on(one.on, one.at, side)
                name = self._name(one.at, side, one.at)
                yield ball(self._index(one.part), at, self._index(one.on), on_other, name)
        for rest in kind.height_supports:
            body = kind.carriers[rest.at]
            for side in self._sides(rest.at):
                on_chassis = self._of_side(self.own[rest.at], side)
                name = self._name(rest.at, side, rest.at)
                yield in_plane(self._index(body), self._on(body, rest.at, side), on_chassis, _UP, name)
        if RACK in kind.bodies:
            yield slider(self._index(RACK), np.zeros(3), FIXED, self.reference[RACK], _LEFTWARD, _RACK_BEARINGS, "rack")

    def drivers(self) -> Iterator[Planes]:
        """Wheel travel, of the left wheel first, then the rack's."""
        body = self.kind.bodies[UPRIGHT]
        for side in self._sides("wheel_centre"):
            name = self._name("wheel travel", side, "wheel_centre")
            yield held_along(UPRIGHT, self._on(body, "wheel_centre", side), _UP, name)
        if RACK in self.kind.bodies:
            yield held_along(self._index(RACK), np.zeros(3), _LEFTWARD, "rack travel")


@dataclass(frozen=True)
class Placed:
    """Where a solved pose puts the parts, sides apart.

    place, start: now and as measured (..., 2, bodies, 3), of the first body its wheel centre; rotation: since
    measured (..., 2, bodies, 3, 3).
    """

    place: Array
    rotation: Array
    start: Array

    def point(self, body: int, measured: Array) -> Array:
        """Where a point (..., 2, 3) of a body is."""
        arm = measured - self.start[..., body, :]
        return np.asarray(self.place[..., body, :] + (self.rotation[..., body, :, :] @ arm[..., None])[..., 0])


def placed(kind: SuspensionType, mechanism: Mechanism, pose: Pose, wheel_centre: Array) -> Placed:
    """Sort a pose (..., [2,] bodies) by sides; wheel_centre: as the wheel's body has it at the start (..., 2, 3)."""
    turned = np.moveaxis(matrix(np.moveaxis(pose.quaternion, -1, 0)), (0, 1), (-2, -1))
    place, start = pose.position, mechanism.start.position
    if not kind.whole_axle:
        return Placed(place, turned, start)
    shape = (*place.shape[:-2], 2, *place.shape[-2:])
    place, start = (np.broadcast_to(values[..., None, :, :], shape).copy() for values in (place, start))
    turned = np.broadcast_to(turned[..., None, :, :, :], (*shape, 3))
    arm = wheel_centre - start[..., UPRIGHT, :]
    place[..., UPRIGHT, :] += (turned[..., UPRIGHT, :, :] @ arm[..., None])[..., 0]
    start[..., UPRIGHT, :] = wheel_centre
    return Placed(place, turned, start)
