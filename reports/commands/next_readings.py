"""What `survey --next` adds: what to measure besides, so that a number is known as well as is wanted."""

import argparse
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from kinematics.inputs.reading.faults import Fault, InputFaultError, shown
from reports.option_values import doubt_wanted

if TYPE_CHECKING:
    from kinematics.inputs.survey.survey_file import SurveyFile
    from kinematics.survey.dispensable import Dispensable
    from kinematics.survey.fit import SurveyFit
    from kinematics.survey.judged import JudgedFit
    from kinematics.survey.next_readings import NextReadings

    Spared = Mapping[str, Sequence[Dispensable]]

_NAME = "cornersweep survey"
_ROLL_CENTRE = "roll_centre_height"


def add_next(parser: argparse.ArgumentParser) -> None:
    """The options that ask what to measure next."""
    parser.add_argument(
        "--next", action="store_true", help="tell what to measure next, in order, and how well a number is then known"
    )
    parser.add_argument(
        "--about",
        metavar="NUMBER",
        help="with --next: the number at ride height that is to be known better, such as bump_steer (default: "
        "roll-centre height)",
    )
    parser.add_argument(
        "--within",
        type=doubt_wanted,
        metavar="DOUBT",
        help="with --next: how well it is to be known, 95 %% either way, in its own unit in this file, such as 3 or "
        "1/8 (default: as well as six readings can)",
    )


def refuse_without_next(options: argparse.Namespace) -> None:
    """Raise InputFaultError for options that only --next understands."""
    given = [f"--{name}" for name in ("about", "within") if getattr(options, name) is not None]
    if given and not options.next:
        raise InputFaultError(_NAME, [Fault(one, "goes with --next alone; add it") for one in given])


def read_or_planned(options: argparse.Namespace) -> "tuple[SurveyFile, bool]":
    """The survey file; with --next one that is blank is planned on a typical car, which True says."""
    from kinematics.inputs.reading.toml_file import read_toml
    from kinematics.inputs.survey.blank_survey import is_blank, planned_survey
    from kinematics.inputs.survey.survey_file import survey_from

    written = read_toml(options.survey)
    if not (options.next and is_blank(written)):
        return survey_from(written, options.survey), False
    if options.car is not None:
        text = f"read {shown(options.car)}; the survey is still blank, so there is no car to write: leave it out"
        raise InputFaultError(_NAME, [Fault("car", text)])
    return planned_survey(written, options.survey), True


def number_asked(options: argparse.Namespace, read: "SurveyFile") -> str:
    """The key of the number that is asked about. InputFaultError where a surveyed axle does not have it."""
    from kinematics.numbers.registry import quantities_of
    from reports.commands.number_named import number_named

    known = {key for one in read.surveys for key in quantities_of(one.axle)}
    found = number_named(_ROLL_CENTRE if options.about is None else options.about, known, "--about")
    if isinstance(found, Fault):
        raise InputFaultError(_NAME, [found])
    return found


def next_of(
    judged: "Sequence[JudgedFit]", number: str, within: float | None, read: "SurveyFile"
) -> "list[NextReadings | SurveyFit]":
    """What to read next of each axle that has the number; its fit where its readings do not agree yet.

    within: in the number's unit as the file has it.
    """
    from kinematics.numbers.registry import quantities_of
    from kinematics.survey.next_readings import next_readings
    from reports.tables.terminal import working

    with working("looking for what to measure next"):
        return [
            one.fit if one.suspect else next_readings(one.fit, number, _inside(number, within, read))
            for one in judged
            if number in quantities_of(one.fit.axle)
        ]


def _inside(number: str, within: float | None, read: "SurveyFile") -> float | None:
    from kinematics.numbers.registry import QUANTITIES

    return None if within is None else within / QUANTITIES[number].dimension.scale(read.car.unit)


def spared_of(told: "Sequence[NextReadings | SurveyFit]", *, planned: bool) -> "Spared":
    """What of the sheet could be left out, by axle, where nothing is read yet."""
    from kinematics.survey.dispensable import dispensable
    from kinematics.survey.next_readings import NextReadings

    answered = [one for one in told if planned and isinstance(one, NextReadings)]
    return {one.found.axle.name: dispensable(one) for one in answered}


def show_next(
    told: "Sequence[NextReadings | SurveyFit]", spared: "Spared", read: "SurveyFile", *, planned: bool
) -> None:
    """Print the answer, then the list for each axle. planned: on a typical car, before anything is read."""
    from kinematics.survey.next_readings import NextReadings
    from reports.tables.next_readings_table import show_dispensable, show_next_readings
    from reports.tables.terminal import console, show_headline
    from reports.words.next_readings import PLANNED, mend_first, next_headline
    from reports.words.wrapped import wrapped

    unit = read.car.unit
    answers = [next_headline(one, unit) if isinstance(one, NextReadings) else mend_first(one.axle.name) for one in told]
    show_headline(line for answer in (*([PLANNED] if planned else ()), *answers) for line in wrapped(answer))
    answered = [one for one in told if isinstance(one, NextReadings)]
    show_next_readings(console(), answered, unit)
    if planned:
        show_dispensable(console(), [(one, spared[one.found.axle.name]) for one in answered], unit)
