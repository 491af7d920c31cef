"""A strut and a double wishbone whose upper arm, from the strut's top, lies square to the strut's axis.

At that instant both hold the upright alike, however long the arm: the top may only move along the strut. That is
the drawing-board construction of the strut's instant centre (J. Reimpell, H. Stoll, J. W. Betzler, The Automotive
Chassis, section 3.4.3, from memory). Away from it they part, for the strut's axis turns with the upright and the
arm's end goes round; with top and pivots both at a distance D the rest is t d / D^2 rad of turn, t being the travel
and d the sideways shift of the strut's foot (formula: the axis tilts by d over D, and by d over D + t or thereabouts).
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle, sweep_bump
from kinematics.car.car import SIDES
from kinematics.car.suspensions import SUSPENSIONS
from solvers.vectors import cross, unit
from tests.equivalences.curves import TRAVELS, assert_same_curves
from tests.equivalences.rewritten import typical_axle, with_keys

# The strut turns about its own top; an arm's ball joint in the upright leaves it.
TOP_POINT = {"upper_ball_joint": "strut_top", "upper_pivot_front": "strut_top", "upper_pivot_rear": "strut_top"}

AT_AN_INSTANT = [
    "camber",
    "toe",
    "camber_gain",
    "bump_steer",
    "caster",
    "kingpin_inclination",
    "scrub_radius",
    "mechanical_trail",
    "jacking_coefficient",
    "roll_centre_height",
    "textbook_roll_centre_height",
    "instant_centre_y",
    "instant_centre_z",
    "side_view_centre_x",
    "side_view_centre_z",
    "roll_steer",
    "anti_dive",
]

MEETINGS_OF_LINES = {
    "roll_centre_height",
    "roll_centre_offset",
    "force_weighted_height",
    "instant_centre_y",
    "instant_centre_z",
    "swing_arm_length",
    "side_view_centre_x",
    "side_view_centre_z",
    "side_view_swing_arm",
    "textbook_roll_centre_height",
    "textbook_roll_centre_offset",
}


def strut_with_top_at(distance: float | None) -> Axle:
    """The typical strut, its top moved along its axis to a distance from the foot [mm], or where it is."""
    strut = typical_axle("strut", "front")
    if distance is None:
        return strut
    foot, top = strut.points["strut_low"], strut.points["strut_top"]
    return replace(strut, points={**strut.points, "strut_top": foot + distance * unit(top - foot)})


def wishbones_instead(strut: Axle, arm: float) -> Axle:
    """An upper arm of that length from the strut's top to a pivot axis, both square to the strut's axis."""
    top = strut.points["strut_top"]
    along = unit(top - strut.points["strut_low"])
    ahead = unit(cross(np.array([0.0, 1.0, 0.0]), along))
    inward = SIDES[:, None] * cross(ahead, along)
    wishbones = with_keys(strut, SUSPENSIONS["double wishbone"], TOP_POINT)
    pivots = {
        "upper_pivot_front": top + arm * inward + 0.5 * arm * ahead,
        "upper_pivot_rear": top + arm * inward - 0.5 * arm * ahead,
    }
    return replace(wishbones, points={**wishbones.points, **pivots})


@pytest.mark.parametrize("arm", [150.0, 400.0, 5000.0])
def test_alike_at_ride_height_however_long_the_arm(arm: float) -> None:
    strut = strut_with_top_at(None)
    wishbones = wishbones_instead(strut, arm)

    one, two = (sweep_bump(axle, np.zeros(1)) for axle in (strut, wishbones))

    for key in AT_AN_INSTANT:
        # Rounding only: the instant centres lie some metres off, everything else is of the size of the car or less.
        assert_allclose(one[key], two[key], rtol=1e-10, atol=1e-10, err_msg=key)


def test_not_alike_away_from_it() -> None:
    """The upper arm of a car is no strut: 60 mm away the camber is another by more than a tenth of a degree."""
    strut = strut_with_top_at(None)

    one, two = (sweep_bump(axle, TRAVELS) for axle in (strut, wishbones_instead(strut, 300.0)))

    assert np.abs(one["camber"] - two["camber"]).max() > np.radians(0.1)


def test_difference_falls_as_distance_squared() -> None:
    """Over two decades, 10 m to 1 km."""
    distances = 10.0 ** np.arange(4.0, 6.1, 0.5)
    pairs = [(strut, wishbones_instead(strut, far)) for far in distances for strut in [strut_with_top_at(far)]]
    sweeps = [[sweep_bump(axle, TRAVELS) for axle in pair] for pair in pairs]
    for key in ("camber", "toe", "contact_y", "contact_x", "camber_gain"):
        falling = np.array([np.abs(one[key] - two[key]).max() for one, two in sweeps])

        # The next term is of the size of the car over the distance: a few hundred millimetres in 10 m.
        assert_allclose(falling[:-1] / falling[1:], 10.0, rtol=0.03, err_msg=key)


def test_same_curves_from_a_kilometre() -> None:
    """t d / D^2 is 1e-9 rad there, so that what follows from places, angles and slopes is the same to 1e-6.

    Instant centres lie hundreds of metres off; roll-centre heights are the contact lines' slopes, which are compared,
    times the half track of 750 mm and more.
    """
    strut = strut_with_top_at(1e6)

    assert_same_curves(strut, wishbones_instead(strut, 1e6), besides=MEETINGS_OF_LINES)
