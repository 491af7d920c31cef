"""Figures: lines drawn are the numbers swept, units and signs stand at every axis, nothing overlaps or is cut off."""

import io
import math
from dataclasses import replace
from itertools import combinations

import matplotlib
import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.text import Text

from kinematics.car.car import LEFT, RIGHT, Axle
from kinematics.car.lengths import INCH, MM
from kinematics.car.limits import EVERYWHERE, ROLL_CENTRE, Limit, WorkingRange
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.roll_centre import through_infinity
from kinematics.sweeps.body import stances, sweep_bump, sweep_grid, sweep_roll
from reports.figures import run_off, style
from reports.figures.curves import curves
from reports.figures.front_view import front_view
from reports.figures.front_view_geometry import front_view_of
from reports.figures.front_views import front_views
from reports.figures.labels import LEAD_WIDTH, Labels
from reports.figures.roll_centre_path import roll_centre_path
from reports.figures.style import Sheet, number

TRAVEL = np.linspace(-60.0, 60.0, 61)
ROLL = np.radians(np.linspace(-3.0, 3.0, 61))
CAMBER = Limit("camber", math.radians(-3.5), math.radians(-0.5), ("travel",))
TOE = Limit("toe", -math.inf, math.radians(0.1), ("travel", "roll"))
HEIGHT = replace(ROLL_CENTRE, over=EVERYWHERE)
LIMITS = (HEIGHT, CAMBER, TOE)
SHEET = Sheet("Curves of a car", "garage queen (invented)")


# A strut car whose roll centre runs to infinity within the rolls drawn here, and shows within the paper.
_HIGHER_PIVOTS = {
    ("strut", "lower_pivot_front"): (118.0, 352.0, 190.0),
    ("strut", "lower_pivot_rear"): (-196.0, 352.0, 194.0),
    ("strut", "tie_rod_inner"): (-128.0, 330.0, 226.0),
}


def typical(name: str, lowered: float = 0.0, right_pivot_up: float = 0.0) -> Axle:
    """The blank file's car, its body lowered [mm], one right-hand pivot measured higher [mm]."""
    kind = SUSPENSIONS[name]
    points = {}
    for point in kind.points:
        ahead, out, up = _HIGHER_PIVOTS.get((name, point.key), point.typical)
        up -= lowered if point.carrier == "chassis" else 0.0
        points[point.key] = np.array([[ahead, out, up], [ahead, -out, up]], dtype=float)
    points["lower_pivot_front"][RIGHT, 2] += right_pivot_up
    return Axle("front", kind, points, np.radians([-1.8, -1.8]), np.radians([0.05, 0.05]))


def level_arms() -> Axle:
    """Level arms of one length: both contact lines are the ground itself, and instant centres are at infinity."""
    axle = typical("double wishbone")
    points = {key: at.copy() for key, at in axle.points.items()}
    for arm, height in (("lower", 200.0), ("upper", 400.0)):
        points[f"{arm}_ball_joint"][:] = [[0, 680, height], [0, -680, height]]
        points[f"{arm}_pivot_front"][:] = [[130, 380, height], [130, -380, height]]
        points[f"{arm}_pivot_rear"][:] = [[-130, 380, height], [-130, -380, height]]
    points["tie_rod_outer"][:] = [[-100, 680, 300], [-100, -680, 300]]
    points["tie_rod_inner"][:] = [[-100, 380, 300], [-100, -380, 300]]
    return replace(axle, points=points, camber=np.zeros(2), toe=np.zeros(2))


def plans(kind: str, *, alike: bool = True):
    """Five cars to compare."""
    sweep = (lambda axle: sweep_bump(axle, TRAVEL)) if kind == "bump" else (lambda axle: sweep_roll(axle, ROLL))
    names = ("as measured", "plan A: rack up a little", "plan B: rack up and camber, in some more words", "C", "D")
    tilt = 0.0 if alike else 3.0
    return [(name, sweep(typical("strut", 10.0 * i, tilt))) for i, name in enumerate(names)]


def standing_plans(count: int):
    return [(sweep[0], stances(sweep[1].axle, [0.0], [0.0])) for sweep in plans("bump")[:count]]


def both(label: str, axle: Axle):
    return [(label, sweep_bump(axle, TRAVEL)), (label, sweep_roll(axle, ROLL))]


def line(figure: Figure, name: str, panel: int = 0):
    """The one line of that name in a panel."""
    (found,) = [one for one in figure.axes[panel].lines if one.get_label() == name]
    return found


def words(figure: Figure) -> str:
    return "\n".join(text.get_text() for text in figure.findobj(Text))


def visible_texts(figure: Figure) -> list[Text]:
    """Every text on paper, tick labels outside an axis's range left out."""
    figure.draw_without_rendering()
    hidden = set()
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
                hidden.add(tick.label2)
                if not low <= tick.get_loc() <= high:
                    hidden.add(tick.label1)
    texts = [text for text in figure.findobj(Text) if text not in hidden]
    return [text for text in texts if text.get_visible() and text.get_text().strip()]


def boxes(figure: Figure):
    renderer = FigureCanvasAgg(figure).get_renderer()
    return [(text.get_text(), text.get_window_extent(renderer)) for text in visible_texts(figure)]


FIGURES = {
    "strut bump mm": lambda: curves([("", sweep_bump(typical("strut"), TRAVEL))], LIMITS, MM, SHEET, WorkingRange()),
    "strut roll in": lambda: curves([("", sweep_roll(typical("strut"), ROLL))], LIMITS, INCH, SHEET),
    "lowered bump in": lambda: curves([("", sweep_bump(typical("strut", 40.0), TRAVEL))], LIMITS, INCH, SHEET),
    "one wheel": lambda: curves([("", sweep_bump(typical("strut"), TRAVEL, "right"))], LIMITS, MM, SHEET),
    "locks": lambda: curves(
        [("", sweep_bump(typical("double wishbone"), np.linspace(-300, 300, 61)))], LIMITS, MM, SHEET
    ),
    "limit at ride height": lambda: curves(
        [("", sweep_roll(typical("strut"), ROLL))], [replace(ROLL_CENTRE, over=("ride height",)), TOE], MM, SHEET
    ),
    "level arms in roll": lambda: curves([("", sweep_roll(level_arms(), ROLL))], LIMITS, MM, SHEET),
    "plans roll": lambda: curves(plans("roll"), LIMITS, MM, SHEET, WorkingRange()),
    "plans bump": lambda: curves(plans("bump"), LIMITS, INCH, SHEET),
    "lopsided plans roll": lambda: curves(plans("roll", alike=False), LIMITS, MM, SHEET),
    "path strut": lambda: roll_centre_path(both("", typical("strut")), LIMITS, MM, SHEET),
    "path wishbone in": lambda: roll_centre_path(both("", typical("double wishbone")), LIMITS, INCH, SHEET),
    "path lowered": lambda: roll_centre_path(both("", typical("strut", 40.0)), LIMITS, INCH, SHEET),
    "path lopsided": lambda: roll_centre_path(both("", typical("strut", 0.0, 6.0)), LIMITS, MM, SHEET),
    "path plans": lambda: roll_centre_path([*plans("bump"), *plans("roll")], LIMITS, MM, SHEET),
    "path level arms": lambda: roll_centre_path(both("", level_arms()), LIMITS, MM, SHEET),
    "front strut": lambda: front_view(stances(typical("strut"), [0.0], [0.0]), MM, SHEET, LIMITS),
    "front strut roll in": lambda: front_view(stances(typical("strut"), [40.0], [0.035]), INCH, SHEET, LIMITS),
    "front lowered": lambda: front_view(stances(typical("strut", 40.0), [0.0], [0.0]), MM, SHEET, LIMITS),
    "front lowered roll": lambda: front_view(stances(typical("strut", 40.0), [40.0], [0.035]), MM, SHEET, LIMITS),
    "front roll aside": lambda: front_view(stances(typical("strut"), [30.0], [0.0525]), MM, SHEET, LIMITS),
    "front wishbone": lambda: front_view(stances(typical("double wishbone"), [0.0], [0.0]), MM, SHEET, LIMITS),
    "front wishbone roll": lambda: front_view(stances(typical("double wishbone"), [40.0], [0.035]), INCH, SHEET),
    "front wishbone low": lambda: front_view(stances(typical("double wishbone"), [80.0], [0.0]), MM, SHEET, LIMITS),
    "front plans": lambda: front_views(standing_plans(5), MM, SHEET, LIMITS),
    "front plans two in": lambda: front_views(standing_plans(3), INCH, SHEET, LIMITS),
    "front level arms": lambda: front_view(stances(level_arms(), [0.0], [0.0]), MM, SHEET, LIMITS),
    "front level arms roll": lambda: front_view(stances(level_arms(), [0.0], [0.02]), INCH, SHEET, LIMITS),
}


# A short run draws every fourth.
@pytest.fixture(
    scope="module",
    params=[
        pytest.param(name, id=name.replace(" ", "-"), marks=pytest.mark.campaign if place % 4 else ())
        for place, name in enumerate(FIGURES)
    ],
)
def figure(request: pytest.FixtureRequest) -> Figure:
    return FIGURES[request.param]()


def all_can_be_read(figure: Figure) -> None:
    found = boxes(figure)
    width, height = figure.canvas.get_width_height()
    for text, box in found:
        assert min(box.x0, box.y0) >= 0, f"cut off: {text}"
        assert box.x1 <= width, f"cut off: {text}"
        assert box.y1 <= height, f"cut off: {text}"
    # A box of a text has a pixel of air at each side.
    for (one, at), (other, there) in combinations(found, 2):
        assert not at.padded(-1.0).overlaps(there.padded(-1.0)), f"{one!r} and {other!r} overlap"


def fits_a4(figure: Figure) -> None:
    # ISO 216 (from memory): A4 is 210 mm by 297 mm; either way up.
    short, long = sorted(figure.get_size_inches() * 25.4)
    assert short <= 210.0
    assert long <= 297.0


def test_no_text_is_cut_off_or_covers_another(figure: Figure) -> None:
    all_can_be_read(figure)


def test_no_line_to_a_label_runs_through_another_label(figure: Figure) -> None:
    texts = boxes(figure)
    for axes in figure.axes:
        for lead in (one for one in axes.lines if one.get_linewidth() == LEAD_WIDTH):
            point, end = axes.transData.transform(lead.get_xydata())
            for part in np.linspace(0.2, 0.9, 15):
                at = point + part * (end - point)
                crossed = [text for text, box in texts if box.contains(*at)]
                assert not crossed


def test_axes_are_finite_and_say_unit_and_sign(figure: Figure) -> None:
    for axes in figure.axes:
        assert np.isfinite([*axes.get_xlim(), *axes.get_ylim()]).all()
        if figure.legends and axes.get_title(loc="left"):
            continue  # of drawings of plans the sheet says it once
        labels = [axes.get_ylabel()] + ([axes.get_xlabel()] if axes is figure.axes[-1] else [])
        for label in labels:
            assert any(f"[{unit}]" in label for unit in ("mm", "in", "deg")), label
        assert any(
            word in label for label in labels for word in ("positive", "negative", "ground at 0", "over the ground")
        )


def test_title_car_and_axle_are_written(figure: Figure) -> None:
    text = words(figure)
    for part in (SHEET.title, "garage queen (invented)", "front axle"):
        assert part in text


def test_figures_fit_a4_at_full_size(figure: Figure) -> None:
    fits_a4(figure)


@pytest.mark.parametrize(
    ("name", "ending"),
    [
        ("path strut", "pdf"),
        ("front lowered roll", "svg"),
        *(pytest.param("plans roll", ending, marks=pytest.mark.campaign) for ending in ("svg", "pdf")),
        pytest.param("path strut", "svg", marks=pytest.mark.campaign),
        pytest.param("front lowered roll", "pdf", marks=pytest.mark.campaign),
    ],
)
def test_vector_files_can_be_written(name: str, ending: str) -> None:
    file = io.BytesIO()
    FIGURES[name]().savefig(file, format=ending)
    assert file.getvalue().startswith({"svg": b"<?xml", "pdf": b"%PDF"}[ending])


@pytest.mark.skipif("okabe_ito" not in matplotlib.color_sequences, reason="this Matplotlib has not the set yet")
def test_colours_are_those_of_the_published_set() -> None:
    published = {to_hex(colour).upper() for colour in matplotlib.color_sequences["okabe_ito"]}  # seen in source
    used = (style.BLACK, style.ORANGE, style.SKY, style.GREEN, style.BLUE, style.VERMILION, style.PURPLE)
    assert set(used) <= published


@pytest.mark.parametrize("unit", [MM, INCH], ids=["mm", "in"])
@pytest.mark.parametrize("kind", ["strut", "double wishbone"])
def test_bump_curves_are_the_swept_numbers(kind: str, unit) -> None:
    sweep = sweep_bump(typical(kind), np.linspace(-30.0, 30.0, 31))
    drawn = curves([("", sweep)], (), unit, SHEET)
    ways = {
        "kinematic": "roll_centre_height",
        "textbook": "textbook_roll_centre_height",
        "force-weighted": "force_weighted_height",
    }
    for name, key in ways.items():
        assert line(drawn, name).get_xdata() == pytest.approx(np.linspace(-30.0, 30.0, 31) / unit.in_mm)
        assert line(drawn, name).get_ydata() == pytest.approx(sweep[key] / unit.in_mm)
    for panel, key in ((1, "camber"), (2, "toe")):
        curve = line(drawn, "left and right wheel alike", panel)
        assert curve.get_ydata() == pytest.approx(np.degrees(sweep[key][LEFT]))
    # A panel follows its curve and does not drag zero along.
    bottom, top = drawn.axes[1].get_ylim()
    spread = np.ptp(np.degrees(sweep["camber"]))
    assert top - bottom < 1.2 * spread


def test_roll_curves_tell_left_from_right_by_more_than_colour() -> None:
    sweep = sweep_roll(typical("strut"), ROLL)
    drawn = curves([("", sweep)], (), MM, SHEET)
    for panel, key in ((2, "camber"), (3, "toe")):
        left, right = line(drawn, "left wheel", panel), line(drawn, "right wheel", panel)
        assert left.get_xdata() == pytest.approx(np.linspace(-3.0, 3.0, 61))
        assert left.get_ydata() == pytest.approx(np.degrees(sweep[key][LEFT]))
        assert right.get_ydata() == pytest.approx(np.degrees(sweep[key][RIGHT]))
        assert left.get_linestyle() != right.get_linestyle()
    # In a left-hand corner the left side rises: the right, outer wheel loses negative camber.
    right = line(drawn, "right wheel", 2)
    assert right.get_ydata()[-1] > right.get_ydata()[30]
    assert "left side up, as in a left-hand corner" in drawn.axes[-1].get_xlabel()


@pytest.mark.campaign
def test_plans_differ_by_colour_and_by_marker() -> None:
    drawn = curves(plans("bump"), (), MM, SHEET)
    lines = [line(drawn, name) for name, _ in plans("bump")]
    assert len({one.get_color() for one in lines}) == len({one.get_marker() for one in lines}) == 5
    # Mirrored cars need one wheel; others need both.
    assert "the right wheel is its mirror image" in words(curves(plans("roll"), (), MM, SHEET))
    lopsided = curves(plans("roll", alike=False), (), MM, SHEET)
    assert line(lopsided, "C, right wheel", 2).get_linestyle() != line(lopsided, "C, left wheel", 2).get_linestyle()


@pytest.mark.campaign
def test_a_roll_centre_that_runs_to_infinity_breaks_the_curve() -> None:
    # With only the right wheel moving, the lines become parallel on the way.
    sweep = sweep_bump(typical("strut"), TRAVEL, "right")
    slopes = sweep["jacking_coefficient"]
    (crossed,) = np.flatnonzero(np.diff(np.sign(slopes[LEFT] + slopes[RIGHT])))
    drawn = curves([("", sweep)], [HEIGHT], MM, SHEET)
    curve = line(drawn, "kinematic")
    x, y = curve.get_xdata(), curve.get_ydata()
    there = (x > TRAVEL[crossed - 1]) & (x < TRAVEL[crossed + 2])
    assert not np.isfinite(y[there]).any()
    bottom, top = drawn.axes[0].get_ylim()
    shown = (y > bottom) & (y < top)
    kept = (sweep["roll_centre_height"] > bottom) & (sweep["roll_centre_height"] < top)
    # Farther off the centre plane than the wheels are apart, its height says nothing.
    kept &= np.abs(sweep["roll_centre_offset"]) < np.mean(sweep["contact_y"][LEFT] - sweep["contact_y"][RIGHT])
    assert y[shown] == pytest.approx(sweep["roll_centre_height"][kept])
    # 150 mm beyond limit and ride-height value, with a margin of 4 per cent.
    assert bottom > -25.4 - 150.0 - 20.0
    assert top < 76.2 + 150.0 + 20.0
    assert "to infinity" in words(drawn)
    assert "Off the picture from" in words(drawn)


def test_in_roll_the_force_weighted_height_comes_first_and_the_kinematic_one_is_pale() -> None:
    for sweeps, named in (([("", sweep_roll(typical("strut", 40.0), ROLL))], "kinematic"), (plans("roll"), "")):
        drawn = curves(sweeps, (), MM, SHEET)
        for index, (name, sweep) in enumerate(sweeps):
            counts = line(drawn, name or "force-weighted")
            assert counts.get_ydata() == pytest.approx(sweep["force_weighted_height"])
            pale = line(drawn, named or f"kinematic of {name}")
            assert pale.get_alpha() < 1.0
            assert pale.get_zorder() < counts.get_zorder()
            offset = line(drawn, named or name, 1)
            shown = np.isfinite(offset.get_ydata())
            assert np.isin(np.round(offset.get_ydata()[shown], 9), np.round(sweep["roll_centre_offset"], 9)).all()
            assert index or shown.any()
        labels = [axes.get_ylabel() for axes in drawn.axes]
        assert "roll-centre height" in labels[0]
        assert "roll-centre offset" in labels[1]


def test_curves_end_where_the_linkage_locks_and_say_so() -> None:
    sweep = sweep_bump(typical("double wishbone"), np.linspace(-300.0, 300.0, 61))
    drawn = curves([("", sweep)], (), MM, SHEET)
    camber = line(drawn, "left and right wheel alike", 1).get_ydata()
    assert np.array_equal(np.isfinite(camber), sweep.reached)
    assert not sweep.reached.all()
    assert "locks at" in words(drawn)


def test_limits_are_shaded_where_they_must_hold() -> None:
    drawn = curves([("", sweep_bump(typical("strut"), TRAVEL))], LIMITS, INCH, SHEET, WorkingRange(-40.0, 30.0))
    (band,) = [patch for patch in drawn.axes[0].patches if to_hex(patch.get_facecolor()).upper() == style.PALE_GREEN]
    assert band.get_x() == pytest.approx(-40.0 / 25.4)
    assert band.get_x() + band.get_width() == pytest.approx(30.0 / 25.4)
    assert (band.get_y(), band.get_y() + band.get_height()) == pytest.approx((-1.0, 3.0))
    assert "allowed \N{MINUS SIGN}1.00 to 3.00 in" in words(drawn)
    assert "allowed up to 0.10 deg" in words(drawn)
    # An open limit is shaded to the panel's edge.
    (open_band,) = drawn.axes[2].patches
    assert open_band.get_y() == pytest.approx(drawn.axes[2].get_ylim()[0])


def test_sweeps_that_do_not_go_together_are_refused() -> None:
    axle = typical("strut")
    bump, roll = sweep_bump(axle, TRAVEL), sweep_roll(axle, ROLL)
    grid = sweep_grid(axle, TRAVEL[::20], ROLL[::20])
    with pytest.raises(ValueError, match="all in bump or all in roll"):
        curves([("a", bump), ("b", roll)], (), MM, SHEET)
    with pytest.raises(ValueError, match="grid"):
        curves([("", grid)], (), MM, SHEET)
    with pytest.raises(ValueError, match="at most 5"):
        curves([(str(i), bump) for i in range(6)], (), MM, SHEET)
    with pytest.raises(ValueError, match="no sweep"):
        roll_centre_path([], (), MM, SHEET)
    two = {key: np.stack([at, at]) for key, at in axle.points.items()}
    variants = replace(axle, points=two)
    with pytest.raises(ValueError, match="batch"):
        curves([("", sweep_bump(variants, TRAVEL))], (), MM, SHEET)


def test_names_may_hold_any_sign() -> None:
    sheet = Sheet("x^2 $y_1", "$5 car_name \\alpha")
    drawn = curves([("$a_1", plans("bump")[0][1]), ("b", plans("bump")[1][1])], (), MM, sheet)
    drawn.savefig(io.BytesIO(), format="png")
    assert "$5 car_name \\alpha, front axle" in words(drawn)


@pytest.mark.campaign
def test_own_settings_of_the_user_do_not_change_a_figure() -> None:
    files = []
    for theirs in ({}, {"font.size": 20.0, "axes.grid": False, "axes.facecolor": "red", "lines.linewidth": 9.0}):
        with matplotlib.rc_context(theirs):
            drawn = FIGURES["front strut"]()
            with style.paper():
                files.append(io.BytesIO())
                drawn.savefig(files[-1], format="png")
    assert files[0].getvalue() == files[1].getvalue()


@pytest.mark.parametrize("unit", [MM, INCH], ids=["mm", "in"])
def test_the_path_is_the_swept_roll_centre_left_on_the_right(unit) -> None:
    axle = typical("double wishbone")
    bump, roll = both("", axle)
    drawn = roll_centre_path([bump, roll], LIMITS, unit, SHEET)
    for name, (_, sweep) in (("in bump", bump), ("in roll", roll)):
        assert line(drawn, name).get_xdata() == pytest.approx(sweep["roll_centre_offset"] / unit.in_mm, abs=1e-9)
        assert line(drawn, name).get_ydata() == pytest.approx(sweep["roll_centre_height"] / unit.in_mm)
    low, high = drawn.axes[0].get_xlim()
    assert low < high
    assert "towards the car's left, which is on the right here" in drawn.axes[0].get_xlabel()


def test_marks_of_the_path_stand_where_a_sweep_to_that_value_ends() -> None:
    axle = typical("strut")
    drawn = roll_centre_path(both("", axle), LIMITS, MM, SHEET)
    renderer = FigureCanvasAgg(drawn).get_renderer()
    for label, sweep in (
        ("+40 mm", sweep_bump(axle, np.array([40.0]))),
        ("\N{MINUS SIGN}2 deg", sweep_roll(axle, np.radians([-2.0]))),
    ):
        (text,) = [one for one in drawn.axes[0].texts if one.get_text() == label]
        expected = [sweep["roll_centre_offset"][0], sweep["roll_centre_height"][0]]
        # Drawn between two samples 2 mm or 0.1 deg apart, where the path bends by less than this.
        assert text.xy == pytest.approx(expected, abs=0.05)
        # and the words stand near the mark: within 30 pt
        near = text.get_window_extent(renderer).padded(30.0 * drawn.dpi / 72.0)
        assert near.contains(*drawn.axes[0].transData.transform(expected))


def test_the_path_leaves_the_picture_with_words() -> None:
    axle = typical("strut")
    sweep = sweep_roll(axle, np.radians(np.linspace(-4.0, 4.0, 81)))
    drawn = roll_centre_path([("", sweep)], LIMITS, MM, SHEET)
    low, high = drawn.axes[0].get_xlim()
    outside = np.degrees(sweep["roll"][(sweep["roll_centre_offset"] > high) & (sweep["roll"] > 0.0)]).min()
    (note,) = [row for row in words(drawn).splitlines() if row.startswith("Off the picture")]
    # Told to a tenth of a degree; the first sample outside is at most one sample, a tenth, behind.
    told = float(note.split("+")[1].split(" ")[0])
    assert outside - 0.15 <= told <= outside + 0.05
    assert low == pytest.approx(-high)


@pytest.mark.parametrize("kind", ["strut", "double wishbone"])
@pytest.mark.parametrize(("bump", "roll"), [(0.0, 0.0), (40.0, 0.035), (-30.0, -0.02)])
def test_the_front_view_is_to_scale_and_true(kind: str, bump: float, roll: float) -> None:
    axle = typical(kind)
    stance = stances(axle, np.array([bump]), np.array([roll]))
    drawn = front_view(stance, INCH, SHEET, LIMITS)
    (axes,) = drawn.axes
    assert axes.get_aspect() == 1.0
    box = axes.get_position()
    width, height = drawn.get_size_inches()
    scale = [np.ptp(axes.get_xlim()) / (box.width * width), np.ptp(axes.get_ylim()) / (box.height * height)]
    assert scale[0] == pytest.approx(scale[1])
    # Both pivot axes of these cars run nearly along x, so the lower arm's inner ends move with the body:
    # the line between them leans by the body's roll.
    view = front_view_of(stance)
    lower, _ = view.arms[0]
    lean = lower[LEFT] - lower[RIGHT]
    assert math.atan2(lean[1], lean[0]) == pytest.approx(roll, abs=2e-4)
    # Contact points on the ground; the car's left is on the right.
    assert view.contact[:, 1] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert view.contact[LEFT, 0] > 0.0 > view.contact[RIGHT, 0]
    # Tyres are discs of the loaded radius, seen edge-on.
    high = np.hypot(*(view.tyre[:, 0] - view.tyre[:, 3]).T)
    assert high == pytest.approx(2.0 * axle.radius)


def test_contact_lines_meet_in_the_marked_roll_centre() -> None:
    stance = stances(typical("strut"), np.array([10.0]), np.array([0.01]))
    drawn = front_view(stance, MM, SHEET)
    mark = np.array([*line(drawn, "roll centre").get_xdata(), *line(drawn, "roll centre").get_ydata()])
    assert mark == pytest.approx(stance.roll_centre[0])
    for side, name in enumerate(("left", "right")):
        curve = line(drawn, f"{name} contact")
        start, end = np.array(curve.get_xydata())
        assert start == pytest.approx(stance.contact[side, 0, 1:])
        assert end == pytest.approx(mark)
        # Roll centre, contact point and instant centre lie on one line, at right angles to the point's motion.
        motion = stance.contact_velocity[side, 0, 1:]
        assert (end - start) @ motion == pytest.approx(0.0, abs=1e-9 * np.hypot(*(end - start)))
    text = words(drawn)
    assert f"roll centre {number(stance.roll_centre[0, 1], Dimension.LENGTH, MM)} above ground" in text
    assert "towards the car's left" in text


@pytest.mark.campaign
def test_arm_lines_reach_the_instant_centre_when_it_lies_in_the_drawing() -> None:
    stance = stances(typical("double wishbone"), np.array([80.0]), np.array([0.0]))
    drawn = front_view(stance, MM, SHEET)
    for side, name in enumerate(("left", "right")):
        centre = stance.instant_centre[side, 0]
        ends = [np.array(one.get_xydata())[-1] for one in drawn.axes[0].lines if one.get_label() == f"{name} guide"]
        assert len(ends) == 2
        for end in ends:
            # Arm lines are the drawing-board construction, the centre comes from the motion: with these
            # slightly skewed pivot axes they agree to some millimetres in 700.
            assert np.hypot(*(end - centre)) < 15.0
        assert f"{name} instant centre" in words(drawn)


def test_points_at_infinity_are_said_in_words() -> None:
    still = words(front_view(stances(level_arms(), np.zeros(1), np.zeros(1)), MM, SHEET))
    assert "roll centre 0.0 mm above ground,\nanywhere sideways" in still
    assert "at infinity" in still
    rolled = words(front_view(stances(level_arms(), np.zeros(1), np.array([0.02])), MM, SHEET))
    assert "roll centre at infinity:\nboth contact lines are parallel" in rolled


def test_the_verdict_on_the_limit_is_in_the_table() -> None:
    for lowered, verdict in ((0.0, "inside"), (40.0, "OUTSIDE")):
        drawn = front_view(stances(typical("strut", lowered), np.zeros(1), np.zeros(1)), MM, SHEET, LIMITS)
        assert verdict in [text.get_text() for text in drawn.texts]


def test_window_follows_a_curve_only_so_far() -> None:
    core = np.array([0.0, 100.0, np.nan, 1e9])
    low, high = run_off.window(core, np.array([-40.0, 5e3, -np.inf]), 150.0, 10.0)
    # 4 per cent of the span beyond -40 and 250
    assert (low, high) == pytest.approx((-40.0 - 11.6, 250.0 + 11.6))
    assert run_off.window(np.array([np.nan]), np.array([2.0]), 150.0, 50.0) == pytest.approx((-24.0, 26.0))


def test_a_pole_is_told_from_a_crossing_of_the_centre_plane() -> None:
    x = np.linspace(-1.0, 1.0, 20)
    through = through_infinity(100.0 / x, 1500.0)
    assert np.flatnonzero(through).tolist() == [9]
    assert not through_infinity(100.0 * x, 1500.0).any()


def test_the_pen_is_lifted_at_a_pole_even_between_two_shown_samples() -> None:
    x = np.array([-0.3, -0.2, -0.1, 0.1, 0.2, 0.3])
    height = 10.0 / x
    inside = run_off.margin(height, -150.0, 150.0)
    assert (inside > 0.0).all()
    through = through_infinity(20.0 * height, 1500.0)
    (drawn,) = run_off.broken(inside, through, height)
    assert drawn == pytest.approx(np.insert(height, 3, np.nan), nan_ok=True)


def test_a_curve_is_drawn_to_the_frame_and_no_farther() -> None:
    height = np.array([300.0, 200.0, 140.0, 100.0, 160.0, 170.0, np.nan])
    inside = run_off.margin(height, -150.0, 150.0)
    (drawn,) = run_off.broken(inside, np.zeros(6, dtype=bool), height)
    assert drawn == pytest.approx([np.nan, 200.0, 140.0, 100.0, 160.0, np.nan, np.nan], nan_ok=True)


def test_spells_outside_are_found_to_a_fraction_of_a_sample() -> None:
    x = np.linspace(0.0, 9.0, 181)
    inside = run_off.margin(np.sin(x), -0.5, 2.0)
    reached = np.ones(x.size, dtype=bool)
    # The sine is below -1/2 from 210 to 330 degrees; chords of 0.05 rad miss it by less than 1e-3.
    low, high = 7 * np.pi / 6, 11 * np.pi / 6
    assert run_off.spells_outside(x, inside, reached) == [pytest.approx((low, high), abs=1e-3)]
    assert run_off.exits(x, inside) == pytest.approx([low, high], abs=1e-3)
    # What ends where the linkage locks goes on for ever.
    assert run_off.spells_outside(x, inside, x < 5.0) == [(pytest.approx(low, abs=1e-3), np.inf)]


@pytest.mark.parametrize(
    ("value", "kind", "unit", "text"),
    [
        (-25.4, "LENGTH", INCH, "\N{MINUS SIGN}1.00 in"),
        (-0.04, "LENGTH", MM, "0.0 mm"),
        (3045.4, "LENGTH", MM, "+3045 mm"),
        (math.radians(-1.8), "ANGLE", MM, "\N{MINUS SIGN}1.80 deg"),
    ],
)
def test_numbers_on_paper(value: float, kind: str, unit, text: str) -> None:
    assert number(value, Dimension[kind], unit, sign=True) == text


def test_no_label_stands_nearer_to_another_markers_place_than_to_its_own() -> None:
    """Markers in a row, closer than words are long: a label without a line to its place tells by its nearness."""
    figure = Figure(figsize=(3.0, 3.0), dpi=100)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0.0, 300.0)
    axes.set_ylim(0.0, 300.0)
    places = [(150.0, float(y)) for y in (110, 122, 134, 146, 158, 170, 182)]
    labels = Labels(axes)
    for place in places:
        labels.take_mark(place)
    for i, place in enumerate(places):
        labels.place(place, f"{i} mm", must=True)
    renderer = FigureCanvasAgg(figure).get_renderer()
    led = {tuple(np.round(line.get_xydata()[0], 6)) for line in axes.lines}
    texts = [text for text in axes.texts if text.get_text()]
    assert len(texts) == len(places)
    for text, place in zip(texts, places, strict=True):
        if tuple(np.round(place, 6)) in led:
            continue
        box = text.get_window_extent(renderer).extents
        away = [float(np.hypot(*(np.clip(other, box[:2], box[2:]) - other))) for other in places]
        # Half as far again, so that an eye is not in doubt.
        others = [one for i, one in enumerate(away) if places[i] != place]
        assert min(others) > 1.4 * away[places.index(place)]


def test_an_axis_over_one_value_has_a_width() -> None:
    assert style.span(np.array([np.nan, 5.0])) == (4.0, 6.0)
    assert style.span(np.array([5.0, np.inf, -2.0])) == (-2.0, 5.0)
