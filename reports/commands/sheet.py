"""The command `sheet`: a measuring sheet to print, the survey file that goes with it, and the way back from it."""

import argparse
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError, shown
from reports.shared_options import add_paper, add_replace
from reports.voice import say

if TYPE_CHECKING:
    from kinematics.car.lengths import LengthUnit
    from kinematics.car.suspension_type import SuspensionType
    from kinematics.survey.reading_list import SuggestedReading

_NAME = "cornersweep sheet"
_WRITTEN = 0


def add_sheet(add: Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser]) -> None:
    """Add the command to a menu; `add` makes a parser of a name, what runs, and what it is about."""
    parser = add("sheet", sheet, "write a measuring sheet for the garage floor, or a survey file from a filled-in one")
    parser.add_argument("what", help="suspension type, such as strut or five-link; with --filled-in: the sheet (PDF)")
    parser.add_argument("file", help="the file to write: .pdf, the sheet; .toml, the survey file that goes with it")
    parser.add_argument("--filled-in", action="store_true", help="read a sheet that was filled in on a screen")
    add_paper(parser)
    parser.add_argument("--units", choices=("mm", "in"), help="unit of length (default: mm)")
    parser.add_argument("--axle", choices=("front", "rear"), help="which axle (default: front if the type is steered)")
    add_replace(parser)


def sheet(options: argparse.Namespace) -> int:
    """Write a sheet, or a survey file, blank or with what was filled in."""
    from reports.outputs.safe_write import refuse_existing

    path = Path(options.file)
    ending = path.suffix.lower()
    faults = []
    if options.filled_in:
        given = [f"--{key}" for key in ("paper", "units", "axle") if getattr(options, key) is not None]
        faults = [Fault(key, "the filled-in sheet says this itself; leave it out") for key in given]
    allowed = (".toml",) if options.filled_in else (".pdf", ".toml")
    if ending not in allowed:
        faults.append(Fault("file", f"read {options.file}; a name that ends in {' or '.join(allowed)} is allowed"))
    if faults:
        raise InputFaultError(_NAME, faults)
    refuse_existing([path], replace=options.replace)
    if options.filled_in:
        return _from_sheet(Path(options.what), path, replace=options.replace)
    return _blank(options, path)


def _blank(options: argparse.Namespace, path: Path) -> int:
    from kinematics.car.lengths import UNITS
    from reports.commands.suspension_names import suspension_named
    from reports.outputs.safe_write import write_content
    from reports.sheet.survey_template import survey_template

    kind = suspension_named(options.what, _NAME)
    if kind.listed:
        text = f"a {kind.name} has the points that you list, so there is no sheet for it"
        raise InputFaultError(_NAME, [Fault("suspension", f"{text}; `cornersweep new '{kind.name}'` shows how")])
    unit: LengthUnit = UNITS[options.units or "mm"]
    axle = options.axle or ("front" if kind.rack else "rear")
    if path.suffix.lower() == ".toml":
        write_content(path, survey_template(kind, unit, axle), replace=options.replace)
        say(f'wrote {path}: fill in every "?" (numbers as on the sheet), then: cornersweep survey {path}')
    else:
        _write_pdf(path, kind, unit, axle, options)
        say(f"wrote {path}: print it at full size, or fill it in on a screen and save it")
        say(f"then: cornersweep sheet '{kind.name}' my_survey.toml --units {unit.symbol} --axle {axle}")
        say(f"or, filled in on a screen: cornersweep sheet --filled-in {path} my_survey.toml")
    return _WRITTEN


def _write_pdf(path: Path, kind: "SuspensionType", unit: "LengthUnit", axle: str, options: argparse.Namespace) -> None:
    from reports.outputs.safe_write import write_content
    from reports.sheet.measuring_sheet import measuring_sheet
    from reports.sheet.paper import paper_of

    paper = paper_of(options.paper, unit)
    write_content(path, measuring_sheet(kind, unit, axle, paper), replace=options.replace)


def _from_sheet(source: Path, path: Path, *, replace: bool) -> int:
    from kinematics.survey.reading_list import reading_list
    from reports.outputs.safe_write import write_content
    from reports.sheet.handwriting import is_number
    from reports.sheet.reader import read_sheet
    from reports.sheet.survey_template import survey_template
    from reports.words.reading_list import what_words

    read = read_sheet(source)
    entries = {entry.number: entry for entry in reading_list(read.kind) if entry.kind != "note"}
    values, doubts = (_as_files_have_it(one, entries, read.unit) for one in (read.values, read.doubts))
    about = [f"{what} {text}" for what, text in (("Measured on", read.date), ("Measured by", read.by)) if text]
    text = survey_template(
        read.kind,
        read.unit,
        read.axle,
        {**read.values, **values},
        {**read.doubts, **doubts},
        read.remarks,
        read.car or "my car",
        about,
    )
    write_content(path, text, replace=replace)
    needed = [entry.number for entry in reading_list(read.kind) if entry.kind != "note"]
    left = [number for number in needed if number not in read.values]
    say(f"wrote {path}: {len(needed) - len(left)} of {len(needed)} readings are filled in")
    if read.values:
        angles = [entry.number for entry in reading_list(read.kind) if entry.kind in ("camber", "toe_in")]
        _tell("not read: no. {}; their lines have no effect", [number for number in left if number not in angles])
        left = [number for number in left if number in angles]
    _tell('still "?": no. {}; fill them in', left)
    for number, text in (*values.items(), *doubts.items()):
        if not is_number(text):
            say(f"no. {number} ({what_words(entries[number])}): {shown(text)} is no number; mend it in {path}")
    say(f"then: cornersweep survey {path}")
    return _WRITTEN


def _as_files_have_it(
    written: "Mapping[int, str]", entries: "Mapping[int, SuggestedReading]", unit: "LengthUnit"
) -> dict[int, str]:
    """What stands in the boxes of readings, as a file has it: lengths in the sheet's unit, angles in degrees."""
    from reports.sheet.handwriting import as_file_has_it

    return {
        number: as_file_has_it(text, None if entries[number].measure == "angle" else unit)
        for number, text in written.items()
        if number in entries and text.strip()
    }


def _tell(text: str, numbers: list[int]) -> None:
    if numbers:
        say(text.format(", ".join(str(number) for number in numbers)))
