"""A body that is lowered by 30 mm at one end of 2560 mm, each side-view number turned by hand.

At the measured wheel travel nothing moves in the body, so all of it turns as one rigid piece by atan(30 / 2560)
(formula): the steering axis and the pinion by that angle, the side-view instant centre round the hub, which stands one
radius over the ground. Anti-dive follows from the line to it, as in test_side_view_closed_forms.py. Side views are
planar and wheels upright and straight, so that the drawing is exact.
"""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle, sweep_bump, sweep_grid, sweep_roll
from kinematics.car.fittings import Fittings
from kinematics.inputs.demo_cars import demo_car
from kinematics.sweeps.rack import sweep_steer
from tests.published.test_side_view_closed_forms import (
    FRONT_BRAKES,
    HEIGHT,
    HUB,
    ROUNDING,
    WHEELBASE,
    axle,
    wishbones,
)

PITCH = math.atan(30.0 / 2560.0)
PITCHES = pytest.mark.parametrize("pitch", [PITCH, -PITCH])
REST = np.zeros(1)


def front(inboard: bool = False) -> tuple[Axle, tuple[float, float]]:
    points, centre = wishbones("tie_rod", 0.03, 0.15)
    return axle("front", "double wishbone", points, Fittings(inboard_brakes=inboard)), centre


@PITCHES
def test_caster_loses_the_pitch(pitch: float) -> None:
    """Nose down takes the top forward: 0.671 deg of 30 mm in 2560."""
    one, _ = front()
    ball_joints = math.atan2(10.0 + 15.0, 430.0 - 180.0)
    sweep = sweep_bump(one, REST, pitch=pitch)
    assert_allclose(sweep["caster"], ball_joints - pitch, rtol=0.0, atol=1e-13)
    assert_allclose(sweep["caster_change"], -pitch, rtol=0.0, atol=1e-13)
    assert_allclose(sweep["caster_to_body"], ball_joints, rtol=0.0, atol=1e-13)
    assert_allclose(sweep["pitch"], pitch, rtol=0.0, atol=0.0)
    assert_allclose(np.degrees(abs(sweep["caster_change"])), 0.671, rtol=0.0, atol=5e-4)


@PITCHES
@pytest.mark.parametrize("inboard", [False, True])
def test_side_view_centre_turns_round_the_hub(pitch: float, inboard: bool) -> None:
    one, (ahead, up) = front(inboard)
    sweep = sweep_bump(one, REST, pitch=pitch)
    run = ahead * math.cos(pitch) + (up - HUB) * math.sin(pitch)
    rise = HUB - ahead * math.sin(pitch) + (up - HUB) * math.cos(pitch)
    assert_allclose(sweep["side_view_swing_arm"], run, rtol=0.0, atol=ROUNDING)
    assert_allclose(sweep["side_view_centre_z"], rise, rtol=0.0, atol=ROUNDING)

    # The hub, at the body's own place, comes back to its height over the ground; the centre of gravity is midway.
    heave = HUB * (1.0 - math.cos(pitch))
    assert_allclose(sweep["heave"], heave, rtol=0.0, atol=ROUNDING)
    height = HEIGHT * math.cos(pitch) + 0.5 * WHEELBASE * math.sin(pitch) + heave
    slope = (rise - (HUB if inboard else 0.0)) / -run
    assert_allclose(sweep["anti_dive"], FRONT_BRAKES * slope * WHEELBASE / height, rtol=0.0, atol=1e-12)


@PITCHES
def test_pinion_goes_down_with_the_nose(pitch: float) -> None:
    rear = demo_car("rear_drive_saloon.toml").rear
    assert_allclose(sweep_bump(rear, REST, pitch=pitch)["pinion_angle_change"], -pitch, rtol=0.0, atol=1e-12)


def test_no_pitch_is_no_change_at_all() -> None:
    """To the last bit."""
    for one in demo_car("rear_drive_saloon.toml").axles:
        travel, roll = np.linspace(-30.0, 30.0, 5), np.radians([-2.0, 0.0, 1.0])
        for plain, pitched in (
            (sweep_bump(one, travel), sweep_bump(one, travel, pitch=0.0)),
            (sweep_roll(one, roll, 5.0), sweep_roll(one, roll, 5.0, pitch=0.0)),
            (sweep_grid(one, travel, roll), sweep_grid(one, travel, roll, pitch=0.0)),
        ):
            for key, values in plain.values.items():
                np.testing.assert_array_equal(pitched[key], values, err_msg=key)


def test_a_steered_axle_pitches_too() -> None:
    """With the rack in the middle it is the roll sweep's one state."""
    one = demo_car("rear_drive_saloon.toml").front
    steered = sweep_steer(one, np.array([0.0, 20.0]), 10.0, 0.01, pitch=PITCH)
    rolled = sweep_roll(one, np.array([0.01]), -10.0, pitch=PITCH)
    for key, values in rolled.values.items():
        assert_allclose(steered[key][..., 0], values[..., 0], rtol=1e-9, atol=1e-9, err_msg=key)
    assert_allclose(steered["pitch"], PITCH, rtol=0.0, atol=0.0)


@pytest.mark.parametrize(
    ("pitch", "told"),
    [
        (2.0, "pitch is in radians, up to 0.6"),
        (math.nan, "pitch has a value that is not a finite number"),
        ([0.01, 0.02], "pitch is one angle for all states; read 2 of them"),
    ],
)
def test_what_is_no_pitch(pitch: float, told: str) -> None:
    one, _ = front()
    with pytest.raises(ValueError, match=told):
        sweep_bump(one, REST, pitch=pitch)
    with pytest.raises(ValueError, match=told):
        sweep_roll(one, REST, pitch=pitch)
    with pytest.raises(ValueError, match=told):
        sweep_grid(one, REST, REST, pitch=pitch)
