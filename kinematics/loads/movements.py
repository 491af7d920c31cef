"""How far the wheels move springs, dampers and bars: lengths and bar movements, and their exact derivatives.

Derivatives are with respect to the travel of the left and of the right wheel: (..., 2 sides, 2 wheels, S).
"""

from dataclasses import dataclass

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDES
from kinematics.car.springs_and_bars import Attachment, Bar, BarEnds, Line
from kinematics.car.suspension_type import CHASSIS, Arm
from kinematics.motion.linkage import UPRIGHT
from kinematics.motion.states import CornerStates
from solvers.vectors import Array, cross, dot, length, unit, vector

_LEAST_SEEN = 1e-6  # mm^2


@dataclass(frozen=True)
class WithSlope:
    """A measure of an element on both sides (..., 2, S) [mm], and its derivatives (..., 2, 2, S)."""

    value: Array
    slope: Array


@dataclass(frozen=True)
class _Place:
    """A point on both sides (..., 2, S, 3), and its motion per mm of left and of right travel (..., 2, 2, S, 3)."""

    at: Array
    rate: Array


def length_of(line: Line, states: CornerStates) -> WithSlope:
    """Length of an element [mm]; if only its motion ratio is known, its change since measured, longer positive."""
    if line.ratio is not None:
        own = np.eye(2)[:, :, None] * np.ones_like(states.travel)[..., :, None, :]
        return WithSlope(-line.ratio * states.travel, -line.ratio * own)
    if line.moving is None or line.chassis is None:
        strut = states.axle.suspension.strut
        assert strut is not None  # the car file is checked: only a strut has a line of its own
        points = states.axle.points
        moving = Attachment(points[strut.low], states.axle.suspension.carriers[strut.low])
        chassis = Attachment(points[strut.top_mount], CHASSIS)
    else:
        moving, chassis = line.moving, line.chassis
    one, other = _place(moving, states), _place(chassis, states)
    between = one.at - other.at
    along = unit(between)
    return WithSlope(length(between), dot(along[..., :, None, :, :], one.rate - other.rate))


def arm_end_movement(bar: Bar, states: CornerStates) -> WithSlope:
    """Movement of each arm end along its circle since measured [mm], up positive; NaN beyond the drop link's reach."""
    if bar.ends is None:
        ratio = bar.ratio if bar.ratio is not None else 0.0
        own = np.eye(2)[:, :, None] * np.ones_like(states.travel)[..., :, None, :]
        return WithSlope(ratio * states.travel, ratio * own)
    ends = bar.ends
    link = _place(ends.drop_link, states)
    radius, start, _ = _arm(ends)
    angle = arm_bearing(ends, ends.axis, link.at)
    turned = _angle_between(angle, start[..., None])
    end = vector(
        ends.axis[..., None, 0] + radius[..., None] * np.cos(angle),
        ends.arm_end[..., None, 1] + 0.0 * angle,
        ends.axis[..., None, 2] + radius[..., None] * np.sin(angle),
    )
    sweep = vector(-radius[..., None] * np.sin(angle), 0.0 * angle, radius[..., None] * np.cos(angle))
    along = link.at - end
    slope = dot(along[..., :, None, :, :], link.rate) / dot(along, sweep)[..., :, None, :]
    # Up along the circle is positive, whichever way the arm points.
    upward = np.sign(np.cos(start))[..., None] * radius[..., None]
    return WithSlope(upward * turned, upward[..., None, :] * slope)


def arm_bearing(ends: BarEnds, axis: Array, link: Array) -> Array:
    """Side-view angle of each arm (..., 2, S) [rad] that a drop link of its measured length leads to; NaN out of reach.

    axis: of the bar now (..., 2, 3); link: where the drop link's far end is now (..., 2, S, 3).
    """
    measured = _angle_between(_arm(ends)[1], _bearing_at_rest(ends))
    cosine, _, bearing = _triangle(ends, axis, link)
    with np.errstate(invalid="ignore"):
        apart = np.arccos(np.where(np.abs(cosine) <= 1.0, cosine, np.nan))
    return np.asarray(bearing + np.sign(measured)[..., None] * apart)


def drop_link_cosine(measured: BarEnds, now: BarEnds, states: CornerStates) -> Array:
    """Cosine of the angle between drop link and arm in side view (..., 2, S): 1 and -1 on dead centre, farther beyond.

    measured: whose lever and drop link keep their lengths; now: where its axis and far end are, after a plan.
    """
    return _triangle(measured, now.axis, _place(now.drop_link, states).at)[1]


def _triangle(ends: BarEnds, axis: Array, link: Array) -> tuple[Array, Array, Array]:
    """Of the triangle of arm and drop link in side view: cosine at the axis, at the arm's end, bearing of the far end.

    All (..., 2, S). What the drop link leans sideways is not in that view.
    """
    lever, _, reach = (one[..., None] for one in _arm(ends))
    to_link = link - axis[..., None, :]
    square = to_link[..., 0] ** 2 + to_link[..., 2] ** 2
    aside = link[..., 1] - ends.arm_end[..., None, 1]
    in_view = reach**2 - aside**2
    at_axis = (square + lever**2 - in_view) / (2.0 * lever * np.sqrt(square))
    # A link that leans so far that nothing of it is left in this view stands on dead centre and past it.
    seen = np.sqrt(np.maximum(in_view, _LEAST_SEEN))
    at_end = (lever**2 + in_view - square) / (2.0 * lever * seen)
    return at_axis, at_end, np.arctan2(to_link[..., 2], to_link[..., 0])


def _arm(ends: BarEnds) -> tuple[Array, Array, Array]:
    """Lever of each arm [mm], its angle in side view [rad] and the drop link's length [mm], as measured (2,)."""
    arm = ends.arm_end - ends.axis
    return np.hypot(arm[..., 0], arm[..., 2]), np.arctan2(arm[..., 2], arm[..., 0]), length(
        ends.drop_link.place - ends.arm_end
    )  # fmt: skip


def _bearing_at_rest(ends: BarEnds) -> Array:
    to_link = ends.drop_link.place - ends.axis
    return np.arctan2(to_link[..., 2], to_link[..., 0])


def _angle_between(one: Array, other: Array) -> Array:
    return np.asarray(np.mod(one - other + np.pi, 2.0 * np.pi) - np.pi)


def _place(attachment: Attachment, states: CornerStates) -> _Place:
    kind, place = states.axle.suspension, attachment.place
    shape = states.wheel_centre.shape
    if attachment.on == CHASSIS:
        at = np.broadcast_to(place[..., None, :], shape)
        return _Place(at, np.zeros((*shape[:-2], 2, *shape[-2:])))
    arm = next((arm for arm in kind.arms if arm.title == attachment.on), None)
    if arm is not None:
        at, rate = _on_arm(arm, place, states)
        return _Place(at, _own(rate))
    body = kind.bodies.index(attachment.on)
    from_reference = place - states.start[..., body, :]
    turned = (states.positions.rotation[..., body, :, :] @ from_reference[..., None, :, None])[..., 0]
    at = states.positions.position[..., body, :] + turned
    together = states.positions.velocity[..., body, :] + cross(states.positions.spin[..., body, :], turned)
    if states.opposite is None:
        return _Place(at, _own(together))
    assert body == UPRIGHT  # the car file is checked: on a live axle springs stand on the axle
    return _Place(at, of_both_wheels(states, at))


def of_both_wheels(states: CornerStates, at: Array) -> Array:
    """Motion of the wheel carrier's points (..., 2, S, 3) per mm of left and of right travel (..., 2, 2, S, 3)."""
    together = states.together.at(at, states.wheel_centre)
    if states.opposite is None:
        return _own(together)
    # The opposite motion is per mm of each wheel's own travel.
    against = SIDES[:, None, None] * states.opposite.at(at, states.wheel_centre)
    return np.stack([together + against, together - against], axis=-3) / 2.0


def _own(rate: Array) -> Array:
    """Each side moved by its own wheel alone (..., 2, S, 3) -> (..., 2, 2, S, 3)."""
    out = np.zeros((*rate.shape[:-2], 2, *rate.shape[-2:]))
    for side in (LEFT, RIGHT):
        out[..., side, side, :, :] = rate[..., side, :, :]
    return out


def _on_arm(arm: Arm, place: Array, states: CornerStates) -> tuple[Array, Array]:
    """A point of a rigid arm, and its motion per mm of its own wheel's travel (..., 2, S, 3)."""
    points = states.axle.points
    front, rear, joint = (points[key] for key in (arm.pivot_front, arm.pivot_rear, arm.joint))
    now = states.point(arm.joint)
    axis = unit(rear - front)[..., None, :]
    before, after = _frame(axis, (joint - front)[..., None, :]), _frame(axis, now - front[..., None, :])
    local = [dot(direction, (place - front)[..., None, :]) for direction in before]
    at = front[..., None, :] + sum(part[..., None] * way for part, way in zip(local, after, strict=True))
    # The arm turns about its axis as fast as its ball joint goes round.
    outwards = after[1]
    lever = dot(now - front[..., None, :], outwards)
    speed = dot(states.together.at(now, states.wheel_centre), after[2]) / lever
    rate = cross(np.broadcast_to(axis, at.shape) * speed[..., None], at - front[..., None, :])
    return np.asarray(at), rate


def _frame(axis: Array, to_joint: Array) -> tuple[Array, Array, Array]:
    """Three axes: the axis, the direction from it to the joint at right angles to it, and the third."""
    wide = np.broadcast_to(axis, to_joint.shape)
    outwards = unit(to_joint - dot(wide, to_joint)[..., None] * wide)
    return wide, outwards, cross(wide, outwards)
