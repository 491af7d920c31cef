"""A car on springs and bars of other rates, and what its limits are with them."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from kinematics.car.car import Car
from kinematics.car.limits import Limits
from kinematics.car.springs_and_bars import AxleLoads, Part
from kinematics.loads.balanced_share import with_balanced_shares
from kinematics.loads.readiness import NotReadyError
from kinematics.loads.setup import AxleSetup
from kinematics.loads.working_states import with_working_states
from kinematics.planning.changes import LOAD_CHANGES, Change
from kinematics.planning.settling import MeasuredSprings, fitted, is_held

BY_RATE = ("spring rate", "bar rate")


def told_by_no_car(changes: Sequence[Change]) -> list[str]:
    """The kinds of change that a car file cannot tell: of springs, bars and ballast all but rates at a known height."""
    kinds = {one.what for one in changes}
    return sorted(kinds & (set(LOAD_CHANGES) - (set(BY_RATE) if is_held(changes) else set())))


def car_on(car: Car, changes: Sequence[Change], measured: Sequence[AxleSetup]) -> Car:
    """The car on paper with the rates that changes fit, packed to its measured height; nothing else of them.

    Springs are as long when free, and when coil bound, as those that they replace, as in plans. measured: the car's
    own. NotReadyError where these cannot carry it.
    """
    if not any(one.what in BY_RATE for one in changes):
        return car
    axles = []
    for axle, setup in zip(car.axles, measured, strict=True):
        loads, own = setup.loads, fitted(changes, axle.name)
        if own.rate is not None:
            loads = replace(loads, spring=replace(loads.spring, rate=np.full(2, own.rate)))
            loads = replace(loads, known_to=_without(loads, Part.SPRING_RATE))
        if own.bar is not None and loads.bar is not None:
            loads = replace(loads, bar=replace(loads.bar, rate=own.bar))
            loads = replace(loads, known_to=_without(loads, Part.BAR_RATE))
        axles.append(replace(axle, loads=loads))
    changed = replace(car, axles=tuple(axles))
    _ = MeasuredSprings(changed).setups
    return changed


def _without(loads: AxleLoads, part: Part) -> Mapping[Part, float]:
    """How well the other parts are known; of what a plan fits instead of one, only the plan says so."""
    return {other: known_to for other, known_to in loads.known_to.items() if other is not part}


def limits_on(limits: Limits, car: Car) -> Limits:
    """A car's limits with other springs under it: what its balance decides of them is found anew."""
    limits = with_working_states(limits, car)
    return with_balanced_shares(limits, car) if limits.outer_share_by_axle else limits


def limits_after(limits: Limits, car: Car, changes: Sequence[Change], springs: MeasuredSprings) -> Limits:
    """Limits as a plan's rates make them; as they are where it fits none, or the car's balance decides none of them."""
    if not any(one.what in BY_RATE for one in changes):
        return limits
    try:
        return limits_on(limits, car_on(car, changes, springs.setups))
    except NotReadyError:
        return limits
