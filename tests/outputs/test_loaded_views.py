"""The drawing of a car under load: its words against the table beside it, and what is drawn against the body's roll.

A line between two points of the body that lie alike on both sides leans by the roll (formula, rigid body); an arrow is
as long as its load is great.
"""

import re
from dataclasses import replace

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Annotation

from kinematics import demo_car
from kinematics.car.lengths import INCH, MM, LengthUnit
from kinematics.loads.load_numbers import load_columns
from kinematics.loads.under_load import UnderLoad, manoeuvres, under_load
from reports import under_load_figure
from tests.short_run import at_places
from tests.unit.test_figures import all_can_be_read, fits_a4

SALOON = demo_car("rear-drive-saloon")
NAMES = ["braking 0.5 g", "driving 0.3 g", "cornering 0.7 g", "cornering 0.7 g, braking 0.5 g",
         "cornering 0.7 g, driving 0.3 g"]  # fmt: skip
MINUS = "\N{MINUS SIGN}"
NUMBER = rf"[{MINUS}+]?\d+(?:\.\d+)?"


@pytest.fixture(scope="module")
def found() -> UnderLoad:
    return under_load(SALOON, manoeuvres(0.5, 0.3, 0.7))


@pytest.fixture(scope="module", params=at_places([MM, INCH], 1), ids=["mm", "in"])
def unit(request: pytest.FixtureRequest) -> LengthUnit:
    return request.param


@pytest.fixture(scope="module")
def figure(found: UnderLoad, unit: LengthUnit) -> Figure:
    return under_load_figure(found, replace(SALOON, unit=unit))


def numbers(text: str) -> list[float]:
    return [float(one.replace(MINUS, "-")) for one in re.findall(NUMBER, text)]


def wheels(axes: Axes) -> list[str]:
    """The words at each wheel, the car's right one, on the left of the picture, first."""
    return [one.get_text() for one in sorted(axes.texts, key=lambda one: one.get_position()[0]) if "deg" in
            one.get_text()]  # fmt: skip


def test_every_word_is_of_the_tables_last_row(found: UnderLoad, figure: Figure, unit: LengthUnit) -> None:
    table = load_columns(found, unit)
    force, length = ("N", "mm") if unit is MM else ("lb", "in")
    rows = [text.get_text() for text in figure.texts if "roll" in text.get_text()]
    assert [row.partition(": roll")[0].lower() for row in rows] == NAMES
    for row in range(len(NAMES)):
        last = (row + 1) * found.parts.size - 1
        assert numbers(rows[row].partition(": roll")[2])[0] == pytest.approx(abs(table["roll_deg"][last]), abs=0.0051)
        for place, axle in enumerate(("front", "rear")):
            axes = figure.axes[2 * row + place]
            title = axes.get_title()
            assert title.startswith(f"{axle}: ")
            height = float(table[f"force_weighted_height_{axle}_{length}"][last])
            (told,) = numbers(title)
            assert told == pytest.approx(abs(height), abs=0.051 if unit is MM else 0.0051)
            assert title.endswith("above ground" if height > 0.0 else "below ground")
            for side, words in zip(("right", "left"), wheels(axes), strict=True):
                load, camber = numbers(words)
                assert load == pytest.approx(table[f"wheel_load_{axle}_{side}_{force}"][last], abs=0.51)
                assert camber == pytest.approx(table[f"camber_{axle}_{side}_deg"][last], abs=0.0051)


def test_the_title_names_the_wheel_that_carries_most(found: UnderLoad, figure: Figure, unit: LengthUnit) -> None:
    title = " ".join(figure.texts[0].get_text().split())
    table = load_columns(found, unit)
    force = "N" if unit is MM else "lb"
    ends = {f"{axle} {side}": table[f"wheel_load_{axle}_{side}_{force}"][found.parts.size - 1 :: found.parts.size]
            for axle in ("front", "rear") for side in ("left", "right")}  # fmt: skip
    most = max(ends, key=lambda one: ends[one].max())
    row = int(np.argmax(ends[most]))
    least = min(ends, key=lambda one: ends[one][row])
    name, _, told = title.partition(": ")
    assert name.lower() == NAMES[row]
    heavy, light = (f"carries {ends[one][row]:.0f} {force}" for one in (most, least))
    assert told == f"the {most} wheel {heavy}, the {least} one {light}"


def test_the_body_leans_by_its_roll(found: UnderLoad, figure: Figure) -> None:
    for row in range(len(NAMES)):
        last = (row + 1) * found.parts.size - 1
        lines = {line.get_label(): line.get_xydata() for line in figure.axes[2 * row].lines}
        left, right = lines["left strut"][1], lines["right strut"][1]
        lean = np.degrees(np.arctan2(left[1] - right[1], left[0] - right[0]))
        points = SALOON.front.points["strut_top"]
        measured = np.degrees(np.arctan2(points[0, 2] - points[1, 2], points[0, 1] - points[1, 1]))
        # A body that pitches too shows its roll up to the product of both angles, here 0.01 deg.
        assert lean - measured == pytest.approx(np.degrees(found.found.roll[last]), abs=0.01)
        assert left[0] > right[0]


def test_arrows_are_as_long_as_loads_are_great(found: UnderLoad, figure: Figure) -> None:
    last = found.parts.size - 1
    loads = found.shaped(found.found.load)[..., last].transpose(2, 0, 1)[
        ..., ::-1
    ]  # by manoeuvre and axle, right first
    long = []
    for axes in figure.axes:
        arrows = [one for one in axes.texts if isinstance(one, Annotation)]
        arrows.sort(key=lambda one: one.xy[0])
        assert all(one.xy[1] == 0.0 and one.xyann[1] < 0.0 for one in arrows)  # up to the ground, which carries
        long.append([-one.xyann[1] for one in arrows])
    lengths = np.array(long).reshape(loads.shape)
    np.testing.assert_allclose(lengths / lengths.max(), loads / loads.max(), rtol=1e-9)


def test_it_can_be_read_and_fits_a_page(figure: Figure, unit: LengthUnit) -> None:
    alone = under_load_figure(under_load(SALOON, manoeuvres(None, None, 0.7)), replace(SALOON, unit=unit))
    for drawn in (figure, alone):
        with mpl.rc_context({"figure.dpi": 100}):
            all_can_be_read(drawn)
        fits_a4(drawn)


def test_a_wheel_off_the_ground_is_told(found: UnderLoad) -> None:
    """A wheel that a balance calls lifted, here by a planted flag, carries no arrow and no load."""
    lifted = found.found.lifted.copy()
    lifted[0, 0, 3 * found.parts.size - 1] = True  # front left, at the end of the third manoeuvre
    shown = under_load_figure(replace(found, found=replace(found.found, lifted=lifted)), SALOON)
    told = {(row, words) for row, axes in enumerate(shown.axes) for words in wheels(axes) if "off the ground" in words}
    assert [row for row, _ in told] == [4]
    assert wheels(shown.axes[4])[1].startswith("off the ground")
    assert sum(isinstance(one, Annotation) for one in shown.axes[4].texts) == 1


def test_where_balance_ended_is_told_in_g() -> None:
    """Raised in twelfths (the table's rows), so that the last balance lies at a twelfth of what was asked."""
    beyond = under_load(SALOON, manoeuvres(None, None, 1.3))
    (row,) = [text.get_text() for text in under_load_figure(beyond, SALOON).texts if "roll" in text.get_text()]
    table = load_columns(beyond, MM)
    last = table["lateral_acceleration_g"][np.isfinite(table["roll_deg"])].max()
    assert last == pytest.approx(1.3 * 11.0 / 12.0)
    assert row.startswith(f"Cornering 1.3 g, no balance beyond {last:.2f} g cornering: roll ")
