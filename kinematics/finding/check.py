"""One bound that a plan must hold, and what sets it."""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from kinematics.car.limits import Over


class CheckKind(Enum):
    """What sets a bound."""

    LIMIT = "limit"
    TOE_LINK = "toe link"
    CAMBER = "camber adjuster"
    BUMP_STOP = "bump stop"
    DROOP_STOP = "droop stop"
    JOINT = "joint"
    GROUND = "ground"
    SPRING_SOLID = "coil bind"
    SPRING_LOOSE = "loose spring"
    ON_STOP = "bump stop at rest"


@dataclass(frozen=True)
class Check:
    """One bound to be held: low..high [mm, rad], over which part of the working range, and what counts as all of it.

    key: of the number or the joint. whole: what margins are told as parts of, 0 where the bounds say it.
    """

    kind: CheckKind
    axle: str
    key: str
    low: float
    high: float
    over: Over = "ride height"
    whole: float = 0.0

    @property
    def scale(self) -> float:
        """What margins are parts of: the range's width, or the size of its one bound."""
        width = self.high - self.low
        one_bound = self.low if np.isfinite(self.low) else self.high
        return self.whole or (width if np.isfinite(width) else abs(one_bound)) or 1.0
