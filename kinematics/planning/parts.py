"""An axle taken apart into what can be changed, and put together again.

Parts keep their measured places: chassis points on the chassis, upright points on the upright, each link its
length. A change moves a point in its own part or gives a link another length; putting the axle together
solves the linkage again and stands it on the ground at the ride height asked for.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car import SIDES, Axle
from kinematics.linkage import UPRIGHT
from solvers.mechanism import GROUND, Links, Mechanism, Planes, Pose, held_along, slide
from solvers.moving import Moved, move
from solvers.path import carried
from solvers.rotations import IDENTITY, matrix
from solvers.vectors import Array, length, unit

_UP: Array = np.array([0.0, 0.0, 1.0])
_LEVEL_TO = 1e-10  # mm
_MOST_CORRECTIONS = 12


@dataclass(frozen=True)
class AxleParts:
    """What an axle is made of; arrays (..., 2, 3) or (..., 2) in the measured axle's axes [mm, rad].

    points: each point where it lies in its own part while the parts are placed as measured.
    lengths: of the type's `all_links`, in order (..., 2, n). strut_direction: in the upright, None without a
    strut. radius: loaded. heave: the body raised over the ground since measured, (...).
    """

    measured: Axle
    points: Mapping[str, Array]
    lengths: Array
    strut_direction: Array | None
    spin_axis: Array
    radius: Array
    heave: Array

    def with_point(self, key: str, shift: Array) -> "AxleParts":
        """Move a point in its own part by (..., 2, 3) [mm]."""
        return replace(self, points={**self.points, key: self.points[key] + shift})

    def with_length(self, link: tuple[str, str], change: Array) -> "AxleParts":
        """Change the length of a link by (..., 2) [mm]."""
        chosen = np.array([one == link for one in self.measured.suspension.all_links], dtype=float)
        return replace(self, lengths=self.lengths + np.asarray(change)[..., None] * chosen)


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
        np.stack(np.broadcast_arrays(*lengths), axis=-1),
        direction,
        axle.spin_axis,
        axle.radius,
        np.zeros(axle.batch_shape),
    )


@dataclass(frozen=True)
class Assembled:
    """An axle put together: measured anew, as it were, at its ride height. found: how far each corner got.

    turned: rotation of each upright since measured (..., 2, 3, 3). Where `found.arrived` (..., 2) is False the
    parts do not fit together; the axle's numbers mean nothing there. link_names: of the rows in `found.share`.
    """

    axle: Axle
    turned: Array
    found: Moved
    link_names: tuple[str, ...]


def put_together(parts: AxleParts) -> Assembled:
    """Solve the linkage of changed parts and stand it level on the ground at its ride height."""
    mechanism, mismatch = _loose(parts)
    raised = np.asarray(parts.heave)[..., None]
    travel = -raised + np.zeros(mismatch.shape[:-1])
    earlier_travel, earlier_height, slope = travel, np.zeros_like(travel), np.ones_like(travel)
    for _ in range(_MOST_CORRECTIONS):
        found = move(mechanism, np.concatenate([mismatch, travel[..., None]], axis=-1))
        rotation = np.moveaxis(matrix(np.moveaxis(found.pose.quaternion[..., UPRIGHT, :], -1, 0)), (0, 1), (-2, -1))
        axis = carried(rotation, np.zeros(3), parts.spin_axis)
        centre = found.pose.position[..., UPRIGHT, :]
        height = centre[..., 2] - parts.radius * np.sqrt(1.0 - axis[..., 2] ** 2) + raised
        # A corner whose parts do not fit is left where it stuck; it must not hold up the others.
        off = found.arrived & (np.abs(height) > _LEVEL_TO)
        if not off.any():
            break
        # Secant steps: the contact point follows the wheel centre almost, not quite, one to one.
        moved = off & (travel != earlier_travel)
        slope[moved] = ((height - earlier_height)[moved]) / (travel - earlier_travel)[moved]
        earlier_travel, earlier_height = travel, height
        travel = travel - np.where(off, height / slope, 0.0)
    return Assembled(_measured_anew(parts, rotation, centre, axis), rotation, found, mechanism.driver_names)


def _loose(parts: AxleParts) -> tuple[Mechanism, Array]:
    """The parts as measured, every row a driver, and how far each row is from fitting (..., 2, rows)."""
    kind = parts.measured.suspension
    centre = parts.points["wheel_centre"]
    outer = np.stack(np.broadcast_arrays(*(parts.points[on] for on, _ in kind.all_links)), axis=-2)
    inner = np.stack(np.broadcast_arrays(*(parts.points[at] for _, at in kind.all_links)), axis=-2)
    names = tuple(f"{on} to {at}".replace("_", " ") for on, at in kind.all_links)
    now = length(outer - inner)
    drivers: list[Links | Planes] = [Links(UPRIGHT, outer - centre[..., None, :], GROUND, inner, now, names)]
    mismatch = [parts.lengths - now]
    if kind.strut is not None and parts.strut_direction is not None:
        top, low = parts.points[kind.strut.top_mount], parts.points[kind.strut.low]
        planes = slide(UPRIGHT, low - centre, parts.strut_direction, GROUND, top, "strut through its top mount")
        mismatch.append(-((top - low)[..., None, :] * planes.normal).sum(axis=-1))
        drivers.append(planes)
    drivers.append(held_along(UPRIGHT, np.zeros(3), _UP, "wheel travel"))
    quaternion = np.broadcast_to(IDENTITY, (*centre.shape[:-1], 1, 4))
    mechanism = Mechanism(("upright",), Pose(centre[..., None, :], quaternion), (), (), tuple(drivers))
    shape = np.broadcast_shapes(mechanism.batch_shape, *(part.shape[:-1] for part in mismatch))
    spread = [np.broadcast_to(part, (*shape, part.shape[-1])) for part in mismatch]
    return mechanism, np.concatenate(spread, axis=-1)


def _measured_anew(parts: AxleParts, rotation: Array, centre: Array, axis: Array) -> Axle:
    kind = parts.measured.suspension
    raised = np.asarray(parts.heave)[..., None, None] * _UP
    points = {}
    for key in kind.keys:
        if key in kind.on_upright:
            arm = parts.points[key] - parts.points["wheel_centre"]
            points[key] = carried(rotation, centre, arm) + raised
        else:
            points[key] = np.broadcast_to(parts.points[key] + raised, centre.shape)
    camber = -np.arcsin(axis[..., 2])
    toe = np.arctan2(axis[..., 0], SIDES * axis[..., 1])
    return replace(parts.measured, points=points, camber=camber, toe=toe)
