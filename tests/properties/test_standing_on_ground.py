"""In roll and heave both wheels stand on the ground with the discs they were measured with."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kinematics import sweep_bump, sweep_grid, sweep_roll
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from tests.properties.plausible_cars import (
    APART,
    INDEPENDENT,
    KINDS,
    LIVE_AXLES,
    ONE_OR_MANY,
    ROLLS,
    TRAVELS,
    axles,
    named,
    square_to_the_car,
    typical_axle,
)

ON_GROUND = 1e-7  # mm, what a standing wheel is promised; a tape shows a million times more


@pytest.mark.parametrize("kind", KINDS, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_wheels_touch_the_ground(kind: SuspensionType, data: st.DataObject) -> None:
    axle = data.draw(axles(kind))
    sweep = sweep_grid(axle, np.array([-40.0, 0.0, 25.0]), ROLLS)
    assert sweep.reached.all()
    # An H-arm with parallel hinges does not turn its wheel in side view at the height where it was measured.
    side_view = {"side_view_centre_x", "side_view_centre_z", "side_view_swing_arm"}
    at_infinity = side_view if kind.name == "H-arm" else set()
    told = [reason for reason in sweep.problems if reason.number not in at_infinity]
    assert told == [] or square_to_the_car(axle)

    assert_allclose(sweep["contact_z"], 0.0, rtol=0.0, atol=ON_GROUND)
    # A disc of radius r, inclined by the camber, is r cos(camber) high from its lowest point to its centre.
    radius = (axle.points["wheel_centre"][:, 2] / np.cos(axle.camber))[:, None, None]
    assert_allclose(sweep["wheel_centre_z"], radius * np.cos(sweep["camber"]), rtol=0.0, atol=ON_GROUND)
    # The lowest point is as far ahead and aside of the centre as that inclination and the toe tell.
    aside = radius * np.sin(sweep["camber"])
    outward = np.array([1.0, -1.0])[:, None, None]
    ahead, left = -aside * np.sin(sweep["toe"]), -aside * outward * np.cos(sweep["toe"])
    assert_allclose(sweep["contact_x"] - sweep["wheel_centre_x"], ahead, rtol=0.0, atol=ON_GROUND)
    assert_allclose(sweep["contact_y"] - sweep["wheel_centre_y"], left, rtol=0.0, atol=ON_GROUND)


@pytest.mark.parametrize("number", [350, 489, 531, 667])
def test_one_state_alone_is_brought_all_the_way_down(number: int) -> None:
    """To the 1e-9 mm that both wheels are promised, with no other state of the sweep to ask for one more step.

    Swing axles by their number, heaved and rolled at random: of 700 these are among those whose steps towards the
    ground shrink least evenly. Heights by the disc that the solved pose carries: radius times the camber's cosine.
    """
    axle, random = typical_axle(SUSPENSIONS["swing axle"]), np.random.default_rng(number)
    points = {key: point + random.uniform(-APART, APART, (2, 3)) for key, point in axle.points.items()}
    axle = replace(axle, points=points)
    heave, roll = random.uniform(-60.0, 60.0), random.uniform(-0.06, 0.06)
    sweep = sweep_roll(axle, np.array([roll]), heave)
    radius = (axle.points["wheel_centre"][:, 2] / np.cos(axle.camber))[:, None]
    assert_allclose(sweep["contact_z"], 0.0, rtol=0.0, atol=1e-9)
    assert_allclose(sweep["wheel_centre_z"], radius * np.cos(sweep["camber"]), rtol=0.0, atol=1e-9)


@pytest.mark.parametrize("kind", KINDS, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_measured_position_is_what_was_measured(kind: SuspensionType, data: st.DataObject) -> None:
    axle = data.draw(axles(kind))
    sweep = sweep_bump(axle, np.zeros(1))
    for key in ("travel", "contact_z", "half_track_change"):
        assert_allclose(sweep[key], 0.0, rtol=0.0, atol=1e-9, err_msg=key)
    assert_allclose(sweep["camber"][:, 0], axle.camber, rtol=0.0, atol=1e-12)
    assert_allclose(sweep["toe"][:, 0], axle.toe, rtol=0.0, atol=1e-12)
    centre = np.stack([sweep[f"wheel_centre_{axis}"][:, 0] for axis in "xyz"], axis=-1)
    assert_allclose(centre, axle.points["wheel_centre"], rtol=0.0, atol=1e-9)


@pytest.mark.parametrize("kind", KINDS, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_bump_lifts_the_ground_to_the_mean_contact_point(kind: SuspensionType, data: st.DataObject) -> None:
    sweep = sweep_bump(data.draw(axles(kind)), TRAVELS)
    assert_allclose(sweep["contact_z"].sum(axis=0), 0.0, rtol=0.0, atol=1e-9)
    # Heave and the wheels' travel are two names of one distance: from the body to the wheel centres.
    measured = sweep.axle.points["wheel_centre"][:, 2, None]
    assert_allclose(sweep["wheel_centre_z"] - sweep["heave"] - measured, sweep["travel"], rtol=0.0, atol=1e-9)


@pytest.mark.parametrize("kind", INDEPENDENT, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_one_wheel_moves_alone(kind: SuspensionType, data: st.DataObject) -> None:
    axle = data.draw(axles(kind))
    both, left = sweep_bump(axle, TRAVELS), sweep_bump(axle, TRAVELS, "left")
    for key in {"travel", "camber_to_body", "toe", "caster", "kingpin_inclination"} & set(both.values):
        assert_allclose(left[key][0], both[key][0], rtol=0.0, atol=1e-9, err_msg=key)
        still = both[key][1, TRAVELS == 0.0]
        assert_allclose(left[key][1], np.broadcast_to(still, TRAVELS.shape), rtol=0.0, atol=1e-9, err_msg=key)
    assert_allclose(left["heave"], 0.0, rtol=0.0, atol=1e-9)  # the other wheel keeps standing on the measured floor


@pytest.mark.parametrize("kind", LIVE_AXLES, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_one_wheel_takes_the_axle_with_it(kind: SuspensionType, data: st.DataObject) -> None:
    """One end raised, the other held: the wheels are as far apart as ever, and both lean by the same."""
    axle = data.draw(axles(kind))
    left = sweep_bump(axle, TRAVELS, "left")
    assert left.reached.all()
    assert_allclose(left["travel"], [TRAVELS, np.zeros_like(TRAVELS)], rtol=0.0, atol=1e-9)
    assert_allclose(left["contact_z"][1], 0.0, rtol=0.0, atol=1e-9)
    centre = np.stack([left[f"wheel_centre_{axis}"] for axis in "xyz"], axis=-1)
    apart = np.linalg.norm(centre[0] - centre[1], axis=-1)
    measured = np.linalg.norm(axle.points["wheel_centre"][0] - axle.points["wheel_centre"][1])
    assert_allclose(apart, measured, rtol=0.0, atol=1e-9)
    # The angle between the two spin axes, which is the beam's own.
    axes = [
        [-np.sin(camber), side * np.cos(camber) * np.cos(toe), np.cos(camber) * np.sin(toe)]
        for camber, toe, side in zip(left["camber_to_body"], left["toe"], (1.0, -1.0), strict=True)
    ]
    between = np.sum(np.array(axes[0]) * np.array(axes[1]), axis=0)
    assert_allclose(between, between[len(TRAVELS) // 2], rtol=0.0, atol=1e-12)
