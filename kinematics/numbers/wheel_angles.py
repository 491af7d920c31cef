"""Camber, toe, elevation, caster, kingpin inclination, scrub radius and trail, from directions of wheel, beam and axis.

Directions and points are (..., 2, S, 3), points in mm; results are (..., 2, S). `axis` is the outward unit vector of
the spin axis, `lower` and `upper` are points of the steering axis.
"""

import numpy as np

from kinematics.car.car import SIDES
from solvers.tangents import arctan2
from solvers.vectors import Array

_SIDE: Array = SIDES[:, None]


def elevation(axis: Array) -> Array:
    """Angle of a unit vector over level [rad], up positive."""
    return np.asarray(np.arcsin(axis[..., 2]))


def camber(axis: Array) -> Array:
    """Inclination of the wheel plane to the frame's z axis [rad], negative: top leans in."""
    return -elevation(axis)


def camber_rate(axis: Array, axis_rate: Array) -> Array:
    """Change of camber [rad/mm of travel]; axis_rate: change of the spin axis per mm of travel."""
    return np.asarray(-axis_rate[..., 2] / np.sqrt(1.0 - axis[..., 2] ** 2))


def toe(axis: Array) -> Array:
    """Angle of the wheel plane's trace on the ground to x [rad], toe-in positive."""
    return arctan2(axis[..., 0], _SIDE * axis[..., 1])


def toe_rate(axis: Array, axis_rate: Array) -> Array:
    """Change of toe [rad/mm of travel]: bump steer, toe-in positive; axis_rate as in `camber_rate`."""
    x, y = axis[..., 0], _SIDE * axis[..., 1]
    return np.asarray((axis_rate[..., 0] * y - x * _SIDE * axis_rate[..., 1]) / (x * x + y * y))


def steer(axis: Array) -> Array:
    """Angle of the wheel plane's trace on the ground to x [rad], to the left positive."""
    return -_SIDE * toe(axis)


def caster(lower: Array, upper: Array) -> Array:
    """Inclination of the steering axis in side view [rad], top rearward positive."""
    return arctan2(lower[..., 0] - upper[..., 0], upper[..., 2] - lower[..., 2])


def kingpin_inclination(lower: Array, upper: Array) -> Array:
    """Inclination of the steering axis in front view [rad], top inward positive."""
    return arctan2(_SIDE * (lower[..., 1] - upper[..., 1]), upper[..., 2] - lower[..., 2])


def scrub_and_trail(lower: Array, upper: Array, contact: Array, axis: Array) -> tuple[Array, Array]:
    """Scrub radius and mechanical trail [mm] along the wheel's own ground axes; ground frame.

    Positive where the steering axis meets the ground inboard of the contact point, and ahead of it.
    """
    along = upper - lower
    with np.errstate(divide="ignore", invalid="ignore"):
        part = -lower[..., 2] / along[..., 2]
    x = lower[..., 0] + part * along[..., 0] - contact[..., 0]
    y = lower[..., 1] + part * along[..., 1] - contact[..., 1]
    level = np.sqrt(axis[..., 0] ** 2 + axis[..., 1] ** 2)
    out_x, out_y = axis[..., 0] / level, axis[..., 1] / level
    return -(x * out_x + y * out_y), _SIDE * (x * out_y - y * out_x)
