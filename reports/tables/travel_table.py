"""The travel of each corner in the terminal: what ends it first in bump and in droop, as measured and by plan."""

from collections.abc import Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import Car
from kinematics.car.limits import Origin, WorkingRange
from kinematics.inputs.reading.plain_text import shortened
from kinematics.numbers.quantity import Dimension
from kinematics.planning.travel_budget import CornerTravel, TravelBudget, TravelEnd, told_end, used_travel
from kinematics.planning.travel_ends import SOFT
from reports.tables.terminal import show_headline
from reports.words.numbers import shown, told
from reports.words.plans import refusal_words
from reports.words.travel import (
    budget_remarks,
    end_words,
    link_words,
    measured_gap_words,
    none_words,
    not_told_words,
    order_words,
    travel_headline,
)
from reports.words.verdict import source_words
from reports.words.wrapped import WIDTH, wrapped

_MOST_PLANS = 5  # on the screen, besides the car as measured
_CORNER, _WHAT = 16, 23  # columns of characters
_MORE = "Everything that could end it, in order: --all."


def show_travel(
    out: Console,
    budgets: Sequence[TravelBudget],
    car: Car,
    working: WorkingRange,
    then: str,
    *,
    everything: bool = False,
) -> None:
    """Print which corner runs out first, and each corner in a row; then: the next command."""
    show_headline(travel_headline(budgets, car, working, then))
    shown_here = budgets if everything else budgets[: _MOST_PLANS + 1]
    if all(one.corners and not _ends(one) for one in budgets):
        after = " and after each plan" if len(budgets) > 1 else ""
        for line in wrapped(f"The travel of every corner, as measured{after}: {none_words(car)}."):
            out.print(Text(line))
    else:
        out.print(_table(shown_here, car, working))
        left = len(budgets) - len(shown_here)
        if left:
            more = f"{left} more plan{'s are' if left > 1 else ' is'} not shown here"
            out.print(f"{more}: --all, or --into for the table.")
    for text in travel_remarks(budgets, car, working):
        for line in wrapped(text):
            out.print(Text(line))
    if everything:
        _show_all(out, budgets, car)
    else:
        out.print(Text(_MORE))


def _table(budgets: Sequence[TravelBudget], car: Car, working: WorkingRange) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("corner", width=_CORNER)
    for way in ("bump", "droop"):
        table.add_column(f"{way}\n[{car.unit.symbol}]", justify="right", no_wrap=True)
        table.add_column("ended by", width=_WHAT)
    for budget in budgets:
        table.add_row(Text(shortened(budget.plan.name, 2 * _CORNER), style="bold"))
        if not budget.corners:
            table.add_row("  cannot be", "", Text("see below"), "", "")
        if budget.corners and not _ends(budget):
            table.add_row("  every corner", "-", "nothing known", "-", "nothing known")
            continue
        for corner in budget.corners:
            table.add_row(f"  {corner.axle} {corner.side}", *_cells(corner, car, working))
    return table


def _ends(budget: TravelBudget) -> bool:
    """Whether anything known ends a travel of any corner."""
    return any(told_end(ends) is not None for corner in budget.corners for _, ends in corner.ways())


def _cells(corner: CornerTravel, car: Car, working: WorkingRange) -> list[Text]:
    cells = []
    for way, ends in corner.ways():
        end = told_end(ends)
        short = end is not None and end.kind not in SOFT and end.travel < used_travel(working, way)
        style = "red" if short else ""
        cells += [Text(_travel(end, car), style=style), Text(_by(end, short=short), style=style)]
    return cells


def corner_words(corner: CornerTravel, car: Car, working: WorkingRange) -> tuple[list[str], bool]:
    """A corner's travel and what ends it, in bump and in droop, and whether either is shorter than what is used."""
    cells = _cells(corner, car, working)
    return [one.plain for one in cells], any(one.style for one in cells)


def _travel(end: TravelEnd | None, car: Car) -> str:
    return "-" if end is None else shown(end.travel, Dimension.LENGTH, car.unit)


def _by(end: TravelEnd | None, *, short: bool) -> str:
    if end is None:
        return "nothing known"
    return f"{end_words(end)}{', short' if short else ''}"


def travel_remarks(budgets: Sequence[TravelBudget], car: Car, working: WorkingRange) -> list[str]:
    """What the table does not say: what the car uses, what comes in the wrong order, what is not told."""
    low, high = (
        told(abs(end), Dimension.LENGTH, car.unit, sign=False) for end in (working.travel_low, working.travel_high)
    )
    usual = working.travel_from is Origin.USUAL
    stated = "taken where the file states none" if usual else source_words(working, working.travel_from)
    remarks = [f"Wheel travel from each one's ride height; the car uses {high} of bump and {low} of droop ({stated})."]
    remarks += order_words(budgets[0], car)
    for budget in budgets:
        remarks += link_words(budget, car, working)
        if not budget.corners:
            remarks += [f'"{budget.plan.name}": {text}.' for text in refusal_words(budget.refusals, car.unit)]
    return [*remarks, *not_told_words(car)]


def _show_all(out: Console, budgets: Sequence[TravelBudget], car: Car) -> None:
    for budget in budgets:
        out.print(Text(f"\n{budget.plan.name}", style="bold"))
        for text in budget_remarks(budget, car):
            for line in wrapped(text, WIDTH - 2):
                out.print(Text(f"  {line}"))
    if budgets[0].corners:
        for text in measured_gap_words(budgets[0], car):
            for line in wrapped(text):
                out.print(Text(line))
