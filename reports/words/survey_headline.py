"""The answer of a survey first: do the readings agree, which is suspect, what to look at again, and what to do next."""

import shlex
from collections.abc import Callable, Sequence

from kinematics.car.lengths import LengthUnit
from kinematics.survey.curve_misfit import CurveMisfit
from kinematics.survey.explanations import Cause, Culprit, Explanation, SuspectReading
from kinematics.survey.judged import JudgedFit, odd_angle
from kinematics.survey.reliability import Reliability
from reports.words.headline import NEXT, in_two_lines, next_line
from reports.words.readings import by_number, in_words, numbered, numbers_words, would_read_words
from reports.words.survey import error_words, moved_by, read_words, reading_kind, slip_words, told_readings

_Name = Callable[[int | None, str], str]
_ANGLE_WORDS = {"camber": "camber", "toe": "toe-in"}


def survey_headline(
    told: Sequence[JudgedFit], checked: Sequence[Reliability], unit: LengthUnit, survey: str, car: str | None
) -> list[str]:
    """What a survey comes to, in at most two lines, and what to do next. survey, car: the files; None where none is."""
    both = list(zip(told, checked, strict=True))
    sound = not any(one.suspect or one.odd for one in told)  # else what is least checked can wait
    ways = (
        " ".join(_state(one, own, unit, name, least=sound) for one, own in both) for name in (numbered, by_number, None)
    )
    return [*in_two_lines(ways), _next(told, survey, car)]


def _state(one: JudgedFit, checked: Reliability, unit: LengthUnit, name: _Name | None, *, least: bool) -> str:
    """How the readings of an axle stand. name: how suspects are called, None where they are only counted."""
    axle = one.fit.axle.name
    readings = f"The {axle} readings"
    if one.culprits or one.misfits:
        alone = not one.culprits
        said = [f"{readings} agree with each other." if alone else f"{readings} do not agree."]
        if one.odd:
            said.append(f"Look first at {_odd(one)}, with which all are fitted.")
        said += _suspects(one, unit, name)
        said += [_curve_off(misfit, alone=alone) for misfit in one.misfits]
        return " ".join(said)
    if one.places:
        second = one.places[0]
        deciding = numbered(one.numbers.of(second.decides), str(second.decides))
        return f"{readings} fit two places of {second.moved[0][0]} alike: read {deciding}, which decides."
    if one.odd:
        return f"{readings} agree, but look again at {_odd(one)}, with which all are fitted."
    if one.missing.hardly:
        besides = " and ".join(by_number(one.numbers.of(each), str(each)) for each in one.missing.better)
        hardly = " and ".join(loose.name for loose in one.missing.hardly)
        return f"{readings} agree, but hardly tell where {hardly} is{f': read {besides} besides' if besides else ''}."
    if one.fit.freedoms <= 0:
        return f"{readings} cannot check each other: none is more than needed, so a slip would not show."
    agree = f"{readings} agree."
    return agree if name is None or not least else f"{agree} {_least_checked(one, checked, unit, name)}".rstrip()


def _curve_off(misfit: CurveMisfit, *, alone: bool) -> str:
    """alone: whether nothing but curves does not agree."""
    names, several = in_words(map(str, misfit.curves)), len(misfit.curves) > 1
    said = f"The {names} curve{'s do' if several else ' does'} NOT agree with them"
    return f"{said}, and {'are' if several else 'is'} left out." if alone else f"{said}."


def _odd(one: JudgedFit) -> str:
    """The wheel angles that are odd, with their numbers on the sheet."""
    words = []
    for angle in dict.fromkeys(map(odd_angle, one.odd)):
        numbers = one.numbers.of_wheel_angle(angle)
        sides = {each.side for each in one.odd if odd_angle(each) == angle} & set(numbers) or set(numbers)
        called = f" ({numbers_words(numbers[side] for side in sides)})" if sides else ""
        words.append(f"{_ANGLE_WORDS[angle]}{called}")
    return " and ".join(words)


def _suspects(one: JudgedFit, unit: LengthUnit, name: _Name | None) -> list[str]:
    scattered = [each for each in one.culprits if each.explanations[0].slip.cause is Cause.SCATTER]
    slips = [each for each in one.culprits if each not in scattered]
    said = []
    if slips and name is None:
        again = dict.fromkeys(name for each in slips for name in _again(each))
        every = {name for each in slips for name in _names(*each.explanations)}
        these = "these" if set(again) == every else in_words(again)
        said.append(f"Suspect: {'; '.join(map(_numbers, slips))}. Measure {these} again.")
    elif slips:
        said += [_suspect(each, unit, name or by_number) for each in slips]
    if scattered:
        times = scattered[0].explanations[0].slip.factor
        what_to_do = "" if name is None else ": measure again, or state larger doubts"
        besides = ", besides" if slips else f", and none stands out{what_to_do}"
        said.append(f"They scatter {times:.1f} times as far as their doubts say{besides}.")
    return said


def _suspect(culprit: Culprit, unit: LengthUnit, name: _Name) -> str:
    """One sentence: what was read, what it probably should be, and what to measure again."""
    alike: dict[tuple[int, ...], Explanation] = {}
    for one in culprit.explanations:
        alike.setdefault(one.slip.of, one)
    each = [_explained(one, unit, name) for one in alike.values()]
    if len(each) == 1:
        return f"{'Suspect' if culprit.sure else 'Most likely'}: {each[0]}; measure again."
    again = "all of them" if culprit.decides is None else in_words(_again(culprit))
    return f"Suspect: {' or '.join(each)}; measure {again} again to decide."


def _again(culprit: Culprit) -> tuple[str, ...]:
    """What to measure again: what decides, or all that may be wrong."""
    if culprit.decides is not None:
        return (by_number(culprit.decides.number, culprit.decides.name),)
    return _names(*culprit.explanations)


def _numbers(culprit: Culprit) -> str:
    """The readings of each explanation, called as shortly as may be."""
    known: list[Explanation] = []
    besides: list[Explanation] = []
    for one in culprit.explanations:
        (besides if any(set(one.slip.of) > set(other.slip.of) for other in known) else known).append(one)
    each = dict.fromkeys(in_words(_names(one)) for one in known)
    more = [name for name in _names(*besides) if name not in _names(*known)]
    return f"{' or '.join(each)}{f', perhaps with {in_words(more)}' if more else ''}"


def _names(*explanations: Explanation) -> tuple[str, ...]:
    """What the readings are called that explanations speak of."""
    readings = (of for one in explanations for of in told_readings(one))
    return tuple(dict.fromkeys(by_number(of.number, of.name) for of in readings))


def _explained(one: Explanation, unit: LengthUnit, name: _Name) -> str:
    readings = told_readings(one)
    if len(readings) == 1 and one.slip.cause is not Cause.OTHER_HOLE:
        return _should_be(readings[0], unit, name)
    called = in_words(name(each.number, each.name) for each in readings)
    return f"{called}: {slip_words(one.slip, readings[0], unit)}"


def _should_be(one: SuspectReading, unit: LengthUnit, name: _Name) -> str:
    likely = would_read_words(one.would_read, reading_kind(one), unit, one.written)
    return f"{name(one.number, one.name)}, read as {read_words(one, unit)}, probably {likely}"


def _least_checked(one: JudgedFit, checked: Reliability, unit: LengthUnit, called: _Name) -> str:
    """The reading whose unseen error would do most."""
    if not checked.weak:
        return ""
    weak = checked.weak[0]
    name = called(one.numbers.of(one.fit.survey.readings[weak.reading.of]), weak.reading.name.replace("_", " "))
    size = error_words(weak, one.fit.dimension(weak.reading), unit)
    moved = moved_by(weak, unit)
    off = "an error of any size" if weak.of_any_size else f"{size} off"
    return f"Least checked: {name}; {off} may not show{f', and moves the roll centre {moved}' if moved else ''}."


def _next(told: Sequence[JudgedFit], survey: str, car: str | None) -> str:
    if any(one.suspect or one.odd for one in told):
        again = ["cornersweep", "survey", survey, *([car, "--replace"] if car is not None else [])]
        return f"{NEXT}put it right, then {shlex.join(again)}"
    return next_line("survey", [survey], "my_car.toml") if car is None else next_line("show", [car])
