"""The lines of a CSV as spreadsheets of any country write it, and the numbers in them."""

import csv
import re
from pathlib import Path

from kinematics.inputs.reading.faults import shown
from kinematics.inputs.reading.whole_file import whole_file_fault

FARTHEST = 1e6  # in the table's unit
_GROUPED = re.compile(r"[+-]?\d+(,\d*)?(e[+-]?\d+)?", re.IGNORECASE)  # a number with a decimal comma


def csv_lines(path: Path, text: str) -> tuple[list[tuple[int, list[str]]], bool]:
    """Return each line that counts, its number and its fields; and whether numbers may have a decimal comma.

    Fields are separated by commas, semicolons or tabs; with the latter two, numbers may have a decimal comma. Lines
    that are blank or begin with # do not count. path: for whose text it is told that a line is no CSV.
    """
    lines = [(number, line) for number, line in enumerate(text.splitlines(), start=1) if _counts(line)]
    first = lines[0][1] if lines else ""
    mark = next((mark for mark in (";", "\t") if mark in first), ",")
    return [(number, _fields(path, number, line, mark)) for number, line in lines], mark != ","


def _counts(line: str) -> bool:
    return bool(line.strip(" \t,;")) and not line.lstrip().startswith("#")


def _fields(path: Path, number: int, line: str, mark: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=mark))
    except csv.Error as error:
        raise whole_file_fault(path, f"line {number} is not CSV: {error}") from None


def number_in(field: str, *, comma: bool) -> float:
    """Return the number in a field; ValueError says what was read and what is allowed."""
    written = field.strip()
    if not written:
        raise ValueError("is empty; a number is needed")
    plain = written.replace("\N{MINUS SIGN}", "-")
    if comma and _GROUPED.fullmatch(plain):
        plain = plain.replace(",", ".")
    try:
        value = float(plain)
    except ValueError:
        raise ValueError(f"read {shown(written)}; a number is allowed") from None
    if not abs(value) <= FARTHEST:
        raise ValueError(f"read {shown(written)}; a number from -{FARTHEST:.0f} to {FARTHEST:.0f} is allowed")
    return value
