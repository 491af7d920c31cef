"""What the fit of a survey says beside its form, and the car that fits it.

Apart from the form, for the libraries that fit are slow to load: they are wanted when the first reading is judged.
"""

from pathlib import Path
from typing import Any

from kinematics.car.lengths import LengthUnit
from kinematics.inputs.reading.faults import InputFaultError
from kinematics.inputs.reading.sizes import MOST_BYTES_TOML
from kinematics.inputs.reading.toml_file import parsed_toml
from kinematics.inputs.reading.whole_file import whole_text
from kinematics.survey.fit import SurveyFit, fit
from kinematics.survey.judged import judged
from kinematics.survey.missing import missing
from kinematics.survey.reliability import reliability
from kinematics.survey.sheet_numbers import SheetNumbers
from reports.commands.survey import refuse_open, refuse_what_is_no_car, surveyed_paths, write_surveyed
from reports.documents.amounts import Record
from reports.documents.surveyed import survey_document
from reports.outputs.safe_write import refuse_existing
from reports.page.surveying import Fitted, Read, read_filled, text_shown, told_faults, with_typed
from reports.words.survey import agreement_words, missing_words, weakly_checked_words
from reports.words.survey_curves import unreached_words


def survey_judged(path: Path, asked: Read) -> Record:
    """The faults that the file would have, and what its fit says; readings still blank count as not taken."""
    written = parsed_toml(with_typed(whole_text(path, MOST_BYTES_TOML), path, asked.typed), path)
    try:
        read = read_filled(written, path)
    except InputFaultError as found:
        return {"faults": list(told_faults(found, written, asked.typed)), "verdicts": []}
    return {"faults": [], "verdicts": [_verdict(fit(one), read.car.unit) for one in read.surveys]}


def survey_fitted(path: Path, car: Path, asked: Fitted) -> None:
    """Write a new car file with the fitted points, the doubt and the readings beside it; nothing over what is there."""
    read = read_filled(parsed_toml(text_shown(path, asked.seen), path), path)
    paths = surveyed_paths(str(car), read)
    refuse_existing(paths, replace=False)
    fits = [fit(one) for one in read.surveys]
    for one in fits:
        refuse_open(one, read.car.unit)
    told = [judged(one, read.car.unit) for one in fits]
    refuse_what_is_no_car(str(path), read.car.unit, told)
    write_surveyed(str(path), paths, read, told, [reliability(one) for one in fits], replace=False)


def _verdict(found: SurveyFit, unit: LengthUnit) -> Record:
    """What is said of a fit beside its readings."""
    lacking = missing(found)
    head = f"{len(found.readings)} readings for {len(found.solved.parameters)} unknowns"
    if lacking.open:
        return {
            "axle": found.axle.name,
            "head": head,
            "open": True,
            "missing": missing_words(lacking, unit, SheetNumbers(found.survey)),
        }
    unreached = [text for _, text in unreached_words(found, unit)] if found.curved is None else []
    checked = reliability(found)
    document: Any = survey_document([judged(found, unit)], [checked], unit)["axles"]
    told = document[0]
    return {
        "axle": found.axle.name,
        "head": f"{head}. {agreement_words(found)}",
        "open": False,
        "suspects": [one["words"] for one in (*told["suspects"], *told["curve_suspects"])],
        "warnings": [*told["warnings"], *unreached],
        "weakly_checked": weakly_checked_words(checked, unit),
        "points": told["points"],
        "readings": told["readings"],
    }
