"""What to measure next, as `survey --next` tells it, of the readings that stand in the form.

Apart from the form, for the libraries that fit are slow to load.
"""

import argparse
from pathlib import Path
from typing import Annotated

from pydantic import Field

from kinematics.car.lengths import LengthUnit
from kinematics.inputs.reading.faults import Fault, InputFaultError, shown
from kinematics.inputs.reading.sizes import MOST_BYTES_TOML
from kinematics.inputs.reading.toml_file import parsed_toml
from kinematics.inputs.reading.whole_file import whole_text
from kinematics.inputs.survey.blank_survey import is_blank, planned_survey
from kinematics.numbers.registry import QUANTITIES, quantities_of
from kinematics.survey.fit import fit
from kinematics.survey.judged import judged
from kinematics.survey.missing import missing
from kinematics.survey.next_readings import next_readings
from kinematics.survey.readings import Survey
from reports.documents.amounts import Record
from reports.option_values import doubt_wanted
from reports.page.surveying import Read, read_filled, with_typed
from reports.page.typed_value import as_meant, not_read
from reports.words.next_readings import (
    PLANNED,
    doubt_shown,
    gauge_alone_does,
    gauge_lines,
    good_to,
    how_to_read,
    mend_first,
    next_headline,
    reading_words,
)
from reports.words.numbers import PLUS_MINUS

_MEND = "What to measure next is told once what is wrong with the readings is mended."
_OPEN = "What to measure next at the {} axle is told once nothing is missing there any more; what is, stands above."
_NOTHING: Record = {"words": "", "fault": "", "numbers": [], "axles": []}


class NextAsked(Read):
    """The number that is to be known better, and how well, as typed in its own unit; blank: as well as may be."""

    about: Annotated[str, Field(max_length=60)] = "roll_centre_height"
    within: Annotated[str, Field(max_length=60)] = ""


def survey_next(path: Path, asked: NextAsked) -> Record:
    """The list for each axle, with the doubt after each reading; numbers: those that can be asked about."""
    written = parsed_toml(with_typed(whole_text(path, MOST_BYTES_TOML), path, asked.typed), path)
    planned = is_blank(written)
    try:
        read = planned_survey(written, str(path)) if planned else read_filled(written, path)
    except InputFaultError:
        return {**_NOTHING, "words": _MEND}
    unit = read.car.unit
    known = {key for one in read.surveys for key in quantities_of(one.axle)}
    if asked.about not in known:
        raise InputFaultError("the page", [Fault("about", f"read {shown(asked.about)}, no number of this car")])
    numbers = [_number(key, unit) for key in QUANTITIES if key in known]
    told: Record = {**_NOTHING, "words": PLANNED if planned else "", "numbers": numbers}
    within = _within(asked, unit)
    if isinstance(within, str):
        return {**told, "fault": within}
    own = [one for one in read.surveys if asked.about in quantities_of(one.axle)]
    return {**told, "axles": [_axle(one, asked.about, within, unit) for one in own]}


def _number(key: str, unit: LengthUnit) -> Record:
    return {"key": key, "title": QUANTITIES[key].title, "unit": QUANTITIES[key].dimension.unit(unit)}


def _within(asked: NextAsked, unit: LengthUnit) -> float | str | None:
    """The doubt that is wanted [mm, rad ...], None where none is; words where it cannot be read."""
    kind = QUANTITIES[asked.about].dimension
    if not asked.within.strip():
        return None
    try:
        value = doubt_wanted(as_meant(asked.within.strip(), kind.unit(unit)))
    except argparse.ArgumentTypeError as error:
        return not_read(asked.within, str(error))
    return value / kind.scale(unit)


def _axle(survey: Survey, about: str, within: float | None, unit: LengthUnit) -> Record:
    found, axle = fit(survey), survey.axle.name
    if missing(found).open:
        return _without(axle, _OPEN.format(axle))
    if judged(found, unit).suspect:
        return _without(axle, mend_first(axle))
    told = next_readings(found, about, within)
    # Readings that do not get there are no advice where a gauge does.
    listed = [] if gauge_alone_does(told) else list(told)
    rows = [
        {
            "number": "" if one.what.number is None else str(one.what.number),
            "reading": reading_words(one.what),
            "good_to": good_to(one.what, unit),
            "after": f"{PLUS_MINUS} {doubt_shown(one.after, told, unit)}",
        }
        for one in listed
    ]
    notes = [*gauge_lines(told, unit), *how_to_read([one.what for one in listed])]
    symbol = told.number.dimension.unit(unit)
    return {"axle": axle, "headline": next_headline(told, unit), "unit": symbol, "rows": rows, "notes": notes}


def _without(axle: str, words: str) -> Record:
    return {"axle": axle, "headline": words, "unit": "", "rows": [], "notes": []}
