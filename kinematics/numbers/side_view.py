"""Side view: about what each wheel swings, what that means under braking and driving, and axle steer.

Anti-dive, anti-lift and anti-squat are the part of the load transfer that the linkage carries past the springs:
the vertical force along the line at right angles to the motion of the point where the longitudinal force acts, divided
by the load transfer of the whole force: height of the whole car's centre of gravity over wheelbase. Braked by an
outboard brake, or driven by a live axle, the wheel is locked to the part that carries it and the force acts at the
contact point; braked inboard or driven by half-shafts, at the wheel centre. By virtual work; W. F. Milliken and
D. L. Milliken, Race Car Vehicle Dynamics, ch. 17 (from memory), finds the same from the side-view instant centre.
A driven live axle is besides twisted by its shaft (`numbers.propshaft`).
"""

from collections.abc import Callable

import numpy as np

from kinematics.car.car import LEFT, SIDES, Axle
from kinematics.numbers import wheel_angles
from kinematics.numbers.propshaft import loads_by_twist, twisted_by_propshaft
from kinematics.numbers.quantity import Dimension, Mirror, Presence, Where, per_axle, per_side
from kinematics.numbers.stance import GROUND_FRAME, Stance
from solvers.tangents import arctan2
from solvers.vectors import Array, cross

_ROLLING: Array = np.array([1.0, 0.0, 0.0])  # rad per rad of roll


def braked_at_the_hub(axle: Axle) -> bool:
    """Whether an axle's braking force acts on its links at the wheel centres: its brakes' torque goes to the body."""
    return axle.fittings.inboard_brakes


def driven_at_the_hub(axle: Axle) -> bool:
    """Whether an axle's driving force acts on its links at the wheel centres: half-shafts bring the torque."""
    return not axle.suspension.whole_axle


def _forward_in_braking(stance: Stance) -> Array:
    """Forward motion per travel of the point where the braking force acts (..., 2, S)."""
    at_hub = braked_at_the_hub(stance.states.axle)
    return _forward(stance.wheel_centre_velocity if at_hub else stance.contact_velocity_together)


def _forward_in_driving(stance: Stance) -> Array:
    at_hub = driven_at_the_hub(stance.states.axle)
    return _forward(stance.wheel_centre_velocity if at_hub else stance.contact_velocity_together)


def _forward(velocity: Array) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(velocity[..., 0] / velocity[..., 2])


def _share(axle: Axle, front: float | None) -> float:
    part = 0.0 if front is None else front
    return part if axle.name == "front" else 1.0 - part


def _of_braking(sign: float) -> Callable[[Stance], Array]:
    def read(stance: Stance) -> Array:
        axle = stance.states.axle
        return sign * _share(axle, axle.body.front_brakes) * _forward_in_braking(stance) * _length_over_height(stance)

    return read


def _of_driving(sign: float) -> Callable[[Stance], Array]:
    def read(stance: Stance) -> Array:
        axle = stance.states.axle
        return sign * _share(axle, axle.body.front_drive) * _forward_in_driving(stance) * _length_over_height(stance)

    return read


def _anti_squat(stance: Stance) -> Array:
    axle = stance.states.axle
    support, lever = _of_driving(-1.0)(stance), twisted_by_propshaft(axle)
    if not lever:
        return support
    # Each wheel has half of the axle's force, and of the load that it moves.
    each = 2.0 * lever * _share(axle, axle.body.front_drive)
    return np.asarray(support + each * loads_by_twist(stance) * _length_over_height(stance))


def _length_over_height(stance: Stance) -> Array:
    body = stance.states.axle.body
    # Where the centre of gravity is on the ground there is no such number.
    with np.errstate(divide="ignore"):
        height = body.whole_height(stance.attitude.heave, stance.attitude.pitch, stance.states.axle.name)
        part = body.length[..., None] / height
    return np.asarray(part)[..., None, :]


def _known(axle: Axle) -> bool:
    return axle.body.wheelbase is not None and axle.body.centre_of_gravity is not None


def _braked(name: str) -> Presence:
    what = "wheelbase, centre of gravity and front_brakes in [body]"
    return Presence(
        f"{what}, on the {name} axle",
        lambda axle: axle.name == name and _known(axle) and axle.body.front_brakes is not None,
    )


def _driven(name: str) -> Presence:
    what = "wheelbase, centre of gravity and front_drive in [body], and drive"
    return Presence(
        f"{what}, on the {name} axle",
        lambda axle: (
            axle.name == name
            and _known(axle)
            and axle.body.front_drive is not None
            and _share(axle, axle.body.front_drive) > 0.0
        ),
    )


_FIXED_STEERING_AXIS = Presence(
    "a steering axis through two points", lambda axle: axle.suspension.steering_axis is not None
)
_LIVE_AXLE = Presence("a live axle", lambda axle: axle.suspension.whole_axle)
_NO_LIVE_AXLE = Presence("independent corners", lambda axle: not axle.suspension.whole_axle)


def _recession(stance: Stance) -> Array:
    axle = stance.states.axle
    measured = (axle.straight_ahead or axle).points["wheel_centre"][..., 0, None]
    return np.asarray(measured - stance.states.wheel_centre[..., 0])


def _caster_change(stance: Stance) -> Array:
    axle = stance.states.axle
    lower, upper = ((axle.straight_ahead or axle).points[key] for key in axle.suspension.steering_axis or ())
    measured = wheel_angles.caster(lower[..., None, :], upper[..., None, :])
    return np.asarray(stance.caster - measured)


def _turn_in_side_view(stance: Stance) -> Array:
    """Rotation in side view of the part that carries the wheel, since measured, top rearward positive [rad]."""
    upright = stance.attitude.in_ground_axes(stance.states.rotation[..., :, 2])
    return arctan2(-upright[..., 0], upright[..., 2])


def _of_beam(read: Callable[[Stance], Array]) -> Callable[[Stance], Array]:
    return lambda stance: np.asarray(read(stance)[..., LEFT, :])


def _pinion_angle(stance: Stance) -> Array:
    """Elevation of the beam's longitudinal axis; the vertical axis would tilt by yaw times roll beside it."""
    return np.asarray(wheel_angles.elevation(stance.attitude.in_ground_axes(stance.states.rotation[..., :, 0])))


def _axle_steer(stance: Stance) -> Array:
    """Where the beam's lateral axis points; the longitudinal one would point elsewhere by pitch times roll."""
    across = stance.attitude.in_ground_axes(stance.states.rotation[..., :, 1])
    return arctan2(-across[..., 0], across[..., 1])


def _turn_with_roll(stance: Stance) -> Array:
    """Turn of each wheel's part relative to the body per roll of the body (..., 2, S, 3), wheels on the ground."""
    turn = stance.turn_in_roll
    if stance.states.opposite is not None:
        return turn
    return np.asarray(turn * (-stance.contact[..., 1] / stance.contact_velocity[..., 2])[..., None])


def _roll_steer(stance: Stance) -> Array:
    """Mean steer of both wheels per roll of the body, which turns them as well; the wheels stay on the ground."""
    turn = _turn_with_roll(stance) + _ROLLING
    toe = wheel_angles.toe_rate(stance.spin_axis, cross(turn, stance.spin_axis))
    return np.asarray((-SIDES[:, None] * toe).mean(axis=-2))


SIDE_VIEW = (
    per_side(
        "side_view_centre_x",
        "side-view instant centre ahead",
        Dimension.LENGTH,
        "of this axle's wheel centres as measured, wheel locked to its carrier, both wheels together",
        lambda s: s.side_view_centre[..., 0],
        sign="ahead positive",
    ),
    per_side(
        "side_view_centre_z",
        "side-view instant centre height",
        Dimension.LENGTH,
        GROUND_FRAME,
        lambda s: s.side_view_centre[..., 1],
        sign="up positive",
    ),
    per_side(
        "side_view_swing_arm",
        "side-view swing-arm length",
        Dimension.LENGTH,
        "from contact point to side-view instant centre",
        lambda s: s.side_view_centre[..., 0] - s.contact[..., 0],
        sign="ahead positive",
    ),
    per_side(
        "wheel_centre_recession",
        "wheel-centre recession",
        Dimension.LENGTH,
        "of the wheel centre since measured, in body axes",
        _recession,
        sign="rearward positive",
        shown={Where.SIDE_VIEW_PANELS: 50},
    ),
    per_side(
        "caster_change",
        "caster change",
        Dimension.ANGLE,
        "of the steering axis since measured, to the ground",
        _caster_change,
        _FIXED_STEERING_AXIS,
        sign="since measured, top rearward positive",
        shown={Where.SIDE_VIEW_PANELS: 60},
    ),
    per_side(
        "side_view_turn",
        "turn in side view",
        Dimension.ANGLE,
        "of the part that carries the wheel, to the ground, since at ride height with the rack as it is",
        _turn_in_side_view,
        _NO_LIVE_AXLE,
        sign="top rearward positive",
        shown={Where.SIDE_VIEW_PANELS: 70},
    ),
    per_axle(
        "pinion_angle_change",
        "pinion-angle change",
        Dimension.ANGLE,
        "elevation over the ground of the axle's longitudinal axis since measured",
        _of_beam(_pinion_angle),
        _LIVE_AXLE,
        sign="nose up positive",
        shown={Where.SIDE_VIEW_PANELS: 80},
    ),
    per_axle(
        "axle_offset",
        "axle offset",
        Dimension.LENGTH,
        "of the middle between the wheel centres from the body's centre plane, in body axes",
        lambda s: s.states.wheel_centre[..., 1].mean(axis=-2),
        _LIVE_AXLE,
        sign="to the left positive",
        mirror=Mirror.TURNS,
        shown={Where.IN_PLANS: 110},
    ),
    per_axle(
        "axle_steer",
        "axle steer",
        Dimension.ANGLE,
        "turn of the axle's lateral axis in plan view on the ground since measured",
        _of_beam(_axle_steer),
        _LIVE_AXLE,
        sign="to the left positive",
        mirror=Mirror.TURNS,
        shown={Where.SIDE_VIEW_PANELS: 90},
    ),
    per_axle(
        "roll_steer",
        "roll steer",
        Dimension.RATIO,
        "mean steer of both wheels per roll of the body about the level axis ahead, left side up positive",
        _roll_steer,
        sign="to the left positive",
        shown={Where.AT_RIDE_HEIGHT: 170, Where.IN_PLANS: 120, Where.IN_PLAN_DOUBT: 120},
    ),
    per_side(
        "anti_dive",
        "anti-dive",
        Dimension.PER_CENT,
        "what the linkage carries of the load that braking puts on the front axle; by the whole car's height",
        _of_braking(1.0),
        _braked("front"),
        sign="of the load that braking puts on the front axle",
        shown={
            Where.AT_RIDE_HEIGHT: 180,
            Where.IN_PLANS: 130,
            Where.IN_PLAN_DOUBT: 130,
            Where.SIDE_VIEW_PANELS: 10,
            Where.UNDER_SIDE_VIEW: 10,
        },
    ),
    per_side(
        "anti_lift",
        "anti-lift",
        Dimension.PER_CENT,
        "what the linkage carries of the load that braking takes off the rear axle; by the whole car's height",
        _of_braking(-1.0),
        _braked("rear"),
        sign="of the load that braking takes off the rear axle",
        shown={
            Where.AT_RIDE_HEIGHT: 190,
            Where.IN_PLANS: 140,
            Where.IN_PLAN_DOUBT: 140,
            Where.SIDE_VIEW_PANELS: 20,
            Where.UNDER_SIDE_VIEW: 20,
        },
    ),
    per_side(
        "anti_squat",
        "anti-squat",
        Dimension.PER_CENT,
        "what the linkage carries of the load that driving puts on the rear axle; by the whole car's height. On a live "
        "axle each wheel's own, with the propshaft's torque, where final_drive in [body] tells it",
        _anti_squat,
        _driven("rear"),
        sign="of the load that driving puts on the rear axle",
        shown={
            Where.AT_RIDE_HEIGHT: 200,
            Where.IN_PLANS: 150,
            Where.IN_PLAN_DOUBT: 150,
            Where.SIDE_VIEW_PANELS: 30,
            Where.UNDER_SIDE_VIEW: 30,
        },
    ),
    per_side(
        "anti_lift_in_drive",
        "anti-lift in drive",
        Dimension.PER_CENT,
        "what the linkage carries of the load that driving takes off the front axle; by the whole car's height",
        _of_driving(1.0),
        _driven("front"),
        sign="of the load that driving takes off the front axle",
        shown={
            Where.AT_RIDE_HEIGHT: 210,
            Where.IN_PLANS: 160,
            Where.IN_PLAN_DOUBT: 160,
            Where.SIDE_VIEW_PANELS: 40,
            Where.UNDER_SIDE_VIEW: 40,
        },
    ),
)

# What is told by the wheelbase and by how high the whole car's centre of gravity lies.
BY_BODY = tuple(one.key for one in SIDE_VIEW if one.dimension is Dimension.PER_CENT)
