"""Planted answers: limits set around the numbers of a car after a known plan; `find` gets the amounts back.

The numbers after the plan come from `carry_out`, which is held against drawing boards and engines elsewhere (formula).
"""

from dataclasses import replace

import numpy as np
import pytest

from kinematics import Car
from kinematics.car.limits import Limit
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.finding.search import find
from kinematics.planning.changes import CHANGES, link_ends
from tests.finding.planted import NUMBERS, amount, kinds_of_change, limits_around, means_of, one_of, random_axle
from tests.short_run import at_places

FEW_CARS, MANY_CARS = 2, 50
STEPS = np.arange(-12.0, 13.0, 2.0)
FINE_STEPS = np.arange(-10.0, 11.0, 1.0)
STRUT, FIVE_LINK = SUSPENSIONS["strut"], SUSPENSIONS["five link"]
SEVERAL = ("ride height", "longer ball joint", "tie-rod shim")


@pytest.mark.parametrize("what", at_places([*kinds_of_change(STRUT), "link length", "point"], 0, 3, 6, 9))
def test_every_kind_of_change_is_found(what: str) -> None:
    kind = FIVE_LINK if what == "link length" else STRUT
    car = Car("planted", axles=(random_axle(kind, 3),))
    point = {"link length": link_ends(kind)[0], "point": "lower_ball_joint"}.get(what, "")
    way = "up" if CHANGES[what].takes == "shift" else ""
    one, planted = amount(car.axles[0].name, what, list(STEPS), way, point), np.array([6.0])
    found = find(car, means_of(one), limits_around(car, [one], planted, NUMBERS))
    assert found.found
    assert abs(found.best.amounts[0] - planted[0]) <= 2.0


@pytest.mark.parametrize("kind", ["strut", "double wishbone", "five link", "live axle with A-frame"])
def test_a_plan_of_several_changes_is_found(kind: str, campaign: bool) -> None:
    for seed in range(MANY_CARS if campaign else FEW_CARS):
        axle = random_axle(SUSPENSIONS[kind], 100 + seed)
        car = Car("planted", axles=(axle,))
        amounts = [one_of(car, what, FINE_STEPS) for what in kinds_of_change(axle.suspension) if what in SEVERAL]
        if len(amounts) < 2:
            amounts.append(one_of(car, "tyre radius", FINE_STEPS))
        planted = np.random.default_rng(seed).choice([-8.0, -5.0, -3.0, 4.0, 7.0, 9.0], len(amounts))
        found = find(car, means_of(*amounts), limits_around(car, amounts, planted, NUMBERS))
        assert found.found, (kind, seed, found.best.amounts, planted)
        assert np.abs(found.best.amounts - planted).max() <= 1.0, (kind, seed)


def test_two_axles_are_found_together() -> None:
    front = random_axle(STRUT, 5)
    rear = replace(random_axle(SUSPENSIONS["double wishbone"], 6), name="rear")
    car = Car("planted", axles=(front, rear))
    amounts = [amount(name, "ride height", list(STEPS)) for name in ("front", "rear")]
    planted = np.array([-8.0, 4.0])
    found = find(car, means_of(*amounts), limits_around(car, amounts, planted, ["roll_centre_height"]))
    assert found.found
    assert np.array_equal(found.best.amounts, planted)


def test_an_axle_that_is_left_alone_still_counts() -> None:
    rear = replace(random_axle(SUSPENSIONS["double wishbone"], 6), name="rear")
    car = Car("planted", axles=(random_axle(STRUT, 5), rear))
    amounts, planted = [amount("front", "ride height", list(STEPS))], np.array([-8.0])
    limits = limits_around(car, amounts, planted, ["roll_centre_height", "anti_squat"])
    assert find(car, means_of(*amounts), limits).found
    beyond = Limit("roll_centre_height", -2000.0, -1999.0, ("ride height",))
    search = find(car, means_of(*amounts), replace(limits, by_axle={**limits.by_axle, "rear": (beyond,)}))
    assert not search.found
    assert search.checks[int(search.best.margins.argmin())].axle == "rear"
