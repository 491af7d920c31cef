"""The verdict in plain words: each finding, and all together."""

import math
from collections.abc import Callable, Sequence

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limit, Over
from kinematics.judging.verdict import Finding
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from reports.words.gaps import told_once
from reports.words.numbers import told, told_roll

_RUN_OFF = 5000.0  # mm; a roll centre this high or low is on its way to infinity
_Teller = Callable[[float], str]


def sentence(finding: Finding, unit: LengthUnit) -> str:
    """Say a finding in plain words, in the user's units."""
    quantity = QUANTITIES[finding.limit.key]

    def said(value: float) -> str:
        return told(value, quantity.dimension, unit)

    subject = " ".join(part for part in (finding.axle, finding.side, quantity.title) if part)
    where = {"ride height": "at ride height", "travel": "over the working travel", "roll": "over the working roll"}
    head = f"{subject} {where[finding.over]}"
    allowed = f"allowed {range_words(finding.limit, said)}"
    trouble = "; ".join(told_once(finding.trouble))
    if math.isnan(finding.at):
        return f"{head}: cannot be judged: {trouble}"
    if finding.over == "ride height":
        value = said(finding.worst) if np.isfinite(finding.worst) else "at infinity"
        tail = "" if finding.margin >= 0.0 else f", {_by(finding, said)}"
        return f"{head}: {value}, {allowed}{tail}"
    spread = f"{said(finding.span[0])} to {said(finding.span[1])}"
    if not np.isfinite(finding.worst):
        spread += " and off to infinity"
    text = f"{head}: {spread}, {allowed}"
    if finding.margin < 0.0:
        text += f", {_by(finding, said)} at {_place(finding.at, finding.over, unit)}"
        text += f", outside {_from(finding, unit)}"
    return text + (f"; {trouble}" if trouble else "")


def _by(finding: Finding, said: _Teller) -> str:
    if not np.isfinite(finding.worst) or (abs(finding.worst) > _RUN_OFF and finding.limit.key.endswith("height")):
        return "running to infinity"
    low = finding.worst < finding.limit.low
    return f"{said(-finding.margin).lstrip('+')} too {'low' if low else 'high'}"


def _from(finding: Finding, unit: LengthUnit) -> str:
    if not finding.leaves:
        return "already at ride height"
    places: Sequence[str] = [_place(place, finding.over, unit) for place in sorted(finding.leaves)]
    return "beyond " + " and ".join(places)


def _place(value: float, over: Over, unit: LengthUnit) -> str:
    if over == "roll":
        return f"{told_roll(value)} of roll"
    return f"{told(value, Dimension.LENGTH, unit)} of travel"


def range_words(limit: Limit, said: Callable[[float], str]) -> str:
    """Say a limit's range; said: writes a value with its unit."""
    if math.isinf(limit.low):
        return f"up to {said(limit.high)}"
    if math.isinf(limit.high):
        return f"{said(limit.low)} or more"
    return f"{said(limit.low)} to {said(limit.high)}"


def summary(findings: Sequence[Finding]) -> str:
    """One line on all findings together."""
    if not findings:
        return "no limits are stated, so there is nothing to judge"
    failed, count = sum(not finding.holds for finding in findings), len(findings)
    if failed:
        return f"OUTSIDE the limits: {failed} of {count} check{'s fail' if count > 1 else ' fails'}"
    return f"within the limits: {f'all {count} checks hold' if count > 1 else 'the one check holds'}"
