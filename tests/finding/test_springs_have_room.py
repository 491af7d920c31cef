"""Springs' room in a search against what `compare` refuses, plan by plan, on cars that stand high or low (formula).

`compare` puts each plan on its springs and reads their forces; the search reckons lengths for many plans at once.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_array_equal

from kinematics import demo_car
from kinematics.car.car import Car
from kinematics.car.limits import Limit, Limits, WorkingRange
from kinematics.car.springs_and_bars import BumpStop, Line, Spring
from kinematics.finding.chances import tried
from kinematics.finding.check import CheckKind
from kinematics.finding.checks import FEW_STEPS, checks_of
from kinematics.finding.means import Aim, Means
from kinematics.finding.search import find
from kinematics.planning.comparison import compare
from kinematics.planning.refusal import Cause
from tests.finding.planted import amount, means_of

SALOON = "rear_drive_saloon.toml"
SAME = {
    CheckKind.SPRING_SOLID: Cause.SPRING_SOLID,
    CheckKind.SPRING_LOOSE: Cause.SPRING_LOOSE,
    CheckKind.ON_STOP: Cause.CARRIED_BY_STOP,
}
WORKING = WorkingRange(-76.0, 25.0, np.radians(1.0))  # droop to about where the springs come loose
# The usual limits of the heights are out of the way.
ANYWHERE = tuple(Limit(key, -1e4, 1e4, ("ride height",)) for key in ("roll_centre_height", "force_weighted_height"))
NOTHING_ASKED = Limits(WORKING, {"front": (), "rear": ()})


def fitted(axle: str, **more: object) -> Car:
    """The saloon with other springs at one end."""
    car = demo_car(SALOON)
    axles = []
    for one in car.axles:
        assert one.loads is not None
        spring: Spring = replace(one.loads.spring, **(more if one.name == axle else {}))  # type: ignore[arg-type]
        axles.append(replace(one, loads=replace(one.loads, spring=spring)))
    return replace(car, axles=tuple(axles))


CARS = {
    "coils nearly bound": fitted("front", block_length=366.0),
    "a stop near by": fitted("front", bump_stop=BumpStop(20.0, (0.0, 20.0), (0.0, 2000.0))),
    "coils of a told free length nearly bound": fitted("front", free_length=500.0, block_length=402.0),
    "coils by motion ratio nearly bound": fitted("front", line=Line(ratio=0.97), free_length=300.0, block_length=202.0),
    "coils nearly bound behind": fitted("rear", block_length=216.6),
}


def means() -> Means:
    heights = (amount(axle, "ride height", [-40.0, -25.0, -10.0, 15.0]) for axle in ("front", "rear"))
    return means_of(*heights, amount("front", "longer ball joint", [18.0]))


@pytest.mark.campaign
@pytest.mark.parametrize("name", CARS)
def test_what_compare_refuses_is_outside(name: str) -> None:
    car, chosen = CARS[name], means()
    checks = checks_of(car, NOTHING_ASKED, chosen.amounts, FEW_STEPS)
    plans = np.concatenate([chosen.grid(one) for one in chosen.supports])[::6]
    margins = checks.margins(checks(plans))
    outcomes = compare(car, [chosen.plan(one, f"{i}") for i, one in enumerate(plans)], NOTHING_ASKED, []).outcomes[1:]
    refused, asked, bound = 0, 0, 0
    for place, check in enumerate(checks.checks):
        if check.kind in SAME:
            troubles = [
                any(one.cause is SAME[check.kind] and one.axle == check.axle for one in outcome.troubles)
                for outcome in outcomes
            ]
            changed = plans.any(axis=1)  # the car as measured is not refused
            assert_array_equal((margins[:, place] < 0.0)[changed], np.array(troubles)[changed], err_msg=str(check))
            refused, asked = refused + sum(troubles), asked + len(troubles)
            bound += sum(troubles) if check.kind is CheckKind.SPRING_SOLID else 0
    assert 3 < refused < asked - 3
    assert (bound > 0) == ("coils" in name)


@pytest.mark.campaign
def test_what_is_found_can_be_built() -> None:
    """Lowest as far as the stop lets it: `compare` builds it, and not the next step."""
    car = CARS["a stop near by"]
    one = amount("front", "ride height", list(np.arange(-40.0, 0.0, 2.0)))
    limits = Limits(WorkingRange(-25.0, 25.0, np.radians(1.0)), {"front": ANYWHERE})
    found = find(car, means_of(one, aim=Aim.LOWEST), limits)
    assert found.found
    (height,) = found.best.amounts
    assert -30.0 < height < -10.0
    plans = [found.means.plan(np.array([by]), f"{by}") for by in (height, height - 2.0)]
    _, best, next_step = compare(car, plans, limits, []).outcomes
    assert best.buildable
    assert {one.cause for one in next_step.troubles} == {Cause.CARRIED_BY_STOP}


def test_cars_as_they_might_be_have_the_springs_as_measured() -> None:
    car, chosen = CARS["coils nearly bound"], means()
    checks = checks_of(car, NOTHING_ASKED, chosen.amounts, FEW_STEPS)
    plan = np.array([-10.0, -10.0, 18.0])
    found = tried(checks, plan, 5, 1)
    springs = np.isin(checks.column, [i for i, one in enumerate(checks.checks) if one.kind in SAME])
    assert springs.any()
    assert np.abs(found.shifts[:, springs]).max() == 0.0
    assert np.abs(found.shifts[:, ~springs]).max(initial=0.0) >= 0.0


def test_a_car_without_springs_is_not_asked() -> None:
    car = demo_car()
    checks = checks_of(car, car.limits, (amount("front", "ride height", [5.0]),), FEW_STEPS)
    assert not any(one.kind in SAME for one in checks.checks)
