"""The readings of a fitted survey as CSV."""

from collections.abc import Sequence
from typing import BinaryIO

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.survey.reliability import Reliability
from reports.outputs.csv_files import write_rows


def write_readings(checked: Sequence[Reliability], unit: LengthUnit, file: BinaryIO) -> None:
    """Write one row for each scalar reading: read, fitted, off by, doubt, standardised, and how far it is checked.

    detectable: the smallest error of it that the others would reveal, and by how much it would move the roll centre.
    """
    rows: list[list[object]] = []
    head = ["axle", "reading", "unit", "read", "fitted", "off_by", "doubt", "standardised", "checked_by_others"]
    head += ["detectable", "moves_roll_centre_by", "note"]
    for reliability in checked:
        found = reliability.found
        for one, shifts in zip(found.readings, reliability.shifts.tolist(), strict=True):
            kind = found.dimension(one)
            scale = kind.scale(unit)
            lengths = [float(value * scale) for value in (one.read, one.fitted, one.read - one.fitted, one.doubt)]
            known = np.isfinite(one.standardised)
            note = "" if known else "no other reading checks this one"
            told = (one.standardised, one.redundancy, one.detectable * scale, shifts * Dimension.LENGTH.scale(unit))
            cells = [*lengths, *told, note]
            rows.append([found.axle.name, one.name, kind.unit(unit), *cells])
    write_rows(head, rows, file)
