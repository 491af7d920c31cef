"""Sweeps as CSV (RFC 4180): one header row, units in the column names, twelve digits, a note for each gap.

Text that a spreadsheet would take for a formula, such as a plan's name that begins with =, has an apostrophe before it.
"""

import csv
import io
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from kinematics.car.lengths import LengthUnit
from kinematics.inputs.tables.formula_guard import guarded
from kinematics.sweeps.body import Sweep
from kinematics.sweeps.roll_axis import RollAxis
from reports.outputs.decimals import decimal
from reports.words.gaps import gap_words, run_off_notes
from reports.words.roll_axis import roll_axis_notes, roll_axis_run_off_notes
from solvers.vectors import Array

_TOGETHER = 500  # rows


def write_csv(sweep: Sweep, unit: LengthUnit, file: BinaryIO) -> None:
    """Write one row for each state. A number that does not exist is an empty field; `note` says why.

    It also says of a number that runs to infinity on the way from the state before.
    """
    write_columns(sweep.columns(unit), joined_notes(sweep.gaps.each(gap_words), run_off_notes(sweep)), file)


def write_roll_axis(axis: RollAxis, unit: LengthUnit, file: BinaryIO) -> None:
    """Write a roll axis over heave and roll, one row for each state."""
    columns = axis.columns(unit)
    finite = np.asarray(np.isfinite(np.stack(list(columns.values()))).all(axis=0))
    write_columns(columns, joined_notes(roll_axis_notes(axis, finite), roll_axis_run_off_notes(axis)), file)


def joined_notes(*notes: NDArray[np.object_]) -> list[str]:
    """What several say of the same states, one behind the other."""
    return ["; ".join(filter(None, each)) for each in zip(*(one.reshape(-1).tolist() for one in notes), strict=True)]


def write_columns(
    columns: Mapping[str, Array],
    notes: Sequence[str] | NDArray[np.object_],
    file: BinaryIO,
    names: tuple[str, Sequence[str]] = ("", ()),
) -> None:
    """Write columns (S,) and a note for each row; what is not finite is an empty field. names: a first column's."""
    head, first = names
    values = np.stack(list(columns.values()), axis=1)
    leading = [[name] for name in first] or [[]] * len(values)
    rows = ([*name, *row.tolist(), note] for name, row, note in zip(leading, values, notes, strict=True))
    write_rows([*([head] if head else []), *columns, "note"], rows, file)


def write_rows(head: Sequence[str], rows: Iterable[Sequence[object]], file: BinaryIO) -> None:
    """Write a header and rows: numbers to twelve digits, an empty field for what is not finite.

    Text is guarded, so that none of it becomes a formula.
    """
    text = io.TextIOWrapper(file, encoding="utf-8", newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(map(_text, head))
    writer.writerows(_cells(rows))
    text.flush()
    text.detach()


def _cells(rows: Iterable[Sequence[object]]) -> Iterator[list[object]]:
    """Rows as they are written; many are rounded together, since number by number takes long."""
    left = iter(rows)
    while some := [list(row) for row in islice(left, _TOGETHER)]:
        numbers = (value for row in some for value in row if isinstance(value, float))
        rounded = iter(decimal(np.fromiter(numbers, dtype=float)).tolist())
        for row in some:
            yield [_number(next(rounded)) if isinstance(value, float) else _text(value) for value in row]


def _number(value: float) -> object:
    return value if math.isfinite(value) else ""


def _text(value: object) -> object:
    return guarded(value) if isinstance(value, str) else value
