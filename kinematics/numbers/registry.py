"""Every number that is read from a stance, in the order of its columns."""

from collections.abc import Mapping

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDES, Axle
from kinematics.numbers import textbook, wheel_angles
from kinematics.numbers.quantity import Dimension, Presence, Quantity, per_axle, per_side
from kinematics.numbers.side_view import SIDE_VIEW
from kinematics.numbers.stance import Stance
from kinematics.numbers.steering import STEERING, STEERING_AXIS
from solvers.vectors import Array

_LOWER_ARM = Presence("a lower arm with a ball joint", lambda axle: bool(axle.suspension.arms))
_DRAWING = Presence("a drawing-board construction", lambda axle: textbook.has_roll_centre(axle.suspension))


def _half_track_change(stance: Stance) -> Array:
    axle = stance.states.axle
    measured = (axle.straight_ahead or axle).contact[..., 1]
    return np.asarray(SIDES[:, None] * (stance.contact[..., 1] - measured[..., None]))


def _left_less_right(values: Array) -> Array:
    return np.asarray(values[..., LEFT, :] - values[..., RIGHT, :])


def _swing_arm(stance: Stance) -> Array:
    return np.asarray(SIDES[:, None] * (stance.contact[..., 1] - stance.instant_centre[..., 0]))


_GROUND = "ground frame: level axes under the body's centre plane"

_ALL: tuple[Quantity, ...] = (
    per_axle("heave", "heave", Dimension.LENGTH, "height change of the body, up positive", lambda s: s.attitude.heave),
    per_axle("roll", "roll", Dimension.ANGLE, "roll of the body, left side up positive", lambda s: s.attitude.roll),
    per_axle(
        "roll_centre_height",
        "roll-centre height",
        Dimension.LENGTH,
        "meeting of the lines square to the contact points' motion; over the ground, up positive",
        lambda s: s.roll_centre[..., 1],
    ),
    per_axle(
        "roll_centre_offset",
        "roll-centre offset",
        Dimension.LENGTH,
        "the same point sideways from the body's centre-plane point at ground level, left positive",
        lambda s: s.roll_centre[..., 0],
    ),
    per_axle(
        "textbook_roll_centre_height",
        "textbook roll-centre height",
        Dimension.LENGTH,
        "by the drawing board, for planar linkages: arm lines and strut normal in front view, or the axle's guide",
        lambda s: s.textbook_roll_centre[..., 1],
        _DRAWING,
    ),
    per_axle(
        "textbook_roll_centre_offset",
        "textbook roll-centre offset",
        Dimension.LENGTH,
        "the drawing-board point sideways, left positive",
        lambda s: s.textbook_roll_centre[..., 0],
        _DRAWING,
    ),
    per_axle(
        "force_weighted_height",
        "force-weighted roll-centre height",
        Dimension.LENGTH,
        "height at the centre plane of the resultant of both wheels' lateral forces",
        lambda s: s.force_weighted_height,
    ),
    per_side(
        "travel", "wheel travel", Dimension.LENGTH, "of the wheel centre, bump positive", lambda s: s.states.travel
    ),
    per_side("wheel_centre_x", "wheel centre ahead", Dimension.LENGTH, _GROUND, lambda s: s.wheel_centre[..., 0]),
    per_side("wheel_centre_y", "wheel centre to the left", Dimension.LENGTH, _GROUND, lambda s: s.wheel_centre[..., 1]),
    per_side("wheel_centre_z", "wheel centre height", Dimension.LENGTH, _GROUND, lambda s: s.wheel_centre[..., 2]),
    per_side("contact_x", "contact point ahead", Dimension.LENGTH, _GROUND, lambda s: s.contact[..., 0]),
    per_side("contact_y", "contact point to the left", Dimension.LENGTH, _GROUND, lambda s: s.contact[..., 1]),
    per_side("contact_z", "contact point height", Dimension.LENGTH, _GROUND, lambda s: s.contact[..., 2]),
    per_side("half_track_change", "half-track change", Dimension.LENGTH, "outward positive", _half_track_change),
    per_side(
        "camber",
        "camber",
        Dimension.ANGLE,
        "to the ground, negative: top leans in",
        lambda s: s.camber,
    ),
    per_side(
        "camber_to_body",
        "camber to body",
        Dimension.ANGLE,
        "to the body, negative: top leans in",
        lambda s: wheel_angles.camber(s.states.spin_axis),
    ),
    per_side("toe", "toe", Dimension.ANGLE, "one wheel, toe-in positive", lambda s: wheel_angles.toe(s.spin_axis)),
    per_side(
        "camber_gain",
        "camber gain",
        Dimension.ANGLE_PER_LENGTH,
        "change of camber with travel, body attitude held",
        lambda s: wheel_angles.camber_rate(s.spin_axis, s.spin_axis_rate),
    ),
    per_side(
        "bump_steer",
        "bump steer",
        Dimension.ANGLE_PER_LENGTH,
        "change of toe with travel, body attitude held; toe-in in bump positive",
        lambda s: wheel_angles.toe_rate(s.spin_axis, s.spin_axis_rate),
    ),
    per_side(
        "caster",
        "caster",
        Dimension.ANGLE,
        "side view, in body axes, top rearward positive",
        lambda s: s.caster,
        STEERING_AXIS,
    ),
    per_side(
        "kingpin_inclination",
        "kingpin inclination",
        Dimension.ANGLE,
        "front view, in body axes, top inward positive",
        lambda s: wheel_angles.kingpin_inclination(*s.steering_axis_on_body),
        STEERING_AXIS,
    ),
    per_side(
        "scrub_radius",
        "scrub radius",
        Dimension.LENGTH,
        "steering axis meets the ground inboard of the contact point: positive",
        lambda s: s.scrub_and_trail[0],
        STEERING_AXIS,
    ),
    per_side(
        "mechanical_trail",
        "mechanical trail",
        Dimension.LENGTH,
        "steering axis meets the ground ahead of the contact point: positive",
        lambda s: s.scrub_and_trail[1],
        STEERING_AXIS,
    ),
    per_side(
        "instant_centre_y", "instant centre to the left", Dimension.LENGTH, _GROUND, lambda s: s.instant_centre[..., 0]
    ),
    per_side(
        "instant_centre_z", "instant centre height", Dimension.LENGTH, _GROUND, lambda s: s.instant_centre[..., 1]
    ),
    per_side(
        "swing_arm_length",
        "front-view swing-arm length",
        Dimension.LENGTH,
        "sideways from contact point to instant centre, inboard positive",
        _swing_arm,
    ),
    per_side(
        "jacking_coefficient",
        "jacking coefficient",
        Dimension.RATIO,
        "vertical force on the body per lateral force at this wheel: slope dz/dy of the line square to the contact "
        "point's motion with both wheels together",
        lambda s: s.lines_together.slope,
    ),
    per_side(
        "lower_arm_angle",
        "lower-arm angle",
        Dimension.ANGLE,
        "to level in front view, positive: rises towards the centre plane",
        lambda s: s.lower_arm_angle,
        _LOWER_ARM,
    ),
    per_axle(
        "cross_camber",
        "cross-camber",
        Dimension.ANGLE,
        "camber to the ground, left less right",
        lambda s: _left_less_right(s.camber),
    ),
    per_axle(
        "cross_caster",
        "cross-caster",
        Dimension.ANGLE,
        "caster, left less right",
        lambda s: _left_less_right(s.caster),
        STEERING_AXIS,
    ),
    *SIDE_VIEW,
    *STEERING,
)

QUANTITIES: Mapping[str, Quantity] = {quantity.key: quantity for quantity in _ALL}


def quantities_of(axle: Axle) -> Mapping[str, Quantity]:
    """The numbers that an axle has, with its suspension type and with what is known of its car."""
    return {key: quantity for key, quantity in QUANTITIES.items() if quantity.only.on(axle)}
