"""Wheels that turn about one axis: camber and toe of a semi-trailing arm, piercing points, roll centres in closed form.

Semi-trailing arm (formula, a spin axis turned about a skew axis; W. Matschinsky, Road Vehicle Suspensions, and
J. C. Dixon, Suspension Geometry and Computation, 2009, from memory): on a level axis swept by psi, the arm turned by
theta, sin(camber) = sin(psi) sin(theta) and tan(toe) = sin(psi) cos(psi) (1 - cos(theta)) / (cos(theta) +
cos(psi)^2 (1 - cos(theta))). Its limit, turned by 90 degrees the camber is the sweep angle, was seen in source: a
public technical page on this suspension, for 15 and 12 degrees. The numbers were worked out by another program.

Piercing points (seen in source, lecture slides of the "euromotor" chassis course): where the axis pierces the wheel's
transverse and longitudinal planes are the instant centres in front and side view. Roll centre of a trailing arm on the
road, and of a swing axle on a pivot at (y0, z0), h = z0 (b/2) / (b/2 - y0): from memory.
"""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle, Sweep, sweep_bump, sweep_roll
from kinematics.car.suspensions import SUSPENSIONS
from solvers.vectors import Array

Points = dict[str, tuple[float, float, float]]

PUBLISHED_TO = math.radians(1e-9)
ROUNDING = 1e-9  # mm, in numbers of a few metres and less


def axle(kind: str, points: Points, camber: float = 0.0, toe: float = 0.0) -> Axle:
    both_sides = {key: np.array([[x, side * out, up] for side in (1.0, -1.0)]) for key, (x, out, up) in points.items()}
    return Axle("rear", SUSPENSIONS[kind], both_sides, camber=np.full(2, camber), toe=np.full(2, toe))


class SweptArm:
    """A semi-trailing arm on a level axis; its wheel hangs 50 degrees below, so that 90 degrees of turn do not lock."""

    axis_height, hub_height = 700.0, 300.0
    hub = np.array([0.0, 730.0, hub_height])

    def __init__(self, sweep_deg: float) -> None:
        self.sweep = math.radians(sweep_deg)
        along = np.array([math.sin(self.sweep), math.cos(self.sweep), 0.0])
        rearward = np.array([-math.cos(self.sweep), math.sin(self.sweep), 0.0])
        drop = self.axis_height - self.hub_height
        self.reach = drop / math.tan(math.radians(50.0))
        foot = self.hub - self.reach * rearward + drop * np.array([0.0, 0.0, 1.0])
        self.axle = axle(
            "semi-trailing arm",
            {
                "wheel_centre": tuple(self.hub),
                "pivot_outer": tuple(foot + 60.0 * along),
                "pivot_inner": tuple(foot - 330.0 * along),
            },
        )

    def travel(self, turn: float) -> float:
        """Rise of the hub as the arm turns, bump positive: by hand, in the plane square to the axis."""
        drop = self.hub_height - self.axis_height
        return drop * (math.cos(turn) - 1.0) + self.reach * math.sin(turn)


PUBLISHED = pytest.mark.parametrize(
    ("sweep_deg", "turn_deg", "camber_deg", "toe_deg"),
    [
        (15.0, 5.0, 1.292562968952, 0.054520816059),
        (15.0, 10.0, 2.575938010908, 0.217833546425),
        (15.0, 90.0, 15.0, 15.0),
        (12.0, 5.0, 1.038296335746, 0.044347221298),
        (12.0, 10.0, 2.069027035501, 0.177138053714),
        (12.0, 90.0, 12.0, 12.0),
    ],
)


@PUBLISHED
def test_semi_trailing_arm_closed_form(sweep_deg: float, turn_deg: float, camber_deg: float, toe_deg: float) -> None:
    """In bump the top leans in (camber negative) and the wheel toes in."""
    arm = SweptArm(sweep_deg)

    sweep = sweep_bump(arm.axle, np.array([arm.travel(math.radians(turn_deg))]))

    assert_allclose(sweep["camber"], math.radians(-camber_deg), rtol=0.0, atol=PUBLISHED_TO)
    assert_allclose(sweep["toe"], math.radians(toe_deg), rtol=0.0, atol=PUBLISHED_TO)


@pytest.mark.parametrize(("turn_deg", "camber_deg", "toe_deg"), [(5.0, 1.292562968952, 0.054520816059)])
def test_camber_is_odd_and_toe_even_in_turn(turn_deg: float, camber_deg: float, toe_deg: float) -> None:
    """In droop the same camber the other way, and toe-in once more: the formula's symmetry (formula)."""
    arm = SweptArm(15.0)

    sweep = sweep_bump(arm.axle, np.array([arm.travel(-math.radians(turn_deg))]))

    assert_allclose(sweep["camber"], math.radians(camber_deg), rtol=0.0, atol=PUBLISHED_TO)
    assert_allclose(sweep["toe"], math.radians(toe_deg), rtol=0.0, atol=PUBLISHED_TO)


@pytest.mark.parametrize("sweep_deg", [12.0, 15.0, 25.0])
def test_camber_gain_and_bump_steer_as_closed_form(sweep_deg: float) -> None:
    """The closed form's derivatives: d camber = -sin(psi) dtheta and no toe at theta = 0 (formula)."""
    arm = SweptArm(sweep_deg)

    sweep = sweep_bump(arm.axle, np.zeros(1))

    assert_allclose(sweep["camber_gain"], -math.sin(arm.sweep) / arm.reach, rtol=0.0, atol=1e-15)
    assert_allclose(sweep["bump_steer"], 0.0, rtol=0.0, atol=1e-15)


SEMI_TRAILING: Points = {
    "wheel_centre": (0.0, 730.0, 300.0),
    "pivot_outer": (420.0, 620.0, 252.0),
    "pivot_inner": (340.0, 260.0, 242.0),
}
SWING: Points = {
    "wheel_centre": (0.0, 690.0, 300.0),
    "pivot_rear": (0.0, 130.0, 310.0),
    "pivot_front": (480.0, 170.0, 290.0),
}


def axis_in_ground_frame(measured: Axle, sweep: Sweep) -> tuple[Array, Array]:
    """Two points of each hinge axis (2, S, 3), carried with the body by hand: rolled about x, then lifted."""
    hinge = measured.suspension.hinges[0]
    sine, cosine = np.sin(sweep["roll"]), np.cos(sweep["roll"])

    def carried(key: str) -> Array:
        x, y, z = (measured.points[key][:, axis, None] + np.zeros_like(sine) for axis in range(3))
        return np.stack([x, cosine * y - sine * z, sine * y + cosine * z + sweep["heave"]], axis=-1)

    return carried(hinge.first), carried(hinge.second)


@pytest.mark.parametrize("how", ["bump", "roll"])
@pytest.mark.parametrize(("kind", "points"), [("semi-trailing arm", SEMI_TRAILING), ("swing axle", SWING)])
def test_wheel_swings_about_the_piercing_points(kind: str, points: Points, how: str) -> None:
    measured = axle(kind, points, math.radians(-1.8), math.radians(0.1))
    if how == "bump":
        sweep = sweep_bump(measured, np.linspace(-60.0, 60.0, 9))
    else:
        sweep = sweep_roll(measured, np.radians(np.linspace(-3.0, 3.0, 7)))
    first, second = axis_in_ground_frame(measured, sweep)
    along = second - first

    transverse = first + ((sweep["contact_x"] - first[..., 0]) / along[..., 0])[..., None] * along
    assert_allclose(sweep["instant_centre_y"], transverse[..., 1], rtol=0.0, atol=ROUNDING)
    assert_allclose(sweep["instant_centre_z"], transverse[..., 2], rtol=0.0, atol=ROUNDING)

    # The swing axle's axis lies along the car and pierces the longitudinal plane far off, at a small angle.
    far = 1e3 if kind == "swing axle" else 1.0
    longitudinal = first + ((sweep["contact_y"] - first[..., 1]) / along[..., 1])[..., None] * along
    assert_allclose(sweep["side_view_centre_x"], longitudinal[..., 0], rtol=0.0, atol=far * ROUNDING)
    assert_allclose(sweep["side_view_centre_z"], longitudinal[..., 2], rtol=0.0, atol=far * ROUNDING)

    # Roll centre: the lines from the contact points to the front-view instant centres meet there.
    slope = (transverse[..., 2] - sweep["contact_z"]) / (transverse[..., 1] - sweep["contact_y"])
    across = sweep["contact_z"] - slope * sweep["contact_y"]
    lateral = (across[1] - across[0]) / (slope[0] - slope[1])
    for prefix in ("", "textbook_"):
        assert_allclose(sweep[f"{prefix}roll_centre_offset"], lateral, rtol=1e-9, atol=ROUNDING)
        assert_allclose(sweep[f"{prefix}roll_centre_height"], across[0] + slope[0] * lateral, rtol=1e-9, atol=ROUNDING)


TRAILING: Points = {
    "wheel_centre": (0.0, 720.0, 300.0),
    "pivot_outer": (430.0, 650.0, 262.0),
    "pivot_inner": (430.0, 400.0, 262.0),
}


def test_trailing_arm_keeps_camber_toe_and_track() -> None:
    """From memory: an axis square to the car changes neither; the wheel stays in its plane."""
    camber, toe = math.radians(-1.8), math.radians(0.1)
    measured = axle("trailing arm", TRAILING, 0.0, 0.0)
    bump = sweep_bump(measured, np.linspace(-60.0, 60.0, 9))
    roll = sweep_roll(measured, np.radians(np.linspace(-3.0, 3.0, 7)))

    for sweep in (bump, roll):
        assert_allclose(sweep["camber_to_body"], 0.0, rtol=0.0, atol=1e-14)
        assert_allclose(sweep["toe"], 0.0, rtol=0.0, atol=1e-14)
        assert_allclose(sweep["camber_gain"], 0.0, rtol=0.0, atol=1e-16)
        assert_allclose(sweep["bump_steer"], 0.0, rtol=0.0, atol=1e-16)
    assert_allclose(bump["half_track_change"], 0.0, rtol=0.0, atol=ROUNDING)
    # Wheels lean with the body: camber to the ground is the roll, outward on the side that rises.
    assert_allclose(roll["camber"], np.array([[-1.0], [1.0]]) * roll["roll"], rtol=0.0, atol=1e-14)

    # A leaning wheel trades camber and toe, but its spin axis keeps its angle to the pivot axis.
    leaning = sweep_bump(axle("trailing arm", TRAILING, camber, toe), np.linspace(-60.0, 60.0, 9))
    along_axis = np.cos(leaning["camber"]) * np.cos(leaning["toe"])
    assert_allclose(along_axis, math.cos(camber) * math.cos(toe), rtol=0.0, atol=1e-14)
    assert np.ptp(leaning["toe"]) > math.radians(0.1)


def test_roll_centre_of_trailing_arms_is_on_the_road() -> None:
    """From memory. Both lines are the road itself: a height, but no place across the car."""
    sweep = sweep_bump(axle("trailing arm", TRAILING), np.linspace(-60.0, 60.0, 9))

    for prefix in ("", "textbook_"):
        assert_allclose(sweep[f"{prefix}roll_centre_height"], 0.0, rtol=0.0, atol=ROUNDING)
        assert np.isnan(sweep[f"{prefix}roll_centre_offset"]).all()
    assert_allclose(sweep["force_weighted_height"], 0.0, rtol=0.0, atol=ROUNDING)
    assert_allclose(sweep["jacking_coefficient"], 0.0, rtol=0.0, atol=1e-14)


@pytest.mark.parametrize(("pivot_out", "pivot_up"), [(130.0, 310.0), (60.0, 240.0), (-80.0, 280.0)])
def test_swing_axle_closed_form(pivot_out: float, pivot_up: float) -> None:
    """h = z0 (b/2) / (b/2 - y0), at ride height and where the axle has turned by hand about its pivot (formula).

    On an axis along the car the wheel turns by as much as the half-shaft, and the lowest point of its disc with it.
    """
    hub_out, radius = 690.0, 300.0
    points: Points = {
        "wheel_centre": (0.0, hub_out, radius),
        "pivot_rear": (0.0, pivot_out, pivot_up),
        "pivot_front": (400.0, pivot_out, pivot_up),
    }
    for turn_deg in (-4.0, 0.0, 5.0):
        turn = math.radians(turn_deg)

        def turned(out: float, up: float, turn: float = turn) -> tuple[float, float]:
            y, z = out - pivot_out, up - pivot_up
            sine, cosine = math.sin(turn), math.cos(turn)
            return pivot_out + cosine * y - sine * z, pivot_up + sine * y + cosine * z

        travel = turned(hub_out, radius)[1] - radius
        half_track, floor = turned(hub_out, 0.0)
        sweep = sweep_bump(axle("swing axle", points), np.array([travel]))

        height = (pivot_up - floor) * half_track / (half_track - pivot_out)
        assert_allclose(sweep["contact_y"][:, 0], [half_track, -half_track], rtol=0.0, atol=ROUNDING)
        assert_allclose(sweep["camber"], -turn, rtol=0.0, atol=1e-13)
        assert_allclose(sweep["roll_centre_height"], height, rtol=0.0, atol=ROUNDING)
        assert_allclose(sweep["roll_centre_offset"], 0.0, rtol=0.0, atol=ROUNDING)
        assert_allclose(sweep["textbook_roll_centre_height"], height, rtol=0.0, atol=ROUNDING)
        assert_allclose(sweep["camber_gain"], -1.0 / (turned(hub_out, radius)[0] - pivot_out), rtol=0.0, atol=1e-14)
