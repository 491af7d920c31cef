"""The outer wheel's part of an axle's lateral force, growing as the car leans."""

import math
from dataclasses import dataclass

import numpy as np

from kinematics.car.limits import USUAL_OUTER_SHARE, Limits, WorkingRange
from solvers.vectors import Array


@dataclass(frozen=True)
class OuterShare:
    """One half at no lean, growing in a straight line to `stated` at a roll of `at_roll` [rad], and on beyond it to 1.

    stated: 0.5 to 1. So there is no jump as the car begins to lean. ValueError if either is out of range.
    """

    stated: float = USUAL_OUTER_SHARE
    at_roll: float = WorkingRange().roll

    def __post_init__(self) -> None:
        if not 0.5 <= self.stated <= 1.0:
            raise ValueError(f"the outer wheel's share is {self.stated}; 0.5 to 1 is allowed")
        if not (self.at_roll > 0.0 and math.isfinite(self.at_roll)):
            raise ValueError(f"the share is stated at a roll of {self.at_roll} rad; above zero is allowed")

    def of_right(self, roll: Array) -> Array:
        """The right wheel's part (...) at rolls (...) [rad]; it is the outer one in positive roll.

        Tangents in an imaginary part of the roll are carried on.
        """
        more = (self.stated - 0.5) / self.at_roll * roll
        return np.where(more.real > 0.5, 1.0, np.where(more.real < -0.5, 0.0, 0.5 + more))


USUAL = OuterShare()


def within(limits: Limits) -> OuterShare:
    """The share that limits state for the end of their working roll."""
    return OuterShare(limits.outer_share, limits.working.roll)
