"""A record: a folder with a car file for each dated state, what its doubt goes back to, and the driver's notes.

Each state is an ordinary car file named after its date and what it was, `2026-03-14_as-measured.toml`; beside it lie
its doubt and readings (CSV), where it has them, and its notes (`.txt`): plain files that version control shows line by
line.
"""

import csv
import datetime
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import tomlkit

from kinematics.inputs.car.car_file import read_car
from kinematics.inputs.reading.faults import Fault, InputFaultError, did_you_mean, shown
from kinematics.inputs.reading.plain_text import control_in
from kinematics.inputs.reading.sizes import MOST_BYTES_DOUBTS, MOST_BYTES_TOML, MOST_ROWS
from kinematics.inputs.reading.whole_file import whole_file_fault, whole_table, whole_text
from kinematics.record.state import State

MOST_STATES = 200
_STATE = re.compile(r"(\d{4}-\d{2}-\d{2})_([^_/\\]{1,80})")
_TITLE = re.compile(r"[\w][\w .,+-]{0,79}")
_MOST_NOTES = 100_000  # bytes
_READINGS_HEAD = ("axle", "reading", "read")
_NOTES = """\
{date}, {title}

Track, weather, tyres and pressures:

What was changed, and why:

What the car did, and where:
"""


@dataclass(frozen=True)
class Record:
    """All states of a folder, the earliest first. others: TOML files whose names are not those of states."""

    folder: Path
    states: tuple[State, ...]
    others: tuple[str, ...]


def read_record(folder: Path) -> Record:
    """Read a record; InputFaultError names the state and every fault of it."""
    if not folder.is_dir():
        text = "is a file; name the folder" if folder.exists() else "there is no such folder; --add begins a record"
        raise whole_file_fault(folder, text)
    found = record_so_far(folder)
    if not found.states:
        text = "no state is here; `cornersweep record FOLDER --add my_car.toml --date 2026-03-14` puts one in"
        raise whole_file_fault(folder, text)
    return found


def record_so_far(folder: Path) -> Record:
    """Read a record that may not have begun: a folder without states, or none at all."""
    files = sorted(folder.iterdir()) if folder.is_dir() else []
    files = [one for one in files if one.suffix == ".toml" and not one.name.startswith(".")]
    dated = [one for one in files if _date_of(one) is not None]
    if len(dated) > MOST_STATES:
        raise whole_file_fault(folder, f"read {len(dated)} states; at most {MOST_STATES} are allowed")
    others = tuple(one.name for one in files if one not in dated)
    return Record(folder, tuple(read_state(one) for one in dated), others)


def read_state(path: Path) -> State:
    """Read one state with what lies beside it."""
    date, title = _named(path)
    notes = path.with_suffix(".txt")
    text = read_notes(notes) if notes.exists() else ""
    return State(path.stem, date, title, read_car(path), _readings(_readings_beside(path)), text)


def _named(path: Path) -> tuple[str, str]:
    found = _STATE.fullmatch(path.stem)
    assert found is not None  # only such files are read
    return found[1], found[2].replace("-", " ")


def _date_of(path: Path) -> str | None:
    found = _STATE.fullmatch(path.stem)
    return found[1] if found is not None and _is_date(found[1]) and not control_in(path.stem) else None


def _is_date(text: str) -> bool:
    try:
        return datetime.date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _readings_beside(path: Path) -> Path:
    return path.with_name(f"{path.stem}_readings.csv")


def _readings(path: Path) -> dict[tuple[str, str], float]:
    """What a survey read, by axle and reading; nothing where no such table lies there."""
    if not path.exists():
        return {}
    rows = list(csv.reader(io.StringIO(whole_table(path, MOST_BYTES_DOUBTS, MOST_ROWS), newline="")))
    head = rows[0] if rows else []
    if not set(_READINGS_HEAD) <= set(head):
        raise InputFaultError(str(path), [Fault("line 1", "axle, reading and read must be among its columns")])
    places = [head.index(name) for name in _READINGS_HEAD]
    found = {}
    for number, row in enumerate(rows[1:], start=2):
        axle, reading, cell = (row[place] for place in places) if len(row) == len(head) else ("", "", "")
        try:
            found[axle, reading] = float(cell)
        except ValueError:
            text = f"read {shown(','.join(row))}; as many entries as the first line has, a number in read, are allowed"
            raise InputFaultError(str(path), [Fault(f"line {number}", text)]) from None
    return found


def chosen_states(record: Record, asked: Sequence[str]) -> tuple[State, ...]:
    """States by their file's name, or by a part of date and title that only one has; all where none is asked for.

    The earliest first. InputFaultError names each that is not there, or is not told apart.
    """
    if not asked:
        return record.states
    faults, found = [], []
    for word in asked:
        told = Path(word).stem if word.endswith(".toml") else word
        named = [one for one in record.states if told in (one.key, f"{one.date} {one.title}")]
        fits = named or [
            one for one in record.states if told.casefold() in f"{one.key} {one.date} {one.title}".casefold()
        ]
        if len(fits) == 1:
            found += fits
        elif fits:
            keys = ", ".join(one.key for one in fits)
            faults.append(
                Fault("STATE", f"read {shown(word)}, which {len(fits)} states have: {keys}; name one of them")
            )
        else:
            known = [one.key for one in record.states]
            faults.append(Fault("STATE", f"read {shown(word)}, which no state has{did_you_mean(word, known)}"))
    if len({one.key for one in found}) < 2 and not faults:
        faults.append(Fault("STATE", "two states or more are compared, or all where none is named"))
    if faults:
        raise InputFaultError(str(record.folder), faults)
    return tuple(one for one in record.states if one in found)


def state_key(date: str, title: str) -> str:
    """The name of a state's files without ending; InputFaultError for what is no date, or no name for a file."""
    faults = []
    if not _is_date(date):
        faults.append(Fault("--date", f"read {shown(date)}; year, month and day are allowed, such as 2026-03-14"))
    if control_in(title) or not _TITLE.fullmatch(title) or "_" in title:
        text = "letters, digits, blanks and . , + - are allowed, such as 'after the first event'"
        faults.append(Fault("--state", f"read {shown(title)}; {text}"))
    if faults:
        raise InputFaultError("cornersweep record", faults)
    return f"{date}_{'-'.join(title.split())}"


def state_files(car_file: Path, key: str, notes: str | None) -> Mapping[str, str]:
    """The content of a new state's files by name, its car file last: that, its doubt and readings, its notes."""
    text = whole_text(car_file, MOST_BYTES_TOML)
    files: dict[str, str] = {}
    content = tomlkit.parse(text)
    if "doubt" in content:
        files[f"{key}_doubt.csv"] = whole_text(car_file.parent / str(content["doubt"]), MOST_BYTES_DOUBTS)
        content["doubt"] = f"{key}_doubt.csv"
        text = tomlkit.dumps(content)
    readings = _readings_beside(car_file)
    if readings.exists():
        files[f"{key}_readings.csv"] = whole_text(readings, MOST_BYTES_DOUBTS)
    date, title = key.split("_", 1)
    files[f"{key}.txt"] = notes if notes is not None else _NOTES.format(date=date, title=title.replace("-", " "))
    return {**files, f"{key}.toml": text}


def read_notes(path: Path) -> str:
    """The driver's notes, plain text."""
    text = whole_text(path, _MOST_NOTES)
    if control_in(text, lines=True):
        raise whole_file_fault(path, "holds control characters; plain text is allowed")
    return text


def other_car_faults(states: Sequence[State]) -> list[Fault]:
    """States that are another car, or one whose suspension is of another type."""
    first = states[0]
    kinds = {axle.name: axle.suspension for axle in first.car.axles}
    faults = []
    for one in states[1:]:
        for axle in one.car.axles:
            own, was = axle.suspension, kinds.get(axle.name)
            if was is not None and (own.name, own.keys) != (was.name, was.keys):
                what = f"its {axle.name} is a {own.name}, that of {first.key} a {was.name}"
                points = "" if own.name != was.name else " with other points"
                faults.append(
                    Fault(one.key, f"{what}{points}: another car, or another suspension; compare states alike")
                )
        if not {axle.name for axle in one.car.axles} & set(kinds):
            faults.append(Fault(one.key, f"it has no axle that {first.key} has"))
    return faults
