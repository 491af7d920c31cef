"""The car under load: both axles seen from the front in each manoeuvre, over themselves at rest, and wheel loads.

All to one scale. Instead of the kinematic roll centre, which runs off sideways as the car rolls, stands the height at
which the wheels' own loads put the axle's lateral force.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from kinematics.car.car import LEFT, RIGHT
from kinematics.car.lengths import LengthUnit
from kinematics.loads.under_load import UnderLoad
from kinematics.numbers.quantity import Dimension
from reports.figures.front_view import draw_front_view
from reports.figures.front_view_geometry import FrontView, front_view_of
from reports.figures.front_view_look import LOOK, PALE
from reports.figures.legends import legend_height
from reports.figures.page_words import write_page
from reports.figures.style import (
    BLACK,
    CHARACTER,
    LINE,
    MARGIN,
    ORANGE,
    SMALL,
    TEXT,
    TITLE_LINE,
    WIDTH,
    Sheet,
    Style,
    number,
    paper,
    title_lines,
)
from reports.words.headline import height_words
from reports.words.under_load import g_words, manoeuvre_words
from reports.words.wrapped import wrapped
from solvers.vectors import Array, Flags

AT_REST = "at rest"
WEIGHTED = "force-weighted height"
LOAD = "wheel load"
_TALLEST = 10.6  # in: A4 upright, less its margins
_GAP = 0.1  # in between and beside drawings
_HEAD, _OVER, _UNDER = 0.22, 0.18, 0.12  # in: what a row is called, each drawing's title, room under it
_DEEP = 340.0  # mm under the ground, for arrows and what is written at them
_ARROW = 150.0  # mm, of the greatest load
_MARK: Style = {"color": ORANGE, "markersize": 7.0, "markeredgecolor": BLACK, "markeredgewidth": 0.8}
_HOW = (
    "Seen from the front, the car's left on the right, all to one scale but for the tyres' width. Under each wheel "
    "what the ground carries of the car there, and the wheel's camber to the ground, negative where the top leans in."
)


@dataclass(frozen=True)
class _Drawing:
    """One axle at the end of one manoeuvre: its views there and at rest, load [N], camber [rad], lifted by wheel."""

    over: str
    title: str
    view: FrontView
    rest: FrontView
    height: float
    load: Array
    camber: Array
    lifted: Flags


def loaded_views(found: UnderLoad, unit: LengthUnit, sheet: Sheet) -> Figure:
    """Draw each manoeuvre at its end, or at the last balance before it: the front axle left, the rear one right."""
    drawings = _framed([_drawing(found, axle, row, unit) for row in range(len(found.manoeuvres)) for axle in (0, 1)])
    left, right, bottom, top = drawings[0].view.frame
    with paper():
        legend = _legend(drawings)
        title = title_lines(sheet.title)
        notes = wrapped(_HOW, int((WIDTH - 2 * MARGIN) / CHARACTER))
        foot = MARGIN + (1 + len(notes)) * LINE + 0.05
        head = MARGIN + TITLE_LINE * len(title) + legend_height(list(legend), WIDTH - 2 * MARGIN) + 0.08
        rows = len(found.manoeuvres)
        wide, around = (WIDTH - 2 * MARGIN - _GAP) / 2, _HEAD + _OVER + _UNDER
        tall = min(wide * (top - bottom) / (right - left), (_TALLEST - head - foot) / rows - around)
        height = head + rows * (around + tall) + foot
        figure = Figure(figsize=(WIDTH, height))
        write_page(figure, title, legend, notes, sheet.footer(None))
        greatest = max(float(one.load.max()) for one in drawings)
        for place, drawing in enumerate(drawings):
            row, column = divmod(place, 2)
            x = MARGIN + column * (wide + _GAP)
            y = height - head - row * (around + tall) - _HEAD - _OVER - tall
            if column == 0:
                at = MARGIN / WIDTH, (y + tall + _OVER + 0.04) / height
                figure.text(*at, drawing.over, va="bottom", fontsize=TEXT, fontweight="bold")
            axes = figure.add_axes((x / WIDTH, y / height, wide / WIDTH, tall / height))
            _draw(axes, drawing, unit, greatest)
    return figure


def _drawing(found: UnderLoad, axle: int, row: int, unit: LengthUnit) -> _Drawing:
    last = found.last[row]
    height = float(found.force_weighted_height[axle, row, last])
    name = ("front", "rear")[axle]
    roll = number(float(np.abs(found.shaped(found.found.roll)[row, last])), Dimension.ANGLE, unit)
    asked = found.manoeuvres[row]
    ended = "" if found.solved[row, -1] else f", no balance beyond {g_words(asked, float(found.parts[last]))}"
    over = f"{manoeuvre_words(asked)}{ended}: roll {roll}".capitalize()
    title = f"{name}: {WEIGHTED} {height_words(height, unit)}"
    load, lifted = (found.shaped(values)[axle, :, row, last] for values in (found.found.load, found.found.lifted))
    views = (front_view_of(found.stance(axle, row, part)) for part in (last, 0))
    # The lines of the wheels' forces go their own way inboard: no one point is theirs.
    view, rest = (replace(one, roll_centre=np.full(2, np.nan)) for one in views)
    return _Drawing(over, title, view, rest, height, load, found.camber[axle, :, row, last], lifted)


def _framed(drawings: Sequence[_Drawing]) -> list[_Drawing]:
    """All in one frame, with room for arrows under the ground."""
    frames = np.array([one.view.frame for one in drawings])
    left, right, top = frames[:, 0].min(), frames[:, 1].max(), frames[:, 3].max()
    frame = float(left), float(right), -_DEEP, float(top)
    return [replace(one, view=replace(one.view, frame=frame), rest=replace(one.rest, frame=frame)) for one in drawings]


def _draw(axes: Axes, drawing: _Drawing, unit: LengthUnit, greatest: float) -> None:
    draw_front_view(axes, drawing.view, unit, ghost=drawing.rest, brief=True, bare=True)
    axes.set_title(drawing.title, fontsize=SMALL, pad=3.0)
    axes.set(xticks=[], yticks=[])
    axes.set_axis_off()
    height = drawing.height / unit.in_mm
    if drawing.view.shows(np.array([0.0, drawing.height])):
        axes.plot([0.0], [height], "D", zorder=7.5, label=WEIGHTED, **_MARK)
    for side in (LEFT, RIGHT):
        at = float(drawing.view.contact[side, 0]) / unit.in_mm
        load = float(drawing.load[side])
        length = _ARROW * max(load, 0.0) / greatest / unit.in_mm
        if not drawing.lifted[side]:
            look = {"arrowstyle": "-|>", "color": BLACK, "linewidth": 1.6, "shrinkA": 0.0, "shrinkB": 0.0}
            axes.annotate("", (at, 0.0), (at, -length), arrowprops=look, zorder=6)
        carried = number(load, Dimension.FORCE, unit) if not drawing.lifted[side] else "off the ground"
        words = f"{carried}\n{number(float(drawing.camber[side]), Dimension.ANGLE, unit, sign=True)}"
        axes.text(at, -(_ARROW + 20.0) / unit.in_mm, words, ha="center", va="top", fontsize=SMALL, linespacing=1.15)


def _legend(drawings: Sequence[_Drawing]) -> dict[str, Artist]:
    kinds = [one.view.kind for one in drawings[:2]]
    marks: dict[str, Artist] = {AT_REST: Line2D([], [], **PALE)}
    shown = {
        "strut": any(kind.strut is not None for kind in kinds),
        "arm": any(one.view.arms for one in drawings[:2]),
        "link": any(kind.links for kind in kinds),
    }
    for look, there in shown.items():
        if there:
            marks[LOOK[look][0]] = Line2D([], [], **LOOK[look][1])
    marks["line of a wheel's lateral force"] = Line2D([], [], **LOOK["contact"][1])
    marks[WEIGHTED] = Line2D([], [], marker="D", linestyle="none", **_MARK)
    marks[LOAD] = Line2D([], [], marker="^", linestyle="none", color=BLACK, markersize=6.0)
    return marks
