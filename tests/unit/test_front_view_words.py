"""Words in the front view cross no line of the axle: where they stand is measured on paper, line by line.

A line is followed at steps of a pixel; the body's edge and the tyres' outlines are lines too.
"""

from itertools import pairwise

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from kinematics.car.lengths import INCH
from kinematics.car.limits import ROLL_CENTRE, Limit
from kinematics.numbers.stance import Stance
from kinematics.sweeps.body import stances
from reports.figures.first_look import first_look
from reports.figures.front_view import front_view
from reports.figures.style import Sheet
from tests.unit.test_figures import typical

SHEET = Sheet("Front axle", "an invented car")
LIMITS = (Limit(ROLL_CENTRE.key, -25.4, 76.2, ("ride height",)),)
STANDING = ("car's right", "car's left", "seen from the front", "to left instant centre", "to right instant centre")


def drawn_lines(figure: Figure) -> np.ndarray:
    """Pixels (P, 2) along every line of the drawing but the thin leads of labels and the grid."""
    (axes,) = figure.axes
    found = []
    lines = [one.get_xydata() for one in axes.lines if len(one.get_xydata()) > 1 and one.get_linewidth() > 0.65]
    outlines = [one.get_xy() for one in axes.patches if isinstance(one, Polygon)]
    for points in (*lines, *outlines):
        at = axes.transData.transform(points)
        for start, end in pairwise(at):
            steps = max(int(np.hypot(*(end - start))), 1)
            found.append(start + np.linspace(0.0, 1.0, steps + 1)[:, None] * (end - start))
    return np.concatenate(found)


def stance(lowered: float) -> Stance:
    return stances(typical("strut", lowered), np.zeros(1), np.zeros(1))


@pytest.mark.parametrize("lowered", [0.0, 15.0, 40.0])
@pytest.mark.parametrize("small", [False, True])
def test_no_line_runs_through_them(lowered: float, small: bool) -> None:
    draw = first_look if small else front_view
    figure = draw(stance(lowered), INCH, SHEET, LIMITS)
    renderer = FigureCanvasAgg(figure).get_renderer()
    at = drawn_lines(figure)
    told = []
    for text in figure.axes[0].texts:
        if text.get_text() not in STANDING:
            continue
        told.append(text.get_text())
        left, low, right, high = text.get_window_extent(renderer).extents
        inside = (at[:, 0] > left) & (at[:, 0] < right) & (at[:, 1] > low) & (at[:, 1] < high)
        assert not inside.any(), text.get_text()
    assert {"car's right", "car's left"} <= set(told)
    assert ("seen from the front" in told) is not small


def test_a_plan_stands_over_a_pale_ghost_of_the_car_as_measured() -> None:
    """Both roll centres are marked where the library has them, the one as measured by a ring."""
    measured, planned = stance(0.0), stance(30.0)
    figure = first_look(planned, INCH, SHEET, LIMITS, ghost=measured)
    marks = {one.get_label(): one.get_xydata()[0] for one in figure.axes[0].lines if len(one.get_xydata()) == 1}
    for name, one in (("roll centre", planned), ("roll centre as measured", measured)):
        assert marks[name] == pytest.approx(one.roll_centre[0] / 25.4, abs=1e-9)
    (legend,) = figure.legends
    assert "as measured" in [text.get_text() for text in legend.get_texts()]
