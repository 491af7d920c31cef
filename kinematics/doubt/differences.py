"""The doubt of what a plan changes: errors common to the car before and after cancel."""

from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.limits import Limits
from kinematics.car.parts_known import parts_told
from kinematics.car.uncertainty import Doubt
from kinematics.doubt.amounts import (
    AmountSources,
    PartHeights,
    amount_sources,
    heights_off,
    made_off,
    part_heights,
)
from kinematics.doubt.assessment import ALL_LIMITS, NORMAL_95, Judged, perturbed_axles
from kinematics.doubt.axle_doubt import doubt_of, of_parts, share_apart
from kinematics.doubt.question import AT_RIDE_HEIGHT
from kinematics.judging.verdict import margins
from kinematics.numbers.quantity import Where
from kinematics.numbers.registry import keys_shown, quantities_of
from kinematics.planning.other_springs import limits_after
from kinematics.planning.plans import AS_MEASURED, Off, Plan, axle_after, settled
from kinematics.planning.rake import rake_base
from kinematics.planning.settling import MeasuredSprings
from solvers.spread import FirstOrder, Shape, Spread, Track, first_order, monte_carlo
from solvers.vectors import Array, Flags

COMPARED = keys_shown(Where.IN_PLAN_DOUBT)
_VALUE, _CHANGE, _HOLDS, _POSSIBLE = "value", "change", "holds", "possible"


@dataclass(frozen=True)
class PlanDoubt:
    """A plan's numbers at ride height, and how sure they are.

    value, change: by quantity, after the plan, and compared with the car as measured (empty for that car itself).
    spread: of the change, by Monte Carlo. holding: part of the drawn cars in which each limit holds; possible: in which
    the plan can be put together.
    """

    plan: Plan
    value: Mapping[str, FirstOrder]
    change: Mapping[str, FirstOrder]
    spread: Mapping[str, Spread]
    holding: Mapping[Judged, float]
    possible: float

    def surer(self, key: str) -> float:
        """How many times smaller the change's doubt is than the number's own; infinite if the change is exact."""
        own, change = (float(one[key].standard_deviation.max()) for one in (self.value, self.change))
        return own / change if change > 0.0 else np.inf

    def half_width_95(self, key: str) -> tuple[Array, Array]:
        """Half of the 95 % interval of a number and of its change ([2,] 1), to first order."""
        value, change = (NORMAL_95 * one[key].standard_deviation for one in (self.value, self.change))
        return value, change


@dataclass(frozen=True)
class PlanStudy:
    """Settled plans tried on an axle, the first as measured, as a function of its m sources of doubt and of the plans'.

    doubt: of the axle's points and the car's parts. limits: of each plan; empty where only numbers are asked for.
    amounts: of each plan, whose sources follow the axle's one plan after the other; heights: what the parts do to each
    plan's.
    """

    axle: Axle
    doubt: Doubt
    plans: tuple[Plan, ...]
    keys: tuple[str, ...]
    limits: tuple[Limits, ...] = ()
    base: float | None = None
    amounts: tuple[AmountSources, ...] = ()
    heights: tuple[PartHeights, ...] = ()

    @property
    def count(self) -> int:
        """How many sources there are."""
        return len(self.doubt.sources) + sum(map(len, self.amounts))

    def __call__(self, sources: Array) -> dict[Any, Array]:
        """Numbers after each plan and their changes, for sources (..., count); with limits, also whether they hold."""
        begin = len(self.doubt.sources)
        cars = perturbed_axles(self.axle, self.doubt, sources[..., :begin])
        parts = of_parts(self.axle, self.doubt)
        names, of_part = self.doubt.sources[parts], sources[..., parts]
        off = [heights_off(own, names, of_part) for own in self.heights] or [[] for _ in self.plans]
        for place, own in enumerate(self.amounts):
            off[place] += made_off(own, sources[..., begin : begin + len(own)])
            begin += len(own)
        apart = [share_apart(self.axle, one, names, of_part) for one in self.limits]
        return _tried(cars, self.plans, off, self.keys, self.limits, self.base, apart)


def plan_doubts(
    car: Car,
    axle: Axle,
    plans: Sequence[Plan],
    limits: Limits,
    *,
    draws: int,
    seed: int,
    track: Track = iter,
    executor: Executor | None = None,
) -> list[PlanDoubt]:
    """Carry an axle's doubt, and that of the plans' amounts, through plans, the car as measured first.

    So is that of springs, weights and body where the file says how well they are known, to first order: of the ride
    heights that springs set, of each plan's balanced outer share, and of what is told by wheelbase or the centre of
    gravity's height. Neither settled height nor share shifts with the measured points.

    All plans are tried on the same drawn cars. track, executor: as in `solvers.spread.monte_carlo`. Raises ValueError
    if the axle states no doubt.
    """
    doubt = doubt_of(axle, also=[str(part) for part, _ in parts_told(car)])
    if doubt is None:
        raise ValueError(f"the {axle.name} axle states no doubt")
    springs = MeasuredSprings(car)
    tried = (AS_MEASURED, *(settled(car, plan, springs) for plan in plans))
    both = list(zip(plans, tried[1:], strict=True))
    amounts = ((), *(amount_sources(car, plan, after, springs) for plan, after in both))
    heights: tuple[PartHeights, ...] = ({}, *(part_heights(car, plan, after) for plan, after in both))
    keys = tuple(key for key in COMPARED if key in quantities_of(axle))
    study = PlanStudy(axle, doubt, tried, keys, base=rake_base(car), amounts=amounts, heights=heights)
    first = first_order(study, study.count)
    of_each = tuple(limits_after(limits, car, plan.changes, springs) for plan in tried)
    normal: list[Shape] = ["normal"] * study.count
    spread = monte_carlo(replace(study, limits=of_each), normal, draws, seed, track=track, executor=executor)
    return [
        PlanDoubt(
            plan,
            _of(first, i, _VALUE),
            _of(first, i, _CHANGE),
            _of(spread, i, _CHANGE),
            {key: float(one.mean) for key, one in _of(spread, i, _HOLDS).items()},
            float(spread[i, _POSSIBLE].mean),
        )
        for i, plan in enumerate([AS_MEASURED, *plans])
    ]


def _of(found: Mapping[Any, Any], index: int, what: str) -> dict[Any, Any]:
    return {key[2]: one for key, one in found.items() if key[:2] == (index, what)}


def _tried(
    cars: Axle,
    plans: Sequence[Plan],
    off: Sequence[Off],
    keys: Sequence[str],
    limits: Sequence[Limits],
    base: float | None,
    apart: Sequence[Array],
) -> dict[Any, Array]:
    found: dict[Any, Array] = {}
    for i, plan in enumerate(plans):
        axle, fits = axle_after(cars, plan, base, off[i]) if i else (cars, np.ones(cars.batch_shape, dtype=bool))
        axle = replace(axle, outer_share_apart=apart[i]) if limits else axle
        ready = AT_RIDE_HEIGHT.ready(axle, limits[i].working if limits else None)
        sweep = AT_RIDE_HEIGHT.sweeps(ready)["ride height"]
        for key in keys:
            value = found[i, _VALUE, key] = _where(fits, sweep[key])
            if i:
                found[i, _CHANGE, key] = value - found[0, _VALUE, key]
        if limits:
            holds = {key: fits & (margin >= 0.0) for key, margin in margins(axle, limits[i], ready).items()}
            holds |= {ALL_LIMITS: np.all(list(holds.values()), axis=0)} if holds else {}
            found |= {(i, _HOLDS, key): np.asarray(one, dtype=float) for key, one in holds.items()}
            found[i, _POSSIBLE] = np.asarray(fits, dtype=float)
    return found


def _where(fits: Flags, values: Array) -> Array:
    return np.where(fits.reshape(*fits.shape, *[1] * (values.ndim - fits.ndim)), values, np.nan)
