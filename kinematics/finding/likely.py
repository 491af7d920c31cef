"""Choosing among plans by their chance: the surest, or the first that is as likely as asked."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kinematics.finding.candidates import Look, asked_of
from kinematics.finding.chances import CarsAsTheyMightBe, tried
from kinematics.finding.found_plans import CostOfChance, FoundPlan
from kinematics.finding.ranking import AS_SURE, in_order
from kinematics.finding.verified import Progress, Verified
from solvers.vectors import Array

CARS = 300
_SEED = 1
_MOST_ROOMY = 256  # plans with the best margins, looked at for their chance, and as many of the most wanted
_HOPELESS = 0.1  # of chance, that neighbouring plans' cars do not make up for
_AT_ONCE = 16  # plans verified


class Likely:
    """Chooses among the plans of a car that was measured with doubt; surest: the surest of those tried that hold.

    tries: how many plans of one support are tried on cars as they might be; thorough: also where little hope is left.
    """

    def __init__(self, verified: Verified, look: Look, tries: int, progress: Progress, *, thorough: bool) -> None:
        self.verified, self.look, self.tries, self.progress = verified, look, tries, progress
        self.thorough = thorough
        self.asked = verified.means.chance or 0.0
        self.surest: FoundPlan | None = None
        self._cars: CarsAsTheyMightBe | None = None
        self._cars_of: dict[bytes, CarsAsTheyMightBe] = {}

    def surest_of(self, amounts: Array) -> FoundPlan:
        """Of plans (N, k) equal in what is asked to the first, which holds: of the surest the least changed."""
        asked = asked_of(self.verified.means, amounts)
        amounts, chances = self._guessed(amounts[(asked == asked[0]).all(axis=1)])
        while (chances >= 0.0).any():
            good = np.flatnonzero(chances >= chances.max() - AS_SURE)[:_AT_ONCE]
            holding = good[self.verified.holding(amounts[good])]
            if holding.size:
                return replace(self.verified.told(amounts[holding[0]]), chance=float(chances[holding[0]]))
            chances[good] = -1.0
        return self.verified.told(amounts[0])

    def first_guessed(self, amounts: Array) -> FoundPlan | None:
        """The first of these plans (N, k), the first of which holds, that may do so with the chance asked for.

        By how cars differ under another plan; `first_tried` makes sure.
        """
        amounts, chances = self._guessed(amounts)
        good = np.flatnonzero(chances >= self.asked)[:_AT_ONCE]
        holding = good[self.verified.holding(amounts[good])]
        if not holding.size:
            return None
        return replace(self.verified.told(amounts[holding[0]]), chance=float(chances[holding[0]]))

    def first_tried(self, amounts: Array) -> FoundPlan | None:
        """The first of these plans (N, k), the first of which holds, that does so with the chance asked for."""
        refused: list[int] = []
        amounts, chances = self._guessed(amounts)
        numbers = self.look.numbers(amounts)
        for _ in range(self.tries):
            chances[refused] = -1.0
            good = np.flatnonzero(chances >= self.asked)
            at = int(good[0] if good.size else np.argmax(chances))
            surest = (self.surest.chance or 0.0) if self.surest and self.thorough else 1.0
            if at in refused or (refused and chances[at] <= min(self.asked - _HOPELESS, surest)):
                break
            self._cars = self._tried(amounts[at])
            plan = replace(self.verified.told(amounts[at]), chance=self._cars.chance)
            if plan.holds and self._cars.chance >= self.asked:
                return plan
            if plan.holds and (self.surest is None or self._cars.chance > (self.surest.chance or 0.0)):
                self.surest = plan
            refused.append(at)
            chances = self._cars.chances(numbers)
        return None

    def is_tried(self, one: FoundPlan) -> bool:
        """Whether a plan was tried on cars of its own."""
        return one.amounts.tobytes() in self._cars_of

    def with_chances(self, found: Sequence[FoundPlan]) -> list[FoundPlan]:
        """Tell the chance of each plan, best first; of the best by cars of its own."""
        head = self._by_its_cars(found[0])
        guessed = self._tried(head.amounts).chances(self.look.numbers(np.array([one.amounts for one in found])))
        told = [
            replace(one, chance=float(chance)) if one.chance is None else one
            for one, chance in zip([head, *found[1:]], guessed, strict=True)
        ]
        first, *rest = in_order(self.verified.means, told) if head.holds else told
        return [self._by_its_cars(first), *rest]

    def cost(self, best: FoundPlan) -> CostOfChance | None:
        """What costs a plan that holds the chance asked for; None where it has that chance."""
        lacks = self.verified.means.chance is not None and best.holds and (best.chance or 0.0) < self.asked
        return self._tried(best.amounts).cost(self.asked) if lacks else None

    def _by_its_cars(self, one: FoundPlan) -> FoundPlan:
        return replace(one, chance=self._tried(one.amounts).chance)

    def _tried(self, amounts: Array) -> CarsAsTheyMightBe:
        """A plan (k,) on cars as they might be; each plan is tried once."""
        key = amounts.tobytes()
        if key not in self._cars_of:
            self.progress("trying on cars as they might be", 0, 1)
            self._cars_of[key] = tried(self.look.checks, amounts, CARS, _SEED)
        return self._cars_of[key]

    def _guessed(self, amounts: Array) -> tuple[Array, Array]:
        """Of plans (N, k) the most wanted and the roomiest, in order, and their chances as cars of another plan tell.

        Before any plan was tried, the one with most room tells how cars differ.
        """
        numbers = self.look.numbers(amounts)
        worst = self.look.checks.margins(numbers).min(axis=1, initial=np.inf)
        roomy = np.argsort(-worst, kind="stable")[:_MOST_ROOMY]
        chosen = np.union1d(np.arange(min(len(amounts), _MOST_ROOMY)), roomy)
        self._cars = self._cars or self._tried(amounts[roomy[0]])
        return amounts[chosen], self._cars.chances(numbers[chosen])
