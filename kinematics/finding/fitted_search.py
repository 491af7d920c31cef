"""The search over springs and bars as well: one search for each combination of them, and the best of all.

Combinations are taken in the order of what the best plan with each could be at most, so that the search ends where none
that is left can be better. Nothing is guessed: a combination that is left out could not have been chosen.
"""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace

import numpy as np

from kinematics.car.car import Car
from kinematics.car.limits import Limits
from kinematics.finding.candidates import ASKED, order_of
from kinematics.finding.check import Check
from kinematics.finding.fittings import Sorted, on_springs, sorted_by_lean
from kinematics.finding.found_plans import FittingsTried, FoundPlan, Search
from kinematics.finding.means import Aim, Means
from kinematics.finding.pieces import AS_IT_IS, Fitting, fittings_of
from kinematics.finding.ranking import asked_of_plan, in_order
from kinematics.finding.verified import Progress
from kinematics.loads.readiness import NotReadyError
from kinematics.planning.other_springs import car_on, limits_on
from kinematics.planning.settling import MeasuredSprings

_MOST_ALTERNATIVES = 4
_ENOUGH = 3  # plans to choose from
_MOST_FOR_OTHERS = 8  # combinations searched besides, for as many
_QUITE_ANOTHER = 0.25  # of an amount's range
OneSearch = Callable[[Car, Means, Limits, Progress], Search]


@dataclass
class _Done:
    """Searches made so far, and combinations that cannot carry the car."""

    searches: list[Search] = field(default_factory=list)
    unready: list[NotReadyError] = field(default_factory=list)
    stopped: bool = False


def search_fitted(
    car: Car,
    means: Means,
    limits: Limits,
    progress: Progress,
    executor: Executor | None,
    search: OneSearch,
    *,
    best_only: bool,
) -> Search:
    """Search for plans with each combination of springs and bars; search: for the plans of one car.

    An interruption keeps what was found until then. NoneLeansSoError where no combination leans as wanted;
    NotReadyError says what the car lacks.
    """
    progress("leaning on all springs and bars", 0, 1)
    ranked = sorted_by_lean(car, means, executor)
    done = _Done()
    try:
        _search_each(done, car, means, limits, ranked, progress, search, best_only=best_only)
    except KeyboardInterrupt:
        done.stopped = True
    if not done.searches:
        if done.unready:
            raise done.unready[0]
        raise KeyboardInterrupt
    measured = _as_measured(done, car, means, limits, search)
    joined = _joined(means, done, measured)
    tried = FittingsTried(
        fittings_of(means.pieces), ranked.outside, ranked.without_balance + len(done.unready), len(done.searches)
    )
    return replace(_with_leans(joined, car), fittings=tried)


def _search_each(
    done: _Done,
    car: Car,
    means: Means,
    limits: Limits,
    ranked: Sorted,
    progress: Progress,
    search: OneSearch,
    *,
    best_only: bool,
) -> None:
    """Search with one combination after the other; past where the best can be, for a few to choose from."""
    springs = MeasuredSprings(car).setups
    first = sorted(ranked.fittings, key=lambda one: _at_best(means, one))
    besides = 0
    for i, fitting in enumerate(first):
        best = _best_found(done.searches)
        if best is not None and _at_best(means, fitting) > asked_of_plan(means, best):
            if best_only or besides == _MOST_FOR_OTHERS or len(_to_choose_from(means, done.searches)) >= _ENOUGH:
                return
            besides += 1
        own = replace(means, fitting=fitting, most_parts=_most_geometry(means, fitting, best))
        try:
            changed = car_on(car, [one.change for one in fitting.pieces], springs)
            on_it = limits_on(limits, changed) if fitting.pieces else limits
        except NotReadyError as found:
            done.unready.append(found)
            continue
        done.searches.append(search(changed, own, on_it, _told_of(progress, i, len(first))))
        if done.searches[-1].stopped:
            raise KeyboardInterrupt


def _told_of(progress: Progress, place: int, count: int) -> Progress:
    def tell(what: str, done: int, of: int) -> None:
        progress(f"springs and bars {place + 1} of {count}: {what}", done, of)

    return tell


def _at_best(means: Means, fitting: Fitting) -> tuple[float, ...]:
    """What is asked of plans, as the best one with a combination could have it at most."""
    nothing = np.zeros((1, len(means.amounts)))
    order = order_of(replace(means, fitting=fitting), nothing)[0]
    if means.aim is Aim.LOWEST:
        raising = (one.values for one in means.amounts if one.change.what == "ride height")
        order[0] = sum(min(float(values.min(initial=0.0)), 0.0) for values in raising)
    return tuple(np.round(order[: ASKED[means.aim]], 9).tolist())


def _most_geometry(means: Means, fitting: Fitting, best: FoundPlan | None) -> int | None:
    """How many things may be changed beside springs and bars, by the means and to be no worse than what was found."""
    by_best = best.parts if best is not None and means.aim is Aim.FEWEST_PARTS else None
    bounds = [most for most in (means.most_parts, by_best) if most is not None]
    return max(min(bounds) - len(fitting.pieces), 0) if bounds else None


def _best_found(searches: Sequence[Search]) -> FoundPlan | None:
    """The best plan of those that hold all, with the chance asked for."""
    good = [one.best for one in searches if one.found]
    return in_order(searches[0].means, good)[0] if good else None


def _as_measured(done: _Done, car: Car, means: Means, limits: Limits, search: OneSearch) -> Search:
    """A search that has the car as measured, on its own springs."""
    own = next((one for one in done.searches if not one.means.fitting.pieces), None)
    if own is not None:
        return own
    unchanged = replace(means, fitting=AS_IT_IS, most_parts=0, chance=None)
    return search(car, unchanged, limits, lambda *_: None)


def _joined(means: Means, done: _Done, measured: Search) -> Search:
    """One record of all searches: the best plan, alternatives out of all of them, the best at each place."""
    searches = done.searches
    head = _best_search(searches)
    others = (_told_by(head.checks, own, one) for own, one in _to_choose_from(means, searches)[1:])
    return replace(
        head,
        means=replace(means, fitting=AS_IT_IS),
        as_measured=_told_by(head.checks, measured.checks, measured.as_measured),
        alternatives=tuple(others),
        trade_off=_trade_off(means, [one for search in searches for one in _of_trade_off(search, head.checks)]),
        looked_at=sum(one.looked_at for one in searches),
        verified=sum(one.verified for one in searches),
        lost=sum(one.lost for one in searches),
        untried=sum(one.untried for one in searches),
        stopped=done.stopped,
    )


def _best_search(searches: Sequence[Search]) -> Search:
    """The search with the best plan: of those that hold all the most wanted, else the surest, else the nearest."""
    best = _best_found(searches)
    if best is not None:
        return next(one for one in searches if one.best is best)
    likely = [one for one in searches if one.best.holds]
    if likely:
        return max(likely, key=lambda one: one.best.chance or 0.0)
    return max(searches, key=lambda one: one.best.worst)


def _to_choose_from(means: Means, searches: Sequence[Search]) -> list[tuple[tuple[Check, ...], FoundPlan]]:
    """The best plan and really different ones that hold too, each with the checks that its margins are told by."""
    head = _best_search(searches)
    own = {id(one): search.checks for search in searches for one in (search.best, *search.alternatives)}
    every = [one for search in searches for one in (search.best, *search.alternatives) if one.holds and one.parts]
    others = _different(means, head.best, in_order(means, every)) if head.best.holds else []
    return [(own[id(one)], one) for one in (head.best, *others)]


def _of_trade_off(search: Search, checks: tuple[Check, ...]) -> Iterator[FoundPlan]:
    for one in search.trade_off:
        yield _told_by(checks, search.checks, one)


def _told_by(checks: tuple[Check, ...], own: tuple[Check, ...], one: FoundPlan) -> FoundPlan:
    """A plan with its margins as parts of what other checks count as all: a working range in balance is each car's."""
    scale = np.array([of.scale / to.scale for of, to in zip(own, checks, strict=True)])
    return one if (scale == 1.0).all() else replace(one, margins=one.margins * scale)


def _different(means: Means, best: FoundPlan, plans: Sequence[FoundPlan]) -> list[FoundPlan]:
    """Really different plans, best first: that change other things, then other pieces or by quite other amounts."""
    taken = [best]
    for apart in (_changes_other_things, _changes_otherwise):
        for one in plans:
            if len(taken) <= _MOST_ALTERNATIVES and all(apart(means, one, earlier) for earlier in taken):
                taken.append(one)
    return in_order(means, taken[1:])


def _things(one: FoundPlan) -> set[object]:
    return {*np.flatnonzero(one.amounts).tolist(), *(piece.place for piece in one.fitting.pieces)}


def _changes_other_things(_: Means, one: FoundPlan, earlier: FoundPlan) -> bool:
    """Whether a plan is not an earlier one with something needless besides."""
    return not _things(earlier) <= _things(one)


def _changes_otherwise(means: Means, one: FoundPlan, earlier: FoundPlan) -> bool:
    """Whether a plan changes the same things, but by other pieces or quite other amounts."""
    if _things(one) != _things(earlier):
        return not _things(earlier) < _things(one)
    spans = np.array([np.ptp(np.append(each.values, 0.0)) for each in means.amounts])
    far = (np.abs(one.amounts - earlier.amounts) >= _QUITE_ANOTHER * spans - 1e-9) & (spans > 0.0)
    return one.fitting.pieces != earlier.fitting.pieces or bool(far.any())


def _trade_off(means: Means, plans: Sequence[FoundPlan]) -> tuple[FoundPlan, ...]:
    """The plan with the best worst margin at each ride height, or with so many changes where no height is chosen."""
    by_height = any(one.change.what == "ride height" for one in means.amounts)
    best: dict[float, FoundPlan] = {}
    for one in plans:
        place = one.raised if by_height else float(one.parts)
        if place not in best or one.worst > best[place].worst:
            best[place] = one
    return tuple(best[place] for place in sorted(best))


def _with_leans(search: Search, car: Car) -> Search:
    """Tell how the car stands and leans after the plans that are listed, with all that they change."""
    listed = [search.as_measured, search.best, *search.alternatives]
    stand = on_springs(car, [one.plan for one in listed])
    told = [replace(one, on_springs=stands) for one, stands in zip(listed, stand, strict=True)]
    return replace(search, as_measured=told[0], best=told[1], alternatives=tuple(told[2:]))
