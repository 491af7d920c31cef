"""All that speaks against a fitted survey, a line each: what to look at again, what is suspect, and warnings."""

from collections.abc import Iterator, Mapping

from kinematics.car.lengths import LengthUnit
from kinematics.car.uncertainty import ANGLES
from kinematics.survey.judged import JudgedFit, odd_angle
from reports.words.both_sides import placed_once
from reports.words.readings import numbers_words
from reports.words.survey import culprit_words, missing_words, second_place_words
from reports.words.survey_curves import misfit_words
from reports.words.survey_until_mended import until_mended_words
from reports.words.suspicious import LOOK_AGAIN, oddities_told

SUSPECT, WARNING = "SUSPECT", "WARNING"


def look_again_lines(judged: JudgedFit, unit: LengthUnit) -> list[str]:
    """What is odd about camber and toe, with their numbers on the sheet."""
    told: list[str] = []
    for angle in ANGLES:
        own = [one for one in judged.odd if odd_angle(one) == angle]
        numbers = judged.numbers.of_wheel_angle(angle)
        told += [_with_numbers(place, text, numbers) for place, text in placed_once(oddities_told(own, unit))]
    if not judged.culprits:
        return told
    # Readings do not agree, which may come of that.
    ended = (text if text.endswith("?") else f"{text}." for text in told)
    return [f"{text} Put that right first: the readings were fitted with it" for text in ended]


def _with_numbers(place: str, text: str, numbers: Mapping[str, int]) -> str:
    """A sentence of a place, such as "front left", with the numbers that the place has on the sheet."""
    sides = set(place.split()) & set(numbers) or set(numbers)
    return f"{place}, {numbers_words(numbers[side] for side in sides)}: {text}" if sides else f"{place}: {text}"


def suspect_lines(judged: JudgedFit, unit: LengthUnit) -> list[str]:
    """Readings and curves that are suspect."""
    readings = (culprit_words(one, unit) for one in judged.culprits)
    return [*readings, *(misfit_words(one, unit) for one in judged.misfits)]


def warnings(judged: JudgedFit, unit: LengthUnit) -> list[str]:
    """What is hardly determined, lies elsewhere as well, or counts for less."""
    lines = missing_words(judged.missing, unit, judged.numbers)
    lines += [second_place_words(one, unit, judged.numbers) for one in judged.places]
    until = until_mended_words(judged.fit)
    return [*lines, until] if until else lines


def told_lines(judged: JudgedFit, unit: LengthUnit) -> Iterator[tuple[str, str]]:
    """All of it, each line with the word that it is told after."""
    yield from ((LOOK_AGAIN, text) for text in look_again_lines(judged, unit))
    yield from ((SUSPECT, text) for text in suspect_lines(judged, unit))
    yield from ((WARNING, text) for text in warnings(judged, unit))
