"""A chart of what some numbers' doubt comes from: each measurement's share of the variance, most first."""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.figure import Figure

from kinematics.car.lengths import LengthUnit
from kinematics.doubt.assessment import Assessment, worse_side
from kinematics.numbers.registry import QUANTITIES
from reports.figures.style import BLUE, CHARACTER, MARGIN, SMALL, Column, Sheet, paper
from reports.words.numbers import PLUS_MINUS, told
from solvers.vectors import Array

_BARS = 6
_BAR, _HEAD, _FOOT = 0.2, 0.34, 0.42  # in: a bar's row, a panel's title, what stands below its axis
_LEAST_NAMES, _MOST_NAMES = 1.2, 3.5  # in, for the measurements' names
_LONGEST = 58  # characters of a name


@dataclass(frozen=True)
class _Panel:
    """A number's title, the largest sources by name, and what each has of the variance [%]."""

    title: str
    names: Sequence[str]
    shares: Array


def share_chart(assessment: Assessment, about: Sequence[str], unit: LengthUnit, sheet: Sheet) -> Figure:
    """Draw the largest shares in the doubt of some numbers at ride height, a panel for each."""
    with paper():
        return _draw(assessment, about, unit, sheet)


def _draw(assessment: Assessment, about: Sequence[str], unit: LengthUnit, sheet: Sheet) -> Figure:
    height = _BAR * (_BARS + 1)
    column = Column(sheet, assessment.axle, [_HEAD + height + _FOOT] * len(about))
    panels = [_panel(assessment, key, unit) for key in about]
    # All panels begin where the longest name of any ends.
    longest = max((len(name) for panel in panels for name in panel.names), default=0)
    left = float(np.clip(CHARACTER * longest + MARGIN, _LEAST_NAMES, _MOST_NAMES))
    for place, panel in enumerate(panels):
        axes = column.axes(place, _HEAD, height, left)
        axes.set_title(panel.title, loc="left")
        at = np.arange(len(panel.names))
        axes.barh(at, panel.shares, height=0.7, color=BLUE)
        axes.set_yticks(at, panel.names, fontsize=SMALL)
        axes.set_ylim(_BARS - 0.4, -0.6)
        axes.set_xlim(0.0, 100.0)
        axes.grid(visible=False, axis="y")
        axes.set_xlabel("share of the variance [%]")
    return column.figure


def _panel(assessment: Assessment, key: str, unit: LengthUnit) -> _Panel:
    quantity, first = QUANTITIES[key], assessment.first["ride height", key]
    side, whose = worse_side(first.standard_deviation)
    shares = first.shares.reshape(len(first.slopes), -1)[:, side]
    chosen = np.argsort(-shares)[:_BARS]
    way = float(assessment.half_width_95(("ride height", key)).reshape(-1)[side])
    said = told(way, quantity.dimension, unit, sign=False)
    names = [assessment.doubt.sources[i].replace("_", " ") for i in chosen]
    return _Panel(
        f"{quantity.title}{whose} at ride height, {PLUS_MINUS} {said} (95 %)",
        [textwrap.shorten(name, _LONGEST, placeholder="...") for name in names],
        100.0 * shares[chosen],
    )
