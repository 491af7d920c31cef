"""A chart of what each point does: the largest effects on each deciding number, signed, for a step of a point."""

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from kinematics.car.lengths import LengthUnit
from kinematics.finding.influence import Influence
from kinematics.numbers.registry import QUANTITIES
from reports.figures.style import BLUE, GREY, SMALL, VERMILION, Column, Sheet, paper
from reports.words.influence import answer_words, deciding, place_words, step_of, unit_words

_BARS = 8
_BAR, _HEAD, _FOOT = 0.17, 0.3, 0.42  # in: a bar's row, a panel's title, what stands below its axis
_NAMES = 2.1  # in
_TICKS = 5  # steps of an axis at most, as small numbers are long
_ROUNDING = 1e-12  # mm, rad or rad/mm, per mm


def influence_chart(found: Influence, unit: LengthUnit, car: str) -> Figure:
    """Draw the largest effects on the numbers that decide, a panel for each."""
    with paper():
        return _draw(found, unit, Sheet(answer_words(found, unit), car))


def _draw(found: Influence, unit: LengthUnit, sheet: Sheet) -> Figure:
    # What no point moves but by rounding, as camber gain on a live axle, has no panel.
    keys = [key for key in deciding(found) if any(abs(slope) > _ROUNDING for _, _, slope in found.ranked(key))]
    height = _BAR * (_BARS + 1)
    column = Column(sheet, found.axle, [_HEAD + height + _FOOT] * max(len(keys), 1))
    for place, key in enumerate(keys):
        ranked = found.ranked(key)[:_BARS]
        values = np.array([slope for _, _, slope in ranked]) * QUANTITIES[key].dimension.scale(unit)
        values = values * step_of(unit).size
        axes = column.axes(place, _HEAD, height, _NAMES)
        axes.set_title(QUANTITIES[key].title, loc="left")
        at = np.arange(len(values))
        axes.barh(at, values, height=0.7, color=[BLUE if one > 0.0 else VERMILION for one in values])
        axes.axvline(0.0, color=GREY, linewidth=0.8)
        axes.set_yticks(at, [_name(found, point, way) for point, way, _ in ranked], fontsize=SMALL)
        axes.set_ylim(_BARS - 0.4, -0.6)
        most = float(np.abs(values).max(initial=0.0)) or 1.0
        axes.set_xlim(-1.08 * most, 1.08 * most)
        axes.grid(visible=False, axis="y")
        axes.xaxis.set_major_locator(MaxNLocator(_TICKS, steps=[1, 2, 5, 10]))
        axes.set_xlabel(f"change [{unit_words(key, unit)}]")
    return column.figure


def _name(found: Influence, point: str, way: str) -> str:
    """A point and the way it goes, and whether class rules forbid all that moves it so."""
    reached = found.reached_by[point, way]
    forbidden = reached and all(one.forbidden for one in reached)
    return f"{place_words(point, way)}{' (forbidden)' if forbidden else ''}"
