"""What to read next, as a part of the document of `survey`."""

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.survey.next_readings import NextCurve, NextReading, NextReadings
from reports.documents.amounts import Record, amount
from reports.words.next_readings import reading_words


def next_record(found: NextReadings, unit: LengthUnit) -> Record:
    """The list of one axle, with the number's 95 % either way now, as wanted, and after each reading."""
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


def _curve(one: NextCurve, found: NextReadings, unit: LengthUnit) -> Record:
    return {
        "curve": one.curves[0].of,
        "over": one.curves[0].over,
        "alone": amount(one.alone, found.number.dimension, unit),
        "with_readings": amount(one.besides, found.number.dimension, unit),
    }
