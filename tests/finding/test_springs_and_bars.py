"""Springs and bars chosen together with geometry, against what leaning and comparing each of them alone gives.

Every combination is put on the car by the test, leant by `lean_numbers`, given limits by its own balance, and every
plan of it tried by `compare`: the library's other ways to the same numbers. Which plan is wanted most is the test's.
"""

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import cache
from itertools import product

import numpy as np
import pytest

from kinematics import Car, demo_car
from kinematics.car.limits import Accelerations, Limit, Limits, Origin, WorkingRange
from kinematics.finding.check import CheckKind
from kinematics.finding.fittings import NoneLeansSoError
from kinematics.finding.found_plans import FoundPlan, Search
from kinematics.finding.means import Aim, Means
from kinematics.finding.pieces import Piece
from kinematics.finding.search import find
from kinematics.loads.balanced_share import with_balanced_shares
from kinematics.loads.report import LeanNumbers, lean_numbers, whole_car
from kinematics.loads.shelf import Want
from kinematics.loads.working_states import with_working_states
from kinematics.planning.changes import Change
from kinematics.planning.comparison import Outcome, compare
from kinematics.planning.plans import Plan
from kinematics.planning.refusal import Cause
from kinematics.planning.rules import Rule
from tests.finding.planted import amount, means_of

SALOON = "rear_drive_saloon.toml"
SAME_LEAN = 1e-6  # of a gradient: both ways find the same balance by iteration, as in tests/loads/test_shelf.py
ANYWHERE = tuple(Limit(key, -1e4, 1e4, ("ride height",)) for key in ("roll_centre_height", "force_weighted_height"))
FRONT = Piece("45", Change("front", "spring rate", 45.0), price=100.0)
SOFT = Piece("24", Change("front", "spring rate", 24.0), price=10.0)
REAR = Piece("40", Change("rear", "spring rate", 40.0), price=60.0)
THICK = Piece("thick", Change("front", "bar rate", 58.0), price=80.0)
THIN = Piece("thin", Change("front", "bar rate", 30.0), price=50.0)
Chosen = tuple[Piece, ...]


def saloon(**spring: float) -> Car:
    """The saloon as if it had been measured without doubt; spring: more of what its front springs are."""
    car = demo_car(SALOON)
    axles = [replace(axle, doubt=None) for axle in car.axles]
    assert axles[0].loads is not None
    own = replace(axles[0].loads.spring, **spring)  # type: ignore[arg-type]
    axles[0] = replace(axles[0], loads=replace(axles[0].loads, spring=own))
    return replace(car, axles=tuple(axles))


def standing_on(car: Car, chosen: Chosen) -> Car:
    """The car with other springs and bars: rates alone are another, so that it is packed to stand where it stood."""
    axles = []
    for axle in car.axles:
        loads = axle.loads
        assert loads is not None
        for one in chosen:
            if one.change.axle == axle.name and one.change.what == "spring rate":
                loads = replace(loads, spring=replace(loads.spring, rate=np.full(2, one.change.by)))
            elif one.change.axle == axle.name:
                assert loads.bar is not None
                loads = replace(loads, bar=replace(loads.bar, rate=one.change.by))
        axles.append(replace(axle, loads=loads))
    return replace(car, axles=tuple(axles))


@cache
def leant(chosen: Chosen) -> LeanNumbers:
    return lean_numbers(whole_car(standing_on(saloon(), chosen)))


def combinations(pieces: Sequence[Piece]) -> Iterator[Chosen]:
    places = dict.fromkeys(one.place for one in pieces)
    for chosen in product(*([None, *(one for one in pieces if one.place == place)] for place in places)):
        yield tuple(one for one in chosen if one is not None)


def wide(middle: float) -> tuple[float, float]:
    return middle - 0.01, middle + 0.01


class TestPlanted:
    """One combination leans as wanted and has room; a cheaper one leans so too, and its coils bind."""

    WANTED = Want(gradient=(2.95, 3.3))
    LIMITS = Limits(WorkingRange(-25.0, 25.0, np.radians(1.0)), {"front": ANYWHERE, "rear": ()})

    def found(self, car: Car) -> Search:
        means = Means((amount("front", "ride height", [5.0]),), aim=Aim.PRICE, pieces=(SOFT, FRONT, THIN, THICK))
        return find(car, replace(means, lean=self.WANTED), self.LIMITS)

    def test_it_is_planted(self) -> None:
        low, high = self.WANTED.gradient
        inside = {one for one in combinations((SOFT, FRONT, THIN, THICK)) if low <= leant(one).gradient <= high}
        assert {(SOFT,), (THIN,)} <= inside
        assert () not in inside

    def test_without_a_bound_the_cheap_one_is_found(self) -> None:
        assert self.found(saloon()).best.fitting.pieces == (SOFT,)

    @pytest.mark.campaign
    def test_coils_that_bind_are_not_chosen(self) -> None:
        # As fitted and with the thin bar the same springs stand there; softer ones are pressed farther.
        car = saloon(block_length=345.0)
        soft, own = (
            Plan(name, (Change("front", "ride height", 0.0), *(one.change for one in chosen)))
            for name, chosen in (("soft", (SOFT,)), ("own", (THIN,)))
        )
        _, binds, stands = compare(car, [soft, own], self.LIMITS).outcomes
        assert {one.cause for one in binds.troubles} == {Cause.SPRING_SOLID}
        assert stands.buildable
        search = self.found(car)
        assert search.found
        assert search.best.fitting.pieces == (THIN,)
        assert search.best.price == THIN.price


GEOMETRY = (amount("front", "ride height", [-8.0, 8.0]), amount("front", "longer ball joint", [8.0, 16.0], price=90.0))
PIECES = (FRONT, REAR, THICK)
WANTED = Want(gradient=(2.3, 2.8), front_share=(0.5, 0.62))
TIGHT = Limits(
    WorkingRange(-20.0, 20.0, np.radians(1.5)),
    {
        "front": (
            Limit("roll_centre_height", 18.0, 60.0, ("ride height",)),
            Limit("force_weighted_height", 10.0, 60.0, ("roll",)),
        ),
        "rear": (),
    },
)


def judged(car: Car, limits: Limits, chosen: Chosen, means: Means) -> Iterator[tuple[np.ndarray, Outcome]]:
    """Every plan of a combination, as `compare` sees it, its springs packed to the height that it says."""
    rows = np.concatenate([means.grid(one) for one in means.supports])
    plans = []
    for i, row in enumerate(rows):
        changes = [one.made(float(value)) for one, value in zip(means.amounts, row, strict=True) if value]
        if not any(one.what == "ride height" for one in changes):
            changes.append(Change("front", "ride height", 0.0))
        plans.append(Plan(f"{i}", (*changes, *(one.change for one in chosen))))
    yield from zip(rows, compare(car, plans, limits).outcomes[1:], strict=True)


@cache
def exhaustive() -> list[tuple[tuple[float, ...], Chosen, tuple[float, ...]]]:
    """Every plan that holds, of every combination that leans as wanted: height, parts, change and price, and what."""
    car, means, found = saloon(), means_of(*GEOMETRY), []
    for chosen in combinations(PIECES):
        lean = leant(chosen)
        inside = zip((lean.gradient, lean.front_share), (WANTED.gradient, WANTED.front_share), strict=True)
        if not all(low <= value <= high for value, (low, high) in inside):
            continue
        limits = with_balanced_shares(TIGHT, standing_on(car, chosen))
        for row, outcome in judged(car, limits, chosen, means):
            if outcome.buildable and outcome.holding == len(outcome.findings):
                parts = np.count_nonzero(row) + len(chosen)
                change = abs(row[0]) / 8.0 + abs(row[1]) / 16.0 + len(chosen)  # each piece is the only one of its place
                price = sum(one.price for one in chosen) + (90.0 if row[1] else 0.0)
                found.append(((row[0], parts, change, price), chosen, tuple(row)))
    return found


ORDER = {Aim.FEWEST_PARTS: (1, 2, 3), Aim.LEAST_CHANGE: (2, 1, 3), Aim.PRICE: (3, 1, 2), Aim.LOWEST: (0, 1, 2)}


@cache
def search_for(aim: Aim) -> Search:
    means = replace(means_of(*GEOMETRY, aim=aim), pieces=PIECES, lean=WANTED)
    return find(saloon(), means, with_balanced_shares(TIGHT, saloon()))


@pytest.mark.campaign
@pytest.mark.parametrize("aim", ORDER)
def test_nothing_better_stands_on_any_combination(aim: Aim) -> None:
    every = sorted(exhaustive(), key=lambda one: [round(one[0][i], 9) for i in ORDER[aim]])
    assert 5 < len(every) < 8 * 9 - 5
    numbers, chosen, amounts = every[0]
    best = search_for(aim).best
    assert [numbers[i] for i in ORDER[aim]] == pytest.approx(list(best.order))
    assert (best.fitting.pieces, tuple(best.amounts)) == (chosen, amounts)


@pytest.mark.campaign
@pytest.mark.parametrize("aim", ORDER)
def test_alternatives_hold_and_differ(aim: Aim) -> None:
    search = search_for(aim)
    holding = {(chosen, amounts) for _, chosen, amounts in exhaustive()}
    named = [(one.fitting.pieces, tuple(one.amounts)) for one in (search.best, *search.alternatives)]
    assert len(set(named)) == len(named) > 2
    assert set(named) <= holding
    assert {(one.fitting.pieces, tuple(one.amounts)) for one in search.trade_off if one.holds} <= holding


@pytest.mark.campaign
def test_what_is_counted() -> None:
    inside = sum(
        WANTED.gradient[0] <= leant(one).gradient <= WANTED.gradient[1]
        and WANTED.front_share[0] <= leant(one).front_share <= WANTED.front_share[1]
        for one in combinations(PIECES)
    )
    tried = search_for(Aim.LOWEST).fittings
    assert tried is not None
    assert (tried.count, tried.outside, tried.without_balance) == (8, 8 - inside, 0)
    assert 1 <= tried.searched <= inside


@pytest.mark.campaign
def test_the_lean_told_is_that_of_the_whole_plan() -> None:
    """Geometry changes it too: `compare` tells the same of the plan."""
    best = search_for(Aim.LOWEST).best
    assert best.amounts.any()
    assert best.on_springs is not None
    _, outcome = compare(saloon(), [best.plan], TIGHT).outcomes
    assert [best.on_springs.gradient] == pytest.approx(outcome.values("front", "roll_gradient"), rel=SAME_LEAN)
    assert best.on_springs.gradient != pytest.approx(best.fitting.gradient, rel=1e-3)
    assert best.fitting.gradient == pytest.approx(leant(best.fitting.pieces).gradient, rel=SAME_LEAN)


def limit_margin(search: Search, one: FoundPlan) -> float:
    of_limits = [i for i, check in enumerate(search.checks) if check.kind is CheckKind.LIMIT]
    return float(one.margins[of_limits].min())


@pytest.mark.campaign
def test_the_working_range_in_balance_is_that_of_the_springs() -> None:
    """At the accelerations that limits name, softer or stiffer springs let the car travel and lean another way."""
    car, asked = saloon(), replace(TIGHT, accelerations=Accelerations(cornering=0.6))
    asked = replace(asked, working=WorkingRange(travel_from=Origin.USUAL, roll_from=Origin.USUAL))
    own = with_balanced_shares(with_working_states(asked, car), car)
    means = replace(
        means_of(*GEOMETRY), pieces=(FRONT, THICK), lean=Want(gradient=wide(leant((FRONT, THICK)).gradient))
    )
    search = find(car, means, own)
    assert search.best.fitting.pieces == (FRONT, THICK)
    on_it = standing_on(car, (FRONT, THICK))
    limits = with_balanced_shares(with_working_states(asked, on_it), on_it)
    assert limits.working.roll < 0.95 * own.working.roll
    every = judged(car, limits, (FRONT, THICK), means_of(*GEOMETRY))
    by_compare = {tuple(row): outcome.margin for row, outcome in every}
    assert limit_margin(search, search.best) == pytest.approx(by_compare[tuple(search.best.amounts)], abs=1e-6)
    for one in search.trade_off:
        assert limit_margin(search, one) == pytest.approx(by_compare[tuple(one.amounts)], abs=1e-6)


@pytest.mark.campaign
def test_an_executor_and_a_second_run_give_the_same() -> None:
    means = replace(means_of(*GEOMETRY, aim=Aim.PRICE), pieces=PIECES, lean=WANTED)
    with ThreadPoolExecutor(1) as executor:
        again = find(saloon(), means, with_balanced_shares(TIGHT, saloon()), executor=executor)
    first = search_for(Aim.PRICE)
    assert [one.plan for one in again] == [one.plan for one in first]
    assert [one.margins.tobytes() for one in again] == [one.margins.tobytes() for one in first]


@pytest.mark.campaign
def test_a_stop_keeps_what_was_found() -> None:
    told: list[str] = []

    def stop_at_the_second(what: str, _: int, __: int) -> None:
        told.append(what)
        if what.startswith("springs and bars 2 of"):
            raise KeyboardInterrupt

    means = replace(means_of(*GEOMETRY, aim=Aim.LOWEST), pieces=PIECES, lean=WANTED)
    search = find(saloon(), means, with_balanced_shares(TIGHT, saloon()), progress=stop_at_the_second)
    assert search.stopped
    assert search.fittings is not None
    assert search.fittings.searched >= 1
    assert told[0] == "leaning on all springs and bars"
    assert any(one.startswith("springs and bars 1 of") for one in told)


def test_parts_at_most_count_springs_and_bars() -> None:
    means = replace(means_of(*GEOMETRY, most_parts=1), pieces=PIECES)
    search = find(saloon(), means, with_balanced_shares(TIGHT, saloon()))
    assert all(one.parts <= 1 for one in (search.best, *search.alternatives, *search.trade_off))


def test_a_rule_takes_springs_away() -> None:
    rule = Rule("Springs stay as the maker made them.", ("spring rate",))
    means = replace(means_of(*GEOMETRY, rules=(rule,)), pieces=PIECES, lean=Want(gradient=(2.3, 2.65)))
    search = find(saloon(), means, with_balanced_shares(TIGHT, saloon()))
    assert all(piece.change.what == "bar rate" for one in search for piece in one.fitting.pieces)
    told = {(one.amount.change.axle, one.amount.change.what): one.count for one in search.forbidden}
    assert told == {("front", "spring rate"): 1, ("rear", "spring rate"): 1}


def test_springs_alone_may_be_all_there_is() -> None:
    means = Means((), pieces=PIECES, lean=WANTED)
    open_limits = replace(TIGHT, by_axle={"front": ANYWHERE, "rear": ()})
    search = find(saloon(), means, open_limits)
    assert search.found
    low, high = WANTED.gradient
    singles = [one for one in PIECES if low <= leant((one,)).gradient <= high and leant((one,)).front_share <= 0.62]
    assert search.best.fitting.pieces in [(one,) for one in singles]


def test_wants_that_none_meets_name_the_nearest() -> None:
    means = replace(means_of(*GEOMETRY), pieces=PIECES, lean=Want(gradient=(1.0, 1.5)))
    with pytest.raises(NoneLeansSoError) as told:
        find(saloon(), means, TIGHT)
    stiffest = min(combinations(PIECES), key=lambda one: leant(one).gradient)
    assert told.value.nearest is not None
    assert told.value.nearest.pieces == stiffest
    assert told.value.nearest.gradient == pytest.approx(leant(stiffest).gradient, rel=SAME_LEAN)


@pytest.mark.campaign
def test_compare_judges_a_plan_by_the_balance_of_its_own_springs() -> None:
    """What is found on other springs is the same where `compare` reads it, on the car and limits as measured."""
    car = saloon()
    limits = with_balanced_shares(TIGHT, car)
    search = search_for(Aim.LOWEST)
    listed = [one for one in (search.best, *search.alternatives) if one.fitting.pieces]
    outcomes = compare(car, [replace(one.plan, name=f"{i}") for i, one in enumerate(listed)], limits).outcomes[1:]
    for one, outcome in zip(listed, outcomes, strict=True):
        assert outcome.buildable
        assert outcome.margin == pytest.approx(limit_margin(search, one), abs=1e-6)
    (alone,) = compare(car, [replace(listed[0].plan, name="0")], TIGHT).outcomes[1:]
    assert alone.margin != pytest.approx(outcomes[0].margin, abs=1e-3)
