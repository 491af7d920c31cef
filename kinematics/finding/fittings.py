"""Combinations of springs and bars: which of them lean the car as wanted, and the car and its limits with each."""

from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from kinematics.car.car import Car
from kinematics.finding.means import Means
from kinematics.finding.pieces import PLACES, Fitting, OnSprings, Piece
from kinematics.loads.readiness import NotReadyError
from kinematics.loads.report import whole_car
from kinematics.loads.shelf import BarChoice, Ranking, Shelf, SpringChoice, rank
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.plans import Plan, carry_out
from kinematics.planning.settling import MeasuredSprings, rigged

_Names = tuple[str, str, str, str]  # as a ranking has them: front spring, rear spring, front bar, rear bar


class NoneLeansSoError(ValueError):
    """No combination of springs and bars leans the car as wanted; nearest: what comes nearest, if any stands."""

    def __init__(self, nearest: Fitting | None) -> None:
        super().__init__("no combination of springs and bars leans the car as wanted")
        self.nearest = nearest


@dataclass(frozen=True)
class Sorted:
    """Combinations that lean the car as wanted, and how many do not, or hold it up nowhere."""

    fittings: tuple[Fitting, ...]
    outside: int
    without_balance: int


def sorted_by_lean(car: Car, means: Means, executor: Executor | None) -> Sorted:
    """Rank all combinations that the means allow by how the car as measured leans with them, packed to its height.

    NotReadyError says what the car lacks for its balance.
    """
    ranking = rank(whole_car(car), _shelf(means), executor=executor)
    places = {names: i for i, names in enumerate(ranking.names)}
    every = [(_with_lean(one, ranking, places[names]), places[names]) for names, one in _every(car, means)]
    solved = [(one, i) for one, i in every if ranking.solved[i]]
    good = tuple(one for one, i in solved if ranking.outside[i] <= 0.0)
    if not good:
        nearest = min(solved, key=lambda one: float(ranking.outside[one[1]]), default=(None, 0))
        raise NoneLeansSoError(nearest[0])
    return Sorted(good, len(solved) - len(good), len(every) - len(solved))


def _shelf(means: Means) -> Shelf:
    own: dict[tuple[str, str], list[Piece]] = {place: [] for place in PLACES}
    for one in means.pieces:
        own[one.place].append(one)
    front, rear = (tuple(SpringChoice(one.name, one.change.by) for one in own[place]) for place in PLACES[:2])
    front_bars, rear_bars = (tuple(BarChoice(one.name, one.change.by) for one in own[place]) for place in PLACES[2:])
    return Shelf(front, rear, front_bars, rear_bars, means.lean)


def _every(car: Car, means: Means) -> list[tuple[_Names, Fitting]]:
    """Every combination of not too many parts, what is fitted first, with its names as a ranking has them."""
    choices: list[list[Piece | None]] = []
    farthest: list[float] = []
    for place in PLACES:
        own = [one for one in means.pieces if one.place == place]
        choices.append([None, *own])
        farthest.append(max((abs(one.change.by - _fitted(car, place)) for one in own), default=0.0))
    found = []
    for chosen in product(*choices):
        pieces = tuple(one for one in chosen if one is not None)
        if means.most_parts is None or len(pieces) <= means.most_parts:
            size = sum(
                abs(one.change.by - _fitted(car, place)) / most
                for one, place, most in zip(chosen, PLACES, farthest, strict=True)
                if one is not None and most > 0.0
            )
            one = Fitting(pieces, size)
            front_spring, rear_spring, front_bar, rear_bar = (one.at(place) for place in PLACES)
            found.append(((front_spring, rear_spring, front_bar, rear_bar), one))
    return found


def _fitted(car: Car, place: tuple[str, str]) -> float:
    """The rate of what is fitted at a place [N/mm]; none where no bar is."""
    loads = car.axle(place[0]).loads
    if loads is None:
        return 0.0
    if place[1] == "spring rate":
        return float(np.mean(loads.spring.rate))
    return 0.0 if loads.bar is None else loads.bar.rate


def _with_lean(one: Fitting, ranking: Ranking, place: int) -> Fitting:
    return replace(one, gradient=float(ranking.gradient[place]), front_share=float(ranking.front_share[place]))


def on_springs(car: Car, plans: Sequence[Plan]) -> list[OnSprings | None]:
    """How the car stands and leans after each plan, geometry and all; None where that is not known."""
    springs = MeasuredSprings(car)
    done = zip(plans, carry_out(car, plans, springs), strict=True)
    return [_on_springs(car, axles, plan, springs) for plan, axles in done]


def _on_springs(car: Car, axles: Mapping[str, ChangedAxle], plan: Plan, springs: MeasuredSprings) -> OnSprings | None:
    if any(one.refusals for one in axles.values()):
        return None
    try:
        found = rigged(car, axles, plan.changes, springs)
        alone = rank(found.car, Shelf())
    except NotReadyError:
        return None
    if not alone.solved[0]:
        return None
    return OnSprings(float(alone.gradient[0]), float(alone.front_share[0]), found.packing)
