"""Surveys as the measuring sheet asks for them, of invented cars whose points are known, with seeded errors."""

from fractions import Fraction

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.lengths import INCH, MM, LengthUnit
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.uncertainty import Coordinate
from kinematics.survey.reading_list import SuggestedReading, reading_list
from kinematics.survey.readings import Reading, ReadingKind, Survey, rows
from reports.sheet.survey_template import survey_template
from tests.survey.invented_surveys import true_parameters, truth, with_rows

# One standard deviation of each kind of reading [mm, rad], the file's own unless it says otherwise.
DOUBTS: dict[str, float] = {"up": 1.5, "out": 1.5, "ahead": 1.5, "tape": 2.0, "track": 2.0, "angle": np.radians(0.2)}
STEPS = {MM: 1.0, INCH: 1.0 / 8.0}  # of the instruments, in their unit
ANGLE_STEP = np.radians(0.1)


def asked_of(kind: str) -> list[tuple[ReadingKind, SuggestedReading]]:
    """The readings that the sheet asks for."""
    return [(one.kind, one) for one in reading_list(SUSPENSIONS[kind]) if one.kind in DOUBTS]  # type: ignore[misc]


def sheet_survey(
    kind: str, seed: int, unit: LengthUnit = MM, axle: Axle | None = None, *, exact: bool = False
) -> Survey:
    """The sheet filled in for an invented axle, each reading with an error by its doubt, to a step of its instrument.

    exact: without errors, and unrounded.
    """
    axle = axle or truth(kind, seed)
    readings = tuple(Reading(of, one.of, 0.0, DOUBTS[of], seen_from=one.seen_from) for of, one in asked_of(kind))
    angles = tuple((Coordinate(angle, ""), float(np.radians(0.1))) for angle in ("camber", "toe"))
    blank = Survey(axle, False, (), readings, angles)
    at = true_parameters(blank, axle)
    every_row = rows(blank).from_start(at)
    shown = every_row.predicted(at)
    if not exact:
        steps = np.where([one.kind == "angle" for one in readings], ANGLE_STEP, STEPS[unit] * unit.in_mm)
        shown = shown + every_row.doubts * np.random.default_rng(seed).normal(size=shown.size)
        shown = np.round(shown / steps) * steps
    return with_rows(blank, shown)


def as_file(survey: Survey, unit: LengthUnit) -> str:
    """The survey file with a sheet's readings typed in, inches as a tape shows them, like 13 5/8."""
    asked = reading_list(survey.axle.suspension)
    values = {
        one.number: "-1.4" if one.kind == "camber" else "0.1" for one in asked if one.kind in ("camber", "toe_in")
    }
    numbers = [one.number for one in asked if one.kind in DOUBTS]
    for number, reading in zip(numbers, survey.readings, strict=True):
        values[number] = _typed(reading, unit)
    return survey_template(survey.axle.suspension, unit, "front", values)


def _typed(reading: Reading, unit: LengthUnit) -> str:
    assert reading.reads is not None
    if reading.kind == "angle":
        return f"{np.degrees(reading.reads):.1f}"
    value = unit.from_mm(reading.reads)
    if unit is MM:
        return f"{value:.1f}"
    eighths = Fraction(round(abs(value) * 8), 8)
    whole, rest = divmod(eighths, 1)
    sign = "-" if value < 0 else ""
    return f"{sign}{whole} {rest}" if rest else f"{sign}{whole}"
