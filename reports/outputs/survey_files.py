"""The readings and the curves of a fitted survey as CSV."""

from collections.abc import Sequence
from typing import BinaryIO

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.survey.fit import SurveyFit
from kinematics.survey.readings import written_of
from kinematics.survey.reliability import Reliability
from kinematics.survey.sheet_numbers import SheetNumbers
from reports.outputs.csv_files import write_rows


def write_readings(checked: Sequence[Reliability], unit: LengthUnit, file: BinaryIO) -> None:
    """Write one row for each scalar reading: read, fitted, off by, doubt, standardised, and how far it is checked.

    sheet_number: its number on the measuring sheet. as_written: what was read, as its owner wrote it. detectable: the
    smallest error of it that the others would reveal, and by how much it would move the roll centre.
    """
    rows: list[list[object]] = []
    head = [
        "axle",
        "sheet_number",
        "reading",
        "unit",
        "as_written",
        "read",
        "fitted",
        "off_by",
        "doubt",
        "standardised",
        "checked_by_others",
    ]
    head += ["detectable", "moves_roll_centre_by", "note"]
    for reliability in checked:
        found = reliability.found
        numbers = SheetNumbers(found.survey).of_each()
        for one, shifts in zip(found.readings, reliability.shifts.tolist(), strict=True):
            kind = found.dimension(one)
            scale = kind.scale(unit)
            lengths = [float(value * scale) for value in (one.read, one.fitted, one.read - one.fitted, one.doubt)]
            known = np.isfinite(one.standardised)
            note = "" if known else "no other reading checks this one"
            told = (one.standardised, one.redundancy, one.detectable * scale, shifts * Dimension.LENGTH.scale(unit))
            cells = [*lengths, *told, note]
            named = [found.axle.name, numbers[one.of], one.name, kind.unit(unit)]
            rows.append([*named, written_of(found.survey.readings[one.of], one.read), *cells])
    write_rows(head, rows, file)


def write_curves(fits: Sequence[SurveyFit], unit: LengthUnit, file: BinaryIO) -> None:
    """Write one row for each reading of a curve: read, as fitted, as the other readings alone make it, its doubt."""
    head = ["axle", "curve", "over", "side", "at", "at_unit"]
    head += ["read", "fitted", "by_readings_alone", "off_by", "doubt", "unit"]
    rows: list[list[object]] = []
    for found in fits:
        if found.curved is None:
            continue
        for curve, before, after in zip(found.survey.curves, found.curved.before, found.curved.after, strict=True):
            scale = curve.dimension.scale(unit)
            told = [found.axle.name, curve.of, curve.over, SIDE_NAMES[curve.side]]
            for at, read, alone, fitted in zip(curve.at, curve.reads, before, after, strict=True):
                values = [float(one * scale) for one in (read, fitted, alone, read - fitted, curve.doubt)]
                place = [float(at * Dimension.LENGTH.scale(unit)), Dimension.LENGTH.unit(unit)]
                rows.append([*told, *place, *values, curve.dimension.unit(unit)])
    write_rows(head, rows, file)
