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
from kinematics.numbers.roll_centre import through_infinity
from reports.figures import run_off
from reports.figures.driver_axis import DriverAxis
from reports.figures.legends import legend_height
from reports.figures.plans import Sweeps, plan_style
from reports.figures.style import (
    BLACK,
    BLUE,
    DASHED,
    DOTTED,
    GREEN,
    GREY,
    MARGIN,
    PALE_GREEN,
    SKY,
    SOLID,
    VERMILION,
    WIDTH,
    Style,
    allowed,
)
from solvers.vectors import Array, Flags

LEFT_MARGIN = 0.62  # in, for tick labels
WIDE = WIDTH - LEFT_MARGIN - MARGIN  # in
BAND_ALPHA = 0.25
_LEAST_MM = 50.0  # smallest vertical spans, so that nothing is blown up out of proportion
_LEAST_DEG = {"camber": 0.5}
_LEAST = 0.2  # in the unit of the paper, of any other
_SAME = 1e-4  # deg; finer than a printed line


@dataclass(frozen=True)
class _Way:
    """One way to find a roll centre, and its line; offset is empty where the height cannot run off sideways."""

    title: str
    height: str
    offset: str
    style: Style


# The broad pale line lets the two thin ones be seen where all three coincide.
_WAYS = (
    _Way(
        "kinematic",
        "roll_centre_height",
        "roll_centre_offset",
        {"color": SKY, "linestyle": SOLID, "linewidth": 3.6},
    ),
    _Way(
        "textbook",
        "textbook_roll_centre_height",
        "textbook_roll_centre_offset",
        {"color": BLACK, "linestyle": DASHED, "linewidth": 1.3},
    ),
    _Way(
        "force-weighted",
        "force_weighted_height",
        "",
        {"color": VERMILION, "linestyle": DOTTED, "linewidth": 1.8},
    ),
)


@dataclass(frozen=True)
class Bands:
    """What values may be: by quantity low and high ends ([2,] S), inside units. found: how, in words for the paper."""

    ends: Mapping[str, tuple[Array, Array]]
    found: str


NO_BANDS = Bands({}, "")
_BAND = "95 % of such measurements"


@dataclass(frozen=True)
class _Curve:
    """One line of a panel, in the units of the paper; the pen is lifted where NaN. exits: where it runs off."""

    name: str
    x: Array
    y: Array
    style: Style
    exits: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class _Band:
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
    curves: tuple[_Curve, ...]
    range: tuple[float, float]
    limits: tuple[Limit, ...]
    legend: dict[str, Artist]
    notes: tuple[str, ...] = ()
    bands: tuple[_Band, ...] = ()

    @property
    def legend_height(self) -> float:
        """Height of the legend [in]."""
        return legend_height(list(self.legend), WIDE)


def roll_centre_panel(
    sweeps: Sweeps, driver: DriverAxis, limits: Sequence[Limit], unit: LengthUnit, bands: Bands
) -> Panel:
    """The roll centre's height: of one sweep in all ways, of several by the kinematic one of each."""
    quantity = QUANTITIES["roll_centre_height"]
    single = len(sweeps) == 1
    ours = driver.of(limits, quantity.key)
    # A type without a drawing-board construction has no textbook curve.
    ways = [way for way in (_WAYS if single else _WAYS[:1]) if way.title == "kinematic" or _known(sweeps, way.height)]
    heights = [sweep[way.height] for _, sweep in sweeps for way in ways]
    zero = [_at_zero(x, sweep[way.height]) for x, (_, sweep) in zip(driver.values, sweeps, strict=True) for way in ways]
    low, high = run_off.window(
        np.array([*zero, *_finite_ends(ours)]), np.concatenate(heights), run_off.REACH, _LEAST_MM
    )
    drawn: list[_Curve] = []
    off = run_off.Notes(driver.decimals, driver.symbol, unit, "from the ground")
    for index, (name, sweep) in enumerate(sweeps):
        x = driver.values[index]
        for way in ways:
            height = sweep[way.height]
            inside = run_off.margin(height, low, high)
            through = through_infinity(sweep[way.offset], sweep.track) if way.offset else _never(height)
            shown_x, shown_y = run_off.broken(inside, through, x, height / unit.in_mm)
            exits = [(at, _nearer_edge(at, x, height, low, high) / unit.in_mm) for at in run_off.exits(x, inside)]
            style = way.style if single else plan_style(index, sweep.shape[0])
            curve = way.title if single else name
            drawn.append(_Curve(curve, shown_x, shown_y, style, tuple(exits)))
            off.add(curve, x, np.abs(height), inside, through, sweep.reached)
    lines: dict[str, Artist] = {way.title: Line2D([], [], **way.style) for way in ways} if single else {}
    label = f"{'' if single else 'kinematic '}{quantity.axis_label(unit)}"
    edges = (low / unit.in_mm, high / unit.in_mm)
    around = _around(quantity, driver, bands, unit, (_WAYS[0].style["color"],), (high - low) / unit.in_mm)
    legend = lines | _band_legend(around) | _limit_legend(ours, driver, unit)
    return Panel(quantity, label, tuple(drawn), edges, tuple(ours), legend, off.lines(), around)


def wheel_panel(
    key: str, sweeps: Sweeps, driver: DriverAxis, limits: Sequence[Limit], unit: LengthUnit, bands: Bands
) -> Panel:
    """Camber, toe or another number of both wheels."""
    quantity = QUANTITIES[key]
    ours = driver.of(limits, key)
    scale = quantity.dimension.scale(unit)
    values = [sweep[key] * scale for _, sweep in sweeps]
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
            drawn.append(_Curve(wheel if single else f"{sweeps[index][0]}, {wheel}", x, both[side], style))
    around = _around(quantity, driver, bands, unit, tuple(style["color"] for style in own[: len(words)]))
    ends = [_finite_ends(ours) * scale, *(end for band in around for end in (band.low, band.high))]
    everything = np.concatenate([*ends, *(both.reshape(-1) for both in values)])
    low, high = run_off.window(everything, everything, np.inf, _LEAST_DEG.get(key, _LEAST))
    lines: dict[str, Artist] = {
        text: Line2D([], [], **style) for text, style in zip(words, own if single else plain, strict=False)
    }
    legend = lines | _band_legend(around) | _limit_legend(ours, driver, unit)
    return Panel(quantity, quantity.axis_label(unit), tuple(drawn), (low, high), tuple(ours), legend, bands=around)


def _around(
    quantity: Quantity,
    driver: DriverAxis,
    bands: Bands,
    unit: LengthUnit,
    colours: Sequence[str],
    widest: float = np.inf,
) -> tuple[_Band, ...]:
    """The band of each line that has a colour, as far as there is one; none where it is wider than the widest."""
    if quantity.key not in bands.ends:
        return ()
    low, high = (np.atleast_2d(end) * quantity.dimension.scale(unit) for end in bands.ends[quantity.key])
    low = np.where(high - low <= widest, low, np.nan)
    return tuple(_Band(driver.values[0], low[i], high[i], colour) for i, colour in enumerate(colours))


def _band_legend(bands: Sequence[_Band]) -> dict[str, Artist]:
    if not bands:
        return {}
    colour = bands[0].colour if len(bands) == 1 else GREY
    return {_BAND: Patch(facecolor=colour, alpha=BAND_ALPHA, linewidth=0.0)}


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


def _limit_legend(limits: Sequence[Limit], driver: DriverAxis, unit: LengthUnit) -> dict[str, Artist]:
    return {
        allowed(limit, unit) + ("" if limit.along(driver.part) else " at ride height"): Patch(
            facecolor=PALE_GREEN, edgecolor=GREEN
        )
        for limit in limits
    }


def _known(sweeps: Sweeps, key: str) -> bool:
    return any(key in sweep.values and np.isfinite(sweep[key]).any() for _, sweep in sweeps)


def _same(one: Array, other: Array) -> bool:
    return np.allclose(one, other, rtol=0.0, atol=_SAME, equal_nan=True)


def _never(values: Array) -> Flags:
    return np.zeros(values.size - 1, dtype=bool)


def _at_zero(x: Array, values: Array) -> float:
    return float(values[np.nanargmin(np.abs(x))])


def _nearer_edge(at: float, x: Array, height: Array, low: float, high: float) -> float:
    known = np.isfinite(height) & np.isfinite(x)
    order = np.argsort(x[known])
    return high if np.interp(at, x[known][order], height[known][order]) > 0.5 * (low + high) else low


def _finite_ends(limits: Sequence[Limit]) -> Array:
    ends = [end for limit in limits for end in (limit.low, limit.high)]
    return np.array([end for end in ends if np.isfinite(end)])
