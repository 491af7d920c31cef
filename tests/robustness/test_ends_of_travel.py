"""Where a linkage ends: each end told of its own wheel and way, and beside a lock what can be stood on is found.

Which end is which: by the sign of the travel asked for (property). Standing: the attitude that a reachable pair of
travels gives is worked out from the wheels' discs by a root in one unknown (formula, SciPy); asked for that attitude, a
sweep has to come back to those travels.
"""

import re
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from kinematics import sweep_bump, sweep_roll
from kinematics.car.car import SIDE_NAMES
from kinematics.inputs.car.car_file import read_car
from kinematics.inputs.demo_cars import demo_car
from kinematics.motion.moving_axle import moving
from kinematics.motion.states import CornerStates
from reports.words.gaps import gap_words
from tests.short_run import at_places

CARS = Path(__file__).parent / "cars"
BEYOND = np.array([-400.0, 0.0, 400.0])  # mm: past both locks of the live axle, and the bump lock of a strut
STOOD_TO = 1e-5  # mm of travel; beside a lock the ground is met to 1e-7 mm, and a travel's share of that is larger


@pytest.mark.parametrize("side", SIDE_NAMES)
def test_the_wheel_that_locks_is_the_one_that_is_named(side: str) -> None:
    sweep = sweep_bump(demo_car().front, BEYOND[1:], side)  # type: ignore[arg-type]
    assert sweep.reached.tolist() == [True, False]
    (reason,) = sweep.problems
    assert (reason.side, reason.low) == (side, False)
    assert gap_words(reason).startswith(f"the front {side} linkage locks at +")


@pytest.mark.campaign
def test_each_end_of_a_live_axle_is_told_of_its_own_travel() -> None:
    """In droop it locks at a negative travel, in bump at a positive one; nothing lies between the two."""
    rear = demo_car("rear_drive_saloon.toml").rear
    sweep = sweep_bump(rear, BEYOND)
    assert sweep.reached.tolist() == [False, True, False]
    for state, (way, sign) in ((0, ("droop", -1.0)), (2, ("bump", 1.0))):
        reason = sweep.gaps.at(state)
        assert reason is not None
        told = re.match(r"the rear axle's linkage locks in (\w+) at ([-+][\d.]+) mm", gap_words(reason))
        assert told is not None, gap_words(reason)
        assert told[1] == way
        assert 0.0 < sign * float(told[2]) < 400.0


def heights(states: CornerStates, roll: float) -> np.ndarray:
    """Of the lowest points of both discs over a plane through the body's origin that rolls against the body (2,)."""
    up = np.array([0.0, np.sin(roll), np.cos(roll)])
    lean = states.spin_axis[:, 0] @ up
    return states.wheel_centre[:, 0] @ up - states.axle.radius * np.sqrt(1.0 - lean**2)


STANDING = [
    ("five_link_beside_a_lock", [(-3.0, -1.0), (-6.0, 3.0)]),
    ("watt_on_body_holes", [(-12.0, -3.0)]),
]


@pytest.mark.campaign
@pytest.mark.parametrize(("name", "travels"), at_places(STANDING, 0))
def test_an_attitude_that_can_be_stood_in_is_found(name: str, travels: list[tuple[float, float]]) -> None:
    axle = read_car(CARS / f"{name}.toml").axles[0]
    ready = moving(axle, -60.0, 60.0)
    for pair in travels:
        states = ready.at(np.array(pair)[:, None])
        assert states.reached.all(), pair
        roll = brentq(lambda angle, at=states: np.subtract(*heights(at, angle)), -0.2, 0.2, xtol=1e-15)
        sweep = sweep_roll(axle, np.array([roll]), -heights(states, roll)[0])
        assert sweep.reached.all(), (pair, np.degrees(roll), [gap_words(one) for one in sweep.problems])
        np.testing.assert_allclose(sweep["travel"].reshape(2), pair, rtol=0.0, atol=STOOD_TO)
