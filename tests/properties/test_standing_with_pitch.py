"""A body that is raised, rolled and pitched stands with both contact points on level ground.

The body's pose is written here as ISO 8855:2011 has it (5.2, from memory): roll about the body's own axis ahead, then
pitch about the level axis across, by SciPy's rotations; then it is raised. The disc's lowest point is r sqrt(1 - a_z^2)
under its centre, a being the unit vector of the spin axis over level ground (formula).
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from kinematics import Axle, demo_car
from kinematics.motion.ground import Attitude, expected_travel
from kinematics.motion.moving_axle import moving
from kinematics.numbers.stance import Stance
from solvers.vectors import Array

ON_GROUND = 1e-9  # mm
HEAVE = np.array([0.0, -30.0, 20.0, -10.0, 5.0])
ROLL = np.radians([0.0, 0.0, 1.5, -2.0, 3.0])
PITCH = np.radians([0.7, -1.2, 2.0, 0.9, -3.0])
SALOON = demo_car("rear_drive_saloon.toml")
AXLES = pytest.mark.parametrize("axle", [SALOON.front, SALOON.rear], ids=lambda one: one.name)


def rigid(points: Array, heave: Array, roll: Array, pitch: Array) -> Array:
    """Points or directions of the body (2, S, 3) as the body is turned and raised (S,)."""
    turned = Rotation.from_euler("YX", np.stack([pitch, roll], axis=-1))
    return np.stack([turned.apply(side) for side in points]) + heave[:, None] * [0.0, 0.0, 1.0]


@AXLES
def test_lowest_points_of_both_discs_lie_on_the_ground(axle: Axle) -> None:
    attitude = Attitude(HEAVE, ROLL, PITCH)
    corners = moving(axle, *expected_travel(axle, attitude))
    standing = corners.stand(attitude)
    assert not (standing.low | standing.high | standing.turned_over).any()

    states = corners.at(standing.travel)
    centre = rigid(states.wheel_centre, HEAVE, ROLL, PITCH)
    spin = rigid(states.spin_axis, 0.0 * HEAVE, ROLL, PITCH)
    radius = (axle.points["wheel_centre"][:, 2] / np.cos(axle.camber))[:, None]
    level = np.sqrt(1.0 - spin[..., 2] ** 2)
    assert_allclose(centre[..., 2] - radius * level, 0.0, rtol=0.0, atol=ON_GROUND)

    # Steepest down within the disc: the ground's normal less its part along the spin axis.
    down = (spin * spin[..., [2]] - [0.0, 0.0, 1.0]) / level[..., None]
    lowest = centre + radius[..., None] * down
    assert_allclose(Stance(states, attitude).contact, lowest, rtol=0.0, atol=ON_GROUND)


@AXLES
def test_without_pitch_it_stands_as_with_a_pitch_of_nothing(axle: Axle) -> None:
    level, none = Attitude(HEAVE, ROLL), Attitude(HEAVE, ROLL, np.zeros_like(PITCH))
    corners = moving(axle, *expected_travel(axle, level))
    assert_allclose(corners.stand(none).travel, corners.stand(level).travel, rtol=0.0, atol=1e-8)


@AXLES
def test_pitch_alone_takes_the_hub_down_as_its_height_over_the_body_says(axle: Axle) -> None:
    """At the measured place of the body a hub h up is h cos(pitch) - x sin(pitch) high; the wheel must make up for it.

    To first order in what is left, as the hub moves almost along the body's vertical (formula).
    """
    pitch = np.radians([0.0, 0.5, -0.5])
    attitude = Attitude(np.zeros(3), np.zeros(3), pitch)
    corners = moving(axle, *expected_travel(axle, attitude))
    hub = axle.points["wheel_centre"]
    drop = hub[:, [2]] - (hub[:, [2]] * np.cos(pitch) - hub[:, [0]] * np.sin(pitch))
    assert_allclose(corners.stand(attitude).travel, drop, rtol=0.05, atol=1e-9)
