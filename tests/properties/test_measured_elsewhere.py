"""One car, measured at another place or time: the curves do not depend on where the tape started."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kinematics import Axle, sweep_bump, sweep_grid, sweep_roll
from kinematics.car.suspension_type import SuspensionType
from kinematics.motion.moving_axle import moving
from kinematics.motion.states import CornerStates
from kinematics.numbers.wheel_angles import camber, toe
from solvers.vectors import Array
from tests.properties.plausible_cars import ALIKE, FEWER, KINDS, REPEATABLE, ROLLS, TRAVELS, axles, named
from tests.properties.same_numbers import ANGLE, LENGTH, RATE, assert_same

travels = st.floats(-40.0, 40.0)


def moved_to(axle: Axle, travel: Array) -> CornerStates:
    """Both corners at one travel each, (2,)."""
    return moving(axle, float(travel.min()), float(travel.max())).at(travel[:, None])


def measured_at(axle: Axle, states: CornerStates, floor: float = 0.0) -> Axle:
    """The same axle as someone would measure it who finds it in these states, on a floor that high."""
    points = {key: states.point(key)[:, 0] - [0.0, 0.0, floor] for key in axle.points}
    angles = [angle(states.spin_axis)[:, 0] for angle in (camber, toe)]
    return replace(axle, points=points, camber=angles[0], toe=angles[1], body=axle.body.raised(-floor))


@pytest.mark.parametrize("kind", KINDS, ids=named)
@REPEATABLE
@given(st.data(), travels, travels)
def test_there_and_back(kind: SuspensionType, data: st.DataObject, left: float, right: float) -> None:
    axle, travel = data.draw(axles(kind)), np.array([left, right])
    back = moved_to(measured_at(axle, moved_to(axle, travel)), -travel)
    for key, point in axle.points.items():
        assert_allclose(back.point(key)[:, 0], point, rtol=0.0, atol=LENGTH, err_msg=key)
    assert_allclose(camber(back.spin_axis)[:, 0], axle.camber, rtol=0.0, atol=ANGLE)
    assert_allclose(toe(back.spin_axis)[:, 0], axle.toe, rtol=0.0, atol=ANGLE)


@pytest.mark.parametrize("kind", KINDS, ids=named)
@REPEATABLE
@given(st.data(), travels, travels)
def test_path_is_the_same_from_anywhere_on_it(
    kind: SuspensionType, data: st.DataObject, left: float, right: float
) -> None:
    axle, travel = data.draw(axles(kind)), np.array([[left], [right]])
    again = measured_at(axle, moved_to(axle, travel[:, 0]))
    here = moving(axle, -60.0, 60.0).at(np.array([TRAVELS, 0.5 * TRAVELS[::-1]]))
    there = moving(again, -100.0, 100.0).at(here.travel - travel)
    assert here.reached.all()
    assert there.reached.all()
    assert_allclose(there.wheel_centre, here.wheel_centre, rtol=0.0, atol=LENGTH)
    assert_allclose(there.spin_axis, here.spin_axis, rtol=0.0, atol=ANGLE)
    assert_allclose(there.turn_rate, here.turn_rate, rtol=0.0, atol=RATE)
    assert_allclose(there.in_roll.turn, here.in_roll.turn, rtol=0.0, atol=RATE)


SINCE_MEASURED = (
    "travel",
    "heave",
    "half_track_change",
    "wheel_centre_recession",
    "caster_change",
    "axle_steer",
    "pinion_angle_change",
)


@pytest.mark.parametrize("kind", ALIKE, ids=named)
@REPEATABLE
@given(st.data(), travels)
def test_curves_of_a_car_measured_in_bump_or_droop(kind: SuspensionType, data: st.DataObject, travel: float) -> None:
    """Only what counts from the measured position has moved along: travel, heave, changes since measured.

    An upright's turn in side view does too, but turns in space do not add up.
    """
    axle = data.draw(axles(kind, symmetric=True))
    found = sweep_bump(axle, np.array([travel]))
    again = measured_at(axle, moved_to(axle, np.array([travel, travel])), floor=-float(found["heave"][0]))

    assert_allclose(again.radius, axle.radius, rtol=0.0, atol=LENGTH)  # the wheels have not grown meanwhile
    before, after = sweep_bump(axle, TRAVELS), sweep_bump(again, TRAVELS - travel)
    shifted = dict(before.values)
    for key in set(SINCE_MEASURED) & set(shifted):
        shifted[key] = before[key] - found[key]
    assert_same(after.values, shifted, but=("side_view_turn",))


@pytest.mark.parametrize("kind", KINDS, ids=named)
@FEWER
@given(st.data(), st.floats(-2500.0, 2500.0))
def test_car_moved_along_x(kind: SuspensionType, data: st.DataObject, ahead: float) -> None:
    """Nothing but the x coordinates themselves knows where x = 0 is."""
    axle = data.draw(axles(kind))
    shift = np.array([ahead, 0.0, 0.0])
    moved = replace(axle, points={key: point + shift for key, point in axle.points.items()})
    for before, after in (
        (sweep_bump(axle, TRAVELS), sweep_bump(moved, TRAVELS)),
        (sweep_grid(axle, np.array([-20.0, 15.0]), ROLLS), sweep_grid(moved, np.array([-20.0, 15.0]), ROLLS)),
        (sweep_roll(axle, ROLLS), sweep_roll(moved, ROLLS)),
    ):
        shifted = dict(before.values)
        for key in ("wheel_centre_x", "contact_x", "side_view_centre_x"):
            shifted[key] = before[key] + ahead
        assert_same(after.values, shifted)
