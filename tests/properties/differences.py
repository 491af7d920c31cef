"""Slopes by central differences of eighth order, of anything an axle does around given travels."""

import numpy as np

from kinematics import Axle
from kinematics.corners import trace_corners
from kinematics.ground import Attitude
from kinematics.stance import Stance
from solvers.vectors import Array

# B. Fornberg, Generation of finite difference formulas on arbitrarily spaced grids, Math. Comp. 51 (1988),
# table 1, first derivative of order 8. From memory; exact for polynomials up to the eighth degree.
_WEIGHTS = np.array([1 / 280, -4 / 105, 1 / 5, -4 / 5, 0, 4 / 5, -1 / 5, 4 / 105, -1 / 280])

STEP = 4.0  # mm
# The formula misses STEP**8 / 630 of the ninth derivative. A curve of size A whose next lock is 150 mm away has one
# of about A * 9! / 150**9, so 5e-13 * A per mm is missed. Rounding, of 1e-11 mm or 1e-13 rad in a pose,
# is divided by about two steps. So slopes of angles (A about 0.5) are good to 1e-12, of points
# (A about 300 mm, on levers that turn by 0.5 rad) to 1e-10.
ANGLE_SLOPE = 1e-12  # rad/mm
POINT_SLOPE = 1e-10  # mm/mm

HERE = len(_WEIGHTS) // 2


def around(axle: Axle, travel: Array, heave: float, roll: float) -> Stance:
    """The axle at travels (2, S) and their neighbours, all under one body attitude; states are (2, S * 9)."""
    steps = STEP * (np.arange(len(_WEIGHTS)) - HERE)
    wide = (travel[..., None] + steps).reshape(2, -1)
    states = trace_corners(axle, float(wide.min()), float(wide.max())).at(wide)
    assert states.reached.all()
    attitude = Attitude(np.full(wide.shape[-1], heave), np.full(wide.shape[-1], roll))
    return Stance(states, attitude)


def grouped(values: Array, axis: int = 1) -> Array:
    """The states (..., S * 9, ...) of `around` as (..., S, 9, ...)."""
    return values.reshape(*values.shape[:axis], -1, len(_WEIGHTS), *values.shape[axis + 1 :])


def slope(values: Array, axis: int = 2) -> Array:
    """Change per mm of travel of grouped values (..., S, 9, ...): (..., S, ...)."""
    return np.tensordot(values, _WEIGHTS / STEP, axes=(axis, 0))
