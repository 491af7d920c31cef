"""The chance of a found plan against a Monte Carlo of its own cars, by another way through plans and another seed."""

import math
import re
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from kinematics import demo_car
from kinematics.car.limits import Limit, Limits, Over, WorkingRange
from kinematics.doubt.assessment import ALL_LIMITS
from kinematics.doubt.differences import plan_doubts
from kinematics.finding.chances import tried
from kinematics.finding.checks import FEW_STEPS, checks_of
from kinematics.finding.means import Means
from kinematics.finding.ranking import AS_SURE
from kinematics.finding.search import find
from kinematics.planning.plans import AS_MEASURED
from kinematics.planning.rules import Rule
from reports.words.finding import rule_words
from tests.finding.planted import amount

CARS, DRAWS, SEED = 300, 1000, 77
HARDLY = 0.05  # a chance that the least change which holds has already
LIMITS = Limits(
    WorkingRange(-12.0, 12.0, math.radians(0.8)),
    {"front": (Limit("roll_centre_height", -15.0, 35.0, ("ride height",)), Limit("camber_gain", -0.1, 0.1))},
)


AT_REST: tuple[Over, ...] = ("ride height",)
# The usual limit of the force-weighted height is out of the way.
ANYWHERE = Limit("force_weighted_height", -1e4, 1e4, ("ride height",))


def means(chance: float | None) -> Means:
    joint = amount("front", "longer ball joint", [12.0, 20.0, 25.0])
    height = amount("front", "ride height", list(np.arange(-10.0, 11.0, 2.0)))
    return Means((joint, height), chance=chance)


@pytest.mark.campaign
def test_chance_of_a_plan() -> None:
    car = demo_car()
    found = find(car, means(HARDLY), LIMITS)
    (_, independent) = plan_doubts(car, car.front, [found.best.plan], LIMITS, draws=DRAWS, seed=SEED)
    expected = independent.holding[ALL_LIMITS]
    assert 0.05 < expected < 0.95  # else nothing is compared
    # Four standard deviations of both samples together.
    apart = 4.0 * math.sqrt(expected * (1.0 - expected) * (1.0 / CARS + 1.0 / DRAWS))
    assert found.best.chance is not None
    assert abs(found.best.chance - expected) <= apart


@pytest.mark.campaign
def test_a_chance_that_is_asked_for_takes_a_roomier_plan() -> None:
    car = demo_car()
    plain = find(car, means(HARDLY), LIMITS)
    asked = 0.97
    assert (plain.best.chance or 0.0) < asked
    sure = find(car, means(asked), LIMITS)
    assert sure.found
    assert (sure.best.chance or 0.0) >= asked
    assert sure.best.worst > plain.best.worst


@pytest.mark.campaign
def test_of_plans_with_as_many_parts_the_surer_comes_first() -> None:
    """Against the doubt of differences, another way to each chance: no other height is surer by more than is said."""
    car = demo_car()
    wide = Limits(LIMITS.working, {"front": (Limit("roll_centre_height", -45.0, 45.0, AT_REST), ANYWHERE)})
    heights = Means((amount("front", "ride height", list(np.arange(2.0, 31.0, 2.0))),))
    found = find(car, heights, wide)
    (height,) = (one.by for one in found.best.plan.changes)
    plans = [heights.plan(np.array([one]), f"{one:g}") for one in {*heights.amounts[0].values[1::3], height}]
    (_, *doubts) = plan_doubts(car, car.front, [AS_MEASURED, *plans], wide, draws=DRAWS, seed=SEED)
    chances = {float(one.plan.name): one.holding[ALL_LIMITS] for one in doubts if one.plan is not AS_MEASURED}
    slack = 4.0 * math.sqrt(0.25 * (1.0 / CARS + 1.0 / DRAWS))
    least = min(one for one, chance in chances.items() if chance > 0.5)
    assert chances[height] >= max(chances.values()) - AS_SURE - slack
    assert chances[least] < max(chances.values()) - AS_SURE - slack  # the least change that holds is less sure
    assert least < height < max(chances)


@pytest.mark.campaign
def test_what_costs_the_chance_asked_is_named() -> None:
    """Of two limits the near one costs all of it, and once it gives way by so much the chance is there."""
    car, asked = demo_car(), 0.9
    near = Limit("roll_centre_height", -56.0, -52.0, ("ride height",))
    far = Limit("camber_gain", -0.1, 0.1)
    nothing = Means((amount("front", "ride height", [0.5]),), chance=asked)
    found = find(car, nothing, Limits(LIMITS.working, {"front": (near, far, ANYWHERE)}))
    assert not found.found
    assert found.cost is not None
    check = found.checks[found.cost.checks[0]]
    assert (check.key, found.cost.without[0]) == ("roll_centre_height", 1.0)
    assert found.cost.gives is not None
    by = found.cost.gives * check.scale
    wider = Limit("roll_centre_height", near.low - by, near.high + by, ("ride height",))
    limits = Limits(LIMITS.working, {"front": (wider, far, ANYWHERE)})
    (_, independent) = plan_doubts(car, car.front, [found.best.plan], limits, draws=DRAWS, seed=SEED)
    apart = 4.0 * math.sqrt(asked * (1.0 - asked) * (1.0 / CARS + 1.0 / DRAWS))
    assert abs(independent.holding[ALL_LIMITS] - asked) <= apart


def test_neighbouring_plans_are_judged_by_the_same_shifts() -> None:
    car = demo_car()
    few = checks_of(car, LIMITS, means(None).amounts, FEW_STEPS)
    one, other = np.array([20.0, 0.0]), np.array([20.0, 2.0])
    guessed = tried(few, one, CARS, 1).chances(few(other[None]))[0]
    assert abs(guessed - tried(few, other, CARS, 1).chance) < 0.03


@pytest.mark.campaign
def test_a_rule_whose_lifting_falls_short_of_the_chance_asked_says_what_it_reaches() -> None:
    """The chance that is told against the doubt of differences, of the plan that is found without the rule."""
    car, asked = demo_car(), 0.9999
    rule = Rule("nothing longer", ("longer ball joint",))
    limits = Limits(LIMITS.working, {"front": (Limit("roll_centre_height", -15.0, 12.0, AT_REST), ANYWHERE)})
    free = Means((amount("front", "longer ball joint", [20.0]), amount("front", "ride height", [4.0])), chance=asked)
    found = find(car, replace(free, rules=(rule,)), limits)
    (told,) = found.forbidden
    assert told.would_help is False
    (words,) = rule_words(found)
    reached = re.search(r"Lifting it alone reaches (\d+) % of the (?:over 99|100) % asked\.$", words)
    assert reached is not None, words
    plans = [free.plan(np.array(one), f"{one}") for one in product((0.0, 20.0), (0.0, 4.0))]
    doubts = plan_doubts(car, car.front, plans, limits, draws=DRAWS, seed=SEED)
    expected = max(one.holding[ALL_LIMITS] for one in doubts)
    assert 0.05 < expected < 0.95
    assert abs(int(reached[1]) / 100.0 - expected) <= 0.005 + 4.0 * math.sqrt(
        expected * (1.0 - expected) * (1.0 / CARS + 1.0 / DRAWS)
    )
