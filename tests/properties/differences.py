"""Slopes by central differences of eighth order, of anything an axle does around given travels."""

from collections.abc import Callable
from typing import Literal

import numpy as np

from kinematics import Axle
from kinematics.motion.ground import Attitude
from kinematics.motion.moving_axle import moving
from kinematics.numbers.stance import Stance
from solvers.vectors import Array

# B. Fornberg, Generation of finite difference formulas on arbitrarily spaced grids, Math. Comp. 51 (1988),
# table 1, first derivative of order 8. From memory; exact for polynomials up to the eighth degree.
_WEIGHTS = np.array([1 / 280, -4 / 105, 1 / 5, -4 / 5, 0, 4 / 5, -1 / 5, 4 / 105, -1 / 280])

STEP = 1.0  # mm
# The formula misses STEP**8 / 630 of the ninth derivative. A curve of size A whose next lock is 45 mm away has one
# of about A * 9! / 45**9, so 8e-13 * A per mm is missed. Rounding, of 1e-11 mm or 1e-13 rad in a pose,
# is divided by about two steps. So slopes of angles (A about 0.5) are good to 1e-12, of points
# (A about 300 mm, on levers that turn by 0.5 rad, with the next lock twice as far) to 1e-10.
ANGLE_SLOPE = 1e-12  # rad/mm
POINT_SLOPE = 1e-10  # mm/mm

HERE = len(_WEIGHTS) // 2
SIDES = np.array([1.0, -1.0])

Way = Literal["together", "in roll"]
BOTH_WAYS: tuple[Way, ...] = ("together", "in roll")


class Around:
    """An axle at travels (2, S) and their neighbours, all under one body attitude.

    The stance's states are (2, S * 9): around each travel both wheels move by as much the same way, or in roll the
    opposite way.
    """

    def __init__(self, axle: Axle, travel: Array, heave: float, roll: float, way: Way = "together") -> None:
        self._sign = np.ones(2) if way == "together" else SIDES
        steps = STEP * (np.arange(len(_WEIGHTS)) - HERE)
        wide = (travel[..., None] + self._sign[:, None, None] * steps).reshape(2, -1)
        states = moving(axle, float(wide.min()), float(wide.max())).at(wide)
        assert states.reached.all()
        attitude = Attitude(np.full(wide.shape[-1], heave), np.full(wide.shape[-1], roll))
        self.stance = Stance(states, attitude)

    def here(self, values: Array) -> Array:
        """The states (2, S * 9, ...) at the travels themselves: (2, S, ...)."""
        return grouped(values)[:, :, HERE]

    def slope(self, values: Array) -> Array:
        """Change per mm of each wheel's own travel of the states' values (2, S * 9, ...): (2, S, ...)."""
        per_step = np.tensordot(grouped(values), _WEIGHTS / STEP, axes=(2, 0))
        return np.asarray(per_step * self._sign.reshape(2, *[1] * (per_step.ndim - 1)))

    def path(self, point: Array) -> Array:
        """Where points of the wheels' parts, (2, S, 3) in body axes at the travels, are at all states, body axes."""
        centre, rotation = grouped(self.stance.states.wheel_centre), grouped(self.stance.states.rotation)
        arm = np.einsum("...ji,...j->...i", rotation[:, :, HERE], point - centre[:, :, HERE])
        followed = centre + np.einsum("...kij,...j->...ki", rotation, arm)
        return np.asarray(followed.reshape(2, -1, 3))


def slope_at_zero(of: Callable[[Array], Array], step: float) -> Array:
    """Change of something (..., 9) with what it is worked out from, at zero."""
    return np.asarray(of(step * (np.arange(len(_WEIGHTS)) - HERE)) @ _WEIGHTS / step)


def grouped(values: Array) -> Array:
    """The states (2, S * 9, ...) of `Around` as (2, S, 9, ...)."""
    return values.reshape(2, -1, len(_WEIGHTS), *values.shape[2:])
