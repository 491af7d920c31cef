"""Curves of one or several sweeps over wheel travel or roll: roll-centre height, then camber, toe and their like."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.markers import CARETDOWN, CARETUP
from matplotlib.patches import Rectangle

from kinematics.car.car import Axle
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limit, WorkingRange
from kinematics.motion.reasons import Gap
from kinematics.numbers.quantity import Dimension, Where
from kinematics.numbers.registry import QUANTITIES, keys_shown
from reports.figures.curve_panels import (
    BAND_ALPHA,
    LEFT_MARGIN,
    NO_BANDS,
    WIDE,
    Bands,
    Panel,
    wheel_panel,
)
from reports.figures.driver_axis import DriverAxis, driver_axis
from reports.figures.legends import legend_above
from reports.figures.plans import Sweeps, check, plan_legend, plans_height
from reports.figures.roll_centre_panels import roll_centre_panels
from reports.figures.style import BLACK, DASHED, GREEN, GREY, PALE_GREEN, SMALL, Column, Sheet, paper
from reports.words.gaps import told_once
from reports.words.outer_share import outer_share_words

_LABEL = 0.26  # in, for the label above a panel
# in: height of the panels of the roll centre, and of those of the wheels' numbers
_HEIGHTS = {"travel": ((2.7,), 1.6), "roll": ((2.4, 1.2), 1.35)}
_BELOW = 0.52  # in under the last panel for tick labels and axis label
_OF_WHEELS = [key for key in keys_shown(Where.WITH_BAND) if QUANTITIES[key].per_side]


def curves(
    sweeps: Sweeps,
    limits: Sequence[Limit],
    unit: LengthUnit,
    sheet: Sheet,
    working: WorkingRange | None = None,
    bands: Bands = NO_BANDS,
) -> Figure:
    """Draw one to five labelled sweeps, all in bump or all in roll, over their driver.

    One sweep shows the roll centre in all three ways; several show in bump the kinematic one of each, in roll the
    force-weighted one and the kinematic one pale. Limits of the
    shown quantities are shaded, over the working range where one is given; bands are drawn around the curves of a
    single sweep. Raises ValueError for sweeps that do not go together.
    """
    check(sweeps)
    kinds = {sweep.kind for _, sweep in sweeps}
    if len(kinds) > 1:
        raise ValueError(f"curves need sweeps all in bump or all in roll, got {' and '.join(sorted(kinds))}")
    with paper():
        return _draw(sweeps, limits, unit, sheet, working, bands)


def _draw(
    sweeps: Sweeps,
    limits: Sequence[Limit],
    unit: LengthUnit,
    sheet: Sheet,
    working: WorkingRange | None,
    bands: Bands,
) -> Figure:
    driver = driver_axis(sweeps, unit)
    panels = (
        *roll_centre_panels(sweeps, driver, limits, unit, bands),
        *(wheel_panel(key, sweeps, driver, limits, unit, bands) for key in _OF_WHEELS),
    )
    of_roll_centre, of_wheels = _HEIGHTS[driver.part]
    heights = [*of_roll_centre, *[of_wheels] * len(_OF_WHEELS)]
    labels = [label for label, _ in sweeps] if len(sweeps) > 1 else []
    heads = [_LABEL + panel.legend_height for panel in panels]
    rows = [plans_height(labels), *(head + height for head, height in zip(heads, heights, strict=True)), _BELOW]
    problems = [reason for _, sweep in sweeps for reason in sweep.problems]
    ends = told_once(one for one in problems if one.gap is not Gap.ROLL_CENTRE_AT_INFINITY)
    notes = [*panels[0].notes, *(f"The curves end: {words}." for words in ends)]
    if driver.part == "roll":
        notes.append(outer_share_words(sweeps[0][1].outer_share))
    if bands.ends:
        notes.append(f"Bands: from how well it was measured, {bands.found}.")
    column = Column(sheet, sweeps[0][1].axle, rows, notes)
    plan_legend(column, labels)
    last = len(panels) - 1
    for i, (panel, head, height) in enumerate(zip(panels, heads, heights, strict=True)):
        axes = column.axes(i + 1, head, height, LEFT_MARGIN)
        axes.set_xlim(*driver.span)
        axes.set_ylim(*panel.range)
        fill_panel(axes, panel)
        if len(sweeps) == 1 and driver.part == "travel":
            mark_stops(axes, panel, sweeps[0][1].axle, unit, named=i == 0)
        for limit in panel.limits:
            shade_limit(axes, limit, driver, unit, working)
        legend_above(axes, panel.legend, WIDE, height)
        # Upright text above the panel: long words do not fit beside a low one.
        axes.set_ylabel(panel.label, rotation=0, horizontalalignment="left", verticalalignment="bottom")
        axes.yaxis.set_label_coords(0.0, 1.0 + (panel.legend_height + 0.03) / height)
        axes.tick_params(labelbottom=i == last)
        if i == last:
            axes.set_xlabel(driver.label)
    return column.figure


def fill_panel(axes: Axes, panel: Panel) -> None:
    """Draw a panel's curves, bands and zero lines."""
    axes.axvline(0.0, color=GREY, linewidth=0.8)
    if panel.quantity.dimension is Dimension.LENGTH:
        axes.axhline(0.0, color=BLACK, linewidth=1.2)
    for band in panel.bands:
        axes.fill_between(band.x, band.low, band.high, color=band.colour, alpha=BAND_ALPHA, linewidth=0.0, zorder=1.2)
    for curve in panel.curves:
        axes.plot(curve.x, curve.y, label=curve.name, **curve.style)
        for at, edge in curve.exits:
            marker = CARETUP if edge == panel.range[1] else CARETDOWN
            axes.plot([at], [edge], marker=marker, color=curve.style["color"], markersize=7.0, zorder=5)


def mark_stops(axes: Axes, panel: Panel, axle: Axle, unit: LengthUnit, *, named: bool) -> None:
    """Upright lines where the car file says that the wheel meets its stops."""
    droop = axle.fittings.droop_stop
    stops = {"bump stop": axle.fittings.bump_stop, "droop stop": None if droop is None else -droop}
    first, span = panel.curves[0], axes.get_xlim()
    for name, travel in stops.items():
        at = None if travel is None else unit.from_mm(travel)
        if at is None or not span[0] < at < span[1]:
            continue
        axes.axvline(at, color=BLACK, linewidth=0.9, linestyle=DASHED, zorder=1.4)
        if named:
            known = np.isfinite(first.x) & np.isfinite(first.y)
            order = np.argsort(first.x[known])
            low = np.interp(at, first.x[known][order], first.y[known][order]) < sum(panel.range) / 2.0
            # Where the curve is not, and inside the stop.
            axes.annotate(
                name, (at, 1.0 if low else 0.0), xycoords=("data", "axes fraction"),
                xytext=(-3 if at > 0.0 else 3, -3 if low else 3), textcoords="offset points", fontsize=SMALL,
                rotation=90, ha="right" if at > 0.0 else "left", va="top" if low else "bottom",
            )  # fmt: skip


def shade_limit(axes: Axes, limit: Limit, driver: DriverAxis, unit: LengthUnit, working: WorkingRange | None) -> None:
    """Shade what a limit allows, over the part of the driver where it must hold."""
    scale = QUANTITIES[limit.key].dimension.scale(unit)
    left, right = driver.span
    if not limit.along(driver.part):
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
