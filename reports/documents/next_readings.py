"""What to read next, as a part of the document of `survey`."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.survey.dispensable import Dispensable
from kinematics.survey.next_readings import NextCurve, NextReading, NextReadings
from reports.documents.amounts import Record, amount
from reports.words.next_readings import reading_words

NOTHING_SPARED: Mapping[str, Sequence[Dispensable]] = MappingProxyType({})


def next_record(
    found: NextReadings, unit: LengthUnit, spared: Mapping[str, Sequence[Dispensable]] = NOTHING_SPARED
) -> Record:
    """The list of one axle, with the number's 95 % either way now, as wanted, and after each reading.

    spared: what of the sheet could be left out, by axle.
    """
    kind = found.number.dimension
    return {
        "axle": found.found.axle.name,
        "key": found.number.key,
        "title": found.number.title,
        "either_way_95": amount(found.now, kind, unit),
        "wanted": None if found.within is None else amount(found.within, kind, unit),
        "reached": found.reached,
        "readings": [_reading(one, found, unit) for one in found],
        "curves": [_curve(one, found, unit) for one in found.curves],
        "could_be_left_out": [_spared(one, found, unit) for one in spared.get(found.found.axle.name, ())],
    }


def _reading(one: NextReading, found: NextReadings, unit: LengthUnit) -> Record:
    own = Dimension.ANGLE if one.what.is_angle else Dimension.LENGTH
    return {
        "reading": one.name,
        "words": reading_words(one.what),
        "sheet_number": one.what.number,
        "again": one.what.again,
        "known_to": amount(one.what.doubt, own, unit),
        "before": amount(one.before, found.number.dimension, unit),
        "after": amount(one.after, found.number.dimension, unit),
    }


def _spared(one: Dispensable, found: NextReadings, unit: LengthUnit) -> Record:
    return {
        "reading": str(one.what.reading),
        "words": reading_words(one.what),
        "sheet_number": one.what.number,
        "then": amount(one.without, found.number.dimension, unit),
    }


def _curve(one: NextCurve, found: NextReadings, unit: LengthUnit) -> Record:
    return {
        "curve": one.curves[0].of,
        "over": one.curves[0].over,
        "alone": amount(one.alone, found.number.dimension, unit),
        "with_readings": amount(one.besides, found.number.dimension, unit),
    }
