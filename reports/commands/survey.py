"""The command `survey`: from readings on the garage floor to a car file, and how well it is known."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.voice import say_written

if TYPE_CHECKING:
    from kinematics.car.lengths import LengthUnit
    from kinematics.inputs.survey.survey_file import SurveyFile
    from kinematics.survey.fit import SurveyFit
    from kinematics.survey.reliability import Reliability
    from reports.documents.surveyed import JudgedFit

FITS, SUSPECT = 0, 1


def survey(options: argparse.Namespace) -> int:
    """Fit a survey, say what does not fit or is missing, and write the car file; 1 where a reading is suspect."""
    from kinematics.inputs.survey.survey_file import read_survey
    from kinematics.survey.fit import fit
    from kinematics.survey.reliability import reliability
    from reports.documents.document import put_document
    from reports.documents.surveyed import survey_document
    from reports.outputs.safe_write import refuse_existing
    from reports.tables.survey_table import show_weakly_checked
    from reports.tables.terminal import console, show_caution, working

    read = read_survey(options.survey)
    paths = surveyed_paths(options.car)
    refuse_existing(paths, replace=options.replace)
    with working("fitting the points"):
        fits = [fit(one) for one in read.surveys]
    out = console()
    judged = [_show(found, read) for found in fits]
    suspect = any(one.suspect for one in judged)
    refuse_what_is_no_car(options.survey, read, fits)
    checked = [reliability(found) for found in fits]
    for one in checked:
        show_weakly_checked(out, one, read.car.unit)
    if not paths:
        out.print("Nothing is written: name a car file behind the survey to have one.")
    else:
        write_surveyed(options.survey, paths, read, checked, replace=options.replace)
    show_caution(out)
    put_document("survey", read.car, lambda: survey_document(judged, checked, read.car.unit))
    return SUSPECT if suspect else FITS


def surveyed_paths(car: str | None) -> list[Path]:
    """The files of a surveyed car: itself, the doubt beside it, and the readings."""
    if car is None:
        return []
    path = Path(car)
    if path.suffix.lower() != ".toml":
        text = f"read {car}; a name that ends in .toml is allowed"
        raise InputFaultError("cornersweep survey", [Fault("car", text)])
    return [path, path.with_name(f"{path.stem}_doubt.csv"), path.with_name(f"{path.stem}_readings.csv")]


def _show(found: "SurveyFit", read: "SurveyFile") -> "JudgedFit":
    """Print a fit, and what is to be said of it. Raises InputFaultError where points are left open."""
    from reports.tables.survey_table import show_survey
    from reports.tables.terminal import console, working
    from reports.words.survey import culprit_words

    out, unit = console(), read.car.unit
    refuse_open(found, unit)
    show_survey(out, found, unit)
    with working("looking for readings that do not fit"):
        judged = judge(found, unit)
    loud = console(headline=True)
    for one in judged.culprits:
        loud.print(f"SUSPECT  {culprit_words(one, unit)}", style="bold red")
    for text in judged.warnings:
        loud.print(f"WARNING  {text}", style="yellow")
    return judged


def refuse_open(found: "SurveyFit", unit: "LengthUnit") -> None:
    """Raise InputFaultError where readings leave points open."""
    from kinematics.survey.missing import missing
    from reports.words.survey import missing_words

    lacking = missing(found)
    if lacking.open:
        name = found.axle.name
        raise InputFaultError("the survey", [Fault(f"{name}.readings", text) for text in missing_words(lacking, unit)])


def judge(found: "SurveyFit", unit: "LengthUnit") -> "JudgedFit":
    """What is to be said of a fit: readings to suspect, and warnings."""
    from kinematics.survey.culprits import culprits
    from kinematics.survey.fit import spread_beyond
    from kinematics.survey.missing import missing
    from kinematics.survey.second_places import second_places
    from reports.documents.surveyed import JudgedFit
    from reports.words.survey import missing_words, second_place_words, widened_words

    blamed, places = culprits(found, unit), second_places(found)
    warnings = [*missing_words(missing(found), unit), *(second_place_words(one, unit) for one in places)]
    if spread_beyond(found) > 1.0:
        warnings.append(widened_words(found))
    return JudgedFit(found, blamed, warnings, bool(blamed or places))


def refuse_what_is_no_car(source: str, read: "SurveyFile", fits: "list[SurveyFit]") -> None:
    """Raise InputFaultError where what was fitted is nothing that a car can have."""
    from kinematics.inputs.car.plausibility import implausible

    faults = [fault for found in fits for fault in implausible(found.axle, read.car.unit, (None, None))]
    if faults:
        told = [Fault(fault.key, f"as fitted, {fault.message}") for fault in faults]
        raise InputFaultError(source, told)


def write_surveyed(
    source: str, paths: list[Path], read: "SurveyFile", checked: "list[Reliability]", *, replace: bool
) -> None:
    """Write the car file, the doubt beside it and the readings."""
    from kinematics.inputs.car.car_text import car_text
    from kinematics.inputs.car.known_to import without_stated_doubt
    from kinematics.inputs.tables.doubt_file import doubt_text
    from kinematics.survey.fit import spread_beyond, widened
    from reports.outputs.safe_write import write_content, write_whole
    from reports.outputs.survey_files import write_readings

    car, doubt, readings = paths
    fitted = {one.found.axle.name: one.found for one in checked}
    points = {name: found.axle.points for name, found in fitted.items()}
    doubts = {axle.name: axle.doubt for axle in read.car.axles if axle.doubt is not None}
    doubts |= {name: widened(found) for name, found in fitted.items()}
    head = [f"Points fitted to the readings of {Path(source).name}; how well they are known: {doubt.name}."]
    for name, found in fitted.items():
        if spread_beyond(found) > 1.0:
            head.append(
                f"{name}: the readings do NOT agree; mend the survey first. Until then doubts count "
                f"{spread_beyond(found):.1f} times as large, as far as the readings scatter."
            )
    text = car_text(without_stated_doubt(read.written), points, {"doubt": doubt.name}, head)
    unit = read.car.unit
    write_content(doubt, doubt_text(doubts, unit), replace=replace)
    write_content(car, text, replace=replace)
    write_whole(readings, lambda file: write_readings(checked, unit, file), replace=replace)
    for path in paths:
        say_written(path)
