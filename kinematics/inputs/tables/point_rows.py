"""The rows of a CSV of named points, with a plain word for everything that is wrong with them, line by line."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from kinematics.inputs.reading.csv_lines import csv_lines, number_in
from kinematics.inputs.reading.faults import Fault, shown
from kinematics.inputs.reading.sizes import MOST_BYTES_POINTS, MOST_IN_A_NAME, MOST_ROWS
from kinematics.inputs.reading.whole_file import whole_file_fault, whole_table

# Millimetres in a unit; those of the metre and the inch are exact by definition.
TABLE_UNITS: dict[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}

_NAMES, _XYZ, _WAYS = ("name", "point"), ("x", "y", "z"), ("ahead", "out", "up")
_TITLE = re.compile(r"(.*?)\s*(?:[\[(]\s*(\w+)\s*[\])])?")  # a column's title, and a unit in brackets


@dataclass(frozen=True)
class Row:
    """A named point: its line in the file, its coordinates as written, in the order of the axes; read: all numbers."""

    line: int
    name: str
    place: tuple[float, float, float]
    read: bool


@dataclass
class TableRows:
    """What a table holds: rows in order, whether its columns are ahead, out and up, and units its titles tell."""

    own_axes: bool
    units: tuple[str, ...] = ()
    rows: list[Row] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def read_rows(path: Path) -> TableRows:
    """Read a table; InputFaultError where nothing can be made of it at all, other faults stand in what it returns."""
    lines, comma = csv_lines(path, whole_table(path, MOST_BYTES_POINTS, MOST_ROWS))
    if not lines:
        raise whole_file_fault(path, "the file is empty; a header like name,x,y,z is to come first")
    columns, table = _header(path, lines[0][1])
    for number, cells in lines[1:]:
        _add(table, number, cells, columns, len(lines[0][1]), comma=comma)
    if not table.rows and not table.faults:
        raise whole_file_fault(path, "there is no point in it, only a header")
    return table


def _header(path: Path, written: Sequence[str]) -> tuple[Mapping[str, int], TableRows]:
    """Which column holds the name and which each coordinate."""
    read = [match for title in written if (match := _TITLE.fullmatch(title.strip())) is not None]
    titles = [match[1].strip().lower() for match in read]
    ways = next((ways for ways in (_XYZ, _WAYS) if set(ways) & set(titles)), _XYZ)
    name = next((title for title in _NAMES if title in titles), "name")
    parts = [f"{title} is missing" for title in (name, *ways) if title not in titles]
    parts += [f"{title} is there twice" for title in (name, *ways) if titles.count(title) > 1]
    if parts:
        allowed = "columns name, x, y, z, or name, ahead, out, up, are allowed in any order"
        raise whole_file_fault(path, f"its header reads {shown(list(written))}: {', '.join(parts)}; {allowed}")
    columns = {title: titles.index(title) for title in (name, *ways)}
    units = tuple(dict.fromkeys(read[columns[way]][2].lower() for way in ways if read[columns[way]][2]))
    return columns, TableRows(ways is _WAYS, units)


def _add(
    table: TableRows, line: int, cells: Sequence[str], columns: Mapping[str, int], titles: int, *, comma: bool
) -> None:
    """Read one line; a name whose coordinates cannot be read is kept, so that it is not told as missing besides."""
    title, *ways = columns
    wrong = []
    needed = max(columns.values()) + 1
    if len(cells) < needed:
        wrong.append(Fault(f"line {line}", f"has {len(cells)} of {needed} fields; each as in the header is needed"))
    elif len(cells) > titles:
        hint = "" if comma else "; a number with a decimal comma? Then separate fields by semicolons"
        wrong.append(Fault(f"line {line}", f"has {len(cells)} fields, the header {titles}{hint}"))
    name = cells[columns[title]].strip() if columns[title] < len(cells) else ""
    if not name and not wrong:
        wrong.append(Fault(f"line {line}", "the point has no name"))
    if len(name) > MOST_IN_A_NAME:
        text = f"read {shown(name)}, {len(name)} characters; at most {MOST_IN_A_NAME} are allowed"
        wrong.append(Fault(f"line {line}, {title}", text))
        name = ""
    place = [0.0, 0.0, 0.0]
    for number, way in enumerate(ways if not wrong else ()):
        try:
            place[number] = number_in(cells[columns[way]], comma=comma)
        except ValueError as error:
            wrong.append(Fault(f"line {line}, {way}", str(error)))
    table.faults += wrong
    if name:
        table.rows.append(Row(line, name, (place[0], place[1], place[2]), not wrong))
