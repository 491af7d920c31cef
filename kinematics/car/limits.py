"""Limits: which number must stay in which range, over which part of the car's working range."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, Protocol

import numpy as np

from kinematics.car.suspension_type import SuspensionType
from solvers.vectors import Array

Over = Literal["ride height", "travel", "roll"]
EVERYWHERE: tuple[Over, ...] = ("ride height", "travel", "roll")
COMMON_PRACTICE = "common practice, no source"


class LimitedAxle(Protocol):
    """What limits need to know about an axle."""

    @property
    def name(self) -> str:
        """The axle's name."""

    @property
    def suspension(self) -> SuspensionType:
        """Its suspension type."""


@dataclass(frozen=True)
class WorkingRange:
    """Wheel travel low..high [mm] and roll either way [rad] that the car uses."""

    travel_low: float = -40.0
    travel_high: float = 40.0
    roll: float = math.radians(2.0)

    def travels(self, steps: int) -> Array:
        """Samples of its travel (steps + 1,) [mm], zero among them; steps must be even."""
        return _around_zero(self.travel_low, self.travel_high, steps)

    def rolls(self, steps: int) -> Array:
        """Samples of its roll (steps + 1,) [rad], zero among them; steps must be even."""
        return _around_zero(-self.roll, self.roll, steps)


def _around_zero(low: float, high: float, steps: int) -> Array:
    down = np.linspace(low, 0.0, steps // 2, endpoint=False)
    return np.concatenate([down, np.linspace(0.0, high, steps // 2 + 1)])


@dataclass(frozen=True)
class Limit:
    """A quantity's allowed range low..high, in the unit inside, infinite where open, and where it must hold."""

    key: str
    low: float
    high: float
    over: tuple[Over, ...] = EVERYWHERE
    source: str = ""

    def margin(self, values: Array) -> Array:
        """How far values (...) lie inside the range (...), negative outside; NaN counts as infinitely far outside."""
        inside = np.minimum(values - self.low, self.high - values)
        return np.where(np.isfinite(values), inside, -np.inf)


# A race car's roll centre lies between 1 in below and 3 in above the ground.
ROLL_CENTRE = Limit("roll_centre_height", -25.4, 76.2, source=COMMON_PRACTICE)


@dataclass(frozen=True)
class Limits:
    """The working range and each axle's limits.

    An independent axle with no limit for its roll centre gets the usual one; a live axle does not, as its roll centre
    lies far higher (250 mm and up: J. Reimpell, H. Stoll and J. W. Betzler, The Automotive Chassis, 3.4, from memory).
    """

    working: WorkingRange = WorkingRange()
    by_axle: Mapping[str, tuple[Limit, ...]] = field(default_factory=dict)

    def of(self, axle: LimitedAxle) -> tuple[Limit, ...]:
        """All limits of an axle, with the default for the roll centre where it applies."""
        own = self.by_axle.get(axle.name, ())
        stated = any(limit.key == ROLL_CENTRE.key for limit in own)
        return own if stated or axle.suspension.whole_axle else (ROLL_CENTRE, *own)
