"""Numbers of the body's attitude, and of each wheel: where it stands, how it leans and points, its steering axis."""

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDES
from kinematics.numbers import wheel_angles
from kinematics.numbers.quantity import Dimension, Mirror, Where, per_axle, per_side
from kinematics.numbers.stance import GROUND_FRAME, Stance
from kinematics.numbers.steering import STEERING_AXIS
from solvers.vectors import Array


def _half_track_change(stance: Stance) -> Array:
    axle = stance.states.axle
    measured = (axle.straight_ahead or axle).contact[..., 1]
    return np.asarray(SIDES[:, None] * (stance.contact[..., 1] - measured[..., None]))


def _left_less_right(values: Array) -> Array:
    return np.asarray(values[..., LEFT, :] - values[..., RIGHT, :])


BODY = (
    per_axle(
        "heave",
        "heave",
        Dimension.LENGTH,
        "height change of the body",
        lambda s: s.attitude.heave,
        sign="up positive",
        shown={Where.BESIDE_DRAWING: 10},
    ),
    per_axle(
        "roll",
        "roll",
        Dimension.ANGLE,
        "roll of the body",
        lambda s: s.attitude.roll,
        sign="left side up positive",
        mirror=Mirror.TURNS,
        shown={Where.BESIDE_DRAWING: 20},
    ),
    per_axle(
        "pitch",
        "pitch",
        Dimension.ANGLE,
        "of the body, about this axle's own place on the ground",
        lambda s: np.zeros_like(s.attitude.roll) if s.attitude.pitch is None else s.attitude.pitch,
        sign="nose down positive",
    ),
)

PLACES = (
    per_side(
        "travel",
        "wheel travel",
        Dimension.LENGTH,
        "of the wheel centre",
        lambda s: s.states.travel,
        sign="bump positive",
        shown={Where.BESIDE_DRAWING: 10},
    ),
    per_side(
        "wheel_centre_x",
        "wheel centre ahead",
        Dimension.LENGTH,
        GROUND_FRAME,
        lambda s: s.wheel_centre[..., 0],
        sign="ahead positive",
    ),
    per_side(
        "wheel_centre_y",
        "wheel centre to the left",
        Dimension.LENGTH,
        GROUND_FRAME,
        lambda s: s.wheel_centre[..., 1],
        sign="to the left positive",
        mirror=Mirror.TURNS,
    ),
    per_side(
        "wheel_centre_z",
        "wheel centre height",
        Dimension.LENGTH,
        GROUND_FRAME,
        lambda s: s.wheel_centre[..., 2],
        sign="up positive",
    ),
    per_side(
        "contact_x",
        "contact point ahead",
        Dimension.LENGTH,
        GROUND_FRAME,
        lambda s: s.contact[..., 0],
        sign="ahead positive",
    ),
    per_side(
        "contact_y",
        "contact point to the left",
        Dimension.LENGTH,
        GROUND_FRAME,
        lambda s: s.contact[..., 1],
        sign="to the left positive",
        mirror=Mirror.TURNS,
    ),
    per_side(
        "contact_z",
        "contact point height",
        Dimension.LENGTH,
        GROUND_FRAME,
        lambda s: s.contact[..., 2],
        sign="up positive",
    ),
    per_side(
        "half_track_change",
        "half-track change",
        Dimension.LENGTH,
        "of the contact point since measured",
        _half_track_change,
        sign="outward positive",
    ),
)

WHEELS = (
    per_side(
        "camber",
        "camber",
        Dimension.ANGLE,
        "of the wheel to the ground",
        lambda s: s.camber,
        sign="to the ground; negative: top leans in",
        shown={
            Where.AT_RIDE_HEIGHT: 40,
            Where.IN_PLANS: 60,
            Where.WITH_BAND: 20,
            Where.STEERING_PANELS: 30,
            Where.BESIDE_DRAWING: 20,
        },
    ),
    per_side(
        "camber_to_body",
        "camber to body",
        Dimension.ANGLE,
        "of the wheel to the body",
        lambda s: wheel_angles.camber(s.states.spin_axis),
        sign="to the body; negative: top leans in",
    ),
    per_side(
        "toe",
        "toe",
        Dimension.ANGLE,
        "of one wheel to the centre plane",
        lambda s: wheel_angles.toe(s.spin_axis),
        sign="one wheel; positive: toe-in",
        shown={Where.AT_RIDE_HEIGHT: 50, Where.IN_PLANS: 70, Where.WITH_BAND: 30, Where.BESIDE_DRAWING: 30},
    ),
    per_side(
        "camber_gain",
        "camber gain",
        Dimension.ANGLE_PER_LENGTH,
        "change of camber with travel, body attitude held",
        lambda s: wheel_angles.camber_rate(s.spin_axis, s.spin_axis_rate),
        sign="negative: top leans in further in bump",
        shown={
            Where.AT_RIDE_HEIGHT: 100,
            Where.IN_PLANS: 80,
            Where.IN_PLAN_DOUBT: 80,
            Where.SOURCES_RANKED: 20,
        },
    ),
    per_side(
        "bump_steer",
        "bump steer",
        Dimension.ANGLE_PER_LENGTH,
        "change of toe with travel, body attitude held",
        lambda s: wheel_angles.toe_rate(s.spin_axis, s.spin_axis_rate),
        sign="toe-in in bump positive",
        shown={
            Where.AT_RIDE_HEIGHT: 110,
            Where.IN_PLANS: 90,
            Where.IN_PLAN_DOUBT: 90,
            Where.STEERING_PANELS: 50,
            Where.SOURCES_RANKED: 30,
        },
    ),
)

STEERING_AXES = (
    per_side(
        "caster",
        "caster",
        Dimension.ANGLE,
        "of the steering axis in side view, to the ground",
        lambda s: s.caster,
        STEERING_AXIS,
        sign="top rearward positive",
        shown={Where.AT_RIDE_HEIGHT: 60, Where.IN_PLANS: 104, Where.STEERING_PANELS: 40},
    ),
    per_side(
        "caster_to_body",
        "caster to body",
        Dimension.ANGLE,
        "of the steering axis in side view, to the body as measured",
        lambda s: wheel_angles.caster(*s.steering_axis_on_body),
        STEERING_AXIS,
        sign="to the body; top rearward positive",
    ),
    per_side(
        "kingpin_inclination",
        "kingpin inclination",
        Dimension.ANGLE,
        "of the steering axis in front view, to the ground",
        lambda s: wheel_angles.kingpin_inclination(*s.steering_axis),
        STEERING_AXIS,
        sign="top inward positive",
        shown={Where.AT_RIDE_HEIGHT: 70},
    ),
    per_side(
        "kingpin_inclination_to_body",
        "kingpin inclination to body",
        Dimension.ANGLE,
        "of the steering axis in front view, to the body",
        lambda s: wheel_angles.kingpin_inclination(*s.steering_axis_on_body),
        STEERING_AXIS,
        sign="to the body; top inward positive",
    ),
    per_side(
        "scrub_radius",
        "scrub radius",
        Dimension.LENGTH,
        "at the ground from the contact point to the steering axis, square to the wheel's heading",
        lambda s: s.scrub_and_trail[0],
        STEERING_AXIS,
        sign="steering axis meets the ground inboard of the contact point: positive",
        shown={Where.AT_RIDE_HEIGHT: 80, Where.IN_PLANS: 100, Where.IN_PLAN_DOUBT: 100},
    ),
    per_side(
        "mechanical_trail",
        "mechanical trail",
        Dimension.LENGTH,
        "at the ground from the contact point to the steering axis, along the wheel's heading",
        lambda s: s.scrub_and_trail[1],
        STEERING_AXIS,
        sign="steering axis meets the ground ahead of the contact point: positive",
        shown={Where.AT_RIDE_HEIGHT: 90, Where.IN_PLANS: 106, Where.STEERING_PANELS: 60},
    ),
)

LEFT_LESS_RIGHT = (
    per_axle(
        "cross_camber",
        "cross-camber",
        Dimension.ANGLE,
        "camber to the ground, left less right",
        lambda s: _left_less_right(s.camber),
        sign="left less right",
        mirror=Mirror.TURNS,
        shown={Where.AT_RIDE_HEIGHT: 150},
    ),
    per_axle(
        "cross_caster",
        "cross-caster",
        Dimension.ANGLE,
        "caster to the ground, left less right",
        lambda s: _left_less_right(s.caster),
        STEERING_AXIS,
        sign="left less right",
        mirror=Mirror.TURNS,
        shown={Where.AT_RIDE_HEIGHT: 160},
    ),
)
