"""What to measure next, in words: the answer in one sentence, each reading as the sheet calls it, and the gauge."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.doubt.assessment import EXACT
from kinematics.numbers.quantity import Dimension
from kinematics.survey.dispensable import Dispensable
from kinematics.survey.further_readings import FurtherReading
from kinematics.survey.next_readings import NextCurve, NextReadings
from reports.words.numbers import PLUS_MINUS, amount, told
from reports.words.reading_list import point_words, what_words

PLANNED = (
    "The survey is still blank, so this is of a typical car with all of it read. Ask again once your own readings are "
    "in."
)
_HOW = (
    "No.: of the measuring sheet; where there is none, see first whether a tape runs straight. Good to: two readings "
    "in three lie within it."
)
_AGAIN = "Again: afresh, as if it had not been read; write it into the survey as a reading of its own."
_ANGLES = "A wheel's angle again: write the mean, and as known_to its doubt over the root of how often it was read."
HOW_SPARED = (
    '"Then" is without it and those above it. In what is left a large slip still shows wherever it does with the whole '
    "sheet. Of other numbers this says nothing: ask with --about."
)
NONE_TO_SPARE = "Nothing of the sheet could be left out of the {axle} axle at little loss for its {number}."
_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_SAID = {"up": "height", "out": "out", "ahead": "ahead"}
_LEAST_DIGITS = 2
_MOST_DECIMALS = 8


def spared_words(found: NextReadings, own: Sequence[Dispensable], unit: LengthUnit) -> str:
    """How many readings could be left out, and what that costs."""
    count = _COUNTS[len(own)] if len(own) < len(_COUNTS) else str(len(own))
    what = "reading" if len(own) == 1 else "readings"
    before, after = either_way(found.now, found, unit), either_way(own[-1].without, found, unit)
    known = (
        f"to {before} with or without" if after == before else f"to {after} then, and to {before} with the whole sheet"
    )
    return (
        f"{_capital(count)} {what} of the {found.found.axle.name} axle's sheet could be left out at little loss: the "
        f"{found.number.title} is known {known}."
    )


def mend_first(axle: str) -> str:
    """Of an axle whose readings do not agree."""
    return (
        f"What to measure next at the {axle} axle is told once its readings agree: first clear up what is told here, "
        "then ask this once more."
    )


def next_headline(found: NextReadings, unit: LengthUnit) -> str:
    """The answer: how well the number is known, and what further readings make of it."""
    name = f"the {found.found.axle.name} axle's {found.number.title}"
    if not math.isfinite(found.now):
        return f"{_capital(name)} has no value at ride height, so no reading makes it better known."
    if found.now <= EXACT:
        return f"{_capital(name)} is touched by no reading: there is nothing to know better."
    now, then = (either_way(value, found, unit) for value in (found.now, found.then))
    if found.within is None and not found.readings:
        return f"{_capital(name)} is known to {now}; no further reading would better that by a hundredth of it."
    if found.within is None:
        return f"{_capital(name)} is known to {now}; {_counted(found)} would make that {then}."
    wanted = f"{PLUS_MINUS} {wanted_words(found, unit)}"
    if found.now <= found.within:
        return f"{_capital(name)} is known to {now} as it is, within {wanted}: nothing more need be read for it."
    if found.reached:
        return f"{_capital(_counted(found))} would bring {name} from {now} to {then}, within {wanted}."
    answer = f"{_best_there_is(found)} {name} within {wanted}: {then} is left of {now}."
    return f"{answer} {_gauge_instead(found, unit)}".rstrip()


def _best_there_is(found: NextReadings) -> str:
    if not found.readings:
        return "No further reading brings"
    return f"Not even the best {_counted(found)} bring{'s' if len(found) == 1 else ''}"


def _counted(found: NextReadings) -> str:
    count = len(found)
    number = _COUNTS[count] if count < len(_COUNTS) else str(count)
    return f"{number} further reading{'' if count == 1 else 's'}"


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def either_way(value: float, found: NextReadings, unit: LengthUnit) -> str:
    """A doubt of the number with its unit, to two digits at least."""
    symbol = found.number.dimension.unit(unit)
    return f"{PLUS_MINUS} {doubt_shown(value, found, unit)} {symbol}".rstrip()


def doubt_shown(value: float, found: NextReadings, unit: LengthUnit) -> str:
    """A doubt of the number without its unit, to two digits at least, and as many decimals as the last of the list."""
    scale = found.number.dimension.scale(unit)
    usual = found.number.dimension.decimals(unit) if found.number.decimals is None else found.number.decimals
    least = max(min(value, found.then) * scale, 10.0**-_MOST_DECIMALS)
    needed = _LEAST_DIGITS - 1 - math.floor(math.log10(least))
    return f"{value * scale:.{min(max(usual, needed), _MOST_DECIMALS)}f}"


def wanted_words(found: NextReadings, unit: LengthUnit) -> str:
    """The doubt that is wanted, as it was asked for, with its unit."""
    assert found.within is not None  # asked only where one is wanted
    kind = found.number.dimension
    if kind is Dimension.LENGTH:
        return f"{amount(found.within, unit)} {unit.symbol}"
    return f"{found.within * kind.scale(unit):.6g} {kind.unit(unit)}".rstrip()


def reading_words(what: FurtherReading) -> str:
    """A reading as the measuring sheet calls it, or as it would."""
    name = _reading_name(what)
    return f"{name}, again" if what.again else name


def _reading_name(what: FurtherReading) -> str:
    if what.wheel_angle is not None:
        angle = "camber" if what.wheel_angle.of == "camber" else "toe-in"
        sides = what.wheel_angle.sides
        return f"{angle}, {'each' if len(sides) > 1 else ('left', 'right')[sides[0]]} wheel"
    reading = what.reading
    assert reading is not None  # what is no wheel's angle is a reading
    if what.on_sheet is not None and what.side:
        words = what_words(replace(what.on_sheet, of=reading.of))
        return words if what.side in words.split() else f"{what.side} {words}"
    if what.on_sheet is not None:
        return what_words(what.on_sheet)
    names = [point_words(name) for name in reading.of]
    if reading.kind == "tape":
        return " to ".join(names)
    if reading.kind == "angle":
        seen = "" if reading.seen_from is None else f", seen from the {reading.seen_from}"
        return f"{' to '.join(names)}, slope{seen}"
    if len(names) == 1 and reading.kind in _SAID:
        return f"{names[0]}, {_SAID[reading.kind]}"
    return point_words(str(reading))


def how_to_read(told: Sequence[FurtherReading]) -> list[str]:
    """What is to be known of the readings of a list, beneath it."""
    notes = [_HOW] if told else []
    if any(one.again and one.wheel_angle is None for one in told):
        notes.append(_AGAIN)
    if any(one.wheel_angle is not None for one in told):
        notes.append(_ANGLES)
    return notes


def good_to(what: FurtherReading, unit: LengthUnit) -> str:
    """How well it must be read: one standard deviation, with its unit."""
    if what.is_angle:
        return f"{np.degrees(what.doubt):.2g} deg"
    fraction = unit.as_fraction(what.doubt)
    return told(what.doubt, Dimension.LENGTH, unit, sign=False) if fraction is None else f"{fraction} {unit.symbol}"


def gauge_lines(found: NextReadings, unit: LengthUnit) -> list[str]:
    """What a curve read with a gauge would do, where it does more than the list or is a way to what is wanted."""
    return [_gauge_line(one, found, unit) for one in found.curves if _tells_more(one, found)]


def _tells_more(one: NextCurve, found: NextReadings) -> bool:
    if found.now <= EXACT or (found.within is not None and found.now <= found.within):
        return False
    if found.within is None:
        return one.alone < found.then
    reached = one.alone if found.reached else one.besides
    return one.alone < found.then or (len(found) > 1 and reached <= found.within)


def _gauge_line(one: NextCurve, found: NextReadings, unit: LengthUnit) -> str:
    alone, besides = (either_way(value, found, unit) for value in (one.alone, one.besides))
    with_list = f", with these readings {besides}" if found.readings else ""
    return f"{_capital(_gauge(one, unit))} would make it {alone} by itself{with_list}."


def _gauge(one: NextCurve, unit: LengthUnit) -> str:
    """In words: of what, over which travel, how well read."""
    first = one.curves[0]
    most = told(float(first.at.max()), Dimension.LENGTH, unit, sign=False, decimals=0 if unit.symbol == "mm" else 1)
    sides = ", on each side" if len(one.curves) > 1 else ""
    return (
        f"a {first.of} curve read with a gauge at {first.at.size} travels up to {most} either way{sides}, each to "
        f"{np.degrees(first.doubt):.2g} deg,"
    )


def gauge_alone_does(found: NextReadings) -> bool:
    """Whether a gauge by itself brings the doubt that is wanted, and no list of readings does."""
    within = found.within
    return within is not None and not found.reached and any(one.alone <= within for one in found.curves)


def _gauge_instead(found: NextReadings, unit: LengthUnit) -> str:
    """What gets there where no list does: a gauge by itself, or with the list."""
    assert found.within is not None  # asked only where it is not reached
    by_itself = [one for one in found.curves if one.alone <= found.within]
    with_list = [one for one in found.curves if one.besides <= found.within]
    if by_itself:
        best = min(by_itself, key=lambda one: one.alone)
        return f"A gauge does: a {best.curves[0].of} curve over travel makes it {either_way(best.alone, found, unit)}."
    if with_list:
        best = min(with_list, key=lambda one: one.besides)
        return f"With a {best.curves[0].of} curve over travel besides it is {either_way(best.besides, found, unit)}."
    if not found.curves:
        return ""
    best = min(found.curves, key=lambda one: one.besides)
    besides = either_way(best.besides, found, unit)
    return f"Nor does a gauge: with a {best.curves[0].of} curve over travel besides it is {besides}."
