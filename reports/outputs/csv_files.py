"""Sweeps as CSV (RFC 4180): one header row, units in the column names, twelve digits, a note for each gap.

Text that a spreadsheet would take for a formula, such as a plan's name that begins with =, has an apostrophe before it.
"""

import csv
import io
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from kinematics.car.lengths import LengthUnit
from kinematics.inputs.tables.formula_guard import guarded
from kinematics.sweeps.body import Sweep
from kinematics.sweeps.roll_axis import RollAxis
from reports.outputs.decimals import decimal
from reports.words.gaps import gap_words
from reports.words.roll_axis import roll_axis_notes
from solvers.vectors import Array


def write_csv(sweep: Sweep, unit: LengthUnit, file: BinaryIO) -> None:
    """Write one row for each state. A number that does not exist is an empty field; `note` says why."""
    write_columns(sweep.columns(unit), sweep.gaps.each(gap_words).reshape(-1), file)


def write_roll_axis(axis: RollAxis, unit: LengthUnit, file: BinaryIO) -> None:
    """Write a roll axis over heave and roll, one row for each state."""
    columns = axis.columns(unit)
    finite = np.asarray(np.isfinite(np.stack(list(columns.values()))).all(axis=0))
    write_columns(columns, roll_axis_notes(axis, finite), file)


def write_columns(
    columns: Mapping[str, Array],
    notes: Sequence[str] | NDArray[np.object_],
    file: BinaryIO,
    names: tuple[str, Sequence[str]] = ("", ()),
) -> None:
    """Write columns (S,) and a note for each row; what is not finite is an empty field. names: a first column's."""
    head, first = names
    values = decimal(np.stack(list(columns.values()), axis=1))
    stacked = values.astype(object)
    stacked[~np.isfinite(values)] = ""
    leading = [[name] for name in first] or [[]] * len(stacked)
    rows = ([*name, *row, note] for name, row, note in zip(leading, stacked.tolist(), notes, strict=True))
    write_rows([*([head] if head else []), *columns, "note"], rows, file)


def write_rows(head: Sequence[str], rows: Iterable[Sequence[object]], file: BinaryIO) -> None:
    """Write a header and rows: numbers to twelve digits, an empty field for what is not finite.

    Text is guarded, so that none of it becomes a formula.
    """
    text = io.TextIOWrapper(file, encoding="utf-8", newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(map(_cell, head))
    writer.writerows(map(_cell, row) for row in rows)
    text.flush()
    text.detach()


def _cell(value: object) -> object:
    if isinstance(value, float):
        return float(decimal(value)) if math.isfinite(value) else ""
    return guarded(value) if isinstance(value, str) else value
