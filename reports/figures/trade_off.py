"""The trade-off: the worst margin that can be had at each ride height, or with so many parts; each point a plan."""

import numpy as np
from matplotlib.figure import Figure

from kinematics.car.car import Car
from kinematics.finding.found_plans import FoundPlan, Search
from kinematics.finding.means import Aim
from reports.figures.style import BLUE, GREY, PALE_GREEN, VERMILION, Column, Sheet, paper
from reports.words.finding import check_words, plan_words

_HEAD, _HEIGHT, _FOOT = 0.2, 3.4, 0.55  # in
_LEFT = 0.75  # in
_LOWEST = -150.0  # per cent of a range; how far outside is of no more interest


def trade_off(search: Search, car: Car) -> Figure:
    """Draw the best worst margin of plans against ride height, price or the number of things changed."""
    with paper():
        return _draw(search, car)


def _draw(search: Search, car: Car) -> Figure:
    shown = list(search.trade_off) or [search.as_measured]
    label, places = _across(search, shown, car)
    margins = np.clip([100.0 * one.worst for one in shown], _LOWEST, None)
    column = Column(Sheet(_title(search, car), car.name), car.axles[0], [_HEAD + _HEIGHT + _FOOT], whole_car=True)
    axes = column.axes(0, _HEAD, _HEIGHT, _LEFT)
    axes.set_ylim(min(float(margins.min()), 0.0) - 6.0, max(float(margins.max()), 0.0) + 10.0)
    axes.axhspan(0.0, axes.get_ylim()[1], color=PALE_GREEN)
    axes.axhline(0.0, color=GREY, linewidth=1.0)
    good = margins >= 0.0
    order = np.argsort(places)
    axes.plot(places[order], margins[order], color=GREY, linewidth=0.8)
    axes.plot(places[good], margins[good], "o", color=BLUE, label="holds everything")
    axes.plot(places[~good], margins[~good], "x", color=VERMILION, label="fails something")
    best = _across(search, [search.best], car)[1]
    at, wanted = [max(100.0 * search.best.worst, _LOWEST)], f"best: {search.means.aim.value}"
    axes.plot(best, at, "D", color=BLUE, markersize=8.0, mfc="none", label=wanted)
    spread = max(float(np.ptp(np.append(places, best))), 1.0)
    axes.set_xlim(min(places.min(), best.min()) - 0.03 * spread, max(places.max(), best.max()) + 0.03 * spread)
    axes.set_xlabel(label)
    lower = any(100.0 * one.worst < _LOWEST for one in shown)
    axes.set_ylabel(f"worst margin [% of the range]{f', {_LOWEST:g} or less at the foot' if lower else ''}")
    axes.legend(loc="lower right")
    return column.figure


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
        low, high = lowest / car.unit.in_mm, highest / car.unit.in_mm
        between = f"{'from' if unbroken else 'at some heights from'} {low:+g} to {high:+g}"
        where = f"at {low:+g}" if low == high else between
        return f"Plans hold everything {where} {car.unit.symbol} of ride height"
    return f"Best plan: {plan_words(search, search.best, car.unit) or 'as measured'}"
