"""Instant centres stand still and roll centres lie on both contact lines, whatever the car and its attitude."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kinematics import stances, sweep_bump, sweep_roll
from kinematics.car.suspension_type import SuspensionType
from kinematics.numbers.registry import QUANTITIES
from kinematics.numbers.stance import Stance
from solvers.vectors import Array
from tests.properties.differences import ANGLE_SLOPE, POINT_SLOPE, SIDES, Around
from tests.properties.plausible_cars import (
    FREE_TO_MOVE,
    INDEPENDENT,
    LIVE_AXLES,
    ONE_OR_MANY,
    REPEATABLE,
    ROLLS,
    axles,
    named,
)

TRAVELS = np.array([np.linspace(-40.0, 50.0, 7), np.linspace(30.0, -45.0, 7)])
FAR = 1e6  # mm; farther out it is no point of anything
METRE = 1000.0


def on_body(place: Array, heave: float, roll: float) -> Array:
    """Points of the ground frame (..., 3) in the body's axes."""
    cos, sin = np.cos(roll), np.sin(roll)
    y, z = place[..., 1], place[..., 2] - heave
    return np.stack([place[..., 0], cos * y + sin * z, -sin * y + cos * z], axis=-1)


def turned(vectors: Array, roll: float) -> Array:
    return on_body(vectors, 0.0, -roll)


@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
@REPEATABLE
@given(st.data(), st.floats(-30.0, 30.0), st.floats(-0.06, 0.06))
def test_instant_centre_stands_still(kind: SuspensionType, data: st.DataObject, heave: float, roll: float) -> None:
    """A point fixed to the upright where the instant centre is now has no speed across or up, by differences."""
    axle = data.draw(axles(kind))
    around = Around(axle, TRAVELS, heave, roll, "in roll")
    stance = around.stance
    contact, centre = around.here(stance.contact), around.here(stance.instant_centre)
    away = np.hypot(centre[..., 0] - contact[..., 1], centre[..., 1] - contact[..., 2])
    near = away < FAR
    assert near.mean() > 0.9 or kind.name == "trailing arm"

    # In the contact point's transverse plane, then fixed to the upright.
    place = np.concatenate([contact[..., :1], np.where(near[..., None], centre, 0.0)], axis=-1)
    velocity = turned(around.slope(around.path(on_body(place, heave, roll))), roll)
    if kind not in INDEPENDENT:
        # A beam rolls by both its motions at once, so that both contact points stay on the ground.
        both = Around(axle, TRAVELS, heave, roll)

        def by_ways(point: np.ndarray) -> np.ndarray:
            at = on_body(point, heave, roll)
            same, apart = (turned(one.slope(one.path(at)), roll) for one in (both, around))
            return np.stack([same, SIDES[:, None, None] * apart])

        velocity = _kept_down(by_ways(contact), contact, by_ways(place))
    # What a difference misses of the upright's turn counts as far as the point is away.
    speed = np.hypot(velocity[..., 1], velocity[..., 2])
    assert (speed[near] <= POINT_SLOPE + ANGLE_SLOPE * away[near]).all()


@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
@REPEATABLE
@given(st.data(), st.floats(-30.0, 30.0), st.floats(-0.06, 0.06))
def test_side_view_instant_centre_stands_still(
    kind: SuspensionType, data: st.DataObject, heave: float, roll: float
) -> None:
    """A point fixed to the wheel's part there, in the contact point's longitudinal plane, has no speed along or up."""
    around = Around(data.draw(axles(kind)), TRAVELS, heave, roll)
    stance = around.stance
    contact = around.here(stance.contact)
    x, z = (around.here(QUANTITIES[f"side_view_centre_{axis}"].read(stance)) for axis in "xz")
    away = np.hypot(x - contact[..., 0], z - contact[..., 2])
    near = away < FAR

    place = np.stack([np.where(near, x, 0.0), contact[..., 1], np.where(near, z, 0.0)], axis=-1)
    velocity = turned(around.slope(around.path(on_body(place, heave, roll))), roll)
    speed = np.hypot(velocity[..., 0], velocity[..., 2])
    assert (speed[near] <= POINT_SLOPE + ANGLE_SLOPE * away[near]).all()
    arm = around.here(QUANTITIES["side_view_swing_arm"].read(stance))
    assert_allclose((x - contact[..., 0])[near], arm[near], rtol=1e-12, atol=1e-9)
    # Where it passes through infinity the wheel hardly turns: a point a metre ahead moves up as the contact point does.
    ahead = turned(around.slope(around.path(on_body(contact + np.array([METRE, 0.0, 0.0]), heave, roll))), roll)
    own = turned(around.slope(around.path(on_body(contact, heave, roll))), roll)
    turn = (ahead - own)[..., 2] / METRE
    assert (np.abs(turn) <= np.hypot(own[..., 0], own[..., 2]) / FAR + ANGLE_SLOPE)[~near].all()
    # Parallel links of one length, or arms hinged at both ends about axes along the car, never turn in side view; of
    # other types it is a state of a wheel or two that lies beside such a passage.
    if kind.name not in ("live axle with four links", "H-arm"):
        assert near.mean() > 0.5


def _in_roll(stance: Stance, kind: SuspensionType) -> np.ndarray:
    """Velocity of the contact points (2, S, 3) relative to the body as it rolls, about per mm of travel."""
    if kind in INDEPENDENT:
        return stance.contact_velocity
    ways = np.stack([stance.contact_velocity_together, SIDES[:, None, None] * stance.contact_velocity])
    return _kept_down(ways, stance.contact, ways)


def _kept_down(of_contact: np.ndarray, contact: np.ndarray, ways: np.ndarray) -> np.ndarray:
    """The mixture (2, S, 3) of two motions (2 ways, 2, S, 3) in which contact points stay down as the body rolls."""
    up = np.transpose(of_contact[..., 2], (2, 1, 0))  # states, contact points, ways
    parts = np.linalg.solve(up, -contact[..., 1].T[..., None])[..., 0]
    return np.asarray(np.einsum("sw,wcsx->csx", parts, ways) / 700.0)


@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
@REPEATABLE
@given(st.data(), st.floats(-30.0, 30.0))
def test_roll_centre_is_on_both_contact_lines(kind: SuspensionType, data: st.DataObject, heave: float) -> None:
    """Seen from the roll centre, each contact point moves straight to or from it by not a thing: no part along.

    On a beam, in the mixture of its two motions that keeps both contact points on the ground as the body rolls by one
    rad, which takes the body's places there up by how far they lie to the left.
    """
    axle = data.draw(axles(kind))
    stance = stances(axle, np.full_like(ROLLS, -heave), ROLLS)
    sweep = sweep_roll(axle, ROLLS, heave)
    roll_centre = np.stack([sweep["roll_centre_offset"], sweep["roll_centre_height"]], axis=-1)
    to_contact = stance.contact[..., 1:] - roll_centre
    velocity = _in_roll(stance, kind)
    along = np.sum(to_contact * velocity[..., 1:], axis=-1)

    # The roll centre of lines that meet under a small angle is uncertain along the lines, not off them.
    away = np.linalg.norm(to_contact, axis=-1)
    found = np.isfinite(away)
    assert found.mean() > 0.9 or kind.name == "trailing arm"
    assert (np.abs(along[found]) <= 1e-9 + 1e-12 * away[found]).all()


@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_instant_centre_is_on_the_contact_line_too(kind: SuspensionType, data: st.DataObject) -> None:
    """The line of this wheel's motion in roll; on independent corners that is its jacking line."""
    axle = data.draw(axles(kind))
    sweep, stance = sweep_roll(axle, ROLLS), stances(axle, np.zeros_like(ROLLS), ROLLS)
    across = sweep["instant_centre_y"] - sweep["contact_y"]
    up = sweep["instant_centre_z"] - sweep["contact_z"]
    near = np.abs(across) < FAR
    assert near.mean() > 0.9 or kind.name == "trailing arm"
    if kind in INDEPENDENT:
        assert_allclose(
            up[near], (-SIDES[:, None] * sweep["jacking_coefficient"] * across)[near], rtol=1e-12, atol=1e-9
        )
    velocity = _in_roll(stance, kind)[near]
    along = across[near] * velocity[..., 1] + up[near] * velocity[..., 2]
    assert (np.abs(along) <= 1e-9 + 1e-12 * np.abs(across[near])).all()
    inboard = (SIDES[:, None] * -np.where(near, across, 0.0))[near]
    assert_allclose(sweep["swing_arm_length"][near], inboard, rtol=1e-12, atol=1e-9)


@pytest.mark.parametrize("kind", LIVE_AXLES, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_a_beam_has_one_centre_of_roll(kind: SuspensionType, data: st.DataObject) -> None:
    """Both wheels' contact points are on one body: square as measured, it rolls about one point of the front view.

    With both contact points in one transverse plane, each one's instant centre in roll is the roll centre.
    """
    axle = data.draw(axles(kind))
    points = {**axle.points, "wheel_centre": axle.points["wheel_centre"] * [0.0, 1.0, 1.0]}
    sweep = sweep_bump(type(axle)(axle.name, kind, points, np.zeros(2), np.zeros(2)), np.zeros(1))
    for axis, key in (("y", "roll_centre_offset"), ("z", "roll_centre_height")):
        both = sweep[f"instant_centre_{axis}"][:, 0]
        assert_allclose(both, np.repeat(sweep[key], 2), rtol=0.0, atol=1e-8, err_msg=key)
