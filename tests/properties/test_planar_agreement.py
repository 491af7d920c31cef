"""Cars whose linkage lies in one transverse plane: space solved numerically against the plane in closed form.

The lower pivots sit ahead of and behind the plane on one line along x, and the tie rod is a copy of the lower arm
moved along x, so the upright moves in the plane. The closed forms (solvers.planar) are held to published
linkages and formulas elsewhere in these tests.
"""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kinematics import LEFT, RIGHT, Axle, Sweep, sweep_bump, sweep_roll
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from solvers import planar
from solvers.planar import PlanarPosition
from solvers.vectors import Array
from tests.properties.plausible_cars import ONE_OR_MANY, REPEATABLE, axles, named

KINDS = [SUSPENSIONS["strut"], SUSPENSIONS["double wishbone"]]  # these two have a closed form in the plane

TURNS = np.radians(np.linspace(-18.0, 18.0, 73))  # of the lower arm
LONGEST = 60.0  # mm of travel
ROLLS = np.radians(np.linspace(-3.0, 3.0, 13))
SIDE = np.array([1.0, -1.0])
AHEAD = {"pivot_front": 130.0, "pivot_rear": -150.0, "tie_rod": -120.0}  # mm; all else is at x = 0

# Rounding of coordinates near 1000 mm, through a dozen operations, and of angles, whose levers are 100 mm and more.
LENGTH = 1e-9  # mm
ANGLE = 1e-12  # rad
SLOPE = 1e-11


def laid_flat(axle: Axle) -> Axle:
    """The axle with its linkage in the plane x = 0, wheels straight ahead."""
    points = {key: point * [0.0, 1.0, 1.0] for key, point in axle.points.items()}
    for arm in axle.suspension.arms:
        points[arm.pivot_rear] = points[arm.pivot_front] + [AHEAD["pivot_rear"], 0.0, 0.0]
        points[arm.pivot_front] = points[arm.pivot_front] + [AHEAD["pivot_front"], 0.0, 0.0]
    beside = np.array([AHEAD["tie_rod"], 0.0, 0.0])
    points["tie_rod_outer"] = points["lower_ball_joint"] + beside
    points["tie_rod_inner"] = points["lower_pivot_front"] * [0.0, 1.0, 1.0] + beside
    return replace(axle, points=points, toe=np.zeros(2))


@dataclass(frozen=True)
class FlatCorner:
    """One corner of such an axle in (y, z), moved by turning its lower arm."""

    axle: Axle
    side: int

    def measured(self, key: str) -> Array:
        return self.axle.points[key][self.side, 1:]

    def position(self, turn: Array) -> PlanarPosition:
        lower = self.measured("lower_pivot_front"), self.measured("lower_ball_joint")
        if self.axle.suspension.strut is None:
            upper = self.measured("upper_pivot_front"), self.measured("upper_ball_joint")
            return planar.wishbone_positions(*lower, *upper, turn)
        top = self.measured("strut_top")
        return planar.strut_positions(*lower, top - self.measured("strut_low"), top, turn)

    def travel(self, turn: Array) -> Array:
        return self.position(turn).carry(self.measured("wheel_centre"))[..., 1] - self.measured("wheel_centre")[1]

    def turn_for(self, travel: Array) -> Array:
        """The lower arm's turn for a travel, by halving: travel grows with the turn on the left, falls on the right."""
        low, high = np.full_like(travel, -SIDE[self.side] * 0.4), np.full_like(travel, SIDE[self.side] * 0.4)
        for _ in range(60):
            middle = 0.5 * (low + high)
            short = self.travel(middle) < travel
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        return 0.5 * (low + high)

    def camber(self, turn: Array, roll: Array | float = 0.0) -> Array:
        """Turning counter-clockwise leans a left wheel's top to the right, that is in: camber falls."""
        return self.axle.camber[self.side] - SIDE[self.side] * (self.position(turn).upright_turn + roll)

    def contact_from_centre(self, camber: Array) -> Array:
        """Down the disc by its radius."""
        radius = self.measured("wheel_centre")[1] / np.cos(self.axle.camber[self.side])
        return -radius * np.stack([SIDE[self.side] * np.sin(camber), np.cos(camber)], axis=-1)

    def moved_guides(self, turn: Array) -> tuple[Array, Array, Array, Array]:
        """Lower pivot and joint, and upper pivot and joint or strut direction and top mount, as they are now."""
        position = self.position(turn)
        pivot = np.broadcast_to(self.measured("lower_pivot_front"), position.lower_joint.shape)
        if self.axle.suspension.strut is None:
            upper = np.broadcast_to(self.measured("upper_pivot_front"), pivot.shape)
            return pivot, position.lower_joint, upper, position.carry(self.measured("upper_ball_joint"))
        top = np.broadcast_to(self.measured("strut_top"), pivot.shape)
        return pivot, position.lower_joint, top - position.carry(self.measured("strut_low")), top

    def slope(self, guides: tuple[Array, Array, Array, Array], contact: Array) -> Array:
        wishbones = self.axle.suspension.strut is None
        return (planar.wishbone_line_slope if wishbones else planar.strut_line_slope)(*guides, contact)

    def instant_centre(self, guides: tuple[Array, Array, Array, Array]) -> Array:
        wishbones = self.axle.suspension.strut is None
        return (planar.wishbone_instant_centre if wishbones else planar.strut_instant_centre)(*guides)


@pytest.mark.parametrize("side", [LEFT, RIGHT], ids=["left", "right"])
@pytest.mark.parametrize("kind", KINDS, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_bump_over_the_whole_travel(kind: SuspensionType, side: int, data: st.DataObject) -> None:
    corner = FlatCorner(laid_flat(data.draw(axles(kind))), side)
    turn = TURNS[np.abs(corner.travel(TURNS)) <= LONGEST]
    travel = corner.travel(turn)
    assert travel.min() < -50.0
    assert travel.max() > 50.0
    # The other wheel stays, so the ground does, and ground axes are body axes.
    sweep = sweep_bump(corner.axle, travel, ("left", "right")[side])
    assert sweep.reached.all()

    camber = corner.camber(turn)
    centre = corner.position(turn).carry(corner.measured("wheel_centre"))
    contact = centre + corner.contact_from_centre(camber)
    assert_allclose(sweep["wheel_centre_y"][side], centre[:, 0], rtol=0.0, atol=LENGTH)
    assert_allclose(sweep["wheel_centre_z"][side], centre[:, 1], rtol=0.0, atol=LENGTH)
    assert_allclose(sweep["contact_y"][side], contact[:, 0], rtol=0.0, atol=LENGTH)
    assert_allclose(sweep["contact_z"][side], contact[:, 1], rtol=0.0, atol=LENGTH)
    assert_allclose(sweep["camber"][side], camber, rtol=0.0, atol=ANGLE)
    for out_of_plane in ("wheel_centre_x", "contact_x", "toe"):
        assert_allclose(sweep[out_of_plane][side], 0.0, rtol=0.0, atol=LENGTH)

    guides = corner.moved_guides(turn)
    inwards = (-1.0, 1.0)[side]
    assert_allclose(inwards * sweep["jacking_coefficient"][side], corner.slope(guides, contact), rtol=0.0, atol=SLOPE)
    found = np.stack([sweep["instant_centre_y"][side], sweep["instant_centre_z"][side]], axis=-1)
    assert_instant_centres(found, corner.instant_centre(guides), contact)


def assert_instant_centres(found: Array, expected: Array, seen_from: Array) -> None:
    """Instant centres: alike to LENGTH within 3 m, and farther out as far as two lines can tell.

    A pose in space is good to about 1e-11 mm, which turns a line between joints 300 mm apart by 3e-14 rad. Lines that
    are 250 mm apart here and meet at a distance D enclose 250 / D, so the meeting moves by D**2 * 3e-14 / 250.
    """
    away = np.linalg.norm(expected - seen_from, axis=-1)
    here = np.isfinite(away) & (away < 1e6)
    assert here.mean() > 0.8
    error = np.linalg.norm(found - expected, axis=-1)
    assert (error[here] <= LENGTH + 1.2e-16 * away[here] ** 2).all()


@pytest.mark.parametrize("kind", KINDS, ids=named)
@REPEATABLE
@given(st.data(), st.floats(-25.0, 25.0))
def test_roll_with_sides_of_their_own(kind: SuspensionType, data: st.DataObject, heave: float) -> None:
    """Both corners laid out in closed form at the travels of the roll sweep, on a body turned in the plane."""
    axle = laid_flat(data.draw(axles(kind)))
    sweep = sweep_roll(axle, ROLLS, heave)
    assert sweep.reached.all()
    cos, sin = np.cos(ROLLS), np.sin(ROLLS)

    def turned(points: Array) -> Array:
        y, z = points[..., 0], points[..., 1]
        return np.stack([cos * y - sin * z, sin * y + cos * z], axis=-1)

    lift = np.array([0.0, heave])
    contacts, slopes = [], []
    for side in (LEFT, RIGHT):
        corner = FlatCorner(axle, side)
        turn = corner.turn_for(sweep["travel"][side])
        camber = corner.camber(turn, ROLLS)
        centre = turned(corner.position(turn).carry(corner.measured("wheel_centre"))) + lift
        contact = centre + corner.contact_from_centre(camber)
        assert_allclose(contact[:, 1], 0.0, rtol=0.0, atol=LENGTH)  # the closed form, too, stands on the ground
        assert_allclose(sweep["contact_y"][side], contact[:, 0], rtol=0.0, atol=LENGTH)
        assert_allclose(sweep["camber"][side], camber, rtol=0.0, atol=ANGLE)
        first, joint, third, fourth = (turned(point) for point in corner.moved_guides(turn))
        upper = (third + lift, fourth + lift) if kind.strut is None else (third, fourth + lift)
        slopes.append(corner.slope((first + lift, joint + lift, *upper), contact))
        contacts.append(contact)
    assert_allclose(np.array([[-1.0], [1.0]]) * sweep["jacking_coefficient"], slopes, rtol=0.0, atol=SLOPE)

    meeting = planar.lines_meeting(contacts[0], slopes[0], contacts[1], slopes[1])
    assert_meetings(sweep, "roll_centre", meeting, slopes[0] - slopes[1])
    assert_meetings(sweep, "textbook_roll_centre", meeting, slopes[0] - slopes[1])


def assert_meetings(sweep: Sweep, name: str, meeting: Array, angle: Array) -> None:
    """Lines known to LENGTH at the contact points meet to LENGTH over the (small) angle between them.

    Near parallel the meeting is nowhere; there the slopes, compared already, are all that can be compared.
    """
    crossing = np.abs(angle) > 1e-3
    found = np.stack([sweep[f"{name}_offset"], sweep[f"{name}_height"]], axis=-1)
    error = np.linalg.norm(found - meeting, axis=-1)
    away = 1.0 + np.abs(meeting[:, 0]) / 700.0  # the lines' slopes count at as many half tracks
    assert (error[crossing] <= LENGTH * away[crossing] / np.minimum(1.0, np.abs(angle[crossing]))).all()


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_both_constructions_find_parallel_arms(kind: SuspensionType) -> None:
    """Arms parallel, or the arm square to the strut: the contact line is parallel to the arm, to the last digits."""
    arm = np.array([0.0, 320.0, -16.0])  # slopes by 1/20
    square = np.array([0.0, 16.0, 320.0])
    joint = np.array([0.0, 680.0, 180.0])
    upper_joint = joint + np.array([0.0, -20.0, 250.0])
    tall = {
        "strut": {"strut_low": joint + 0.75 * square, "strut_top": joint + 2.0 * square},
        "double wishbone": {
            "upper_ball_joint": upper_joint,
            "upper_pivot_front": upper_joint - 0.8 * arm,
        },
    }[kind.name]
    left = {"wheel_centre": np.array([0.0, 740.0, 300.0]), "lower_ball_joint": joint, "lower_pivot_front": joint - arm}
    points = {key: np.array([point, point * [1.0, -1.0, 1.0]]) for key, point in {**left, **tall}.items()}
    others = {key: np.zeros((2, 3)) for key in kind.keys if key not in points}
    axle = laid_flat(Axle("front", kind, {**points, **others}, np.zeros(2), np.zeros(2)))

    sweep = sweep_bump(axle, np.zeros(1))

    assert_allclose(sweep["jacking_coefficient"][:, 0], [0.05, 0.05], rtol=0.0, atol=1e-14)
    # Slope 1/20 from contact points 740 mm out: the roll centre is 37 mm high although no instant centre exists.
    assert_allclose(sweep["roll_centre_height"], 37.0, rtol=0.0, atol=1e-11)
    assert_allclose(sweep["textbook_roll_centre_height"], 37.0, rtol=0.0, atol=1e-11)
    # Rounding leaves the arms apart by 1e-17 or so: beyond a thousand kilometres there is no number.
    assert np.isnan(sweep["swing_arm_length"]).all()
    assert sweep.gaps.there.all()
