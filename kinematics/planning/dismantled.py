"""An axle taken apart into what can be changed, and put together again.

Parts keep their measured places: chassis points on the chassis, upright points on the upright, each link its
length. A change moves a point in its own part or gives a link another length; putting the axle together
solves the linkage again and stands it on the ground at the ride height asked for.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from kinematics.car.car import SIDES, Axle
from kinematics.car.suspension_type import CHASSIS, SuspensionType
from kinematics.motion.linkage import UPRIGHT, Placed, linkage, placed
from solvers.equations import equations, start_pose
from solvers.mechanism import Mechanism
from solvers.moving import Reached, move
from solvers.rotations import matrix
from solvers.tangents import arctan2, larger_than
from solvers.vectors import Array, Flags, length, unit, vector

_UP: Array = np.array([0.0, 0.0, 1.0])
LEVEL_TO = 1e-10  # mm
_MOST_CORRECTIONS = 12


@dataclass(frozen=True)
class AxleParts:
    """What an axle is made of; arrays (..., 2, 3) or (..., 2) in the measured axle's axes [mm, rad].

    points: each point where it lies in its own part while the parts are placed as measured.
    lengths: of the type's `all_links`, in order (..., 2, n). strut_direction: in the upright, None without a
    strut. radius: loaded. heave, pitch: the body raised over the ground and turned nose down since measured, (...).
    """

    measured: Axle
    points: Mapping[str, Array]
    lengths: Array
    strut_direction: Array | None
    spin_axis: Array
    radius: Array
    heave: Array
    pitch: Array

    def over_ground(self, directions: Array) -> Array:
        """Turn directions of both sides (..., 2, 3) from the body's axes into the ground's."""
        return pitched(directions, np.asarray(self.pitch)[..., None])

    def with_point(self, key: str, shift: Array) -> "AxleParts":
        """Move a point in its own part by (..., 2, 3) [mm]."""
        return replace(self, points={**self.points, key: self.points[key] + shift})

    def with_length(self, link: tuple[str, str], change: Array) -> "AxleParts":
        """Change the length of a link by (..., 2) [mm]."""
        chosen = np.array([one == link for one in self.measured.suspension.all_links], dtype=float)
        return replace(self, lengths=self.lengths + np.asarray(change)[..., None] * chosen)


def partly(parts: AxleParts, changed: AxleParts, share: Array) -> AxleParts:
    """Parts with a share (...) of what one more change makes of them; each is linear in its amount."""
    points = dict(parts.points)
    for key, point in changed.points.items():
        if point is not parts.points[key]:
            points[key] = points[key] + share[..., None, None] * (point - points[key])
    return replace(
        parts,
        points=points,
        lengths=parts.lengths + share[..., None, None] * (changed.lengths - parts.lengths),
        radius=parts.radius + share[..., None] * (changed.radius - parts.radius),
        heave=parts.heave + share * (changed.heave - parts.heave),
    )


def pitched(directions: Array, pitch: Array) -> Array:
    """Turn directions (..., 3) from the axes of a body that is nose down by a pitch (...) [rad] into level ones."""
    x, y, z = directions[..., 0], directions[..., 1], directions[..., 2]
    sine, cosine = np.sin(pitch), np.cos(pitch)
    return vector(cosine * x + sine * z, y, cosine * z - sine * x)


def stacked(variants: Sequence[AxleParts]) -> AxleParts:
    """Return variants of one measured axle as one, along a new leading axis."""
    first = variants[0]
    directions = [one.strut_direction for one in variants if one.strut_direction is not None]
    return AxleParts(
        first.measured,
        {key: _stack([one.points[key] for one in variants]) for key in first.points},
        _stack([one.lengths for one in variants]),
        _stack(directions) if directions else None,
        _stack([one.spin_axis for one in variants]),
        _stack([one.radius for one in variants]),
        _stack([one.heave for one in variants]),
        _stack([one.pitch for one in variants]),
    )


def _stack(arrays: Sequence[Array]) -> Array:
    return np.stack(np.broadcast_arrays(*arrays))


def take_apart(axle: Axle) -> AxleParts:
    """Take a measured axle apart."""
    kind = axle.suspension
    lengths = [length(axle.points[on] - axle.points[at]) for on, at in kind.all_links]
    strut = kind.strut
    direction = None if strut is None else unit(axle.points[strut.top_mount] - axle.points[strut.low])
    return AxleParts(
        axle,
        axle.points,
        np.stack(np.broadcast_arrays(*lengths), axis=-1) if kind.all_links else np.zeros((2, 0)),
        direction,
        axle.spin_axis,
        axle.radius,
        np.zeros(axle.batch_shape),
        np.zeros(axle.batch_shape),
    )


@dataclass(frozen=True)
class Assembled:
    """An axle put together: measured anew, as it were, at its ride height.

    rotation: since measured of the part that carries each wheel (..., 2, 3, 3). arrived: (..., 2); where it is
    False the parts do not fit together and the axle's numbers mean nothing. found: how far they got, with the
    batch axes of the mechanism; link_names: of the rows in `found.share`. travel: of the wheels to the ground (..., 2)
    [mm], and how much their contact points rise with it.
    """

    axle: Axle
    rotation: Array
    arrived: Flags
    found: Reached
    link_names: tuple[str, ...]
    travel: Array
    rise: Array

    def stuck(self, index: int, side: int) -> tuple[float, list[str]]:
        """How far one variant's corner got, as a part of one, and which joints hold it there."""
        at = index if self.axle.suspension.whole_axle else (index, side)
        share = self.found.share[at]
        return float(self.found.reached[at]), [self.link_names[i] for i in np.argsort(-share) if share[i] > 0.5][:2]


@dataclass(frozen=True)
class Loosened:
    """Parts as measured, the same with every row a driver, and how far each guiding row is from fitting (..., rows)."""

    measured: Mechanism
    drivers: Mechanism
    mismatch: Array


@dataclass(frozen=True)
class Stood:
    """Parts put together with their wheels at some travel, wherever that leaves the contact points.

    axis: spin axes to the ground (..., 2, 3); height: of contact points (..., 2) [mm]; link_names: of the rows in
    `found.share`.
    """

    places: Placed
    found: Reached
    arrived: Flags
    axis: Array
    height: Array
    link_names: tuple[str, ...]


class Near(Protocol):
    """What almost the same parts tell: how far wheels travel to the ground, and how contact points rise with it."""

    @property
    def travel(self) -> Array:
        """Travel (..., 2) [mm]."""

    @property
    def rise(self) -> Array:
        """Rise per travel (..., 2)."""


def put_together(parts: AxleParts, near: Near | None = None) -> Assembled:
    """Solve the linkage of changed parts and stand it level on the ground at its ride height.

    near: almost the same parts put together, which tell how far the wheels must travel; the way there is the same.
    """
    loose = loosened(parts)
    raised = np.asarray(parts.heave)[..., None]
    sides = _sides_shape(parts.measured.suspension, loose.mismatch)
    travel = -raised + np.zeros((*np.broadcast_shapes(sides, (*raised.shape[:-1], 2)),))
    slope = np.ones_like(travel)
    if near is not None:
        travel, slope = travel * 0.0 + near.travel, near.rise.copy()
    earlier_travel, earlier_height = travel, np.zeros_like(travel)
    for _ in range(_MOST_CORRECTIONS):
        tried = stood_at(parts, travel, loose)
        # A corner whose parts do not fit is left where it stuck; it must not hold up the others.
        off = tried.arrived & larger_than(tried.height, LEVEL_TO)
        if not off.any():
            break
        # Secant steps: the contact point follows the wheel centre almost, not quite, one to one. Where only tangents
        # are still off, the last slope does.
        moved = tried.arrived & (np.abs(tried.height.real) > LEVEL_TO) & (travel.real != earlier_travel.real)
        slope[moved] = ((tried.height - earlier_height)[moved]).real / (travel - earlier_travel)[moved].real
        earlier_travel, earlier_height = travel, tried.height
        travel = travel - np.where(off, tried.height / slope, 0.0)
    return assembled(parts, tried, travel, slope)


def assembled(parts: AxleParts, stood: Stood, travel: Array, rise: Array) -> Assembled:
    """Measure parts anew that stand at the travel (..., 2) [mm] where contact points are on the ground."""
    columns = [parts.over_ground(stood.places.rotation[..., UPRIGHT, :, i]) for i in range(3)]
    turned = np.stack(columns, axis=-1)
    axle = _measured_anew(parts, stood.places, stood.axis)
    return Assembled(axle, turned, stood.arrived, stood.found, stood.link_names, travel, rise)


def stood_at(parts: AxleParts, travel: Array, loose: Loosened | None = None) -> Stood:
    """Put parts together with their wheels at a travel (..., 2) [mm], wherever that leaves the contact points."""
    kind = parts.measured.suspension
    loose = loose or loosened(parts)
    found = move(loose.drivers, _values(kind, loose.mismatch, travel))
    places = placed(kind, loose.measured, found.pose, parts.points["wheel_centre"])
    arrived = np.broadcast_to(found.arrived[..., None] if kind.whole_axle else found.arrived, travel.shape)
    axis = parts.over_ground((places.rotation[..., UPRIGHT, :, :] @ parts.spin_axis[..., None])[..., 0])
    centre = parts.over_ground(places.place[..., UPRIGHT, :])[..., 2]
    height = centre - parts.radius * np.sqrt(1.0 - axis[..., 2] ** 2) + np.asarray(parts.heave)[..., None]
    return Stood(places, found, arrived, axis, height, loose.drivers.driver_names)


def camber_and_toe(axis: Array) -> tuple[Array, Array]:
    """Wheel angles (..., 2) [rad] of outward spin axes over the ground (..., 2, 3)."""
    return -np.arcsin(axis[..., 2]), arctan2(axis[..., 0], SIDES * axis[..., 1])


def _sides_shape(kind: SuspensionType, mismatch: Array) -> tuple[int, ...]:
    return (*mismatch.shape[:-1], 2) if kind.whole_axle else mismatch.shape[:-1]


def _values(kind: SuspensionType, mismatch: Array, travel: Array) -> Array:
    """Driver values: what brings each row to fit, then the travel of this wheel, or of both."""
    driven = travel if kind.whole_axle else travel[..., None]
    shape = np.broadcast_shapes(mismatch.shape[:-1], driven.shape[:-1])
    spread = [np.broadcast_to(part, (*shape, part.shape[-1])) for part in (mismatch, driven)]
    return np.concatenate(spread, axis=-1)


def loosened(parts: AxleParts) -> Loosened:
    """Parts as they are before they are put together."""
    kind, measured = parts.measured.suspension, parts.measured
    mechanism = linkage(kind, parts.points, measured.points, parts.lengths, parts.strut_direction)
    rows = equations(mechanism)
    position, quaternion = start_pose(mechanism, mechanism.batch_shape)
    at_rest = np.zeros((mechanism.driver_count, *mechanism.batch_shape))
    residual = rows.residual(position, np.stack([matrix(one) for one in quaternion]), at_rest)
    loose = replace(mechanism, links=(), planes=(), drivers=mechanism.groups)
    return Loosened(mechanism, loose, -np.moveaxis(residual[: rows.guide_rows], 0, -1))


def _measured_anew(parts: AxleParts, places: Placed, axis: Array) -> Axle:
    kind = parts.measured.suspension
    raised = np.asarray(parts.heave)[..., None, None] * _UP
    points = {}
    for key, carrier in kind.carriers.items():
        place = parts.points[key]
        if carrier != CHASSIS:
            place = places.point(kind.bodies.index(carrier), place)
        points[key] = np.broadcast_to(parts.over_ground(place) + raised, axis.shape)
    camber, toe = camber_and_toe(axis)
    body = parts.measured.body.raised(parts.heave)
    return replace(parts.measured, points=points, camber=camber, toe=toe, body=body)
