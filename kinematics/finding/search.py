"""The search for a plan: proposed by a response surface over all plans of the means, verified exactly in order."""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from kinematics.car.car import Car
from kinematics.car.limits import Limits
from kinematics.finding.candidates import Candidates, candidates, height_of, hours_of, order_of, price_of
from kinematics.finding.chances import is_doubtful, tried
from kinematics.finding.checks import EXACT_STEPS, FEW_STEPS, Check, checks_of
from kinematics.finding.means import Aim, Amount, Means
from kinematics.planning.plans import Plan
from kinematics.planning.rules import Rule, hold_against
from solvers.response_surface import ResponseSurface, learn
from solvers.vectors import Array, Flags

_BATCHES = (16, 64, 256, 1024)  # plans verified at once, the first ones alone
_MOST_ALTERNATIVES = 4
_MOST_VERIFIED = 4000  # plans of one support that looked good and were not
_CARS = 400
_SEED = 1
_MOST_TRIED = 12  # plans on cars as they might be
Progress = Callable[[str, int, int], None]


@dataclass(frozen=True)
class FoundPlan:
    """One plan, verified: amounts (k,) and each check's margin (checks,) as a part of its range, negative outside.

    chance: that it holds on the car as it may really be, None where that was not asked for or no doubt is stated.
    """

    plan: Plan
    amounts: Array
    margins: Array
    price: float
    hours: float
    raised: float
    chance: float | None = None

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
        """How many things it changes."""
        return int((self.amounts != 0.0).sum())


@dataclass(frozen=True)
class Forbidden:
    """A rule that took amounts away. would_help: whether a plan holds all once it is lifted, None if not tried."""

    rule: Rule
    amount: Amount
    count: int
    would_help: bool | None = None


@dataclass(frozen=True)
class Search:
    """What was found. best: the plan that holds everything, or else comes nearest (`best.holds` tells).

    alternatives: really different plans that hold too, each changing other things. windows: how far each amount of the
    best plan may go, the others kept [mm]. trade_off: plans with the best worst margin, one for each ride height (or
    number of parts). looked_at: plans of the means; verified: solved exactly; lost: of those, not to be put together.
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
    stopped: bool = False

    @property
    def found(self) -> bool:
        """Whether the best plan holds everything, with the chance asked for where one was."""
        asked = self.means.chance
        return self.best.holds and (asked is None or self.best.chance is None or self.best.chance >= asked)


def find(
    car: Car, means: Means, limits: Limits, *, progress: Progress | None = None, executor: Executor | None = None
) -> Search:
    """Find the best plan of the means that holds every limit, range, stop and joint, and each class rule.

    The same input gives the same plans. An interruption keeps what was found until then. executor: has plans verified
    elsewhere. Raises ValueError where hardly any of the plans can be put together.
    """
    allowed, forbidden = within_rules(car, means)
    run = _Run(car, allowed, limits, progress or _quiet, executor)
    search = run.search()
    if not search.found and not search.stopped:
        lifted = [replace(one, would_help=_helps(car, means, limits, one.rule)) for one in forbidden]
        return replace(search, forbidden=tuple(lifted))
    return replace(search, forbidden=tuple(forbidden))


def within_rules(car: Car, means: Means) -> tuple[Means, list[Forbidden]]:
    """The means without the amounts that a rule forbids, and what was taken away by which."""
    kept, forbidden = [], []
    for amount in means.amounts:
        allowed = np.ones(len(amount.values), dtype=bool)
        counts: dict[int, int] = {}
        for i, value in enumerate(amount.values):
            for breach in hold_against(Plan("", (amount.made(float(value)),)), means.rules, car):
                if not breach.allowed:
                    allowed[i] = False
                    place = means.rules.index(breach.rule)
                    counts[place] = counts.get(place, 0) + 1
        forbidden += [Forbidden(means.rules[place], amount, count) for place, count in counts.items()]
        values = (amount.values[allowed], amount.prices[allowed], amount.hours[allowed])
        kept.append(replace(amount, values=values[0], prices=values[1], hours=values[2]))
    return replace(means, amounts=tuple(kept)), forbidden


def _helps(car: Car, means: Means, limits: Limits, rule: Rule) -> bool:
    """Whether some plan holds everything once a rule is lifted."""
    without = replace(means, rules=tuple(one for one in means.rules if one is not rule))
    allowed, _ = within_rules(car, without)
    return _Run(car, allowed, limits, _quiet, None).search(best_only=True).found


def _quiet(_: str, __: int, ___: int) -> None:
    return


class _Run:
    """One search under way: its checks, its response surface, and the plans verified so far."""

    def __init__(self, car: Car, means: Means, limits: Limits, progress: Progress, executor: Executor | None) -> None:
        self.means, self.progress, self.executor = means, progress, executor
        self.exact = checks_of(car, limits, means.amounts, EXACT_STEPS)
        self.few = checks_of(car, limits, means.amounts, FEW_STEPS)
        self.known: dict[bytes, tuple[Array, Array]] = {}
        self.doubtful = means.chance is not None and is_doubtful(self.exact)

    def search(self, *, best_only: bool = False) -> Search:
        """Look through all plans; with `best_only` for one that holds, no alternatives."""
        means = self.means
        as_measured = self._told(np.zeros(len(means.amounts)))
        best, alternatives, looked, everything, stopped = as_measured, [], 1, [], False
        try:
            surface = self._learn()
            for proposed in self._levels(surface):
                everything += proposed
                looked = 1 + sum(one.looked_at for one in everything)
                found = list(self._found(everything, most=1 if best_only else 1 + _MOST_ALTERNATIVES))
                if found:
                    best, *alternatives = found
                    break
            if not self._good(best):
                best = self._nearest(everything, as_measured)
        except KeyboardInterrupt:
            stopped = True
        windows = tuple(self._window(best, i) for i in range(len(means.amounts)))
        trade_off = () if best_only or stopped else self._trade_off(everything)
        lost = sum(not np.isfinite(numbers).all() for numbers, _ in self.known.values())
        return Search(
            means, self.exact.checks, as_measured, best, tuple(alternatives), windows, trade_off, (),
            looked, len(self.known), lost, stopped,
        )  # fmt: skip

    def _learn(self) -> ResponseSurface | None:
        reach = [np.append(one.values, 0.0) for one in self.means.amounts]
        if not reach or all(one.size == 1 for one in reach):
            return None
        low, high = np.array([one.min() for one in reach]), np.array([one.max() for one in reach])
        self.progress("learning what each change does", 0, 1)
        return learn(self.few, low, high)

    def _levels(self, surface: ResponseSurface | None) -> Iterator[list[Candidates]]:
        """Candidates of all supports: with as many parts at once as must be compared with each other."""
        if surface is None:
            return
        means = self.means
        supports = [one for one in means.supports if all(means.amounts[i].values.size for i in one)]
        by_parts = means.aim is Aim.FEWEST_PARTS
        for _, level in groupby(supports, key=len if by_parts else lambda _: 0):
            level_supports = list(level)
            proposed = []
            for i, support in enumerate(level_supports):
                self.progress("looking through the plans", i, len(level_supports))
                proposed.append(candidates(means, self.few, surface, support))
            yield proposed

    def _found(self, proposed: Sequence[Candidates], most: int) -> Iterator[FoundPlan]:
        """The best plan that holds, then the best of each really different support, best first."""
        firsts = sorted(
            (found for one in proposed if (found := self._first_good(one)) is not None),
            key=lambda one: tuple(order_of(self.means, one.amounts[None])[0]),
        )
        taken: list[set[int]] = []
        for one in firsts:
            support = set(np.flatnonzero(one.amounts).tolist())
            # What another plan does already, with something needless besides, is no alternative.
            if len(taken) < most and not any(earlier <= support for earlier in taken):
                taken.append(support)
                yield one

    def _first_good(self, proposed: Candidates) -> FoundPlan | None:
        first, tries = 0, 0
        while first < min(len(proposed.amounts), _MOST_VERIFIED):
            here = proposed.amounts[first : first + _BATCHES[min(tries, len(_BATCHES) - 1)]]
            self.progress("verifying", first, len(proposed.amounts))
            _, margins = self._verified(here)
            holding = np.flatnonzero((margins >= 0.0).all(axis=1))
            if self.doubtful and holding.size:
                return self._likely(proposed.amounts[first:])
            if holding.size:
                return self._told(here[holding[0]])
            first, tries = first + len(here), tries + 1
        return None

    def _likely(self, amounts: Array) -> FoundPlan | None:
        """The first of these plans (N, k) that holds with the chance asked for, tried on cars as they might be."""
        asked = self.means.chance or 0.0
        numbers, _ = self._verified(amounts[: _BATCHES[-1]])
        at, refused = int(np.flatnonzero((self.exact.margins(numbers) >= 0.0).all(axis=1))[0]), set()
        for _ in range(_MOST_TRIED):
            cars = tried(self.exact, amounts[at], _CARS, _SEED)
            if cars.chances(numbers[at : at + 1])[0] >= asked:
                return self._told(amounts[at])
            refused.add(at)
            chances = cars.chances(numbers)
            chances[list(refused)] = 0.0
            good = np.flatnonzero(chances >= asked)
            at = int(good[0]) if good.size else int(np.argmax(chances))
            if at in refused:
                return None
        return None

    def _good(self, one: FoundPlan) -> bool:
        asked = self.means.chance
        return one.holds and (not self.doubtful or asked is None or (one.chance or 0.0) >= asked)

    def _nearest(self, proposed: Sequence[Candidates], as_measured: FoundPlan) -> FoundPlan:
        """The plan with the best worst margin: from the best that the surface shows, on in steps of the grid."""
        here = [one.nearest for one in proposed if len(one.nearest)]
        if not here:
            return as_measured
        amounts = np.concatenate(here)
        _, margins = self._verified(amounts)
        worst = margins.min(axis=1)
        at, now = amounts[np.argmax(worst)], float(worst.max())
        for _ in range(50):
            around = self._neighbours(at)
            worst = self._verified(around)[1].min(axis=1)
            if not worst.max(initial=-np.inf) > now:
                break
            at, now = around[np.argmax(worst)], float(worst.max())
        found = self._told(at)
        return found if found.worst >= as_measured.worst else as_measured

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
        return np.array(found).reshape(-1, len(amounts))

    def _window(self, best: FoundPlan, which: int) -> tuple[float, float] | None:
        """How far one amount of a plan that holds may go, the others kept; None where it has none."""
        chosen = best.amounts[which]
        if chosen == 0.0 or not best.holds:
            return None
        values = self.means.amounts[which].values
        plans = np.repeat(best.amounts[None], values.size, axis=0)
        plans[:, which] = values
        holds: Flags = np.asarray((self._verified(plans)[1] >= 0.0).all(axis=1))
        low = high = int(np.argmin(np.abs(values - chosen)))
        while low > 0 and holds[low - 1]:
            low -= 1
        while high < values.size - 1 and holds[high + 1]:
            high += 1
        return float(values[low]), float(values[high])

    def _trade_off(self, proposed: Sequence[Candidates]) -> tuple[FoundPlan, ...]:
        """The plan with the best worst margin for each ride height, or number of parts where no height is chosen."""
        here = [one.nearest for one in proposed if len(one.nearest)]
        if not here:
            return ()
        amounts = np.unique(np.concatenate(here), axis=0)
        heights = height_of(self.means, amounts)
        by = np.asarray(heights if np.ptp(heights) > 0.0 else np.count_nonzero(amounts, axis=1), dtype=float)
        worst = self._verified(amounts)[1].min(axis=1)
        best = [np.flatnonzero(by == one)[np.argmax(worst[by == one])] for one in np.unique(by)]
        return tuple(self._told(amounts[i], chance=False) for i in best)

    def _verified(self, amounts: Array) -> tuple[Array, Array]:
        """Exact numbers (N, columns) and margins (N, checks) of plans (N, k); each is solved once."""
        keys = [one.tobytes() for one in amounts]
        new = [i for i, key in enumerate(keys) if key not in self.known]
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

    def _told(self, amounts: Array, *, chance: bool = True) -> FoundPlan:
        numbers, margins = self._verified(amounts[None])
        likely = None
        if chance and self.doubtful:
            likely = float(tried(self.exact, amounts, _CARS, _SEED).chances(numbers)[0])
        one = amounts[None]
        price, hours, raised = (of(self.means, one)[0] for of in (price_of, hours_of, height_of))
        name = ", ".join(f"{a.change.what} {v:+g}" for a, v in zip(self.means.amounts, amounts, strict=True) if v)
        plan = self.means.plan(amounts, name or "as measured")
        return FoundPlan(plan, amounts, margins[0], float(price), float(hours), float(raised), likely)
