"""Every curve of every figure: its data against a sweep's values in the labels' units, sides by colour and line.

Bands are 1.959964 standard deviations either way, or the drawn cars' interval; stops, limits and marks stand where the
car file says. The steering and side-view panels show the number that their label names.
"""

import math
import re
from functools import cache

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Rectangle

from kinematics import sweep_bump, sweep_roll
from kinematics.doubt.assessment import doubtful_cars
from kinematics.numbers.outer_share import OuterShare
from kinematics.sweeps.asked import over_attitudes, over_travel
from kinematics.sweeps.body import Sweep
from kinematics.sweeps.rack import sweep_steer
from tests.outputs.conftest import Garage
from tests.outputs.kinds import KEY, KIND
from tests.outputs.read_back import assert_same, factor, symbol
from tests.outputs.test_terminal_tables import NORMAL_95, assessed

SHARE = OuterShare(0.65, math.radians(1.5))  # of the option, at the end of the file's working roll
TRAVEL = np.linspace(-60.0, 60.0, 25)  # mm
ROLL = np.linspace(-3.0, 3.0, 13) * np.pi / 180.0
SHARPEST = 2.5  # deg; of chords between the table's rows some turned by 10 degrees and more
LEFT_COLOUR, RIGHT_COLOUR, ALLOWED = "#0072B2", "#D55E00", (217 / 255, 240 / 255, 232 / 255)
TITLES = {key: title for title, key in KEY.items()} | {
    "wheel_centre_recession": "wheel-centre recession",
    "caster_change": "caster change",
    "side_view_turn": "turn in side view",
    "pinion_angle_change": "pinion-angle change",
    "axle_steer": "axle steer",
    "steer_angle": "steer angle",
    "ackermann": "Ackermann share",
    "tie_rod_lever": "tie-rod lever",
}
SIDE_VIEW = (
    "anti_dive", "anti_lift", "anti_squat", "wheel_centre_recession", "caster_change", "side_view_turn",
    "pinion_angle_change", "axle_steer",
)  # fmt: skip
STEERING = (
    "steer_angle", "ackermann", "camber", "caster", "bump_steer", "mechanical_trail", "tie_rod_lever",
)  # fmt: skip


@cache
def swept(garage: Garage, name: str, kind: str) -> Sweep:
    axle = garage.car().axle(name)
    if kind == "bump":
        return sweep_bump(axle, TRAVEL, outer_share=SHARE)
    if kind == "roll":
        return sweep_roll(axle, ROLL, 4.0, outer_share=SHARE)
    return sweep_steer(axle, np.linspace(-62.0, 62.0, 21), outer_share=SHARE)


def titled(key: str, unit: str) -> str:
    """How a label begins: title and unit."""
    return f"{TITLES[key]} [{symbol(KIND[key], unit)}]" if symbol(KIND[key], unit) else TITLES[key]


def panel(figure: Figure, key: str, unit: str) -> Axes:
    (found,) = (
        axes for axes in figure.axes if axes.get_ylabel().removeprefix("kinematic ").split(" (")[0] == titled(key, unit)
    )
    return found


def curves_of(axes: Axes, points: int) -> list[Line2D]:
    """Lines with data, not those that mark a stop or zero."""
    return [line for line in axes.get_lines() if len(line.get_xydata()) >= points]


def points_of(line: Line2D) -> np.ndarray:
    """Where a pen goes along a line."""
    found = line.get_xydata()
    return found[np.isfinite(found).all(axis=1)]


def assert_curve(line: Line2D, x: np.ndarray, y: np.ndarray, what: str, corner: float = SHARPEST) -> None:
    """A curve goes through those points, every row of a table that there is, and bends nowhere like a corner."""
    found = points_of(line)
    wanted = np.stack([x, y], axis=1)
    wanted = wanted[np.isfinite(wanted).all(axis=1)]
    nearest = np.abs(found[:, 0][:, None] - wanted[:, 0]).argmin(axis=0)
    assert_same(found[nearest], wanted, what, 1e-5)
    assert len(found) >= 80
    assert sharpest(line) < corner, what


def sharpest(line: Line2D) -> float:
    """The sharpest corner of a line on paper [deg]; a piece shorter than a point is no corner that anybody sees."""
    low, high = line.axes.get_ylim()
    along = line.get_xydata()
    along[(along[:, 1] < low) | (along[:, 1] > high)] = np.nan
    at = line.axes.transData.transform(along)
    way = np.diff(at, axis=0)
    way[np.hypot(*way.T) < line.figure.dpi / 72.0] = np.nan
    turn = np.diff(np.arctan2(way[:, 1], way[:, 0]))
    turn = np.degrees(np.abs((turn + np.pi) % (2.0 * np.pi) - np.pi))
    return float(np.nanmax(turn, initial=0.0))


@pytest.mark.parametrize("kind", ["bump", "roll"])
@pytest.mark.parametrize("name", ["front", "rear"])
def test_wheels_curves(garage: Garage, name: str, kind: str, unit: str) -> None:
    figure, sweep = garage.ran("sweep", unit).figures[f"{name}_{kind}"], swept(garage, name, kind)
    x = TRAVEL * factor("length", unit) if kind == "bump" else np.degrees(ROLL)
    assert (
        figure.axes[-1]
        .get_xlabel()
        .startswith(
            f"travel of both wheels [{unit}] (right: bump"
            if kind == "bump"
            else "roll of the body [deg] (positive: left side up"
        )
    )
    for key in ("camber", "toe"):
        axes = panel(figure, key, unit)
        values = np.degrees(sweep[key])
        lines = curves_of(axes, 13)
        words = [text.get_text() for text in axes.get_legend().get_texts()]
        if len(lines) == 2:
            assert words[:2] == ["left wheel", "right wheel"]
            assert [line.get_color() for line in lines] == [LEFT_COLOUR, RIGHT_COLOUR]
            assert [mark.get_color() for mark in axes.get_legend().get_lines()] == [LEFT_COLOUR, RIGHT_COLOUR]
        else:
            assert words[0] == "left and right wheel alike"
            assert np.abs(values[0] - values[1]).max() < 1e-3
        for line, side in zip(lines, values, strict=False):
            assert_curve(line, x, side, key)
        low, high = axes.get_ylim()
        assert low < values.min() <= values.max() < high
        assert axes.get_xlim() == pytest.approx((x[0], x[-1]))
    assert len(figure.axes) == (3 if kind == "bump" else 4)


@pytest.mark.parametrize("kind", ["bump", "roll", "steer"])
def test_between_rows_a_curve_is_solved_not_drawn_through(garage: Garage, kind: str, unit: str) -> None:
    """Between two rows of the table each place of the curve is a state of its own, solved here alone."""
    key = {"bump": "camber", "roll": "force_weighted_height", "steer": "caster"}[kind]
    figure = garage.ran("sweep", unit).figures[f"front_{kind}"]
    axes = figure.axes[0] if kind == "roll" else panel(figure, key, unit)
    line = next(one for one in curves_of(axes, 13) if one.get_label() != "kinematic")
    rows = {"bump": TRAVEL, "roll": ROLL, "steer": np.linspace(-62.0, 62.0, 21)}[kind]
    driver = line.get_xdata() * (math.pi / 180.0 if kind == "roll" else 1.0 / factor("length", unit))
    between = [i for i in range(len(driver)) if np.abs(rows - driver[i]).min() > 0.2 * (rows[1] - rows[0])]
    axle = garage.car().front
    for i in between[:: len(between) // 4]:
        at = driver[i : i + 1]
        alone = {
            "bump": lambda at=at: sweep_bump(axle, at),
            "roll": lambda at=at: sweep_roll(axle, at, 4.0, outer_share=SHARE),
            "steer": lambda at=at: sweep_steer(axle, at),
        }[kind]()
        wanted = np.atleast_2d(alone[key])[0, 0] * factor(KIND.get(key, "length"), unit)
        assert line.get_ydata()[i] == pytest.approx(wanted, rel=1e-6, abs=1e-7)


@pytest.mark.campaign
def test_one_wheel_alone_is_named(garage: Garage, unit: str) -> None:
    figure = garage.ran("right wheel", unit).figures["front_bump"]
    assert figure.axes[-1].get_xlabel().startswith(f"travel of the right wheel [{unit}] (right: bump")
    assert "of bump" in " ".join(figure.texts[0].get_text().split())
    assert "(right wheel alone in bump)" in " ".join(figure.texts[0].get_text().split())


@pytest.mark.campaign
def test_a_raised_body_is_named_in_roll(garage: Garage, unit: str) -> None:
    """4 mm, as the command was told, where the body rolls and nowhere else; nothing where it was not raised."""
    figures = garage.ran("sweep", unit).figures
    titles = {kind: " ".join(figures[f"front_{kind}"].texts[0].get_text().split()) for kind in ("bump", "roll")}
    height = "4.0 mm" if unit == "mm" else "0.16 in"
    assert f"body raised by {height} in roll" in titles["roll"]
    assert "raised" not in titles["bump"]
    assert "raised" not in garage.ran("right wheel", unit).figures["front_roll"].texts[0].get_text()


@pytest.mark.parametrize("kind", ["bump", "roll"])
@pytest.mark.parametrize("name", ["front", "rear"])
def test_roll_centre_in_all_ways(garage: Garage, name: str, kind: str, unit: str) -> None:
    figure, sweep = garage.ran("sweep", unit).figures[f"{name}_{kind}"], swept(garage, name, kind)
    axes = panel(figure, "roll_centre_height", unit)
    x = TRAVEL * factor("length", unit) if kind == "bump" else np.degrees(ROLL)
    ways = {
        "kinematic": sweep["roll_centre_height"],
        "textbook": sweep["textbook_roll_centre_height"],
        "force-weighted": sweep["force_weighted_height"],
    }
    drawn = {line.get_label(): line for line in axes.get_lines() if line.get_label() in ways}
    assert set(drawn) == set(ways)
    marks = dict(
        zip((text.get_text() for text in axes.get_legend().get_texts()), axes.get_legend().get_lines(), strict=False)
    )
    for way, line in drawn.items():
        assert line.get_color() == marks[way].get_color()
        found = line.get_xydata()
        found = found[np.isfinite(found).all(axis=1)]
        low, high = axes.get_ylim()
        heights = ways[way] * factor("length", unit)
        inside = np.isfinite(heights) & (heights > low) & (heights < high)
        if way != "force-weighted":
            inside &= ~run_aside(sweep, "textbook_" if way == "textbook" else "")
        # Every state in the frame is on the curve; what the curve has besides leads out of it.
        for at, height in zip(x[inside], heights[inside], strict=True):
            place = int(np.argmin(np.abs(found[:, 0] - at)))
            assert found[place] == pytest.approx([at, height], rel=1e-5, abs=1e-6), way
    words = " ".join(" ".join(text.get_text() for text in figure.texts).split())
    assert ("lateral force grows from 50 % without roll to 65 % at 1.5 deg" in words) == (kind == "roll")


def band(axes: Axes) -> list[np.ndarray]:
    """Shaded bands: x, low and high, each at every x."""
    found = []
    for one in axes.collections:
        assert isinstance(one, PolyCollection)
        corners = np.concatenate([path.vertices for path in one.get_paths()])
        xs = np.unique(corners[:, 0])
        ends = [(corners[corners[:, 0] == x, 1].min(), corners[corners[:, 0] == x, 1].max()) for x in xs]
        found.append(np.column_stack([xs, ends]))
    return found


@pytest.mark.parametrize("kind", ["bump", "roll"])
@pytest.mark.parametrize("name", ["front", "rear"])
def test_bands_to_first_order(garage: Garage, name: str, kind: str, unit: str) -> None:
    figure, sweep = garage.ran("sweep", unit).figures[f"{name}_{kind}"], swept(garage, name, kind)
    axle = garage.car().axle(name)
    asked = over_travel(-60.0, 60.0) if kind == "bump" else over_attitudes(np.array([4.0]), ROLL)
    cars = doubtful_cars(axle, asked)
    doubtful = sweep_bump(cars, TRAVEL) if kind == "bump" else sweep_roll(cars, ROLL, 4.0)
    x = TRAVEL * factor("length", unit) if kind == "bump" else np.degrees(ROLL)
    for key in ("camber", "toe"):
        axes = panel(figure, key, unit)
        slopes = np.imag(doubtful[key])
        slopes = slopes / np.imag(seed())  # the step that a tangent is carried with
        deviations = np.degrees(np.sqrt((slopes**2).sum(axis=0)))
        values = np.degrees(sweep[key])
        bands = band(axes)
        assert len(bands) == len(curves_of(axes, 13))
        for found, value, deviation in zip(bands, values, deviations, strict=False):
            rows = np.abs(found[:, 0][:, None] - x).argmin(axis=0)
            assert_same(found[rows, 0], x, key)
            wanted = np.stack([value - NORMAL_95 * deviation, value + NORMAL_95 * deviation], axis=1)
            np.testing.assert_allclose(found[rows, 1:], wanted, rtol=1e-4, atol=1e-5)


def seed() -> np.ndarray:
    from solvers.tangents import seeded

    return seeded(np.zeros(1))[0]


@pytest.mark.parametrize("name", ["front", "rear"])
def test_bands_of_drawn_cars(garage: Garage, name: str, unit: str) -> None:
    figure, assessment = garage.ran("doubt", unit).figures[f"{name}_doubt_bump"], assessed(garage, name)
    assert assessment.chances is not None
    axes = panel(figure, "camber", unit)
    low, high = (np.degrees(end) for end in assessment.chances.spread["bump", "camber"].interval())
    for k, found in enumerate(band(axes)):
        assert_same(found[:, 0], np.linspace(-60.0, 60.0, 41) * factor("length", unit), "travel")
        width = (high - low)[k].max() + 1e-9
        np.testing.assert_allclose(found[:, 1], low[k], atol=0.02 * width + 1e-7)
        np.testing.assert_allclose(found[:, 2], high[k], atol=0.02 * width + 1e-7)


@pytest.mark.parametrize(("name", "bump", "droop"), [("front", 45.0, 38.0), ("rear", 52.0, 47.0)])
def test_stops_stand_on_their_side(garage: Garage, name: str, bump: float, droop: float, unit: str) -> None:
    figure = garage.ran("sweep", unit).figures[f"{name}_bump"]
    for axes in figure.axes:
        upright = {
            round(float(line.get_xdata()[0]), 9)
            for line in axes.get_lines()
            if len(line.get_xdata()) == 2
            and line.get_xdata()[0] == line.get_xdata()[1]
            and line.get_linestyle() == "--"
        }
        assert upright == {round(bump * factor("length", unit), 9), round(-droop * factor("length", unit), 9)}
    named = {text.get_text(): text.xy[0] for text in figure.axes[0].texts if hasattr(text, "xy")}
    assert named["bump stop"] == pytest.approx(bump * factor("length", unit))
    assert named["droop stop"] == pytest.approx(-droop * factor("length", unit))


def shaded(axes: Axes) -> list[Rectangle]:
    return [
        one
        for one in axes.patches
        if isinstance(one, Rectangle) and one.get_facecolor()[:3] == pytest.approx(ALLOWED, abs=1e-6)
    ]


@pytest.mark.parametrize(
    ("name", "kind", "key", "low", "high"),
    [
        ("front", "bump", "roll_centre_height", -25.4, 76.2),
        ("front", "roll", "roll_centre_height", -25.4, 76.2),
        ("rear", "bump", "roll_centre_height", 150.0, 300.0),
        ("rear", "roll", "camber", np.radians(-1.8), np.radians(1.6)),
    ],
)
def test_what_limits_allow_is_shaded(
    garage: Garage, name: str, kind: str, key: str, low: float, high: float, unit: str
) -> None:
    """Over the working range: 25 mm of droop to 20 of bump, 1.5 degrees either way."""
    axes = panel(garage.ran("sweep", unit).figures[f"{name}_{kind}"], key, unit)
    (one,) = shaded(axes)
    scale = factor(KIND[key], unit)
    ends = (-25.0 * factor("length", unit), 20.0 * factor("length", unit)) if kind == "bump" else (-1.5, 1.5)
    assert (one.get_x(), one.get_x() + one.get_width()) == pytest.approx(ends)
    bottom, top = axes.get_ylim()
    wanted = (max(bottom, low * scale), min(top, high * scale))
    assert (one.get_y(), one.get_y() + one.get_height()) == pytest.approx(wanted)
    green = [line.get_ydata()[0] for line in axes.get_lines() if line.get_color() == "#009E73"]
    assert sorted(green) == pytest.approx([low * scale, high * scale])
    (words,) = (text.get_text() for text in axes.get_legend().get_texts() if text.get_text().startswith("allowed"))
    digits = 2 if unit == "in" or key == "camber" else 1
    told = f"allowed {low * scale:.{digits}f} to {high * scale:.{digits}f} {symbol(KIND[key], unit)}"
    assert words == told.replace("-", "\N{MINUS SIGN}")


@pytest.mark.parametrize(
    ("name", "figure"), [("front", "side_view_bump"), ("rear", "side_view_bump"), ("front", "steer")]
)
def test_panels_of_their_number(garage: Garage, name: str, figure: str, unit: str) -> None:
    kind = "steer" if figure == "steer" else "bump"
    drawn, sweep = garage.ran("sweep", unit).figures[f"{name}_{figure}"], swept(garage, name, kind)
    keys = [key for key in (STEERING if kind == "steer" else SIDE_VIEW) if key in sweep.values]
    x = (np.linspace(-62.0, 62.0, 21) if kind == "steer" else TRAVEL) * factor("length", unit)
    begins = (
        f"rack travel [{unit}] (positive: to the car's left"
        if kind == "steer"
        else f"wheel travel [{unit}] (right: bump"
    )
    assert drawn.axes[-1].get_xlabel().startswith(begins)
    assert len(drawn.axes) == len(keys)
    apart = [text.get_text() for text in drawn.axes[0].get_legend().get_texts()]
    assert apart == ["left wheel", "right wheel"]
    for axes, key in zip(drawn.axes, keys, strict=True):
        assert axes.get_ylabel().split(" (")[0] == titled(key, unit)
        values = np.atleast_2d(sweep[key]) * factor(KIND[key], unit)
        lines = curves_of(axes, 13)
        assert len(lines) == len(values)
        for line, colour, side in zip(lines, (LEFT_COLOUR, RIGHT_COLOUR), values, strict=False):
            assert line.get_color() == colour
            # Straight ahead the Ackermann share runs to infinity.
            assert_curve(line, x, side, key, 10.0 if key == "ackermann" else SHARPEST)
        finite = values[np.isfinite(values) & ((np.abs(x) > 0.2 * x.max()) | (key != "ackermann"))]
        low, high = axes.get_ylim()
        assert low < finite.min() <= finite.max() < high


def test_roll_axis_curves(garage: Garage, unit: str) -> None:
    """Slope and arm under the centre of gravity, over heave and over roll, from both axles by hand."""
    figure = garage.ran("sweep", unit).figures["roll_axis"]
    assert [text.get_text() for text in figure.axes[0].get_legend().get_texts()] == [
        "force-weighted heights joined",
        "roll centres joined",
    ]
    looks = [(line.get_color(), line.get_linestyle()) for line in figure.axes[0].get_legend().get_lines()]
    for i, axes in enumerate(figure.axes):
        in_heave, arm = i < 2, i % 2 == 1
        bump, roll = (TRAVEL, np.zeros(25)) if in_heave else (np.zeros(13), ROLL)
        along = -bump * factor("length", unit) if in_heave else np.degrees(roll)
        lines = curves_of(axes, 13)
        assert [(line.get_color(), line.get_linestyle()) for line in lines] == looks
        for line, key in zip(lines, ("force_weighted_height", "roll_centre_height"), strict=True):
            front, rear = ((standing(garage, name, in_heave))[key].reshape(-1) for name in ("front", "rear"))
            if key == "roll_centre_height":
                front = np.where(run_aside(standing(garage, "front", in_heave)), np.nan, front)
            up = 520.0 * np.cos(roll) - bump
            wanted = (
                up - front - (rear - front) * 1142.0 / 2560.0 if arm else np.degrees(np.arctan((rear - front) / 2560.0))
            )
            # Beside infinity a curve truly bends.
            corner = 10.0 if key == "roll_centre_height" else SHARPEST
            assert_curve(line, along, wanted * factor("length", unit) if arm else wanted, key, corner)
    labels = [axes.get_ylabel().split(" (")[0] for axes in figure.axes]
    assert (
        labels
        == [
            "inclination of the roll axis [deg]",
            f"roll axis under the centre of gravity [{unit}]",
        ]
        * 2
    )
    assert figure.axes[1].get_xlabel() == f"heave of the body [{unit}] (up positive)"
    assert figure.axes[3].get_xlabel() == "roll of the body [deg] (left side up positive)"


def run_aside(sweep: Sweep, way: str = "") -> np.ndarray:
    """Where the kinematic roll centre, or another, lies farther off the centre plane than the wheels are apart."""
    y = sweep["contact_y"].reshape(2, -1)
    return np.abs(sweep[f"{way}roll_centre_offset"].reshape(-1)) > np.nanmean(y[0] - y[1])


@cache
def standing(garage: Garage, name: str, in_heave: bool) -> Sweep:
    from kinematics import sweep_grid

    bump, roll = (TRAVEL, np.zeros(1)) if in_heave else (np.zeros(1), ROLL)
    return sweep_grid(garage.car().axle(name), bump, roll, outer_share=SHARE)


@pytest.mark.parametrize("kind", ["bump", "roll"])
def test_path_of_the_roll_centre(garage: Garage, kind: str, unit: str) -> None:
    """The car's left lies on the right: offset along x, height along y; markers stand at their travel or roll."""
    for name in ("front", "rear"):
        (axes,) = garage.ran("sweep", unit).figures[f"{name}_roll_centre_path"].axes
        sweep = swept(garage, name, kind)
        (line,) = (line for line in axes.get_lines() if line.get_label() == f"in {kind}")
        found = line.get_xydata()
        found = found[np.isfinite(found).all(axis=1)]
        places = np.stack([sweep["roll_centre_offset"], sweep["roll_centre_height"]], axis=1) * factor("length", unit)
        (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
        assert left < right
        inside = (
            np.isfinite(places).all(axis=1) & (places > [left, low]).all(axis=1) & (places < [right, high]).all(axis=1)
        )
        assert inside.sum() >= 3
        for place in places[inside]:
            assert np.abs(found - place).max(axis=1).min() < 1e-5 * (1.0 + np.abs(place).max())
        assert "towards the car's left" in axes.get_xlabel()
        assert f"[{unit}]" in axes.get_xlabel()
        ends = (-25.4, 76.2) if name == "front" else (150.0, 300.0)
        green = {round(float(one.get_ydata()[0]), 6) for one in axes.get_lines() if one.get_color() == "#009E73"}
        assert green == {round(end * factor("length", unit), 6) for end in ends}
        words = {text.get_text() for text in axes.texts}
        assert "ride height" in words
        # How the scales of both axes compare, from the frame's own size on the paper (formula).
        box, size = axes.get_position(), axes.figure.get_size_inches()
        across, up = (right - left) / (box.width * size[0]), (high - low) / (box.height * size[1])
        told = " ".join(" ".join(text.get_text() for text in axes.figure.texts).split())
        larger = re.search(r"(Heights|Offsets) are drawn ([\d.]+) times as large", told)
        if larger is None:
            assert across / up == pytest.approx(1.0, abs=0.051)
        else:
            ratio = across / up if larger[1] == "Heights" else up / across
            assert float(larger[2]) == pytest.approx(ratio, abs=0.051)


def test_side_view_of_the_car(garage: Garage, unit: str) -> None:
    """The car faces left: the rear wheel stands a wheelbase behind, on the right; marks where the car has them."""
    (axes,) = garage.ran("sweep", unit).figures["side_view"].axes
    inch = factor("length", unit)
    left, right = axes.get_xlim()
    assert left > right
    wheels = [one for one in axes.patches if isinstance(one, Circle)]
    assert [(*one.center, one.radius) for one in wheels] == [
        pytest.approx((0.0, 300.0 * inch, 300.0 / np.cos(np.radians(2.4)) * inch)),
        pytest.approx((-2560.0 * inch, 302.0 * inch, 302.0 * inch)),
    ]
    front, rear = (float(sweep_bump(axle, np.zeros(1))["roll_centre_height"][0]) for axle in garage.car().axles)
    marks = [
        tuple(line.get_xydata()[0])
        for line in axes.get_lines()
        if line.get_marker() == "o" and len(line.get_xydata()) == 1
    ]
    assert marks == [pytest.approx((0.0, front * inch)), pytest.approx((-2560.0 * inch, rear * inch))]
    (gravity,) = (line.get_xydata()[0] for line in axes.get_lines() if line.get_marker() == "P")
    assert gravity == pytest.approx((-1142.0 * inch, 520.0 * inch))
    lines = [line.get_xydata() for line in axes.get_lines() if len(line.get_xydata()) == 2]
    joined = np.array([[0.0, front], [-2560.0, rear]]) * inch
    assert any(np.allclose(line, joined) for line in lines)
    axis = front + (rear - front) * 1142.0 / 2560.0
    arm = np.array([[-1142.0, 520.0], [-1142.0, axis]]) * inch
    assert any(np.allclose(line, arm) for line in lines)
    told = f"{520.0 - axis:.1f} mm" if unit == "mm" else f"{(520.0 - axis) / 25.4:.2f} in"
    assert told in {text.get_text() for text in axes.texts}
    # Links as measured, on the left: the strut axis in front, a lower link behind.
    for ends in (
        [[0.0, 424.0], [-30.0, 808.0]],
        [[-130.0, 214.0], [-112.0, 203.0]],
        [[20.0 - 2560.0, 228.0], [520.0 - 2560.0, 246.0]],
    ):
        wanted = np.array(ends) * inch
        assert any(np.allclose(line, wanted) or np.allclose(line[::-1], wanted) for line in lines), ends
    # From the contact point towards the instant centre.
    for axle, behind in zip(garage.car().axles, (0.0, 2560.0), strict=True):
        rest = sweep_bump(axle, np.zeros(1))
        start = np.array([rest["contact_x"][0, 0] - behind, 0.0])
        way = np.array([rest["side_view_centre_x"][0, 0] - behind, rest["side_view_centre_z"][0, 0]]) - start
        (line,) = (line for line in lines if np.allclose(line[0], start * inch, atol=1e-6) and abs(line[1][1]) > 1e-9)
        along = line[1] - line[0]
        assert along[0] * way[1] - along[1] * way[0] == pytest.approx(0.0, abs=1e-6 * np.hypot(*way) * np.hypot(*along))
        assert along @ way > 0.0
    assert axes.get_xlabel() == f"ahead of the front wheel centres [{unit}] (negative: behind)"
    words = (
        " ".join(text.get_text() for text in axes.figure.texts).replace("\N{NO-BREAK SPACE}", " ").replace("\n", " ")
    )
    for name, height in (("Front", front), ("Rear", rear)):
        up = f"{abs(height):.1f} mm" if unit == "mm" else f"{abs(height) / 25.4:.2f} in"
        assert f"{name}: roll centre {up} {'over' if height >= 0 else 'under'} the ground" in words


def test_shares_of_doubt(garage: Garage, unit: str) -> None:
    figure, assessment = garage.ran("doubt", unit).figures["front_doubt_shares"], assessed(garage, "front")
    for axes, key in zip(figure.axes, ("roll_centre_height", "camber_gain", "bump_steer"), strict=True):
        slopes = assessment.first["ride height", key].slopes.reshape(len(assessment.doubt.sources), -1)
        side = int(np.argmax((slopes**2).sum(axis=0)))
        shares = slopes[:, side] ** 2 / (slopes[:, side] ** 2).sum()
        order = np.argsort(-shares)[:6]
        assert [bar.get_width() for bar in axes.patches] == pytest.approx(100.0 * shares[order], abs=1e-3)
        names = [label.get_text() for label in axes.get_yticklabels()]
        assert names == [assessment.doubt.sources[i].replace("_", " ") for i in order]
        way = NORMAL_95 * np.sqrt((slopes[:, side] ** 2).sum()) * factor(KIND[key], unit)
        title = axes.get_title(loc="left")
        assert title.startswith(TITLES[key])
        digits = {"length": {"mm": 1, "in": 2}, "angle per length": {"mm": 4, "in": 3}}[KIND[key]][unit]
        assert title.endswith(f"± {way:.{digits}f} {symbol(KIND[key], unit)} (95 %)")


@pytest.mark.parametrize("name", ["front", "rear"])
@pytest.mark.parametrize("kind", ["bump", "roll"])
def test_curves_of_plans(garage: Garage, name: str, kind: str, unit: str) -> None:
    """Each plan's curve is that of its own changed axle, in the colour of the legend."""
    from tests.outputs.test_compared_plans import compared

    figure = garage.ran("compare", unit).figures[f"{name}_plans_{kind}"]
    legend = figure.legends[0]
    colours = {
        text.get_text(): line.get_color() for text, line in zip(legend.get_texts(), legend.get_lines(), strict=True)
    }
    outcomes = compared(garage).outcomes
    assert list(colours) == [one.plan.name for one in outcomes]
    axes = panel(figure, "camber", unit)
    for one in outcomes:
        axle = one.axles[name].axle
        ends = (-60.0, 60.0) if unit == "mm" else (-63.5, 63.5)
        x = np.linspace(*ends, 7 if unit == "mm" else 9) if kind == "bump" else np.radians([-3.0, -1.5, 0.0, 1.5, 3.0])
        lines = [line for line in curves_of(axes, 5) if line.get_color() == colours[one.plan.name]]
        assert lines, one.plan.name
        for line, side in zip(lines, (0, 1), strict=False):
            found = line.get_xydata()
            driver = found[:, 0] / factor("length", unit) if kind == "bump" else np.radians(found[:, 0])
            sweep = sweep_bump(axle, driver) if kind == "bump" else sweep_roll(axle, driver)
            assert_same(found[:, 1], np.degrees(sweep["camber"][side]), one.plan.name, 1e-4)
            assert (driver[0], driver[-1]) == pytest.approx((x[0], x[-1]))
