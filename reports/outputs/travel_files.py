"""The files of a car's travel: everything that could end it as CSV, and a picture with a bar for each corner."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, BinaryIO

from kinematics.car.car import Car
from kinematics.car.limits import WorkingRange
from kinematics.numbers.quantity import Dimension
from kinematics.planning.travel_budget import TravelBudget, used_travel
from reports.outputs.csv_files import write_rows
from reports.outputs.output import Output, drawn
from reports.words.plans import refusal_words
from reports.words.travel import none_words

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_HEAD = ["plan", "axle", "side", "way", "order", "ended by", "joints"]


def travel_outputs(car: Car, working: WorkingRange, drawing: str) -> list[Output[Sequence[TravelBudget]]]:
    """Every file; drawing: the figure's ending."""

    def bars(budgets: Sequence[TravelBudget]) -> "Figure":
        from reports.figures.travel_bars import travel_bars

        return travel_bars(budgets, car, working)

    return [
        Output("travel.csv", lambda budgets, file: _write(budgets, car, working, file)),
        Output(f"travel.{drawing}", drawn(bars, drawing)),
    ]


def _write(budgets: Sequence[TravelBudget], car: Car, working: WorkingRange, file: BinaryIO) -> None:
    symbol = Dimension.LENGTH.unit(car.unit)
    head = [*_HEAD, f"travel [{symbol}]", f"used [{symbol}]", f"spare [{symbol}]", "note"]
    write_rows(head, (row for one in budgets for row in _rows(one, car, working)), file)


def _rows(budget: TravelBudget, car: Car, working: WorkingRange) -> Iterator[list[object]]:
    """One row for each end; where there is none, one that says why."""
    plan, from_mm = budget.plan.name, car.unit.from_mm
    for corner in budget.corners:
        for way, ends in corner.ways():
            used = used_travel(working, way)
            place = [plan, corner.axle, corner.side, way]
            for order, end in enumerate(ends, start=1):
                numbers = [from_mm(one) for one in (end.travel, used, end.travel - used)]
                yield [*place, order, end.kind.value, "; ".join(end.names), *numbers, ""]
            if not ends:
                yield [*place, "", "", "", "", from_mm(used), "", none_words(car)]
    if not budget.corners:
        for text in refusal_words(budget.refusals, car.unit):
            yield [plan, *[""] * 9, text]
