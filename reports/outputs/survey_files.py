"""The readings of a fitted survey as CSV."""

from collections.abc import Sequence
from typing import BinaryIO

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.survey.fit import SurveyFit
from reports.outputs.csv_files import write_rows


def write_readings(fits: Sequence[SurveyFit], unit: LengthUnit, file: BinaryIO) -> None:
    """Write one row for each scalar reading: read, fitted, off by, doubt, standardised, and how far it is checked."""
    rows: list[list[object]] = []
    head = ("axle", "reading", "unit", "read", "fitted", "off_by", "doubt", "standardised", "checked_by_others", "note")
    for found in fits:
        for one in found.readings:
            kind = found.dimension(one)
            scale = kind.scale(unit)
            lengths = [float(value * scale) for value in (one.read, one.fitted, one.read - one.fitted, one.doubt)]
            known = np.isfinite(one.standardised)
            note = "" if known else "no other reading checks this one"
            cells = [*lengths, one.standardised, one.redundancy, note]
            rows.append([found.axle.name, one.name, kind.unit(unit), *cells])
    write_rows(head, rows, file)
