"""The document of `find`: the plans that were found, what rules took away, and how far the search went."""

import math

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.finding.check import Check
from kinematics.finding.found_plans import Forbidden, FoundPlan, Search
from kinematics.finding.pieces import place_name
from kinematics.numbers.quantity import Dimension
from reports.documents.amounts import NOT_PUT_TOGETHER, Record, amount, plain
from reports.documents.plans import changes
from reports.words.finding import amount_name, check_words, dimension, plan_names


def search_document(search: Search, car: Car) -> Record:
    """The best plan first; trade_off: the best at each ride height, or with so many changes."""
    names = ("as measured", *plan_names(search))
    told = zip(names, (search.as_measured, search.best, *search.alternatives), strict=True)
    return {
        "holds": search.found,
        "chance_asked": search.means.chance,
        "plans": [_plan(search, one, car.unit, name) for name, one in told],
        "trade_off": [_plan(search, one, car.unit) for one in search.trade_off],
        "windows": _windows(search, car.unit),
        "forbidden": [_forbidden(one) for one in search.forbidden],
        "looked_at": search.looked_at,
        "solved": search.verified,
        "not_put_together": search.lost,
        "untried": search.untried,
        **_tried(search),
        "stopped": search.stopped,
    }


def _plan(search: Search, one: FoundPlan, unit: LengthUnit, name: str | None = None) -> Record:
    return {
        "plan": name,
        "changes": changes(one.plan, unit),
        "holds": one.holds,
        "chance": one.chance,
        **_fitted(search, one, unit),
        "price": plain(one.price),
        "hours": plain(one.hours),
        "raised": amount(one.raised, Dimension.LENGTH, unit),
        "worst_margin": _part(one.worst),
        "margins": [_margin(check, float(m), unit) for check, m in zip(search.checks, one.margins, strict=True)],
    }


def _fitted(search: Search, one: FoundPlan, unit: LengthUnit) -> Record:
    """What stands at each place for which something lies there; packing and lean where they are told."""
    if not search.places:
        return {}
    told: Record = {"fitted": {place_name(place): one.fitting.at(place) for place in search.places}}
    stands = one.on_springs
    if stands is None:
        return {**told, "packing": None, "lean": None}
    packing = {
        axle: [amount(float(by), Dimension.LENGTH, unit) for by in own]
        for axle, own in zip(("front", "rear"), stands.packing, strict=True)
    }
    gradient = {"unit": "deg/g", "value": plain(stands.gradient)}
    lean = {"roll_gradient": gradient, "front_share": amount(stands.front_share, Dimension.PER_CENT, unit)}
    return {**told, "packing": packing, "lean": lean}


def _part(margin: float) -> Record:
    told: Record = {"unit": "%", "value": plain(margin, 100.0)}
    return told if math.isfinite(margin) else {**told, "reason": NOT_PUT_TOGETHER}


def _margin(check: Check, margin: float, unit: LengthUnit) -> Record:
    """How far inside a check's bound a plan stays, in its unit; part_of_range: in parts of the range."""
    place: Record = {"kind": check.kind.value, "axle": check.axle, "key": check.key, "over": check.over}
    own = amount(margin * check.scale, dimension(check), unit, NOT_PUT_TOGETHER)
    return {**place, "title": check_words(check), **own, "part_of_range": plain(margin)}


def _windows(search: Search, unit: LengthUnit) -> list[Record]:
    """How far each amount of the best plan may go, the others unchanged."""
    pairs = zip(search.means.amounts, search.windows, strict=True)
    return [
        {
            "axle": one.change.axle,
            "amount": amount_name(one),
            "unit": unit.symbol,
            "low": plain(unit.from_mm(window[0])),
            "high": plain(unit.from_mm(window[1])),
        }
        for one, window in pairs
        if window is not None
    ]


def _tried(search: Search) -> Record:
    """What became of the combinations of springs and bars, where there are some to choose from."""
    tried = search.fittings
    if tried is None:
        return {}
    outside, without = tried.outside, tried.without_balance
    told = {"count": tried.count, "searched": tried.searched, "lean_otherwise": outside, "without_balance": without}
    return {"combinations_of_springs_and_bars": told}


def _forbidden(one: Forbidden) -> Record:
    told: Record = {"rule": one.rule.words, "axle": one.amount.change.axle, "amount": amount_name(one.amount)}
    return {**told, "taken_away": one.count, "would_help": one.would_help, "chance": one.chance}
