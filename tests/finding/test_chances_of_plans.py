"""The chance of a found plan against a Monte Carlo of its own cars, by another way through plans and another seed."""

import math

import numpy as np

from kinematics import demo_car
from kinematics.car.limits import Limit, Limits, WorkingRange
from kinematics.doubt.assessment import ALL_LIMITS
from kinematics.doubt.differences import plan_doubts
from kinematics.finding.chances import tried
from kinematics.finding.checks import FEW_STEPS, checks_of
from kinematics.finding.means import Means
from kinematics.finding.search import find
from tests.finding.planted import amount

CARS, DRAWS, SEED = 300, 1000, 77
LIMITS = Limits(
    WorkingRange(-12.0, 12.0, math.radians(0.8)),
    {"front": (Limit("roll_centre_height", -15.0, 35.0, ("ride height",)), Limit("camber_gain", -0.1, 0.1))},
)


def means(chance: float | None) -> Means:
    joint = amount("front", "longer ball joint", [12.0, 20.0, 25.0])
    height = amount("front", "ride height", list(np.arange(-10.0, 11.0, 2.0)))
    return Means((joint, height), chance=chance)


def test_chance_of_a_plan() -> None:
    car = demo_car()
    found = find(car, means(None), LIMITS)
    (_, independent) = plan_doubts(car, car.front, [found.best.plan], LIMITS, draws=DRAWS, seed=SEED)
    expected = independent.holding[ALL_LIMITS]
    assert 0.05 < expected < 0.95  # else nothing is compared
    # Four standard deviations of both samples together.
    apart = 4.0 * math.sqrt(expected * (1.0 - expected) * (1.0 / CARS + 1.0 / DRAWS))
    assert found.best.chance is not None
    assert abs(found.best.chance - expected) <= apart


def test_a_chance_that_is_asked_for_takes_a_roomier_plan() -> None:
    car = demo_car()
    plain = find(car, means(None), LIMITS)
    asked = 0.97
    assert (plain.best.chance or 0.0) < asked
    sure = find(car, means(asked), LIMITS)
    assert sure.found
    assert (sure.best.chance or 0.0) >= asked
    assert sure.best.worst > plain.best.worst


def test_neighbouring_plans_are_judged_by_the_same_shifts() -> None:
    car = demo_car()
    few = checks_of(car, LIMITS, means(None).amounts, FEW_STEPS)
    one, other = np.array([20.0, 0.0]), np.array([20.0, 2.0])
    guessed = tried(few, one, CARS, 1).chances(few(other[None]))[0]
    assert abs(guessed - tried(few, other, CARS, 1).chance) < 0.03
