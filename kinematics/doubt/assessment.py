"""Doubt of measured points carried through to every number of an axle: to first order, and by Monte Carlo."""

from collections.abc import Hashable, Iterator, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field
from typing import Any, TypeVar

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.given_numbers import count
from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.limits import Limits, Over
from kinematics.car.nearest_names import unknown
from kinematics.car.uncertainty import Doubt
from kinematics.doubt.axle_doubt import doubt_of
from kinematics.doubt.perturbed import perturbed
from kinematics.doubt.question import NumberAt, Place, Question, by_place
from kinematics.judging.verdict import margins
from kinematics.motion.moving_axle import MovingAxle
from kinematics.numbers.named_values import NamedValues
from kinematics.numbers.quantity import Dimension, ReportedNumber
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.arguments import refuse_many_cars, refuse_no_executor, refuse_no_limits, refuse_other
from kinematics.sweeps.asked import Asked, made_ready
from kinematics.sweeps.body import Sweep
from solvers.read_only import read_only
from solvers.spread import FirstOrder, Shape, Spread, Track, monte_carlo, slopes
from solvers.tangents import seeded
from solvers.vectors import Array, Column

NORMAL_95 = 1.959964  # standard deviations either way for 95 % of a normal distribution (JCGM 100:2008, table G.1)
Judged = tuple[str, Over]
ALL_LIMITS: Judged = ("all limits", "ride height")
EXACT = 1e-9  # mm, rad, rad/mm: a number with a standard deviation below it is touched by no measurement
_HOLDS = "holds"
_Key = TypeVar("_Key", bound=Hashable)


@dataclass(frozen=True)
class Bands:
    """Low and high ends ([2,] S) of numbers' 95 % intervals, by quantity, along a curve's driver (S,) [mm or rad]."""

    at: Array
    ends: Mapping[str, tuple[Array, Array]]


@dataclass(frozen=True, repr=False)
class Chances:
    """What a Monte Carlo found: each number's spread, and the part of the drawn cars in which each limit holds.

    holding: by quantity and where it is judged; under ALL_LIMITS, all together. Empty if there are no limits.
    spread: its `mean`, `standard_deviation`, `interval()` and `quantile(p)`, in mm and radians ([2,] S).
    """

    draws: int
    seed: int
    spread: Mapping[NumberAt, Spread]
    holding: Mapping[Judged, float]

    def __repr__(self) -> str:
        hold = f", all limits hold in {self.holding[ALL_LIMITS]:.0%}" if self.holding else ""
        return f"<{self.draws} cars drawn{hold}>"


@dataclass(frozen=True, repr=False)
class Assessment(NamedValues[NumberAt]):
    """An axle's sweeps as measured, and how far each of their numbers can be trusted.

    Numbers are looked up by where and what: `study["bump", "camber"]` ([2,] S), `study.band(("bump", "camber"))`.

    first: value ([2,] S) and slopes (m, [2,] S) of every number, in the order of the m `doubt.sources`. curves: the
    sweeps in bump and in roll, finely, as they are drawn.
    """

    axle: Axle
    doubt: Doubt
    question: Question
    sweeps: Mapping[Place, Sweep]
    first: Mapping[NumberAt, FirstOrder]
    chances: Chances | None = None
    curves: Mapping[Place, Sweep] = field(default_factory=dict)

    def __repr__(self) -> str:
        axle, places = self.axle, ", ".join(self.sweeps)
        drawn = "" if self.chances is None else f", {self.chances.draws} cars drawn"
        where = f"<doubt of a {axle.name} {axle.suspension.name} from {len(self.doubt.sources)} sources{drawn}: "
        return f"{where}{len(self.first)} numbers at {places}>"

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """One row for each place, number, side and state: value, 95 % either way to first order, and ends of the band.

        at: the travel, roll or rack travel of that state. Of drawn cars also their mean and standard deviation.
        """
        parts = [part for asked in self for part in self._parts(asked, unit)]
        return {name: np.concatenate([part[name] for part in parts]) for name in (parts[0] if parts else ())}

    def _parts(self, asked: NumberAt, unit: LengthUnit) -> Iterator[dict[str, Column]]:
        place, key = asked
        number, scale, sweep = QUANTITIES[key], self._scale(asked, unit), self.sweeps[place]
        driver, at = next(iter(sweep.asked.items()))
        turned = Dimension.ANGLE if driver == "roll" else Dimension.LENGTH
        low, high = self.band(asked)
        numbers = {"value": self[asked], "either_way_95": self.half_width_95(asked), "low_95": low, "high_95": high}
        if self.chances is not None:
            drawn = self.chances.spread[asked]
            numbers |= {"drawn_mean": drawn.mean, "drawn_standard_deviation": drawn.standard_deviation}
        for side, name in enumerate(SIDE_NAMES if number.per_side else ("",)):
            texts = {"place": place, "number": key, "side": name, "unit": number.dimension.unit(unit)}
            yield {
                **{what: np.full(at.size, text) for what, text in texts.items()},
                "at": at * turned.scale(unit),
                **{what: (one[side] if name else one) * scale for what, one in numbers.items()},
            }

    def _by_key(self) -> Mapping[NumberAt, Array]:
        return {asked: one.value for asked, one in self.first.items()}

    def _number(self, key: NumberAt) -> ReportedNumber:
        return self.about(key[1])

    def _refuse_unknown(self, asked: NumberAt) -> None:
        if asked not in self:
            raise unknown(asked, self.first, "number")

    def half_width_95(self, asked: NumberAt) -> Array:
        """How far either way of a number 95 % of such measurements lie ([2,] S), to first order."""
        self._refuse_unknown(asked)
        return NORMAL_95 * self.first[asked].standard_deviation

    def band(self, asked: NumberAt) -> tuple[Array, Array]:
        """Ends of a number's 95 % interval ([2,] S each): by Monte Carlo if there was one, else to first order."""
        self._refuse_unknown(asked)
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
    ready: MovingAxle | None = None,
    cars: MovingAxle | None = None,
) -> Assessment | None:
    """How far to trust an axle's numbers: to first order, and by Monte Carlo where draws are asked.

    How well its points are known stands in its car file; None if the file does not say. Counted besides is what else it
    says so of, as `axle_doubt.doubt_of` has it. limits: such as `car.limits`.
    draws: how many cars as they might be are drawn, of which `chances` tells how often the limits hold. seed: the same
    one draws the same cars. executor: a pool such as ProcessPoolExecutor(2) shares the cars out, with the same results
    to the last bit. track: is given the numbers of the blocks of cars and yields them, as a progress bar does.
    ready, cars: the axle and its `doubtful_cars`, where they are ready to move over all that is asked already.
    """
    refuse_many_cars(axle, "assess")
    refuse_other(question, Question, "assess takes a Question, such as Question(travel, roll)")
    refuse_no_limits(limits, "assess")
    refuse_no_executor(executor)
    draws, seed = count(draws, "draws"), count(seed, "seed")
    doubt = doubt_of(axle, limits)
    if doubt is None:
        return None
    first = slopes(by_place(question.sweeps(cars or doubtful_cars(axle, *question.asked, limits=limits))))
    chances = None
    if draws:
        normal: list[Shape] = ["normal"] * len(doubt.sources)
        study = AxleStudy(axle, doubt, question, limits)
        spread = monte_carlo(study, normal, draws, seed, track=track, executor=executor)
        holding = {key[1]: float(one.mean) for key, one in spread.items() if key[0] == _HOLDS}
        numbers = {key: one for key, one in spread.items() if key[0] != _HOLDS}
        chances = Chances(draws, seed, numbers, holding)
    own = ready or question.ready(axle)
    return read_only(Assessment(axle, doubt, question, question.sweeps(own), first, chances, question.curves(own)))


def doubtful_cars(axle: Axle, *asked: Asked, limits: Limits | None = None) -> MovingAxle:
    """An axle that states a doubt, once for each source of it and with its tangent, ready for all that is asked.

    The sources are those of `doubt_of` the axle in these limits. Cars as they might be are other linkages than the one
    measured: all are traced as one batch.
    """
    doubt = doubt_of(axle, limits)
    assert doubt is not None  # asked only of axles that state one
    return made_ready(perturbed_axles(axle, doubt, seeded(np.zeros(len(doubt.sources)))), *asked)


def half_widths_95(values: Mapping[_Key, Array]) -> dict[_Key, Array]:
    """95 % way to first order of numbers of `doubtful_cars` (sources, [2,] S), by key ([2,] S); NaN where infinite."""
    return {key: NORMAL_95 * one.standard_deviation for key, one in slopes(values).items()}


def bands_95(at: Array, values: Mapping[str, Array]) -> Bands:
    """Bands to first order of numbers of `doubtful_cars` (sources, [2,] S) along a curve's driver (S,)."""
    first = slopes(values)
    ways = {key: NORMAL_95 * one.standard_deviation for key, one in first.items()}
    return Bands(at, {key: (one.value - ways[key], one.value + ways[key]) for key, one in first.items()})


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
