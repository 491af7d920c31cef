"""Quantities that a file tells in its own unit, by value: bars, dampers, tyres, bump stops, joint angles, weights.

Young's and shear modulus of steel: 206 and 79.3 GPa, as spring makers take them (common practice, no source).
"""

import numpy as np
import pytest

from kinematics.car.springs_and_bars import STEEL_SHEAR, STEEL_YOUNG, bar_rate
from tests.outputs.conftest import Garage


def test_steel() -> None:
    assert pytest.approx(206e3, rel=0.03) == STEEL_YOUNG
    assert pytest.approx(79.3e3, rel=0.03) == STEEL_SHEAR


@pytest.mark.parametrize(("inner", "along"), [(0.0, 210.0), (15.0, 240.0)])
def test_bar_rate_by_hand(inner: float, along: float) -> None:
    """Twist gives P a^2 L / (G J) at the arm's end, each of two arms as cantilevers P l^3 / (3 E I) (formula)."""
    polar = np.pi / 32.0 * (22.0**4 - inner**4)
    second = np.pi / 64.0 * (22.0**4 - inner**4)
    gives = 210.0**2 * 900.0 / (79.3e3 * polar) + 2.0 * along**3 / (3.0 * 206e3 * second)
    found = bar_rate(22.0, 900.0, 210.0, inner=inner, arm_length=along)
    assert found == pytest.approx(1.0 / gives, rel=0.03)
    # Each modulus counts for its own part: with it, and with a stiffer one.
    twist = 210.0**2 * 900.0 / (STEEL_SHEAR * polar)
    assert 1.0 / found - twist == pytest.approx(2.0 * along**3 / (3.0 * STEEL_YOUNG * second), rel=1e-9)


def test_what_the_car_file_says(garage: Garage, unit: str) -> None:
    car = garage.car(unit)
    front, rear = car.front, car.rear
    assert front.loads is not None
    assert rear.loads is not None
    assert front.loads.damper is not None
    assert front.loads.damper[1] == pytest.approx(2.6)
    assert rear.loads.damper is not None
    assert rear.loads.damper[1] == pytest.approx(2.2)
    assert (front.loads.tyre_rate, rear.loads.tyre_rate) == pytest.approx((210.0, 190.0))
    assert front.loads.corner_mass == pytest.approx([290.0, 282.0])
    assert rear.loads.corner_mass == pytest.approx([265.0, 258.0])
    assert front.loads.unsprung == pytest.approx(36.0)
    stop = front.loads.spring.bump_stop
    assert stop is not None
    assert stop.gap == pytest.approx(32.0)
    assert np.asarray(stop.compression)[-3:] == pytest.approx([8.0, 18.0, 26.0])
    assert np.asarray(stop.force)[-3:] == pytest.approx([250.0, 1100.0, 2800.0])
    assert front.loads.spring.rate == pytest.approx(34.0)
    assert front.fittings.bump_stop == pytest.approx(45.0)
    assert front.fittings.droop_stop == pytest.approx(38.0)
    assert front.fittings.rack_travel == pytest.approx(62.0)
    angles = front.fittings.joint_angles
    assert dict(angles) == pytest.approx({"lower_ball_joint": np.radians(25), "tie_rod_outer": np.radians(25)})
    assert front.radius == pytest.approx([300.0 / np.cos(np.radians(2.4)), 300.0 / np.cos(np.radians(2.0))], rel=1e-4)
    assert np.degrees(front.camber) == pytest.approx([-2.4, -2.0])
    assert np.degrees(front.toe) == pytest.approx([-0.05, -0.05])
    limits = car.limits.working
    assert (limits.travel_low, limits.travel_high) == pytest.approx((-25.0, 20.0))
    assert limits.roll == pytest.approx(np.radians(1.5))


def test_points_are_the_same_in_both_units(garage: Garage) -> None:
    metric, inches = garage.car("mm"), garage.car("in")
    for one, other in zip(metric.axles, inches.axles, strict=True):
        assert set(one.points) == set(other.points)
        for key, places in one.points.items():
            np.testing.assert_allclose(other.points[key], places, atol=1e-9)
        assert one.doubt is not None
        assert other.doubt is not None
        np.testing.assert_allclose(other.doubt.standard_deviation, one.doubt.standard_deviation, rtol=1e-9)
