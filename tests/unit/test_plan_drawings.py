"""Drawings of plans over the car as measured, by the stances drawn; arm angles by the measured points."""

import math

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg

from kinematics.car.car import LEFT
from kinematics.car.lengths import INCH, MM
from kinematics.sweeps.body import stances
from reports.figures.front_view import front_view
from reports.figures.front_views import front_views
from tests.unit.test_figures import LIMITS, SHEET, line, standing_plans, typical


@pytest.mark.parametrize("unit", [MM, INCH], ids=["mm", "in"])
def test_each_plan_is_drawn_over_the_car_as_measured(unit) -> None:
    views = standing_plans(4)
    drawn = front_views(views, unit, SHEET, LIMITS)
    assert len(drawn.axes) == 3
    assert len(drawn.legends) == 1
    assert "as measured" in [text.get_text() for text in drawn.legends[0].get_texts()]
    measured = views[0][1]
    for place, (name, stance) in enumerate(views[1:]):
        (ghost,) = line(drawn, "roll centre as measured", place).get_xydata()
        assert ghost == pytest.approx(measured.roll_centre[0] / unit.in_mm)
        (mark,) = line(drawn, "roll centre", place).get_xydata()
        assert mark == pytest.approx(stance.roll_centre[0] / unit.in_mm)
        up = float(stance.roll_centre[0, 1])
        told = (
            f"{abs(up) / unit.in_mm:.{1 if unit is MM else 2}f} {unit.symbol} {'above' if up > 0 else 'below'} ground"
        )
        title = " ".join(drawn.axes[place].get_title(loc="left").split())
        assert title.startswith(f"{name}: ")
        assert title.endswith(f": roll centre {told}")


def test_a_long_name_is_told_whole_and_clear_of_its_neighbours() -> None:
    """Wrapped by words over its drawing; no title covers another, nor leaves the page."""
    (_, measured), (_, one), (_, other), (_, third) = standing_plans(4)
    names = ["A ball joint 18 mm longer, and tie-rod ends shimmed to match", "b" * 30 + " " + "c" * 29, "short"]
    views = [("as measured", measured), *zip(names, (one, other, third), strict=True)]
    drawn = front_views(views, MM, SHEET, LIMITS)
    renderer = FigureCanvasAgg(drawn).get_renderer()
    boxes = []
    for name, axes in zip(names, drawn.axes, strict=True):
        title = axes._left_title  # the one that is drawn; Matplotlib hands out its words alone
        assert " ".join(title.get_text().split()).startswith(f"{name}: roll centre ")
        boxes.append(title.get_window_extent(renderer))
    page = drawn.bbox
    for i, box in enumerate(boxes):
        assert page.x0 <= box.x0 < box.x1 <= page.x1
        assert not any(box.overlaps(other) for other in boxes[i + 1 :])
        assert not any(box.overlaps(axes.get_window_extent(renderer)) for axes in drawn.axes)


def test_arm_angles_carry_their_sign_and_far_points_no_coordinates() -> None:
    """A lowered strut: its lower arms fall towards the centre plane, its instant centres are metres away."""
    for lowered in (0.0, 60.0):
        axle = typical("strut", lowered)
        drawn = front_view(stances(axle, np.zeros(1), np.zeros(1)), MM, SHEET)
        inner = 0.5 * (axle.points["lower_pivot_front"][LEFT] + axle.points["lower_pivot_rear"][LEFT])
        outer = axle.points["lower_ball_joint"][LEFT]
        rise = math.degrees(math.atan2(inner[2] - outer[2], outer[1] - inner[1]))
        told = [text.get_text() for text in drawn.axes[0].texts if text.get_text().startswith("arm ")]
        assert len(told) == 2
        for text in told:
            value = float(text.removeprefix("arm ").removesuffix(" deg").replace("\N{MINUS SIGN}", "-"))
            assert text[4] in "+\N{MINUS SIGN}"
            # The pivots' axis meets the ball joint's plane a little above or below their middle.
            assert value == pytest.approx(rise, abs=0.3)
        left, right = drawn.axes[0].get_xlim()
        for text in (text.get_text() for text in drawn.axes[0].texts):
            if "instant centre" in text and "(" in text:
                aside = float(text.split("(")[1].split(",")[0].replace("\N{MINUS SIGN}", "-"))
                assert left < aside < right
