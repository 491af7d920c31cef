"""A survey file in which nothing is read yet, as `sheet` writes it: planned as if read on a typical car."""

import copy
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import STILL_BLANK
from kinematics.inputs.survey.survey_entries import table_at
from kinematics.inputs.survey.survey_file import SurveyFile, survey_from
from kinematics.survey.typical_survey import on_typical_car

_READ = ("reads", "track", "by")
_ANY_LENGTH, _ANY_ANGLE = 1.0, 0.0  # until what the typical car shows is known


def is_blank(written: Mapping[str, Any]) -> bool:
    """Whether a survey file's content has readings, and every one of them is still blank."""
    values = [entry[key] for entry in _entries(written) for key in _READ if key in entry]
    return bool(values) and all(value == STILL_BLANK for value in values)


def planned_survey(written: Mapping[str, Any], source: str) -> SurveyFile:
    """The surveys of a blank file, filled in as a typical car would read; faults as of any survey file."""
    filled = copy.deepcopy(dict(written))
    for entry in _entries(filled):
        value = _ANY_ANGLE if "angle" in entry else _ANY_LENGTH
        entry.update({key: value for key in _READ if entry.get(key) == STILL_BLANK})
    for wheel in _wheels(filled):
        wheel.update({key: 0.0 for key, value in wheel.items() if value == STILL_BLANK})
    read = survey_from(filled, source)
    return replace(read, surveys=tuple(on_typical_car(one) for one in read.surveys))


def _entries(written: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    for axle in ("front", "rear"):
        readings = table_at(written.get(axle)).get("readings")
        yield from (entry for entry in (readings if isinstance(readings, list) else ()) if isinstance(entry, dict))


def _wheels(written: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    for axle in ("front", "rear"):
        own = table_at(written.get(axle))
        yield from (table_at(table.get("wheel")) for table in (own, *(table_at(own.get(side)) for side in SIDE_NAMES)))
