"""The verdict in plain words: each finding, and all together."""

import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import STATED, Accelerations, Limit, Origin, Over, WorkingRange
from kinematics.judging.verdict import Finding
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from reports.words.gaps import told_once
from reports.words.numbers import limit_end, told, told_roll

_RUN_OFF = 5000.0  # mm; a roll centre this high or low is on its way to infinity
_MOST_DECIMALS = 9
MEANT_BY_FORCE_WEIGHTED = "where side forces push the body, each tyre by its load"
OVER: Mapping[Over, str] = {
    "ride height": "at ride height",
    "travel": "over the working travel",
    "roll": "over the working roll",
    "working range": "over the working range",
}


def sentence(finding: Finding, unit: LengthUnit) -> str:
    """Say a finding in plain words, in the user's units."""
    quantity = QUANTITIES[finding.limit.key]

    def said(value: float) -> str:
        return told(value, quantity.dimension, unit)

    subject = " ".join(part for part in (finding.axle, finding.side, quantity.title) if part)
    head = f"{subject} {OVER[finding.over]}"
    if finding.over != "ride height":
        head += f" ({judged_range(finding.working, finding.over, unit)})"
    allowed = f"allowed {told_range(finding.limit, unit)}"
    trouble = "; ".join(told_once(finding.trouble))
    if math.isnan(finding.at):
        return f"{head}: cannot be judged: {trouble}"
    if finding.over == "ride height":
        value = worst_words(finding, unit) if np.isfinite(finding.worst) else "at infinity"
        tail = "" if finding.margin >= 0.0 else f", {_by(finding, unit)}"
        return f"{head}: {value}, {allowed}{tail}"
    spread = f"{said(finding.span[0])} to {said(finding.span[1])}"
    if not np.isfinite(finding.worst):
        spread += " and off to infinity"
    text = f"{head}: {spread}, {allowed}"
    if finding.margin < 0.0:
        text += f", {_by(finding, unit)} at {place_words(finding, unit)}"
        text += "" if finding.over == "working range" else f", outside {_from(finding, unit)}"
    return text + (f"; {trouble}" if trouble else "")


def runs_off(finding: Finding) -> bool:
    """Whether its number is at infinity or on its way there."""
    return not np.isfinite(finding.worst) or (abs(finding.worst) > _RUN_OFF and finding.limit.key.endswith("height"))


def _by(finding: Finding, unit: LengthUnit) -> str:
    if runs_off(finding):
        return "running to infinity"
    low = finding.worst < finding.limit.low
    kind = QUANTITIES[finding.limit.key].dimension
    way = told(-finding.margin, kind, unit, sign=False, decimals=telling_decimals(finding, unit))
    return f"{way} too {'low' if low else 'high'}"


def worst_words(finding: Finding, unit: LengthUnit) -> str:
    """Its worst value with the unit, finite, with as many digits as tell it from the end of its range."""
    return told(finding.worst, QUANTITIES[finding.limit.key].dimension, unit, decimals=telling_decimals(finding, unit))


def telling_decimals(finding: Finding, unit: LengthUnit) -> int:
    """Digits after the point with which what lies outside a range is not written like its end."""
    kind = QUANTITIES[finding.limit.key].dimension
    decimals, by = kind.decimals(unit), -finding.margin * kind.scale(unit)
    if not 0.0 < by < np.inf:
        return decimals
    end = finding.limit.low if finding.worst < finding.limit.low else finding.limit.high
    while decimals < _MOST_DECIMALS and _alike(by, 0.0, decimals):
        decimals += 1
    value, end = finding.worst * kind.scale(unit), end * kind.scale(unit)
    while decimals < _MOST_DECIMALS and _alike(value, end, decimals):
        decimals += 1
    return decimals


def _alike(one: float, other: float, decimals: int) -> bool:
    return round(one, decimals) == round(other, decimals)


def _from(finding: Finding, unit: LengthUnit) -> str:
    if not finding.leaves:
        return "already at ride height"
    places: Sequence[str] = [_place(place, finding.over, unit) for place in sorted(finding.leaves)]
    return "beyond " + " and ".join(places)


def place_words(finding: Finding, unit: LengthUnit) -> str:
    """Where it is worst."""
    place = _place(finding.at, finding.over, unit)
    return f"{place} with {_place(finding.at_roll, 'roll', unit)}" if finding.over == "working range" else place


def _place(value: float, over: Over, unit: LengthUnit) -> str:
    if over == "roll":
        return f"{told_roll(value)} of roll"
    return f"{told(value, Dimension.LENGTH, unit)} of travel"


def judged_range(working: WorkingRange, over: Over, unit: LengthUnit) -> str:
    """The part of the working range over which something is judged, and where that comes from."""
    travel = _travel(working, unit)
    roll = f"{math.degrees(working.roll):.3g} deg either way"
    sources = _sources(working)
    both = f"travel {travel}"
    if working.travel_from is Origin.BALANCED:
        both = f"the body lowered {_ends(working.lowered_ends, unit)}"
    if over == "working range" and sources[0] == sources[1]:
        return f"{both} with roll {roll}, {sources[0]}"
    parts = {"travel": [f"{travel}, {sources[0]}"], "roll": [f"{roll}, {sources[1]}"]}
    return " with ".join(parts.get(over) or [f"{both}, {sources[0]}", f"roll {roll}, {sources[1]}"])


def combined_words(finding: Finding, unit: LengthUnit) -> str:
    """The worst of travel and roll at once, in one line where that holds it."""
    text = f"Travel with roll: the {check_name(finding)}"
    if math.isnan(finding.at):
        return f"{text} cannot be told: {'; '.join(told_once(finding.trouble))}."
    held = "inside its range" if finding.margin >= 0.0 else "outside its range"
    part = ", as far as can be reached" if finding.trouble else ""
    text = f"{text} goes to {worst_short(finding, unit)} (at {short_place(finding, unit)}), {held}{part}"
    if "working range" in finding.limit.over:
        return text
    return f"{text}; not judged, as no limit is stated for both."


def check_name(finding: Finding) -> str:
    """What is judged, short, without its axle."""
    quantity = QUANTITIES[finding.limit.key]
    return " ".join(part for part in (finding.side, quantity.short or quantity.title) if part)


def short_place(finding: Finding, unit: LengthUnit) -> str:
    """Where it is worst, short."""
    if math.isnan(finding.at):
        return "not reached"
    travel, roll = told(finding.at, Dimension.LENGTH, unit), told_roll(finding.at)
    places: dict[Over, str] = {
        "ride height": "ride height",
        "travel": f"travel {travel}",
        "roll": f"roll {roll}",
        "working range": f"{travel}, {told_roll(finding.at_roll)}",
    }
    return places[finding.over]


def short_range(limit: Limit, unit: LengthUnit) -> str:
    """A limit's range without its unit; starred where no file states it."""
    kind = QUANTITIES[limit.key].dimension
    words = range_words(limit, lambda end: limit_end(end, kind, unit))
    return words if limit.source == STATED else f"{words} *"


def worst_short(finding: Finding, unit: LengthUnit) -> str:
    """Its worst value with the unit, also where it has none."""
    return (
        "at infinity"
        if runs_off(finding) and not math.isnan(finding.at)
        else ("-" if math.isnan(finding.at) else worst_words(finding, unit))
    )


def margin_words(finding: Finding, unit: LengthUnit) -> str:
    """How much is left to the nearest end of its range, or how far it is beyond it."""
    if math.isnan(finding.at):
        return "cannot be judged"
    if finding.margin < 0.0:
        return _by(finding, unit)
    if finding.trouble:
        return "not all can be reached"
    return f"{told(finding.margin, QUANTITIES[finding.limit.key].dimension, unit, sign=False)} left"


def ranges_words(working: WorkingRange, unit: LengthUnit) -> str:
    """Over which travel and roll a car is judged, and where both come from, in one sentence."""
    travel, roll = f"travel {_travel(working, unit)}", f"roll {math.degrees(working.roll):.3g} deg either way"
    sources = _sources(working)
    if sources[0] == sources[1]:
        return f"Judged over {travel}, {roll} ({sources[0]})."
    return f"Judged over {travel} ({sources[0]}), {roll} ({sources[1]})."


def _sources(working: WorkingRange) -> tuple[str, str]:
    """Where travel and roll come from."""
    return source_words(working, working.travel_from), source_words(working, working.roll_from)


def source_words(working: WorkingRange, origin: Origin) -> str:
    """Where a part of the working range comes from."""
    if origin is not Origin.BALANCED or working.in_balance is None:
        return origin.value
    under, beyond = working.in_balance.under, working.in_balance.beyond
    end = "" if beyond is None else f"; no balance was found beyond {_in_g(beyond, ' with ')}, so it ends there"
    return f"the car as measured in balance at {_in_g(under, ', ')}{end}"


def _in_g(accelerations: Accelerations, between: str) -> str:
    return between.join(f"{value:.3g} g {name}" for name, value in accelerations.said.items())


def _travel(working: WorkingRange, unit: LengthUnit) -> str:
    return _ends((working.travel_low, working.travel_high), unit)


def _ends(ends: tuple[float, float], unit: LengthUnit) -> str:
    low, high = (limit_end(end, Dimension.LENGTH, unit, sign=True) for end in ends)
    return f"{low} to {high} {unit.symbol}"


def told_range(limit: Limit, unit: LengthUnit) -> str:
    """A limit's range with its unit at each end."""
    kind = QUANTITIES[limit.key].dimension
    return range_words(limit, lambda end: f"{limit_end(end, kind, unit, sign=True)} {kind.unit(unit)}".rstrip())


def range_words(limit: Limit, said: Callable[[float], str]) -> str:
    """Say a limit's range; said: writes a value with its unit."""
    if math.isinf(limit.low):
        return f"up to {said(limit.high)}"
    if math.isinf(limit.high):
        return f"{said(limit.low)} or more"
    return f"{said(limit.low)} to {said(limit.high)}"


def all_checks(count: int) -> str:
    """That so many checks all hold."""
    return {1: "the one check holds", 2: "both checks hold"}.get(count, f"all {count} checks hold")


def summary(findings: Sequence[Finding]) -> str:
    """One line on all findings together."""
    if not findings:
        return "no limits are stated, so there is nothing to judge"
    failed, count = sum(not finding.holds for finding in findings), len(findings)
    if failed:
        return f"OUTSIDE the limits: {failed} of {count} check{'s fail' if count > 1 else ' fails'}"
    return f"within the limits: {all_checks(count)}"
