"""Steering: an axle with its rack moved, and sweeps of the rack alone or together with bump and roll."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

import numpy as np
from numpy.typing import NDArray

from kinematics.car.car import SIDE_NAMES, SIDES, Axle
from kinematics.car.given_numbers import angle, angles, lengths, shared_shape
from kinematics.car.suspension_type import CHASSIS, RACK
from kinematics.motion.ground import Attitude, attitude_at
from kinematics.motion.linkage import UPRIGHT, placed, steered_linkage
from kinematics.motion.moving_axle import MovingAxle
from kinematics.motion.reasons import Gap, Reason, UnreachedError
from kinematics.numbers import wheel_angles
from kinematics.numbers.outer_share import USUAL, OuterShare
from kinematics.numbers.registry import quantities_of
from kinematics.numbers.stance import Stance
from kinematics.sweeps.arguments import refuse_no_axle, refuse_other
from kinematics.sweeps.asked import Asked, made_ready
from kinematics.sweeps.body import Sweep, undefined_tangents
from kinematics.sweeps.finite import leave_gaps
from kinematics.sweeps.gaps import Gaps
from solvers.mechanism import Mechanism
from solvers.moving import Reached, move
from solvers.tangents import arctan2
from solvers.vectors import Array, Flags

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

_T = TypeVar("_T", bound=np.generic)


@dataclass(frozen=True)
class Steered:
    """An axle at rack travels (R,): with that leading axis, standing at zero wheel travel.

    reached: (R, ...). Where the linkage goes over centre first, the axle stands where that happens and `gaps` (R,)
    say so, for one car. rotation: of the uprights from straight ahead (R, ..., 2, 3, 3).
    """

    axle: Axle
    reached: Flags
    gaps: Gaps
    rotation: Array


def turn_rack(axle: Axle, rack: Array) -> Steered:
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
    axis = (places.rotation[..., UPRIGHT, :, :] @ axle.spin_axis[..., None])[..., 0]
    steered_axle = replace(
        axle,
        points=points,
        camber=-np.arcsin(axis[..., 2]),
        toe=arctan2(axis[..., 0], SIDES * axis[..., 1]),
        rack=values[..., 0, 1],
        straight_ahead=axle,
    )
    got_there = np.asarray(found.arrived.all(axis=-1))
    gaps = Gaps.none(*rack.shape)
    for at in np.flatnonzero(~got_there) if got_there.ndim == 1 else ():
        gaps = gaps.put(np.arange(rack.size) == at, _over_centre(axle.name, mechanism, found, rack, int(at)))
    return Steered(steered_axle, got_there, gaps, places.rotation[..., UPRIGHT, :, :])


def _over_centre(axle: str, mechanism: Mechanism, found: Reached, rack: Array, at: int) -> Reason:
    # Both sides may: the one that does first is to be named.
    side = int(np.argmin(found.reached[at]))
    share, names = found.share[at, side], mechanism.row_names
    blamed = tuple(names[i] for i in np.argsort(-share) if share[i] > 0.5 and "rack" not in names[i])[:3]
    reached = float(found.reached[at, side] * rack[at])
    return Reason(Gap.OVER_CENTRE, axle, SIDE_NAMES[side], rack=reached, joints=blamed)


def steered(axle: Axle, rack: Array) -> Axle:
    """An axle with its rack moved to travels (R,) [mm], to the left positive, along a new leading axis.

    Raises UnreachedError, with the reason, where one of them lies beyond the linkage's centre.
    """
    steering = turn_rack(axle, rack)
    if not steering.reached.all():
        raise UnreachedError(steering.gaps.in_order()[0])
    return steering.axle


def _where_reached(steering: Steered, axle: Axle) -> Axle:
    """The steered axle, straight ahead in the variants that the rack does not reach."""
    if steering.reached.all():
        return steering.axle

    def chosen(steered_to: Array, straight: Array) -> Array:
        flags = steering.reached.reshape(*steering.reached.shape, *[1] * (steered_to.ndim - steering.reached.ndim))
        return np.where(flags, steered_to, straight)

    points = {key: chosen(point, axle.points[key]) for key, point in steering.axle.points.items()}
    camber, toe = chosen(steering.axle.camber, axle.camber), chosen(steering.axle.toe, axle.toe)
    return replace(steering.axle, points=points, camber=camber, toe=toe)


@dataclass(frozen=True)
class MovingRack:
    """An axle steered to rack travels (R,) [mm] and ready to move at each of them; straight: the same, not steered."""

    straight: MovingAxle
    rack: Array
    steering: Steered
    corners: MovingAxle


def moving_rack(straight: MovingAxle, rack: Array, *asked: Asked) -> MovingRack:
    """Move the rack to travels (R,) [mm] and make the axle ready there for all that is asked.

    A steered axle is another linkage than the one straight ahead: its variants are traced together, once.
    """
    steering = turn_rack(straight.axle, rack)
    # At its dead centre a linkage moves neither way: what the rack cannot reach is swept straight ahead and left out.
    return MovingRack(straight, rack, steering, made_ready(_where_reached(steering, straight.axle), *asked))


def sweep_rack(
    moved: MovingRack,
    bump: Array | float = 0.0,
    roll: Array | float = 0.0,
    *,
    pitch: float = 0.0,
    outer_share: OuterShare = USUAL,
) -> Sweep:
    """All rack travels (R,) times bumps [mm] and rolls [rad], which broadcast to (B,) or are single: shape (R, [B]).

    pitch: of the body [rad], as in `sweeps.body`.
    """
    lowered, rolled = shared_shape(np.asarray(bump, dtype=float), np.asarray(roll, dtype=float))
    attitude = attitude_at(-lowered.reshape(-1), rolled.reshape(-1), angle(pitch, "pitch"))
    return _sweep(moved, attitude, _straight_ahead(moved, attitude), (moved.rack.size, *lowered.shape), outer_share)


def sweep_steer(
    axle: Axle | MovingAxle,
    rack: "ArrayLike",
    bump: "ArrayLike" = 0.0,
    roll: "ArrayLike" = 0.0,
    *,
    pitch: float = 0.0,
    outer_share: OuterShare = USUAL,
) -> Sweep:
    """Move the rack [mm, left positive] with the body lowered [mm] and rolled [rad], contact points on the ground.

    pitch: of the body [rad], as in `sweeps.body`. The other three broadcast against each other; the sweep has their
    common shape.
    """
    refuse_no_axle(axle, "sweep_steer")
    refuse_other(outer_share, OuterShare, "sweep_steer takes an OuterShare as outer_share, such as OuterShare(0.7)")
    rack, bump, roll = shared_shape(lengths(rack, "rack"), lengths(bump, "bump"), angles(roll, "roll"))
    attitude = attitude_at(-bump.reshape(-1), roll.reshape(-1), angle(pitch, "pitch"))
    asked = Asked(np.zeros(0), attitude)
    moved = moving_rack(made_ready(axle, asked) if isinstance(axle, Axle) else axle, rack.reshape(-1), asked)
    straight = np.moveaxis(_straight_ahead(moved, attitude), -1, 0)[..., None]
    each = (-1, *[1] * len(moved.straight.axle.batch_shape), 1)
    own = attitude_at(attitude.heave.reshape(each), attitude.roll.reshape(each), pitch)
    return _sweep(moved, own, straight, rack.shape, outer_share)


def _straight_ahead(moved: MovingRack, attitude: Attitude) -> Array:
    """Steer of both wheels with the rack in the middle, at the same attitudes (S,): (..., 2, S)."""
    corners = moved.straight
    return wheel_angles.steer(Stance(corners.at(corners.stand(attitude).travel), attitude).spin_axis)


def _sweep(
    moved: MovingRack, attitude: Attitude, straight: Array, shape: tuple[int, ...], outer_share: OuterShare
) -> Sweep:
    """All numbers at attitudes (S,), or (R, ..., S) each rack travel's own, with the steer straight ahead there."""
    axle, steering, corners = moved.straight.axle, moved.steering, moved.corners
    standing = corners.stand(attitude)
    stance = Stance(corners.at(standing.travel), attitude, outer_share, straight)
    out_of_reach = standing.low | standing.high | standing.turned_over
    count = out_of_reach.shape[-1]
    locked, one_car = _rack_last(out_of_reach), not axle.batch_shape
    reached = _rack_last(steering.reached[..., None] & ~out_of_reach.any(axis=-2))
    unreached = Gaps.none(*reached.shape).put(~reached, Reason(Gap.NOT_REACHED, axle.name))
    gaps = steering.gaps.repeated(count) if one_car else unreached
    for side, name in enumerate(SIDE_NAMES if one_car else ()):
        gaps = gaps.fill(locked[side], Reason(Gap.REACHES_NO_FURTHER_AT_THIS_RACK, axle.name, name))
    values = {}
    for key, quantity in quantities_of(steering.axle).items():
        own = out_of_reach.shape if quantity.per_side else (*out_of_reach.shape[:-2], count)
        with undefined_tangents(steering.axle):
            read = _rack_last(np.broadcast_to(quantity.read(stance), own))
        values[key] = np.where(reached[..., None, :] if quantity.per_side else reached, read, np.nan)
        finite = leave_gaps(values[key])
        if finite is not None:
            undefined = reached & ~(finite.all(axis=-2) if quantity.per_side else finite)
            gaps = gaps.fill(undefined, Reason(Gap.NOT_FINITE, axle.name, number=key))
    # What was asked for is known even where nothing else is.
    every = (moved.rack.size, *[1] * len(axle.batch_shape), count)
    pitch = np.zeros(1) if attitude.pitch is None else attitude.pitch
    poses = {"heave": attitude.heave, "roll": attitude.roll, "pitch": pitch}
    asked = {"rack_travel": np.repeat(moved.rack, count)}
    asked |= {key: np.broadcast_to(one, every).reshape(-1) for key, one in poses.items()}
    values |= {key: np.broadcast_to(one, reached.shape) for key, one in asked.items()}
    if "ackermann" in values:
        gaps = gaps.put(reached & ~np.isfinite(values["ackermann"]), Reason(Gap.STRAIGHT_AHEAD, axle.name))
    shaped = {key: one.reshape((*one.shape[:-1], *shape)) for key, one in values.items()}
    whole, gaps = reached.reshape((*axle.batch_shape, *shape)), gaps.reshaped((*axle.batch_shape, *shape))
    drivers = {"rack": asked["rack_travel"], "bump": -asked["heave"], "roll": asked["roll"]}
    # What is the same in all states is no driver.
    varied = {key: one.reshape(shape) for key, one in drivers.items() if key == "rack" or np.ptp(one) > 0.0}
    return Sweep(axle, "steer", shape, shaped, whole, gaps, outer_share, varied)


def _rack_last(values: NDArray[_T]) -> NDArray[_T]:
    """Rack travels (R, ..., S) moved beside the states and both made one axis (..., R S)."""
    moved = np.moveaxis(values, 0, -2)
    return moved.reshape((*moved.shape[:-2], -1))
