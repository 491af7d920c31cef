"""The working range as a car's springs, bars and weights make it, at the accelerations that its limits name."""

import math
from dataclasses import replace

import numpy as np

from kinematics.car.car import Car
from kinematics.car.limits import Accelerations, InBalance, Limits, Origin
from kinematics.loads.readiness import Lack, Need, NotReadyError
from kinematics.loads.under_load import Manoeuvre, UnderLoad, under_load
from kinematics.sweeps.arguments import refuse_no_car, refuse_no_limits

_LEAST = 1e-3  # mm, rad; a range needs some width
# Of the cornering and of the braking or driving that a tyre does at once: both ends of the circle's diagonal.
_AT_ONCE = math.sqrt(0.5)


def with_working_states(limits: Limits, car: Car) -> Limits:
    """Limits over the working range that a car in balance needs at their accelerations, where these are named.

    Of cornering either way, braking and driving alone, and of each with cornering at the same time, 0.71 of both.
    Travel is what any wheel of the car goes from ride height, roll what the body leans over the hubs of either axle; a
    range that is stated stays. Pitch is not in it, but for what it makes the wheels travel. Where a balance ends before
    what is asked, the range is that up to there, as `in_balance.beyond` says. NotReadyError says what the car lacks.
    """
    refuse_no_limits(limits, "with_working_states")
    refuse_no_car(car, "with_working_states")
    asked = limits.accelerations
    if not asked.said:
        return limits
    working = limits.working
    found = under_load(car, manoeuvres_of(asked))
    reached = found.solved
    if not min(found.last):
        raise NotReadyError([Lack(Need.BALANCE_UNDER_LOAD)])
    each = found.shaped(found.found.travel)
    low, high = _ends(each[:, :, reached])
    together = _ends(each.mean(axis=1)[:, reached])
    working = replace(working, in_balance=InBalance(asked, together, _beyond(found)))
    if working.travel_from is not Origin.STATED:
        working = replace(working, travel_low=low, travel_high=high, travel_from=Origin.BALANCED)
    if working.roll_from is not Origin.STATED and asked.cornering is not None:
        working = replace(working, roll=_most_roll(found), roll_from=Origin.BALANCED)
    return replace(limits, working=working)


def manoeuvres_of(asked: Accelerations) -> tuple[Manoeuvre, ...]:
    """All that a car is put through at accelerations [g]."""
    aside = [side * asked.cornering for side in (1.0, -1.0)] if asked.cornering else []
    ahead = [way * one for way, one in ((-1.0, asked.braking), (1.0, asked.driving)) if one]
    at_once = [Manoeuvre(_AT_ONCE * side, _AT_ONCE * way) for way in ahead for side in aside]
    return (*(Manoeuvre(forward=way) for way in ahead), *(Manoeuvre(side) for side in aside), *at_once)


def _beyond(found: UnderLoad) -> Accelerations | None:
    """The accelerations past which the manoeuvre that ends first has no balance; None where all have one."""
    part, first = min((float(found.parts[last]), place) for place, last in enumerate(found.last))
    if part == 1.0:
        return None
    lateral, forward = part * abs(found.manoeuvres[first].lateral), part * found.manoeuvres[first].forward
    return Accelerations(lateral or None, max(-forward, 0.0) or None, max(forward, 0.0) or None)


def _ends(travel: np.ndarray) -> tuple[float, float]:
    return min(float(travel.min()), -_LEAST), max(float(travel.max()), _LEAST)


def _most_roll(found: UnderLoad) -> float:
    return max(float(np.abs(found.in_springs[:, found.solved]).max()), _LEAST)
