"""Doubt of measured points carried through to every number of an axle: to first order, and by Monte Carlo."""

from collections.abc import Callable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import Any

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.limits import Limits, Over
from kinematics.car.uncertainty import Doubt
from kinematics.doubt.perturbed import perturbed
from kinematics.doubt.question import NumberAt, Place, Question, by_place
from kinematics.judging.verdict import margins
from kinematics.sweeps.body import Sweep
from solvers.spread import FirstOrder, Shape, Spread, Track, first_order, monte_carlo
from solvers.vectors import Array

NORMAL_95 = 1.959964  # standard deviations either way for 95 % of a normal distribution (JCGM 100:2008, table G.1)
Judged = tuple[str, Over]
ALL_LIMITS: Judged = ("all limits", "ride height")
_HOLDS = "holds"


@dataclass(frozen=True)
class Chances:
    """What a Monte Carlo found: each number's spread, and the part of the drawn cars in which each limit holds.

    holding: by quantity and where it is judged; under ALL_LIMITS, all together. Empty if there are no limits.
    """

    draws: int
    seed: int
    spread: Mapping[NumberAt, Spread]
    holding: Mapping[Judged, float]


@dataclass(frozen=True)
class Assessment:
    """An axle's sweeps as measured, and how far each of their numbers can be trusted.

    first: value ([2,] S) and slopes (m, [2,] S) of every number, in the order of the m `doubt.sources`.
    """

    axle: Axle
    doubt: Doubt
    question: Question
    sweeps: Mapping[Place, Sweep]
    first: Mapping[NumberAt, FirstOrder]
    chances: Chances | None = None

    def half_width_95(self, asked: NumberAt) -> Array:
        """How far either way of a number 95 % of such measurements lie ([2,] S), to first order."""
        return NORMAL_95 * self.first[asked].standard_deviation

    def band(self, asked: NumberAt) -> tuple[Array, Array]:
        """Ends of a number's 95 % interval ([2,] S each): by Monte Carlo if there was one, else to first order."""
        if self.chances is not None:
            return self.chances.spread[asked].interval()
        value, way = self.first[asked].value, self.half_width_95(asked)
        return value - way, value + way


@dataclass(frozen=True)
class AxleStudy:
    """An axle's numbers as a function of its m sources of doubt; with limits, also whether they hold."""

    axle: Axle
    doubt: Doubt
    question: Question
    limits: Limits | None = None

    def __call__(self, sources: Array) -> dict[Any, Array]:
        """Every number for sources (..., m) [standard deviations], by place and key; 1 or 0 for each limit."""
        cars = perturbed_axles(self.axle, self.doubt, sources)
        if self.limits is None:
            return dict(by_place(self.question.sweeps(self.question.ready(cars))))
        ready = self.question.ready(cars, self.limits.working)
        holds = {key: margin >= 0.0 for key, margin in margins(cars, self.limits, ready).items()}
        if holds:
            holds[ALL_LIMITS] = np.all(list(holds.values()), axis=0)
        judged = {(_HOLDS, key): np.asarray(one, dtype=float) for key, one in holds.items()}
        return {**judged, **by_place(self.question.sweeps(ready))}


def assess(
    axle: Axle,
    question: Question,
    limits: Limits,
    *,
    draws: int = 0,
    seed: int = 1,
    track: Track = iter,
    executor: Executor | None = None,
) -> Assessment | None:
    """Carry an axle's doubt through to first order, and by Monte Carlo with `draws` cars; None if it states none.

    track, executor: as in `solvers.spread.monte_carlo`.
    """
    doubt = axle.doubt
    if doubt is None:
        return None
    first = first_order(AxleStudy(axle, doubt, question), len(doubt.sources))
    chances = None
    if draws:
        normal: list[Shape] = ["normal"] * len(doubt.sources)
        study = AxleStudy(axle, doubt, question, limits)
        spread = monte_carlo(study, normal, draws, seed, track=track, executor=executor)
        holding = {key[1]: float(one.mean) for key, one in spread.items() if key[0] == _HOLDS}
        numbers = {key: one for key, one in spread.items() if key[0] != _HOLDS}
        chances = Chances(draws, seed, numbers, holding)
    return Assessment(axle, doubt, question, question.sweeps(question.ready(axle)), first, chances)


def half_width_95(axle: Axle, again: Callable[[Axle], Sweep]) -> dict[str, Array]:
    """Half of the 95 % interval, to first order, of every number of a sweep, by key ([2,] S).

    again: makes the sweep of a batch of axles. Empty if the axle states no doubt; NaN where a number is infinite.
    """
    doubt = axle.doubt
    if doubt is None:
        return {}
    first = first_order(lambda sources: again(perturbed_axles(axle, doubt, sources)).values, len(doubt.sources))
    return {key: NORMAL_95 * one.standard_deviation for key, one in first.items()}


def perturbed_axles(axle: Axle, doubt: Doubt, sources: Array) -> Axle:
    """Cars as they might be, along the leading axes of sources (..., m) [standard deviations]."""
    return perturbed(axle, doubt.coordinates, sources @ doubt.influence.T)


def worse_side(deviation: Array) -> tuple[int, str]:
    """Index of the side with the larger deviation, and its name after a comma; no name if both are alike or one."""
    flat = deviation.reshape(-1)
    if flat.size < 2 or np.isclose(flat[0], flat[1], rtol=1e-6):
        return 0, ""
    side = int(flat[1] > flat[0])
    return side, f", {SIDE_NAMES[side]}"
