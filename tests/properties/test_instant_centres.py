"""Instant centres stand still and roll centres lie on both contact lines, whatever the car and its attitude."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kinematics import stances, sweep_roll
from kinematics.suspension import SuspensionType
from tests.properties.differences import ANGLE_SLOPE, HERE, POINT_SLOPE, around, grouped, slope
from tests.properties.plausible_cars import KIND_NAMES, KINDS, REPEATABLE, ROLLS, axles

TRAVELS = np.array([np.linspace(-50.0, 50.0, 9), np.linspace(40.0, -60.0, 9)])


@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
@REPEATABLE
@given(st.data(), st.floats(-30.0, 30.0), st.floats(-0.06, 0.06))
def test_instant_centre_stands_still(kind: SuspensionType, data: st.DataObject, heave: float, roll: float) -> None:
    """A point fixed to the upright where the instant centre is now has no speed across or up, by differences."""
    stance = around(data.draw(axles(kind)), TRAVELS, heave, roll)
    y, z = np.moveaxis(grouped(stance.instant_centre)[:, :, HERE], -1, 0)
    away = np.hypot(*(np.moveaxis(grouped(stance.instant_centre - stance.contact[..., 1:])[:, :, HERE], -1, 0)))
    near = away < 1e6  # mm; farther out it is no point of anything
    assert near.mean() > 0.9

    # Back into body axes, in the contact point's transverse plane, then fixed to the upright.
    cos, sin = np.cos(roll), np.sin(roll)
    x = grouped(stance.contact)[:, :, HERE, 0]
    on_body = np.stack([x, cos * y + sin * (z - heave), -sin * y + cos * (z - heave)], axis=-1)
    centre = grouped(stance.states.wheel_centre)
    rotation = grouped(stance.states.positions.rotation[..., 0, :, :])
    arm = np.einsum("...ji,...j->...i", rotation[:, :, HERE], on_body - centre[:, :, HERE])
    velocity = slope(centre + np.einsum("...kij,...j->...ki", rotation, arm))

    # What a difference misses of the upright's turn counts as far as the point is away.
    speed = np.hypot(velocity[..., 1], velocity[..., 2])
    assert (speed[near] <= POINT_SLOPE + ANGLE_SLOPE * away[near]).all()


@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
@REPEATABLE
@given(st.data(), st.floats(-30.0, 30.0))
def test_roll_centre_is_on_both_contact_lines(kind: SuspensionType, data: st.DataObject, heave: float) -> None:
    """Seen from the roll centre, each contact point moves straight to or from it by not a thing: no part along."""
    axle = data.draw(axles(kind))
    stance = stances(axle, np.full_like(ROLLS, -heave), ROLLS)
    sweep = sweep_roll(axle, ROLLS, heave)
    roll_centre = np.stack([sweep["roll_centre_offset"], sweep["roll_centre_height"]], axis=-1)
    to_contact = stance.contact[..., 1:] - roll_centre
    along = np.sum(to_contact * stance.contact_velocity[..., 1:], axis=-1)

    # The roll centre of lines that meet under a small angle is uncertain along the lines, not off them.
    away = np.linalg.norm(to_contact, axis=-1)
    found = np.isfinite(away)
    assert found.mean() > 0.9
    assert (np.abs(along[found]) <= 1e-9 + 1e-12 * away[found]).all()


@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
@REPEATABLE
@given(st.data())
def test_instant_centre_is_on_the_contact_line_too(kind: SuspensionType, data: st.DataObject) -> None:
    sweep = sweep_roll(data.draw(axles(kind)), ROLLS)
    across = sweep["instant_centre_y"] - sweep["contact_y"]
    up = sweep["instant_centre_z"] - sweep["contact_z"]
    near = np.abs(across) < 1e6
    assert near.mean() > 0.9
    assert_allclose(up[near], (sweep["jacking_coefficient"] * across)[near], rtol=1e-12, atol=1e-9)
    inboard = np.array([1.0, -1.0])[:, None] * -across
    assert_allclose(sweep["swing_arm_length"][near], inboard[near], rtol=1e-12, atol=1e-9)
