"""What was written down after a set-up: numbers of the sheet's entries, as its PDF or the file beside it has them."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from pydantic import Field

from kinematics.car.lengths import STILL_BLANK, UNITS, LengthUnit, read_length
from kinematics.car.units import Units
from kinematics.inputs.reading.faults import ONE_OF_TWO, Fault, InputFaultError, shown
from kinematics.inputs.reading.file_fields import Number, Table, validated
from kinematics.inputs.reading.file_kinds import FileKind, refuse_other_kind
from kinematics.inputs.reading.toml_file import read_toml
from kinematics.setting.came_out import USUAL_KNOWN_TO, Reading
from kinematics.setting.set_up import Entry, Measure

# What can be read of a car: mm, kg, degrees.
_ALLOWED: Mapping[Measure, tuple[float, float]] = {
    Measure.HEIGHT: (0.0, 1500.0),
    Measure.LOAD: (1.0, 3000.0),
    Measure.CAMBER: (-15.0, 15.0),
    Measure.TOE: (-10.0, 10.0),
    Measure.BUMP_STEER: (-10.0, 10.0),
}
_MOST_DOUBTFUL = {
    Measure.HEIGHT: 100.0,
    Measure.LOAD: 100.0,
    Measure.CAMBER: 5.0,
    Measure.TOE: 5.0,
    Measure.BUMP_STEER: 5.0,
}


class ReadingRow(Table):
    """One number that was read; known_to: two readings in three lie within it."""

    no: int = Field(description="the number on the sheet", ge=1)
    reads: float | str
    known_to: float | str | None = None
    note: str = ""


class SetUpReadingsTable(Table):
    """What was read after a set-up."""

    sheet: str = Field(description="which sheet it goes with, as the file has it")
    plan: str
    units: Literal["mm", "in"]
    cross: Number | None = None
    car: str = ""
    date: str = ""
    by: str = ""
    note: str = ""
    readings: tuple[ReadingRow, ...] = ()


@dataclass(frozen=True)
class WrittenDown:
    """What was written, and of which sheet: sheet tells its list, plan its plan, cross its cross-weight in per cent.

    values, doubts: as written, by number of the entry.
    """

    source: str
    sheet: str
    plan: str
    cross: float | None
    unit: LengthUnit
    values: Mapping[int, float | str]
    doubts: Mapping[int, float | str]


def read_set_up_file(path: Path) -> WrittenDown:
    """Read the file that goes with a set-up sheet; InputFaultError names every fault of its form."""
    written: dict[str, Any] = read_toml(path)
    refuse_other_kind(written, FileKind.SET_UP, str(path))
    table, faults = validated(SetUpReadingsTable, written)
    if table is None:
        raise InputFaultError(str(path), faults)
    numbers = [row.no for row in table.readings]
    twice = sorted({one for one in numbers if numbers.count(one) > 1})
    if twice:
        raise InputFaultError(str(path), [Fault(f"no. {one}", "read twice", ONE_OF_TWO) for one in twice])
    return WrittenDown(
        str(path),
        table.sheet,
        table.plan,
        table.cross,
        UNITS[table.units],
        {row.no: row.reads for row in table.readings if row.reads != STILL_BLANK},
        {row.no: row.known_to for row in table.readings if row.known_to is not None},
    )


def readings_of(written: WrittenDown, entries: Sequence[Entry]) -> dict[int, Reading]:
    """The readings in mm, kg and radians; InputFaultError names every entry that holds no number that can be."""
    faults: list[Fault] = []
    known = {one.number: one for one in entries}
    unknown = [number for number in (*written.values, *written.doubts) if number not in known]
    most = f"numbers 1 to {len(entries)} are allowed"
    faults += [Fault(f"no. {one}", f"is no number of this sheet; {most}") for one in dict.fromkeys(unknown)]
    found = {}
    for number, value in written.values.items():
        if number in known:
            read = _reading(known[number], value, written.doubts.get(number), written.unit, faults)
            found[number] = read
    if not found and not faults:
        faults.append(Fault("", "nothing is filled in; was it saved after it was filled in?"))
    if faults:
        raise InputFaultError(written.source, faults)
    return found


def named(entry: Entry) -> str:
    """An entry as a fault, or a line on what came out, names it."""
    at = "" if entry.travel is None else f", wheel {'up' if entry.travel > 0.0 else 'down'}"
    return f"no. {entry.number} ({entry.axle} {entry.side} {entry.measure.value}{at})"


def _reading(
    entry: Entry, value: float | str, known_to: float | str | None, unit: LengthUnit, faults: list[Fault]
) -> Reading:
    measure = entry.measure
    scale, symbol = _scale(measure, unit)
    low, high = (_ends(one, measure, scale) for one in _ALLOWED[measure])
    value = _degrees(value, entry.over)
    read = _number(value, (low, high), symbol, named(entry), faults)
    usual = USUAL_KNOWN_TO[measure]
    if known_to is None:
        return Reading(read * scale, usual)
    most = _ends(_MOST_DOUBTFUL[measure], measure, scale)
    doubt = _number(_degrees(known_to, entry.over), (0.0, most), symbol, f"{named(entry)} doubt", faults)
    return Reading(read * scale, doubt * scale)


def _degrees(written: float | str, over: float | None) -> float | str:
    """Toe written as a length with its unit over so much [mm], in degrees; anything else as it is."""
    if over is None or not isinstance(written, str):
        return written
    unit = next((one for one in UNITS.values() if written.rstrip().endswith(one.symbol)), None)
    if unit is None:
        return written
    try:
        sine = unit.to_mm(read_length(written.rstrip().removesuffix(unit.symbol).rstrip())) / over
    except ValueError:
        return written
    return math.degrees(math.asin(sine)) if abs(sine) < 1.0 else written


def _ends(value: float, measure: Measure, scale: float) -> float:
    """A bound in mm, kg or degrees, as the file has it."""
    return value / scale if measure in (Measure.HEIGHT, Measure.LOAD) else value


def _scale(measure: Measure, unit: LengthUnit) -> tuple[float, str]:
    """Factor from what is written to mm, kg and radians, and the unit it is written in."""
    if measure is Measure.HEIGHT:
        return unit.in_mm, unit.symbol
    if measure is Measure.LOAD:
        return Units(unit).mass, Units(unit).mass_symbol
    return math.radians(1.0), "degrees"


def _number(written: float | str, allowed: tuple[float, float], symbol: str, key: str, faults: list[Fault]) -> float:
    """A number within bounds; zero, and a fault, where it is none."""
    unit = UNITS.get(symbol)
    low, high = allowed
    within_words = f"{low:.4g} to {high:.4g} {symbol}"
    try:
        value = read_length(written, unit)
    except ValueError:
        text = f"read {shown(written)}; a number from {within_words} is allowed; what was not read stays blank"
        faults.append(Fault(key, text))
        return 0.0
    if not low <= value <= high:
        faults.append(Fault(key, f"read {shown(written)}; {within_words} is allowed"))
        return 0.0
    return value
