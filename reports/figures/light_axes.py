"""Scales and grids drawn with a few strokes: the same picture as Matplotlib's own ticks, in a fraction of their time.

Matplotlib keeps five artists for each tick of a scale and draws each by itself; they were a third of a figure's time.
"""

from typing import Any, TypeAlias, cast

import matplotlib
import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.axis import XAxis, YAxis
from matplotlib.backend_bases import RendererBase
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.markers import TICKDOWN, TICKLEFT
from matplotlib.text import Text
from matplotlib.ticker import NullLocator
from matplotlib.transforms import Bbox

from solvers.vectors import Array

_ROUNDING = 1e-10  # of a scale's length
_POINTS = 72.0  # to the inch

_Axis: TypeAlias = XAxis | YAxis


def lighten(figure: Figure) -> None:
    """Have scales, grids and their labels of a finished figure drawn so; those that are not plain stay as they are."""
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            if _is_plain(axis):
                axes.add_artist(_Scale(axis))
                axis.set_visible(False)


def _is_plain(axis: _Axis) -> bool:
    """Whether it has marks and words on its usual side alone, and no second kind of them."""
    told = axis.get_tick_params(which="major")
    others = ("top", "labeltop", "right", "labelright")
    return isinstance(axis.get_minor_locator(), NullLocator) and not any(told.get(one) for one in others)


class _Scale(Artist):
    """One axis's grid, marks, words and title."""

    def __init__(self, axis: _Axis) -> None:
        super().__init__()
        self._of = axis
        self.set_zorder(axis.get_zorder())
        self.set_clip_on(False)

    def draw(self, renderer: RendererBase) -> None:
        """Draw them in that order."""
        axis, axes = self._of, self._of.axes
        assert isinstance(axes, Axes)
        told = axis.get_tick_params(which="major")
        at, words = _within(axis)
        if axis.get_major_formatter().get_offset():
            self._by_itself(renderer)
            return
        side = "bottom" if isinstance(axis, XAxis) else "left"
        if told.get("gridOn", _setting("axes.grid")):
            _grid(axis, axes, at).draw(renderer)
        if told.get(side, True):
            _marks(axis, axes, at).draw(renderer)
        shown = words if told.get(f"label{side}", True) else []
        size = told.get("labelsize", _setting(f"{_name(axis)}tick.labelsize"))
        room = _labels(axis, axes, at, shown, size, renderer)
        _title(axis, axes, room, renderer)

    def _by_itself(self, renderer: RendererBase) -> None:
        """As Matplotlib draws it: where its words leave out what all of them have, such as a power of ten."""
        self._of.set_visible(True)
        self._of.draw(renderer)
        self._of.set_visible(False)


def _name(axis: _Axis) -> str:
    return "x" if isinstance(axis, XAxis) else "y"


def _setting(key: str) -> Any:
    return cast("dict[str, Any]", matplotlib.rcParams)[key]


def _within(axis: _Axis) -> tuple[Array, list[str]]:
    """Where marks are within the scale's ends, and their words."""
    at = np.asarray(axis.get_majorticklocs(), dtype=float)
    words = axis.get_major_formatter().format_ticks(at.tolist())
    low, high = sorted(axis.get_view_interval())
    some = _ROUNDING * (high - low)
    inside = (at >= low - some) & (at <= high + some)
    return at[inside], [word for word, shown in zip(words, inside, strict=True) if shown]


def _grid(axis: _Axis, axes: Axes, at: Array) -> Line2D:
    """All its lines as one, the pen lifted between them."""
    along = np.repeat(at, 3)
    across = np.tile([0.0, 1.0, np.nan], at.size)
    look = {name: _setting(f"grid.{name}") for name in ("color", "linewidth", "linestyle", "alpha")}
    upright = isinstance(axis, XAxis)
    line = Line2D(along if upright else across, across if upright else along, **look)
    line.set_transform(axes.get_xaxis_transform("grid") if upright else axes.get_yaxis_transform("grid"))
    line.set_figure(axes.figure)
    line.set_clip_path(axes.patch)
    return line


def _marks(axis: _Axis, axes: Axes, at: Array) -> Line2D:
    name, none = _name(axis), np.zeros(at.size)
    look: dict[str, Any] = {
        "linestyle": "none",
        "color": _setting(f"{name}tick.color"),
        "markersize": _setting(f"{name}tick.major.size"),
        "markeredgewidth": _setting(f"{name}tick.major.width"),
    }
    if name == "x":
        line = Line2D(at, none, **look, marker=cast("Any", TICKDOWN))
        line.set_transform(axes.get_xaxis_transform("tick1"))
    else:
        line = Line2D(none, at, **look, marker=cast("Any", TICKLEFT))
        line.set_transform(axes.get_yaxis_transform("tick1"))
    line.set_figure(axes.figure)
    return line


def _labels(axis: _Axis, axes: Axes, at: Array, words: list[str], size: float, renderer: RendererBase) -> Bbox:
    """Write the words; the room that they and the scale take on paper [pixels], as far as its title must know."""
    name = _name(axis)
    away = _setting(f"{name}tick.major.size") + _setting(f"{name}tick.major.pad")
    place = axes.get_xaxis_text1_transform if name == "x" else axes.get_yaxis_text1_transform
    where, upright, sideways = place(away)
    text = Text(0.0, 0.0, "", fontsize=size, verticalalignment=upright, horizontalalignment=sideways)
    text.set_transform(where)
    text.set_figure(axes.figure)
    boxes, beyond = [axes.bbox], _stands_beyond(axis, axes)
    for value, word in zip(at.tolist(), words, strict=False):
        if not word:
            continue
        text.set_text(word)
        text.set_position((value, 0.0) if name == "x" else (0.0, value))
        text.draw(renderer)
        if beyond:
            boxes.append(text.get_window_extent(renderer))
    return Bbox.union(boxes)


def _title(axis: _Axis, axes: Axes, room: Bbox, renderer: RendererBase) -> None:
    """Write what the scale is of, beyond its words unless it has a place of its own."""
    label = axis.label
    if not label.get_text():
        return
    if _stands_beyond(axis, axes):
        x, y = label.get_position()
        away = axis.labelpad * axes.figure.dpi / _POINTS
        label.set_position((x, room.y0 - away) if isinstance(axis, XAxis) else (room.x0 - away, y))
    label.draw(renderer)


def _stands_beyond(axis: _Axis, axes: Axes) -> bool:
    """Whether its title stands where its words end, and has no place of its own."""
    return bool(axis.label.get_text()) and axis.label.get_transform() is not axes.transAxes
