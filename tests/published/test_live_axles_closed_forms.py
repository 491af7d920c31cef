"""Live axles in closed form: Watt's curve, a Panhard rod's arc, roll centres by what holds the axle sideways.

The axle is guided by links of one length l that lie along the car, level at ride height. With both wheels alike it
then only shifts: where it goes by y across and z up, also by x = l - sqrt(l^2 - y^2 - z^2) along the car (formula, a
parallelogram's end runs on a sphere). A rod or linkage across the car works in its own plane but for that x, which is
in the closed forms here: they are exact for any length of the links, not only for very long ones.
"""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation

from kinematics import Axle, sweep_bump, sweep_roll
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.live_axle import LiveAxle
from solvers.vectors import Array

Point = tuple[float, float, float]
Points = dict[str, Point | tuple[Point, Point]]

ROUNDING = 1e-9  # mm

HUB: Point = (0.0, 715.0, 305.0)


def along_the_car(length: float, *, upper_out: float = 0.0) -> Points:
    """Level links of that length, two low and one high or, further out, two."""
    return {
        "wheel_centre": HUB,
        "lower_link_axle": (15.0, 480.0, 235.0),
        "lower_link_chassis": (15.0 + length, 480.0, 235.0),
        "upper_link_axle": (-10.0, upper_out, 450.0),
        "upper_link_chassis": (-10.0 + length, upper_out, 450.0),
    }


def axle(kind: str | SuspensionType, points: Points) -> Axle:
    """Left and right alike, or as given for both; a point that both share is where it is."""
    kind = SUSPENSIONS[kind] if isinstance(kind, str) else kind
    places = {}
    for key in kind.keys:
        place = np.array(points[key], dtype=float)
        if place.ndim == 1:
            place = np.array([place, place if key in kind.single else place * [1.0, -1.0, 1.0]])
        places[key] = place
    return Axle("rear", kind, places, camber=np.zeros(2), toe=np.zeros(2))


def moved(measured: Axle, travel: Array, key: str) -> Array:
    """A point at both wheels' travel (S,), less where it was measured (S, 3)."""
    states = LiveAxle(measured).at(np.stack([travel, travel]))
    assert states.reached.all()
    return states.point(key)[0] - measured.points[key][0]


# --- Watt's curve ---------------------------------------------------------------------------------------------------

# Pivots at (-a, 0) and (a, 0), arms b, coupler 2c, traced by its middle [mm]. Here x is the car's y, y is its z.
A, B, C = 350.0, 360.0, 60.0

# Left arm's angle and the point, to six digits. Formula seen in source: MacTutor "Watt's Curve" and
# everything.explained.today "Watt's curve"; E. H. Lockwood, A Book of Curves, 1967, p. 162. Points: the loop
# closed by another program.
PUBLISHED = [
    (-20.0, -10.848, -63.133),
    (-15.0, -5.64, -33.27),
    (-10.0, -0.458, -2.721),
    (-5.0, 4.824, 28.503),
]
PUBLISHED_TO = 6e-4  # mm: half a digit of x, and of y times the curve's slope of a sixth


def sextic(x: Array, y: Array, arm: Array | float) -> Array:
    """Watt's curve, zero on it: (x^2+y^2)(x^2+y^2-a^2-b^2+c^2)^2 + 4a^2y^2(x^2+y^2-b^2), in metres."""
    x, y, a, b, c = x / 1e3, y / 1e3, A / 1e3, np.asarray(arm) / 1e3, C / 1e3
    square = x**2 + y**2
    return square * (square - a**2 - b**2 + c**2) ** 2 + 4.0 * a**2 * y**2 * (square - b**2)


def watt_axle(length: float) -> Axle:
    """The crank in the middle of its curve: its ends c off, where both arms reach them."""
    lean = math.acos((B**2 - A**2 - C**2) / (2.0 * A * C))
    out, up, height = C * math.cos(lean), C * math.sin(lean), 305.0
    points = along_the_car(length)
    points |= {
        "watt_pivot_front": (-100.0, 0.0, height),
        "watt_pivot_rear": (-150.0, 0.0, height),
        # Left of the car is right on the published drawing.
        "watt_crank_end": ((-125.0, -out, height + up), (-125.0, out, height - up)),
        "watt_rod_chassis": ((-125.0, A, height), (-125.0, -A, height)),
    }
    return axle("live axle with Watt linkage on the axle", points)


@pytest.mark.parametrize(("arm_deg", "x", "y"), PUBLISHED)
def test_crank_pivot_runs_along_published_points(arm_deg: float, x: float, y: float) -> None:
    """On links of 20 m the plane of the linkage bends by 0.1 mm, which shortens an arm by 2e-5 mm."""
    measured = watt_axle(20000.0)

    shift = moved(measured, np.array([y]), "watt_pivot_front")[0]
    states = LiveAxle(measured).at(np.full((2, 1), y))
    arm = states.point("watt_crank_end")[1, 0] - measured.points["watt_rod_chassis"][1]

    assert_allclose(shift[2], y, rtol=0.0, atol=ROUNDING)
    assert_allclose(shift[1], x, rtol=0.0, atol=PUBLISHED_TO)
    # A millionth of a metre in the point is this much of the arm's angle.
    assert_allclose(math.degrees(math.atan2(arm[2], arm[1])), arm_deg, rtol=0.0, atol=math.degrees(2e-3 / B))


@pytest.mark.parametrize("length", [450.0, 1200.0])
def test_crank_pivot_runs_along_watts_curve(length: float) -> None:
    """On links as short as a car's, the arms reach less far across as the axle moves along: b^2 less its square."""
    travel = np.linspace(-63.0, 63.0, 43)

    ahead, across, up = moved(watt_axle(length), travel, "watt_pivot_front").T

    assert_allclose(ahead, length - np.sqrt(length**2 - across**2 - up**2), rtol=0.0, atol=ROUNDING)
    assert_allclose(sextic(across, up, np.sqrt(B**2 - ahead**2)), 0.0, rtol=0.0, atol=1e-15)
    # The curve is not a line, and the check would see a hundredth of a millimetre.
    assert np.ptp(across) > 20.0
    assert np.abs(sextic(across + 0.01, up, np.sqrt(B**2 - ahead**2))).max() > 1e-10


# --- Panhard rod ----------------------------------------------------------------------------------------------------


def panhard_axle(kind: str, height: float, rise: float = 0.0, length: float = 450.0, rod: float = 1000.0) -> Axle:
    """A rod from the axle, on the left, across to the body; it rises by that much from the one to the other."""
    upper_out = 470.0 if "four" in kind else 0.0
    points = along_the_car(length, upper_out=upper_out)
    points |= {
        "torque_arm_front": (950.0, 0.0, 330.0),
        "panhard_axle": (-130.0, 540.0, height - rise / 2.0),
        "panhard_chassis": (-130.0, 540.0 - rod, height + rise / 2.0),
    }
    return axle(kind, points)


PANHARD_TYPES = [
    "live axle with three links",
    "live axle with four links",
    "live axle with torque arm",
]


@pytest.mark.parametrize("rod", [600.0, 1000.0])
@pytest.mark.parametrize("kind", PANHARD_TYPES[:2])
def test_axle_shifts_by_the_panhard_rods_arc(kind: str, rod: float) -> None:
    """Seen in source (euromotor chassis course): y = L - sqrt(L^2 - z^2) for a level rod, towards the body's end.

    That is for an axle that does not move along the car. Here rod and links run on two spheres that meet where
    L y = l x, so that with n = 1 + l^2 / L^2 it is n x = l - sqrt(l^2 - n z^2) (formula, by hand).
    """
    travel, link = np.linspace(-60.0, 60.0, 13), 450.0
    measured = panhard_axle(kind, 290.0, rod=rod, length=link)
    both = 1.0 + (link / rod) ** 2
    ahead = (link - np.sqrt(link**2 - both * travel**2)) / both

    shift = moved(measured, travel, "panhard_axle")
    sweep = sweep_bump(measured, travel)

    assert_allclose(shift[:, 1], -link * ahead / rod, rtol=0.0, atol=ROUNDING)
    for side, out in enumerate((HUB[1], -HUB[1])):
        assert_allclose(sweep["wheel_centre_y"][side], out + shift[:, 1], rtol=0.0, atol=ROUNDING)
        assert_allclose(sweep["wheel_centre_x"][side], ahead, rtol=0.0, atol=ROUNDING)
    assert_allclose(sweep["axle_steer"], 0.0, rtol=0.0, atol=1e-13)
    assert_allclose(sweep["pinion_angle_change"], 0.0, rtol=0.0, atol=1e-13)


def test_arc_of_the_published_formula_with_long_links() -> None:
    """On links of 20 m x is 0.1 mm at most: what it takes from the arc, x^2 / 2 L, is 4e-6 mm.

    The solver holds lengths to 1e-11 mm, which rules out links so long that this would be rounding.
    """
    travel = np.linspace(-60.0, 60.0, 13)

    shift = moved(panhard_axle(PANHARD_TYPES[0], 290.0, length=20000.0), travel, "panhard_axle")

    assert_allclose(-shift[:, 1], 1000.0 - np.sqrt(1000.0**2 - travel**2), rtol=0.0, atol=1e-5)


# --- Roll centres at ride height ------------------------------------------------------------------------------------


def assert_roll_centre(measured: Axle, height: float, drawn_to: float = ROUNDING) -> None:
    for sweep in (sweep_bump(measured, np.zeros(1)), sweep_roll(measured, np.zeros(1))):
        for prefix, to in (("", ROUNDING), ("textbook_", drawn_to)):
            assert_allclose(sweep[f"{prefix}roll_centre_height"], height, rtol=0.0, atol=to)
            assert_allclose(sweep[f"{prefix}roll_centre_offset"], 0.0, rtol=0.0, atol=to)
        assert_allclose(sweep["force_weighted_height"], height, rtol=0.0, atol=ROUNDING)


@pytest.mark.parametrize("kind", PANHARD_TYPES)
@pytest.mark.parametrize("height", [180.0, 290.0])
def test_roll_centre_at_the_height_of_a_level_panhard_rod(kind: str, height: float) -> None:
    """Seen in source (euromotor chassis course)."""
    assert_roll_centre(panhard_axle(kind, height), height)


@pytest.mark.parametrize("kind", PANHARD_TYPES)
def test_roll_centre_where_a_sloping_rod_crosses_the_centre_plane(kind: str) -> None:
    """From memory: W. Matschinsky, Road Vehicle Suspensions. The rod rises by 80 mm in 1000; 540 are left."""
    assert_roll_centre(panhard_axle(kind, 290.0, rise=80.0), 250.0 + 80.0 * 0.54)


def test_roll_centre_at_watts_pivot() -> None:
    """Seen in source (euromotor chassis course): the middle hinge; with these arms at no time square to the rods."""
    assert_roll_centre(watt_axle(450.0), 305.0)


@pytest.mark.parametrize("height", [240.0, 305.0])
@pytest.mark.parametrize(
    ("kind", "rod_end"),
    [
        ("live axle with Watt linkage on the axle", "watt_rod_chassis"),
        ("live axle with Watt linkage on the body", "watt_rod_axle"),
    ],
)
def test_roll_centre_at_watts_pivot_on_axle_or_body(kind: str, rod_end: str, height: float) -> None:
    """The same with level rods and an upright crank, on either part (seen in source; on the body, from memory)."""
    ends = {
        key: ((-125.0, out, height + 70.0), (-125.0, -out, height - 70.0))
        for key, out in (("watt_crank_end", 0.0), (rod_end, 520.0))
    }
    bolt: Points = {"watt_pivot_front": (-100.0, 0.0, height), "watt_pivot_rear": (-150.0, 0.0, height)}

    assert_roll_centre(axle(kind, along_the_car(450.0) | bolt | ends), height)


@pytest.mark.parametrize(
    ("upper_meeting", "lower_meeting", "height"),
    [
        # Both pairs converge; the axle lies at x = 0 between the meeting points: by hand, the line between them.
        ((-200.0, 440.0), (900.0, 220.0), 220.0 + 220.0 * 900.0 / 1100.0),
        # Upper links that meet over the axle: the roll centre is that point, wherever the lower ones meet.
        ((0.0, 430.0), (1500.0, 150.0), 430.0),
        # Lower links along the car and level: their meeting point lies ahead at infinity, at their height.
        ((-200.0, 440.0), (math.inf, 235.0), 440.0),
    ],
)
def test_roll_centre_between_the_meeting_points_of_triangulated_links(
    upper_meeting: tuple[float, float], lower_meeting: tuple[float, float], height: float
) -> None:
    """From memory: W. Matschinsky, Road Vehicle Suspensions. Both meeting points lie on the axle's roll axis."""

    def on_line(meeting: tuple[float, float], towards: Point, x: float) -> Point:
        """Where the line from a meeting point in the centre plane to a point passes a transverse plane."""
        ahead, up = meeting
        if math.isinf(ahead):
            return (x, *towards[1:])
        part = (x - ahead) / (towards[0] - ahead)
        return (x, part * towards[1], up + part * (towards[2] - up))

    on_upper, on_lower = (310.0, 420.0, 412.0), (15.0, 500.0, 235.0)
    points: Points = {
        "wheel_centre": HUB,
        "upper_link_axle": on_line(upper_meeting, on_upper, 20.0),
        "upper_link_chassis": on_upper,
        "lower_link_axle": on_lower,
        "lower_link_chassis": on_line(lower_meeting, on_lower, 510.0),
    }

    # The drawing board puts the meeting point of parallel links a thousand million link lengths off, not at infinity.
    drawn_to = 1e-6 if math.isinf(lower_meeting[0]) else ROUNDING
    assert_roll_centre(axle("live axle with triangulated links", points), height, drawn_to)


# --- Four links and their bushes ------------------------------------------------------------------------------------

FOUR_LINKS: Points = {
    "wheel_centre": HUB,
    "lower_link_axle": (15.0, 500.0, 235.0),
    "lower_link_chassis": (510.0, 470.0, 262.0),
    "upper_link_axle": (0.0, 470.0, 420.0),
    "upper_link_chassis": (430.0, 455.0, 412.0),
    "panhard_axle": (-130.0, 540.0, 285.0),
    "panhard_chassis": (-130.0, -530.0, 300.0),
}
PAIRS = ("upper_link", "lower_link")


@pytest.mark.parametrize("travel", [(-35.0, 35.0), (-10.0, 10.0), (40.0, -10.0)])
def test_bushes_share_what_does_not_fit(travel: tuple[float, float]) -> None:
    """In roll a fourth link holds the axle once too often: equal bushes give by the same amount, two each way.

    Equal bushes take the shape with the least strain energy (formula, least squares of the links' changes of length,
    here by SciPy). Sharing alike is that to first order: the four links pull at nearly the same lever, and what the
    levers differ by, some per cent, counts as its square.
    """
    measured = axle("live axle with four links", FOUR_LINKS)
    points = measured.points
    states = LiveAxle(measured).at(np.array(travel)[:, None])
    now = {key: states.point(key)[:, 0] for key in points}

    def lengths(places: dict[str, Array], link: str) -> Array:
        return np.linalg.norm(places[f"{link}_axle"] - places[f"{link}_chassis"], axis=-1)

    def stretched(places: dict[str, Array]) -> Array:
        return np.concatenate([lengths(places, link) - lengths(points, link) for link in PAIRS])

    changes = stretched(now)
    assert_allclose(changes, changes[0] * np.array([1.0, -1.0, -1.0, 1.0]), rtol=0.0, atol=ROUNDING)
    assert np.abs(changes[0]) > 0.1  # mm: there is something to share

    middle = points["wheel_centre"].mean(axis=0)

    def placed(pose: Array) -> dict[str, Array]:
        turn, shift = Rotation.from_rotvec(pose[3:] / 500.0), pose[:3]
        on_axle = {key for key in points if key.endswith("_axle") or key == "wheel_centre"}
        return {
            key: turn.apply(place - middle) + middle + shift if key in on_axle else place
            for key, place in points.items()
        }

    def energy(pose: Array) -> float:
        return float((stretched(placed(pose)) ** 2).sum())

    def held(pose: Array) -> Array:
        places = placed(pose)
        rod = lengths(places, "panhard") - lengths(points, "panhard")
        return np.append(places["wheel_centre"][:, 2] - points["wheel_centre"][:, 2] - travel, rod[0])

    least = minimize(
        energy,
        np.zeros(6),
        method="SLSQP",
        constraints=[{"type": "eq", "fun": held}],
        options={"ftol": 1e-15, "maxiter": 500},
    )
    assert least.success

    # Never less than the least, but for SciPy's own tolerance.
    assert 1.0 - 1e-4 < (changes**2).sum() / least.fun < 1.01
    assert_allclose(placed(least.x)["wheel_centre"], now["wheel_centre"], rtol=0.0, atol=0.1)
