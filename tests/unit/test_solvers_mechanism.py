"""Joints do what they are named for: closed forms of simple machines, among them with two moving bodies."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from solvers.mechanism import FIXED, Links, Mechanism, Planes, Pose, held_along, hinge, slide
from solvers.moving import move
from solvers.planar import wishbone_positions
from solvers.rotations import IDENTITY

UP = np.array([0.0, 0.0, 1.0])
AHEAD = np.array([1.0, 0.0, 0.0])
ORIGIN = np.zeros(3)
HOLDS = 1e-9  # mm; rows are solved to 1e-11 mm


def resting(*positions: list[float]) -> Pose:
    """Bodies at these reference points, axes as in space."""
    return Pose(np.array(positions), np.tile(IDENTITY, (len(positions), 1)))


def rotations(pose: Pose, body: int) -> Rotation:
    return Rotation.from_quat(pose.quaternion[:, body])


def test_rows_must_number_six_for_each_body() -> None:
    driver = held_along(0, ORIGIN, UP, "height")
    with pytest.raises(ValueError, match="1 equations for 1 bodies"):
        Mechanism(("alone",), resting([0.0, 0.0, 0.0]), (), (), (driver,))


def test_names_of_rows_and_drivers() -> None:
    door = hinge(0, ORIGIN, AHEAD, FIXED, ORIGIN, AHEAD, "pin")
    mechanism = Mechanism(("door",), resting([0.0, 0.0, 0.0]), (), (door,), (held_along(0, UP, UP, "height"),))
    assert len(mechanism.row_names) == 5
    assert all(name.startswith("pin (") for name in mechanism.row_names)
    assert mechanism.driver_count == 1


def test_hinge_lets_a_body_turn_about_its_axis_and_nothing_else() -> None:
    """A door 400 mm wide on a leaning pin: its edge, lifted by z, has turned by the arc sine of z / 400."""
    along = np.array([3.0, -1.0, 2.0])
    along = 250.0 * along / np.linalg.norm(along)
    across = np.cross(along, UP)
    across *= 400.0 / np.linalg.norm(across)
    lifted = np.cross(along, across) / 250.0  # where the edge goes first; square to the pin, 400 long
    pin = np.array([10.0, 20.0, 30.0])
    # The body's reference point is somewhere on the door; the edge is driven along its first motion.
    reference = pin + 0.3 * across + 0.5 * along
    joint = hinge(0, pin - reference, along, FIXED, pin, along, "pin")
    driver = held_along(0, pin + across - reference, lifted / 400.0, "edge")
    door = Mechanism(("door",), resting(list(reference)), (), (joint,), (driver,))

    lift = np.linspace(-390.0, 390.0, 27)
    found = move(door, lift[:, None])

    assert found.arrived.all()
    turn = np.arcsin(lift / 400.0)
    expected = Rotation.from_rotvec(turn[:, None] * along / 250.0)
    off = (rotations(found.pose, 0) * expected.inv()).magnitude()
    # Near 90 degrees the lift says little about the turn: its tolerance divided by the cosine of 77 degrees.
    assert_allclose(off, 0.0, atol=1e-12)
    moved = pin + expected.apply(reference - pin)
    assert_allclose(found.pose.position[:, 0], moved, rtol=0.0, atol=HOLDS)


def test_door_locks_where_it_is_fully_open() -> None:
    """Lifted straight up the edge of a 400 mm door gets 400 mm high; asked for more, it stays there and says so."""
    joint = hinge(0, ORIGIN, 100.0 * AHEAD, FIXED, ORIGIN, 100.0 * AHEAD, "pin")
    driver = held_along(0, np.array([0.0, 400.0, 0.0]), UP, "edge")
    door = Mechanism(("door",), resting([0.0, 0.0, 0.0]), (), (joint,), (driver,))

    found = move(door, np.array([[450.0], [-1200.0], [399.0]]))

    assert found.arrived.tolist() == [False, False, True]
    # Steps of less than 0.002 mm are given up; four times that is the last that was tried.
    assert_allclose(found.reached[:2] * [450.0, -1200.0], [400.0, -400.0], rtol=0.0, atol=0.01)
    assert (found.reached[:2] * [450.0, 1200.0] <= 400.0).all()
    assert (found.share[2] == 0.0).all()
    # The door stands upright over its pin: the force on its edge goes straight down, none of it along the pin.
    for share in found.share[:2]:
        assert share.max() == 1.0
        along_pin = share[[name == "pin (along)" for name in door.row_names]]
        assert_allclose(along_pin, 0.0, atol=1e-6)


# A four-bar in the plane y-z, of two moving bodies: crank on the ground, coupler on the crank, a link to the coupler.
O2, PIN = np.array([0.0, 350.0, 190.0]), np.array([0.0, 690.0, 180.0])
O4, END = np.array([0.0, 420.0, 410.0]), np.array([0.0, 650.0, 430.0])
CRANK, COUPLER = 0, 1


def four_bar() -> Mechanism:
    reference = np.array([40.0, 500.0, 200.0])  # of the crank; somewhere off the plane
    axis = 120.0 * AHEAD
    length = np.array([np.linalg.norm(END - O4)])
    link = Links(COUPLER, (END - PIN)[None], FIXED, O4[None], length, ("output",))
    return Mechanism(
        bodies=("crank", "coupler"),
        start=resting(list(reference), list(PIN)),
        links=(link,),
        planes=(
            hinge(CRANK, O2 - reference, axis, FIXED, O2, axis, "o2"),
            hinge(COUPLER, ORIGIN, axis, CRANK, PIN - reference, axis, "pin"),
        ),
        drivers=(held_along(CRANK, PIN - reference, UP, "pin height"),),
    )


def test_four_bar_of_two_bodies_is_the_closed_form() -> None:
    crank_turn = np.radians(np.linspace(-40.0, 40.0, 33))
    closed = wishbone_positions(O2[1:], PIN[1:], O4[1:], END[1:], crank_turn)
    height = closed.lower_joint[:, 1] - PIN[2]

    found = move(four_bar(), height[:, None])

    assert found.arrived.all()
    for body, turn in ((CRANK, crank_turn), (COUPLER, closed.upright_turn)):
        expected = turn[:, None] * AHEAD
        assert_allclose(rotations(found.pose, body).as_rotvec(), expected, rtol=0.0, atol=1e-12)
    pin = np.concatenate([np.zeros((33, 1)), closed.lower_joint], axis=-1)
    assert_allclose(found.pose.position[:, COUPLER], pin, rtol=0.0, atol=HOLDS)


def test_driver_order_of_bodies_and_sides_of_joints_do_not_matter() -> None:
    """The same four-bar with its bodies in the other order and the pin's hinge seen from the coupler."""
    reference, axis = np.array([40.0, 500.0, 200.0]), 120.0 * AHEAD
    link = Links(FIXED, O4[None], 0, (END - PIN)[None], np.array([np.linalg.norm(END - O4)]), ("output",))
    turned = Mechanism(
        bodies=("coupler", "crank"),
        start=resting(list(PIN), list(reference)),
        links=(link,),
        planes=(
            hinge(1, PIN - reference, axis, 0, ORIGIN, axis, "pin"),
            hinge(1, O2 - reference, axis, FIXED, O2, axis, "o2"),
        ),
        drivers=(held_along(1, PIN - reference, UP, "pin height"),),
    )
    heights = np.array([[-150.0], [-20.0], [90.0]])
    one, other = move(four_bar(), heights).pose, move(turned, heights).pose
    assert_allclose(other.position[:, ::-1], one.position, rtol=0.0, atol=HOLDS)
    assert_allclose(other.quaternion[:, ::-1], one.quaternion, rtol=0.0, atol=1e-12)


def test_slide_keeps_an_axis_on_a_moving_point() -> None:
    """A telescope on a ball joint follows a pin on a crank: it always points from its ball to the pin.

    Two moving bodies: the crank on its hinge, the tube on three planes (a ball), kept from spinning by a fourth plane.
    """
    ball, pin, o2 = np.array([60.0, 100.0, 700.0]), np.array([30.0, 600.0, 250.0]), np.array([0.0, 300.0, 200.0])
    along = (pin - ball) / np.linalg.norm(pin - ball)
    axis = 80.0 * AHEAD
    tube, crank = 0, 1
    fixed = Planes(
        tube, np.zeros((3, 3)), FIXED, np.tile(ball, (3, 1)), np.eye(3), np.zeros(3), ("ball x", "ball y", "ball z")
    )
    handle = np.cross(along, AHEAD)[None] * 90.0
    no_spin = Planes(tube, handle, FIXED, handle + ball, AHEAD[None], np.zeros(1), ("no spin",))
    mechanism = Mechanism(
        bodies=("tube", "crank"),
        start=resting(list(ball), list(o2)),
        links=(),
        planes=(
            fixed,
            no_spin,
            hinge(crank, ORIGIN, axis, FIXED, o2, axis, "o2"),
            slide(tube, 50.0 * along, along, crank, pin - o2, "telescope"),
        ),
        drivers=(held_along(crank, pin - o2, UP, "pin height"),),
    )
    height = np.linspace(-200.0, 200.0, 17)
    found = move(mechanism, height[:, None])
    assert found.arrived.all()

    radius = math.hypot(300.0, 50.0)
    pins = np.stack([np.full(17, 30.0), 300.0 + np.sqrt(radius**2 - (50.0 + height) ** 2), 250.0 + height], axis=-1)
    points_to = (pins - ball) / np.linalg.norm(pins - ball, axis=-1, keepdims=True)
    assert_allclose(rotations(found.pose, tube).apply(along), points_to, rtol=0.0, atol=1e-12)
    assert_allclose(found.pose.position[:, tube], np.tile(ball, (17, 1)), rtol=0.0, atol=HOLDS)
