"""The survey file: a car file in which an axle has readings, as they come off the garage floor, in place of points."""

import copy
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.lengths import IS_BLANK, MM, UNITS, as_written
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.uncertainty import WAYS
from kinematics.inputs.car.car_file import (
    axle_from,
    final_drive_unused,
    kinds_in,
    limits_from,
    limits_not_there,
    point_faults,
    radii_written,
)
from kinematics.inputs.car.fittings_file import body_from
from kinematics.inputs.car.plausibility import implausible
from kinematics.inputs.reading.faults import LEAVE_OUT, Fault, InputFaultError, Remedy, shown
from kinematics.inputs.reading.file_fields import validated
from kinematics.inputs.reading.file_kinds import FileKind, refuse_other_kind
from kinematics.inputs.reading.toml_file import read_toml
from kinematics.inputs.survey.curve_entries import curves_of
from kinematics.inputs.survey.survey_entries import axle_survey, doubts_of, points_written, table_at
from kinematics.inputs.survey.survey_tables import READING_KINDS, SurveyAxleTable, SurveyTable
from kinematics.inputs.survey.written_down import as_written_down, entry_at, number_of
from kinematics.survey.readings import Survey
from solvers.read_only import read_only

_FILL_IN = Remedy("fill it in, or take the line away", "fill it in")
_NO_READING = (
    "there is no reading: give an axle a list, like readings = [ ... ] under [front]; `cornersweep sheet` writes one "
    "to fill in (a car file that has its points goes to `cornersweep show`)"
)
_SURVEY_ONLY = ("sides", "helpers", "readings", "curves", "points")


@dataclass(frozen=True, repr=False)
class SurveyFile:
    """What a survey file holds.

    car: the car; of a surveyed axle all but its points, which are placeholders. surveys: one for each surveyed axle.
    written: the file's content without what only a survey has, and without the surveyed axles' points.
    """

    car: Car
    surveys: tuple[Survey, ...]
    written: dict[str, Any]

    def __repr__(self) -> str:
        return f"<survey file of {self.car.name!r}: {', '.join(map(repr, self.surveys))}>"


def read_survey(path: str | Path) -> SurveyFile:
    """Read a survey file. InputFaultError names every fault: key, what was read, what is allowed."""
    written = read_toml(path)
    return survey_from(written, str(path))


def survey_from(written: Mapping[str, Any], source: str) -> SurveyFile:
    """Make surveys of a file's content; `source` names the file in messages."""
    if not written:
        raise InputFaultError(source, [Fault("", "the file is empty; a survey is a car file with `readings`")])
    refuse_other_kind(written, FileKind.SURVEY, source)
    surveyed = [name for name in ("front", "rear") if "readings" in table_at(written.get(name))]
    kinds, faults = kinds_in(written)
    filled = _filled(written, surveyed, kinds)
    table, more = validated(SurveyTable, filled)
    faults = [_with_entry(one, written) for one in more] + faults + point_faults(filled, kinds)
    if not surveyed:
        faults.append(Fault("", _NO_READING))
    if "doubt" in written:
        faults.append(Fault("doubt", "the readings say how well each point is known", LEAVE_OUT))
    if table is None:
        raise InputFaultError(source, faults)
    unit = as_written(UNITS[table.units], written)
    body, body_faults = body_from(table.body, unit)
    faults += body_faults
    sound = not faults
    axles: list[Axle] = []
    surveys: list[Survey] = []
    for name, axle_table in (("front", table.front), ("rear", table.rear)):
        if axle_table is None or not sound:
            continue
        axle, missing = axle_from(name, axle_table, kinds[name], unit, table.measured_to, body)
        faults += missing
        axles.append(axle)
        if name in surveyed:
            points = points_written(name, written[name], axle_table, kinds[name])
            survey, wrong = axle_survey(axle, axle_table, points, doubts_of(table.instruments, unit), table, unit)
            read, wrong_curves = curves_of(axle, axle_table, unit, Path(source).parent)
            surveys.append(replace(as_written_down(survey, written), curves=read))
            faults += [*(_with_entry(one, written) for one in wrong), *wrong_curves]
        else:
            faults += [] if missing else implausible(axle, unit, radii_written(axle_table, unit))
            faults += _only_with_readings(name, axle_table)
    faults += final_drive_unused(body, axles)
    limits, limit_faults = limits_from(table.limits, unit)
    faults += limit_faults or limits_not_there(limits, axles)
    if faults:
        raise InputFaultError(source, faults)
    car = Car(table.name, unit, tuple(axles), limits)
    return read_only(SurveyFile(car, tuple(surveys), _rest(written, surveyed, kinds)))


def _with_entry(fault: Fault, written: Mapping[str, Any]) -> Fault:
    """A fault of one reading, with what it is a reading of: numbers alone are hard to find in a list."""
    entry = entry_at(fault.key, written)
    kind = next((one for one in READING_KINDS if one in entry), None)
    if kind is None:
        return fault
    of = f"the reading of {kind if kind == 'track' else f'{kind} {shown(entry[kind])}'}"
    names_it = kind != "track" and fault.key.endswith(f".{kind}")  # of its names: they are told already
    number = number_of(fault.key, written)
    on_sheet = "" if number is None else f"no. {number} of the measuring sheet"
    blank = _FILL_IN if fault.wrong == IS_BLANK else fault.remedy
    return replace(fault, remedy=blank, of=", ".join(filter(None, ("" if names_it else of, on_sheet))))


def _filled(written: Mapping[str, Any], surveyed: Sequence[str], kinds: Mapping[str, SuspensionType]) -> dict[str, Any]:
    """The file's content with placeholders for the points that a surveyed axle does not list."""
    filled = copy.deepcopy(dict(written))
    in_mm = UNITS.get(str(written.get("units")), MM).in_mm
    for name in surveyed:
        if name not in kinds or not isinstance(filled[name].get("points", {}), dict):
            continue
        points = filled[name].setdefault("points", {})
        for point in kinds[name].points:
            if point.key not in points:
                points[point.key] = {way: value / in_mm for way, value in zip(WAYS, point.typical, strict=True)}
    return filled


def _rest(written: Mapping[str, Any], surveyed: Sequence[str], kinds: Mapping[str, SuspensionType]) -> dict[str, Any]:
    """What a car file keeps. Of a free linkage's points that is what carries them."""
    rest = {key: copy.deepcopy(value) for key, value in written.items() if key != "instruments"}
    for name in surveyed:
        tables = [rest[name].get(side, {}) for side in reversed(SIDE_NAMES)] + [rest[name]]
        points = {key: point for table in tables for key, point in table.get("points", {}).items()}
        rest[name] = {key: value for key, value in rest[name].items() if key not in _SURVEY_ONLY}
        for side in SIDE_NAMES:
            rest[name].get(side, {}).pop("points", None)
        if kinds[name].listed:
            kept = ("on", "single")
            rest[name]["points"] = {
                key: {one: value for one, value in point.items() if one in kept} for key, point in points.items()
            }
    return rest


def _only_with_readings(name: str, table: SurveyAxleTable) -> Iterator[Fault]:
    for key in ("sides", "helpers", "curves"):
        if key in table.model_fields_set:
            yield Fault(f"{name}.{key}", "is for an axle with `readings`; this one has none")
