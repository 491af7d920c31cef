"""What a search found, as records: plans that were verified, what rules took away, and how the search ended."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.units import refuse_no_unit
from kinematics.finding.check import Check
from kinematics.finding.means import Amount, Means
from kinematics.finding.pieces import AS_IT_IS, PLACES, Fitting, OnSprings, place_name
from kinematics.numbers.rows import Rows
from kinematics.numbers.tables import in_columns
from kinematics.planning.plans import Plan
from kinematics.planning.rules import Rule
from solvers.vectors import Array, Column, Flags


@dataclass(frozen=True, repr=False)
class FoundPlan:
    """One plan, verified: amounts (k,) and each check's margin (checks,) as a part of its range, negative outside.

    raised: the body, summed over axles [mm]. chance: that it holds on the car as it may really be, None where no doubt
    is stated or it was not tried. order: the numbers by which plans are ordered, the first counting most. fitting: the
    springs and bars that it fits; on_springs: how the car stands and leans then, None where it is not told.
    """

    plan: Plan
    amounts: Array
    margins: Array
    price: float
    hours: float
    raised: float
    chance: float | None = None
    order: tuple[float, ...] = ()
    fitting: Fitting = AS_IT_IS
    on_springs: OnSprings | None = None

    def __repr__(self) -> str:
        holds = "holds" if self.holds else "does not hold"
        changes = ", ".join(map(repr, self.plan.changes)) or "nothing changed"
        return f"<found plan: {changes}; {holds}, worst margin {self.worst:+z.0%} of its range>"

    @property
    def worst(self) -> float:
        """The smallest margin."""
        return float(self.margins.min(initial=np.inf))

    @property
    def holds(self) -> bool:
        """Whether every check holds on the car as measured."""
        return self.worst >= 0.0

    @property
    def parts(self) -> int:
        """How many things it changes; a pair of springs or a bar is one."""
        return int((self.amounts != 0.0).sum()) + len(self.fitting.pieces)


@dataclass(frozen=True)
class Forbidden:
    """A rule that took amounts away. would_help: whether a plan holds all once it is lifted, None if not tried.

    chance: of the surest plan that was then tried, None where no chance is asked or none holds on the car as measured.
    """

    rule: Rule
    amount: Amount
    count: int
    would_help: bool | None = None
    chance: float | None = None


@dataclass(frozen=True)
class CostOfChance:
    """What costs a plan most of its chance: checks by their places, the one whose lifting helps most first.

    without: the chance without that check and those before it. gives: how far the first one's bounds must give way for
    the chance asked, as a part of its range; None where it alone does not bring that.
    """

    checks: tuple[int, ...]
    without: tuple[float, ...]
    gives: float | None


@dataclass(frozen=True)
class FittingsTried:
    """What became of the combinations of springs and bars.

    count: of all that may be fitted. outside: lean otherwise than wanted; without_balance: hold the car up nowhere.
    searched: for plans; those that are in none of these come after the best plan however their geometry is changed.
    """

    count: int
    outside: int
    without_balance: int
    searched: int


@dataclass(frozen=True, repr=False)
class Search(Rows[FoundPlan]):
    """What was found: the car as measured, the best plan and its alternatives, looked up by name.

    best: the plan that holds everything, or else comes nearest (`best.holds` tells). means: those that the rules allow.
    alternatives: really different plans that hold too. windows: how far each amount of the best plan may go, the others
    unchanged [mm]. trade_off: plans with the best worst margin, one for each ride height (or number of parts).
    looked_at: plans of the means; verified: solved exactly; lost: of those, not to be put together; untried: may hold,
    but came after the most that are verified. cost: what costs the best plan the chance asked, where it holds without
    it. fittings: of springs and bars, where there are some to choose from.
    """

    means: Means
    checks: tuple[Check, ...]
    as_measured: FoundPlan
    best: FoundPlan
    alternatives: tuple[FoundPlan, ...]
    windows: tuple[tuple[float, float] | None, ...]
    trade_off: tuple[FoundPlan, ...]
    forbidden: tuple[Forbidden, ...]
    looked_at: int
    verified: int
    lost: int
    untried: int = 0
    stopped: bool = False
    cost: CostOfChance | None = None
    fittings: FittingsTried | None = None

    what = "plan"

    def __repr__(self) -> str:
        told = "found" if self.found else "none holds everything"
        return f"<search of {self.looked_at} plans, {self.verified} solved: {told}; best: {self.best!r}>"

    def _records(self) -> tuple[FoundPlan, ...]:
        return self.as_measured, self.best, *self.alternatives

    def keys(self) -> list[str]:
        """Names of the same: "as measured", "best", "other 1" and so on."""
        return ["as measured", "best", *(f"other {i}" for i in range(1, len(self.alternatives) + 1))]

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """One row a plan: every amount, ride height, price, hours, chance, worst margin [% of its range], holds."""
        refuse_no_unit(unit)
        return in_columns(self._row(name, one, unit) for name, one in zip(self.keys(), self, strict=True))

    def _row(self, name: str, one: FoundPlan, unit: LengthUnit) -> dict[str, Any]:
        changes = zip((amount.name for amount in self.means.amounts), one.amounts, strict=True)
        return {
            "plan": name,
            **{f"{what}_{unit.symbol}": unit.from_mm(float(value)) for what, value in changes},
            **self._fitted(one),
            f"raised_{unit.symbol}": unit.from_mm(one.raised),
            "price": one.price,
            "hours": one.hours,
            "chance": one.chance,
            "worst_margin_percent": 100.0 * one.worst,
            "holds": one.holds,
        }

    def _fitted(self, one: FoundPlan) -> dict[str, Any]:
        """What stands at each place that there is something for, and how the car leans with it."""
        if not self.means.pieces:
            return {}
        stands = one.on_springs
        gradient, share = (None, None) if stands is None else (stands.gradient, 100.0 * stands.front_share)
        told = {place_name(place): one.fitting.at(place) for place in self.places}
        return {**told, "roll_gradient_deg_per_g": gradient, "front_share_percent": share}

    @property
    def places(self) -> list[tuple[str, str]]:
        """The places of springs and bars for which something lies there."""
        return [place for place in PLACES if any(one.place == place for one in self.means.pieces)]

    @property
    def found(self) -> bool:
        """Whether the best plan holds everything, with the chance asked for where one was."""
        asked = self.means.chance
        return self.best.holds and (asked is None or self.best.chance is None or self.best.chance >= asked)


def stretch_around(values: Array, holds: Flags, chosen: float) -> tuple[float, float]:
    """The ends of the unbroken stretch of values (n,) that hold, about the chosen one."""
    low = high = int(np.argmin(np.abs(values - chosen)))
    while low > 0 and holds[low - 1]:
        low -= 1
    while high < values.size - 1 and holds[high + 1]:
        high += 1
    return float(values[low]), float(values[high])
