"""Planar closed forms against published linkages and roll-centre formulas, and against motion itself.

Labels of the published numbers: "seen" = read in the source; "recalled, from memory" = written from memory of
the publication, not re-read; "formula" = a published closed form, evaluated on numbers of our own.
"""

import math
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.testing import assert_allclose
from numpy.typing import NDArray

from solvers.planar import (
    PlanarPosition,
    lines_meeting,
    strut_instant_centre,
    strut_line_slope,
    strut_positions,
    wishbone_instant_centre,
    wishbone_line_slope,
    wishbone_positions,
)
from solvers.vectors import Array

Guides = tuple[Array, Array, Array, Array]  # lower pivot and joint; upper pivot and joint, or strut axis and mount
LEFT, RIGHT = 1.0, -1.0
MIRROR = np.array([-1.0, 1.0])
OPEN, CROSSED = 1.0, -1.0  # coupler end left, right of the line from crank pin to output pivot


def polar(length: float, degrees: float) -> Array:
    return length * np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])


def degrees_of(vector: Array) -> float:
    return math.degrees(math.atan2(vector[1], vector[0]))


def on_side(side: float, guides: Guides) -> Guides:
    """The guides of a left corner, or its mirror image."""
    flip = np.array([side, 1.0])
    first, second, third, fourth = guides
    return first * flip, second * flip, third * flip, fourth * flip


def as_complex(vectors: Array) -> NDArray[np.complex128]:
    return np.asarray(vectors[..., 0] + 1j * vectors[..., 1])


def degrees_apart(angle: float, other: float) -> float:
    return abs((angle - other + 180.0) % 360.0 - 180.0)


# --- four-bars of textbooks: crank = lower arm, coupler = upright, output = upper arm ---


@dataclass(frozen=True)
class FourBar:
    """Lengths of crank a, coupler b, output c, ground d, and the ground's angle [deg], in textbook letters."""

    a: float
    b: float
    c: float
    d: float
    ground: float = 0.0

    def measured(self, assembly: float) -> Guides:
        """The linkage with its crank along the ground line: a triangle of known sides (law of cosines)."""
        crank_pin, output_pivot = polar(self.a, self.ground), polar(self.d, self.ground)
        gap = abs(self.d - self.a)
        at_pin = math.acos((self.b**2 + gap**2 - self.c**2) / (2.0 * self.b * gap))
        coupler = degrees_of(output_pivot - crank_pin) + assembly * math.degrees(at_pin)
        return np.zeros(2), crank_pin, output_pivot, crank_pin + polar(self.b, coupler)

    def solved(self, assembly: float, theta2: float) -> tuple[PlanarPosition, float, float]:
        """Position at crank angle theta2, and the angles theta3 of the coupler, theta4 of the output [deg]."""
        o2, pin, o4, coupler_end = self.measured(assembly)
        position = wishbone_positions(o2, pin, o4, coupler_end, math.radians(theta2 - self.ground))
        end = position.carry(coupler_end)
        return position, degrees_of(end - position.lower_joint), degrees_of(end - o4)


@pytest.mark.parametrize(
    ("assembly", "theta3", "theta4", "point"),
    [
        (OPEN, 254.1745, 334.0983, [33.4666, -5.8245]),
        (CROSSED, 187.3223, 107.3985, [10.1047, 5.4293]),
    ],
)
def test_fourbar_coupler_point(assembly: float, theta3: float, theta4: float, point: list[float]) -> None:
    """Both assemblies and a point carried by the coupler, printed to four decimals (in, deg).

    Seen: university problem set with printed answers, quoted at transtutors.com, question 13676847. P is at
    distance 10 from B, in the direction of the line B to A turned clockwise by gamma = 70 deg.
    """
    linkage = FourBar(a=35.0, b=25.0, c=15.0, d=10.0)
    _, pin, _, coupler_end = linkage.measured(assembly)
    coupler_point = coupler_end + polar(10.0, degrees_of(pin - coupler_end) - 70.0)

    position, found3, found4 = linkage.solved(assembly, theta2=30.0)

    assert degrees_apart(found3, theta3) < 6e-5
    assert degrees_apart(found4, theta4) < 6e-5
    assert_allclose(position.carry(coupler_point), point, rtol=0.0, atol=6e-5)


@pytest.mark.parametrize(
    ("assembly", "theta3", "theta4", "tolerance"),
    [(OPEN, 20.298, 57.325, 6e-4), (CROSSED, -60.98, -98.01, 6e-3)],
)
def test_fourbar_norton_example_4_1(assembly: float, theta3: float, theta4: float, tolerance: float) -> None:
    """Recalled, from memory: R. L. Norton, Design of Machinery, ch. 4 (Example 4-1 in recent editions)."""
    _, found3, found4 = FourBar(a=40.0, b=120.0, c=80.0, d=100.0).solved(assembly, theta2=40.0)

    assert degrees_apart(found3, theta3) < tolerance
    assert degrees_apart(found4, theta4) < tolerance


@pytest.mark.parametrize(("assembly", "theta3", "theta4"), [(OPEN, 60.0, 97.0), (CROSSED, -57.0, -95.0)])
def test_fourbar_graphical_me352(assembly: float, theta3: float, theta4: float) -> None:
    """Inclined ground link; the printed answers were measured off a scaled drawing, hence one degree.

    Seen: Purdue University ME 352 Machine Design I, Homework 2 solution, fall 2010 (coursehero.com file 6651323).
    """
    linkage = FourBar(a=8.0, b=14.0, c=12.0, d=16.0, ground=15.0)
    _, found3, found4 = linkage.solved(assembly, theta2=30.0)

    assert degrees_apart(found3, theta3) < 1.0
    assert degrees_apart(found4, theta4) < 1.0


# --- the inverted slider-crank: crank = lower arm, slotted rod = strut axis, output pivot = top mount ---


@pytest.mark.parametrize(
    ("assembly", "theta3", "theta4", "sliding_length"),
    [(OPEN, 232.7, 142.7, 1.79), (CROSSED, -79.0, -169.0, -1.79)],
)
def test_inverted_slider_crank_norton_p4_3a(
    assembly: float, theta3: float, theta4: float, sliding_length: float
) -> None:
    """Recalled, from memory: R. L. Norton, Design of Machinery, ch. 4, Table P4-3 row a, answers in its appendix.

    a = 2, c = 4, d = 6 in, gamma = 90 deg, theta2 = 30 deg. The rod (link 3) runs from the slider B to the
    crank pin A at right angles to O4 B, so the line parallel to it through O4 is a strut axis that passes
    the lower joint A at the distance c. The book gives the crossed length without its sign.
    """
    a, c, d = 2.0, 4.0, 6.0
    crank_pivot, output_pivot = np.zeros(2), np.array([d, 0.0])
    # Measured with the crank pointing away from O4: O4, A and B are a triangle of 30, 60 and 90 degrees.
    rod = 90.0 + assembly * 120.0
    strut_axis = polar(1.0, rod)

    turn = math.radians(30.0 - 180.0)
    position = strut_positions(crank_pivot, [-a, 0.0], strut_axis, output_pivot, turn)
    found3 = rod + math.degrees(float(position.upright_turn))
    found4 = found3 - 90.0
    slider = output_pivot + polar(c, found4)

    assert degrees_apart(found3, theta3) < 0.06
    assert degrees_apart(found4, theta4) < 0.06
    # The loop closes: from the slider, the rod at its angle and length ends at the crank pin at 30 deg.
    assert_allclose(position.lower_joint, polar(a, 30.0), atol=1e-12)
    assert_allclose(slider + polar(sliding_length, found3), polar(a, 30.0), rtol=0.0, atol=0.006)


# --- roll centres: two published closed forms ---


def roll_centre_gradient_form(arm_1: Array, arm_2: Array, contact: Array) -> tuple[Array, float]:
    """Instant centre and roll-centre height from the gradients of two lines ((y, z), (y, z)).

    Formula, seen: M. Blundell, D. Harty, The Multibody Systems Approach to Vehicle Dynamics, eqs 4.33-4.43, p. 168
    (yumpu.com view 58322084 p. 191). Minus signs lost in the stored text are restored.
    """
    (a_y, a_z), (c_y, c_z) = arm_1[0], arm_2[0]
    gr1 = (arm_1[1, 1] - a_z) / (arm_1[1, 0] - a_y)
    gr2 = (arm_2[1, 1] - c_z) / (arm_2[1, 0] - c_y)
    ic_y = (gr1 * a_y - gr2 * c_y + c_z - a_z) / (gr1 - gr2)
    ic_z = a_z + gr1 * (ic_y - a_y)
    gr3 = (ic_z - contact[1]) / (ic_y - contact[0])
    return np.array([ic_y, ic_z]), float(contact[1] + gr3 * (0.0 - contact[0]))


@dataclass(frozen=True)
class AngleForm:
    """Roll-centre height from angles [deg] and lengths: fields of one shape (...), in the book's letters.

    Formula, recalled from memory and re-derived: J. Reimpell, H. Stoll, J. W. Betzler, The Automotive Chassis,
    2nd ed., section 3.4.3. Track b, kingpin inclination sigma, scrub radius r, height d of the lower ball joint,
    slope beta of the lower arm, rising towards the centre line. Wishbones: distance c of the ball joints, slope
    alpha of the upper arm, falling towards the centre line. Strut: c is the distance of the top mount from
    the lower ball joint, alpha the inclination of the strut axis from vertical.
    """

    b: Array
    sigma: Array
    r: Array
    d: Array
    c: Array
    alpha: Array
    beta: Array

    def wishbone_k(self) -> Array:
        sine = np.sin(np.radians(90.0 + self.sigma - self.alpha))
        return np.asarray(self.c * sine / np.sin(np.radians(self.alpha + self.beta)))

    def strut_k(self) -> Array:
        along_strut = self.c * np.cos(np.radians(self.sigma - self.alpha))  # the book's c + o
        return np.asarray(along_strut / np.sin(np.radians(self.alpha + self.beta)))

    def height(self, k: Array) -> Array:
        sigma, beta = np.radians(self.sigma), np.radians(self.beta)
        p = k * np.sin(beta) + self.d
        return np.asarray(self.b / 2.0 * p / (k * np.cos(beta) + self.d * np.tan(sigma) + self.r))

    # The same corner in points (..., 2), on the left side; arms of 350 mm, as their length does not matter.

    def contact(self) -> Array:
        return np.stack([self.b / 2.0, np.zeros_like(self.b)], axis=-1)

    def lower_joint(self) -> Array:
        return np.stack([self.b / 2.0 - self.r - self.d * np.tan(np.radians(self.sigma)), self.d], axis=-1)

    def axis_top(self) -> Array:
        """Upper ball joint or top mount."""
        return self.lower_joint() + self.c[..., None] * self.leaning(self.sigma)

    def lower_pivot(self) -> Array:
        return self.lower_joint() + 350.0 * self.leaning(90.0 - self.beta)

    def upper_pivot(self) -> Array:
        return self.axis_top() + 350.0 * self.leaning(90.0 + self.alpha)

    def wishbones(self) -> Guides:
        return self.lower_pivot(), self.lower_joint(), self.upper_pivot(), self.axis_top()

    def strut(self) -> Guides:
        return self.lower_pivot(), self.lower_joint(), self.leaning(self.alpha), self.axis_top()

    @staticmethod
    def leaning(degrees: Array) -> Array:
        """Unit vector (..., 2) at an angle from vertical towards the centre line."""
        return np.stack([-np.sin(np.radians(degrees)), np.cos(np.radians(degrees))], axis=-1)


def some_corners(strut: bool) -> AngleForm:
    """300 left corners (3, 100), sized like those of cars [mm]."""
    rng = np.random.default_rng(4)
    shape = (3, 100)
    alpha, c = ((4.0, 18.0), (500.0, 650.0)) if strut else ((2.0, 12.0), (200.0, 350.0))
    return AngleForm(
        b=rng.uniform(1300.0, 1650.0, shape),
        sigma=rng.uniform(2.0, 16.0, shape),
        r=rng.uniform(-30.0, 60.0, shape),
        d=rng.uniform(120.0, 260.0, shape),
        c=rng.uniform(*c, shape),
        alpha=rng.uniform(*alpha, shape),
        beta=rng.uniform(2.0, 12.0, shape),
    )


WISHBONES = AngleForm(*map(np.array, (1500.0, 10.0, 20.0, 200.0, 300.0, 6.0, 4.0)))
STRUT = AngleForm(*map(np.array, (1500.0, 14.0, -10.0, 190.0, 600.0, 12.0, 5.0)))


def test_roll_centre_double_wishbone_closed_forms() -> None:
    """Gradient form, angle form and our line meetings give one height. Formula; the inputs are our own (mm, deg)."""
    lower = np.array([[295.70898375, 227.9025895], [694.73460386, 200.0]])
    upper = np.array([[344.28358195, 464.08378692], [642.64015056, 495.4423259]])
    contact = np.array([750.0, 0.0])
    gradient_centre, gradient_height = roll_centre_gradient_form(lower, upper, contact)
    assert_allclose(WISHBONES.wishbone_k(), 1723.422722304, rtol=0.0, atol=1e-8)
    assert_allclose(WISHBONES.height(WISHBONES.wishbone_k()), 135.343070989, rtol=0.0, atol=1e-8)
    assert_allclose(gradient_height, 135.343070989, rtol=0.0, atol=1e-5)

    left = (lower[0], lower[1], upper[0], upper[1])
    right = on_side(RIGHT, left)
    centre = wishbone_instant_centre(*left)
    slopes = wishbone_line_slope(*left, contact), wishbone_line_slope(*right, contact * MIRROR)
    roll_centre = lines_meeting(contact, slopes[0], contact * MIRROR, slopes[1])

    assert_allclose(centre, [-1024.48994731, 320.21989188], rtol=0.0, atol=1e-5)
    assert_allclose(centre, gradient_centre, rtol=0.0, atol=1e-9)
    assert_allclose(roll_centre, [0.0, 135.343070989], rtol=0.0, atol=1e-5)


def test_roll_centre_strut_closed_form() -> None:
    """Angle form against the construction, the ball joint off the strut axis. Formula; inputs our own (mm, deg).

    The construction (normal to the strut at the top mount meets the lower arm's line) was seen in Blundell & Harty
    fig. 4.30; here its second line is given to their gradient form.
    """
    arm = np.array([[363.95953513, 220.50450996], [712.62767946, 190.0]])
    top_mount, contact = np.array([567.4745421, 772.17743577]), np.array([750.0, 0.0])
    axis = np.array([-math.sin(math.radians(12.0)), math.cos(math.radians(12.0))])
    normal = np.stack([top_mount, top_mount + polar(1000.0, 12.0)])
    _, gradient_height = roll_centre_gradient_form(arm, normal, contact)
    assert_allclose(STRUT.strut_k(), 2050.932037969, rtol=0.0, atol=1e-8)
    assert_allclose(STRUT.height(STRUT.strut_k()), 132.930971598, rtol=0.0, atol=1e-8)
    assert_allclose(gradient_height, 132.930971598, rtol=0.0, atol=1e-5)

    # A direction twice as long and pointing down is the same axis.
    guides = (arm[0], arm[1], axis, top_mount)
    left = strut_line_slope(*guides, contact)
    right = strut_line_slope(*on_side(RIGHT, (arm[0], arm[1], -2.0 * axis, top_mount)), contact * MIRROR)

    centre = strut_instant_centre(*guides)
    assert_allclose(centre, [-1330.49994291, 368.75050509], rtol=0.0, atol=1e-5)
    roll_centre = lines_meeting(contact, left, contact * MIRROR, right)
    assert_allclose(roll_centre, [0.0, 132.930971598], rtol=0.0, atol=1e-5)


@pytest.mark.parametrize("strut", [False, True])
@pytest.mark.parametrize("side", [LEFT, RIGHT])
def test_angle_form_holds_for_any_corner(strut: bool, side: float) -> None:
    """Height at the centre plane of the line from the contact, left and right, for 300 corners at once."""
    corners = some_corners(strut)
    guides = on_side(side, corners.strut() if strut else corners.wishbones())
    line_slope = strut_line_slope if strut else wishbone_line_slope
    k = corners.strut_k() if strut else corners.wishbone_k()

    slope = line_slope(*guides, corners.contact() * [side, 1.0])

    assert slope.shape == (3, 100)
    assert_allclose(-slope * side * corners.b / 2.0, corners.height(k), rtol=1e-11)


@pytest.mark.parametrize("arm_slope", [0.0, -0.25, 0.125])
def test_parallel_arms_give_their_slope(arm_slope: float) -> None:
    """Limit of the published forms, k to infinity: the line is parallel to the arms (references as above)."""
    outward = np.array([256.0, 256.0 * arm_slope])  # binary fractions, so the arms are parallel to the last bit
    lower_pivot, upper_pivot = np.array([384.0, 224.0]), np.array([416.0, 448.0])
    guides = (lower_pivot, lower_pivot + outward, upper_pivot, upper_pivot + outward)

    assert wishbone_line_slope(*guides, [750.0, 0.0]) == arm_slope
    assert not np.isfinite(wishbone_instant_centre(*guides)).all()
    square_strut = (-outward[1], outward[0])
    assert strut_line_slope(*guides[:2], square_strut, [560.0, 768.0], [750.0, 0.0]) == arm_slope
    assert not np.isfinite(strut_instant_centre(*guides[:2], square_strut, [560.0, 768.0])).all()


def test_slope_runs_smoothly_through_parallel() -> None:
    """A hair to either side of parallel, with the instant centre over 1000 km away, the slope is the book's."""
    beta = np.full(2, 4.0)
    alpha = -beta + [-1e-5, 1e-5]
    b, sigma, r, d, c = np.array([1500.0, 10.0, 20.0, 200.0, 300.0])[:, None] * np.ones(2)
    corner = AngleForm(b, sigma, r, d, c, alpha, beta)

    slope = wishbone_line_slope(*corner.wishbones(), corner.contact())

    k = corner.wishbone_k()
    assert (np.abs(k) > 1e9).all()
    assert_allclose(slope, -corner.height(k) / 750.0, rtol=0.0, atol=1e-13)


# --- the same things found from motion ---


def motion_about_measured(
    strut: bool, side: float, turn: float
) -> tuple[AngleForm, Guides, tuple[PlanarPosition, PlanarPosition]]:
    """Corners, their guides, and their positions one small turn before and one after the measured one."""
    corners = some_corners(strut)
    guides = on_side(side, corners.strut() if strut else corners.wishbones())
    move = strut_positions if strut else wishbone_positions
    return corners, guides, (move(*guides, -turn), move(*guides, turn))


@pytest.mark.parametrize("strut", [False, True])
@pytest.mark.parametrize("side", [LEFT, RIGHT])
def test_instant_centre_is_pole_of_small_motion(strut: bool, side: float) -> None:
    """The perpendicular bisectors of two upright points' paths meet in the instant centre.

    The pole of a motion of 2e-4 rad differs from the centre by the square of that times metres: below 2e-4 mm.
    """
    _, guides, (before, after) = motion_about_measured(strut, side, 1e-4)
    marks = [np.array([side * 700.0, 200.0]), np.array([side * 640.0, 480.0])]  # any two points of the upright
    paths = np.stack([after.carry(mark) - before.carry(mark) for mark in marks], axis=-2)
    middles = np.stack([after.carry(mark) + before.carry(mark) for mark in marks], axis=-2) / 2.0
    pole = np.linalg.solve(paths, np.sum(paths * middles, axis=-1)[..., None])[..., 0]

    centre = (strut_instant_centre if strut else wishbone_instant_centre)(*guides)

    assert_allclose(pole, centre, rtol=0.0, atol=2e-4)


@pytest.mark.parametrize("strut", [False, True])
@pytest.mark.parametrize("side", [LEFT, RIGHT])
def test_line_is_square_to_contact_path(strut: bool, side: float) -> None:
    corners, guides, (before, after) = motion_about_measured(strut, side, 1e-4)
    contact = corners.contact() * [side, 1.0]
    path = after.carry(contact) - before.carry(contact)

    slope = (strut_line_slope if strut else wishbone_line_slope)(*guides, contact)

    assert_allclose(slope, -path[..., 0] / path[..., 1], rtol=0.0, atol=1e-8)


SWEEP = np.radians(np.linspace(-20.0, 20.0, 41))[:, None, None]


def test_four_bar_keeps_its_lengths_and_side() -> None:
    lower_pivot, lower_joint, upper_pivot, upper_joint = guides = some_corners(strut=False).wishbones()
    position = wishbone_positions(*guides, SWEEP)
    assert position.upright_turn.shape == (41, 3, 100)

    joint, top = position.lower_joint, position.carry(upper_joint)
    lower_arm = as_complex(lower_joint - lower_pivot) * np.exp(1j * SWEEP)
    assert_allclose(as_complex(joint - lower_pivot), lower_arm, rtol=1e-12)
    for moved, measured in (
        (top - upper_pivot, upper_joint - upper_pivot),
        (top - joint, upper_joint - lower_joint),
    ):
        assert_allclose(np.abs(as_complex(moved) / as_complex(measured)), 1.0, rtol=1e-12)
    # Seen from the lower joint, a left corner's upper joint stays to the right of the way to the upper pivot.
    side = (as_complex(top - joint) / as_complex(upper_pivot - joint)).imag
    assert (side < 0.0).all()


def test_strut_axis_keeps_passing_through_top_mount() -> None:
    lower_pivot, lower_joint, axis, top_mount = guides = some_corners(strut=True).strut()
    position = strut_positions(*guides, SWEEP)

    on_axis, further = position.carry(top_mount), position.carry(top_mount + 100.0 * axis)
    off_axis = (as_complex(top_mount - on_axis) / as_complex(further - on_axis)).imag * 100.0
    assert_allclose(off_axis, 0.0, atol=1e-9)
    arm = np.linalg.norm(position.lower_joint - lower_pivot, axis=-1)
    assert_allclose(arm, np.full_like(arm, 350.0))
    assert (np.abs(position.upright_turn) < math.radians(25.0)).all()  # no upright on its head

    # The axis may as well be given three times as long and downwards.
    again = strut_positions(lower_pivot, lower_joint, -3.0 * axis, top_mount, SWEEP)
    assert_allclose(again.upright_turn, position.upright_turn, rtol=0.0, atol=1e-13)


def test_no_turn_is_the_measured_position() -> None:
    for position, joint in (
        (wishbone_positions(*WISHBONES.wishbones(), 0.0), WISHBONES.lower_joint()),
        (strut_positions(*STRUT.strut(), 0.0), STRUT.lower_joint()),
    ):
        assert_allclose(position.upright_turn, 0.0, atol=1e-13)
        assert_allclose(position.carry([750.0, 0.0]), [750.0, 0.0], atol=1e-10)
        assert_allclose(position.lower_joint, joint)


def test_base_line_along_an_axis_is_no_special_case() -> None:
    """Upper pivot level with the lower joint, then straight above it: eliminating y or z divides by zero."""
    for upper_pivot, upper_joint in (([-4.0, 0.0], [0.0, 3.0]), ([0.0, 4.0], [3.0, 0.0])):
        position = wishbone_positions([-5.0, 0.0], [0.0, 0.0], upper_pivot, upper_joint, 0.0)
        assert_allclose(position.carry(upper_joint), upper_joint, atol=1e-14)


def test_out_of_reach_is_nan_and_nothing_else_is() -> None:
    """A full turn of the lower arm: assembled just where the triangle inequality allows it."""
    turn = np.radians(np.arange(0.0, 360.0, 0.7))
    wishbone = wishbone_positions([0.0, 0.0], [40.0, 0.0], [0.0, 60.0], [40.0, 50.0], turn)
    gap = np.hypot(40.0 * np.cos(turn), 40.0 * np.sin(turn) - 60.0)
    upright, arm = 50.0, math.hypot(40.0, 10.0)
    possible = (gap < upright + arm) & (gap > upright - arm)
    assert 0 < possible.sum() < turn.size
    assert (np.isfinite(wishbone.upright_turn) == possible).all()
    assert (np.isfinite(wishbone.lower_joint).all(axis=-1) == possible).all()
    assert (np.isfinite(wishbone.carry([40.0, 50.0])).all(axis=-1) == possible).all()

    # The strut axis passes the lower joint at 40; the joint's circle of 50 comes within 10 of the top mount.
    strut = strut_positions([0.0, 0.0], [50.0, 0.0], [0.0, 1.0], [10.0, 60.0], turn)
    near = np.hypot(50.0 * np.cos(turn) - 10.0, 50.0 * np.sin(turn) - 60.0) < 40.0
    assert 0 < near.sum() < turn.size
    assert (np.isnan(strut.upright_turn) == near).all()


def test_unknown_side_is_nan() -> None:
    """Measured with upright and upper arm in line, or with the strut square to the way to its mount."""
    stretched = wishbone_positions([0.0, 0.0], [3.0, 0.0], [3.0, 6.0], [3.0, 2.0], [0.0, 0.1])
    square = strut_positions([0.0, 0.0], [3.0, 0.0], [0.0, 1.0], [5.0, 0.0], [0.0, 0.1])
    assert np.isnan(stretched.upright_turn).all()
    assert np.isnan(square.upright_turn).all()


def test_lines_meeting_lies_on_both_lines() -> None:
    rng = np.random.default_rng(7)
    left, right = rng.uniform(-1.0, 1.0, (2, 50, 2)) * 20.0 + [[[750.0, 0.0]], [[-750.0, 0.0]]]
    slopes = rng.uniform(0.05, 0.3, (2, 50)) * [[-1.0], [1.0]]
    meeting = lines_meeting(left, slopes[0], right, slopes[1])
    for point, slope in ((left, slopes[0]), (right, slopes[1])):
        assert_allclose(meeting[:, 1] - point[:, 1], slope * (meeting[:, 0] - point[:, 0]), atol=1e-9)
    assert not np.isfinite(lines_meeting([750.0, 0.0], 0.125, [-750.0, 0.0], 0.125)).all()


def test_batch_equals_single_points() -> None:
    corners = some_corners(strut=False)
    lower_pivot, lower_joint, upper_pivot, upper_joint = guides = corners.wishbones()
    contact = corners.contact()
    at = (2, 57)
    single = (lower_pivot[at], lower_joint[at], upper_pivot[at], upper_joint[at])

    slope, position = wishbone_line_slope(*single, contact[at]), wishbone_positions(*single, SWEEP[30, 0, 0])
    swept = wishbone_positions(*guides, SWEEP)

    assert slope.shape == position.upright_turn.shape == ()
    assert position.lower_joint.shape == (2,)
    assert swept.lower_joint.shape == swept.carry(contact).shape == (41, 3, 100, 2)
    assert_allclose(wishbone_line_slope(*guides, contact)[2, 57], slope, rtol=1e-14)
    assert_allclose(swept.carry(contact)[30, 2, 57], position.carry(contact[at]), rtol=1e-13)


def test_points_must_be_pairs() -> None:
    with pytest.raises(ValueError, match=r"pair \(y, z\).*\(3,\)"):
        wishbone_instant_centre([0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0], [1.0, 1.0])
    with pytest.raises(ValueError, match="pair"):
        wishbone_positions(*WISHBONES.wishbones(), 0.1).carry(750.0)
