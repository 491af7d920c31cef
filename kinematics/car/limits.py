"""Limits: which number must stay in which range, over which part of the car's working range."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Literal, Protocol

import numpy as np

from kinematics.car.suspension_type import SuspensionType
from solvers.vectors import Array

Over = Literal["ride height", "travel", "roll", "working range"]
EVERYWHERE: tuple[Over, ...] = ("ride height", "travel", "roll")
COMMON_PRACTICE = "common practice, no source"
STATED = "stated in the file"
USUAL_OUTER_SHARE = 0.7  # a round figure, common practice, no source
_ROUNDING = 1e-9  # mm, rad, rad/mm: a number this far outside is on the edge of its range


class LimitedAxle(Protocol):
    """What limits need to know about an axle."""

    @property
    def name(self) -> str:
        """The axle's name."""

    @property
    def suspension(self) -> SuspensionType:
        """Its suspension type."""


class Origin(Enum):
    """Where a working range comes from."""

    USUAL = "usual"
    STATED = "from the file"
    BALANCED = "in balance"


@dataclass(frozen=True)
class Accelerations:
    """The hardest cornering, braking and driving that a car is to be judged for [g], None where it is not said."""

    cornering: float | None = None
    braking: float | None = None
    driving: float | None = None

    @property
    def said(self) -> dict[str, float]:
        """Those that are said, by name."""
        named = {"cornering": self.cornering, "braking": self.braking, "driving": self.driving}
        return {name: value for name, value in named.items() if value is not None}


@dataclass(frozen=True)
class InBalance:
    """What a car's own balance says of its working range.

    under: the accelerations asked for; lowered: how far both wheels of an axle go together, low..high [mm]; beyond: in
    what ends first, the accelerations past which no balance was found, None where all that is asked has one.
    """

    under: Accelerations
    lowered: tuple[float, float]
    beyond: Accelerations | None = None


@dataclass(frozen=True)
class WorkingRange:
    """Wheel travel low..high [mm] and roll either way [rad] that the car uses, and where each comes from."""

    travel_low: float = -40.0
    travel_high: float = 40.0
    roll: float = math.radians(2.0)
    travel_from: Origin = Origin.USUAL
    roll_from: Origin = Origin.USUAL
    in_balance: InBalance | None = None

    def lowered(self, steps: int) -> Array:
        """Samples of how far the body is lowered over an axle (steps + 1,) [mm], zero among them; steps must be even.

        In a corner one wheel travels farther than the body is lowered: where both are known, that is not counted twice.
        """
        return _around_zero(*self.lowered_ends, steps)

    @property
    def lowered_ends(self) -> tuple[float, float]:
        """How far the body is lowered over an axle, low..high [mm]; below zero it is raised."""
        known = self.in_balance if self.travel_from is Origin.BALANCED else None
        return known.lowered if known else (self.travel_low, self.travel_high)

    def travels(self, steps: int) -> Array:
        """Samples of its travel (steps + 1,) [mm], zero among them; steps must be even."""
        return _around_zero(self.travel_low, self.travel_high, steps)

    def rolls(self, steps: int) -> Array:
        """Samples of its roll (steps + 1,) [rad], zero among them; steps must be even."""
        return _around_zero(-self.roll, self.roll, steps)


def _around_zero(low: float, high: float, steps: int) -> Array:
    down = np.linspace(low, 0.0, steps // 2, endpoint=False)
    return np.concatenate([down, np.linspace(0.0, high, steps // 2 + 1)])


@dataclass(frozen=True, repr=False)
class Limit:
    """A quantity's allowed range low..high, in the unit inside, infinite where open, and where it must hold."""

    key: str
    low: float
    high: float
    over: tuple[Over, ...] = EVERYWHERE
    source: str = ""

    def __repr__(self) -> str:
        return f"<limit on {self.key}: {self.low:g} to {self.high:g}, over {', '.join(self.over)}>"

    def margin(self, values: Array) -> Array:
        """How far values (...) lie inside the range (...), negative outside; NaN counts as infinitely far outside."""
        inside = np.minimum(values - self.low, self.high - values)
        inside = np.where((inside < 0.0) & (inside >= -_ROUNDING), 0.0, inside)
        return np.where(np.isfinite(values), inside, -np.inf)

    def along(self, part: Over) -> bool:
        """Whether it must hold all along the working travel or the working roll."""
        return part in self.over or "working range" in self.over


# A race car's front roll centre lies between 1 in below and 3 in above the ground.
ROLL_CENTRE = Limit("roll_centre_height", -25.4, 76.2, ("ride height",), COMMON_PRACTICE)
# In roll the height that says how the car leans is the force-weighted one, so the rule is asked of that.
FORCE_WEIGHTED = Limit("force_weighted_height", -25.4, 76.2, ("roll",), COMMON_PRACTICE)
_RULE_OF_THUMB = (ROLL_CENTRE, FORCE_WEIGHTED)


def usual_over(key: str) -> tuple[Over, ...]:
    """Where a limit on a number must hold if its file does not say."""
    return next((limit.over for limit in _RULE_OF_THUMB if limit.key == key), EVERYWHERE)


@dataclass(frozen=True, repr=False)
class Limits:
    """The working range and each axle's limits.

    The rule of thumb is asked of a front axle with independent suspension, of each of its two heights that has no limit
    of its own; not of rear axles, nor of live axles, whose roll centre lies far higher (250 mm and up: J. Reimpell,
    H. Stoll and J. W. Betzler, The Automotive Chassis, 3.4, from memory). outer_share: the outer wheel's part of the
    lateral force at the end of the working roll, 0.5 to 1, for the force-weighted height; outer_share_by_axle: where it
    is known better, as from balanced loads; outer_share_known_to: by axle and by what of the car's springs, weights and
    body, as `KnownPart` calls it, how far one standard deviation of that shifts it. accelerations: for which the
    working range is to be found. fractions: whether a file of limits alone writes them as a tape shows them, such as
    "5/8".
    """

    working: WorkingRange = WorkingRange()
    by_axle: Mapping[str, tuple[Limit, ...]] = field(default_factory=dict)
    outer_share: float = USUAL_OUTER_SHARE
    outer_share_by_axle: Mapping[str, float] = field(default_factory=dict)
    outer_share_known_to: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    accelerations: Accelerations = Accelerations()
    fractions: bool = False

    def __repr__(self) -> str:
        own = ", ".join(f"{name} {limit.key}" for name, limits in self.by_axle.items() for limit in limits)
        low, high, roll = self.working.travel_low, self.working.travel_high, math.degrees(self.working.roll)
        return f"<limits over {low:g} to {high:g} mm and {roll:g} deg either way: {own or 'the rule of thumb'}>"

    def of(self, axle: LimitedAxle) -> tuple[Limit, ...]:
        """All limits of an axle, with the rule of thumb where it applies."""
        own = self.by_axle.get(axle.name, ())
        if axle.name != "front" or axle.suspension.whole_axle:
            return own
        stated = {limit.key for limit in own}
        return (*(limit for limit in _RULE_OF_THUMB if limit.key not in stated), *own)
