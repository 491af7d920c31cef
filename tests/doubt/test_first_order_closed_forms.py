"""Slopes and standard deviations to first order, against closed forms differentiated by SymPy or by hand.

Roll centre of a planar car: the gradient form of tests/published/test_roll_centre_of_planar_cars.py, seen in source
there, with a corner of its own on each side. All else: formula, by hand, for coordinates with known variances.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pytest
import sympy
from numpy.testing import assert_allclose
from scipy.stats import norm

from kinematics import Axle
from kinematics.car.limits import Limits
from kinematics.car.suspension_type import PivotInMiddle, RodAcross
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.uncertainty import Coordinate, Doubt, independent
from kinematics.doubt.assessment import assess
from kinematics.doubt.question import AT_RIDE_HEIGHT
from solvers.spread import FirstOrder
from solvers.vectors import Array
from tests.properties.plausible_cars import typical_axle
from tests.published.test_roll_centre_of_planar_cars import CONTACT_OUT, STRUT, WISHBONES, FrontView, axle
from tests.short_run import at_places

BOTH: tuple[int, ...] = (0, 1)
EACH: tuple[tuple[int, ...], ...] = (BOTH, (0,), (1,))
SIGMA = 2.0  # mm
_ROUNDING = 1e-9  # of the largest slope: closed forms and solver are both exact

# What moves as one, so that the linkage stays in its plane: the tie rod lies like the lower arm.
LOWER = {
    "lower_inner": ("lower_pivot_front", "lower_pivot_rear", "tie_rod_inner"),
    "lower_outer": ("lower_ball_joint", "tie_rod_outer"),
}
WISHBONE_GROUPS = {
    **LOWER,
    "upper_inner": ("upper_pivot_front", "upper_pivot_rear"),
    "upper_outer": ("upper_ball_joint",),
    "wheel_centre": ("wheel_centre",),
}
STRUT_GROUPS = {**LOWER, "top": ("strut_top",), "low": ("strut_low",), "wheel_centre": ("wheel_centre",)}
Point = tuple[sympy.Symbol, sympy.Symbol]


def to_first_order(measured: Axle, doubt: Doubt) -> Mapping[str, FirstOrder]:
    found = assess(replace(measured, doubt=doubt), AT_RIDE_HEIGHT, Limits())
    assert found is not None
    return {key: one for (_, key), one in found.first.items()}


def _meet(first: tuple[Point, Point], second: tuple[Point, Point]) -> tuple[sympy.Expr, sympy.Expr]:
    """Where two lines meet, each through two points, by their gradients."""
    (a, b), (c, d) = first, second
    m, n = (b[1] - a[1]) / (b[0] - a[0]), (d[1] - c[1]) / (d[0] - c[0])
    out = (c[1] - a[1] + m * a[0] - n * c[0]) / (m - n)
    return out, a[1] + m * (out - a[0])


def _contact_line(kind: str, corner: Mapping[str, Point], camber: sympy.Symbol) -> tuple[sympy.Expr, sympy.Expr]:
    """Slope of a corner's contact line towards the car's middle, and how far out its contact point lies."""
    lower = corner["lower_inner"], corner["lower_outer"]
    if kind == "strut":
        top, low = corner["top"], corner["low"]
        normal = (top[0] + (top[1] - low[1]), top[1] - (top[0] - low[0]))
        upper = top, normal
    else:
        upper = corner["upper_inner"], corner["upper_outer"]
    out, up = _meet(lower, upper)
    wheel = corner["wheel_centre"]
    contact = wheel[0] - wheel[1] * sympy.tan(camber)
    return up / (contact - out), contact


def _roll_centre_slopes(kind: str, corner: Mapping[str, tuple[float, float]], camber: float) -> dict[str, Array]:
    """Slopes of a car's roll-centre height and offset, (2, n): of the left corner's coordinates, and of the right's.

    The coordinates: out and up of each point, then the camber. Both corners are alike; one side's chain rule at a time.
    """
    points = {name: sympy.symbols(f"{name}_out {name}_up") for name in corner}
    angle = sympy.Symbol("camber")
    symbols = [*(one for point in points.values() for one in point), angle]
    at = [*(one for point in corner.values() for one in point), camber]
    line = sympy.Matrix(_contact_line(kind, points, angle))
    of_line = np.array(sympy.lambdify(symbols, line.jacobian(symbols).tolist(), "math", cse=True)(*at), dtype=float)
    here = np.array(sympy.lambdify(symbols, list(line), "math", cse=True)(*at), dtype=float)

    left, left_out, right, right_out = ends = sympy.symbols("l lo r ro")
    closed = {
        "roll_centre_height": left * right * (left_out + right_out) / (left + right),
        "roll_centre_offset": (left * left_out - right * right_out) / (left + right),
    }
    slopes = {}
    for key, formula in closed.items():
        outer = sympy.lambdify(ends, [formula.diff(one) for one in ends], "math")(*here, *here)
        slopes[key] = np.array(outer).reshape(2, 2) @ of_line
    return slopes


def _planar_doubt(groups: Mapping[str, Sequence[str]], sides: tuple[int, ...], size: Array) -> Doubt:
    """A source for each group's `out` and `up`, and for the camber, with these standard deviations."""
    places = [(name, way) for name in groups for way in ("out", "up")]
    coordinates = [Coordinate(key, way, sides) for name, way in places for key in groups[name]]
    owner = [index for index, (name, _) in enumerate(places) for _ in groups[name]]
    influence = np.zeros((len(owner) + 1, len(places) + 1))
    influence[range(len(owner)), owner] = size[owner]
    influence[-1, -1] = size[-1]
    names = [*(f"{name} {way}" for name, way in places), "camber"]
    return Doubt((*coordinates, Coordinate("camber", "", sides)), influence, tuple(names))


@pytest.mark.parametrize("sides", at_places([(one,) for one in EACH], 1), ids=["both at once", "left", "right"])
@pytest.mark.parametrize(
    ("kind", "points", "groups"),
    [("double wishbone", WISHBONES, WISHBONE_GROUPS), ("strut", STRUT, STRUT_GROUPS)],
    ids=["double-wishbone", "strut"],
)
def test_roll_centre_of_a_planar_car(
    kind: str, points: FrontView, groups: Mapping[str, Sequence[str]], sides: tuple[int, ...]
) -> None:
    measured = axle(kind, points, math.radians(-1.5))
    count = 2 * len(groups) + 1
    size = np.linspace(0.5, 3.0, count)
    size[-1] = 2e-3
    found = to_first_order(measured, _planar_doubt(groups, sides, size))
    corner = {name: tuple(measured.points[keys[0]][0, 1:].tolist()) for name, keys in groups.items()}
    for key, slopes in _roll_centre_slopes(kind, corner, float(measured.camber[0])).items():
        expected = size * sum(slopes[side] for side in sides)
        # The points' eight decimals leave the tie rod like the lower arm to 1e-10 only.
        most = 1e-7 * np.abs(size * slopes).max()
        for prefix in ("", "textbook_"):
            one = found[prefix + key]
            assert_allclose(one.slopes[:, 0], expected, rtol=0.0, atol=most, err_msg=prefix + key)
            assert_allclose(one.standard_deviation, math.hypot(*expected), rtol=0.0, atol=most)


def test_level_parallel_arms() -> None:
    """The instant centre is at infinity, yet the roll-centre height has its slope: the lower arm tilted by hand."""
    spread, low = 280.0, 200.0
    level: FrontView = {
        key: (ahead, out, low + spread if "upper" in key else low) for key, (ahead, out, _) in WISHBONES.items()
    }
    doubt = _planar_doubt({"lower_inner": LOWER["lower_inner"]}, BOTH, np.array([1.0, SIGMA, 1e-3]))
    found = to_first_order(axle("double wishbone", level), doubt)["roll_centre_height"]
    arm = WISHBONES["lower_ball_joint"][1] - WISHBONES["lower_pivot_front"][1]
    # Rising by SIGMA/arm inwards it meets the upper arm's line spread/(SIGMA/arm) inwards, low + spread above ground.
    expected = CONTACT_OUT * (low + spread) * SIGMA / (arm * spread)
    assert_allclose(found.slopes[:, 0], [0.0, expected, 0.0], rtol=0.0, atol=1e-7)


def test_lower_arm_angle() -> None:
    """An arm turns by what its ends move across it over its length; the inner end lies between two pivots."""
    measured = axle("double wishbone", WISHBONES)
    front, rear, ball = (WISHBONES[key] for key in ("lower_pivot_front", "lower_pivot_rear", "lower_ball_joint"))
    length = math.hypot(ball[1] - front[1], ball[2] - front[2])
    part = (ball[0] - rear[0]) / (front[0] - rear[0])
    expected = SIGMA / length * math.sqrt(1.0 + part**2 + (1.0 - part) ** 2)
    keys = ("lower_pivot_front", "lower_pivot_rear", "lower_ball_joint")
    doubt = independent([Coordinate(key, way) for key in keys for way in ("out", "up")], [SIGMA] * 6)
    found = to_first_order(measured, doubt)["lower_arm_angle"]
    assert_allclose(found.standard_deviation[:, 0], expected, rtol=_ROUNDING)
    # Positive: it rises towards the centre plane, as it does with its inner end raised or its outer one lowered.
    slope_of = dict(zip(doubt.sources, found.slopes[:, 0, 0], strict=True))
    across = (ball[1] - front[1]) / length**2 * SIGMA
    assert_allclose(slope_of["lower_ball_joint up"], -across, rtol=_ROUNDING)
    assert_allclose(slope_of["lower_pivot_front up"], part * across, rtol=_ROUNDING)


def test_kingpin_inclination_and_caster_of_a_strut() -> None:
    measured = typical_axle(SUSPENSIONS["strut"])
    low, top = (measured.points[key][0] for key in ("lower_ball_joint", "strut_top"))
    coordinates = [Coordinate(key, way) for key in ("lower_ball_joint", "strut_top") for way in ("ahead", "out", "up")]
    found = to_first_order(measured, independent(coordinates, [SIGMA] * 6))
    for key, axis in (("kingpin_inclination", 1), ("caster", 0)):
        seen = math.hypot(top[axis] - low[axis], top[2] - low[2])
        assert_allclose(found[key].standard_deviation[:, 0], math.sqrt(2.0) * SIGMA / seen, rtol=_ROUNDING)
        assert_allclose(found[key].value[:, 0], abs(math.atan2(top[axis] - low[axis], top[2] - low[2])), rtol=_ROUNDING)


def test_scrub_radius_of_a_strut() -> None:
    """Where the axis passes the ground, and the contact point, on a wheel that points straight ahead."""
    camber, of_camber = math.radians(-1.8), 2e-3
    measured = replace(typical_axle(SUSPENSIONS["strut"]), camber=np.full(2, camber), toe=np.zeros(2))
    low, top = (measured.points[key][0] for key in ("lower_ball_joint", "strut_top"))
    coordinates = [Coordinate(key, way) for key in ("lower_ball_joint", "strut_top") for way in ("out", "up")]
    coordinates += [Coordinate("wheel_centre", "out"), Coordinate("wheel_centre", "up"), Coordinate("camber", "")]
    found = to_first_order(measured, independent(coordinates, [SIGMA] * 6 + [of_camber]))["scrub_radius"]
    part = -low[2] / (top[2] - low[2])  # along the axis, from the lower joint, to the ground
    lean = (top[1] - low[1]) / (top[2] - low[2])
    of_axis = SIGMA**2 * (1.0 + lean**2) * (part**2 + (1.0 - part) ** 2)
    up = measured.points["wheel_centre"][0, 2]
    of_contact = SIGMA**2 * (1.0 + math.tan(camber) ** 2) + (up / math.cos(camber) ** 2 * of_camber) ** 2
    assert_allclose(found.standard_deviation[:, 0], math.sqrt(of_axis + of_contact), rtol=_ROUNDING)


def test_camber_and_toe_come_out_as_they_go_in() -> None:
    """Also with points in doubt: at ride height the wheels stand as the gauge read."""
    measured = typical_axle(SUSPENSIONS["double wishbone"])
    points = [Coordinate(key, way) for key in measured.points for way in ("ahead", "out", "up")]
    gauges = [Coordinate("camber", "", (0,)), Coordinate("camber", "", (1,)), Coordinate("toe", "")]
    doubt = independent([*points, *gauges], [SIGMA] * len(points) + [1e-3, 3e-3, 4e-4])
    found = to_first_order(measured, doubt)
    assert_allclose(found["camber"].standard_deviation[:, 0], [1e-3, 3e-3], rtol=0.0, atol=1e-12)
    assert_allclose(found["toe"].standard_deviation[:, 0], [4e-4, 4e-4], rtol=0.0, atol=1e-12)


def test_cross_camber_is_surer_where_both_sides_share_an_error() -> None:
    measured = typical_axle(SUSPENSIONS["strut"])
    apart = independent([Coordinate("camber", "", (0,)), Coordinate("camber", "", (1,))], [3e-3, 4e-3])
    found = to_first_order(measured, apart)["cross_camber"]
    assert_allclose(found.standard_deviation, 5e-3, rtol=_ROUNDING)
    assert_allclose(found.slopes[:, 0], [3e-3, -4e-3], rtol=_ROUNDING)  # left less right
    shared = to_first_order(measured, independent([Coordinate("camber", "")], [3e-3]))["cross_camber"]
    assert_allclose(shared.standard_deviation, 0.0, rtol=0.0, atol=1e-15)
    # A gauge with one error for both wheels, and a reading error for each: only the latter are left.
    sources = np.array([[2e-3, 3e-3, 0.0], [2e-3, 0.0, 4e-3]])
    gauge = replace(apart, influence=sources, sources=("gauge", "left reading", "right reading"))
    found = to_first_order(measured, gauge)["cross_camber"]
    assert_allclose(found.standard_deviation, 5e-3, rtol=_ROUNDING)


def test_cross_caster_has_the_variance_of_both_sides() -> None:
    measured = typical_axle(SUSPENSIONS["strut"])
    top = [Coordinate("strut_top", "ahead", side) for side in EACH]
    own = to_first_order(measured, independent(top[1:], [SIGMA, 1.5 * SIGMA]))
    both = math.hypot(*own["caster"].standard_deviation[:, 0])
    assert_allclose(own["cross_caster"].standard_deviation, both, rtol=_ROUNDING)
    assert own["caster"].standard_deviation[1, 0] > 1e-3
    shared = to_first_order(measured, independent(top[:1], [SIGMA]))
    assert shared["caster"].standard_deviation[0, 0] > 1e-3
    assert_allclose(shared["cross_caster"].standard_deviation, 0.0, rtol=0.0, atol=1e-12)


def test_a_panhard_rod() -> None:
    """A live axle's roll centre by the drawing board: where the rod passes the middle."""
    rod = typical_axle(SUSPENSIONS["live axle with three links"])
    drawing = rod.suspension.drawing
    assert isinstance(drawing, RodAcross)
    ends = (drawing.on_axle, drawing.on_chassis)
    coordinates = [Coordinate(key, way) for key in ends for way in ("out", "up")]
    found = to_first_order(rod, independent(coordinates, [SIGMA] * 4))["textbook_roll_centre_height"]
    first, second = (rod.points[key][0] for key in ends)
    part = -first[1] / (second[1] - first[1])
    lean = (second[2] - first[2]) / (second[1] - first[1])
    expected = SIGMA * math.sqrt((1.0 + lean**2) * (part**2 + (1.0 - part) ** 2))
    assert_allclose(found.standard_deviation, expected, rtol=_ROUNDING)


@pytest.mark.parametrize("where", ["axle", "body"])
def test_a_watt_linkage(where: str) -> None:
    """By the drawing board its roll centre is the bolt: as sure as the bolt's height, whatever else is in doubt."""
    watt = typical_axle(SUSPENSIONS[f"live axle with Watt linkage on the {where}"])
    drawing = watt.suspension.drawing
    assert isinstance(drawing, PivotInMiddle)
    coordinates = [Coordinate(key, way) for key in watt.points for way in ("ahead", "out", "up")]
    sizes = [SIGMA if one.of == drawing.at else 0.3 for one in coordinates]
    found = to_first_order(watt, independent(coordinates, sizes))["textbook_roll_centre_height"]
    assert_allclose(found.standard_deviation, SIGMA, rtol=1e-9)


def test_the_band_lies_to_both_sides_of_the_number() -> None:
    """Without drawn cars: 1.96 standard deviations either way, of which 2.5 % lie beyond each (normal distribution)."""
    rod = typical_axle(SUSPENSIONS["strut"])
    doubt = independent([Coordinate("strut_top", "ahead")], [SIGMA])
    found = assess(replace(rod, doubt=doubt), AT_RIDE_HEIGHT, Limits())
    assert found is not None
    asked = ("ride height", "caster")
    low, high = found.band(asked)
    value, deviation = found.first[asked].value, found.first[asked].standard_deviation
    assert float(deviation.max()) > 1e-3
    for end, part in ((low, 0.025), (high, 0.975)):
        assert_allclose(norm.cdf(end, value, deviation), part, rtol=0.0, atol=1e-6)
