"""Roll steer against what the wheels really do as the body rolls over them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kinematics import Axle, sweep_roll
from kinematics.car.suspension_type import SuspensionType
from solvers.vectors import Array
from tests.properties.differences import slope_at_zero
from tests.properties.plausible_cars import FREE_TO_MOVE, LIVE_AXLES, ONE_OR_MANY, axles, named, upright_wheels

STEP = np.radians(0.25)
# The step is 3 mm at the wheels, where a slope is good to 1e-12 rad per mm (differences.py), per radian 700 times
# that; wheels stand to 1e-9 mm.
PER_RADIAN = 2e-9


def mean_steer(axle: Axle, roll: Array) -> Array:
    """To the left positive: a left wheel toes in to the right, a right one to the left."""
    toe = sweep_roll(axle, roll)["toe"]
    return np.asarray((toe[1] - toe[0]) / 2.0)


@pytest.mark.parametrize("kind", [kind for kind in FREE_TO_MOVE if not kind.whole_axle], ids=named)
@ONE_OR_MANY
@given(st.data())
def test_is_the_slope_of_the_wheels_steer(kind: SuspensionType, data: st.DataObject) -> None:
    """Whatever the camber: a wheel that leans steers as its part turns in side view."""
    axle = data.draw(axles(kind))
    exact = sweep_roll(axle, np.zeros(1))["roll_steer"][0]
    assert_allclose(exact, slope_at_zero(lambda roll: mean_steer(axle, roll), STEP), rtol=0.0, atol=PER_RADIAN)


@pytest.mark.parametrize("kind", LIVE_AXLES, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_is_the_slope_of_the_axles_steer(kind: SuspensionType, data: st.DataObject) -> None:
    axle = upright_wheels(data.draw(axles(kind)))
    exact = sweep_roll(axle, np.zeros(1))["roll_steer"][0]
    assert_allclose(exact, slope_at_zero(lambda roll: mean_steer(axle, roll), STEP), rtol=0.0, atol=PER_RADIAN)
    slope = slope_at_zero(lambda roll: sweep_roll(axle, roll)["axle_steer"], STEP)
    assert_allclose(exact, slope, rtol=0.0, atol=PER_RADIAN)
