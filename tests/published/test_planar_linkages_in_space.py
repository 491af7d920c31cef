"""Published planar linkages, solved by the rows, the Newton iteration and the continuation that move a car.

A book's plane is the transverse plane: its x is our y (left), its y our z (up), its angles turn about our x.
Labels of the published numbers: "seen" = read in the source; "recalled, from memory" = written from memory of
the publication, not re-read. Printed inches are taken to mm, the solver's unit.
"""

import math
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from solvers.equations import equations
from solvers.mechanism import FIXED, Links, Mechanism, Planes, Pose, held_along, hinge, slide
from solvers.moving import move
from solvers.newton import newton
from solvers.rotations import IDENTITY
from solvers.vectors import Array

MM, INCH = 1.0, 25.4
OPEN, CROSSED = 1.0, -1.0
CRANK, COUPLER = 0, 1
ORIGIN = np.zeros(3)
X, Z = np.eye(3)[[0, 2]]
BEARING = 50.0 * X  # from one end of a hinge to the other


def polar(length: float, degrees: float) -> Array:
    """A vector of the book's plane, in space."""
    return length * np.array([0.0, math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])


def degrees_of(vector: Array) -> float:
    return math.degrees(math.atan2(vector[2], vector[1]))


def degrees_apart(angle: float, other: float) -> float:
    return abs((angle - other + 180.0) % 360.0 - 180.0)


def turned_about_x(degrees: float) -> Array:
    return Rotation.from_rotvec([math.radians(degrees), 0.0, 0.0]).as_quat()


@dataclass(frozen=True)
class Placed:
    """Where a body came to lie: its reference point and its rotation."""

    position: Array
    rotation: Rotation

    def carry(self, arm: Array) -> Array:
        return self.position + self.rotation.apply(arm)


def placed(position: Array, quaternion: Array) -> Placed:
    """The body's pose, after making sure that it neither left the plane nor leaned out of it."""
    rotation = Rotation.from_quat(quaternion)
    assert_allclose(position[0], 0.0, atol=1e-9)
    assert_allclose(rotation.apply(X), X, atol=1e-12)
    return Placed(position, rotation)


def moved(mechanism: Mechanism, value: float) -> list[Placed]:
    found = move(mechanism, np.array([value]))
    assert found.arrived
    return [placed(*body) for body in zip(found.pose.position, found.pose.quaternion, strict=True)]


def crank_and_coupler(pin: Array, guide: Links | Planes, along: Array) -> Mechanism:
    """A crank hinged at the origin and, hinged to its pin, a coupler with one more guide; the pin moves `along`."""
    return Mechanism(
        bodies=("crank", "coupler"),
        start=Pose(np.stack([ORIGIN, pin]), np.stack([IDENTITY, IDENTITY])),
        links=(guide,) if isinstance(guide, Links) else (),
        planes=(
            hinge(CRANK, ORIGIN, BEARING, FIXED, ORIGIN, BEARING, "crank pivot"),
            hinge(COUPLER, ORIGIN, BEARING, CRANK, pin, BEARING, "crank pin"),
            *((guide,) if isinstance(guide, Planes) else ()),
        ),
        drivers=(held_along(CRANK, pin, along, "crank pin"),),
    )


# --- four-bars ---


@dataclass(frozen=True)
class FourBar:
    """Crank a, coupler b, output c, ground d at an angle [deg], crank at theta2 [deg], in textbook letters."""

    a: float
    b: float
    c: float
    d: float
    theta2: float
    ground: float = 0.0
    unit: float = INCH

    @property
    def output_pivot(self) -> Array:
        return polar(self.d * self.unit, self.ground)

    def start(self, assembly: float) -> tuple[Array, Array]:
        """Crank pin and coupler end with the crank along the ground line: a triangle of known sides."""
        pin = polar(self.a * self.unit, self.ground)
        gap = abs(self.d - self.a)
        at_pin = math.acos((self.b**2 + gap**2 - self.c**2) / (2.0 * self.b * gap))
        coupler = degrees_of(self.output_pivot - pin) + assembly * math.degrees(at_pin)
        return pin, pin + polar(self.b * self.unit, coupler)

    def output_link(self, on_coupler: Array, body: int = COUPLER) -> Links:
        length = np.array([self.c * self.unit])
        return Links(body, on_coupler[None], FIXED, self.output_pivot[None], length, ("output link",))

    def moved_from_start(self, assembly: float) -> tuple[Placed, Array]:
        """Followed from the crank along the ground line to theta2: the coupler, and its end on the coupler."""
        pin, end = self.start(assembly)
        off_line = polar(1.0, self.ground + 90.0)
        mechanism = crank_and_coupler(pin, self.output_link(end - pin), off_line)
        rise = self.a * self.unit * math.sin(math.radians(self.theta2 - self.ground))
        return moved(mechanism, rise)[COUPLER], end - pin

    def solved_from_rough_pose(self, rough_theta3: float) -> tuple[Placed, Array]:
        """The crank held at theta2, the coupler alone solved from a pose about an angle and out of the plane."""
        pin, on_coupler = polar(self.a * self.unit, self.theta2), polar(self.b * self.unit, 0.0)
        mechanism = Mechanism(
            bodies=("coupler",),
            start=Pose(pin[None], turned_about_x(rough_theta3)[None]),
            links=(self.output_link(on_coupler, body=0),),
            planes=(hinge(0, ORIGIN, BEARING, FIXED, pin, BEARING, "crank pin"),),
            drivers=(),
        )
        rough = Rotation.from_quat(turned_about_x(rough_theta3)) * Rotation.from_rotvec([0.0, 0.08, -0.06])
        off_pin = pin + np.array([7.0, -9.0, 11.0])
        position, quaternion = off_pin[None, :, None], rough.as_quat()[None, :, None]
        found = newton(equations(mechanism).flattened(()), position, quaternion, np.zeros((0, 1)))
        assert found.converged.all()
        return placed(found.position[0, :, 0], found.quaternion[0, :, 0]), on_coupler

    def angles(self, coupler: Placed, on_coupler: Array) -> tuple[float, float]:
        """theta3 of the coupler and theta4 of the output link."""
        end = coupler.carry(on_coupler)
        return degrees_of(end - coupler.position), degrees_of(end - self.output_pivot)


# Seen: university problem set with answers printed to four decimals, quoted at transtutors.com, question 13676847.
COUPLER_POINT = FourBar(a=35.0, b=25.0, c=15.0, d=10.0, theta2=30.0)
# Recalled, from memory: R. L. Norton, Design of Machinery, ch. 4 (Example 4-1 in recent editions).
NORTON_4_1 = FourBar(a=40.0, b=120.0, c=80.0, d=100.0, theta2=40.0, unit=MM)
# Seen: Purdue University ME 352 Machine Design I, Homework 2 solution, fall 2010 (coursehero.com file 6651323);
# the printed answers were measured off a scaled drawing, hence one degree.
ME352 = FourBar(a=8.0, b=14.0, c=12.0, d=16.0, theta2=30.0, ground=15.0)

# Tolerances [deg]: the digits printed, and for the drawing what a drawing gives.
FOUR_BARS = pytest.mark.parametrize(
    ("linkage", "assembly", "theta3", "theta4", "tolerance"),
    [
        pytest.param(COUPLER_POINT, OPEN, 254.1745, 334.0983, 6e-5, id="fourbar_coupler_point-open"),
        pytest.param(COUPLER_POINT, CROSSED, 187.3223, 107.3985, 6e-5, id="fourbar_coupler_point-crossed"),
        pytest.param(NORTON_4_1, OPEN, 20.298, 57.325, 6e-4, id="fourbar_norton_example_4_1-open"),
        pytest.param(NORTON_4_1, CROSSED, -60.98, -98.01, 6e-3, id="fourbar_norton_example_4_1-crossed"),
        pytest.param(ME352, OPEN, 60.0, 97.0, 1.0, id="fourbar_graphical_me352-open"),
        pytest.param(ME352, CROSSED, -57.0, -95.0, 1.0, id="fourbar_graphical_me352-crossed"),
    ],
)


@FOUR_BARS
@pytest.mark.parametrize("how", ["continuation", "newton"])
def test_fourbar_angles(
    linkage: FourBar, how: str, assembly: float, theta3: float, theta4: float, tolerance: float
) -> None:
    """Followed from the crank along the ground line, or solved at once from a pose 12 deg off and out of the plane.

    On the way each assembly has to keep to itself; which of the two Newton finds depends on the rough pose alone.
    """
    if how == "continuation":
        solved = linkage.moved_from_start(assembly)
    else:
        solved = linkage.solved_from_rough_pose(theta3 + 12.0)

    found3, found4 = linkage.angles(*solved)
    assert degrees_apart(found3, theta3) < tolerance
    assert degrees_apart(found4, theta4) < tolerance


@pytest.mark.parametrize(("assembly", "point"), [(OPEN, [33.4666, -5.8245]), (CROSSED, [10.1047, 5.4293])])
def test_fourbar_coupler_point(assembly: float, point: list[float]) -> None:
    """A point carried by the coupler, as a wheel centre is by an upright; source as for COUPLER_POINT (in).

    P is at distance 10 from B, in the direction of the line B to A turned clockwise by gamma = 70 deg.
    """
    coupler, on_coupler = COUPLER_POINT.moved_from_start(assembly)
    p_on_coupler = on_coupler + polar(10.0 * INCH, degrees_of(-on_coupler) - 70.0)

    assert_allclose(coupler.carry(p_on_coupler)[1:] / INCH, point, rtol=0.0, atol=6e-5)


# --- slider-cranks ---


@pytest.mark.parametrize(("assembly", "theta3", "x"), [(OPEN, 152.91, 126.84), (CROSSED, 27.09, -86.84)])
def test_slider_crank_norton_example_4_2(assembly: float, theta3: float, x: float) -> None:
    """Offset slider: the coupler's end stays in a level plane. a = 40, b = 120, c = -20 mm, theta2 = 60 deg.

    Recalled, from memory: R. L. Norton, Design of Machinery, ch. 4 (Example 4-2 in recent editions). His theta3
    is the angle of the vector from the slider to the crank pin.
    """
    a, b, offset = 40.0, 120.0, -20.0
    # At theta2 = 0 crank pin, slider and the foot of the offset are a right triangle.
    pin = polar(a, 0.0)
    slider = np.array([0.0, a + assembly * math.sqrt(b**2 - offset**2), offset])
    guide = Planes(
        COUPLER, (slider - pin)[None], FIXED, np.array([[0.0, 0.0, offset]]), Z[None], np.zeros(1), ("slider",)
    )
    mechanism = crank_and_coupler(pin, guide, Z)

    coupler = moved(mechanism, a * math.sin(math.radians(60.0)))[COUPLER]

    found = coupler.carry(slider - pin)
    assert degrees_apart(degrees_of(coupler.position - found), theta3) < 0.006
    assert_allclose(found[1:], [x, offset], rtol=0.0, atol=0.006)


@pytest.mark.parametrize(
    ("assembly", "theta3", "theta4", "sliding_length"),
    [(OPEN, 232.7, 142.7, 1.79), (CROSSED, -79.0, -169.0, -1.79)],
)
def test_inverted_slider_crank_norton_p4_3a(
    assembly: float, theta3: float, theta4: float, sliding_length: float
) -> None:
    """A strut corner: crank = lower arm, rod (link 3) = strut axis sliding through O4 = top mount.

    Recalled, from memory: R. L. Norton, Design of Machinery, ch. 4, Table P4-3 row a, answers in its appendix.
    a = 2, c = 4, d = 6 in, gamma = 90 deg, theta2 = 30 deg. The line through O4 parallel to the rod passes the
    crank pin at distance c. The book gives the crossed length without its sign.
    """
    a, c, start_angle, theta2 = 2.0 * INCH, 4.0 * INCH, 60.0, 30.0
    top_mount, pin = polar(6.0 * INCH, 0.0), polar(a, start_angle)
    # O4, the slider B and the crank pin A are a right triangle: A - O4 = c along link 4 + b along the rod.
    hypotenuse = pin - top_mount
    length = assembly * math.sqrt(hypotenuse @ hypotenuse - c**2)
    rod = degrees_of(hypotenuse) + math.degrees(math.atan2(c, length))
    half_base = 3.0 * INCH * X
    fore_and_aft = half_base * np.array([[1.0], [-1.0]])
    mechanism = Mechanism(
        bodies=("upright",),
        start=Pose(pin[None], IDENTITY[None]),
        links=(
            Links(0, np.zeros((2, 3)), FIXED, fore_and_aft, np.full(2, math.hypot(a, 3.0 * INCH)), ("arm", "arm")),
            # A tie rod that repeats the arm further back, as no planar drawing can show, keeps the upright straight.
            Links(0, -2.0 * half_base[None], FIXED, -2.0 * half_base[None], np.array([a]), ("tie rod",)),
        ),
        planes=(slide(0, top_mount - pin, polar(1.0, rod), FIXED, top_mount, "strut"),),
        drivers=(held_along(0, ORIGIN, Z, "crank pin"),),
    )

    (upright,) = moved(mechanism, a * (math.sin(math.radians(theta2)) - math.sin(math.radians(start_angle))))

    along_rod = upright.rotation.apply(polar(1.0, rod))
    found3 = degrees_of(along_rod)
    assert_allclose(upright.position, polar(a, theta2), atol=1e-9)
    assert degrees_apart(found3, theta3) < 0.06
    assert degrees_apart(found3 - 90.0, theta4) < 0.06
    # From O4 four inches along link 4, then the sliding length along the rod, one is at the crank pin.
    slider = top_mount + polar(c, found3 - 90.0)
    assert_allclose((upright.position - slider) @ along_rod / INCH, sliding_length, rtol=0.0, atol=0.006)
    assert_allclose(np.cross(upright.position - slider, along_rod), 0.0, atol=1e-9)
