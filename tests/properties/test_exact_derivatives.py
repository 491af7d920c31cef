"""Derivatives, which come from null vectors, against differences of what really moves."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from kinematics.car.suspension_type import SuspensionType
from kinematics.numbers.registry import QUANTITIES
from solvers.vectors import Array
from tests.properties.differences import ANGLE_SLOPE, BOTH_WAYS, POINT_SLOPE, SIDES, Around, Way
from tests.properties.plausible_cars import FREE_TO_MOVE, LIVE_AXLES, ONE_OR_MANY, REPEATABLE, axles, named

TRAVELS = np.array([np.linspace(-40.0, 50.0, 7), np.linspace(30.0, -45.0, 7)])
attitudes = st.tuples(st.floats(-30.0, 30.0), st.floats(-0.06, 0.06))  # heave [mm], roll [rad]


def turned_by(roll: float, vectors: Array) -> Array:
    """Vectors of the body's axes in the ground's."""
    return np.asarray(Rotation.from_euler("x", roll).apply(vectors.reshape(-1, 3)).reshape(vectors.shape))


@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
@REPEATABLE
@given(st.data())
def test_camber_gain_and_bump_steer(kind: SuspensionType, data: st.DataObject) -> None:
    """Both are changes with travel of both wheels under a held body, rolled or not."""
    around = Around(data.draw(axles(kind)), TRAVELS, *data.draw(attitudes))
    for curve, derivative in (("camber", "camber_gain"), ("toe", "bump_steer")):
        exact = around.here(QUANTITIES[derivative].read(around.stance))
        by_differences = around.slope(QUANTITIES[curve].read(around.stance))
        assert_allclose(exact, by_differences, rtol=0.0, atol=ANGLE_SLOPE, err_msg=derivative)


@pytest.mark.parametrize("way", BOTH_WAYS)
@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
@REPEATABLE
@given(st.data())
def test_motion_of_the_point_on_the_ground(kind: SuspensionType, way: Way, data: st.DataObject) -> None:
    """The wheel is locked to its part: the point that is lowest now is followed, not the lowest point."""
    heave, roll = data.draw(attitudes)
    around = Around(data.draw(axles(kind)), TRAVELS, heave, roll, way)
    stance = around.stance
    followed = around.path(around.here(stance.contact_on_body))
    velocity = turned_by(roll, around.slope(followed))

    exact = stance.contact_velocity_together if way == "together" else stance.contact_velocity
    assert_allclose(around.here(exact), velocity, rtol=0.0, atol=POINT_SLOPE)
    if way == "together":
        rise = -SIDES[:, None] * around.here(QUANTITIES["jacking_coefficient"].read(stance))
        assert (np.abs(rise) < 1.2).all()  # so one of the line's two components cannot hide the other's error
        assert_allclose(velocity[..., 1] + rise * velocity[..., 2], 0.0, rtol=0.0, atol=2.5 * POINT_SLOPE)


@pytest.mark.parametrize("kind", FREE_TO_MOVE, ids=named)
@REPEATABLE
@given(st.data())
def test_lowest_point_wanders_around_the_rim(kind: SuspensionType, data: st.DataObject) -> None:
    """The lowest point's own path differs from the material point's along the wheel's trace only.

    Seen from the disc, the ground's normal turns back by the upright's turn. Its projection on the disc, at the
    foot of which the lowest point lies, therefore goes around the rim by the turn about the level line square to the
    trace, over cos(camber): so much of the radius is between the two.
    """
    around = Around(data.draw(axles(kind)), TRAVELS, *data.draw(attitudes))
    stance = around.stance
    lowest = around.slope(stance.contact)
    material = around.here(stance.contact_velocity_together)
    turn = around.here(stance.attitude.in_ground_axes(stance.states.turn_rate))
    camber, toe = (around.here(QUANTITIES[key].read(stance)) for key in ("camber", "toe"))
    out = SIDES[:, None] * np.cos(toe)
    outward = np.stack([np.sin(toe), out, np.zeros_like(toe)], axis=-1)
    trace = np.stack([out, -np.sin(toe), np.zeros_like(toe)], axis=-1)
    radius = stance.states.axle.radius[:, None]
    around_rim = radius * np.sum(turn * outward, axis=-1) / np.cos(camber)

    # Material point: carried backwards by a turn about the outward left-hand axis, that is along the trace.
    assert_allclose(lowest - material, around_rim[..., None] * trace, rtol=0.0, atol=POINT_SLOPE)


@pytest.mark.parametrize("kind", LIVE_AXLES, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_a_beam_turns_and_moves_as_one(kind: SuspensionType, data: st.DataObject) -> None:
    """In roll both sides see one and the same turn, each per mm of its own travel, and one beam between them."""
    states = Around(data.draw(axles(kind)), TRAVELS, 0.0, 0.0, "in roll").stance.states
    motion = states.in_roll
    assert_allclose(motion.turn[0], -motion.turn[1], rtol=0.0, atol=1e-15)
    for of in (states.together, motion):
        across = states.wheel_centre[0] - states.wheel_centre[1]
        apart = of.centre[0] - (1.0 if of is not motion else -1.0) * of.centre[1]
        assert_allclose(np.sum(across * apart, axis=-1), 0.0, rtol=0.0, atol=1e-9)


@pytest.mark.parametrize("kind", LIVE_AXLES, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_turns_of_a_beam_are_the_sums_of_its_motions(kind: SuspensionType, data: st.DataObject) -> None:
    """Axle steer and pinion angle, which are read from where the beam is, change as its turn in either motion says."""
    axle = data.draw(axles(kind))
    for way in BOTH_WAYS:
        around = Around(axle, TRAVELS, 0.0, 0.0, way)
        stance = around.stance
        turn = around.here((stance.states.together if way == "together" else stance.states.in_roll).turn)
        turned = around.here(stance.states.rotation)
        # Each direction changes by turn x direction: how fast the lateral one goes round in plan, the other one rises.
        ahead, across = turned[..., :, 0], turned[..., :, 1]
        ahead_rate, across_rate = np.cross(turn, ahead), np.cross(turn, across)
        around_z = across[..., 0] * across_rate[..., 1] - across[..., 1] * across_rate[..., 0]
        plan = around_z / (across[..., 0] ** 2 + across[..., 1] ** 2)
        side = ahead_rate[..., 2] / np.sqrt(ahead[..., 0] ** 2 + ahead[..., 1] ** 2)
        for key, exact in (("axle_steer", plan), ("pinion_angle_change", side)):
            read = np.broadcast_to(QUANTITIES[key].read(stance), stance.states.travel.shape)
            assert_allclose(around.slope(read), exact, rtol=0.0, atol=ANGLE_SLOPE, err_msg=key)
