"""Side view: instant centres drawn by hand, and anti-dive, anti-lift and anti-squat from the angle to them.

W. F. Milliken and D. L. Milliken, Race Car Vehicle Dynamics, ch. 17 (from memory): with theta the slope of the line
from the contact point to the side-view instant centre, the part of the load transfer that the linkage carries is
tan(theta) L / h times the axle's share of the braking force; where the torque goes to the body (inboard brakes,
half-shafts), theta is the slope of the line from the wheel centre.

Every geometry is planar in side view, so that the drawing is exact: wishbones' ball joints lie in the wheel's plane and
their axes along the car, links of a live axle lie along the car or alike on both sides.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle, Sweep, sweep_bump
from kinematics.car.fittings import Body, Fittings
from kinematics.car.suspensions import SUSPENSIONS

Point = tuple[float, float, float]
Points = dict[str, Point]
SideView = tuple[float, float]  # ahead, up

WHEELBASE, HEIGHT, HUB = 2480.0, 520.0, 300.0
FRONT_BRAKES, FRONT_DRIVE = 0.62, 0.3
BODY = Body(centre_of_gravity=HEIGHT, wheelbase=WHEELBASE, front_brakes=FRONT_BRAKES, front_drive=FRONT_DRIVE)

ROUNDING = 1e-9  # mm, in numbers of a few metres and less; ratios a thousandth of it


def axle(name: str, kind: str, points: Points, fittings: Fittings | None = None) -> Axle:
    single = SUSPENSIONS[kind].single
    both_sides = {
        key: np.array([[x, (1.0 if key in single else side) * out, up] for side in (1.0, -1.0)])
        for key, (x, out, up) in points.items()
    }
    return Axle(
        name,
        SUSPENSIONS[kind],
        both_sides,
        camber=np.zeros(2),
        toe=np.zeros(2),
        fittings=fittings or Fittings(),
        body=BODY,
    )


@dataclass(frozen=True)
class Line:
    """A line in side view through a point, with slope up over ahead."""

    at: SideView
    slope: float

    @classmethod
    def through(cls, points: Points, link: str) -> "Line":
        """A link's, from its axle end to its chassis end."""
        (x, _, z), (x_chassis, _, z_chassis) = points[f"{link}_axle"], points[f"{link}_chassis"]
        return cls((x, z), (z_chassis - z) / (x_chassis - x))

    def height(self, ahead: float) -> float:
        return self.at[1] + self.slope * (ahead - self.at[0])

    def meets(self, other: "Line") -> SideView:
        ahead = (other.height(0.0) - self.height(0.0)) / (self.slope - other.slope)
        return ahead, self.height(ahead)


def assert_centre(sweep: Sweep, centre: SideView) -> None:
    for key, expected in zip(("side_view_centre_x", "side_view_centre_z"), centre, strict=True):
        assert_allclose(sweep[key], expected, rtol=0.0, atol=ROUNDING, err_msg=key)
    assert_allclose(sweep["side_view_swing_arm"], centre[0], rtol=0.0, atol=ROUNDING)


def assert_share(sweep: Sweep, key: str, share: float, rise: float, run: float) -> None:
    """tan(theta) L / h times the share, as a part of one."""
    assert_allclose(sweep[key], share * rise / run * WHEELBASE / HEIGHT, rtol=0.0, atol=1e-3 * ROUNDING, err_msg=key)


# --- Double wishbone ------------------------------------------------------------------------------------------------


def wishbones(rod: str, lower_slope: float, upper_slope: float, lower_out: float = 350.0) -> tuple[Points, SideView]:
    """Ball joints in the wheel's plane, pivot axes along the car with those slopes; and the instant centre.

    Each ball joint moves square to its pivot axis, so the instant centre is on the line through it along the axis.
    """
    lower, upper = Line((10.0, 180.0), lower_slope), Line((-15.0, 430.0), upper_slope)

    def on_axis(line: Line, out: float, ahead: float) -> Point:
        return ahead, out, line.height(ahead) + 12.0

    points = {
        "wheel_centre": (0.0, 730.0, HUB),
        "lower_ball_joint": (10.0, 730.0, 180.0),
        "lower_pivot_front": on_axis(lower, lower_out, 130.0),
        "lower_pivot_rear": on_axis(lower, lower_out, -150.0),
        "upper_ball_joint": (-15.0, 730.0, 430.0),
        "upper_pivot_front": on_axis(upper, 420.0, 96.0),
        "upper_pivot_rear": on_axis(upper, 420.0, -104.0),
        f"{rod}_outer": (-124.0, 700.0, 214.0),
        f"{rod}_inner": (-120.0, 344.0, 224.0),
    }
    return points, lower.meets(upper)


@pytest.mark.parametrize(("lower_slope", "upper_slope"), [(-0.02, 0.12), (0.03, 0.15), (-0.12, 0.05), (0.1, -0.05)])
@pytest.mark.parametrize("inboard", [False, True])
def test_anti_dive_and_anti_lift_of_front_wishbones(lower_slope: float, upper_slope: float, inboard: bool) -> None:
    """The last centre lies ahead of the axle: pro-dive by the same rule."""
    points, centre = wishbones("tie_rod", lower_slope, upper_slope)

    sweep = sweep_bump(axle("front", "double wishbone", points, Fittings(inboard_brakes=inboard)), np.zeros(1))

    assert_centre(sweep, centre)
    behind = -centre[0]
    assert_share(sweep, "anti_dive", FRONT_BRAKES, centre[1] - (HUB if inboard else 0.0), behind)
    assert_share(sweep, "anti_lift_in_drive", FRONT_DRIVE, centre[1] - HUB, behind)


@pytest.mark.parametrize(("lower_slope", "upper_slope"), [(0.1, -0.05), (0.15, 0.02), (-0.02, 0.12)])
@pytest.mark.parametrize("inboard", [False, True])
def test_anti_lift_and_anti_squat_of_rear_wishbones(lower_slope: float, upper_slope: float, inboard: bool) -> None:
    points, centre = wishbones("toe_link", lower_slope, upper_slope, lower_out=330.0)
    kind = "double wishbone with toe link"

    sweep = sweep_bump(axle("rear", kind, points, Fittings(inboard_brakes=inboard)), np.zeros(1))

    assert_centre(sweep, centre)
    assert_share(sweep, "anti_lift", 1.0 - FRONT_BRAKES, centre[1] - (HUB if inboard else 0.0), centre[0])
    assert_share(sweep, "anti_squat", 1.0 - FRONT_DRIVE, centre[1] - HUB, centre[0])


def test_no_anti_dive_with_level_axes() -> None:
    """Parallel level axes: the ball joints move straight up, the centre is at infinity, no part is carried."""
    points, _ = wishbones("tie_rod", 0.0, 1e-12)
    points |= {"upper_pivot_front": (96.0, 420.0, 442.0), "upper_pivot_rear": (-104.0, 420.0, 442.0)}

    sweep = sweep_bump(axle("front", "double wishbone", points), np.zeros(1))

    assert_allclose(sweep["anti_dive"], 0.0, rtol=0.0, atol=1e-12)
    assert_allclose(sweep["anti_lift_in_drive"], 0.0, rtol=0.0, atol=1e-12)
    assert not (np.abs(sweep["side_view_centre_x"]) < 1e9).any()


def test_full_anti_dive_by_hand() -> None:
    """By hand: all brakes in front and the centre on the line from the contact point with slope h / L: 100 per cent."""
    run = 1500.0
    centre = (-run, run * HEIGHT / WHEELBASE)
    slopes = [(up - centre[1]) / (ahead - centre[0]) for ahead, up in ((10.0, 180.0), (-15.0, 430.0))]
    points, drawn = wishbones("tie_rod", slopes[0], slopes[1])
    assert_allclose(drawn, centre, rtol=0.0, atol=ROUNDING)
    measured = axle("front", "double wishbone", points)

    sweep = sweep_bump(replace(measured, body=replace(BODY, front_brakes=1.0)), np.zeros(1))

    assert_allclose(sweep["anti_dive"], 1.0, rtol=0.0, atol=1e-12)


# --- Trailing arm ---------------------------------------------------------------------------------------------------


def test_trailing_arm_swings_about_its_pivot_at_any_height() -> None:
    """From memory, as above; the body's centre of gravity and the pivot rise and sink with the body."""
    pivot = (430.0, 262.0)
    points: Points = {
        "wheel_centre": (0.0, 720.0, HUB),
        "pivot_outer": (pivot[0], 650.0, pivot[1]),
        "pivot_inner": (pivot[0], 400.0, pivot[1]),
    }
    travel = np.linspace(-60.0, 60.0, 7)

    sweep = sweep_bump(axle("rear", "trailing arm", points), travel)

    # On an upright wheel that only turns in its plane the body sinks by the travel, and the hub goes round the pivot.
    assert_allclose(sweep["heave"], -travel, rtol=0.0, atol=ROUNDING)
    up = HUB + travel - pivot[1]
    hub = pivot[0] - np.sqrt(pivot[0] ** 2 + (HUB - pivot[1]) ** 2 - up**2)
    assert_allclose(sweep["wheel_centre_recession"], [-hub] * 2, rtol=0.0, atol=ROUNDING)
    assert_allclose(sweep["side_view_centre_x"], pivot[0], rtol=0.0, atol=ROUNDING)
    assert_allclose(sweep["side_view_centre_z"], [pivot[1] - travel] * 2, rtol=0.0, atol=ROUNDING)
    turn = math.atan2(HUB - pivot[1], pivot[0]) - np.arctan2(up, pivot[0] - hub)
    # The arm turns nose down in bump: the top of the wheel goes forward.
    assert_allclose(sweep["side_view_turn"], [turn] * 2, rtol=0.0, atol=1e-13)

    run, over_height = pivot[0] - hub, WHEELBASE / (HEIGHT - travel)
    braked = (1.0 - FRONT_BRAKES) * (pivot[1] - travel) / run * over_height
    driven = (1.0 - FRONT_DRIVE) * (pivot[1] - travel - HUB) / run * over_height
    assert_allclose(sweep["anti_lift"], [braked] * 2, rtol=0.0, atol=1e-12)
    assert_allclose(sweep["anti_squat"], [driven] * 2, rtol=0.0, atol=1e-12)


# --- Live axles -----------------------------------------------------------------------------------------------------

LINKS: Points = {
    "wheel_centre": (0.0, 715.0, HUB),
    "lower_link_axle": (15.0, 490.0, 235.0),
    "lower_link_chassis": (510.0, 490.0, 262.0),
    "upper_link_axle": (-10.0, 0.0, 450.0),
    "upper_link_chassis": (330.0, 0.0, 412.0),
    "panhard_axle": (-130.0, 540.0, 290.0),
    "panhard_chassis": (-130.0, -530.0, 290.0),
}
FOUR: Points = {**LINKS, "upper_link_axle": (-10.0, 470.0, 450.0), "upper_link_chassis": (330.0, 470.0, 412.0)}
TRIANGULATED: Points = {**LINKS, "upper_link_axle": (-10.0, 110.0, 450.0), "upper_link_chassis": (330.0, 420.0, 412.0)}
CLIMBING: Points = {"lower_link_chassis": (510.0, 490.0, 215.0), "upper_link_chassis": (330.0, 0.0, 455.0)}


def assert_live_axle(measured: Axle, centre: SideView) -> None:
    """A live axle takes its torque itself, so that driving acts at the contact point as braking does."""
    sweep = sweep_bump(measured, np.zeros(1))
    assert_centre(sweep, centre)
    assert_share(sweep, "anti_squat", 1.0 - FRONT_DRIVE, centre[1], centre[0])
    assert_share(sweep, "anti_lift", 1.0 - FRONT_BRAKES, centre[1], centre[0])


@pytest.mark.parametrize(
    ("kind", "points"),
    [
        ("live axle with three links", LINKS),
        ("live axle with three links", {**LINKS, **CLIMBING}),
        ("live axle with four links", FOUR),
        ("live axle with triangulated links", TRIANGULATED),
    ],
)
def test_live_axle_swings_about_the_meeting_point_of_its_links(kind: str, points: Points) -> None:
    """Seen from the side both links' lines meet there; the second case's do so behind the axle."""
    centre = Line.through(points, "lower_link").meets(Line.through(points, "upper_link"))
    used = {key: point for key, point in points.items() if key in SUSPENSIONS[kind].keys}

    assert_live_axle(axle("rear", kind, used), centre)


@pytest.mark.parametrize("bush_ahead", [700.0, 960.0])
def test_torque_arm_swings_above_or_below_its_bush(bush_ahead: float) -> None:
    """The arm's end moves level, so that the centre is upright over it, where the lower links' line passes."""
    points = {key: point for key, point in LINKS.items() if not key.startswith("upper")}
    points["torque_arm_front"] = (bush_ahead, 0.0, 330.0)
    lower = Line.through(points, "lower_link")

    assert_live_axle(axle("rear", "live axle with torque arm", points), (bush_ahead, lower.height(bush_ahead)))
