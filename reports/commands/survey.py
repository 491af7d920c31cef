"""The command `survey`: from readings on the garage floor to a car file, and how well it is known."""

import argparse
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.next_readings import (
    next_of,
    number_asked,
    read_or_planned,
    refuse_without_next,
    show_next,
    spared_of,
)
from reports.voice import say_written

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from kinematics.car.car import Car
    from kinematics.car.lengths import LengthUnit
    from kinematics.inputs.survey.survey_file import SurveyFile
    from kinematics.survey.fit import SurveyFit
    from kinematics.survey.judged import JudgedFit
    from kinematics.survey.reliability import Reliability

FITS, SUSPECT = 0, 1


def survey(options: argparse.Namespace) -> int:
    """Fit a survey, say what does not fit or is missing, and write the car file; 1 where a reading is suspect."""
    from kinematics.survey.fit import fit
    from kinematics.survey.judged import judged
    from kinematics.survey.reliability import reliability
    from reports.documents.document import put_document
    from reports.documents.surveyed import survey_document
    from reports.outputs.safe_write import refuse_existing
    from reports.tables.terminal import console, show_caution, working

    refuse_without_next(options)
    read, planned = read_or_planned(options)
    number = number_asked(options, read) if options.next else ""
    paths = surveyed_paths(options.car, read)
    refuse_existing(paths, replace=options.replace)
    unit = read.car.unit
    with working("fitting the points"):
        fits = [fit(one) for one in read.surveys]
    for found in fits:
        refuse_open(found, unit)
    with working("looking for readings that do not fit"):
        told = [judged(found, unit) for found in fits]
    refuse_what_is_no_car(options.survey, unit, told)
    checked = [reliability(found) for found in fits]
    further = next_of(told, number, options.within, read) if options.next else []
    spared = spared_of(further, planned=planned)
    out = console()
    if options.next:
        show_next(further, spared, read, planned=planned)
    _show(options, told, checked, unit)
    if planned:
        out.print("Nothing is read yet, and nothing written.")
    elif not paths:
        out.print("Nothing is written: name a car file behind the survey to have one.")
    else:
        write_surveyed(options.survey, paths, read, told, checked, replace=options.replace)
    show_caution(out)
    both = ([], []) if planned else (told, checked)
    put_document("survey", read.car, lambda: survey_document(*both, unit, further, spared))
    return SUSPECT if any(one.suspect for one in told) else FITS


def _show(
    options: argparse.Namespace, told: "Sequence[JudgedFit]", checked: "Sequence[Reliability]", unit: "LengthUnit"
) -> None:
    """Print the answer, what speaks against it, and the tables; with --next only what speaks against it."""
    from reports.tables.survey_table import show_notes, show_survey, show_told
    from reports.tables.terminal import console, show_headline
    from reports.words.survey_headline import survey_headline

    if not options.next:
        show_headline(survey_headline(told, checked, unit, options.survey, options.car))
    for one in told:
        show_told(one, unit)
    sound = not any(one.suspect or one.odd for one in told)
    for one, own in zip(told, checked, strict=True):
        if not options.next:
            show_survey(console(), one, own, unit, everything=options.all, sound=sound, axles=len(told))
    if not options.next:
        suspect = any(each.readings for one in told for each in one.culprits)
        show_notes(console(), everything=options.all, suspect=suspect)


def surveyed_paths(car: str | None, read: "SurveyFile") -> list[Path]:
    """The car file, the doubt beside it, the readings, and where there are curves these and a figure for each axle."""
    if car is None:
        return []
    path = Path(car)
    if path.suffix.lower() != ".toml":
        text = f"read {car}; a name that ends in .toml is allowed"
        raise InputFaultError("cornersweep survey", [Fault("car", text)])
    curved = [one.axle.name for one in read.surveys if one.curves]
    tables = ["doubt.csv", "readings.csv", *(["curves.csv"] if curved else [])]
    figures = [f"{name}_curves.svg" for name in curved]
    return [path, *(path.with_name(f"{path.stem}_{ending}") for ending in (*tables, *figures))]


def refuse_open(found: "SurveyFit", unit: "LengthUnit") -> None:
    """Raise InputFaultError where readings leave points open, or curves go beyond what the car reaches."""
    from kinematics.survey.missing import missing
    from kinematics.survey.sheet_numbers import SheetNumbers
    from reports.words.survey import missing_words
    from reports.words.survey_curves import unreached_words

    lacking = missing(found)
    if lacking.open:
        lines = missing_words(lacking, unit, SheetNumbers(found.survey))
        raise InputFaultError("the survey", [Fault(f"{found.axle.name}.readings", text) for text in lines])
    if found.survey.curves and found.curved is None:
        raise InputFaultError("the survey", [Fault(key, text) for key, text in unreached_words(found, unit)])


def refuse_what_is_no_car(source: str, unit: "LengthUnit", told: "Sequence[JudgedFit]") -> None:
    """Raise InputFaultError where what was fitted is nothing that a car can have, with the readings that explain it."""
    from kinematics.inputs.car.plausibility import implausible
    from reports.words.survey_wild import explaining_lines, wild_words

    faults: list[Fault] = []
    for one in told:
        wild = implausible(one.fit.axle, unit, (None, None))
        faults += [Fault(fault.key, wild_words(fault, one)) for fault in wild]
        faults += [Fault(f"{one.fit.axle.name}.readings", text) for text in explaining_lines(one, unit) if wild]
    if faults:
        raise InputFaultError(source, faults)


def write_surveyed(
    source: str,
    paths: list[Path],
    read: "SurveyFile",
    told: "list[JudgedFit]",
    checked: "list[Reliability]",
    *,
    replace: bool,
) -> None:
    """Write the car file, the doubt beside it, the readings and the curves."""
    from kinematics.inputs.car.car_text import car_text
    from kinematics.inputs.car.known_to import without_stated_doubt
    from kinematics.inputs.tables.doubt_file import doubt_text
    from kinematics.survey.fit import widened
    from reports.outputs.safe_write import write_content, write_whole
    from reports.outputs.survey_files import write_readings
    from reports.words.survey_until_mended import at_head_of_file

    car, doubt, readings, *of_curves = paths
    fitted = {one.fit.axle.name: one.fit for one in told}
    points = {name: found.axle.points for name, found in fitted.items()}
    doubts = {axle.name: axle.doubt for axle in read.car.axles if axle.doubt is not None}
    doubts |= {name: widened(found) for name, found in fitted.items()}
    head = [f"Points fitted to the readings of {Path(source).name}; how well they are known: {doubt.name}."]
    for one in told:
        head += [f"{one.fit.axle.name}: {text}" for text in at_head_of_file(one)]
    text = car_text(without_stated_doubt(read.written), points, {"doubt": doubt.name}, head)
    unit = read.car.unit
    write_content(doubt, doubt_text(doubts, unit, tomllib.loads(text)), replace=replace)
    write_content(car, text, replace=replace)
    write_whole(readings, lambda file: write_readings(checked, unit, file), replace=replace)
    _write_curves(of_curves, read.car, list(fitted.values()), replace=replace)
    for path in paths:
        say_written(path)


def _write_curves(paths: list[Path], car: "Car", fits: "list[SurveyFit]", *, replace: bool) -> None:
    """A table of all curves, and a figure for each axle that has some."""
    from reports.outputs.safe_write import write_whole
    from reports.outputs.survey_files import write_curves

    if not paths:
        return
    write_whole(paths[0], lambda file: write_curves(fits, car.unit, file), replace=replace)
    for path, found in zip(paths[1:], (one for one in fits if one.curved), strict=True):
        _draw_curves(path, found, car, replace=replace)


def _draw_curves(path: Path, found: "SurveyFit", car: "Car", *, replace: bool) -> None:
    from reports.outputs.output import drawn
    from reports.outputs.safe_write import write_whole

    def draw(one: "SurveyFit") -> "Figure":
        from reports.figures.survey_curves import survey_curves

        return survey_curves(one, car.name, car.unit)

    write_whole(path, lambda file: drawn(draw, "svg")(found, file), replace=replace)
