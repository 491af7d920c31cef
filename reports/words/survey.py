"""What a survey's fit has to tell, in words: how well readings agree, what does not fit and why, what is missing."""

from collections.abc import Sequence
from itertools import groupby

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.car.uncertainty import WAYS
from kinematics.numbers.quantity import Dimension
from kinematics.survey.explanations import SURE, Cause, Culprit, Decides, Explanation, Slip, SuspectReading
from kinematics.survey.fit import SurveyFit, scattered_beyond
from kinematics.survey.missing import Missing
from kinematics.survey.readings import Reading
from kinematics.survey.reliability import Reliability, WeaklyChecked
from kinematics.survey.second_places import SecondPlace
from kinematics.survey.sheet_numbers import SheetNumbers
from reports.words.numbers import told
from reports.words.readings import as_read, by_number, in_words, numbered, would_read_words
from solvers.vectors import Array

_TOO_GOOD = 0.999
_NONE_LEFT = "No reading is left over to check the others: a misreading would not show."
_MOST_SENTENCES = 3


def agreement_words(found: SurveyFit) -> str:
    """How well the readings agree with each other, plainly."""
    if found.freedoms <= 0:
        return _NONE_LEFT
    more = f"{found.freedoms} more than needed"
    if scattered_beyond(found) > 1.0:
        return f"{more}: the readings do NOT agree as well as their doubts say"
    if agree_too_well(found):
        return f"{more}: the readings agree better than their doubts say; the doubts may be too large"
    return f"{more}: taken together the readings agree as well as their doubts say"


def agree_too_well(found: SurveyFit) -> bool:
    """Whether readings agree so well that their doubts may be too large."""
    return found.freedoms > 0 and found.probability > _TOO_GOOD


def exact_agreement_words(found: SurveyFit) -> str:
    """How well the readings agree with each other, by chi-square."""
    if found.freedoms <= 0:
        return _NONE_LEFT
    left = f"{found.freedoms} reading{'s' if found.freedoms > 1 else ''}"
    text = f"{left} more than needed (chi-square {found.chi_square:.1f}, about as many is usual)"
    if scattered_beyond(found) > 1.0:
        chance = f"{100.0 * found.probability:.1f} %" if found.probability > 0.0005 else "under 0.1 %"
        return f"{text}: the readings do NOT agree as well as their doubts say (chance of that: {chance})"
    if found.probability > _TOO_GOOD:
        return f"{text}: the readings agree better than their doubts say; the doubts may be too large"
    chance = f"{100 * found.probability:.0f} %"
    return f"{text}: taken together the readings agree as well as their doubts say (chance {chance})"


def culprit_words(culprit: Culprit, unit: LengthUnit) -> str:
    """Every explanation that fits about equally well."""
    first = culprit.explanations[0].slip
    if first.cause is Cause.SCATTER:
        return (
            f"the readings scatter {first.factor:.1f} times as far as their doubts say, and no single one stands out: "
            "were they really read so closely? State larger doubts (known_to), or measure again"
        )
    same = [list(each) for _, each in groupby(culprit.explanations, key=lambda one: one.slip.of)]
    told = [explanation_words(each, unit, whole=culprit.sure and len(same) == 1) for each in same]
    for at, each in enumerate(same[1:], 1):
        if each[0].slip.cause is Cause.OTHER_HOLE and _told_before(each[0], same[:at]):
            told[at] = _likely_words(each, unit)
    if len(same) == 1:
        again = f"{told[0]}; {_again_words(same[0], unit)}"
        return again if culprit.sure else f"most likely {again}"
    if culprit.decides is None:
        return f"either {'; or '.join(told)}. Nothing here decides, so measure all of them again"
    return f"either {'; or '.join(told)}. {_decides_words(culprit.decides, unit)}"


def _told_before(one: Explanation, earlier: Sequence[Sequence[Explanation]]) -> bool:
    """Whether a reading that an explanation speaks of is told by itself already."""
    return any(set(one.slip.of) & set(each[0].slip.of) for each in earlier)


def _chance(chance: float) -> str:
    if chance > SURE:
        return "chance over 99 %"
    return "chance under 1 %" if chance < 1.0 - SURE else f"chance {100.0 * chance:.0f} %"


def _decides_words(decides: Decides, unit: LengthUnit) -> str:
    """The reading that tells two explanations of different readings apart."""
    kind = reading_kind(decides)
    first, other = (would_read_words(value, kind, unit, decides.written) for value in (decides.first, decides.other))
    name = numbered(decides.number, decides.name)
    return (
        f"The readings alone do not decide, so change none of them yet: measure {name} again; about {first} "
        f"speaks for the first, about {other} for the second"
    )


def explanation_words(same: Sequence[Explanation], unit: LengthUnit, *, whole: bool = False) -> str:
    """What was read and what likely went wrong, of explanations of the same readings.

    whole: a single one is told without its chance, since nothing else is nearly as likely.
    """
    read = in_words(
        f"{numbered(one.number, one.name)} was read as {read_words(one, unit)}, which the others make "
        f"{_amount(one.others, one, unit)} (known to {_amount(one.known_to, one, unit)})"
        for one in told_readings(same[0])
    )
    return f"{read}: {_likely_words(same, unit, whole=whole)}"


def _likely_words(same: Sequence[Explanation], unit: LengthUnit, *, whole: bool = False) -> str:
    likely = [slip_words(one.slip, one.readings[0], unit) for one in same]
    if len(same) > 1:
        likely = [f"{text} ({_chance(one.chance)})" for text, one in zip(likely, same, strict=True)]
    elif not whole:
        likely = [f"{likely[0]} ({_chance(same[0].chance_of_any)})"]
    return " or ".join(likely)


def _again_words(same: Sequence[Explanation], unit: LengthUnit) -> str:
    """What to measure again, and what it would then read."""
    suspect = told_readings(same[0])
    again = in_words(by_number(one.number, one.name) for one in suspect)
    then = in_words(would_read_words(one.would_read, reading_kind(one), unit, one.written) for one in suspect)
    return f"measure {again} again: {'it' if len(suspect) == 1 else 'they'} would then read about {then}"


def told_readings(one: Explanation) -> tuple[SuspectReading, ...]:
    """Those that are told by themselves: of two points exchanged in many readings the first two stand for all."""
    return one.readings[:2] if one.slip.cause is Cause.EXCHANGED else one.readings


def slip_words(slip: Slip, suspect: SuspectReading, unit: LengthUnit) -> str:
    """What may have gone wrong with a reading."""
    match slip.cause:
        case Cause.MISREAD:
            return f"misread by {_by(slip, suspect, unit)}"
        case Cause.DIGITS:
            return f"two digits exchanged, which is {_by(slip, suspect, unit)}"
        case Cause.OTHER_HOLE:
            return f"all that was read of {slip.points[0]} by rule is of another place near it, perhaps another hole"
        case Cause.OTHER_UNIT if (slip.factor > 1.0) == (unit.symbol == "mm"):
            written, counted = ("inches", "mm") if unit.symbol == "mm" else ("mm", "inches")
            return f"written in {written}, where the file counts in {counted}"
        case Cause.OTHER_UNIT:
            return "changed from inches to mm, or back, once too often"
        case Cause.HALF_OR_DOUBLE:
            half, whole = ("half", "whole") if slip.factor > 1.0 else ("whole", "half")
            return f"the {half} of it was written for the {whole}"
        case Cause.WRONG_SIGN:
            return "its sign is wrong" if len(slip.of) == 1 else "both of their signs are wrong"
        case Cause.SWAPPED:
            return "each written in the other's line"
        case Cause.OTHER_POINT:
            named, taken = slip.points
            return f"taken at {taken}, not at {named}"
        case Cause.EXCHANGED:
            return f"{' and '.join(slip.points)} exchanged in all readings of {' and '.join(slip.kinds)}"
    return f"off by about {_amount(abs(slip.off), suspect, unit)}, cause unknown"


def read_words(one: SuspectReading, unit: LengthUnit) -> str:
    """What was read, as it was written down."""
    return as_read(one.read, reading_kind(one), unit, one.written)


def reading_kind(of: SuspectReading | Decides) -> Dimension:
    """What a suspect reading is measured in."""
    return Dimension.ANGLE if of.is_angle else Dimension.LENGTH


def _by(slip: Slip, suspect: SuspectReading, unit: LengthUnit) -> str:
    """By how much a reading is off where that is a step of its instrument."""
    return would_read_words(abs(slip.off), reading_kind(suspect), unit, suspect.written)


def _amount(value: float, suspect: SuspectReading, unit: LengthUnit) -> str:
    if not suspect.is_angle:
        return told(value, Dimension.LENGTH, unit, sign=False)
    # A level shows a tenth of a degree.
    return f"{round(float(np.degrees(value)), 1) + 0.0:.1f} deg"


def weakly_checked_words(checked: Reliability, unit: LengthUnit) -> list[str]:
    """A sentence for each of the readings whose unseen error would do most, the worst first."""
    worst = (*checked.weak, *checked.hardly)[:_MOST_SENTENCES]
    numbers = SheetNumbers(checked.found.survey)
    return [_weakly_checked(one, checked.found, numbers, unit) for one in worst]


def _weakly_checked(one: WeaklyChecked, found: SurveyFit, numbers: SheetNumbers, unit: LengthUnit) -> str:
    kind, number = found.dimension(one.reading), numbers.of(found.survey.readings[one.reading.of])
    size = (
        f"any size (say {told(one.most, kind, unit, sign=False)})" if one.of_any_size else error_words(one, kind, unit)
    )
    moved = moved_by(one, unit) or "an unknown amount"
    return (
        f"Weakly checked: {numbered(number, one.reading.name.replace('_', ' '))}. An error of {size} would pass unseen "
        f"and move the roll centre by {moved}. To check it, read {check_words(one, numbers)}."
    )


def error_words(one: WeaklyChecked, kind: Dimension, unit: LengthUnit) -> str:
    """How large an error would pass unseen; beyond what anyone would misread it is any."""
    return "any" if one.of_any_size else told(one.detectable, kind, unit, sign=False)


def check_words(one: WeaklyChecked, numbers: SheetNumbers) -> str:
    """What to read to check a reading."""
    if one.again:
        return "it again, afresh"
    return numbered(numbers.of(one.check), str(one.check).replace("_", " "))


def moved_by(one: WeaklyChecked, unit: LengthUnit) -> str:
    """How far it would move the roll centre; "" where that is not known."""
    return told(one.shifts, Dimension.LENGTH, unit, sign=False) if np.isfinite(one.shifts) else ""


def missing_words(missing: Missing, unit: LengthUnit, numbers: SheetNumbers | None = None) -> list[str]:
    """What the readings leave open and what to read besides; nothing if nothing is missing. numbers: of the sheet."""
    lines = [f"{loose.name}: {', '.join(loose.ways)} not determined by the readings" for loose in missing.open]
    for loose in missing.hardly:
        parts = (
            f"{way} to {unit.from_mm(doubt):.2g} {unit.symbol}"
            for way, doubt in zip(loose.ways, loose.standard_deviations, strict=True)
        )
        lines.append(f"{loose.name}: hardly determined ({', '.join(parts)}, one standard deviation)")
    besides = (*missing.wanted, *missing.better)
    if besides:
        lines.append(f"read besides: {'; '.join(_called(one, numbers) for one in besides)}")
    return lines


def second_place_words(second: SecondPlace, unit: LengthUnit, numbers: SheetNumbers | None = None) -> str:
    """Both places, and the reading that decides."""
    places = "; ".join(
        f"{name} at {_place(here, unit)} or at {_place(there, unit)}" for name, here, there in second.moved
    )
    here, there = (_coarse(one, unit) for one in (second.here, second.there))
    decides = f"{_called(second.decides, numbers)} is {here} or {there} {unit.symbol}"
    return f"the readings fit two places: {places} {unit.symbol}; to decide, read whether {decides}"


def _called(reading: Reading, numbers: SheetNumbers | None) -> str:
    return numbered(None if numbers is None else numbers.of(reading), str(reading))


def _place(place: Array, unit: LengthUnit) -> str:
    return ", ".join(f"{way} {_coarse(value, unit)}" for way, value in zip(WAYS, place, strict=True))


def _coarse(value: float, unit: LengthUnit) -> str:
    """A length without its unit, as close as two places need to be told apart."""
    decimals = 0 if unit.symbol == "mm" else 1
    return f"{round(unit.from_mm(value), decimals) + 0.0:.{decimals}f}"
