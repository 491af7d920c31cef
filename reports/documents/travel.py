"""The document of `travel`: everything that could end each corner's travel, as measured and after each plan."""

from collections.abc import Iterator, Sequence

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import WorkingRange
from kinematics.numbers.quantity import Dimension
from kinematics.planning.travel_budget import TravelBudget, not_told, used_travel
from kinematics.planning.travel_ends import SOFT
from reports.documents.amounts import Record, amount
from reports.documents.plans import changes, refusals


def travel_document(budgets: Sequence[TravelBudget], car: Car, working: WorkingRange) -> Record:
    """Each plan's corners, the car as measured first. not_told: ends that a file could tell, and this does not."""
    return {
        "holds": not any(one.short(working) for one in budgets),
        "plans": [_budget(one, car.unit, working) for one in budgets],
        "not_told": {axle.name: [kind.value for kind in not_told(axle)] for axle in car.axles},
    }


def _budget(budget: TravelBudget, unit: LengthUnit, working: WorkingRange) -> Record:
    return {
        "plan": budget.plan.name,
        "changes": changes(budget.plan, unit),
        "enough": not budget.short(working),
        "corners": list(_corners(budget, unit, working)),
        "in_the_way": refusals(budget.refusals, unit),
    }


def _corners(budget: TravelBudget, unit: LengthUnit, working: WorkingRange) -> Iterator[Record]:
    """Each corner and way with its ends, the nearest first; soft: only begins to resist. spare: beyond what is used."""
    for corner in budget.corners:
        for way, ends in corner.ways():
            used = used_travel(working, way)
            told = [
                {
                    "ended_by": end.kind.value,
                    "joints": list(end.names),
                    "soft": end.kind in SOFT,
                    "travel": amount(end.travel, Dimension.LENGTH, unit),
                    "spare": amount(end.travel - used, Dimension.LENGTH, unit),
                }
                for end in ends
            ]
            place: Record = {"axle": corner.axle, "side": corner.side, "way": way}
            yield {**place, "used": amount(used, Dimension.LENGTH, unit), "ends": told}
