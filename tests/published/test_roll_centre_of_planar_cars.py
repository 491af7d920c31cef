"""Published roll-centre formulas against a whole car whose arms lie in the transverse plane.

Formulas: gradient form, seen, M. Blundell, D. Harty, The Multibody Systems Approach to Vehicle Dynamics,
eqs 4.33-4.43, p. 168, and fig. 4.30 for the strut; angle form, recalled from memory and re-derived, J. Reimpell,
H. Stoll, J. W. Betzler, The Automotive Chassis, 2nd ed., section 3.4.3. The numbers were computed from the formulas
by another program; the geometry is invented (mm, front view: out from the centre plane, up from the ground).
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import LEFT, RIGHT, Axle, Sweep, sweep_bump, sweep_roll
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.corners import trace_corners
from solvers.vectors import Array

FrontView = dict[str, tuple[float, float, float]]  # key to (ahead, out, up)

# Inputs are written to 1e-8 mm and the lines meet at ten degrees and less: heights are good to 1e-5 mm.
INPUTS_ALLOW = 1e-5

CONTACT_OUT = 750.0
RADIUS = 300.0


def pivots(arm: str, out: float, up: float) -> FrontView:
    return {f"{arm}_pivot_front": (140.0, out, up), f"{arm}_pivot_rear": (-110.0, out, up)}


def tie_rod_like_arm(inner: tuple[float, float], outer: tuple[float, float]) -> FrontView:
    """The lower arm once more, further back: the upright then moves in the plane, as drawn."""
    return {"tie_rod_inner": (-120.0, *inner), "tie_rod_outer": (-120.0, *outer)}


WISHBONES: FrontView = {
    **pivots("lower", 295.70898375, 227.9025895),
    "lower_ball_joint": (0.0, 694.73460386, 200.0),
    **pivots("upper", 344.28358195, 464.08378692),
    "upper_ball_joint": (0.0, 642.64015056, 495.4423259),
    **tie_rod_like_arm((295.70898375, 227.9025895), (694.73460386, 200.0)),
}
TOP_MOUNT = (567.4745421, 772.17743577)
LEANING_12_DEG = (math.sin(math.radians(12.0)), -math.cos(math.radians(12.0)))  # down the strut: outwards
STRUT: FrontView = {
    **pivots("lower", 363.95953513, 220.50450996),
    "lower_ball_joint": (0.0, 712.62767946, 190.0),
    "strut_top": (0.0, *TOP_MOUNT),
    "strut_low": (0.0, TOP_MOUNT[0] + 420.0 * LEANING_12_DEG[0], TOP_MOUNT[1] + 420.0 * LEANING_12_DEG[1]),
    **tie_rod_like_arm((363.95953513, 220.50450996), (712.62767946, 190.0)),
}

# Instant centre of the left corner and roll-centre height, as published formulas give them.
CASES = pytest.mark.parametrize(
    ("kind", "points", "instant_centre", "height"),
    [
        pytest.param(
            "double wishbone",
            WISHBONES,
            (-1024.48994731, 320.21989188),
            135.343070989,
            id="roll_centre_double_wishbone_closed_forms",
        ),
        pytest.param("strut", STRUT, (-1330.49994291, 368.75050509), 132.930971598, id="roll_centre_strut_closed_form"),
    ],
)


def axle(kind: str, points: FrontView, camber: float = 0.0) -> Axle:
    """A car with those points in both corners; its wheels stand on the published contact points at any camber."""
    leaning = CONTACT_OUT + RADIUS * math.sin(camber), RADIUS * math.cos(camber)
    points = {**points, "wheel_centre": (0.0, *leaning)}
    both_sides = {key: np.array([[x, side * out, up] for side in (1.0, -1.0)]) for key, (x, out, up) in points.items()}
    return Axle("front", SUSPENSIONS[kind], both_sides, camber=np.full(2, camber), toe=np.zeros(2))


def assert_roll_centre(sweep: Sweep, instant_centre: tuple[float, float], height: float) -> None:
    """At a sweep's only state: both roll centres, both instant centres, both slopes, the force-weighted height."""

    def check(key: str, expected: float | list[float] | Array) -> None:
        assert_allclose(sweep[key][..., 0], expected, rtol=0.0, atol=INPUTS_ALLOW, err_msg=key)

    for prefix in ("", "textbook_"):
        check(f"{prefix}roll_centre_height", height)
        check(f"{prefix}roll_centre_offset", 0.0)
    assert (LEFT, RIGHT) == (0, 1)
    check("instant_centre_y", [instant_centre[0], -instant_centre[0]])
    check("instant_centre_z", [instant_centre[1]] * 2)
    # The line from the contact point passes the roll centre on the centre plane.
    check("jacking_coefficient", [height / CONTACT_OUT] * 2)
    check("force_weighted_height", height)


@CASES
@pytest.mark.parametrize("how", ["bump", "roll"])
@pytest.mark.parametrize("camber_deg", [0.0, -4.0])
def test_roll_centre_at_ride_height(
    kind: str, points: FrontView, instant_centre: tuple[float, float], height: float, how: str, camber_deg: float
) -> None:
    """The formulas know the contact point but no camber: leaning wheels on the same contacts change nothing."""
    measured = axle(kind, points, math.radians(camber_deg))
    sweep = (sweep_bump if how == "bump" else sweep_roll)(measured, np.zeros(1))

    assert_roll_centre(sweep, instant_centre, height)


def measured_anew(drawn: Axle, travel: float) -> Axle:
    """The same car as its owner would measure it with both wheels moved by `travel` and the floor under them."""
    states = trace_corners(drawn, -abs(travel), abs(travel)).at(np.full((2, 1), travel))
    at_travel = sweep_bump(drawn, np.array([travel]))
    floor_to_body = np.array([0.0, 0.0, at_travel["heave"][0]])
    points = {key: states.point(key)[:, 0] + floor_to_body for key in drawn.suspension.keys}
    return replace(drawn, points=points, camber=at_travel["camber"][:, 0], toe=at_travel["toe"][:, 0])


@CASES
@pytest.mark.parametrize("travel", [-45.0, 35.0])
def test_roll_centre_after_moving_there(
    kind: str, points: FrontView, instant_centre: tuple[float, float], height: float, travel: float
) -> None:
    """Measured with the wheels elsewhere, the car has the published roll centre once they are brought back."""
    elsewhere = measured_anew(axle(kind, points), travel)
    assert np.abs(elsewhere.camber).min() > math.radians(0.3)

    assert_roll_centre(sweep_bump(elsewhere, np.array([-travel])), instant_centre, height)
