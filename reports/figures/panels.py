"""Plain curves of any numbers of one sweep, one panel each, left and right wheel told apart."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from kinematics.car.car import LEFT, RIGHT
from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension, Quantity, Where
from kinematics.numbers.registry import QUANTITIES, keys_shown
from kinematics.sweeps.body import Sweep
from reports.figures.curve_panels import BAND, BAND_ALPHA, NO_BANDS, Bands
from reports.figures.legends import legend_above, legend_height
from reports.figures.plans import driver_of
from reports.figures.style import BLUE, DASHED, GREY, MARGIN, SOLID, VERMILION, WIDTH, Column, Sheet, Style, paper, span
from reports.words.gaps import told_once
from solvers.vectors import Array, Flags

STEER = keys_shown(Where.STEERING_PANELS)
SIDE_VIEW = keys_shown(Where.SIDE_VIEW_PANELS)

_LEFT, _LABEL, _HEIGHT, _BELOW = 0.62, 0.26, 0.95, 0.52  # in
_WIDE = WIDTH - _LEFT - MARGIN  # in
_LEAST = {
    Dimension.LENGTH: 2.0,
    Dimension.ANGLE: np.radians(0.1),
    Dimension.PER_CENT: 0.1,
    Dimension.ANGLE_PER_LENGTH: np.radians(0.002),
}
_BESIDE = 0.08  # of a curve's length, to either side of a gap
_SAME = 1e-9  # finer than any printed line, in mm and radians
_ROUNDED = 9  # digits after the point: of a number that is nothing but rounding, a level line is drawn
_OWN: tuple[Style, Style] = ({"color": BLUE, "linestyle": SOLID}, {"color": VERMILION, "linestyle": DASHED})


@dataclass(frozen=True)
class Along:
    """The horizontal axis: values in the units of the paper, and its words."""

    values: Array
    label: str


def along_travel(sweep: Sweep, unit: LengthUnit) -> Along:
    """Travel of the wheel that moves, or of both."""
    label = f"wheel travel [{unit.symbol}] (right: bump, wheel up; left: droop; 0: ride height)"
    return Along(driver_of(sweep) / unit.in_mm, label)


def along_rack(sweep: Sweep, unit: LengthUnit) -> Along:
    """Rack travel."""
    label = f"rack travel [{unit.symbol}] (positive: to the car's left; 0: straight ahead)"
    return Along(np.asarray(sweep["rack_travel"] / unit.in_mm), label)


def panels(
    sweep: Sweep, along: Along, keys: Sequence[str], unit: LengthUnit, sheet: Sheet, bands: Bands = NO_BANDS
) -> Figure:
    """Draw those of the numbers that the sweep has, one panel each, with its sign convention as its label.

    bands: over travel, around those of the numbers that have one.
    """
    shown = [QUANTITIES[key] for key in keys if key in sweep.values]
    with paper():
        return _draw(sweep, along, shown, unit, sheet, bands)


def _draw(
    sweep: Sweep, along: Along, shown: Sequence[Quantity], unit: LengthUnit, sheet: Sheet, bands: Bands
) -> Figure:
    apart = any(quantity.per_side and not _alike(sweep[quantity.key]) for quantity in shown)
    words = ("left wheel", "right wheel") if apart else ("left and right wheel alike",)
    legend: dict[str, Artist] = {text: Line2D([], [], **style) for text, style in zip(words, _OWN, strict=False)}
    banded = any(quantity.key in bands.ends for quantity in shown)
    legend |= {BAND: Patch(facecolor=GREY, alpha=BAND_ALPHA, linewidth=0.0)} if banded else {}
    above = legend_height(list(legend), _WIDE)
    heads = [_LABEL + (above if i == 0 else 0.0) for i in range(len(shown))]
    rows = [*(head + _HEIGHT for head in heads), _BELOW]
    notes = [f"The curves end: {words}." for words in told_once(sweep.problems)]
    notes += [f"Bands: from how well it was measured, {bands.found}."] if banded else []
    column = Column(sheet, sweep.axle, rows, notes)
    for i, (quantity, head) in enumerate(zip(shown, heads, strict=True)):
        axes = column.axes(i, head, _HEIGHT, _LEFT)
        values = np.round(sweep[quantity.key] * quantity.dimension.scale(unit), _ROUNDED)
        sides = [values[LEFT], values[RIGHT]][: len(words)] if quantity.per_side else [values]
        for side, style in zip(sides, _OWN, strict=False):
            axes.plot(along.values, side, **(style if quantity.per_side else {"color": BLUE}))
        around = [one[: len(sides)] * quantity.dimension.scale(unit) for one in bands.ends.get(quantity.key, ())]
        for low, high, style in zip(*around, _OWN, strict=False) if around else ():
            at = bands.at / unit.in_mm
            axes.fill_between(at, low, high, color=style["color"], alpha=BAND_ALPHA, linewidth=0.0, zorder=1.2)
        axes.set_xlim(*span(along.values[sweep.reached]))
        least = _LEAST.get(quantity.dimension, 0.1) * quantity.dimension.scale(unit)
        ranges = np.array([_range(one, least) for one in (values, *around)])
        axes.set_ylim(ranges[:, 0].min(), ranges[:, 1].max())
        axes.yaxis.set_major_locator(MaxNLocator(4))
        axes.axvline(0.0, color=GREY, linewidth=0.8)
        if i == 0:
            legend_above(axes, legend, _WIDE, _HEIGHT)
        axes.set_ylabel(
            quantity.axis_label(unit),
            rotation=0, horizontalalignment="left", verticalalignment="bottom",
        )  # fmt: skip
        axes.yaxis.set_label_coords(0.0, 1.0 + ((above if i == 0 else 0.0) + 0.03) / _HEIGHT)
        axes.tick_params(labelbottom=i == len(shown) - 1)
        if i == len(shown) - 1:
            axes.set_xlabel(along.label)
    return column.figure


def _beside_gap(values: Array) -> Flags:
    """Values ([2,] S) beside a gap within a curve: they run to infinity there, and the frame does not follow them."""
    known = np.asarray(np.isfinite(np.atleast_2d(values)).all(axis=0))
    place = np.arange(known.size)
    inner = ~known & (place > np.argmax(known)) & (place < known.size - np.argmax(known[::-1]))
    if not inner.any():
        return np.zeros(known.size, dtype=bool)
    away = np.abs(place[:, None] - np.flatnonzero(inner)).min(axis=1)
    return np.asarray(away <= _BESIDE * known.size)


def _alike(values: Array) -> bool:
    return np.allclose(values[LEFT], values[RIGHT], rtol=0.0, atol=_SAME, equal_nan=True)


def _range(values: Array, least: float) -> tuple[float, float]:
    known = np.where(_beside_gap(values), np.nan, values)
    known = known[np.isfinite(known)]
    if not known.size:
        return -0.5 * least, 0.5 * least
    low, high = float(known.min()), float(known.max())
    spare = max(0.08 * (high - low), 0.5 * (least - (high - low)))
    return low - spare, high + spare
