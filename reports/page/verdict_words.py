"""The verdict on the page: the headline in words, and each check with the margin that is left."""

import math
from collections.abc import Sequence

from kinematics.car.lengths import LengthUnit
from kinematics.judging.verdict import Finding
from kinematics.numbers.registry import QUANTITIES
from reports.documents.amounts import Record
from reports.page.bench import OpenCar
from reports.words.headline import standing
from reports.words.numbers import told
from reports.words.verdict import check_name, runs_off, sentence, short_place, short_range, worst_short

_MOST_OF_A_BAR = 1.0


def verdict_record(opened: OpenCar) -> Record:
    """The car as measured. What to do next is said by the page, not by a command."""
    findings = opened.measured.findings
    return {
        "headline": " ".join(standing(opened.measured)),
        "holds": all(one.holds for one in findings),
        "checks": checks_shown(findings, opened.car.unit),
    }


def checks_shown(findings: Sequence[Finding], unit: LengthUnit) -> list[Record]:
    """Every check in words: what, worst, where, allowed, and the margin, also as a part of its range for a bar."""
    return [_check(one, unit) for one in findings]


def _check(found: Finding, unit: LengthUnit) -> Record:
    kind = QUANTITIES[found.limit.key].dimension
    known = math.isfinite(found.margin) and not runs_off(found)
    return {
        "axle": found.axle,
        "name": check_name(found),
        "holds": found.holds,
        "worst": worst_short(found, unit),
        "at": short_place(found, unit),
        "allowed": short_range(found.limit, unit),
        "margin": told(found.margin, kind, unit) if known else "none",
        "part": _part(found) if known else -_MOST_OF_A_BAR,
        "sentence": sentence(found, unit),
    }


def _part(found: Finding) -> float:
    """The margin as a part of half the range, or of the limit where one end is open, from -1 to 1."""
    half = 0.5 * (found.limit.high - found.limit.low)
    if not math.isfinite(half):
        half = abs(found.limit.low if math.isfinite(found.limit.low) else found.limit.high)
    return round(min(max(found.margin / (half or 1.0), -_MOST_OF_A_BAR), _MOST_OF_A_BAR), 3)
