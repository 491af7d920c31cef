"""The document of `record`: states and what changed between them."""

from collections.abc import Sequence

from kinematics.car.lengths import LengthUnit
from kinematics.record.between import Between, Difference, PartChange
from kinematics.record.state import State
from reports.documents.amounts import NOT_TOLD, Record, amount
from reports.words.record import dimension_of, title_of


def record_document(states: Sequence[State], compared: Sequence[Between], unit: LengthUnit) -> Record:
    """States as their files tell them, and each comparison."""
    return {
        "states": [
            {"key": one.key, "date": one.date, "title": one.title, "on_paper": one.car.on_paper, "notes": one.notes}
            for one in states
        ],
        "compared": [_between(one, unit) for one in compared],
    }


def _between(found: Between, unit: LengthUnit) -> Record:
    return {
        "before": found.before.key,
        "after": found.after.key,
        "points": [{"point": one.point, "way": one.key, **_difference(one, unit)} for one in found.points],
        "parts": [_part(one, unit) for one in found.parts],
        "numbers": [{"key": one.key, "title": title_of(one), **_difference(one, unit)} for one in found.numbers],
        "readings_in_common": [
            {"axle": axle, "in_common": shared, "of": count} for axle, (shared, count) in found.shared.items()
        ],
    }


def _difference(one: Difference, unit: LengthUnit) -> Record:
    kind = dimension_of(one)
    way = float("nan") if one.either_way_95 is None else one.either_way_95
    return {
        "axle": one.axle,
        "side": one.side or None,
        "before": amount(one.before, kind, unit),
        "after": amount(one.after, kind, unit),
        "change": amount(one.change, kind, unit),
        "either_way_95": amount(way, kind, unit, NOT_TOLD),
        "more_than_doubt": one.is_sure,
    }


def _part(one: PartChange, unit: LengthUnit) -> Record:
    before, after = (None if value is None else amount(value, one.dimension, unit) for value in (one.before, one.after))
    return {"axle": one.axle, "side": one.side or None, "what": one.what, "before": before, "after": after}
