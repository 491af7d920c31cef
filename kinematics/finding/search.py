"""The search for a plan: proposed by a response surface over all plans of the means, verified exactly in order."""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import replace
from functools import cached_property
from itertools import groupby

import numpy as np

from kinematics.car.car import Car
from kinematics.car.limits import Limits
from kinematics.finding.candidates import (
    Candidates,
    Look,
    asked_of,
    candidates,
    height_of,
    hours_of,
    order_of,
    price_of,
)
from kinematics.finding.chances import CarsAsTheyMightBe, is_doubtful, tried
from kinematics.finding.checks import EXACT_STEPS, FEW_STEPS, Checks, checks_of
from kinematics.finding.found_plans import CostOfChance, FoundPlan, Search, stretch_around
from kinematics.finding.means import Aim, Means
from kinematics.finding.permitted import within_rules
from kinematics.finding.ranking import AS_SURE, in_order
from kinematics.planning.plans import AS_MEASURED
from solvers.response_surface import learn
from solvers.vectors import Array

_BATCHES = (16, 64, 256, 1024)  # plans verified at once, the first ones alone
_FEW_PLANS = 256  # all verified, as learning takes as many
_ENOUGH = 3  # plans to choose from
_MOST_ALTERNATIVES = 4
_QUITE_ANOTHER = 0.25  # of an amount's range
_MOST_FOR_TRADE_OFF = 200_000  # plans looked at where a good one needs no look at all of them
_MOST_VERIFIED = 4000  # plans of one support that looked good and were not
_MOST_FOR_OTHERS = 80
_CARS = 300
_SEED = 1
_MOST_TRIED = 8  # plans of one support on cars as they might be
_FEW_TRIED = 2  # the same, where only one that holds is sought
_MOST_ROOMY = 256  # plans with the best margins, looked at for their chance, and as many of the most wanted
_HOPELESS = 0.1  # of chance, that neighbouring plans' cars do not make up for
Progress = Callable[[str, int, int], None]


def find(
    car: Car, means: Means, limits: Limits, *, progress: Progress | None = None, executor: Executor | None = None
) -> Search:
    """Find the best plan of the means that holds every limit, range, stop and joint, and each class rule.

    The same input gives the same plans. An interruption keeps what was found until then. executor: has plans verified
    elsewhere. Raises ValueError where hardly any of the plans can be put together.
    """
    allowed, forbidden = within_rules(car, means)
    tell = progress or _quiet
    search = _Run(car, allowed, limits, tell, executor).search()
    if search.found or search.stopped:
        return replace(search, forbidden=tuple(forbidden))
    lifted: dict[int, bool | None] = {}
    for one in forbidden:
        place = means.rules.index(one.rule)
        if place not in lifted:
            tell("trying without a class rule", len(lifted), len(means.rules))
            lifted[place] = _helps(car, means, limits, place)
    told = (replace(one, would_help=lifted[means.rules.index(one.rule)]) for one in forbidden)
    return replace(search, forbidden=tuple(told))


def _helps(car: Car, means: Means, limits: Limits, lifted: int) -> bool | None:
    """Whether some plan holds everything once a rule is lifted; None where that was not found out."""
    rules = tuple(rule for place, rule in enumerate(means.rules) if place != lifted)
    allowed, _ = within_rules(car, replace(means, rules=rules))
    search = _Run(car, allowed, limits, _quiet, None).search(best_only=True)
    return None if search.stopped else search.found


def _quiet(_: str, __: int, ___: int) -> None:
    return


class _Run:
    """One search under way: its checks, how it looks at plans, and the plans verified so far."""

    def __init__(self, car: Car, means: Means, limits: Limits, progress: Progress, executor: Executor | None) -> None:
        self.means, self.progress, self.executor = means, progress, executor
        self.limits = limits
        self.exact = checks_of(car, limits, means.amounts, EXACT_STEPS)
        self.known: dict[bytes, tuple[Array, Array]] = {}
        self.proposed: list[Candidates] = []
        self.untried = 0
        self.surest: FoundPlan | None = None
        self.cars: CarsAsTheyMightBe | None = None
        self.cars_of: dict[bytes, CarsAsTheyMightBe] = {}
        self.tries = _MOST_TRIED
        self.doubtful = is_doubtful(self.exact)
        self.best_only = False

    @cached_property
    def few(self) -> Checks:
        """The same checks at fewer states."""
        return checks_of(self.exact.car, self.limits, self.means.amounts, FEW_STEPS)

    @cached_property
    def look(self) -> Look:
        """How plans are looked at: all exactly where they are few, else through a response surface."""
        if self.means.combinations <= _FEW_PLANS:
            # Together they take half the time that they would support by support.
            self.progress("verifying", 0, self.means.combinations)
            self._verified(np.concatenate([self.means.grid(one) for one in self.means.supports]))
            return Look(self.exact, lambda amounts: self._verified(amounts)[0], np.zeros(len(self.exact.checks)))
        self.progress("learning what each change does", 0, 1)
        low, high = (np.array([end(one.values, initial=0.0) for one in self.means.amounts]) for end in (np.min, np.max))
        few = self.few
        surface = learn(few, low, high)
        return Look(few, surface.at, few.slack(surface.error))

    def search(self, *, best_only: bool = False) -> Search:
        """Look through all plans; with `best_only` for one that holds, no alternatives."""
        self.best_only, self.tries = best_only, _FEW_TRIED if best_only else _MOST_TRIED
        nothing = np.zeros((1, len(self.means.amounts)))
        found: list[FoundPlan] = []
        trade_off: tuple[FoundPlan, ...] = ()
        windows: tuple[tuple[float, float] | None, ...] = (None,) * len(self.means.amounts)
        cost, stopped = None, False
        try:
            found = self._best_of_all()
            if not best_only:
                found = self._with_chances(found)
                cost = self._cost(found[0])
                trade_off, windows = self._trade_off(), self._windows(found[0])
        except KeyboardInterrupt:
            stopped = True
        as_measured = self._told(nothing[0])
        best, *alternatives = found or [self._best_known()]
        lost = sum(bool(np.isnan(numbers).any()) for numbers, _ in self.known.values())
        looked_at = sum(one.looked_at for one in self.proposed)
        return Search(
            self.means, self.exact.checks, as_measured, best, tuple(alternatives), windows, trade_off, (),
            looked_at, len(self.known), lost, self.untried, stopped, cost,
        )  # fmt: skip

    def _best_of_all(self) -> list[FoundPlan]:
        """The best plan and its alternatives; where none holds, the one that comes nearest."""
        most = 1 if self.best_only else 1 + _MOST_ALTERNATIVES
        found: list[FoundPlan] = []
        for proposed in self._levels():
            self.proposed += proposed
            more = self._found(proposed, found, most)
            if found or len(more) >= min(most, _ENOUGH):
                # Plans of one part more are looked at where there is little to choose from.
                found += more
                break
            found += more
        if found:
            return found if self.best_only else self._with_others(found, most)
        return [self.surest or self._nearest()]

    def _levels(self) -> Iterator[list[Candidates]]:
        """Candidates of all supports: with as many parts at once as must be compared with each other."""
        by_parts = self.means.aim is Aim.FEWEST_PARTS
        for _, level in groupby(self.means.supports, key=len if by_parts else lambda _: 0):
            supports = list(level)
            proposed = []
            for i, support in enumerate(supports):
                self.progress("looking through the plans", i, len(supports))
                proposed.append(candidates(self.means, self.look, support))
            yield proposed

    def _found(self, proposed: Sequence[Candidates], before: Sequence[FoundPlan], most: int) -> list[FoundPlan]:
        """The best plan that holds of each really different support, best first, beside those found before."""
        taken = [_support(one) for one in before]
        # What another plan does already, with something needless besides, is no alternative.
        new = [one for one in proposed if not any(earlier <= set(one.support) for earlier in taken)]
        firsts = [plan for one in new if (plan := self._first_good(one.amounts, _MOST_VERIFIED)) is not None]
        kept: list[FoundPlan] = []
        for one in in_order(self.means, firsts):
            if len(taken) < most and not any(earlier <= _support(one) for earlier in taken):
                taken.append(_support(one))
                kept.append(one)
        return kept

    def _with_others(self, found: list[FoundPlan], most: int) -> list[FoundPlan]:
        """Fill up with plans that change the same things as the best one, but some of them by quite another amount."""
        (same,) = (one for one in self.proposed if set(one.support) == _support(found[0]))
        spans = np.array([np.ptp(np.append(one.values, 0.0)) for one in self.means.amounts])
        amounts = same.amounts
        while len(found) < most and len(amounts):
            taken = np.array([one.amounts for one in found])
            apart = (np.abs(amounts[:, None] - taken) >= _QUITE_ANOTHER * spans - 1e-9).any(axis=-1).all(axis=-1)
            amounts = amounts[apart]
            other = self._first_good(amounts, _MOST_FOR_OTHERS)
            if other is None:
                break
            found.append(other)
        return found

    def _first_good(self, amounts: Array, most: int) -> FoundPlan | None:
        """The first of these plans (N, k) that holds, with the chance asked for; solved in batches up to so many."""
        first, tries = 0, 0
        while first < min(len(amounts), most):
            here = amounts[first : first + _BATCHES[min(tries, len(_BATCHES) - 1)]]
            self.progress("verifying", first, len(amounts))
            holding = np.flatnonzero((self._verified(here)[1] >= 0.0).all(axis=1))
            if holding.size:
                rest = amounts[first + holding[0] :]
                if not self.doubtful or (self.means.chance is None and self.best_only):
                    return self._told(rest[0])
                return self._surest(rest) if self.means.chance is None else self._likely(rest)
            first, tries = first + len(here), tries + 1
        self.untried += max(len(amounts) - first, 0)
        return None

    def _surest(self, amounts: Array) -> FoundPlan:
        """Of plans (N, k) equal in what is asked to the first, which holds: of the surest the least changed."""
        asked = asked_of(self.means, amounts)
        amounts, numbers, roomiest = self._promising(amounts[(asked == asked[0]).all(axis=1)])
        self.cars = self.cars or self._tried(amounts[roomiest])
        chances = self.cars.chances(numbers)
        while (chances >= 0.0).any():
            good = np.flatnonzero(chances >= chances.max() - AS_SURE)[: _BATCHES[0]]
            holding = good[(self._verified(amounts[good])[1] >= 0.0).all(axis=1)]
            if holding.size:
                return replace(self._told(amounts[holding[0]]), chance=float(chances[holding[0]]))
            chances[good] = -1.0
        return self._told(amounts[0])

    def _likely(self, amounts: Array) -> FoundPlan | None:
        """The first of these plans (N, k), the first of which holds, that does so with the chance asked for."""
        asked = self.means.chance or 0.0
        amounts, numbers, roomiest = self._promising(amounts)
        refused: list[int] = []
        # Before any plan was tried, the one with most room tells how cars differ.
        self.cars = self.cars or self._tried(amounts[roomiest])
        for _ in range(self.tries):
            chances = self.cars.chances(numbers)
            chances[refused] = -1.0
            good = np.flatnonzero(chances >= asked)
            at = int(good[0] if good.size else np.argmax(chances))
            surest = (self.surest.chance or 0.0) if self.surest and self.tries > _FEW_TRIED else 1.0
            if at in refused or (refused and chances[at] <= min(asked - _HOPELESS, surest)):
                break
            self.cars = self._tried(amounts[at])
            plan = replace(self._told(amounts[at]), chance=self.cars.chance)
            if plan.holds and self.cars.chance >= asked:
                return plan
            if plan.holds and (self.surest is None or self.cars.chance > (self.surest.chance or 0.0)):
                self.surest = plan
            refused.append(at)
        return None

    def _promising(self, amounts: Array) -> tuple[Array, Array, int]:
        """Of plans (N, k) the most wanted and the roomiest, their numbers (M, columns), and which is the roomiest."""
        numbers = self.look.numbers(amounts)
        worst = self.look.checks.margins(numbers).min(axis=1, initial=np.inf)
        roomy = np.argsort(-worst, kind="stable")[:_MOST_ROOMY]
        chosen = np.union1d(np.arange(min(len(amounts), _MOST_ROOMY)), roomy)
        return amounts[chosen], numbers[chosen], int(np.searchsorted(chosen, roomy[0]))

    def _tried(self, amounts: Array) -> CarsAsTheyMightBe:
        """A plan (k,) on cars as they might be; each plan is tried once."""
        key = amounts.tobytes()
        if key not in self.cars_of:
            self.progress("trying on cars as they might be", 0, 1)
            self.cars_of[key] = tried(self.look.checks, amounts, _CARS, _SEED)
        return self.cars_of[key]

    def _with_chances(self, found: list[FoundPlan]) -> list[FoundPlan]:
        """Tell the chance of each plan, where the car says how well it was measured, the best by cars of its own."""
        if not self.doubtful:
            return found
        head = self._by_its_cars(found[0])
        guessed = self._tried(head.amounts).chances(self.look.numbers(np.array([one.amounts for one in found])))
        told = [
            replace(one, chance=float(chance)) if one.chance is None else one
            for one, chance in zip([head, *found[1:]], guessed, strict=True)
        ]
        first, *rest = in_order(self.means, told) if head.holds else told
        return [self._by_its_cars(first), *rest]

    def _by_its_cars(self, one: FoundPlan) -> FoundPlan:
        return replace(one, chance=self._tried(one.amounts).chance)

    def _cost(self, best: FoundPlan) -> CostOfChance | None:
        """What costs a plan that holds the chance asked for."""
        asked = self.means.chance
        if asked is None or not self.doubtful or not best.holds or (best.chance or 0.0) >= asked:
            return None
        return self._tried(best.amounts).cost(asked)

    def _best_known(self) -> FoundPlan:
        """The best plan verified so far: of those that hold the most wanted, else the one that comes nearest."""
        amounts, worst = self._all_known()
        holding = np.flatnonzero(worst >= 0.0)
        if holding.size:
            return self._told(amounts[holding[np.lexsort(order_of(self.means, amounts[holding]).T[::-1])[0]]])
        return self._told(amounts[np.argmax(worst)])

    def _nearest(self) -> FoundPlan:
        """The plan with the best worst margin: from the best that was looked at, on in steps of the grid."""
        as_measured = self._told(np.zeros(len(self.means.amounts)))
        here = [one.nearest for one in self.proposed if len(one.nearest)]
        if not here:
            return as_measured
        amounts = np.concatenate(here)
        worst = self._verified(amounts)[1].min(axis=1)
        at, now = amounts[np.argmax(worst)], float(worst.max())
        for _ in range(50):
            around = self._neighbours(at)
            worst = self._verified(around)[1].min(axis=1)
            if not worst.max(initial=-np.inf) > now:
                break
            at, now = around[np.argmax(worst)], float(worst.max())
        return self._told(at) if now > as_measured.worst else as_measured

    def _neighbours(self, amounts: Array) -> Array:
        """Plans one step of one amount away (N, k), changing no other things."""
        found = []
        for i in np.flatnonzero(amounts):
            values = self.means.amounts[i].values
            place = int(np.argmin(np.abs(values - amounts[i])))
            for other in (place - 1, place + 1):
                if 0 <= other < values.size:
                    step = amounts.copy()
                    step[i] = values[other]
                    found.append(step)
        plans = np.array(found).reshape(-1, len(amounts))
        return np.asarray(plans[self.means.permitted(plans)])

    def _windows(self, best: FoundPlan) -> tuple[tuple[float, float] | None, ...]:
        """How far each amount of a plan that holds may go, the others unchanged; None for one that it does not use."""
        used = np.flatnonzero(best.amounts) if best.holds else np.zeros(0, dtype=int)
        lines = []
        for i in used:
            plans = np.repeat(best.amounts[None], self.means.amounts[i].values.size, axis=0)
            plans[:, i] = self.means.amounts[i].values
            lines.append(plans)
        self._verified(np.concatenate([best.amounts[None], *lines]))  # all in one go
        found: list[tuple[float, float] | None] = [None] * len(best.amounts)
        for i, plans in zip(used, lines, strict=True):
            holds = (self._verified(plans)[1] >= 0.0).all(axis=1) & self.means.permitted(plans)
            found[i] = stretch_around(plans[:, i], holds, best.amounts[i])
        return tuple(found)

    def _trade_off(self) -> tuple[FoundPlan, ...]:
        """The plan with the best worst margin for each ride height, or number of parts where no height is chosen."""
        looked_at = {one.support for one in self.proposed}
        if self.means.combinations <= _MOST_FOR_TRADE_OFF:
            rest = (one for one in self.means.supports if one not in looked_at)
            self.proposed += [candidates(self.means, self.look, one) for one in rest]
        here = [one.nearest for one in self.proposed if len(one.nearest)]
        if not here:
            return ()
        self._verified(np.unique(np.concatenate(here), axis=0))
        amounts, worst = self._all_known()
        heights = height_of(self.means, amounts)
        by = np.asarray(heights if np.ptp(heights) > 0.0 else np.count_nonzero(amounts, axis=1), dtype=float)
        best = [np.flatnonzero(by == one)[np.argmax(worst[by == one])] for one in np.unique(by)]
        return tuple(self._told(amounts[i]) for i in best)

    def _all_known(self) -> tuple[Array, Array]:
        """Every plan verified so far (N, k), and its worst margin (N,)."""
        amounts = np.array([np.frombuffer(key) for key in self.known]).reshape(len(self.known), -1)
        return amounts, np.array([margins.min(initial=np.inf) for _, margins in self.known.values()])

    def _verified(self, amounts: Array) -> tuple[Array, Array]:
        """Exact numbers (N, columns) and margins (N, checks) of plans (N, k); each is solved once."""
        keys = [one.tobytes() for one in amounts]
        new = list({key: i for i, key in enumerate(keys) if key not in self.known}.values())
        if new:
            numbers = self._solved(amounts[new])
            margins = self.exact.margins(numbers)
            self.known |= {keys[i]: (numbers[j], margins[j]) for j, i in enumerate(new)}
        found = [self.known[key] for key in keys]
        if not found:
            return np.zeros((0, len(self.exact.column))), np.zeros((0, len(self.exact.checks)))
        return np.stack([one[0] for one in found]), np.stack([one[1] for one in found])

    def _solved(self, amounts: Array) -> Array:
        if self.executor is None or len(amounts) < 2 * _BATCHES[1]:
            return self.exact(amounts)
        blocks = np.array_split(amounts, -(-len(amounts) // _BATCHES[1]))
        return np.concatenate(list(self.executor.map(self.exact, blocks)))

    def _told(self, amounts: Array) -> FoundPlan:
        _, margins = self._verified(amounts[None])
        price, hours, raised = (of(self.means, amounts[None])[0] for of in (price_of, hours_of, height_of))
        plan = self.means.plan(amounts, "found" if amounts.any() else AS_MEASURED.name)
        return FoundPlan(plan, amounts, margins[0], float(price), float(hours), float(raised))


def _support(one: FoundPlan) -> set[int]:
    return set(np.flatnonzero(one.amounts).tolist())
