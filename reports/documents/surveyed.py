"""The document of `survey`: fitted points, every reading and curve, and what may have gone wrong."""

from collections.abc import Iterator, Mapping, Sequence

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.car.uncertainty import ANGLES, WAYS, Coordinate
from kinematics.doubt.assessment import NORMAL_95
from kinematics.numbers.quantity import Dimension
from kinematics.survey.dispensable import Dispensable
from kinematics.survey.explanations import Culprit
from kinematics.survey.fit import FittedReading, SurveyFit, spread_beyond, widened
from kinematics.survey.judged import JudgedFit
from kinematics.survey.next_readings import NextReadings
from kinematics.survey.readings import written_of
from kinematics.survey.reliability import Reliability
from reports.documents.amounts import UNCHECKED, Record, amount, plain
from reports.documents.next_readings import NOTHING_SPARED, next_record
from reports.words.survey import culprit_words
from reports.words.survey_curves import misfit_words
from reports.words.survey_told import look_again_lines, warnings


def survey_document(
    judged: Sequence[JudgedFit],
    checked: Sequence[Reliability],
    unit: LengthUnit,
    further: Sequence[NextReadings | SurveyFit] = (),
    spared: Mapping[str, Sequence[Dispensable]] = NOTHING_SPARED,
) -> Record:
    """Each axle that was surveyed, and where it is asked what to read next, and what to leave out of the sheet."""
    both = zip(judged, checked, strict=True)
    return {
        "holds": not any(one.suspect for one in judged),
        "axles": [_axle(one, own, unit) for one, own in both],
        "next": [next_record(one, unit, spared) for one in further if isinstance(one, NextReadings)],
    }


def _axle(judged: JudgedFit, checked: Reliability, unit: LengthUnit) -> Record:
    found, numbers = judged.fit, judged.numbers.of_each()
    return {
        "axle": found.axle.name,
        "suspension": found.axle.suspension.name,
        "chi_square": plain(found.chi_square),
        "readings_to_spare": found.freedoms,
        "chance_of_so_large_a_chi_square": plain(found.probability),
        "doubts_widened_by": plain(spread_beyond(found)),
        "points": list(_points(found, unit)),
        "readings": [
            _reading(found, one, shifts, numbers[one.of], unit)
            for one, shifts in zip(found.readings, checked.shifts.tolist(), strict=True)
        ],
        "suspects": [_suspect(one, unit) for one in judged.culprits],
        "curves": list(_curves(judged, unit)),
        "curve_suspects": [
            {
                "code": one.slips[0].cause.name.lower(),
                "codes": [slip.cause.name.lower() for slip in one.slips],
                "chance": plain(one.chance),
                "words": misfit_words(one, unit),
            }
            for one in judged.misfits
        ],
        "warnings": [*look_again_lines(judged, unit), *warnings(judged, unit)],
    }


def _points(found: SurveyFit, unit: LengthUnit) -> Iterator[Record]:
    """Each coordinate of each point, with its 95 % way."""
    doubt = widened(found)
    deviations = dict(zip(doubt.coordinates, doubt.standard_deviation.tolist(), strict=True))
    for key, on in dict.fromkeys((one.of, one.sides) for one in deviations if one.of not in ANGLES):
        place = found.axle.points[key][on[0]] * [1.0, -1.0 if on == (1,) else 1.0, 1.0]
        for way, value in zip(WAYS, place.tolist(), strict=True):
            told: Record = {"point": key, "side": None if len(on) == 2 else SIDE_NAMES[on[0]], "way": way}
            known_to = plain(NORMAL_95 * deviations[Coordinate(key, way, on)], Dimension.LENGTH.scale(unit))
            yield {**told, **amount(value, Dimension.LENGTH, unit), "either_way_95": known_to}


def _reading(found: SurveyFit, one: FittedReading, shifts: float, number: int | None, unit: LengthUnit) -> Record:
    kind = found.dimension(one)
    values = {"read": one.read, "fitted": one.fitted, "off_by": one.residual, "doubt": one.doubt}
    told: Record = {"reading": one.name, "sheet_number": number, "unit": kind.unit(unit)}
    told["as_written"] = written_of(found.survey.readings[one.of], one.read) or None
    told |= {name: plain(value, kind.scale(unit)) for name, value in values.items()}
    told |= {"standardised": plain(one.standardised), "checked_by_others": plain(one.redundancy)}
    told |= {"detectable": plain(one.detectable, kind.scale(unit))}
    told |= {"moves_roll_centre_by": plain(shifts, Dimension.LENGTH.scale(unit))}
    return told | ({"reason": UNCHECKED} if told["standardised"] is None else {})


def _curves(judged: JudgedFit, unit: LengthUnit) -> Iterator[Record]:
    found = judged.fit
    if found.curved is None:
        return
    both = (found.survey.curves, found.curved.before, found.curved.after, judged.curves.chances, found.curved.counts)
    for curve, before, after, chance, counts in zip(*both, strict=True):
        scale = curve.dimension.scale(unit)
        columns = {"read": curve.reads, "fitted": after, "by_readings_alone": before}
        yield {
            **{"curve": curve.of, "over": curve.over, "side": SIDE_NAMES[curve.side]},
            **{
                "unit": curve.dimension.unit(unit),
                "chance": None if chance is None else plain(chance),
                "counts": counts,
            },
            "at": [plain(one, Dimension.LENGTH.scale(unit)) for one in curve.at.tolist()],
            **{name: [plain(one, scale) for one in values.tolist()] for name, values in columns.items()},
        }


def _suspect(one: Culprit, unit: LengthUnit) -> Record:
    causes: list[Record] = [
        {
            "code": each.slip.cause.name.lower(),
            "chance": plain(each.chance),
            "readings": [{"reading": of.name, "sheet_number": of.number} for of in each.readings],
        }
        for each in one.explanations
    ]
    told: Record = {"explanations": causes, "chance": plain(one.chance), "sure": one.sure}
    return {**told, "words": culprit_words(one, unit)}
