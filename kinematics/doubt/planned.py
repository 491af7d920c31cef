"""How sure a car is after a plan, quickly: to first order in its doubt."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.limits import Limits, Over
from kinematics.doubt.amounts import (
    AmountSources,
    PartHeights,
    amount_sources,
    heights_off,
    made_off,
    part_heights,
)
from kinematics.doubt.assessment import half_widths_95, perturbed_axles
from kinematics.doubt.axle_doubt import doubt_of, of_parts
from kinematics.doubt.first_order_chance import LimitChances, first_order_chance
from kinematics.planning.other_springs import limits_after
from kinematics.planning.plans import Plan, axle_after, settled
from kinematics.planning.rake import rake_base
from kinematics.planning.settling import MeasuredSprings
from kinematics.sweeps.asked import made_ready, over_working
from kinematics.sweeps.body import sweep_bump
from solvers.tangents import seeded
from solvers.vectors import Array

_REST = np.zeros(1)


@dataclass(frozen=True)
class PlanSureness:
    """How well a car's numbers are known after a plan, and how likely its limits then hold.

    half_width: 95 % way either way at ride height, by axle and key, of axles that state a doubt. chance: that all
    limits hold; None where an axle that is judged does not say how well it was measured. each: that each limit of such
    an axle holds, by axle, key and where it is judged.
    """

    half_width: Mapping[str, Mapping[str, Array]]
    chance: float | None
    each: Mapping[tuple[str, str, Over], float] = field(default_factory=dict)


def plan_sureness(car: Car, plan: Plan, limits: Limits) -> PlanSureness:
    """Carry the doubt of every axle that states one, and of the plan's amounts, through a plan that can be built.

    With that of the car's parts, as `differences.plan_doubts` counts it. The chance is the product of the axles', as if
    what both share, such as the centre of gravity's height, were independent.
    """
    springs = MeasuredSprings(car)
    tried = settled(car, plan, springs)
    off = _Off(amount_sources(car, plan, tried, springs), part_heights(car, plan, tried))
    limits = limits_after(limits, car, plan.changes, springs)
    known = [axle for axle in car.axles if axle.doubt is not None]
    found = {axle.name: _after(axle, tried, off, limits, rake_base(car)) for axle in known}
    judged = [axle.name for axle in car.axles if limits.of(axle)]
    told = bool(judged) and set(judged) <= set(found)
    chance = math.prod(found[name][1].together for name in judged) if told else None
    each = {(name, *judged_at): one for name, (_, own) in found.items() for judged_at, one in own.each.items()}
    return PlanSureness({name: one[0] for name, one in found.items()}, chance, each)


@dataclass(frozen=True)
class _Off:
    """What comes out otherwise than a plan says, by its amounts and by the car's parts."""

    amounts: AmountSources
    heights: PartHeights


def _after(
    axle: Axle, plan: Plan, off: _Off, limits: Limits, base: float | None
) -> tuple[dict[str, Array], LimitChances]:
    doubt = doubt_of(axle, limits, also=list(off.heights))
    assert doubt is not None  # asked only of axles that state one
    count, parts = len(doubt.sources), of_parts(axle, doubt)
    sources = seeded(np.zeros(count + len(off.amounts)))
    cars = perturbed_axles(axle, doubt, sources[:, :count])
    by_parts = heights_off(off.heights, doubt.sources[parts], sources[:, parts])
    made = [*by_parts, *made_off(off.amounts, sources[:, count:])]
    after, _ = axle_after(cars, plan, base, made) if plan.changes or plan.targets else (cars, None)
    ready = made_ready(after, *over_working(limits.working))
    chance = first_order_chance(ready, limits) if limits.of(axle) else LimitChances(1.0, {})
    return half_widths_95(sweep_bump(ready, _REST).values), chance
