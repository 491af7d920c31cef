"""Scrub radius and mechanical trail at ride height: the steering axis brought down to the ground by hand (formula).

Cross-camber and cross-caster besides: the left wheel's less the right one's (formula), on sides unlike each other.

Without camber the tyre stands straight under the wheel centre. From there to where the axis meets the ground: along the
wheel's heading, forwards, is the trail; across it, inboard, is the scrub radius.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import sweep_bump
from kinematics.car.suspensions import SUSPENSIONS
from tests.properties.plausible_cars import typical_axle

AXIS = {"strut": ("lower_ball_joint", "strut_top"), "double wishbone": ("lower_ball_joint", "upper_ball_joint")}


@pytest.mark.parametrize("toe_in", [0.0, 1.5, -0.7], ids=str)
@pytest.mark.parametrize("name", list(AXIS))
def test_where_the_steering_axis_meets_the_ground(name: str, toe_in: float) -> None:
    axle, rng = typical_axle(SUSPENSIONS[name]), np.random.default_rng(4)
    points = {key: point + rng.uniform(-8.0, 8.0, (2, 3)) for key, point in axle.points.items()}
    axle = replace(axle, points=points, camber=np.zeros(2), toe=np.full(2, np.radians(toe_in)))
    found = sweep_bump(axle, np.zeros(1))
    for side, outward in enumerate((1.0, -1.0)):
        low, top = (points[key][side] for key in AXIS[name])
        ground = low + (top - low) * low[2] / (low[2] - top[2])
        away = (ground - points["wheel_centre"][side])[:2]
        # Toe-in turns the heading inboard.
        sine, cosine = np.sin(np.radians(toe_in)), np.cos(np.radians(toe_in))
        heading, inboard = np.array([cosine, -outward * sine]), np.array([-sine, -outward * cosine])
        assert_allclose(found["mechanical_trail"][side], away @ heading, rtol=0.0, atol=1e-6)
        assert_allclose(found["scrub_radius"][side], away @ inboard, rtol=0.0, atol=1e-6)


def test_cross_numbers_are_left_less_right() -> None:
    axle, rng = typical_axle(SUSPENSIONS["strut"]), np.random.default_rng(5)
    points = {key: point + rng.uniform(-8.0, 8.0, (2, 3)) for key, point in axle.points.items()}
    axle = replace(axle, points=points, camber=np.radians([-2.0, -1.2]))
    found = sweep_bump(axle, np.array([-20.0, 0.0, 20.0]))
    assert_allclose(np.degrees(found["cross_camber"][1]), -0.8, rtol=0.0, atol=1e-9)
    for cross, key in (("cross_camber", "camber"), ("cross_caster", "caster")):
        left, right = found[key]
        assert np.abs(left - right).min() > 1e-3
        assert_allclose(found[cross], left - right, rtol=0.0, atol=1e-12)
