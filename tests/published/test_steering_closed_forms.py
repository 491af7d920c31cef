"""Steering in plan view: Ackermann's condition, and a planar rack-and-trapezoid as two circles that meet.

Kingpins stand upright and tie rods lie level, so that the steering works in one plane and no wheel rises. The steer
angle then follows from a triangle of kingpin, inner and outer tie-rod joint (formula, cosine rule).
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from kinematics import Axle
from kinematics.car.fittings import Body
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.reasons import Gap, UnreachedError
from kinematics.numbers.steering import ideal_outer
from kinematics.sweeps.rack import steered, sweep_steer
from solvers.vectors import Array

WHEELBASE, TRACK = 2480.0, 1500.0
ROUNDING = 1e-12  # rad
RACK = np.array([-60.0, -35.0, -10.0, -1.0, 1.0, 10.0, 35.0, 60.0])


# --- Ackermann's condition ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("to_left", [1.0, -1.0])
@pytest.mark.parametrize("inner_deg", [1.0, 10.0, 30.0, 44.0])
def test_ideal_outer_wheel(inner_deg: float, to_left: float) -> None:
    """cot(outer) - cot(inner) = track / wheelbase: ISO 8855 (formula, from memory) and every handbook."""
    inner = to_left * math.radians(inner_deg)
    half = to_left * TRACK / 2.0

    outer = ideal_outer(
        np.array(inner),
        (np.zeros(()), np.array(half)),
        (np.zeros(()), np.array(-half)),
        WHEELBASE,
    )

    assert math.copysign(1.0, outer) == to_left
    assert_allclose(
        1.0 / np.tan(np.abs(outer)) - 1.0 / math.tan(math.radians(inner_deg)), TRACK / WHEELBASE, rtol=1e-12, atol=0.0
    )


def test_ideal_outer_wheel_by_hand() -> None:
    """By hand: on a wheelbase of 3, an inner wheel at 45 degrees turns about a point 3 from it; a track of 1 makes 4.

    The outer wheel then stands at atan(3 / 4).
    """
    outer = ideal_outer(np.array(math.pi / 4.0), (np.zeros(()), np.array(0.5)), (np.zeros(()), np.array(-0.5)), 3.0)

    assert_allclose(outer, math.atan2(3.0, 4.0), rtol=0.0, atol=ROUNDING)


# --- A planar trapezoid ---------------------------------------------------------------------------------------------

# Plan view (ahead, out) [mm] of the left side, rack behind the axle. The steering arm leans in from a kingpin in the
# wheel's centre plane, and out from one further in.
OUTER, INNER = np.array([-130.0, 715.0]), np.array([-105.0, 340.0])


def axle(kingpin_out: float, hub_out: float = TRACK / 2.0) -> Axle:
    points = {
        "wheel_centre": (0.0, hub_out, 300.0),
        "lower_ball_joint": (0.0, kingpin_out, 180.0),
        "lower_pivot_front": (130.0, 350.0, 190.0),
        "lower_pivot_rear": (-150.0, 350.0, 186.0),
        "upper_ball_joint": (0.0, kingpin_out, 430.0),
        "upper_pivot_front": (96.0, 420.0, 416.0),
        "upper_pivot_rear": (-104.0, 420.0, 408.0),
        "tie_rod_outer": (*OUTER, 205.0),
        "tie_rod_inner": (*INNER, 205.0),
    }
    both_sides = {key: np.array([[x, side * out, up] for side in (1.0, -1.0)]) for key, (x, out, up) in points.items()}
    body = Body(wheelbase=WHEELBASE)
    return Axle("front", SUSPENSIONS["double wishbone"], both_sides, camber=np.zeros(2), toe=np.zeros(2), body=body)


def trapezoid(kingpin_out: float, rack: Array) -> Array:
    """Steer (2, R) to the left by the cosine rule: angle at the kingpin between both tie-rod joints."""
    angles = []
    for side in (1.0, -1.0):
        kingpin = np.array([0.0, side * kingpin_out])
        arm = OUTER * [1.0, side] - kingpin
        inner = INNER * [1.0, side] + np.stack([np.zeros_like(rack), rack], axis=-1) - kingpin
        rod = math.dist(OUTER, INNER)
        away = np.hypot(inner[..., 0], inner[..., 1])
        reach = math.hypot(*arm)
        between = np.arccos((reach**2 + away**2 - rod**2) / (2.0 * reach * away))
        # From the inner joint to the arm it is a turn to the right on the left side, and mirrored on the right one.
        now = np.arctan2(inner[..., 1], inner[..., 0]) - side * between
        angles.append(np.remainder(now - math.atan2(arm[1], arm[0]) + np.pi, 2.0 * np.pi) - np.pi)
    return np.array(angles)


KINGPINS = pytest.mark.parametrize("kingpin_out", [TRACK / 2.0, 690.0])


@KINGPINS
def test_steer_angle_of_a_planar_trapezoid(kingpin_out: float) -> None:
    measured = axle(kingpin_out)

    sweep = sweep_steer(measured, RACK)

    assert sweep.reached.all()
    assert_allclose(sweep["steer_angle"], trapezoid(kingpin_out, RACK), rtol=0.0, atol=ROUNDING)
    assert_allclose(sweep["rack_travel"], RACK, rtol=0.0, atol=0.0)
    assert_allclose(sweep["camber"], 0.0, rtol=0.0, atol=ROUNDING)
    # A rack behind the axle that moves to the left steers to the right.
    assert (np.sign(sweep["steer_angle"]) == -np.sign(RACK)).all()


@KINGPINS
def test_steer_angle_against_a_root_of_the_tie_rods_length(kingpin_out: float) -> None:
    """SciPy's root in one unknown: the angle at which the outer joint is as far from the moved inner one as before."""
    rack = RACK[-2]
    rod = math.dist(OUTER, INNER)

    def off(angle: float, side: float) -> float:
        x, y = OUTER[0], side * (OUTER[1] - kingpin_out)
        turned = math.cos(angle) * x - math.sin(angle) * y, math.sin(angle) * x + math.cos(angle) * y
        return math.dist(turned, (INNER[0], side * (INNER[1] - kingpin_out) + rack)) - rod

    angles = [brentq(off, -0.7, 0.2, args=(side,), xtol=1e-14) for side in (1.0, -1.0)]

    assert_allclose(sweep_steer(axle(kingpin_out), np.array([rack]))["steer_angle"][:, 0], angles, atol=1e-12, rtol=0.0)


@KINGPINS
def test_ackermann_share_and_turn_radius_of_a_planar_trapezoid(kingpin_out: float) -> None:
    """By hand from the closed form: the wheel turns about the kingpin, its axis meets the rear axle's line."""
    angle = trapezoid(kingpin_out, RACK)
    scrub = TRACK / 2.0 - kingpin_out
    side = np.array([[1.0], [-1.0]])
    ahead = -side * scrub * np.sin(angle)
    out = side * (kingpin_out + scrub * np.cos(angle))
    crossing = out + (WHEELBASE + ahead) / np.tan(angle)

    sweep = sweep_steer(axle(kingpin_out), RACK)

    assert_allclose(sweep["contact_x"], ahead, rtol=0.0, atol=1e-9)
    assert_allclose(sweep["contact_y"], out, rtol=0.0, atol=1e-9)
    # Millions of millimetres where the wheels hardly turn.
    assert_allclose(sweep["turn_radius"], crossing.mean(axis=0), rtol=1e-10, atol=0.0)
    inner = np.where(angle.sum(axis=0) > 0.0, 0, 1)
    at = np.arange(RACK.size)
    to_outer = crossing[inner, at] - out[1 - inner, at]
    ideal = np.arctan((WHEELBASE + ahead[1 - inner, at]) / to_outer)
    share = (angle[inner, at] - angle[1 - inner, at]) / (angle[inner, at] - ideal)
    # At 1 mm of rack both differences are some hundred-thousandths of a radian.
    assert_allclose(sweep["ackermann"], share, rtol=1e-8, atol=0.0)


def test_wheels_alike_either_way() -> None:
    """A car that is alike on both sides steers to the right as to the left, with the sides exchanged (property)."""
    sweep = sweep_steer(axle(690.0), RACK)

    assert_allclose(sweep["steer_angle"][1], -sweep["steer_angle"][0, ::-1], rtol=0.0, atol=ROUNDING)
    assert_allclose(sweep["ackermann"], sweep["ackermann"][::-1], rtol=1e-8, atol=0.0)
    assert_allclose(sweep["turn_radius"], -sweep["turn_radius"][::-1], rtol=1e-10, atol=0.0)


@KINGPINS
def test_lever_of_the_tie_rod(kingpin_out: float) -> None:
    """The kingpin's distance from the tie rod's line, in plan view (by hand)."""
    measured = axle(kingpin_out)
    sweep = sweep_steer(measured, RACK)
    angle = trapezoid(kingpin_out, RACK)
    for index, side in enumerate((1.0, -1.0)):
        arm = OUTER * [1.0, side] - [0.0, side * kingpin_out]
        sine, cosine = np.sin(angle[index]), np.cos(angle[index])
        outer = np.stack([cosine * arm[0] - sine * arm[1], sine * arm[0] + cosine * arm[1]], axis=-1)
        inner = np.stack([np.full(RACK.shape, INNER[0]), side * (INNER[1] - kingpin_out) + RACK], axis=-1)
        rod = outer - inner
        by_hand = np.abs(outer[:, 0] * rod[:, 1] - outer[:, 1] * rod[:, 0]) / np.hypot(rod[:, 0], rod[:, 1])
        assert_allclose(sweep["tie_rod_lever"][index], by_hand, rtol=0.0, atol=1e-9)


@KINGPINS
def test_over_centre_where_arm_and_rod_are_one_line(kingpin_out: float) -> None:
    """The inner joint gets no further from the kingpin than arm and rod together, no nearer than their difference.

    Triangle inequality (formula). From the kingpin in the wheel's plane the one comes first, from the other the other.
    """
    rod, arm = math.dist(OUTER, INNER), math.dist(OUTER, (0.0, kingpin_out))
    across = kingpin_out - INNER[1]
    away, towards = (math.sqrt(reach**2 - INNER[0] ** 2) for reach in (rod + arm, rod - arm))
    end = min(away - across, across - towards)
    assert (away - across < across - towards) == (kingpin_out == TRACK / 2.0)
    measured = axle(kingpin_out)

    almost = np.array([-end + 0.1, end - 0.1])
    near = sweep_steer(measured, almost)
    beyond = sweep_steer(measured, np.array([-end - 0.1, end + 0.1]))

    assert near.reached.all()
    # The steer angle goes as the root of what is left: its slope there is 0.05 rad/mm and more, on 1e-11 mm.
    assert_allclose(near["steer_angle"], trapezoid(kingpin_out, almost), rtol=0.0, atol=1e-11)
    assert not beyond.reached.any()
    assert np.isnan(beyond["steer_angle"]).all()
    with pytest.raises(UnreachedError) as caught:
        steered(measured, np.array([end + 0.1]))
    assert caught.value.reason.gap is Gap.OVER_CENTRE
    # The triangle says where.
    assert caught.value.reason.rack == pytest.approx(end, abs=0.01)


@KINGPINS
def test_steered_axle_has_the_angles_in_its_toe(kingpin_out: float) -> None:
    """A left turn is toe-out on the left wheel and toe-in on the right one; its points are where the triangle says."""
    measured = axle(kingpin_out)
    turned = steered(measured, RACK)
    angle = trapezoid(kingpin_out, RACK)

    assert turned.batch_shape == RACK.shape
    assert turned.straight_ahead is measured
    assert_allclose(turned.toe.T, angle * [[-1.0], [1.0]], rtol=0.0, atol=ROUNDING)
    inner = turned.points["tie_rod_inner"]
    with_rack = np.stack([RACK, RACK], axis=-1)
    assert_allclose(inner[..., 1] - measured.points["tie_rod_inner"][:, 1], with_rack, rtol=0.0, atol=1e-9)
    rods = np.linalg.norm(turned.points["tie_rod_outer"] - inner, axis=-1)
    assert_allclose(rods, math.dist(OUTER, INNER), rtol=0.0, atol=1e-9)


def test_no_rack_no_steering() -> None:
    kind = replace(SUSPENSIONS["double wishbone"], rack=())
    with pytest.raises(ValueError, match="no steering rack"):
        steered(replace(axle(690.0), suspension=kind), RACK)
