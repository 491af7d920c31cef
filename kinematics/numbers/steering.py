"""Numbers of a steered axle: wheel angles, their share of Ackermann's, turn radius, and the tie rod's lever."""

import numpy as np

from kinematics.car.car import LEFT, RIGHT
from kinematics.numbers import wheel_angles
from kinematics.numbers.quantity import Dimension, Mirror, Presence, Where, per_axle, per_side
from kinematics.numbers.stance import Stance
from solvers.tangents import magnitude
from solvers.vectors import Array, cross, dot, length

_STRAIGHT = 1e-6  # rad; a wheel turned less than this is straight ahead
STEERING_AXIS = Presence("a steering axis", lambda axle: axle.suspension.has_steering_axis)
_RACK = Presence("a steering rack", lambda axle: bool(axle.suspension.rack))
_STEERED = Presence(
    "the rack moved, in a steer sweep, and wheelbase in [body]",
    lambda axle: axle.straight_ahead is not None and axle.body.wheelbase is not None,
)


def ideal_outer(
    inner: Array, inner_at: tuple[Array, Array], outer_at: tuple[Array, Array], wheelbase: float | Array
) -> Array:
    """The outer wheel's steer (...) [rad] at which its axis meets the rear axle's line where the inner wheel's does.

    inner: steer of the inner wheel (...) [rad], to the left positive; inner_at, outer_at: contact points, ahead of this
    axle and to the left (...) [mm]; wheelbase: [mm]. Ackermann's condition (ISO 8855:2011, 7.1.9, seen in part).
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        centre = inner_at[1] + (wheelbase + inner_at[0]) / np.tan(inner)
        return np.arctan((wheelbase + outer_at[0]) / (centre - outer_at[1]))


def _steered(stance: Stance) -> Array:
    """How far the rack turns each wheel (..., 2, S) [rad], to the left positive, without toe, static or from bump."""
    straight = 0.0 if stance.straight is None else stance.straight
    return np.asarray(wheel_angles.steer(stance.spin_axis) - straight)


def _wheelbase(stance: Stance) -> Array:
    """Of each car, for states (..., 1) [mm]."""
    return stance.states.axle.body.length[..., None]


def _ackermann(stance: Stance) -> Array:
    steered, contact = _steered(stance), stance.contact
    to_left = steered.sum(axis=-2) > 0.0

    def picked(values: Array, left: Array) -> Array:
        return np.where(left, values[..., LEFT, :], values[..., RIGHT, :])

    inner, outer = picked(steered, to_left), picked(steered, ~to_left)
    at = [tuple(picked(contact[..., axis], side) for axis in (0, 1)) for side in (to_left, ~to_left)]
    ideal = ideal_outer(inner, (at[0][0], at[0][1]), (at[1][0], at[1][1]), _wheelbase(stance))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(np.abs(inner) > _STRAIGHT, (inner - outer) / (inner - ideal), np.nan)


def _turn_radius(stance: Stance) -> Array:
    steered, contact = _steered(stance), stance.contact
    with np.errstate(divide="ignore", invalid="ignore"):
        centres = contact[..., 1] + (_wheelbase(stance)[..., None] + contact[..., 0]) / np.tan(steered)
    return np.where((np.abs(steered) > _STRAIGHT).all(axis=-2), centres.mean(axis=-2), np.nan)


def _tie_rod_lever(stance: Stance) -> Array:
    """Distance between steering axis and tie rod's line (..., 2, S) [mm], never negative."""
    lower, upper = stance.steering_axis_on_body
    outer, inner = (stance.states.points[key] for key in stance.states.axle.suspension.toe_link or ())
    normal = cross(upper - lower, outer - inner)
    return np.asarray(magnitude(dot(outer - lower, normal)) / length(normal))


STEERING = (
    per_axle(
        "rack_travel",
        "rack travel",
        Dimension.LENGTH,
        "of the rack since straight ahead",
        lambda s: s.rack_travel,
        _RACK,
        sign="to the left positive",
        mirror=Mirror.TURNS,
    ),
    per_side(
        "steer_angle",
        "steer angle",
        Dimension.ANGLE,
        "of the wheel, toe and all",
        lambda s: wheel_angles.steer(s.spin_axis),
        _RACK,
        sign="to the left positive",
        mirror=Mirror.TURNS,
        shown={Where.STEERING_PANELS: 10, Where.BESIDE_DRAWING: 40},
        short="steer, to the left",
    ),
    per_side(
        "tie_rod_lever",
        "tie-rod lever",
        Dimension.LENGTH,
        "distance between steering axis and tie rod",
        _tie_rod_lever,
        _RACK,
        sign="at zero the steering goes over centre",
        shown={Where.STEERING_PANELS: 70},
    ),
    per_axle(
        "ackermann",
        "Ackermann share",
        Dimension.PER_CENT,
        "inner less outer wheel's turn since straight ahead, over what makes both axes meet the rear axle's line "
        "at one point",
        _ackermann,
        _STEERED,
        sign="0: both wheels turn alike; 100: their axes meet on the rear axle's line",
        shown={Where.STEERING_PANELS: 20},
    ),
    per_axle(
        "turn_radius",
        "turn radius",
        Dimension.LENGTH,
        "from the rear axle's middle to where the front wheels' axes meet its line, on average",
        _turn_radius,
        _STEERED,
        sign="to the left positive",
        mirror=Mirror.TURNS,
    ),
)
