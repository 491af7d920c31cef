"""Short texts beside points of a drawing, each put where it covers nothing that matters."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backend_bases import RendererBase
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from reports.figures.style import SMALL
from solvers.vectors import Array, Flags

Direction = tuple[int, int]

LEAD_WIDTH = 0.6  # pt, of the line from a label to its point

_SPACING = 3.0  # pt between the marks kept along lines that labels must not cover
_CLEAR = 1.5  # pt kept free around each label
_CLEARLY = 1.5  # times as far as from its own marker a label stands from any other
_OUTWARDS: Array = np.array([-1.0, -1.0, 1.0, 1.0])
_ALONG: Array = np.linspace(0.15, 1.0, 12)[:, None]  # places along a lead that must be free of texts
_NEAR = (6.0, 9.0, 14.0, 22.0)  # pt from point to label
_FAR = (*_NEAR, 34.0, 50.0, 70.0, 95.0)  # pt, with a thin line back to the point
# Directions in the order in which they are tried: a label is looked for on the right first.
_DIRECTIONS: tuple[Direction, ...] = (
    *((1, 0), (1, 1), (1, -1), (0, 1), (0, -1), (-1, 0), (-1, 1), (-1, -1)),
    *((2, 1), (2, -1), (-2, 1), (-2, -1), (1, 2), (1, -2), (-1, 2), (-1, -2)),
)


@dataclass(frozen=True)
class _Place:
    """A place for a label: marks it hides, shift from its point [pt], and its box [pixels]."""

    hidden: int
    shift: Array
    box: Array


class Labels:
    """Places labels in one axes whose limits are set, clear of each other and of the lines it is told about."""

    def __init__(self, axes: Axes) -> None:
        figure = axes.get_figure(root=True)
        assert isinstance(figure, Figure)
        self._axes = axes
        self._renderer: RendererBase = FigureCanvasAgg(figure).get_renderer()  # type: ignore[no-untyped-call]
        self._per_point = figure.dpi / 72.0  # pixels; all places below are in pixels
        self._pad = _CLEAR * self._per_point * _OUTWARDS
        self._frame = axes.get_window_extent().extents - self._pad
        self._taken: Array = np.empty((0, 4))  # boxes of texts and markers: x0, y0, x1, y1
        self._marks: Array = np.empty((0, 2))
        self._points: Array = np.empty((0, 2))  # centres of markers, each with a label of its own

    def keep_clear(self, line: Array) -> None:
        """Keep labels off a line (P, 2), in the axes' own coordinates; NaN lifts the pen."""
        at = self._axes.transData.transform(np.atleast_2d(line))
        way = np.diff(at, axis=0)
        far = np.hypot(way[:, 0], way[:, 1])
        steps = np.where(np.isfinite(far), np.clip(far / (_SPACING * self._per_point), 1.0, 2000.0), 0.0).astype(int)
        piece = np.repeat(np.arange(far.size), steps)
        part = np.arange(piece.size) - np.repeat(np.cumsum(steps) - steps, steps)
        found = at[:-1][piece] + (part / np.maximum(steps[piece], 1))[:, None] * way[piece]
        found = np.concatenate([found, at[np.isfinite(at).all(axis=-1)]])
        self._marks = np.concatenate([self._marks, found[_inside(found, self._frame + 10.0 * self._pad)]])

    def take(self, text: Text) -> None:
        """Keep labels off a text that is already there."""
        self._take(text.get_window_extent(self._renderer).extents + self._pad)

    def take_mark(self, point: Sequence[float], radius: float = 3.0) -> None:
        """Keep labels off a marker of a radius [pt] at a point."""
        x, y = self._axes.transData.transform((point[0], point[1]))
        self._points = np.concatenate([self._points, [[x, y]]])
        self._take(np.array([x, y, x, y]) + radius * self._per_point * _OUTWARDS)

    def place(
        self,
        point: Sequence[float],
        text: str,
        *,
        short: str = "",
        prefer: Sequence[Direction] = (),
        must: bool = False,
        color: str = "black",
        weight: str = "normal",
    ) -> bool:
        """Write a text near a point; `prefer` tells directions to try first.

        Returns False, and writes nothing, where every place nearby covers something. With `must` it is
        then written farther off with a thin line to its point; where that fails too the short text is
        tried, in the last resort across lines.
        """
        label = self._axes.annotate(
            text, (point[0], point[1]), (0.0, 0.0), textcoords="offset points", fontsize=SMALL, color=color,
            fontweight=weight, annotation_clip=False, linespacing=1.15, zorder=9,
        )  # fmt: skip
        at = self._axes.transData.transform((point[0], point[1]))
        directions = (*prefer, *(one for one in _DIRECTIONS if one not in prefer))
        best = self._best(label, at, directions, _FAR if must else _NEAR)
        if short and (best is None or best.hidden > 0):
            label.set_text(short)
            best = self._best(label, at, directions, _FAR if must else _NEAR)
        if best is None or (best.hidden > 0 and not must):
            label.remove()
            return False
        if best.hidden > 0:
            label.set_bbox({"facecolor": "#FFFFFFC0", "edgecolor": "none", "pad": 0.6})
        across, up = np.sign(best.shift).astype(int)
        label.set_position((float(best.shift[0]), float(best.shift[1])))
        label.set_horizontalalignment(("center", "left", "right")[across])
        label.set_verticalalignment(("center", "bottom", "top")[up])
        self._take(best.box + self._pad)
        if float(np.hypot(*best.shift)) > _NEAR[-2]:
            ends = self._axes.transData.inverted().transform(np.array([at, _end(at, best.box)]))
            self._axes.plot(ends[:, 0], ends[:, 1], color=color, linewidth=LEAD_WIDTH, zorder=8)
        return True

    def _best(
        self, label: Text, at: Array, directions: Sequence[Direction], distances: Sequence[float]
    ) -> "_Place | None":
        """The nearest place that covers nothing, or else the one that covers least of the lines."""
        extent = label.get_window_extent(self._renderer)
        size = np.array([extent.width, extent.height])
        best: _Place | None = None
        for distance in distances:
            for direction in directions:
                shift = np.array(direction) * distance / float(np.hypot(*direction))
                centre = at + shift * self._per_point + 0.5 * size * np.sign(direction)
                box = np.concatenate([centre - 0.5 * size, centre + 0.5 * size])
                hidden = None if self._misleads(box, at, distance) else self._hidden(box, at)
                if hidden is not None and (best is None or hidden < best.hidden):
                    best = _Place(hidden, shift, box)
                if best is not None and best.hidden == 0:
                    return best
        return best

    def _misleads(self, box: Array, at: Array, distance: float) -> bool:
        """Whether a label without a line to its point would stand as near, or nearly, to another marker."""
        if distance > _NEAR[-2]:
            return False
        others = self._points[np.abs(self._points - at).max(axis=-1) > 1.0]
        away = np.hypot(*(np.clip(others, box[:2], box[2:]) - others).T)
        return bool((away < _CLEARLY * np.hypot(*(_end(at, box) - at))).any())

    def _take(self, box: Array) -> None:
        self._taken = np.concatenate([self._taken, box[None]])

    def _hidden(self, box: Array, at: Array) -> int | None:
        """Marks that a label covers; None where it covers a text, or its lead does, or it leaves the frame."""
        if (box[:2] < self._frame[:2]).any() or (box[2:] > self._frame[2:]).any():
            return None
        wide, taken = box + self._pad, self._taken
        if ((taken[:, :2] < wide[2:]) & (taken[:, 2:] > wide[:2])).all(axis=-1).any():
            return None
        others = taken[~((taken[:, :2] <= at) & (at <= taken[:, 2:])).all(axis=-1)]
        lead = at + _ALONG * (_end(at, box) - at)
        if _inside(lead[:, None], others).any():
            return None
        return int(np.count_nonzero(_inside(self._marks, wide)))


def _inside(points: Array, box: Array) -> Flags:
    """Which points (..., 2) lie in boxes (..., 4)."""
    return np.asarray(((points > box[..., :2]) & (points < box[..., 2:])).all(axis=-1))


def _end(at: Array, box: Array) -> Array:
    """The point of a box nearest to another point."""
    return np.clip(at, box[:2], box[2:])
