"""Curves of one or several sweeps over wheel travel or roll: roll-centre height, camber and toe."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.markers import CARETDOWN, CARETUP
from matplotlib.patches import Patch, Rectangle

from kinematics.car import LEFT, RIGHT, SIDE_NAMES
from kinematics.lengths import LengthUnit
from kinematics.limits import Limit, WorkingRange
from kinematics.quantities import QUANTITIES
from kinematics.quantity import Kind, Quantity
from reports import run_off
from reports.legends import legend_above, legend_height
from reports.plans import Sweeps, check, driver_of, moving_side, plan_legend, plan_style, plans_height, track
from reports.style import (
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
    Column,
    Sheet,
    Style,
    allowed,
    paper,
)
from solvers.vectors import Array, Flags

_LEFT = 0.62  # in, for tick labels
_WIDE = WIDTH - _LEFT - MARGIN  # in
_LABEL = 0.26  # in, for the label above a panel
_HEIGHTS = (2.7, 1.6, 1.6)  # in: roll centre, camber, toe
_BELOW = 0.52  # in under the last panel for tick labels and axis label
_LEAST_MM = 50.0  # smallest vertical spans, so that nothing is blown up out of proportion
_LEAST_DEG = {"camber": 0.5, "toe": 0.2}
_BAND_ALPHA = 0.25
_SAME = 1e-4  # deg; finer than a printed line
_SIGNS = {"camber": "to the ground; negative: top leans in", "toe": "one wheel; positive: toe-in"}


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


# By quantity, the low and high end of what each value may be ([2,] S), inside units.
Bands = Mapping[str, tuple[Array, Array]]
_BAND = "95 % of such measurements"


def curves(
    sweeps: Sweeps,
    limits: Sequence[Limit],
    unit: LengthUnit,
    sheet: Sheet,
    working: WorkingRange | None = None,
    bands: Bands | None = None,
) -> Figure:
    """Draw one to five labelled sweeps, all in bump or all in roll, over their driver.

    One sweep shows the roll centre in all three ways; several show the kinematic one of each. Limits of the
    shown quantities are shaded, over the working range where one is given; bands are drawn around the curves of a
    single sweep. Raises ValueError for sweeps that do not go together.
    """
    check(sweeps)
    kinds = {sweep.kind for _, sweep in sweeps}
    if len(kinds) > 1:
        raise ValueError(f"curves need sweeps all in bump or all in roll, got {' and '.join(sorted(kinds))}")
    with paper():
        return _draw(sweeps, limits, unit, sheet, working, bands or {})


@dataclass(frozen=True)
class _Driver:
    """The horizontal axis: its values for each sweep, unit and words."""

    values: tuple[Array, ...]
    part: Literal["travel", "roll"]
    symbol: str
    decimals: int
    label: str

    def working(self, working: WorkingRange, unit: LengthUnit) -> tuple[float, float]:
        """The working range on this axis."""
        if self.part == "roll":
            return -math.degrees(working.roll), math.degrees(working.roll)
        return unit.from_mm(working.travel_low), unit.from_mm(working.travel_high)

    @property
    def span(self) -> tuple[float, float]:
        """From the smallest to the largest value."""
        low, high = min(float(np.nanmin(v)) for v in self.values), max(float(np.nanmax(v)) for v in self.values)
        # A single state still needs an axis to stand on.
        return (low, high) if low < high else (low - 1.0, high + 1.0)

    def of(self, limits: Sequence[Limit], key: str) -> list[Limit]:
        """The limits of a quantity that hold somewhere on this axis."""
        return [one for one in limits if one.key == key and {self.part, "ride height"} & set(one.over)]


def _driver(sweeps: Sweeps, unit: LengthUnit) -> _Driver:
    values = [driver_of(sweep) for _, sweep in sweeps]
    if sweeps[0][1].kind == "roll":
        label = "roll of the body [deg] (positive: left side up, as in a left-hand corner)"
        return _Driver(tuple(np.degrees(roll) for roll in values), "roll", "deg", 1, label)
    travel = sweeps[0][1]["travel"]
    alike = np.allclose(travel[LEFT], travel[RIGHT], rtol=0.0, atol=1e-6, equal_nan=True)
    whose = "travel of both wheels" if alike else f"travel of the {SIDE_NAMES[moving_side(sweeps[0][1])]} wheel"
    label = f"{whose} [{unit.symbol}] (right: bump, wheel up; left: droop; 0: ride height)"
    decimals = 0 if unit.symbol == "mm" else 1
    return _Driver(tuple(one / unit.in_mm for one in values), "travel", unit.symbol, decimals, label)


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
class _Panel:
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
        return legend_height(list(self.legend), _WIDE)


def _draw(
    sweeps: Sweeps,
    limits: Sequence[Limit],
    unit: LengthUnit,
    sheet: Sheet,
    working: WorkingRange | None,
    bands: Bands,
) -> Figure:
    driver = _driver(sweeps, unit)
    panels = (
        _roll_centre_panel(sweeps, driver, limits, unit, bands),
        *(_wheel_panel(key, sweeps, driver, limits, unit, bands) for key in ("camber", "toe")),
    )
    labels = [label for label, _ in sweeps] if len(sweeps) > 1 else []
    heads = [_LABEL + panel.legend_height for panel in panels]
    rows = [plans_height(labels), *(head + height for head, height in zip(heads, _HEIGHTS, strict=True)), _BELOW]
    ends = dict.fromkeys(note for _, sweep in sweeps for note in sweep.problems if "infinity" not in note)
    notes = [*panels[0].notes, *(f"The curves end: {note}." for note in ends)]
    if len(sweeps) == 1 and sweeps[0][1].kind == "roll":
        share = f"{100.0 * sweeps[0][1].outer_share:.0f} %"
        notes.append(f"Force-weighted: with {share} of the lateral force on the outer wheel.")
    if bands:
        notes.append("Bands: from how well the points and wheel angles were measured, as the car file says.")
    column = Column(sheet, sweeps[0][1].axle, rows, notes)
    plan_legend(column, labels)
    last = len(panels) - 1
    for i, (panel, head, height) in enumerate(zip(panels, heads, _HEIGHTS, strict=True)):
        axes = column.axes(i + 1, head, height, _LEFT)
        axes.set_xlim(*driver.span)
        axes.set_ylim(*panel.range)
        _fill(axes, panel)
        for limit in panel.limits:
            _shade(axes, limit, driver, unit, working)
        legend_above(axes, panel.legend, _WIDE, height)
        # Upright text above the panel: long words do not fit beside a low one.
        axes.set_ylabel(panel.label, rotation=0, horizontalalignment="left", verticalalignment="bottom")
        axes.yaxis.set_label_coords(0.0, 1.0 + (panel.legend_height + 0.03) / height)
        axes.tick_params(labelbottom=i == last)
        if i == last:
            axes.set_xlabel(driver.label)
    return column.figure


def _roll_centre_panel(
    sweeps: Sweeps, driver: _Driver, limits: Sequence[Limit], unit: LengthUnit, bands: Bands
) -> _Panel:
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
            through = run_off.passes_infinity(sweep[way.offset], track(sweep)) if way.offset else _never(height)
            shown_x, shown_y = run_off.broken(inside, through, x, height / unit.in_mm)
            exits = [(at, _nearer_edge(at, x, height, low, high) / unit.in_mm) for at in run_off.exits(x, inside)]
            style = way.style if single else plan_style(index, sweep.shape[0])
            curve = way.title if single else name
            drawn.append(_Curve(curve, shown_x, shown_y, style, tuple(exits)))
            off.add(curve, x, np.abs(height), inside, through, sweep.reached)
    lines: dict[str, Artist] = {way.title: Line2D([], [], **way.style) for way in ways} if single else {}
    label = f"{'' if single else 'kinematic '}{quantity.label(unit)} (ground at 0, up positive)"
    edges = (low / unit.in_mm, high / unit.in_mm)
    around = _around(quantity, driver, bands, unit, (_WAYS[0].style["color"],))
    legend = lines | _band_legend(around) | _limit_legend(ours, driver, unit)
    return _Panel(quantity, label, tuple(drawn), edges, tuple(ours), legend, off.lines(), around)


def _wheel_panel(
    key: str, sweeps: Sweeps, driver: _Driver, limits: Sequence[Limit], unit: LengthUnit, bands: Bands
) -> _Panel:
    quantity = QUANTITIES[key]
    ours = driver.of(limits, key)
    values = [np.degrees(sweep[key]) for _, sweep in sweeps]
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
    ends = [np.degrees(_finite_ends(ours)), *(end for band in around for end in (band.low, band.high))]
    everything = np.concatenate([*ends, *(both.reshape(-1) for both in values)])
    low, high = run_off.window(everything, everything, np.inf, _LEAST_DEG[key])
    lines: dict[str, Artist] = {
        text: Line2D([], [], **style) for text, style in zip(words, own if single else plain, strict=False)
    }
    legend = lines | _band_legend(around) | _limit_legend(ours, driver, unit)
    label = f"{quantity.label(unit)} ({_SIGNS[key]})"
    return _Panel(quantity, label, tuple(drawn), (low, high), tuple(ours), legend, bands=around)


def _around(
    quantity: Quantity, driver: _Driver, bands: Bands, unit: LengthUnit, colours: Sequence[str]
) -> tuple[_Band, ...]:
    """The band of each line that has a colour, as far as there is one."""
    if quantity.key not in bands:
        return ()
    low, high = (np.atleast_2d(end) * quantity.kind.scale(unit) for end in bands[quantity.key])
    return tuple(_Band(driver.values[0], low[i], high[i], colour) for i, colour in enumerate(colours))


def _band_legend(bands: Sequence[_Band]) -> dict[str, Artist]:
    if not bands:
        return {}
    colour = bands[0].colour if len(bands) == 1 else GREY
    return {_BAND: Patch(facecolor=colour, alpha=_BAND_ALPHA, linewidth=0.0)}


def _sides(driver: _Driver, values: Sequence[Array], *, single: bool) -> tuple[str, ...]:
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


def _limit_legend(limits: Sequence[Limit], driver: _Driver, unit: LengthUnit) -> dict[str, Artist]:
    return {
        allowed(limit, unit) + ("" if driver.part in limit.over else " at ride height"): Patch(
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


def _fill(axes: Axes, panel: _Panel) -> None:
    axes.axvline(0.0, color=GREY, linewidth=0.8)
    if panel.quantity.kind is Kind.LENGTH:
        axes.axhline(0.0, color=BLACK, linewidth=1.2)
    for band in panel.bands:
        axes.fill_between(band.x, band.low, band.high, color=band.colour, alpha=_BAND_ALPHA, linewidth=0.0, zorder=1.2)
    for curve in panel.curves:
        axes.plot(curve.x, curve.y, label=curve.name, **curve.style)
        for at, edge in curve.exits:
            marker = CARETUP if edge == panel.range[1] else CARETDOWN
            axes.plot([at], [edge], marker=marker, color=curve.style["color"], markersize=7.0, zorder=5)


def _shade(axes: Axes, limit: Limit, driver: _Driver, unit: LengthUnit, working: WorkingRange | None) -> None:
    """Shade what a limit allows, over the part of the driver where it must hold."""
    scale = QUANTITIES[limit.key].kind.scale(unit)
    left, right = driver.span
    if driver.part not in limit.over:
        half = 0.012 * (right - left)
        left, right = -half, half
    elif working is not None:
        low, high = driver.working(working, unit)
        left, right = max(left, low), min(right, high)
    bottom, top = axes.get_ylim()
    low, high = max(bottom, limit.low * scale), min(top, limit.high * scale)
    axes.add_patch(Rectangle((left, low), right - left, high - low, facecolor=PALE_GREEN, zorder=0.4))
    for end in (limit.low * scale, limit.high * scale):
        if np.isfinite(end):
            axes.plot([left, right], [end, end], color=GREEN, linewidth=1.0, zorder=1.5)
