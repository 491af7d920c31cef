"""The verdict in a document: each check with what is allowed, where it is worst, and by how much."""

import math
from collections.abc import Sequence

from kinematics.car.lengths import LengthUnit
from kinematics.judging.verdict import Finding
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from reports.documents.amounts import UNREACHED, Record, amount, no_value, plain, reason


def checks(findings: Sequence[Finding], unit: LengthUnit) -> list[Record]:
    """Every check; `low` or `high` is null where a limit is open at that end."""
    return [check(one, unit) for one in findings]


def check(found: Finding, unit: LengthUnit) -> Record:
    """One check, in the unit of its number."""
    known, limit = QUANTITIES[found.limit.key], found.limit
    scale = known.dimension.scale(unit)
    worst: Record = {"worst": plain(found.worst, scale), "margin": plain(found.margin, scale)}
    if not math.isfinite(found.worst) or not math.isfinite(found.margin):
        worst["reason"] = no_value(found.worst, UNREACHED)
    return {
        "axle": found.axle,
        "side": found.side or None,
        "key": limit.key,
        "title": known.title,
        "over": found.over,
        "unit": known.dimension.unit(unit),
        "low": plain(limit.low, scale),
        "high": plain(limit.high, scale),
        "source": limit.source,
        "holds": found.holds,
        **worst,
        "at": _places(found, unit),
        "leaves_range_at": [_driver(found, value, unit) for value in found.leaves],
        "not_reached": [reason(one) for one in found.trouble],
    }


def _places(found: Finding, unit: LengthUnit) -> list[Record]:
    """Where it is worst; of travel and roll at once, how far the body is lowered, and its roll."""
    if math.isnan(found.at):
        return []
    if found.over != "working range":
        return [_driver(found, found.at, unit)]
    lowered = {"key": "lowered", **amount(found.at, Dimension.LENGTH, unit)}
    return [lowered, {"key": "roll", **amount(found.at_roll, Dimension.ANGLE, unit)}]


def _driver(found: Finding, value: float, unit: LengthUnit) -> Record:
    key, kind = ("roll", Dimension.ANGLE) if found.over == "roll" else ("travel", Dimension.LENGTH)
    return {"key": key, **amount(value, kind, unit)}


def verdict(findings: Sequence[Finding], unit: LengthUnit, combined: Sequence[Finding] = ()) -> Record:
    """All checks and whether they hold; combined: told besides, of travel and roll at once."""
    return {
        "holds": all(one.holds for one in findings),
        "checks": checks(findings, unit),
        "travel_and_roll_at_once": checks(combined, unit),
    }
