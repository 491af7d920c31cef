"""The answer first: where the roll centre is, what else is out, and what to do next, in at most three lines."""

import itertools
import os
import shlex
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np

from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.limits import ROLL_CENTRE
from kinematics.doubt.solved_car import MeasuredAxle, MeasuredCar
from kinematics.judging.verdict import Finding
from kinematics.numbers.quantity import Dimension
from reports.words.numbers import per_cent, shows, told
from reports.words.on_paper import as_it_is
from reports.words.verdict import OVER, all_checks, check_name, telling_decimals
from reports.words.wrapped import wrapped

NOT_SAID = "the file does not say how well it was measured"
NEXT = "Next: "
MEND_THE_SURVEY = f"{NEXT}measure again what cornersweep survey names, then the survey anew."
# Common practice, no source.
WHAT_IT_DOES = "A lower roll centre lets the car roll more; a higher one jacks it up more."
_LINES = 2  # for what is; a third for what to do


def headline(solved: MeasuredCar, files: Sequence[str], *, swept: bool = False, means: str | None = None) -> list[str]:
    """Where a car stands and what to do. files: the words that name car and limits on a command line.

    swept: whether its curves are there already; means: the file of what may be done that is written with them.
    """
    return [*standing(solved), _next(solved, _outside(solved), files, swept=swept, means=means)]


def standing(solved: MeasuredCar) -> list[str]:
    """Where a car stands, in at most two lines."""
    first, outside = solved.axles[0], _outside(solved)
    rest = [one for one in outside if not is_of_roll_centre(one, first.axle.name)]
    names = [one.axle.name for one in solved.axles if one.axle.readings_disagree]
    disagree = f" The {' and '.join(names)} readings do NOT agree." if names else ""
    ways = [(True, True), (True, False), (False, False)] if names else [(True, True), (True, False)]
    return in_two_lines(
        f"{_where(solved, first, sure=sure)}{disagree} {_besides(solved, outside, rest, full=full)}"
        for sure, full in ways
    )


def _outside(solved: MeasuredCar) -> list[Finding]:
    return [one for one in solved.findings if not one.holds]


def in_two_lines(tries: Iterable[str]) -> list[str]:
    """The first of several ways to say something that fits two lines, the fullest first."""
    for text in tries:
        lines = wrapped(text)
        if len(lines) <= _LINES:
            break
    return lines[:_LINES]


def is_of_roll_centre(finding: Finding, axle: str) -> bool:
    """Whether it judges where an axle's roll centre is as the car stands."""
    return (finding.limit.key, finding.over, finding.axle) == (ROLL_CENTRE.key, "ride height", axle)


def _where(solved: MeasuredCar, measured: MeasuredAxle, *, sure: bool) -> str:
    """Where an axle's roll centre is, how that compares with its range, and how sure it is."""
    unit, name = solved.car.unit, measured.axle.name
    text = f"{name.capitalize()} {standing_words(_value(measured), measured.findings, name, unit)}"
    around = measured.half_width.get(ROLL_CENTRE.key) if sure else None
    if around is not None and np.isfinite(around).all():
        return f"{text}; {sure_words(float(around.reshape(-1)[0]), unit)}."
    return f"{text}; {NOT_SAID}." if measured.cars is None else f"{text}."


def standing_words(value: float, findings: Sequence[Finding], axle: str, unit: LengthUnit) -> str:
    """Where a roll centre is [mm over ground], and how that compares with the range asked of it."""
    text = f"roll centre {height_words(value, unit)}"
    found = next((one for one in findings if is_of_roll_centre(one, axle)), None)
    return f"{text}, {_compared(found, unit)}" if found is not None and np.isfinite(found.worst) else text


def sure_words(half_width: float, unit: LengthUnit) -> str:
    """How sure a height is, by its 95 % way either way [mm]."""
    return f"give or take {told(half_width, Dimension.LENGTH, unit, sign=False)}"


def _value(measured: MeasuredAxle) -> float:
    return float(measured.rest[ROLL_CENTRE.key].reshape(-1)[0])


def height_words(value: float, unit: LengthUnit) -> str:
    """How high over the ground something is [mm], in words."""
    if not np.isfinite(value):
        return "at infinity"
    if not shows(value, Dimension.LENGTH, unit):
        return "at ground level"
    return f"{told(abs(value), Dimension.LENGTH, unit, sign=False)} {'above' if value > 0.0 else 'below'} ground"


def _compared(found: Finding, unit: LengthUnit) -> str:
    if found.holds:
        return "within the range allowed"
    return beyond_words(-found.margin, unit, low=found.worst < found.limit.low, decimals=telling_decimals(found, unit))


def beyond_words(by: float, unit: LengthUnit, *, low: bool, decimals: int | None = None) -> str:
    """How far a height lies beyond its range [mm], and at which end; decimals: where not those of its kind."""
    end = "under the lowest" if low else "over the highest"
    return f"{told(by, Dimension.LENGTH, unit, sign=False, decimals=decimals)} {end} allowed"


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
    said = all_checks(count)
    held = said[0].upper() + said[1:]
    if any(one.axle.readings_disagree for one in solved.axles):
        return f"{held} if the points are right."
    if solved.chance is not None:
        return f"{held}, with a chance of {per_cent(solved.chance)}."
    # Said already where the first axle does not say it.
    known = solved.axles[0].cars is not None
    return f"{held}; of another axle {NOT_SAID}." if known else f"{held} {as_it_is(solved.car)}."


def _check(finding: Finding) -> str:
    return f"{finding.axle} {check_name(finding)} {OVER[finding.over]}"


def next_line(command: str, files: Sequence[str], *more: str) -> str:
    """What to do next, a command on a car's files, such as can be run as it is printed, however long their paths."""
    return f"{NEXT}{shlex.join(['cornersweep', command, *files, *more])}"


def sweep_line(files: Sequence[str]) -> str:
    """To sweep a car into a folder that is not there yet, since files that are there are not written over."""
    names = itertools.chain(("results",), (f"results_{number}" for number in itertools.count(2)))
    return next_line("sweep", files, next(one for one in names if not os.path.lexists(one)))


def find_line(files: Sequence[str], means: str, unit: LengthUnit) -> str:
    """To look for a better plan; where there is no means file yet, to begin one, which says what comes after it."""
    if Path(means).exists():
        return next_line("find", files, means)
    in_unit = [] if unit.symbol == MM.symbol else ["--units", unit.symbol]
    return next_line("new", ["means", means], *in_unit)


def means_of(car_file: str) -> str:
    """The means file that goes with a car file: the one beside it that is named after it, or else a usual name."""
    path = Path(car_file)
    beside = path.with_name(f"{path.stem}_means.toml")
    return str(beside) if beside.is_file() else "my_means.toml"


def _next(
    solved: MeasuredCar, outside: Sequence[Finding], files: Sequence[str], *, swept: bool, means: str | None
) -> str:
    if any(one.axle.readings_disagree for one in solved.axles):
        return MEND_THE_SURVEY
    if outside:
        if means is not None:
            return next_line("find", files, means)
        return find_line(files, means_of(files[0]), solved.car.unit)
    known = all(one.cars is not None for one in solved.axles)
    if known:
        return next_line("doubt", files)
    return next_line("influence", files[:1]) if swept else sweep_line(files)
