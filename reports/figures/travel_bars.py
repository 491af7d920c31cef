"""A bar for each corner: how far it goes in bump and droop, and what ends it there."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from kinematics.car.car import Car
from kinematics.car.limits import WorkingRange
from kinematics.numbers.quantity import Dimension
from kinematics.planning.travel_budget import CornerTravel, TravelBudget, told_end, used_travel
from kinematics.planning.travel_ends import LOOK, SOFT
from reports.figures.style import BLACK, PALE_GREEN, PALE_GREY, SKY, SMALL, VERMILION, Column, Sheet, paper
from reports.words.numbers import shown
from reports.words.travel import end_words, finding_words

_MOST = 6  # panels, the car as measured being the first
_BAR, _HEAD, _FOOT = 0.34, 0.3, 0.14  # in: a bar's row, a panel's title, what stands below its axis
_SCALE = 0.3  # in, below the last one
_NAMES = 0.95  # in
_LABELS = 1.72  # in, for what stands beside a bar's end
_NOTES = (
    "Wheel travel from ride height, droop to the left, bump to the right. The band behind: what the car uses. Bars end "
    "where something ends the travel; hatched where that is before what is used. Ticks: the bump stop is touched, or a "
    "bar's drop link is within 15 degrees of its dead centre. Palest: nothing that the car file tells ends it."
)


def travel_bars(budgets: Sequence[TravelBudget], car: Car, working: WorkingRange) -> Figure:
    """Draw the car as measured and its first plans that can be put together, a panel for each."""
    with paper():
        return _draw([one for one in budgets if one.corners][:_MOST], car, working)


def _draw(budgets: Sequence[TravelBudget], car: Car, working: WorkingRange) -> Figure:
    sheet = Sheet(finding_words(budgets[0], car, working), car.name)
    heights = [_BAR * len(one.corners) for one in budgets]
    rows = [_HEAD + height + _FOOT for height in heights]
    rows[-1] += _SCALE
    column = Column(sheet, car.axles[0], rows, (_NOTES,), whole_car=True)
    low, high = _ends(budgets, working)
    for place, (budget, height) in enumerate(zip(budgets, heights, strict=True)):
        axes = column.axes(place, _HEAD, height, _NAMES)
        axes.set_title(budget.plan.name, loc="left")
        _panel(axes, budget, car, working, (low, high))
        room = (high - low) * _LABELS / (axes.get_position().width * column.figure.get_figwidth() - 2.0 * _LABELS)
        axes.set_xlim(*(car.unit.from_mm(end) for end in (low - room, high + room)))
        if place == len(budgets) - 1:
            axes.set_xlabel(f"wheel travel [{Dimension.LENGTH.unit(car.unit)}]")
        else:
            axes.tick_params(labelbottom=False)
    return column.figure


def _ends(budgets: Sequence[TravelBudget], working: WorkingRange) -> tuple[float, float]:
    """How far bars go in droop and bump [mm], where something ends them; a little more than what is used at least."""
    found = {"bump": [1.3 * working.travel_high], "droop": [-1.3 * working.travel_low]}
    for budget in budgets:
        for corner in budget.corners:
            for way, ends in corner.ways():
                found[way] += [end.travel for end in [told_end(ends)] if end is not None]
    return -min(max(found["droop"]), LOOK), min(max(found["bump"]), LOOK)


def _panel(axes: Axes, budget: TravelBudget, car: Car, working: WorkingRange, ends: tuple[float, float]) -> None:
    from_mm = car.unit.from_mm
    axes.axvspan(from_mm(working.travel_low), from_mm(working.travel_high), color=PALE_GREEN, zorder=0.5)
    for row, corner in enumerate(budget.corners):
        _bar(axes, row, corner, car, working, ends)
    axes.axvline(0.0, color=BLACK, linewidth=0.8)
    axes.set_yticks(np.arange(len(budget.corners)), [f"{one.axle} {one.side}" for one in budget.corners])
    axes.set_ylim(len(budget.corners) - 0.5, -0.5)
    axes.grid(visible=False, axis="y")


def _bar(
    axes: Axes, row: int, corner: CornerTravel, car: Car, working: WorkingRange, shown_to: tuple[float, float]
) -> None:
    from_mm = car.unit.from_mm
    for (way, ends), sign, farthest in zip(corner.ways(), (1.0, -1.0), (shown_to[1], shown_to[0]), strict=True):
        end = told_end(ends)
        if end is None:
            axes.barh(row, from_mm(farthest), height=0.5, color=PALE_GREY)
            at, words = abs(farthest), "nothing known"
        else:
            short = end.kind not in SOFT and end.travel < used_travel(working, way)
            (bar,) = axes.barh(row, from_mm(sign * end.travel), height=0.5, linewidth=0.0)
            bar.set(facecolor=VERMILION if short else SKY, edgecolor=BLACK, hatch="////" if short else None)
            at, words = max(end.travel, 0.0), f"{end_words(end)} {shown(end.travel, Dimension.LENGTH, car.unit)}"
        for other in ends:
            if other is not end and other.kind in SOFT and other.travel < at:
                place = from_mm(sign * other.travel)
                axes.plot([place, place], [row - 0.32, row + 0.32], color=BLACK, linewidth=1.0)
        axes.annotate(
            words,
            (from_mm(sign * at), row),
            (3.0 * sign, 0.0),
            textcoords="offset points",
            ha="left" if sign > 0.0 else "right",
            va="center",
            fontsize=SMALL,
        )
