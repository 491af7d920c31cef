"""The search for a plan: proposed by a response surface over all plans of the means, verified exactly in order."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import replace
from functools import cached_property
from itertools import groupby

import numpy as np

from kinematics.car.car import Car
from kinematics.car.limits import Limits
from kinematics.finding.candidates import Candidates, Look, candidates, nearest, place_of
from kinematics.finding.chances import is_doubtful
from kinematics.finding.checks import EXACT_STEPS, FEW_STEPS, Checks, checks_of
from kinematics.finding.fitted_search import search_fitted
from kinematics.finding.found_plans import Forbidden, FoundPlan, Search, stretch_around
from kinematics.finding.likely import Likely
from kinematics.finding.means import Aim, Means
from kinematics.finding.permitted import within_rules
from kinematics.finding.ranking import in_order
from kinematics.finding.verified import Progress, Verified
from kinematics.planning.plan_arguments import refuse_no_plans
from kinematics.planning.plans import Plan
from kinematics.sweeps.arguments import refuse_no_car, refuse_no_limits, refuse_other
from solvers.read_only import read_only
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
_OF_EACH = 3  # plans of each place along the trade-off, solved exactly
_MOST_TRIED = 8  # plans of one support on cars as they might be
_FEW_TRIED = 2  # the same, where only one that holds is sought


def find(
    car: Car, means: Means, limits: Limits, *, progress: Progress | None = None, executor: Executor | None = None
) -> Search:
    """Find the best plan of the means that holds every limit, range, stop and joint, and each class rule.

    The same input gives the same plans. An interruption keeps what was found until then. executor: has plans verified
    elsewhere, the same to the last bit. Where springs and bars lie there, what the car's balance decides of its limits
    is found anew for each combination. Raises ValueError where hardly any of the plans can be put together,
    NoneLeansSoError where no combination leans as wanted, NotReadyError where the car does not tell enough for one.
    """
    refuse_no_car(car, "find")
    refuse_other(means, Means, "find takes means, such as read_means(...) gives")
    refuse_no_plans(car, [Plan("means", tuple(one.change for one in means.amounts))], "find")
    refuse_no_limits(limits, "find")
    allowed, forbidden = within_rules(car, means)
    tell = progress or _quiet
    search = _searched(car, allowed, limits, tell, executor)
    if search.found or search.stopped:
        return read_only(replace(search, forbidden=tuple(forbidden)))
    lifted: dict[int, Search] = {}
    for one in forbidden:
        place = means.rules.index(one.rule)
        if place not in lifted:
            tell("trying without a class rule", len(lifted), len(means.rules))
            lifted[place] = _without(car, means, limits, place)
    told = tuple(_told(one, lifted[means.rules.index(one.rule)]) for one in forbidden)
    return read_only(replace(search, forbidden=told))


def _told(one: Forbidden, lifted: Search) -> Forbidden:
    """A rule that took amounts away, with what a search without it found."""
    if lifted.stopped:
        return one
    return replace(one, would_help=lifted.found, chance=lifted.best.chance if lifted.best.holds else None)


def _without(car: Car, means: Means, limits: Limits, lifted: int) -> Search:
    """A search for some plan that holds everything once a rule is lifted."""
    rules = tuple(rule for place, rule in enumerate(means.rules) if place != lifted)
    allowed, _ = within_rules(car, replace(means, rules=rules))
    return _searched(car, allowed, limits, _quiet, None, best_only=True)


def _searched(
    car: Car, means: Means, limits: Limits, progress: Progress, executor: Executor | None, *, best_only: bool = False
) -> Search:
    """A search on the springs and bars that are fitted, or on each combination of those that lie there too."""

    def on_one(car: Car, means: Means, limits: Limits, progress: Progress) -> Search:
        return _Run(car, means, limits, progress, executor).search(best_only=best_only)

    if not means.pieces:
        return on_one(car, means, limits, progress)
    return search_fitted(car, means, limits, progress, executor, on_one, best_only=best_only)


def _quiet(_: str, __: int, ___: int) -> None:
    return


class _Run:
    """One search under way: its checks, how it looks at plans, and the plans verified so far."""

    def __init__(self, car: Car, means: Means, limits: Limits, progress: Progress, executor: Executor | None) -> None:
        self.means, self.progress, self.limits = means, progress, limits
        self.exact = checks_of(car, limits, means.amounts, EXACT_STEPS, swapped=bool(means.fitting.pieces))
        self.verified = Verified(self.exact, means, executor)
        self.proposed: list[Candidates] = []
        self.untried = 0
        self.doubtful = is_doubtful(self.exact)
        self.best_only = False

    @cached_property
    def likely(self) -> Likely:
        """Chooses plans by their chance; for a car that says how well it was measured."""
        tries = _FEW_TRIED if self.best_only else _MOST_TRIED
        return Likely(self.verified, self.look, tries, self.progress, thorough=not self.best_only)

    @cached_property
    def few(self) -> Checks:
        """The same checks at fewer states."""
        swapped = self.exact.swapped
        return checks_of(self.exact.car, self.limits, self.means.amounts, FEW_STEPS, swapped=swapped)

    @cached_property
    def look(self) -> Look:
        """How plans are looked at: all exactly where they are few, else through a response surface."""
        if self.means.combinations <= _FEW_PLANS:
            # Together they take half the time that they would support by support.
            self.progress("verifying", 0, self.means.combinations)
            self.verified(np.concatenate([self.means.grid(one) for one in self.means.supports]))
            return Look(self.exact, lambda amounts: self.verified(amounts)[0], np.zeros(len(self.exact.checks)))
        self.progress("learning what each change does", 0, 1)
        low, high = (np.array([end(one.values, initial=0.0) for one in self.means.amounts]) for end in (np.min, np.max))
        few = self.few
        surface = learn(few, low, high)
        return Look(few, surface.at, few.slack(surface.error))

    def search(self, *, best_only: bool = False) -> Search:
        """Look through all plans; with `best_only` for one that holds, no alternatives."""
        self.best_only = best_only
        nothing = np.zeros((1, len(self.means.amounts)))
        found: list[FoundPlan] = []
        trade_off: tuple[FoundPlan, ...] = ()
        windows: tuple[tuple[float, float] | None, ...] = (None,) * len(self.means.amounts)
        cost, stopped = None, False
        try:
            found = self._best_of_all()
            if not best_only:
                if self.doubtful:
                    found = self.likely.with_chances(found)
                    cost = self.likely.cost(found[0])
                lines = self._lines(found[0])
                trade_off = self._trade_off(*lines.values())
                windows = self._windows(found[0], lines)
        except KeyboardInterrupt:
            stopped = True
        best, *others = found or [self.verified.best_known()]
        # The car as measured stands in the first row anyhow, and there with its chance where it has one.
        unchanged = (one for one in (best, *others) if not one.parts)
        as_measured = next(unchanged, None) or self.verified.told(nothing[0])
        alternatives = [one for one in others if one.parts]
        looked_at = sum(one.looked_at for one in self.proposed)
        return Search(
            self.means, self.exact.checks, as_measured, best, tuple(alternatives), windows, trade_off, (),
            looked_at, len(self.verified.known), self.verified.lost, self.untried, stopped, cost,
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
        return [(self.likely.surest if self._asks else None) or self._nearest()]

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
        kept: list[FoundPlan] = []
        for one in self._firsts(new):
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
            other = self._first_good(amounts, _MOST_FOR_OTHERS, self._chosen_quickly)
            if other is None:
                break
            found.append(other)
        return found

    @property
    def _asks(self) -> bool:
        """Whether a chance is asked for that can be told."""
        return self.doubtful and self.means.chance is not None

    def _firsts(self, proposed: Sequence[Candidates]) -> list[FoundPlan]:
        """The best plan that holds of each support, best first; a chance that is asked the very best surely has."""
        # One batch for the first plans of all supports: small ones would take longer, each by itself.
        heads = [one.amounts[: _BATCHES[0]] for one in proposed if len(one.amounts)]
        if heads:
            self.verified(np.concatenate([np.zeros((1, len(self.means.amounts))), *heads]))
        firsts = {one.support: (one, self._first_good(one.amounts, _MOST_VERIFIED, self._chosen)) for one in proposed}
        while True:
            there = {plan.amounts.tobytes(): one for one, plan in firsts.values() if plan is not None}
            found = in_order(self.means, [plan for _, plan in firsts.values() if plan is not None])
            if not found or not self._asks or self.likely.is_tried(found[0]):
                return found
            one = there[found[0].amounts.tobytes()]
            firsts[one.support] = one, self._first_good(one.amounts, _MOST_VERIFIED, self.likely.first_tried)

    def _first_good(self, amounts: Array, most: int, choose: Callable[[Array], FoundPlan | None]) -> FoundPlan | None:
        """What is chosen of these plans (N, k) from the first that holds on; solved in batches up to so many."""
        first, tries = 0, 0
        while first < min(len(amounts), most):
            here = amounts[first : first + _BATCHES[min(tries, len(_BATCHES) - 1)]]
            self.progress("verifying", first, len(amounts))
            holding = np.flatnonzero(self.verified.holding(here))
            if holding.size:
                return choose(amounts[first + holding[0] :])
            first, tries = first + len(here), tries + 1
        self.untried += max(len(amounts) - first, 0)
        return None

    def _chosen(self, amounts: Array) -> FoundPlan | None:
        """One of these plans (N, k), the first of which holds; with the chance asked for, if only by a guess."""
        return self._chosen_quickly(amounts) or self.likely.first_tried(amounts)

    def _chosen_quickly(self, amounts: Array) -> FoundPlan | None:
        """The same, but none where no guess gives the chance asked for."""
        if self._asks:
            return self.likely.first_guessed(amounts)
        return self.verified.told(amounts[0]) if not self.doubtful or self.best_only else self.likely.surest_of(amounts)

    def _nearest(self) -> FoundPlan:
        """The plan with the best worst margin: from the best that was looked at, on in steps of the grid."""
        as_measured = self.verified.told(np.zeros(len(self.means.amounts)))
        here = [one.nearest for one in self.proposed if len(one.nearest)]
        if not here:
            return as_measured
        amounts = np.concatenate(here)
        worst = self.verified.worst(amounts)
        at, now = amounts[np.argmax(worst)], float(worst.max())
        for _ in range(50):
            around = self._neighbours(at)
            worst = self.verified.worst(around)
            if not worst.max(initial=-np.inf) > now:
                break
            at, now = around[np.argmax(worst)], float(worst.max())
        return self.verified.told(at) if now > as_measured.worst else as_measured

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
        plans = np.array(found).reshape(len(found), len(amounts))
        return np.asarray(plans[self.means.permitted(plans)])

    def _lines(self, best: FoundPlan) -> dict[int, Array]:
        """For each amount that a plan which holds uses, by its place: plans (N, k) with every value of it."""
        lines = {}
        for i in np.flatnonzero(best.amounts).tolist() if best.holds else ():
            lines[i] = np.repeat(best.amounts[None], self.means.amounts[i].values.size, axis=0)
            lines[i][:, i] = self.means.amounts[i].values
        return lines

    def _windows(self, best: FoundPlan, lines: Mapping[int, Array]) -> tuple[tuple[float, float] | None, ...]:
        """How far each amount of a plan that holds may go, the others unchanged; None for one that it does not use."""
        found: list[tuple[float, float] | None] = [None] * len(best.amounts)
        for i, plans in lines.items():
            holds = self.verified.holding(plans) & self.means.permitted(plans)
            found[i] = stretch_around(plans[:, i], holds, best.amounts[i])
        return tuple(found)

    def _trade_off(self, *besides: Array) -> tuple[FoundPlan, ...]:
        """The plan with the best worst margin for each ride height, or number of parts where no height is chosen.

        besides: plans (N, k) that are solved in the same batch.
        """
        looked_at = {one.support for one in self.proposed}
        if self.means.combinations <= _MOST_FOR_TRADE_OFF:
            rest = (one for one in self.means.supports if one not in looked_at)
            self.proposed += [candidates(self.means, self.look, one) for one in rest]
        here = [one for one in self.proposed if len(one.nearest)]
        if not here:
            return ()
        amounts = np.concatenate([one.nearest for one in here])
        chosen = nearest(self.means, amounts, np.concatenate([one.worst for one in here]), _OF_EACH)
        self.verified(np.concatenate([amounts[chosen], *besides]))
        amounts, worst = self.verified.all_known()
        by = place_of(self.means, amounts)
        best = [np.flatnonzero(by == one)[np.argmax(worst[by == one])] for one in np.unique(by)]
        return tuple(self.verified.told(amounts[i]) for i in best)


def _support(one: FoundPlan) -> set[int]:
    return set(np.flatnonzero(one.amounts).tolist())
