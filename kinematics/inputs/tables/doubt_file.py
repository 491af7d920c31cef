"""The doubt file beside a car file: how far one standard deviation of each reading shifts each coordinate, as CSV.

One row for each coordinate, one column for each source of doubt, in the coordinate's unit. The covariance of the
coordinates is the table times its transpose. A column of noughts, no source, says in its title for which points the
file was written and with how many lines, so that an edited car file and a shortened table are noticed. Where readings
do not agree, a column `readings_scatter` says how many times their doubts those of a row's axle scatter.
"""

import csv
import hashlib
import io
import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.lengths import UNITS, LengthUnit, read_length
from kinematics.car.uncertainty import ANGLES, WAYS, Coordinate, Doubt
from kinematics.inputs.reading.faults import Fault, InputFaultError, did_you_mean, shown
from kinematics.inputs.reading.plain_text import control_in
from kinematics.inputs.reading.sizes import MOST_BYTES_DOUBTS, MOST_COLUMNS, MOST_IN_A_NAME, MOST_ROWS
from kinematics.inputs.reading.whole_file import whole_file_fault, whole_table
from kinematics.inputs.tables.formula_guard import guarded, unguarded

_HEAD = ("axle", "of", "way", "side", "unit")
_BOTH = "both"
_SCATTER, _MOST_SCATTER = "readings_scatter", 1e6
_MADE_FOR = re.compile(r"of points ([0-9a-f]{12}), (\d{1,9}) lines")


def points_digest(written: Mapping[str, Any], axles: Iterable[str]) -> str:
    """Twelve letters that change with any coordinate of these axles in a car file's content, and with its unit."""
    told = [str(written.get("units"))]
    unit = UNITS.get(told[0])
    for axle in sorted(axles):
        table = written.get(axle, {})
        for side, part in (("", table), *((side, table.get(side, {})) for side in SIDE_NAMES)):
            for key, point in sorted(part.get("points", {}).items()):
                told += [f"{axle} {side} {key}", *(_entry(point.get(way), unit) for way in WAYS)]
    return hashlib.sha256("\n".join(told).encode()).hexdigest()[:12]


def _entry(value: object, unit: LengthUnit | None) -> str:
    return f"{read_length(value, unit):.9g}" if isinstance(value, int | float | str) else str(value)


def doubt_text(doubts: Mapping[str, Doubt], unit: LengthUnit, written: Mapping[str, Any] | None = None) -> str:
    """Return a doubt file's content, for axles by name, in the owner's unit and degrees.

    written: the content of the car file that it goes with.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    total = sum(len(doubt.sources) for doubt in doubts.values())
    lines = sum(len(doubt.coordinates) for doubt in doubts.values())
    made_for = [] if written is None else [f"of points {points_digest(written, doubts)}, {lines} lines"]
    scatter = [_SCATTER] if any(doubt.readings_disagree for doubt in doubts.values()) else []
    sources = [f"{axle}: {one}" for axle, doubt in doubts.items() for one in doubt.sources]
    writer.writerow([*_HEAD, *sources, *made_for, *scatter])
    before = 0
    for axle, doubt in doubts.items():
        for one, shifts in zip(doubt.coordinates, doubt.influence, strict=True):
            symbol, scale = _unit(one.of, unit)
            row = np.zeros(total)
            row[before : before + len(shifts)] = shifts / scale
            side = _BOTH if len(one.sides) == 2 else SIDE_NAMES[one.sides[0]]
            writer.writerow(
                [
                    axle,
                    guarded(one.of),
                    one.way,
                    side,
                    symbol,
                    *(f"{value:.9g}" for value in row),
                    *("0" for _ in made_for),
                    *(f"{doubt.scatter:.9g}" for _ in scatter),
                ]
            )
        before += len(doubt.sources)
    return text.getvalue()


def read_doubts(
    path: Path, axles: Sequence[Axle], unit: LengthUnit, written: Mapping[str, Any] | None = None
) -> dict[str, Doubt]:
    """Read a doubt file for a car's axles; InputFaultError names every line at fault.

    written: the car file's content.
    """
    if "\0" in str(path) or not path.exists():
        text = "there is no such file; the car file names it in `doubt`: put it back beside it, or take that line away"
        raise whole_file_fault(path, text)
    rows = _rows(path)
    faults: list[Fault] = []
    head = rows[0][1] if rows else []
    if tuple(head[: len(_HEAD)]) != _HEAD or len(head) == len(_HEAD):
        text = f"its first line must start with {','.join(_HEAD)} and go on with the sources of doubt"
        raise InputFaultError(str(path), [Fault("line 1", text)])
    sources = head[len(_HEAD) :]
    _refuse_unfit(path, sources)
    at = head.index(_SCATTER, len(_HEAD)) if _SCATTER in sources else None
    if at is not None:
        sources.remove(_SCATTER)
    made_for = next((found for found in map(_MADE_FOR.fullmatch, sources) if found), None)
    if made_for is not None and int(made_for[2]) != len(rows) - 1:
        text = (
            f"it was written with {made_for[2]} lines of coordinates, and {len(rows) - 1} are there: put it back as it"
        )
        text = f"{text} was, or run `cornersweep survey` again; if you meant it, take the column {made_for[0]!r} away"
        raise whole_file_fault(path, text)
    found: dict[str, list[tuple[Coordinate, list[float]]]] = {axle.name: [] for axle in axles}
    known = {axle.name: axle for axle in axles}
    scatter: dict[str, list[float]] = {axle: [] for axle in known}
    for number, row in rows[1:]:
        try:
            if len(row) != len(head):
                raise ValueError(f"has {len(row)} entries; the first line has {len(head)}")
            scattered = 1.0 if at is None else _scatter(row.pop(at))
            axle, coordinate, shifts = _row(row, known, unit)
            scatter[axle].append(scattered)
        except ValueError as error:
            faults.append(Fault(f"line {number}", str(error)))
            continue
        if any(coordinate == one and axle == name for name, others in found.items() for one, _ in others):
            faults.append(Fault(f"line {number}", f"{coordinate} of the {axle} axle stands there twice"))
        found[axle].append((coordinate, shifts))
    if faults:
        raise InputFaultError(str(path), faults)
    doubts = {axle: _doubt(axle, pairs, sources) for axle, pairs in found.items() if pairs}
    others = made_for is not None and written is not None and made_for[1] != points_digest(written, doubts)
    return {
        axle: replace(doubt, of_others=path.name if others else "", scatter=max(scatter[axle]))
        for axle, doubt in doubts.items()
    }


def _refuse_unfit(path: Path, sources: Sequence[str]) -> None:
    """Raise InputFaultError for sources that are too many, or that cannot be told in one short line."""
    if len(sources) > MOST_COLUMNS:
        text = f"read {len(sources)} sources of doubt; at most {MOST_COLUMNS} are allowed"
        raise InputFaultError(str(path), [Fault("line 1", text)])
    allowed = f"at most {MOST_IN_A_NAME} characters in one line are allowed"
    unfit = [one for one in sources if len(one) > MOST_IN_A_NAME or control_in(one)]
    if unfit:
        raise InputFaultError(str(path), [Fault("line 1", f"read {shown(one)}; {allowed}") for one in unfit])


def _doubt(axle: str, pairs: Sequence[tuple[Coordinate, Sequence[float]]], sources: Sequence[str]) -> Doubt:
    influence = np.array([shifts for _, shifts in pairs])
    used = [i for i in range(len(sources)) if influence[:, i].any()]
    names = tuple(sources[i].removeprefix(f"{axle}: ") for i in used)
    return Doubt(tuple(one for one, _ in pairs), influence[:, used], names)


def _scatter(written: str) -> float:
    try:
        scatter = float(unguarded(written))
    except ValueError:
        scatter = 0.0
    if not 1.0 <= scatter <= _MOST_SCATTER:
        raise ValueError(f"{_SCATTER}: read {shown(written)}; a number from 1 to {_MOST_SCATTER:.0f} is allowed")
    return scatter


def _row(row: Sequence[str], axles: Mapping[str, Axle], unit: LengthUnit) -> tuple[str, Coordinate, list[float]]:
    """One line's axle, coordinate and shifts [mm, rad]; ValueError says what is wrong with it."""
    name, of, way, side, symbol = map(unguarded, row[: len(_HEAD)])
    if name not in axles:
        raise ValueError(f"axle: read {shown(name)}{did_you_mean(name, axles)}")
    kind = axles[name].suspension
    if of not in (*kind.keys, *ANGLES):
        raise ValueError(f"of: read {shown(of)}; a {kind.name} has no such point{did_you_mean(of, kind.keys)}")
    if way not in (("",) if of in ANGLES else WAYS):
        raise ValueError(f"way: read {shown(way)}; {'nothing' if of in ANGLES else ', '.join(WAYS)} is allowed")
    sides = {_BOTH: (0, 1), SIDE_NAMES[0]: (0,), SIDE_NAMES[1]: (1,)}
    if side not in sides or (of in kind.single and side != _BOTH):
        allowed = _BOTH if of in kind.single else ", ".join(sides)
        raise ValueError(f"side: read {shown(side)}; allowed: {allowed}")
    wanted, scale = _unit(of, unit)
    if symbol != wanted:
        raise ValueError(f"unit: read {shown(symbol)}; this car file's unit for it is {wanted}")
    return name, Coordinate(of, way, sides[side]), [scale * value for value in _numbers(row[len(_HEAD) :])]


def _numbers(cells: Sequence[str]) -> Iterator[float]:
    for cell in cells:
        try:
            value = float(cell)
        except ValueError:
            value = math.nan
        if not abs(value) < 1e5:
            raise ValueError(f"read {shown(cell)}; a number is allowed")
        yield value


def _unit(of: str, unit: LengthUnit) -> tuple[str, float]:
    """Symbol and size in mm or rad of the unit in which a coordinate's shifts are written."""
    return ("deg", math.radians(1.0)) if of in ANGLES else (unit.symbol, unit.in_mm)


def _rows(path: Path) -> list[tuple[int, list[str]]]:
    """Lines that hold something, each with the number of the line that it ends on."""
    text = whole_table(path, MOST_BYTES_DOUBTS, MOST_ROWS)
    try:
        reader = csv.reader(io.StringIO(text, newline=""), strict=True)
        return [(reader.line_num, row) for row in reader if row]
    except csv.Error as error:
        raise whole_file_fault(path, f"this is not CSV: {error}") from None
