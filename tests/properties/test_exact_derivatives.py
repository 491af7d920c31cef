"""Derivatives, which come from null vectors, against differences of what really moves."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from kinematics.quantities import QUANTITIES
from kinematics.stance import Stance
from kinematics.suspension import SuspensionType
from solvers.vectors import Array
from tests.properties.differences import ANGLE_SLOPE, HERE, POINT_SLOPE, around, grouped, slope
from tests.properties.plausible_cars import KIND_NAMES, KINDS, REPEATABLE, axles

TRAVELS = np.array([np.linspace(-50.0, 50.0, 9), np.linspace(40.0, -60.0, 9)])
attitudes = st.tuples(st.floats(-30.0, 30.0), st.floats(-0.06, 0.06))  # heave [mm], roll [rad]


def read(key: str, stance: Stance) -> Array:
    """A corner quantity of the stances of `around`, (2, S, 9)."""
    return grouped(QUANTITIES[key].read(stance))


def body_fixed(stance: Stance, point: Array) -> Array:
    """Where points of the uprights, (2, S, 3) in body axes at the middle of each group, are at all of it."""
    centre = grouped(stance.states.wheel_centre)
    rotation = grouped(stance.states.positions.rotation[..., 0, :, :])
    arm = np.einsum("...ji,...j->...i", rotation[:, :, HERE], point - centre[:, :, HERE])
    return centre + np.einsum("...kij,...j->...ki", rotation, arm)


@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
@REPEATABLE
@given(st.data())
def test_camber_gain_and_bump_steer(kind: SuspensionType, data: st.DataObject) -> None:
    """Both are changes with travel under a held body, rolled or not."""
    stance = around(data.draw(axles(kind)), TRAVELS, *data.draw(attitudes))
    for curve, derivative in (("camber", "camber_gain"), ("toe", "bump_steer")):
        exact = read(derivative, stance)[:, :, HERE]
        assert_allclose(exact, slope(read(curve, stance)), rtol=0.0, atol=ANGLE_SLOPE, err_msg=derivative)


@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
@REPEATABLE
@given(st.data())
def test_contact_line_is_square_to_the_material_points_motion(kind: SuspensionType, data: st.DataObject) -> None:
    """The wheel is locked to the upright: the point that is lowest now is followed, not the lowest point."""
    heave, roll = data.draw(attitudes)
    stance = around(data.draw(axles(kind)), TRAVELS, heave, roll)
    path = body_fixed(stance, grouped(stance.contact_on_body)[:, :, HERE])
    velocity = slope(path)
    velocity = Rotation.from_euler("x", roll).apply(velocity.reshape(-1, 3)).reshape(velocity.shape)

    exact = grouped(stance.contact_velocity)[:, :, HERE]
    assert_allclose(exact, velocity, rtol=0.0, atol=POINT_SLOPE)
    rise = read("jacking_coefficient", stance)[:, :, HERE]
    assert (np.abs(rise) < 1.0).all()  # so one of the line's two components cannot hide the other's error
    assert_allclose(velocity[..., 1] + rise * velocity[..., 2], 0.0, rtol=0.0, atol=2.0 * POINT_SLOPE)


@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
@REPEATABLE
@given(st.data())
def test_lowest_point_wanders_around_the_rim(kind: SuspensionType, data: st.DataObject) -> None:
    """The lowest point's own path differs from the material point's along the wheel's trace only.

    Seen from the disc, the ground's normal turns back by the upright's turn. Its projection on the disc, at the
    foot of which the lowest point lies, therefore goes around the rim by the turn about the level line square to the
    trace, over cos(camber): so much of the radius is between the two.
    """
    stance = around(data.draw(axles(kind)), TRAVELS, *data.draw(attitudes))
    lowest = slope(grouped(stance.contact))
    material = grouped(stance.contact_velocity)[:, :, HERE]
    turn = grouped(stance.attitude.turned(stance.states.turn_rate))[:, :, HERE]
    camber, toe = (read(key, stance)[:, :, HERE] for key in ("camber", "toe"))
    out = np.array([1.0, -1.0])[:, None] * np.cos(toe)
    outward = np.stack([np.sin(toe), out, np.zeros_like(toe)], axis=-1)
    trace = np.stack([out, -np.sin(toe), np.zeros_like(toe)], axis=-1)
    radius = stance.states.axle.radius[:, None]
    around_rim = radius * np.sum(turn * outward, axis=-1) / np.cos(camber)

    # Material point: carried backwards by a turn about the outward left-hand axis, that is along the trace.
    assert_allclose(lowest - material, around_rim[..., None] * trace, rtol=0.0, atol=POINT_SLOPE)
