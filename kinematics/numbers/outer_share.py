"""The outer wheel's part of an axle's lateral force, growing as the car leans."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from kinematics.car.given_numbers import angle
from kinematics.car.limits import USUAL_OUTER_SHARE, Limits, WorkingRange
from solvers.vectors import Array


@dataclass(frozen=True)
class OuterShare:
    """One half at no lean, growing in a straight line to `stated` at a roll of `at_roll` [rad], and on beyond it to 1.

    stated: 0.5 to 1. So there is no jump as the car begins to lean. balanced: it comes from the car's own springs and
    weights, and is not assumed. ValueError if either is out of range.
    """

    stated: float = USUAL_OUTER_SHARE
    at_roll: float = WorkingRange().roll
    balanced: bool = False

    def __post_init__(self) -> None:
        if not 0.5 <= self.stated <= 1.0:
            raise ValueError(f"the outer wheel's share is {self.stated}; 0.5 to 1 is allowed")
        if not (self.at_roll > 0.0 and math.isfinite(self.at_roll)):
            raise ValueError(f"the share is stated at a roll of {self.at_roll} rad; above zero is allowed")
        angle(self.at_roll, "the roll at which the share is stated")

    def of_right(self, roll: Array, apart: float | Array = 0.0) -> Array:
        """The right wheel's part ([cars,] S) at rolls (S,) [rad]; it is the outer one in positive roll.

        apart: by how much each car's own share is apart from the stated one (cars,). Tangents in an imaginary part of
        either are carried on.
        """
        excess = self.stated - 0.5 + np.asarray(apart)
        # The outer wheel never has less than the inner one.
        excess = np.where(excess.real > 0.0, excess, 0.0)
        more = (excess[..., None] if excess.ndim else excess) / self.at_roll * roll
        return np.where(more.real > 0.5, 1.0, np.where(more.real < -0.5, 0.0, 0.5 + more))


USUAL = OuterShare()


@dataclass(frozen=True)
class OuterShares:
    """Each axle's share: its own by name, or else the one assumed."""

    assumed: OuterShare = USUAL
    by_axle: Mapping[str, OuterShare] = field(default_factory=dict)

    def of(self, axle: str) -> OuterShare:
        """The share of the axle of that name."""
        return self.by_axle.get(axle, self.assumed)


ALL_USUAL = OuterShares()


def within(limits: Limits) -> OuterShares:
    """The shares that limits state for the end of their working roll."""
    roll = limits.working.roll
    own = {axle: OuterShare(share, roll, balanced=True) for axle, share in limits.outer_share_by_axle.items()}
    return OuterShares(OuterShare(limits.outer_share, roll), own)
