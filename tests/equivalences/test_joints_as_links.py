"""The same linkage written in two ways has the same curves: arms, hinges and ball joints against links.

Identities of geometry: two lengths to a pivot axis make an arm; three that meet in a point make a ball joint; two
more to another point make a hinge. The rows that are solved are others, and in other numbers, each time.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics.car.suspensions import SUSPENSIONS
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.rack import sweep_steer
from tests.equivalences.curves import OF_THE_STEERING_AXIS, SAME, assert_same_curves
from tests.equivalences.rewritten import typical_axle, with_arms_as_bodies, with_joints_as_links, with_keys

# Which point of a double wishbone each end of five links takes.
WISHBONES_AS_FIVE_LINKS = {
    "upper_front_link_outer": "upper_ball_joint",
    "upper_front_link_inner": "upper_pivot_front",
    "upper_rear_link_outer": "upper_ball_joint",
    "upper_rear_link_inner": "upper_pivot_rear",
    "lower_front_link_outer": "lower_ball_joint",
    "lower_front_link_inner": "lower_pivot_front",
    "lower_rear_link_outer": "lower_ball_joint",
    "lower_rear_link_inner": "lower_pivot_rear",
    "toe_link_outer": "tie_rod_outer",
    "toe_link_inner": "tie_rod_inner",
}

WITH_ARMS = [name for name, kind in SUSPENSIONS.items() if kind.arms]
WITH_JOINTS = [name for name, kind in SUSPENSIONS.items() if kind.hinges or kind.balls]


# A trailing arm square to the car does not turn the wheel in front view: its instant centre is at infinity on the
# level line through the contact point, with a height of zero over zero.
UNDEFINED = {"trailing arm": {"instant_centre_z"}}


def test_double_wishbone_is_five_links() -> None:
    wishbones = typical_axle("double wishbone")
    five_links = with_keys(wishbones, SUSPENSIONS["five link"], WISHBONES_AS_FIVE_LINKS)

    assert_same_curves(wishbones, five_links, besides=OF_THE_STEERING_AXIS)


@pytest.mark.parametrize("name", WITH_ARMS)
def test_arms_are_bodies_on_hinge_and_ball_joint(name: str) -> None:
    """An arm that weighs nothing is two lengths; here it is a part that is moved with the upright."""
    axle = typical_axle(name)
    bodies = with_arms_as_bodies(axle)
    assert len(bodies.suspension.bodies) == 1 + len(axle.suspension.arms)

    assert_same_curves(axle, bodies)


@pytest.mark.parametrize("name", WITH_JOINTS)
def test_hinges_and_ball_joints_are_links(name: str) -> None:
    axle = typical_axle(name)
    links = with_joints_as_links(axle)
    added = 5 * len(axle.suspension.hinges) + 3 * len(axle.suspension.balls)
    assert len(links.suspension.links) == len(axle.suspension.links) + added

    assert_same_curves(axle, links, besides=UNDEFINED.get(name, ()))


def test_arms_are_bodies_whose_joints_are_links() -> None:
    """Both rewritings one after the other: three bodies and no joint but links, 16 beside the tie rod."""
    axle = typical_axle("double wishbone")
    links = with_joints_as_links(with_arms_as_bodies(axle))
    assert len(links.suspension.links) == 17

    assert_same_curves(axle, links, besides=OF_THE_STEERING_AXIS)


@pytest.mark.parametrize("name", ["strut", "double wishbone"])
def test_arms_as_bodies_steer_alike(name: str) -> None:
    """The rack is one more part: with the arms that makes four, against two; lowered and rolled meanwhile."""
    axle = typical_axle(name, "front")
    rack = np.array([-50.0, -20.0, 15.0, 45.0])
    bump, roll = np.array([20.0, -25.0, 0.0, 10.0]), np.radians([1.5, -1.0, 2.0, 0.0])

    one, two = (sweep_steer(either, rack, bump, roll) for either in (axle, with_arms_as_bodies(axle)))

    assert one.reached.all()
    assert {"steer_angle", "ackermann", "turn_radius", "camber"} <= set(one.values)
    for key in set(one.values) & set(two.values):
        values = one[key]
        near = np.abs(values) < 1e4  # mm; see how far meeting points lie elsewhere in this folder
        assert_allclose(two[key][near], values[near], rtol=0.0, atol=SAME[QUANTITIES[key].dimension], err_msg=key)


def test_order_of_links_does_not_matter() -> None:
    axle = typical_axle("five link")
    turned_round = replace(axle.suspension, links=axle.suspension.links[::-1])

    assert_same_curves(axle, replace(axle, suspension=turned_round))
