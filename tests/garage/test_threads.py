"""What one turn of a nut does, by its thread and the arm that it swings.

A 1.5 mm thread on a 130 mm lever turns a wheel by atan(1.5 / 130), 0.66 degrees (formula). The linkage says the same of
a tie rod that lies across the car, at right angles to a steering arm of that length.
"""

import math
import tomllib
from dataclasses import replace

import numpy as np
import pytest

from kinematics.car.car import Axle
from kinematics.inputs.car.adjuster_entries import angle_of_a_turn
from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.demo_cars import demo_car
from kinematics.planning.alignment import with_toe_link_adjusted
from kinematics.planning.dismantled import put_together, take_apart
from tests.command_line.car_texts import in_inches

ARM, THREAD = 130.0, 1.5


def test_a_turn_by_the_closed_form() -> None:
    assert math.degrees(angle_of_a_turn(THREAD, ARM)) == pytest.approx(0.661, abs=5e-4)
    assert angle_of_a_turn(0.05, 2.0) == angle_of_a_turn(0.05 * 25.4, 2.0 * 25.4)


def upright_steering() -> Axle:
    """A strut whose steering axis stands upright and whose tie rod meets an arm of 130 mm at right angles."""
    axle = demo_car().front
    out = np.array([1.0, -1.0])

    def at(ahead: float, aside: float, up: float) -> np.ndarray:
        return np.stack([np.full(2, ahead), out * aside, np.full(2, up)], axis=-1)

    places = {
        "lower_ball_joint": at(0.0, 660.0, 190.0),
        "strut_low": at(0.0, 660.0, 420.0),
        "strut_top": at(0.0, 660.0, 780.0),
        "tie_rod_outer": at(-ARM, 660.0, 230.0),
        "tie_rod_inner": at(-ARM, 310.0, 230.0),
    }
    return replace(axle, points={**axle.points, **places}, toe=np.zeros(2), camber=np.zeros(2))


def test_a_turn_in_the_linkage() -> None:
    axle = upright_steering()
    by_turn = put_together(with_toe_link_adjusted(take_apart(axle), np.full(2, THREAD))).axle.toe - axle.toe
    # Behind the axis a longer rod pushes the arm out, the wheel's front in; a chord is an arc to (1.5 / 130)^2.
    np.testing.assert_allclose(by_turn, np.arctan(THREAD / ARM), rtol=2e-4)


SCREWS = """
[front.adjusters]
toe_link_thread = "1/16"
perch_thread = 0.08
camber = { by = "strut bolts", thread = 0.05, lever = "2 1/4" }
"""


def test_a_file_tells_what_a_turn_does() -> None:
    adjusters = car_from(tomllib.loads(in_inches() + SCREWS), "file").front.fittings.adjusters
    assert adjusters.toe_thread == pytest.approx(25.4 / 16)
    assert adjusters.perch_thread == pytest.approx(2.032)
    assert adjusters.camber_turn == pytest.approx(math.atan(0.05 / 2.25))
