"""The trade-off: the worst margin that can be had at each ride height, or with so many parts; each point a plan."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from kinematics.car.car import Car
from kinematics.finding.found_plans import FoundPlan, Search
from kinematics.finding.means import Aim
from reports.figures.labels import Labels
from reports.figures.legends import legend_above, legend_height
from reports.figures.style import (
    BLACK,
    BLUE,
    GREY,
    MARGIN,
    PALE_GREEN,
    VERMILION,
    WIDTH,
    Column,
    Sheet,
    paper,
    with_minus,
)
from reports.words.finding import check_words, plan_names, plan_words
from reports.words.numbers import per_cent, planned_amount
from solvers.vectors import Array

_HEIGHT, _FOOT = 3.4, 0.55  # in
_LEGEND = ("holds everything", "fails something", "plans listed by name")
_LEFT = 0.75  # in
_LOWEST = -150.0  # per cent of a range; how far outside is of no more interest


def trade_off(search: Search, car: Car) -> Figure:
    """Draw the best worst margin of plans against ride height, price or the number of things changed."""
    with paper():
        return _draw(search, car)


def _draw(search: Search, car: Car) -> Figure:
    shown = list(search.trade_off) or [search.as_measured]
    label, places = _across(search, shown, car)
    margins = _margins(shown)
    named = dict(zip(["as measured", *plan_names(search)], _named(search), strict=True))
    if not search.best.parts:
        del named["as measured"]
    at = _across(search, list(named.values()), car)[1], _margins(list(named.values()))
    good, order = margins >= 0.0, np.argsort(places)
    legend = legend_height(_LEGEND, WIDTH - _LEFT - MARGIN)
    column = Column(Sheet(_title(search, car), car.name), car.axles[0], [legend + _HEIGHT + _FOOT], whole_car=True)
    axes = column.axes(0, legend, _HEIGHT, _LEFT)
    every = np.append(margins, at[1])
    axes.set_ylim(min(float(every.min()), 0.0) - 8.0, max(float(every.max()), 0.0) + 12.0)
    axes.axhspan(0.0, axes.get_ylim()[1], color=PALE_GREEN)
    axes.axhline(0.0, color=GREY, linewidth=1.0)
    axes.plot(places[order], margins[order], color=GREY, linewidth=0.8)
    marks = [
        *axes.plot(places[good], margins[good], "o", color=BLUE, label="holds everything"),
        *axes.plot(places[~good], margins[~good], "x", color=VERMILION, label="fails something"),
        *axes.plot(*at, "D", color=BLACK, markersize=8.0, mfc="none", label="plans listed by name"),
    ]
    legend_above(axes, dict(zip(_LEGEND, marks, strict=True)), WIDTH - _LEFT - MARGIN, _HEIGHT)
    _across_limits(axes, np.append(places, at[0]))
    axes.set_xlabel(label)
    lower = any(100.0 * one.worst < _LOWEST for one in shown)
    foot = f", {_LOWEST:g} or less at the foot" if lower else ""
    axes.set_ylabel(with_minus(f"worst margin [% of the range]{foot}"))
    _write_names(axes, list(named), np.stack(at, axis=-1), np.stack([places[order], margins[order]], axis=-1))
    return column.figure


def _named(search: Search) -> list[FoundPlan]:
    return [search.as_measured, search.best, *search.alternatives]


def _margins(plans: Sequence[FoundPlan]) -> Array:
    """Worst margins (N,) as they are drawn [% of the range]."""
    return np.clip([100.0 * one.worst for one in plans], _LOWEST, None)


def _across_limits(axes: Axes, places: Array) -> None:
    spread = max(float(np.ptp(places)), 1.0)
    axes.set_xlim(float(places.min()) - 0.05 * spread, float(places.max()) + 0.05 * spread)


def _write_names(axes: Axes, names: Sequence[str], at: Array, line: Array) -> None:
    """Write each plan's name beside its point (N, 2), off the line (M, 2); plans at one point share a label."""
    labels = Labels(axes)
    labels.keep_clear(line)
    together: dict[tuple[float, float], list[str]] = {}
    for name, (x, y) in zip(names, at.tolist(), strict=True):
        together.setdefault((round(x, 6), round(y, 6)), []).append(name)
    for point in together:
        labels.take_mark(point, 6.0)
    for point, here in together.items():
        labels.place(point, ", ".join(here), must=True)


def _across(search: Search, shown: list[FoundPlan], car: Car) -> tuple[str, np.ndarray]:
    """What the figure goes across, and where each plan stands."""
    if search.means.aim is Aim.PRICE:
        return "price", np.array([one.price for one in shown])
    if any(one.raised for one in search.trade_off):
        heights = np.array([one.raised / car.unit.in_mm for one in shown])
        return f"ride height against as measured [{car.unit.symbol}]", heights
    return "things changed", np.array([float(one.parts) for one in shown])


def _title(search: Search, car: Car) -> str:
    """What the figure shows, in a sentence."""
    holding = [one for one in search.trade_off if one.holds]
    if not holding:
        check = search.checks[int(search.best.margins.argmin())]
        return f"No plan holds everything; {check_words(check)} is what fails"
    if search.means.aim is not Aim.PRICE and any(one.raised for one in search.trade_off):
        lowest, highest = (end(one.raised for one in holding) for end in (min, max))
        unbroken = all(one.holds for one in search.trade_off if lowest <= one.raised <= highest)
        low, high = (planned_amount(end, car.unit, sign=True) for end in (lowest, highest))
        between = f"{'from' if unbroken else 'at some heights from'} {low} to {high}"
        where = f"at {low}" if low == high else between
        return f"Plans hold everything {where} {car.unit.symbol} of ride height{_but(search)}"
    return f"Best plan: {plan_words(search, search.best, car.unit) or 'as measured'}{_but(search)}"


def _but(search: Search) -> str:
    """What plans lack that hold only on the car as measured."""
    asked = search.means.chance
    return "" if search.found or asked is None else f", on the car as measured; none with a chance of {per_cent(asked)}"
