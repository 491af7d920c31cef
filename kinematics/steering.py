"""Steering: an axle with its rack moved, and sweeps of the rack alone or together with bump and roll."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kinematics import wheel_angles
from kinematics.car import SIDE_NAMES, SIDES, Axle
from kinematics.gaps import leave_gaps
from kinematics.ground import Attitude, expected_travel
from kinematics.lengths import in_both_units
from kinematics.linkage import UPRIGHT, placed, steered_linkage
from kinematics.moving_axle import moving
from kinematics.quantities import quantities_of
from kinematics.stance import DEFAULT_OUTER_SHARE, Stance
from kinematics.suspension import CHASSIS, RACK
from kinematics.sweeps import Sweep, undefined_tangents
from solvers.moving import move
from solvers.tangents import arctan2
from solvers.vectors import Array, Flags

_STRAIGHT_AHEAD = "wheels straight ahead: no turn, so no Ackermann share and no turn radius"


@dataclass(frozen=True)
class Turned:
    """An axle at rack travels (R,): with that leading axis, standing at zero wheel travel.

    reached: (R, ...). Where the linkage goes over centre first, the axle stands where that happens and `why` (R,)
    says so, for one car; it is empty elsewhere.
    """

    axle: Axle
    reached: Flags
    why: NDArray[np.object_]


def turn_rack(axle: Axle, rack: Array) -> Turned:
    """Move the rack to travels (R,) [mm], to the left positive, the wheel centres held in height."""
    kind = axle.suspension
    if not kind.rack:
        raise ValueError(f"a {kind.name} has no steering rack")
    mechanism = steered_linkage(axle)
    values = np.zeros((rack.size, *axle.batch_shape, 2, 2))
    values[..., 1] = rack.reshape(-1, *[1] * (values.ndim - 2))
    found = move(mechanism, values)
    places = placed(kind, mechanism, found.pose, axle.points["wheel_centre"])
    shape = places.place[..., UPRIGHT, :].shape
    rack_body = mechanism.bodies.index(RACK)
    to_left = places.place[..., rack_body, :] - mechanism.start.position[..., rack_body, :]
    points = {}
    for key, carrier in kind.carriers.items():
        place = axle.points[key]
        if carrier != CHASSIS:
            place = places.point(mechanism.bodies.index(carrier), place)
        points[key] = np.broadcast_to(place + to_left if key in kind.rack else place, shape)
    axis = (places.turned[..., UPRIGHT, :, :] @ axle.spin_axis[..., None])[..., 0]
    turned = replace(
        axle,
        points=points,
        camber=-np.arcsin(axis[..., 2]),
        toe=arctan2(axis[..., 0], SIDES * axis[..., 1]),
        rack=values[..., 0, 1],
        straight_ahead=axle,
    )
    why = np.full(rack.shape, "", dtype=object)
    got_there = np.asarray(found.arrived.all(axis=-1))
    for at in np.flatnonzero(~got_there) if got_there.ndim == 1 else ():
        # Both sides may: the one that does first is to be named.
        side = int(np.argmin(found.reached[at]))
        share = found.share[at, side]
        names = mechanism.row_names
        blamed = [names[i] for i in np.argsort(-share) if share[i] > 0.5 and "rack" not in names[i]]
        reached = float(found.reached[at, side] * rack[at])
        where = f"{in_both_units(reached)} of rack travel"
        why[at] = f"the {axle.name} {SIDE_NAMES[side]} steering goes over centre at {where} ({', '.join(blamed[:3])})"
    return Turned(turned, got_there, why)


def steered(axle: Axle, rack: Array) -> Axle:
    """An axle with its rack moved to travels (R,) [mm], to the left positive, along a new leading axis.

    Raises ValueError, with the reason, where one of them lies beyond the linkage's centre.
    """
    turned = turn_rack(axle, rack)
    if not turned.reached.all():
        raise ValueError(next(reason for reason in turned.why if reason))
    return turned.axle


def _where_reached(turned: Turned, axle: Axle) -> Axle:
    """The turned axle, straight ahead in the variants that the rack does not reach."""
    if turned.reached.all():
        return turned.axle

    def chosen(steered_to: Array, straight: Array) -> Array:
        flags = turned.reached.reshape(*turned.reached.shape, *[1] * (steered_to.ndim - turned.reached.ndim))
        return np.where(flags, steered_to, straight)

    points = {key: chosen(point, axle.points[key]) for key, point in turned.axle.points.items()}
    camber, toe = chosen(turned.axle.camber, axle.camber), chosen(turned.axle.toe, axle.toe)
    return replace(turned.axle, points=points, camber=camber, toe=toe)


def _straight_ahead(axle: Axle, bump: Array, roll: Array) -> Array:
    """Steer of both wheels with the rack in the middle, at the same bumps and rolls (N, ..., 2, 1)."""
    attitude = Attitude(-bump.reshape(-1).astype(float), roll.reshape(-1).astype(float))
    corners = moving(axle, *expected_travel(axle, attitude))
    stance = Stance(corners.at(corners.stand(attitude).travel), attitude)
    return np.moveaxis(wheel_angles.steer(stance.spin_axis), -1, 0)[..., None]


def sweep_steer(
    axle: Axle,
    rack: Array,
    bump: Array | float = 0.0,
    roll: Array | float = 0.0,
    *,
    outer_share: float = DEFAULT_OUTER_SHARE,
) -> Sweep:
    """Move the rack [mm, left positive] with the body lowered [mm] and rolled [rad], contact points on the ground.

    The three broadcast against each other; the sweep has their common shape. Notes are there for one car only.
    """
    rack, bump, roll = np.broadcast_arrays(np.asarray(rack, dtype=float), bump, roll)
    shape = rack.shape
    turned = turn_rack(axle, rack.reshape(-1))
    each = (-1, *[1] * len(axle.batch_shape), 1)
    attitude = Attitude(-bump.reshape(each).astype(float), roll.reshape(each).astype(float))
    # At its dead centre a linkage moves neither way: what the rack cannot reach is swept straight ahead and left out.
    standing_axle = _where_reached(turned, axle)
    corners = moving(standing_axle, *expected_travel(standing_axle, attitude))
    standing = corners.stand(attitude)
    stance = Stance(corners.at(standing.travel), attitude, outer_share, _straight_ahead(axle, bump, roll))
    locked = (standing.low | standing.high | standing.turned_over)[..., 0]
    notes, one_car = turned.why.copy(), not axle.batch_shape
    reached = np.moveaxis(turned.reached & ~locked.any(axis=-1), 0, -1)
    for side, name in enumerate(SIDE_NAMES if one_car else ()):
        notes[locked[:, side] & (notes == "")] = (
            f"at this rack travel the {axle.name} {name} linkage reaches no further"
        )
    values = {}
    for key, quantity in quantities_of(turned.axle).items():
        own = (*locked.shape, 1) if quantity.per_side else (*locked.shape[:-1], 1)
        with undefined_tangents(turned.axle):
            read = np.moveaxis(np.broadcast_to(quantity.read(stance), own)[..., 0], 0, -1)
        values[key] = np.where(reached[..., None, :] if quantity.per_side else reached, read, np.nan)
        finite = leave_gaps(values[key])
        if one_car:
            undefined = reached & ~finite.reshape(-1, rack.size).all(axis=0)
            notes[undefined & (notes == "")] = f"no finite {quantity.title} here"
    # What was asked for is known even where nothing else is.
    asked = {"rack_travel": rack.reshape(-1), "heave": -bump.reshape(-1), "roll": roll.reshape(-1)}
    values |= {key: np.broadcast_to(one, reached.shape) for key, one in asked.items()}
    problems: tuple[str, ...] = ()
    if one_car:
        if "ackermann" in values:
            notes[reached & ~np.isfinite(values["ackermann"])] = _STRAIGHT_AHEAD
        problems = tuple(dict.fromkeys(notes[~reached]))
    shaped = {key: one.reshape(*one.shape[:-1], *shape) for key, one in values.items()}
    whole = reached.reshape(*reached.shape[:-1], *shape)
    return Sweep(axle, "steer", shape, shaped, whole, notes.reshape(shape), problems, outer_share)
