"""Front views of several plans side by side, all to one scale, for one glance at what each does."""

from collections.abc import Sequence
from dataclasses import replace

from matplotlib.figure import Figure

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import ROLL_CENTRE, Limit
from kinematics.numbers.stance import Stance
from reports.figures.front_view import draw_front_view
from reports.figures.front_view_geometry import front_view_of
from reports.figures.style import GREY, MARGIN, SMALL, TEXT, TITLE, Sheet, paper

_BESIDE = 2
_WIDE, _LEFT, _GAP = 6.6, 0.75, 0.25  # in
_HEAD, _ROW_HEAD, _BELOW, _FOOT = 0.6, 0.35, 0.35, 0.35  # in


def front_views(
    views: Sequence[tuple[str, Stance]], unit: LengthUnit, sheet: Sheet, limits: Sequence[Limit] = ()
) -> Figure:
    """Draw the first position of each labelled stance, two in a row; the allowed roll-centre height shaded.

    The car's left side is on the right of each drawing.
    """
    geometry = [front_view_of(stance) for _, stance in views]
    # One frame for all: what differs between plans then shows as a difference on paper.
    left, right = min(one.frame[0] for one in geometry), max(one.frame[1] for one in geometry)
    bottom, top = min(one.frame[2] for one in geometry), max(one.frame[3] for one in geometry)
    tall = _WIDE * (top - bottom) / (right - left)
    rows = -(-len(views) // _BESIDE)
    width = MARGIN + _BESIDE * (_LEFT + _WIDE + _GAP)
    height = _HEAD + rows * (_ROW_HEAD + tall + _BELOW) + _FOOT
    heights = [limit for limit in limits if limit.key == ROLL_CENTRE.key]
    with paper():
        figure = Figure(figsize=(width, height))
        title = f"{sheet.title}, heights and sideways distances [{unit.symbol}]"
        figure.text(MARGIN / width, 1.0 - MARGIN / height, title, va="top", fontsize=TITLE, fontweight="bold")
        foot = sheet.footer(views[0][1].states.axle)
        figure.text(MARGIN / width, MARGIN / height, foot, va="bottom", fontsize=SMALL, color=GREY)
        for i, (view, (label, _)) in enumerate(zip(geometry, views, strict=True)):
            row, column = divmod(i, _BESIDE)
            x = MARGIN + column * (_LEFT + _WIDE + _GAP) + _LEFT
            y = height - _HEAD - row * (_ROW_HEAD + tall + _BELOW) - _ROW_HEAD - tall
            axes = figure.add_axes((x / width, y / height, _WIDE / width, tall / height))
            draw_front_view(axes, replace(view, frame=(left, right, bottom, top)), unit, heights)
            axes.set_title(label, loc="left", fontsize=TEXT + 2, fontweight="bold")
    return figure
