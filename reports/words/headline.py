"""The answer first: where the roll centre is, what else is out, and what to do next."""

import shlex
from collections.abc import Sequence

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import ROLL_CENTRE
from kinematics.doubt.solved_car import MeasuredAxle, MeasuredCar
from kinematics.judging.verdict import Finding
from kinematics.numbers.quantity import Dimension
from reports.words.numbers import shows, told
from reports.words.verdict import OVER, check_name, telling_decimals
from reports.words.wrapped import WIDTH, wrapped

_NOT_SAID = "the file does not say how well it was measured"
_LINES = 2  # for what is; a third for what to do
_TRIED = {"mm": 10.0, "in": 0.5}  # how much of a change is tried first


def headline(solved: MeasuredCar, files: Sequence[str]) -> list[str]:
    """At most three lines that fit 80 columns. files: the words that name car and limits on a command line."""
    first = solved.axles[0]
    outside = [one for one in solved.findings if not one.holds]
    rest = [one for one in outside if not _of_roll_centre(one, first)]
    where = _where(solved, first)
    for told_besides in (_besides(solved, outside, rest, full=True), _besides(solved, outside, rest, full=False)):
        lines = wrapped(f"{where} {told_besides}")
        if len(lines) <= _LINES:
            break
    return [*lines[:_LINES], _next(solved, outside, files)]


def _of_roll_centre(finding: Finding, axle: MeasuredAxle) -> bool:
    return (finding.limit.key, finding.over, finding.axle) == (ROLL_CENTRE.key, "ride height", axle.axle.name)


def _where(solved: MeasuredCar, measured: MeasuredAxle) -> str:
    """Where an axle's roll centre is, how that compares with its range, and how sure it is."""
    unit = solved.car.unit
    text = f"{measured.axle.name.capitalize()} roll centre {_height(_value(measured), unit)}"
    found = next((one for one in measured.findings if _of_roll_centre(one, measured)), None)
    if found is not None and np.isfinite(found.worst):
        text += f", {_compared(found, unit)}"
    around = measured.half_width.get(ROLL_CENTRE.key)
    if around is not None and np.isfinite(around).all():
        return f"{text}; sure to {told(float(around.reshape(-1)[0]), Dimension.LENGTH, unit, sign=False)}."
    return f"{text}; {_NOT_SAID}." if measured.cars is None else f"{text}."


def _value(measured: MeasuredAxle) -> float:
    return float(measured.rest[ROLL_CENTRE.key].reshape(-1)[0])


def _height(value: float, unit: LengthUnit) -> str:
    if not np.isfinite(value):
        return "at infinity"
    if not shows(value, Dimension.LENGTH, unit):
        return "at ground level"
    return f"{told(abs(value), Dimension.LENGTH, unit, sign=False)} {'above' if value > 0.0 else 'below'} ground"


def _compared(found: Finding, unit: LengthUnit) -> str:
    if found.holds:
        return "within the range allowed"
    by = told(-found.margin, Dimension.LENGTH, unit, sign=False, decimals=telling_decimals(found, unit))
    return f"{by} under the lowest allowed" if found.worst < found.limit.low else f"{by} over the highest allowed"


def _besides(solved: MeasuredCar, outside: Sequence[Finding], rest: Sequence[Finding], *, full: bool) -> str:
    """What else is out; or that all hold, with the chance of that."""
    count = len(solved.findings)
    if not count:
        return "No limits are stated, so nothing is judged."
    if rest:
        also = "Also out: " if len(rest) < len(outside) else "Out: "
        return f"{also}{', '.join(map(_check, rest))}." if full else f"{also}{len(rest)} of {count} checks."
    if outside:
        return "Nothing else is out." if count > 1 else ""
    held = f"All {count} checks hold" if count > 1 else "The one check holds"
    if solved.chance is not None:
        return f"{held}, by a chance of {_per_cent(solved.chance)}."
    # Said already where the first axle does not say it.
    known = solved.axles[0].cars is not None
    return f"{held}; of another axle {_NOT_SAID}." if known else f"{held} as measured."


def _check(finding: Finding) -> str:
    return f"{finding.axle} {check_name(finding)} {OVER[finding.over]}"


def _per_cent(chance: float) -> str:
    """A chance to the whole per cent, never rounded to none or all."""
    per_cent = round(100.0 * chance)
    return "under 1 %" if per_cent < 1 else "over 99 %" if per_cent > 99 else f"{per_cent} %"


def _next(solved: MeasuredCar, outside: Sequence[Finding], files: Sequence[str]) -> str:
    """What to do next: a command."""
    words = _next_words(solved, outside)
    for car in (list(files), ["my_car.toml"]):
        line = f"Next: {shlex.join(['cornersweep', words[0], *car, *words[1:]])}"
        if len(line) <= WIDTH:
            break
    return line


def _next_words(solved: MeasuredCar, outside: Sequence[Finding]) -> list[str]:
    heights = [one for one in outside if one.limit.key.endswith("height") and np.isfinite(one.worst)]
    if heights:
        return ["compare", "--change", *_change(solved, heights[0])]
    known = all(one.cars is not None for one in solved.axles)
    return ["doubt"] if known and not outside else ["sweep", "results"]


def _change(solved: MeasuredCar, finding: Finding) -> list[str]:
    """A change that moves a roll centre towards its range, to be tried first."""
    tried = _TRIED[solved.car.unit.symbol]
    axle = solved.car.axle(finding.axle)
    low = finding.worst < finding.limit.low
    what = "longer ball joint" if low and axle.suspension.arms else "ride height"
    which = ["--axle", axle.name] if axle.name != "front" else []
    return [what, f"{tried if low else -tried:g}", *which]
