"""The default limits are ones that a car can hold: random cars of common types, each point up to 25 mm off.

Limits that no change can meet would condemn every plan. What matters is how much of the allowed band a car sweeps,
since its middle can be moved: by ride height, ball joint or pivots.
"""

from dataclasses import replace

import numpy as np
import pytest

from kinematics.car.car import Axle
from kinematics.car.limits import FORCE_WEIGHTED, ROLL_CENTRE, Limits
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.judging.verdict import working_sweeps
from kinematics.sweeps.asked import made_ready, over_working
from tests.properties.plausible_cars import typical_axle

CARS = 400
BAND = ROLL_CENTRE.high - ROLL_CENTRE.low


def random_axles(kind: str) -> Axle:
    """Front axles alike on both sides."""
    axle, random = replace(typical_axle(SUSPENSIONS[kind]), name="front"), np.random.default_rng(16)
    points = {}
    for key, both in axle.points.items():
        shift = random.uniform(-25.0, 25.0, (CARS, 1, 3))
        points[key] = both + np.concatenate([shift, shift * [1.0, -1.0, 1.0]], axis=1)
    camber, toe = (np.broadcast_to(angle, (CARS, 2)) for angle in (axle.camber, axle.toe))
    return replace(axle, points=points, camber=camber, toe=toe)


@pytest.mark.parametrize("kind", ["strut", "double wishbone"])
def test_what_a_car_sweeps_of_the_rule_of_thumb_leaves_room_to_hold_it(kind: str) -> None:
    limits, axles = Limits(), random_axles(kind)
    ready = made_ready(axles, *over_working(limits.working))
    asked = [ROLL_CENTRE, FORCE_WEIGHTED]
    assert list(limits.of(axles)) == asked
    sweeps = working_sweeps(ready, limits, asked, 8)
    heights = [sweeps[limit.over[0]][limit.key] for limit in asked]
    swept = np.concatenate(heights, axis=-1)
    assert np.isfinite(swept).all()
    span = swept.max(axis=-1) - swept.min(axis=-1)
    assert (span < 0.5 * BAND).all()


def test_over_the_travel_a_strut_sweeps_more_than_the_rule_of_thumb_allows() -> None:
    """That is why it is not asked there: a band over 40 mm of travel either way is one that hardly a strut can hold."""
    limits, axles = Limits(), random_axles("strut")
    ready = made_ready(axles, *over_working(limits.working))
    height = working_sweeps(ready, limits, [replace(ROLL_CENTRE, over=("travel",))], 8)["travel"][ROLL_CENTRE.key]
    assert (np.ptp(height, axis=-1) > BAND).mean() > 0.95
