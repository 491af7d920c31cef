"""How far ball joints and rod ends turn from their middle, over travel, and steered from lock to lock."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.suspension_type import Arm
from kinematics.motion.moving_axle import MovingAxle, moving
from kinematics.motion.states import CornerStates
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.dismantled import pitched
from solvers.rotations import rotate
from solvers.vectors import Array, cross, dot, length, unit

_NEARBY = np.array([-0.5, 0.5])  # mm of travel that show which way bump turns a joint


def joint_angles(
    measured: Axle, changed: ChangedAxle, travel: Array, ready: MovingAxle | None = None
) -> dict[str, Array]:
    """Largest angle of each joint from its middle, over travel (S,), wheels straight ahead: key to (2,) [rad].

    ready: the changed axle, where it is ready to move over that travel already.
    """
    corners = ready or moving(changed.axle, float(travel.min()), float(travel.max()))
    return joint_angles_of(measured, corners, changed.rotation, np.asarray(changed.pitch), travel)


def joint_angles_of(
    measured: Axle, corners: MovingAxle, rotation: Array, pitch: Array, travel: Array
) -> dict[str, Array]:
    """The same for variants (...) of an axle under way: key to (..., 2).

    rotation: of their uprights (..., 2, 3, 3), pitch: of their bodies (...), since measured.
    """
    states = corners.at(np.broadcast_to(travel, (*corners.axle.batch_shape, 2, travel.size)))
    return {key: turned.max(axis=-1) for key, turned in joint_turns(measured, states, rotation, pitch).items()}


def joint_turns(
    measured: Axle, states: CornerStates, rotation: Array, pitch: Array, middles: Mapping[str, Array] | None = None
) -> dict[str, Array]:
    """Angle of each joint from its middle at states of variants (...): key to (..., 2, S) [rad].

    At a joint on the upright it is the angle between the link (an arm: the line to the middle of its pivots) and its
    measured direction, as the upright sees it; at the inner end of a single link, as the chassis sees it. On an upright
    with a steering axis the joint's pin is taken to stand along that axis, and turning about the pin uses nothing up: a
    link's end is tilted by the link's slope against the pin, an arm's by the angle of its own pin to the upright's.

    middles: by `middles_of`, where they are at hand.
    """
    there = middles_of(measured) if middles is None else middles
    joints = _joints(measured, states, rotation, np.asarray(pitch))
    return {one.key: _between(there[one.key], one.direction) for one in joints}


def middles_of(measured: Axle) -> dict[str, Array]:
    """Direction in which each joint stands in its middle (..., 2, 3): as measured, or as the car's owner says it is."""
    middles = {one.key: one.direction[..., 0, :] for one in _joints(measured, None, None, np.zeros(()))}
    stated = measured.fittings.joint_middles
    ways = _ways_in_bump(measured) if stated else {}
    for key, away in stated.items():
        middles[key] = np.cos(away) * middles[key] - np.sin(away) * ways[key]
    return middles


@dataclass(frozen=True)
class _Joint:
    """A joint's direction (..., 2, S, 3) in the axes of the part that holds its middle."""

    key: str
    direction: Array


def _joints(measured: Axle, states: CornerStates | None, rotation: Array | None, pitch: Array) -> Iterator[_Joint]:
    """Every joint's direction at states, or as measured (S = 1) where there are none."""
    kind = measured.suspension
    shape = (*measured.batch_shape, 2, 1, 3) if states is None else states.wheel_centre.shape
    turned = None if states is None else states.rotation @ np.asarray(rotation)[..., None, :, :]

    def at(key: str) -> Array:
        return measured.points[key][..., None, :] if states is None else states.point(key)

    def on_upright(direction: Array) -> Array:
        return direction if turned is None else _seen_by(turned, direction)

    pin = _pin(measured)
    for arm in kind.arms:
        pivots = (at(arm.pivot_front) + at(arm.pivot_rear)) / 2.0
        direction = unit(pivots - at(arm.joint)) if pin is None else _carried_by_arm(pin, arm, measured, at)
        yield _Joint(arm.joint, on_upright(np.broadcast_to(direction, shape)))
    for outer, inner in kind.links_to_chassis:
        direction = np.broadcast_to(unit(at(inner) - at(outer)), shape)
        seen = on_upright(direction)
        yield _Joint(outer, seen if pin is None else _slope_against(pin, seen, measured, (outer, inner)))
        yield _Joint(inner, pitched(direction, -pitch[..., None, None]))


def _pin(measured: Axle) -> Array | None:
    """Direction of the steering axis as measured (..., 2, 3); None where the upright has no fixed one."""
    axis = measured.suspension.steering_axis
    return None if axis is None else unit(measured.points[axis[1]] - measured.points[axis[0]])


def _carried_by_arm(pin: Array, arm: Arm, measured: Axle, at: Callable[[str], Array]) -> Array:
    """The pin (..., 2, 3) as an arm carries it along (..., 2, S, 3)."""
    before = _frame(*(measured.points[key][..., None, :] for key in (arm.pivot_front, arm.pivot_rear, arm.joint)))
    now = _frame(at(arm.pivot_front), at(arm.pivot_rear), at(arm.joint))
    parts = [dot(pin[..., None, :], axis)[..., None] * then for axis, then in zip(before, now, strict=True)]
    return np.asarray(sum(parts))


def _frame(front: Array, rear: Array, joint: Array) -> tuple[Array, Array, Array]:
    along = unit(rear - front)
    out = joint - front
    out = unit(out - dot(out, along)[..., None] * along)
    return along, out, cross(along, out)


def _slope_against(pin: Array, seen: Array, measured: Axle, link: tuple[str, str]) -> Array:
    """A link's direction turned back about the pin to where it was measured: what is left is its slope."""
    outer, inner = link
    start = measured.points[inner] - measured.points[outer]
    flat = unit(start - dot(start, pin)[..., None] * pin)[..., None, :]
    along = dot(seen, pin[..., None, :])[..., None]
    return np.asarray(np.sqrt(1.0 - along**2) * flat + along * pin[..., None, :])


def _ways_in_bump(measured: Axle) -> dict[str, Array]:
    """Unit vector of the way in which bump turns each joint's direction, as measured (..., 2, 3)."""
    corners = moving(measured, float(_NEARBY[0]), float(_NEARBY[1]))
    states = corners.at(np.broadcast_to(_NEARBY, (*measured.batch_shape, 2, 2)))
    whole = np.broadcast_to(np.eye(3), (*measured.batch_shape, 2, 3, 3))
    return {one.key: _way(one.direction) for one in _joints(measured, states, whole, np.zeros(()))}


def _way(direction: Array) -> Array:
    """Way from the first of two directions (..., 2, 2, 3) to the second, at right angles; zero if they agree."""
    way = direction[..., 1, :] - direction[..., 0, :]
    middle = unit(direction.mean(axis=-2))
    across = way - dot(way, middle)[..., None] * middle
    size = length(across)[..., None]
    return np.asarray(across / np.where(size > 0.0, size, 1.0))


def _seen_by(turned: Array, direction: Array) -> Array:
    """Directions (..., 2, S, 3) in the axes of uprights turned by (..., 2, S, 3, 3)."""
    backwards = np.moveaxis(np.swapaxes(turned, -1, -2), (-2, -1), (0, 1))
    return np.moveaxis(rotate(backwards, np.moveaxis(direction, -1, 0)), 0, -1)


def _between(middle: Array, now: Array) -> Array:
    fixed = np.broadcast_to(middle[..., None, :], now.shape)
    # The arc tangent keeps small angles exact, where an arc cosine would lose half the digits.
    return np.asarray(np.arctan2(length(cross(fixed, now)), dot(fixed, now)))
