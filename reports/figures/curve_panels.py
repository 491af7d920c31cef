"""What each panel of curves shows: lines, bands, limits, vertical range and legend, before it is drawn."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.artist import Artist
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from kinematics.car.car import LEFT, RIGHT
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limit
from kinematics.numbers.quantity import Quantity
from kinematics.numbers.registry import QUANTITIES
from reports.figures import run_off
from reports.figures.driver_axis import DriverAxis
from reports.figures.legends import legend_height
from reports.figures.plans import Sweeps, plan_style
from reports.figures.style import (
    BLUE,
    DASHED,
    GREEN,
    GREY,
    MARGIN,
    PALE_GREEN,
    SOLID,
    VERMILION,
    WIDTH,
    Style,
    allowed,
)
from solvers.vectors import Array

LEFT_MARGIN = 0.62  # in, for tick labels
WIDE = WIDTH - LEFT_MARGIN - MARGIN  # in
BAND_ALPHA = 0.25
_LEAST_MM = 50.0  # smallest vertical spans, so that nothing is blown up out of proportion
_LEAST_DEG = {"camber": 0.5}
_LEAST = 0.2  # in the unit of the paper, of any other
_SAME = 1e-4  # deg; finer than a printed line
_ROUNDED = 9  # digits after the point


@dataclass(frozen=True)
class Bands:
    """What values may be, as `doubt.assessment.Bands`. found: how, in words for the paper."""

    at: Array
    ends: Mapping[str, tuple[Array, Array]]
    found: str


NO_BANDS = Bands(np.zeros(0), {}, "")
BAND = "95 % of such measurements"


@dataclass(frozen=True)
class Curve:
    """One line of a panel, in the units of the paper; the pen is lifted where NaN. exits: where it runs off."""

    name: str
    x: Array
    y: Array
    style: Style
    exits: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Band:
    """What a curve may be, in the units of the paper."""

    x: Array
    low: Array
    high: Array
    colour: str


@dataclass(frozen=True)
class Panel:
    """One panel before it is drawn: its label, curves, vertical range, limits and legend, and notes for below."""

    quantity: Quantity
    label: str
    curves: tuple[Curve, ...]
    range: tuple[float, float]
    limits: tuple[Limit, ...]
    legend: dict[str, Artist]
    notes: tuple[str, ...] = ()
    bands: tuple[Band, ...] = ()

    @property
    def legend_height(self) -> float:
        """Height of the legend [in]."""
        return legend_height(list(self.legend), WIDE)


def wheel_panel(
    key: str, sweeps: Sweeps, driver: DriverAxis, limits: Sequence[Limit], unit: LengthUnit, bands: Bands
) -> Panel:
    """Camber, toe or another number of both wheels."""
    quantity = QUANTITIES[key]
    ours = driver.of(limits, key)
    scale = quantity.dimension.scale(unit)
    # Of a number that is nothing but rounding, a level line is drawn.
    values = [np.round(sweep[key] * scale, _ROUNDED) for _, sweep in sweeps]
    single = len(sweeps) == 1
    own: tuple[Style, Style] = ({"color": BLUE, "linestyle": SOLID}, {"color": VERMILION, "linestyle": DASHED})
    plain: tuple[Style, Style] = ({"color": GREY, "linestyle": SOLID}, {"color": GREY, "linestyle": DASHED})
    words = _sides(driver, values, single=single)
    drawn = []
    for index, (x, both) in enumerate(zip(driver.values, values, strict=True)):
        for side, wheel in enumerate(words):
            style = own[side]
            if not single:
                style = {**plan_style(index, x.size), "linestyle": style["linestyle"]}
            drawn.append(Curve(wheel if single else f"{sweeps[index][0]}, {wheel}", x, both[side], style))
    shown = around(quantity, driver, bands, unit, tuple(style["color"] for style in own[: len(words)]))
    ends = [finite_ends(ours) * scale, *(end for band in shown for end in (band.low, band.high))]
    everything = np.concatenate([*ends, *(both.reshape(-1) for both in values)])
    low, high = run_off.window(everything, everything, np.inf, _LEAST_DEG.get(key, _LEAST))
    lines: dict[str, Artist] = {
        text: Line2D([], [], **style) for text, style in zip(words, own if single else plain, strict=False)
    }
    legend = lines | band_legend(shown) | limit_legend(ours, driver, unit)
    return Panel(quantity, quantity.axis_label(unit), tuple(drawn), (low, high), tuple(ours), legend, bands=shown)


def around(
    quantity: Quantity,
    driver: DriverAxis,
    bands: Bands,
    unit: LengthUnit,
    colours: Sequence[str],
    widest: float = np.inf,
) -> tuple[Band, ...]:
    """The band of each line that has a colour, as far as there is one; none where it is wider than the widest."""
    if quantity.key not in bands.ends:
        return ()
    low, high = (np.atleast_2d(end) * quantity.dimension.scale(unit) for end in bands.ends[quantity.key])
    low = np.where(high - low <= widest, low, np.nan)
    at = driver.scaled(bands.at, unit)
    return tuple(Band(at, low[i], high[i], colour) for i, colour in enumerate(colours))


def band_legend(bands: Sequence[Band]) -> dict[str, Artist]:
    """What a band means."""
    if not bands:
        return {}
    colour = bands[0].colour if len(bands) == 1 else GREY
    return {BAND: Patch(facecolor=colour, alpha=BAND_ALPHA, linewidth=0.0)}


def _sides(driver: DriverAxis, values: Sequence[Array], *, single: bool) -> tuple[str, ...]:
    """Which wheels are to be drawn, in words, left first: only the left one where it tells both."""
    if all(_same(both[LEFT], both[RIGHT]) for both in values):
        return ("left and right wheel alike",)
    mirrored = all(
        _same(x, -x[::-1]) and _same(both[LEFT], both[RIGHT][::-1])
        for x, both in zip(driver.values, values, strict=True)
    )
    if mirrored and not single:
        return ("left wheel; the right wheel is its mirror image",)
    return ("left wheel", "right wheel")


def limit_legend(limits: Sequence[Limit], driver: DriverAxis, unit: LengthUnit, whose: str = "") -> dict[str, Artist]:
    """What each limit allows; whose: words before it."""
    return {
        whose + allowed(limit, unit) + ("" if limit.along(driver.part) else " at ride height"): Patch(
            facecolor=PALE_GREEN, edgecolor=GREEN
        )
        for limit in limits
    }


def _same(one: Array, other: Array) -> bool:
    return np.allclose(one, other, rtol=0.0, atol=_SAME, equal_nan=True)


def finite_ends(limits: Sequence[Limit]) -> Array:
    """The ends of ranges that have some, in the unit inside."""
    ends = [end for limit in limits for end in (limit.low, limit.high)]
    return np.array([end for end in ends if np.isfinite(end)])
