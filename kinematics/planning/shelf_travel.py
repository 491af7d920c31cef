"""What each combination of a shelf leaves of the travel: its springs one axle at a time, the other as it is."""

from collections.abc import Sequence
from dataclasses import dataclass

from kinematics.car.car import Car
from kinematics.car.limits import WorkingRange
from kinematics.loads.shelf import AS_FITTED, Ranking, Shelf
from kinematics.planning.plans import AS_MEASURED
from kinematics.planning.refusal import Refusal, each_once
from kinematics.planning.settling import MeasuredSprings
from kinematics.planning.shelf_plans import shelf_plans
from kinematics.planning.travel_budget import TravelBudget, TravelEnd, first_end, travel_budgets, used_travel


@dataclass(frozen=True)
class NearestEnd:
    """The nearest of what ends the travel of a car's corners in one way, and at which corner."""

    axle: str
    side: str
    end: TravelEnd


@dataclass(frozen=True)
class ShelfTravel:
    """What a combination leaves of bump and of droop, None where nothing known ends it.

    refusals: why nothing is told.
    """

    bump: NearestEnd | None
    droop: NearestEnd | None
    refusals: tuple[Refusal, ...] = ()

    def ways(self) -> tuple[tuple[str, NearestEnd | None], ...]:
        """Both ways by name."""
        return ("bump", self.bump), ("droop", self.droop)


def short_of(nearest: NearestEnd | None, way: str, working: WorkingRange) -> bool:
    """Whether less is left than the car uses."""
    return nearest is not None and nearest.end.travel < used_travel(working, way)


def shelf_travel(car: Car, shelf: Shelf, ranking: Ranking, working: WorkingRange) -> list[ShelfTravel]:
    """For each combination of a ranking, in its order.

    A pair of springs that sits higher or lower than those on the car pitches it; that takes its part of the other
    axle's travel, which is left out, being small beside what the springs themselves change there.
    """
    springs = MeasuredSprings(car)
    plans = shelf_plans(car, shelf, springs)
    budgets = {one.plan.name: one for one in travel_budgets(car, plans, working, springs)}
    found: dict[tuple[str, str], ShelfTravel] = {}
    for front, rear, *_ in ranking.names:
        if (front, rear) not in found:
            found[front, rear] = _of_pair([_of("front", front, budgets), _of("rear", rear, budgets)])
    return [found[names[0], names[1]] for names in ranking.names]


def _of(axle: str, name: str, budgets: dict[str, TravelBudget]) -> tuple[str, TravelBudget]:
    return axle, budgets[AS_MEASURED.name if name == AS_FITTED else f"{axle} {name}"]


def _of_pair(both: Sequence[tuple[str, TravelBudget]]) -> ShelfTravel:
    broken = [refusal for _, budget in both if not budget.corners for refusal in budget.refusals]
    if broken:
        return ShelfTravel(None, None, each_once(broken))
    nearest: dict[str, NearestEnd | None] = {"bump": None, "droop": None}
    for axle, budget in both:
        for corner in budget.corners:
            for way, ends in corner.ways() if corner.axle == axle else ():
                end, known = first_end(ends), nearest[way]
                if end is not None and (known is None or end.travel < known.end.travel):
                    nearest[way] = NearestEnd(axle, corner.side, end)
    return ShelfTravel(nearest["bump"], nearest["droop"])
