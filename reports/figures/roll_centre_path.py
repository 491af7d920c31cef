"""The roll centre's path in the front-view plane, in bump and in roll."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import ROLL_CENTRE, Limit
from kinematics.numbers.roll_centre import through_infinity
from kinematics.sweeps.body import Sweep
from reports.figures import run_off
from reports.figures.labels import Labels
from reports.figures.legends import legend_above, legend_height
from reports.figures.plans import Sweeps, check, driver_of, plan_legend, plan_style, plans_height
from reports.figures.style import (
    BLACK,
    BLUE,
    DASHED,
    GREEN,
    GREY,
    MARGIN,
    PALE_GREEN,
    SOLID,
    VERMILION,
    WIDTH,
    Column,
    Sheet,
    Style,
    allowed,
    paper,
)
from solvers.vectors import Array

_LEFT, _LABEL, _HEIGHT, _BELOW = 0.62, 0.26, 4.6, 0.52  # in
_WIDE = WIDTH - _LEFT - MARGIN  # in
_LEAST = 60.0  # mm, smallest span of either axis
_REST = "ride height"
_KINDS = ("bump", "roll")
_MIDDLE: Style = {"color": GREY, "linewidth": 0.8, "linestyle": (0, (8, 2, 1, 2))}
_GROUND: Style = {"color": BLACK, "linewidth": 1.2}
_ALONE: dict[str, Style] = {
    "bump": {"color": BLUE, "linestyle": SOLID, "marker": "o"},
    "roll": {"color": VERMILION, "linestyle": DASHED, "marker": "s"},
}


def roll_centre_path(sweeps: Sweeps, limits: Sequence[Limit], unit: LengthUnit, sheet: Sheet) -> Figure:
    """Draw where the kinematic roll centre goes, as seen from the front, over labelled bump and roll sweeps.

    Sweeps with one label belong together. Markers stand at round values of travel or roll. Raises ValueError
    for sweeps that cannot be shown together.
    """
    check(sweeps)
    with paper():
        return _draw(sweeps, [limit for limit in limits if limit.key == ROLL_CENTRE.key], unit, sheet)


@dataclass(frozen=True)
class _Path:
    """One sweep's path in the units of the paper: pen lifted where NaN, its style, and marked places with words."""

    name: str
    x: Array
    y: Array
    style: Style
    marks: tuple[tuple[float, float, str], ...]


def _draw(sweeps: Sweeps, limits: Sequence[Limit], unit: LengthUnit, sheet: Sheet) -> Figure:
    labels = list(dict.fromkeys(label for label, _ in sweeps))
    kinds = [kind for kind in _KINDS if any(sweep.kind == kind for _, sweep in sweeps)]
    wide, high = _windows(sweeps, limits)
    paths: list[_Path] = []
    notes: list[str] = []
    for kind in kinds:
        symbol, decimals = ("deg", 1) if kind == "roll" else (unit.symbol, 0 if unit.symbol == "mm" else 1)
        begin = "Off the picture" if len(labels) == 1 else f"In {kind}, off the picture"
        off = run_off.Notes(decimals, symbol, unit, "away", begin)
        for label, sweep in sweeps:
            if sweep.kind == kind:
                style = dict(_ALONE[kind]) if len(labels) == 1 else plan_style(labels.index(label), 1)
                style["linestyle"] = _ALONE[kind]["linestyle"]
                name = f"in {kind}" if len(labels) == 1 else label
                paths.append(_path(sweep, name, style, wide, high, unit, off))
        notes += off.lines()
    notes.append(f"Seen from the front. {_scales(wide, high)}")
    shown = labels if len(labels) > 1 else []
    legend = _legend(limits, unit, kinds, single=not shown)
    above = legend_height(list(legend), _WIDE)
    rows = [plans_height(shown), _LABEL + above + _HEIGHT, _BELOW]
    column = Column(sheet, sweeps[0][1].axle, rows, notes)
    plan_legend(column, shown)
    axes = column.axes(1, _LABEL + above, _HEIGHT, _LEFT)
    axes.set_xlim(wide[0] / unit.in_mm, wide[1] / unit.in_mm)
    axes.set_ylim(high[0] / unit.in_mm, high[1] / unit.in_mm)
    _background(axes, limits, unit)
    legend_above(axes, legend, _WIDE, _HEIGHT)
    ends = [end / unit.in_mm for limit in limits for end in (limit.low, limit.high) if np.isfinite(end)]
    _paths(axes, paths, [0.0, *ends])
    axes.set_xlabel(
        f"roll-centre offset [{unit.symbol}] (positive: towards the car's left, which is on the right here)"
    )
    axes.set_ylabel(
        f"roll-centre height [{unit.symbol}] (ground at 0, up positive)",
        rotation=0, horizontalalignment="left", verticalalignment="bottom",
    )  # fmt: skip
    axes.yaxis.set_label_coords(0.0, 1.0 + (above + 0.03) / _HEIGHT)
    return column.figure


def _scales(wide: tuple[float, float], high: tuple[float, float]) -> str:
    """How the scales of the two axes compare, in words."""
    stretch = (wide[1] - wide[0]) / _WIDE / ((high[1] - high[0]) / _HEIGHT)
    if abs(stretch - 1.0) < 0.05:
        return "Heights and offsets are drawn to the same scale."
    if stretch > 1.0:
        return f"Heights are drawn {stretch:.1f} times as large as offsets."
    return f"Offsets are drawn {1.0 / stretch:.1f} times as large as heights."


def _windows(sweeps: Sweeps, limits: Sequence[Limit]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Ranges of offset and height [mm]."""
    middle = [int(np.nanargmin(np.abs(driver_of(sweep)))) for _, sweep in sweeps]
    heights = [sweep["roll_centre_height"] for _, sweep in sweeps]
    offsets = [_offset(sweep) for _, sweep in sweeps]
    ends = [end for limit in limits for end in (limit.low, limit.high) if np.isfinite(end)]
    at_rest = [height[i] for height, i in zip(heights, middle, strict=True)]
    high = run_off.window(np.array([0.0, *at_rest, *ends]), np.concatenate(heights), run_off.REACH, _LEAST)
    reach = 0.5 * max(sweep.track for _, sweep in sweeps)
    at_rest = [offset[i] for offset, i in zip(offsets, middle, strict=True)]
    return run_off.window(np.array([0.0, *at_rest]), np.concatenate(offsets), reach, _LEAST), high


def _offset(sweep: Sweep) -> Array:
    """Offsets; where both contact lines are one level line any would do, and the centre plane's is taken."""
    offset = sweep["roll_centre_offset"]
    return np.where(np.isnan(offset) & np.isfinite(sweep["roll_centre_height"]), 0.0, offset)


def _path(
    sweep: Sweep,
    name: str,
    style: Style,
    wide: tuple[float, float],
    high: tuple[float, float],
    unit: LengthUnit,
    off: run_off.Notes,
) -> _Path:
    offset, height = _offset(sweep), sweep["roll_centre_height"]
    inside = np.minimum(run_off.margin(offset, *wide), run_off.margin(height, *high))
    through = through_infinity(offset, sweep.track)
    driver = np.degrees(driver_of(sweep)) if sweep.kind == "roll" else driver_of(sweep) / unit.in_mm
    off.add(name, driver, np.hypot(offset, height), inside, through, sweep.reached)
    x, y, at = run_off.broken(inside, through, offset / unit.in_mm, height / unit.in_mm, driver)
    marks = _marks(x, y, at, "deg" if sweep.kind == "roll" else unit.symbol)
    # The curve goes on to the first sample beyond the frame; a place there must have no label in the picture.
    shown = tuple(
        (across, up, words)
        for across, up, words in marks
        if wide[0] <= across * unit.in_mm <= wide[1] and high[0] <= up * unit.in_mm <= high[1]
    )
    return _Path(name, x, y, style, shown)


def _marks(offset: Array, height: Array, driver: Array, symbol: str) -> tuple[tuple[float, float, str], ...]:
    """Points at round values of the driver, between the two samples that enclose each."""
    known = driver[np.isfinite(driver)]
    if not known.size:
        return ()
    marks = []
    for value in MaxNLocator(8, steps=[1, 2, 5, 10]).tick_values(float(known.min()), float(known.max())):
        rise = (driver[:-1] - value) * (driver[1:] - value)
        for i in np.flatnonzero(rise <= 0.0)[:1]:
            part = 0.0 if driver[i + 1] == driver[i] else (value - driver[i]) / (driver[i + 1] - driver[i])
            x, y = (float(column[i] + part * (column[i + 1] - column[i])) for column in (offset, height))
            if np.isfinite(x) and np.isfinite(y):
                words = _REST if abs(value) < 1e-9 else f"{value:+g} {symbol}".replace("-", "\N{MINUS SIGN}")
                marks.append((x, y, words))
    return tuple(marks)


def _legend(limits: Sequence[Limit], unit: LengthUnit, kinds: Sequence[str], *, single: bool) -> dict[str, Artist]:
    """Words and marks of what the figure holds."""
    marks: dict[str, Artist] = {}
    for kind in kinds:
        plain: Style = {} if single else {"color": GREY, "marker": ""}
        marks[f"in {kind}"] = Line2D([], [], **{**_ALONE[kind], **plain})
    marks["centre plane"] = Line2D([], [], **_MIDDLE)
    marks["ground"] = Line2D([], [], **_GROUND)
    for limit in limits:
        marks[allowed(limit, unit)] = Patch(facecolor=PALE_GREEN, edgecolor=GREEN)
    return marks


def _background(axes: Axes, limits: Sequence[Limit], unit: LengthUnit) -> None:
    bottom, top = axes.get_ylim()
    axes.axvline(0.0, **_MIDDLE)
    axes.axhline(0.0, **_GROUND)
    for limit in limits:
        low, high = max(bottom, limit.low / unit.in_mm), min(top, limit.high / unit.in_mm)
        axes.axhspan(low, high, facecolor=PALE_GREEN, zorder=0.4)
        for end in (limit.low / unit.in_mm, limit.high / unit.in_mm):
            if np.isfinite(end):
                axes.axhline(end, color=GREEN, linewidth=1.0)


def _paths(axes: Axes, paths: Sequence[_Path], levels: Sequence[float]) -> None:
    labels = Labels(axes)
    for level in levels:
        labels.keep_clear(np.array([[axes.get_xlim()[0], level], [axes.get_xlim()[1], level]]))
    labels.keep_clear(np.array([[0.0, axes.get_ylim()[0]], [0.0, axes.get_ylim()[1]]]))
    for path in paths:
        style = dict(path.style)
        marker = style.pop("marker")
        style.pop("markevery", None)
        axes.plot(path.x, path.y, label=path.name, **style)
        labels.keep_clear(np.stack([path.x, path.y], axis=-1))
        axes.plot([x for x, _, _ in path.marks], [y for _, y, _ in path.marks], marker, color=style["color"])
        for x, y, _ in path.marks:
            labels.take_mark((x, y))
    written: set[tuple[float, float, str]] = set()
    for path in paths:
        for x, y, words in sorted(path.marks, key=lambda mark: mark[2] != _REST):
            place = (round(x, 3), round(y, 3), words)
            if place not in written:
                written.add(place)
                labels.place((x, y), words, color=path.style["color"])
