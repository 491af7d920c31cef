"""The IFToMM library's spatial rigid slider-crank: a rod between a circle and a straight line, in three dimensions.

Origin of the problem: E. J. Haug, Computer Aided Kinematics and Dynamics of Mechanical Systems, 1989; IFToMM
Technical Committee for Multibody Dynamics, Library of Computational Benchmark Problems, "Spatial rigid
slider-crank mechanism". Seen: the values, in the Exudyn test model sliderCrank3Dbenchmark.py (J. Gerstmayr, 2020).
Printed metres are taken to mm, the solver's unit.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from solvers.equations import equations, start_pose
from solvers.mechanism import FIXED, Links, Mechanism, Planes, Pose, held_along, hinge
from solvers.moving import move
from solvers.positions import row_twist
from solvers.rotations import IDENTITY
from solvers.vectors import Array

CRANK, SLIDER, ROD = 0, 1, 2
CENTRE = np.array([0.0, 100.0, 120.0])
ARM = np.array([0.0, 0.0, 80.0])  # straight up at crank angle 0; the crank turns about +x
PIN = CENTRE + ARM
SLIDER_AT_0 = np.array([200.0, 0.0, 0.0])  # published; the rod of 300 mm then ends at the pin
ROD_VECTOR = SLIDER_AT_0 - PIN
CRANK_RATE = 6.0  # rad/s
X, Y, Z = np.eye(3)
ORIGIN = np.zeros(3)

CRANK_HINGE = hinge(CRANK, ORIGIN, 80.0 * X, FIXED, CENTRE, 80.0 * X, "crank")
# The slider runs along the x axis without turning: five of its coordinates are held.
GUIDE = Planes(
    SLIDER,
    np.stack([ORIGIN, ORIGIN, 100.0 * X, 100.0 * X, 100.0 * Y]),
    FIXED,
    np.zeros((5, 3)),
    np.stack([Y, Z, Y, Z, Z]),
    np.zeros(5),
    ("guide",) * 5,
)


def along_circle(chord: Array) -> Planes:
    """Driver: the pin's displacement along a chord of its circle, which names one pin position for half a turn."""
    return held_along(CRANK, ARM, chord, "crank pin")


def with_rod_as_link() -> Mechanism:
    """The rod as a fixed length between two moving bodies: its turn about its own axis is nobody's business."""
    return Mechanism(
        bodies=("crank", "slider"),
        start=Pose(np.stack([CENTRE, SLIDER_AT_0]), np.stack([IDENTITY] * 2)),
        links=(Links(SLIDER, ORIGIN[None], CRANK, ARM[None], np.array([300.0]), ("rod",)),),
        planes=(CRANK_HINGE, GUIDE),
        drivers=(along_circle(-Y),),
    )


def with_rod_as_body() -> Mechanism:
    """The rod as a body: a ball joint at the pin and, as in the benchmark, a universal joint at the slider.

    The joint's cross turns about x in the slider, and in the rod about a normal to x and rod. These axes are
    inferred: of the slider's axes x, y and z it is x alone that can give the published turn about the rod.
    """
    normal = np.cross(ROD_VECTOR, X)
    across = 100.0 * normal / math.sqrt(normal @ normal)
    at_pin = Planes(ROD, np.zeros((3, 3)), CRANK, np.stack([ARM] * 3), np.eye(3), np.zeros(3), ("pin",) * 3)
    at_slider = Planes(
        ROD,
        np.stack([ROD_VECTOR, ROD_VECTOR, ROD_VECTOR, ROD_VECTOR + across]),
        SLIDER,
        np.zeros((4, 3)),
        np.stack([X, Y, Z, X]),
        np.zeros(4),
        ("slider",) * 4,
    )
    return Mechanism(
        bodies=("crank", "slider", "rod"),
        start=Pose(np.stack([CENTRE, SLIDER_AT_0, PIN]), np.stack([IDENTITY] * 3)),
        links=(),
        planes=(CRANK_HINGE, GUIDE, at_pin, at_slider),
        drivers=(along_circle(-Y),),
    )


def rates(mechanism: Mechanism) -> tuple[Array, Array]:
    """Velocities [m/s] and angular velocities [rad/s] (bodies, 3) of the start at the published crank rate."""
    rows = equations(mechanism)
    residual, jacobian = rows.evaluate(*start_pose(mechanism, ()), np.zeros(1))
    assert_allclose(residual, 0.0, atol=1e-12)
    twist = row_twist(rows, jacobian, rows.guide_rows)
    # From unit motion of the driver to the crank's published rate.
    scale = CRANK_RATE / twist[CRANK, 3]
    return scale * twist[:, :3] / 1000.0, scale * twist[:, 3:]


@pytest.mark.parametrize("mechanism", [with_rod_as_link(), with_rod_as_body()], ids=["link", "body"])
def test_published_slider_velocity(mechanism: Mechanism) -> None:
    """Seen: slider velocity at crank angle 0. The stated values are exact for this geometry."""
    velocity, spin = rates(mechanism)

    assert_allclose(velocity[SLIDER], [0.24, 0.0, 0.0], rtol=0.0, atol=1e-12)
    assert_allclose(spin[[CRANK, SLIDER]], [[CRANK_RATE, 0.0, 0.0], [0.0, 0.0, 0.0]], rtol=0.0, atol=1e-12)


def test_published_rod_velocities() -> None:
    """Seen: velocity of the rod's middle and its angular velocity, exact; the part normal to the rod follows."""
    velocity, spin = rates(with_rod_as_body())
    along = ROD_VECTOR / 300.0
    normal_part = spin[ROD] - (spin[ROD] @ along) * along

    middle = velocity[ROD] + np.cross(spin[ROD], ROD_VECTOR / 2.0) / 1000.0
    assert_allclose(middle, [0.12, -0.24, 0.0], rtol=0.0, atol=1e-12)
    assert_allclose(normal_part, [16.0 / 15.0, -8.0 / 15.0, 4.0 / 3.0], rtol=0.0, atol=1e-12)
    # The part along the rod comes from the universal joint, whose axes are inferred.
    assert_allclose(spin[ROD], [1.92, -0.96, 0.48], rtol=0.0, atol=1e-12)


@pytest.mark.parametrize("mechanism", [with_rod_as_link(), with_rod_as_body()], ids=["link", "body"])
def test_once_round_in_eighths(mechanism: Mechanism) -> None:
    """Slider positions every 45 deg, each leg begun where the last one ended, and home again after a turn.

    Formula: x = sqrt(L^2 - (0.1 - 0.08 sin a)^2 - (0.12 + 0.08 cos a)^2), evaluated to nine decimals [m].
    """
    slider_x = [0.238615294, 0.274226184, 0.289983032, 0.28, 0.247916804, 0.207846097, 0.185229159, 0.2]
    chord = 2.0 * 80.0 * math.sin(math.radians(22.5))
    for leg, expected in enumerate(slider_x):
        middle = math.radians(45.0 * leg + 22.5)
        forwards = np.array([0.0, -math.cos(middle), -math.sin(middle)])
        leg_mechanism = replace(mechanism, drivers=(along_circle(forwards),))
        found = move(leg_mechanism, np.array([chord]))
        assert found.arrived
        assert_allclose(found.pose.position[SLIDER] / 1000.0, [expected, 0.0, 0.0], rtol=0.0, atol=6e-10)
        mechanism = replace(leg_mechanism, start=found.pose)

    assert_allclose(mechanism.start.position[SLIDER], SLIDER_AT_0, rtol=0.0, atol=1e-9)
    # Every body is turned as at the start, too; after a full turn the crank's quaternion has the other sign.
    assert_allclose(np.abs(mechanism.start.quaternion), np.stack([IDENTITY] * len(mechanism.bodies)), atol=1e-11)
