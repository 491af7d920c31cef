"""From the curves of a survey file, written there or in a CSV beside it, to curves, with the faults of each."""

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.lengths import LengthUnit
from kinematics.inputs.reading.csv_lines import csv_lines, number_in
from kinematics.inputs.reading.faults import Fault, InputFaultError, shown
from kinematics.inputs.reading.sizes import MOST_BYTES_POINTS, MOST_ROWS
from kinematics.inputs.reading.whole_file import whole_table
from kinematics.inputs.survey.survey_tables import CurveTable, SurveyAxleTable
from kinematics.survey.curves import Curve, is_angle

Rows = Sequence[tuple[float, float]]
_LEAST = 3  # readings: two would tell no bend, and one is taken up by the zero
_STEEPEST = 60.0  # degrees


def curves_of(
    axle: Axle, table: SurveyAxleTable, unit: LengthUnit, folder: Path
) -> tuple[tuple[Curve, ...], list[Fault]]:
    """The curves of one axle; a file named there is looked for in `folder`."""
    curves: list[Curve] = []
    faults: list[Fault] = []
    for number, entry in enumerate(table.curves, start=1):
        key = f"{axle.name}.curves {number}"
        rows, wrong = _rows(entry, key, folder)
        wrong = wrong or [*_entry_faults(entry, key, axle), *_row_faults(entry, rows, key)]
        faults += wrong
        if not wrong:
            curves.append(_curve(entry, rows, key, unit))
    return tuple(curves), faults


def _rows(entry: CurveTable, key: str, folder: Path) -> tuple[Rows, list[Fault]]:
    if (entry.table is None) == (entry.file is None):
        both = "read both" if entry.file else "has neither"
        return (), [Fault(key, f'{both}; give `table` = [[travel, reading], ...] or `file` = "a.csv", one of them')]
    if entry.file is None:
        return entry.table or (), []
    return _in_file(folder / entry.file, f"{key}.file")


def _in_file(path: Path, key: str) -> tuple[Rows, list[Fault]]:
    """The two columns of a CSV, with or without a line of titles."""
    try:
        lines, comma = csv_lines(path, whole_table(path, MOST_BYTES_POINTS, MOST_ROWS))
    except InputFaultError as error:
        return (), [Fault(key, f"cannot read {shown(str(path))}: {fault}") for fault in error.faults]
    rows: list[tuple[float, float]] = []
    for number, fields in lines:
        numbers = [_number(field, comma=comma) for field in fields if field.strip()]
        match numbers:
            case [float(travel), float(read)]:
                rows.append((travel, read))
            case [None, None] if number == lines[0][0]:
                continue
            case _:
                text = f"line {number}: read {shown((';' if comma else ',').join(fields))}; two numbers are allowed"
                return (), [Fault(key, f"{shown(path.name)}, {text}")]
    return rows, []


def _number(field: str, *, comma: bool) -> float | None:
    try:
        return number_in(field, comma=comma)
    except ValueError:
        return None


def _entry_faults(entry: CurveTable, key: str, axle: Axle) -> Iterator[Fault]:
    if entry.over == "rack" and not axle.suspension.rack:
        yield Fault(f"{key}.over", f'read "rack"; a {axle.suspension.name} has no rack, "travel" is allowed')


def _row_faults(entry: CurveTable, rows: Rows, key: str) -> Iterator[Fault]:
    where = f"{key}.{'table' if entry.file is None else 'file'}"
    travels = [travel for travel, _ in rows]
    if len(set(travels)) < _LEAST:
        count = f"{len(set(travels))} travel{'s' if len(set(travels)) != 1 else ''}"
        yield Fault(where, f"has {count}; at least {_LEAST} are needed, for the gauge's zero is not known")
    steep = [value for _, value in rows if is_angle(entry.of) and abs(value) > _STEEPEST]
    if steep:
        yield Fault(where, f"read {steep[0]:g}; {entry.of} is in degrees, -60 to 60 are allowed")


def _curve(entry: CurveTable, rows: Rows, key: str, unit: LengthUnit) -> Curve:
    at, reads = np.array(rows, dtype=float).T
    angle = is_angle(entry.of)
    return Curve(
        of=entry.of,
        over=entry.over,
        side=SIDE_NAMES.index(entry.side),
        at=at * unit.in_mm,
        reads=np.radians(reads) if angle else reads * unit.in_mm,
        doubt=math.radians(entry.known_to) if angle else unit.to_mm(entry.known_to),
        key=key,
    )
