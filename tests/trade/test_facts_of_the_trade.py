"""What every workshop knows about roll centres and camber: the sign and size of each change.

All of these are common practice, no source. Why they must come out so is worked out in the plane of the front view,
inboard positive: the lower arm runs from its joint (z_j over the ground) inwards and rises by m for each mm; the
other line (a strut's normal at its top mount, or the upper arm) passes H over the joint and rises by n. They meet

    u = H / (m - n) inboard of the joint, at z = z_j + m u,

and the line from the contact point, e outboard of the joint and b from the centre plane, is at the centre plane

    h = b z / (u + e) = b (z_j (m - n) + m H) / (H + e (m - n)).

A strut leans in at its top, so its normal falls inwards: n = -t, with t the tangent of the lean.
On cars like the ones here e (m - n) is small beside H, so h is about b (z_j (m - n) / H + m).
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics import LEFT, RIGHT, Axle, sweep_bump, sweep_grid, sweep_roll
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from solvers.vectors import Array
from tests.properties.plausible_cars import INDEPENDENT, ONE_OR_MANY, REPEATABLE, axles, named, typical_axle

STRUT, WISHBONES = SUSPENSIONS["strut"], SUSPENSIONS["double wishbone"]
WITH_ARMS = [kind for kind in INDEPENDENT if kind.arms]
# Held in front view by links across the car; a swing axle's short arm and trailing arms are another story.
ACROSS = [*WITH_ARMS, SUSPENSIONS["five link"], SUSPENSIONS["H-arm"]]
LOWER_PIVOTS = ("lower_pivot_front", "lower_pivot_rear")
UPPER_PIVOTS = ("upper_pivot_front", "upper_pivot_rear")
LEVEL = np.zeros(1)


def roll_centre_heights(axle: Axle, lowered: Array) -> Array:
    """Over the ground, with the body lowered by so much [mm]."""
    sweep = sweep_grid(axle, lowered, LEVEL)
    assert sweep.reached.all()
    return sweep["roll_centre_height"][:, 0]


def roll_centre_height(axle: Axle) -> float:
    return float(roll_centre_heights(axle, LEVEL)[0])


def raised(axle: Axle, keys: tuple[str, ...], by: float) -> Axle:
    """The axle with some points higher on both sides, measured at the same ride height."""
    up = np.array([0.0, 0.0, by])
    return replace(axle, points={key: point + up * (key in keys) for key, point in axle.points.items()})


def with_level_arms(axle: Axle) -> Axle:
    """Lower pivots as high as the ball joint."""
    height = axle.points["lower_ball_joint"][:, 2]
    points = {key: point.copy() for key, point in axle.points.items()}
    for key in LOWER_PIVOTS:
        points[key][:, 2] = height
    return replace(axle, points=points)


@REPEATABLE
@given(st.data(), st.floats(5.0, 50.0))
def test_lowering_a_strut_car_lowers_its_roll_centre_by_more(data: st.DataObject, by: float) -> None:
    """Common practice, no source.

    Body, inner pivots and top mount go down by d, the joint stays: m falls by d / a (a the arm's length in front
    view), H falls by d. So h falls by about b d / a, and half a track is about twice as long as the arm.
    """
    at_rest, lowered = roll_centre_heights(data.draw(axles(STRUT, symmetric=True)), np.array([0.0, by]))
    assert at_rest - lowered > 1.5 * by


@pytest.mark.parametrize("kind", WITH_ARMS, ids=named)
@REPEATABLE
@given(st.data(), st.floats(5.0, 30.0))
def test_longer_lower_ball_joint_raises_the_roll_centre(kind: SuspensionType, data: st.DataObject, by: float) -> None:
    """Common practice, no source.

    The joint is lower in the upright by d, the pivots are where they were: m grows by d / a, h by about b d / a
    (less a little for the lower z_j). That is what the part is sold for: it gives a lowered car its arm angle back.
    """
    axle = data.draw(axles(kind, symmetric=True))
    longer = raised(axle, ("lower_ball_joint",), -by)
    assert roll_centre_height(longer) > roll_centre_height(axle) + by


@ONE_OR_MANY
@given(st.data())
def test_longer_ball_joint_undoes_the_lowering(data: st.DataObject) -> None:
    """Common practice, no source: a joint longer by what the car was lowered puts the arms back where they were.

    Then only H and z_j, each smaller by d, tell the lowered car from the old one: the roll centre is back to within
    about d, where the lowering alone took more than twice that. The joint is fitted to the car as it now stands.
    """
    axle, by = data.draw(axles(STRUT, symmetric=True)), 25.0
    before, lowered = roll_centre_heights(axle, np.array([0.0, by]))
    body = (*LOWER_PIVOTS, "strut_top", "tie_rod_inner")
    again = raised(raised(axle, body, -by), ("lower_ball_joint",), -by)
    assert abs(roll_centre_height(again) - before) < by
    assert abs(lowered - before) > 1.5 * by


@pytest.mark.parametrize("kind", WITH_ARMS, ids=named)
@REPEATABLE
@given(st.data(), st.floats(5.0, 30.0))
def test_raising_the_lower_inner_pivots_raises_the_roll_centre(
    kind: SuspensionType, data: st.DataObject, by: float
) -> None:
    """Common practice, no source: m grows by d / a, nothing else changes, and h grows by b d (1 + z_j / H) / a."""
    axle = data.draw(axles(kind, symmetric=True))
    assert roll_centre_height(raised(axle, LOWER_PIVOTS, by)) > roll_centre_height(axle) + by


@REPEATABLE
@given(st.data(), st.floats(5.0, 30.0))
def test_raising_the_upper_inner_pivots_lowers_the_roll_centre(data: st.DataObject, by: float) -> None:
    """Common practice, no source.

    n grows and m stays, so the arms meet farther in: h = b z / (u + e) falls with u as long as z_j > e m, that
    is, as long as the lower arm's line, drawn outwards, meets the wheel's middle plane above the ground.
    """
    axle = data.draw(axles(WISHBONES, symmetric=True))
    assert roll_centre_height(raised(axle, UPPER_PIVOTS, by)) < roll_centre_height(axle)


def test_level_arms_on_a_strut_put_the_roll_centre_low() -> None:
    """Common practice, no source: with m = 0 the strut's lean is all that is left, h = b z_j t / (H + e t)."""
    axle = with_level_arms(typical_axle(STRUT))
    joint, top, low = (axle.points[key][LEFT] for key in ("lower_ball_joint", "strut_top", "strut_low"))
    contact = axle.contact[LEFT]
    lean = (low[1] - top[1]) / (top[2] - low[2])
    over_joint = top[2] - joint[2] + lean * (joint[1] - top[1])
    expected = contact[1] * joint[2] * lean / (over_joint + lean * (contact[1] - joint[1]))
    assert 20.0 < expected < 40.0

    # Drawn in one plane; the pivot axis and the strut of the car lean in side view by a few degrees.
    assert roll_centre_height(axle) == pytest.approx(expected, abs=3.0)
    assert roll_centre_height(axle) < joint[2] / 4.0


@ONE_OR_MANY
@given(st.data())
def test_lowered_from_level_arms_it_goes_underground(data: st.DataObject) -> None:
    """Common practice, no source: it falls twice as fast as the body from a few centimetres up."""
    axle = with_level_arms(data.draw(axles(STRUT, symmetric=True)))
    level, lowered = roll_centre_heights(axle, np.array([0.0, 40.0]))
    assert lowered < 0.0
    assert level - lowered > 1.5 * 40.0


def test_strut_gains_no_camber_where_its_arm_is_square_to_it() -> None:
    """Common practice, no source: there the lines are parallel (m = n) and the upright does not turn in front view.

    Before it, bump still tilts the top in; lowered past it, bump tilts the top out.
    """
    axle = typical_axle(STRUT)
    # Laid in one plane, where "square" is square: pivots level with each other, strut upright in side view.
    flat = {key: point * [0.0, 1.0, 1.0] for key, point in axle.points.items()}
    pivot, ahead = flat["lower_pivot_front"], np.array([130.0, 0.0, 0.0])
    flat["lower_pivot_front"], flat["lower_pivot_rear"] = pivot + ahead, pivot - ahead
    flat["tie_rod_outer"], flat["tie_rod_inner"] = flat["lower_ball_joint"] - ahead, pivot - ahead
    sweep = sweep_bump(replace(axle, points=flat, toe=np.zeros(2)), np.linspace(-60.0, 90.0, 151))

    top, low = flat["strut_top"][LEFT], flat["strut_low"][LEFT]
    measured_lean = np.arctan2(low[1] - top[1], top[2] - low[2])
    # The strut's axis turns with the upright: leaning in more as camber falls.
    lean = measured_lean + axle.camber[LEFT] - sweep["camber_to_body"][LEFT]
    from_square = sweep["lower_arm_angle"][LEFT] + lean
    gain = sweep["camber_gain"][LEFT]
    assert from_square[0] > 0.0 > from_square[-1]
    assert (np.sign(gain) == -np.sign(from_square)).all()


@pytest.mark.parametrize("kind", ACROSS, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_outer_wheel_loses_camber_in_roll(kind: SuspensionType, data: st.DataObject) -> None:
    """Common practice, no source: the outer wheel leans out with the body, for its camber gain makes up a part only.

    With roll positive the left side rises, so the right wheel is the outer one. The body turns it out by the roll, and
    its travel, half a track times the roll, turns it back in by that over the length of the swing arm.
    """
    roll = np.radians([-0.05, 0.0, 0.05, 2.0])
    sweep = sweep_roll(data.draw(axles(kind, symmetric=True)), roll)
    camber = sweep["camber"] - sweep["camber"][:, 1:2]
    assert camber[RIGHT, 3] > 0.0 > camber[LEFT, 3]

    rate = (camber[RIGHT, 2] - camber[RIGHT, 0]) / (roll[2] - roll[0])
    half_track, swing_arm = -sweep["contact_y"][RIGHT, 1], sweep["swing_arm_length"][RIGHT, 1]
    # The upright's turn in side and top view, a few degrees over the travel, adds to camber through toe and caster.
    assert rate == pytest.approx(1.0 - half_track / swing_arm, abs=0.01)
