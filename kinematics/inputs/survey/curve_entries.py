"""From the curves of a survey file, written there or in a CSV beside it, to curves, with the faults of each."""

import csv
import math
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.lengths import LengthUnit
from kinematics.inputs.reading.faults import Fault, shown
from kinematics.inputs.survey.survey_tables import CurveTable, SurveyAxleTable
from kinematics.survey.curves import Curve

Rows = Sequence[tuple[float, float]]
_LEAST = 3  # readings: two would tell no bend, and one is taken up by the zero
_LARGEST_FILE = 1_000_000  # bytes
_STEEPEST = math.radians(60.0)


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
    """The two columns of a CSV, with or without a line of titles; commas or semicolons between."""
    try:
        if path.stat().st_size > _LARGEST_FILE:
            return (), [Fault(key, f"{shown(path.name)} is too large for a table of readings")]
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not text"
        return (), [Fault(key, f"cannot read {shown(str(path))}: {why}")]
    between = ";" if any(";" in line for line in lines) else ","
    rows: list[tuple[float, float]] = []
    for number, cells in enumerate(csv.reader(lines, delimiter=between), start=1):
        if not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#"):
            continue
        numbers = [_number(cell, comma=between == ";") for cell in cells[:2]]
        if len(cells) >= 2 and all(one is not None for one in numbers):
            rows.append((numbers[0] or 0.0, numbers[1] or 0.0))
        elif rows or number > 1:
            text = f"{shown(path.name)}, line {number}: read {shown(between.join(cells))}; two numbers are allowed"
            return (), [Fault(key, text)]
    return rows, []


def _number(cell: str, *, comma: bool) -> float | None:
    try:
        value = float(cell.replace(",", ".") if comma else cell)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _entry_faults(entry: CurveTable, key: str, axle: Axle) -> Iterator[Fault]:
    if entry.over == "rack" and not axle.suspension.rack:
        yield Fault(f"{key}.over", f'read "rack"; a {axle.suspension.name} has no rack, "travel" is allowed')


def _row_faults(entry: CurveTable, rows: Rows, key: str) -> Iterator[Fault]:
    where = f"{key}.{'table' if entry.file is None else 'file'}"
    travels = [travel for travel, _ in rows]
    if len(set(travels)) < _LEAST:
        count = f"{len(set(travels))} travel{'s' if len(set(travels)) != 1 else ''}"
        yield Fault(where, f"has {count}; at least {_LEAST} are needed, for the gauge's zero is not known")
    steep = [value for _, value in rows if entry.of in ("toe", "camber") and abs(math.radians(value)) > _STEEPEST]
    if steep:
        yield Fault(where, f"read {steep[0]:g}; {entry.of} is in degrees, -60 to 60 are allowed")


def _curve(entry: CurveTable, rows: Rows, key: str, unit: LengthUnit) -> Curve:
    at, reads = np.array(rows, dtype=float).T
    angle = entry.of in ("toe", "camber")
    return Curve(
        of=entry.of,
        over=entry.over,
        side=SIDE_NAMES.index(entry.side),
        at=at * unit.in_mm,
        reads=np.radians(reads) if angle else reads * unit.in_mm,
        doubt=math.radians(entry.known_to) if angle else unit.to_mm(entry.known_to),
        key=key,
    )
