"""The centre of gravity of many plans at once, by the lever (formula): each end lifts it by its own share."""

import numpy as np
import pytest

from kinematics import demo_car
from kinematics.finding.variants import on_one_body, variants
from kinematics.planning.rake import rake_base
from tests.finding.planted import amount

SALOON = demo_car("rear-drive-saloon")
PLANS = np.array([[0.0, 0.0], [-30.0, 0.0], [0.0, -20.0], [-30.0, -20.0], [15.0, -10.0]])  # front, rear [mm]


def test_it_rises_by_the_lever() -> None:
    amounts = tuple(amount(axle, "ride height", [5.0]) for axle in ("front", "rear"))
    done = {axle.name: variants(axle, amounts, PLANS, rake_base(SALOON)) for axle in SALOON.axles}
    body = SALOON.body
    assert body.behind_front is not None
    assert body.wheelbase is not None
    assert body.behind_front != pytest.approx(0.5 * body.wheelbase, abs=50.0)  # else both ends would count alike
    front, rear = PLANS.T
    # Its moment about the front axle: what the front rises, and of the difference the part that lies that far back.
    expected = body.centre_of_gravity + front + (rear - front) * body.behind_front / body.wheelbase
    for one in on_one_body(SALOON, done, {axle.name: axle for axle in SALOON.axles}).values():
        np.testing.assert_allclose(one.axle.body.centre_of_gravity, expected, rtol=0.0, atol=1e-9)
