"""How far each corner can still go in bump and droop, and what ends it, as measured or as tried."""

from kinematics.car.car import Car
from kinematics.numbers.quantity import Dimension
from kinematics.planning.travel_budget import CornerTravel, TravelEnd, told_end, travel_budgets
from reports.documents.amounts import Record
from reports.page.bench import OpenCar
from reports.page.trial import Asked, plan_of
from reports.words.numbers import told
from reports.words.travel import end_words, finding_words


def travel_told(opened: OpenCar, asked: Asked) -> Record:
    """Rows for each axle's corners, and which corner runs out first; no rows where it cannot be put together."""
    tried = bool(asked.changes or asked.align)
    plans = [plan_of(opened, asked)] if tried else []
    working = opened.limits.working
    budget = travel_budgets(opened.car, plans, working).budgets[-1]
    corners = {name: [one for one in budget.corners if one.axle == name] for name in (a.name for a in opened.car.axles)}
    rows = {name: [_row(own, way, opened.car) for way in ("bump", "droop")] for name, own in corners.items() if own}
    words = finding_words(budget, opened.car, working, "As tried" if tried else "As measured")
    return {"rows": rows, "words": f"{words}."}


def _row(corners: list[CornerTravel], way: str, car: Car) -> Record:
    words = [_words(told_end(dict(one.ways())[way]), car) for one in corners]
    return {"key": f"{way}_left", "title": f"{way} travel left", "words": words}


def _words(end: TravelEnd | None, car: Car) -> str:
    if end is None:
        return "no end told"
    return f"{told(end.travel, Dimension.LENGTH, car.unit, sign=False)}, {end_words(end)}"
