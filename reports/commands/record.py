"""The command record: a folder of a car's dated states, and what changed from one to another."""

import argparse
import shlex
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import WITHIN
from reports.shared_options import add_drawing_and_replace
from reports.voice import say, say_written

if TYPE_CHECKING:
    from collections.abc import Sequence

    from kinematics.record.state import State
    from reports.outputs.record_files import SolvedRecord

_NAME = "cornersweep record"


def add_record(add: Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser]) -> None:
    """Add the command to a menu; `add` makes a parser of a name, what runs, and what it is about."""
    parser = add("record", record, "keep dated states of a car in a folder, and tell what changed between them")
    parser.add_argument("folder", help="the record: a folder with a car file for each state")
    parser.add_argument(
        "states",
        nargs="*",
        metavar="STATE",
        help="states to compare, each by its file's name or a part of it that only one has (default: all, in order)",
    )
    parser.add_argument("--add", metavar="CAR", help="put this car file (TOML) into the record as a new state")
    parser.add_argument("--date", metavar="DAY", help="with --add: its date, such as 2026-03-14")
    parser.add_argument("--state", metavar="WHAT", help="with --add: what it is (default: as measured)")
    parser.add_argument("--notes", metavar="FILE", help="with --add: the driver's notes, plain text")
    parser.add_argument("--into", metavar="FOLDER", help="write the tables and the timeline into this folder")
    parser.add_argument("--all", action="store_true", help="also print every number, and all notes")
    add_drawing_and_replace(parser)


def record(options: argparse.Namespace) -> int:
    """Put a state into a record, or tell what changed between states."""
    _refuse_unfit(options)
    return _add(options) if options.add is not None else _compare(options)


def _refuse_unfit(options: argparse.Namespace) -> None:
    """Raise InputFaultError for options that mean nothing together."""
    adding = {"--date": options.date, "--state": options.state, "--notes": options.notes}
    comparing = {"STATE": options.states or None, "--into": options.into}
    faults = []
    if options.add is None:
        given = [name for name, value in adding.items() if value is not None]
        faults += [Fault(name, "means nothing without --add; leave it out") for name in given]
    else:
        given = [name for name, value in comparing.items() if value is not None]
        faults += [Fault(name, "means nothing beside --add; leave it out") for name in given]
        if options.date is None:
            faults.append(Fault("--date", "is missing: the day on which the car stood so, such as 2026-03-14"))
    if faults:
        raise InputFaultError(_NAME, faults)


def _add(options: argparse.Namespace) -> int:
    from kinematics.inputs.car.car_file import read_car
    from kinematics.inputs.garage.record_folder import (
        other_car_faults,
        read_notes,
        record_so_far,
        state_files,
        state_key,
    )
    from kinematics.record.state import State
    from reports.outputs.safe_write import make_folder, refuse_existing, write_content

    folder, source = Path(options.folder), Path(options.add)
    title = "as measured" if options.state is None else options.state
    key = state_key(options.date, title)
    car = read_car(source)
    notes = None if options.notes is None else read_notes(Path(options.notes))
    files = state_files(source, key, notes)
    refuse_existing([folder / name for name in files], replace=options.replace)
    known = [one for one in record_so_far(folder).states if one.key != key]
    faults = other_car_faults([known[-1], State(key, options.date, title, car)]) if known else []
    if faults:
        raise InputFaultError(options.add, faults)
    make_folder(folder)
    for name, content in files.items():
        write_content(folder / name, content, replace=options.replace)
        say_written(folder / name)
    if notes is None:
        say(f"write what the driver noted into {folder / f'{key}.txt'}")
    say(f"then: cornersweep record {shlex.quote(str(folder))}")
    return WITHIN


def _compare(options: argparse.Namespace) -> int:
    from kinematics.inputs.garage.record_folder import chosen_states, other_car_faults, read_record
    from reports.documents.document import put_document
    from reports.documents.record import record_document
    from reports.outputs.output import paths, write_outputs
    from reports.outputs.record_files import record_outputs
    from reports.outputs.safe_write import make_folder, refuse_existing
    from reports.tables.record_table import show_record
    from reports.tables.terminal import console, progress, show_caution, show_headline, working
    from reports.words.record import headline_words, not_a_state_words

    read = read_record(Path(options.folder))
    states = chosen_states(read, options.states)
    faults = other_car_faults(states)
    if faults:
        raise InputFaultError(options.folder, faults)
    outputs = record_outputs(options.drawing)
    into = None if options.into is None else Path(options.into)
    refuse_existing([] if into is None else paths(into, outputs), replace=options.replace)
    with working("solving all states"):
        found = _solved(states)
    show_headline(headline_words(found.compared, states, found.unit))
    out = console()
    for line in (words for name in read.others for words in not_a_state_words(name)):
        out.print(line)
    show_record(out, states, found.compared, found.unit, everything=options.all)
    if into is not None:
        make_folder(into)
        written = write_outputs(into, outputs, found, replace=options.replace)
        for path in progress(written, "record", len(outputs)):
            say_written(path)
    show_caution(out)
    put_document("record", states[-1].car, lambda: record_document(states, found.compared, found.unit))
    return WITHIN


def _solved(states: "Sequence[State]") -> "SolvedRecord":
    """All states solved, and each compared with the one before it."""
    from kinematics.record.between import between, solved_state
    from reports.outputs.record_files import SolvedRecord

    solved = [solved_state(one) for one in states]
    steps = pairwise(zip(states, solved, strict=True))
    compared = [between(one, other, was, now) for (one, was), (other, now) in steps]
    return SolvedRecord(states, solved, compared, states[-1].car.unit)
