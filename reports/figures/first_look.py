"""A report's first picture: the axle to scale from the front, what each line is beside it."""

import textwrap
from collections.abc import Sequence
from dataclasses import replace

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import ROLL_CENTRE, Limit
from kinematics.numbers.stance import Stance
from reports.figures.front_view import draw_front_view
from reports.figures.front_view_geometry import front_view_of
from reports.figures.front_view_look import GHOST, PALE, front_view_legend
from reports.figures.legends import LOOK
from reports.figures.style import WIDTH, Column, Sheet, paper

_LEFT, _BELOW = 0.47, 0.16  # in beside and below the drawing: tick labels
_WIDE = 4.6  # in
_TALLEST = 2.5  # in, so that three curves stand on the same page
Frame = tuple[float, float, float, float]  # left, right, bottom, top
_GAP = 0.12  # in, between the drawing and the words beside it
_LONGEST = 26  # characters in a line of the words


def first_look(
    stance: Stance, unit: LengthUnit, sheet: Sheet, limits: Sequence[Limit] = (), *, ghost: Stance | None = None
) -> Figure:
    """Draw the first position of a stance to scale; limits of the roll-centre height are shaded.

    ghost: what it is drawn over, pale: the car as measured.
    """
    view, under = front_view_of(stance), None if ghost is None else front_view_of(ghost)
    if under is not None:
        view = replace(view, frame=_around(view.frame, under.frame))
    limits = [limit for limit in limits if limit.key == ROLL_CENTRE.key]
    left, right, bottom, top = view.frame
    tall = _WIDE * (top - bottom) / (right - left)
    wide = _WIDE * min(1.0, _TALLEST / tall)
    tall = min(tall, _TALLEST)
    with paper():
        column = Column(sheet, stance.states.axle, [tall + 0.06, _BELOW], footed=False)
        axes = column.axes(0, 0.04, tall, _LEFT, WIDTH - _LEFT - wide)
        axes.tick_params(labelsize=7.0)
        draw_front_view(axes, view, unit, limits, ghost=under, seen=False)
        marks = front_view_legend(view, unit, limits)
        marks |= {} if under is None else {GHOST: Line2D([], [], **PALE)}
        words = [_folded(one) for one in marks]
        at = ((_LEFT + wide + _GAP) / WIDTH, column.top(0, 0.04))
        look = {**LOOK, "bbox_to_anchor": at, "borderaxespad": 0.0}
        column.figure.legend(list(marks.values()), words, loc="upper left", **look)
        note = f"Seen from the front, to scale,\nheights and distances [{unit.symbol}]."
        column.figure.text(at[0], column.top(0, 0.04 + tall), note, va="bottom", fontsize=LOOK["fontsize"])
    return column.figure


def _around(one: Frame, other: Frame) -> Frame:
    """The frame that holds both."""
    return min(one[0], other[0]), max(one[1], other[1]), min(one[2], other[2]), max(one[3], other[3])


def _folded(words: str) -> str:
    return textwrap.fill(words, _LONGEST, break_long_words=False)
