"""Axle steer and pinion angle at full travel in bump and roll at once, against points that the axle carries.

A point of the beam is a weighted mean of the measured ones, and the same mean of them wherever they go. Two points
apart across the axle show in plan view where it steers, two apart along it how far the pinion's nose has risen: run and
rise over distance (formula). No rotation is used, nor which of the beam's axes the code looks at. Wheels that stand
upright and straight steer with the beam, so the mean of their toe is its steer (formula). A live axle is then turned
about all three axes, and each of its two other axes would tell another angle, by pitch times roll or yaw times roll.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kinematics import Axle
from kinematics.car.suspension_type import SuspensionType
from kinematics.motion.live_axle import LiveAxle
from kinematics.sweeps.body import Sweep, sweep_grid
from solvers.vectors import Array
from tests.properties.carried_points import ACROSS, ALONG, APART, carried
from tests.properties.plausible_cars import LIVE_AXLES, ONE_OR_MANY, axles, named, typical_axle, upright_wheels

LOWERED, ROLLED = np.linspace(-60.0, 60.0, 5), np.radians(np.linspace(-4.0, 4.0, 5))
# Joints are solved to 1e-11 mm. Some 100 mm apart in one direction, they tell a metre's ends ten times less well.
TO = 1e-11  # rad; over a metre 1e-8 mm


def moved(axle: Axle, sweep: Sweep, apart: Array) -> Array:
    """How far apart two points of the beam are at the wheel travels of a sweep (S, 3), body axes."""
    states = LiveAxle(axle, -150.0, 150.0).at(sweep["travel"].reshape(2, -1))
    assert states.reached.all()
    return carried(axle, {key: states.point(key) for key in axle.suspension.keys}, apart)


def full_travel(axle: Axle) -> Sweep:
    sweep = sweep_grid(axle, LOWERED, ROLLED)
    assert sweep.reached.all()
    return sweep


def assert_as_carried(axle: Axle) -> None:
    """Plan view is the ground's, as for toe, and so is the pinion's elevation, as after a plan."""
    sweep = full_travel(axle)
    along, across = moved(axle, sweep, ALONG), moved(axle, sweep, ACROSS)
    roll = sweep["roll"].reshape(-1)
    to_the_left = across[:, 1] * np.cos(roll) - across[:, 2] * np.sin(roll)
    up = along[:, 1] * np.sin(roll) + along[:, 2] * np.cos(roll)

    assert_allclose(np.linalg.norm(along, axis=-1), APART, rtol=0.0, atol=APART * TO)
    assert_allclose(sweep["axle_steer"].reshape(-1), np.arctan(-across[:, 0] / to_the_left), rtol=0.0, atol=TO)
    assert_allclose(sweep["pinion_angle_change"].reshape(-1), np.arcsin(up / APART), rtol=0.0, atol=TO)


def assert_steers_with_its_wheels(axle: Axle) -> None:
    sweep = full_travel(axle)
    # A left wheel toes in to the right, a right one to the left.
    assert_allclose(sweep["axle_steer"], (sweep["toe"][1] - sweep["toe"][0]) / 2.0, rtol=0.0, atol=TO)


@pytest.mark.parametrize("kind", LIVE_AXLES, ids=named)
def test_points_of_the_typical_axle(kind: SuspensionType) -> None:
    axle = typical_axle(kind)
    assert_as_carried(axle)
    # Far enough that the other axes would be seen: a tenth and a fiftieth of a degree.
    sweep = full_travel(axle)
    pitch, yaw = sweep["pinion_angle_change"], sweep["axle_steer"]
    assert np.degrees(np.abs(pitch * ROLLED).max()) > 0.1
    assert np.degrees(np.abs(yaw * ROLLED).max()) > 0.02


@pytest.mark.parametrize("kind", LIVE_AXLES, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_points_of_random_axles(kind: SuspensionType, data: st.DataObject) -> None:
    assert_as_carried(data.draw(axles(kind)))


@pytest.mark.parametrize("kind", LIVE_AXLES, ids=named)
def test_wheels_of_the_typical_axle(kind: SuspensionType) -> None:
    assert_steers_with_its_wheels(upright_wheels(typical_axle(kind)))


@pytest.mark.parametrize("kind", LIVE_AXLES, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_wheels_of_random_axles(kind: SuspensionType, data: st.DataObject) -> None:
    assert_steers_with_its_wheels(upright_wheels(data.draw(axles(kind))))
