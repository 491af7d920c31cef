"""Tape readings, heights and angles as a form: what the survey file beside the car says, and what is typed into it."""

import copy
import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from kinematics.car.lengths import MM, STILL_BLANK, UNITS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.plans.change_entries import AxleName
from kinematics.inputs.reading.faults import Fault, InputFaultError, shown
from kinematics.inputs.reading.file_fields import Table
from kinematics.inputs.reading.sizes import MOST_BYTES_TOML
from kinematics.inputs.reading.toml_file import parsed_toml
from kinematics.inputs.reading.whole_file import whole_text
from kinematics.inputs.survey.survey_file import SurveyFile, survey_from
from kinematics.inputs.survey.survey_tables import READING_KINDS
from kinematics.inputs.survey.written_down import angle_number, number_of
from kinematics.survey.readings import ReadingKind
from reports.documents.amounts import Record
from reports.outputs.safe_write import write_content
from reports.page.box_words import box_words, plain_name
from reports.page.file_version import refuse_changed, version
from reports.page.picture import picture
from reports.page.typed_value import as_kept, not_read, typed_into
from reports.page.written_back import write_back
from reports.sheet.survey_template import survey_template

_ENTRY = re.compile(r"(front|rear)\.readings,? (?:entry )?(\d+)")
_TITLES: Mapping[str, Callable[[list[str]], str]] = {
    "up": lambda of: f"height of {' over '.join(of)}" if len(of) > 1 else f"height of {of[0]}",
    "out": lambda of: f"{' from '.join(of)}, out" if len(of) > 1 else f"{of[0]}, out from the centre line",
    "ahead": lambda of: f"{' from '.join(of)}, ahead" if len(of) > 1 else f"{of[0]}, ahead of the hubs' line",
    "tape": lambda of: f"tape, {' to '.join(of)}",
    "plumb": lambda of: f"plumb line, {' to '.join(of)}",
    "angle": lambda of: f"angle, {' to '.join(of)}",
    "level": lambda of: f"level: {' with '.join(of)}",
    "in_line": lambda of: f"in line: {', '.join(of)}",
    "offset": lambda of: f"offset, {' to '.join(of)}",
    "track": lambda _: "track",
}


class Read(Table):
    """What was typed into fields, by their keys, and the version of the survey file that the page showed."""

    typed: dict[str, Annotated[str, Field(max_length=60)]] = Field(max_length=400)
    seen: str = ""


class BegunSurvey(Table):
    """The axle of the car that is to be surveyed."""

    axle: AxleName


class Fitted(Table):
    """The car file that the fitted points go into, which must not be there, and the version of the survey."""

    file: Annotated[str, Field(max_length=80)]
    seen: str


def survey_beside(car_file: Path) -> Path:
    """Where the readings are: beside the car, named after it."""
    return car_file.with_name(f"{car_file.stem}_survey.toml")


def survey_form(path: Path) -> Record:
    """Every reading with what the file says; nothing where there is no survey."""
    if not path.exists():
        return {"there": False, "file": path.name, "seen": "", "axles": []}
    text = whole_text(path, MOST_BYTES_TOML)
    written = parsed_toml(text, path)
    told = {"there": True, "file": path.name, "seen": version(text), "unit": str(written.get("units", ""))}
    return {**told, "axles": _axles(written)}


def _axles(written: Mapping[str, Any]) -> list[Any]:
    """The form's rows, by axle."""
    return [_axle(written[name], name) for name in ("front", "rear") if _surveyed(written.get(name))]


def begin_survey(path: Path, car_file: Path, asked: BegunSurvey) -> None:
    """Write a survey of one of the car's axles to fill in, as the measuring sheet has it, over nothing."""
    written = parsed_toml(whole_text(car_file, MOST_BYTES_TOML), car_file)
    axle = written.get(asked.axle, {})
    suspension = str(axle.get("suspension")) if isinstance(axle, Mapping) else ""
    write_content(path, blank_survey(suspension, str(written.get("units")), asked.axle))


def blank_survey(suspension: str, units: str, axle: str) -> str:
    """The text of a survey to fill in; InputFaultError for a type that there is no sheet of."""
    kind = SUSPENSIONS.get(suspension)
    if kind is None or kind.listed:
        raise InputFaultError("the page", [Fault("suspension", f"there is no measuring sheet for {shown(suspension)}")])
    return survey_template(kind, UNITS.get(units, MM), axle)


def save_survey(path: Path, asked: Read) -> None:
    """Write what was typed into the survey file, whole or not at all; what cannot be read is refused."""
    text = with_typed(text_shown(path, asked.seen), path, asked.typed)
    written = parsed_toml(text, path)
    try:
        read_filled(written, path)
    except InputFaultError as found:
        titles = {
            row["key"]: f"{axle['axle']} axle, {row['title']}" for axle in _axles(written) for row in axle["rows"]
        }
        own = [one for one in told_faults(found, written, asked.typed) if one["key"] in asked.typed]
        if own:
            raise InputFaultError(path.name, [Fault(titles[one["key"]], str(one["words"])) for one in own]) from None
    write_back(path, text)


def text_shown(path: Path, seen: str) -> str:
    """The survey's text; InputFaultError where it is another than the page showed."""
    text = whole_text(path, MOST_BYTES_TOML)
    refuse_changed(path, version(text), seen, "the readings")
    return text


def read_filled(written: Mapping[str, Any], path: Path) -> SurveyFile:
    """The survey without the readings that are still blank."""
    taken = copy.deepcopy(dict(written))
    for name in ("front", "rear"):
        if _surveyed(taken.get(name)):
            taken[name]["readings"] = [taken[name]["readings"][i] for i in _taken(written, name)]
    return survey_from(taken, str(path))


def _taken(written: Mapping[str, Any], name: str) -> list[int]:
    """Which entries of an axle are filled in."""
    held = ((one.get("reads"), one.get("track")) for one in written[name]["readings"])
    return [i for i, both in enumerate(held) if STILL_BLANK not in both and "" not in both]


def _surveyed(axle: object) -> bool:
    return isinstance(axle, Mapping) and isinstance(axle.get("readings"), list)


def told_faults(found: InputFaultError, written: Mapping[str, Any], typed: Mapping[str, str]) -> Iterator[Record]:
    """Faults by the fields of the form that they are of; typed: what stands in those that were changed."""
    for fault in found.faults:
        place = _ENTRY.match(fault.key)
        key = fault.key
        if place is not None and _surveyed(written.get(place[1])):
            own = _taken(written, place[1])
            number = int(place[2]) - 1
            if number < len(own):
                entry = written[place[1]]["readings"][own[number]]
                key = f"{place[1]}.readings.{own[number]}.{_holds(entry)}"
        yield {"key": key, "words": not_read(typed.get(key, ""), box_words(fault, plain_name))}


def _holds(entry: Mapping[str, Any]) -> str:
    """The key that holds what was read."""
    return "track" if "track" in entry else "reads"


def _axle(axle: Mapping[str, Any], name: str) -> Record:
    kind = str(axle.get("suspension"))
    tables = [(f"{name}.wheel", axle.get("wheel"), "each wheel")]
    tables += [(f"{name}.{side}.wheel", axle.get(side, {}).get("wheel"), f"{side} wheel") for side in ("left", "right")]
    rows = [row for place, table, words in tables for row in _angles(place, table, words)]
    own = {name: axle}
    rows = [{**row, "number": angle_number(str(row["key"]), own)} for row in rows]
    rows += [
        {**_row(one, f"{name}.readings.{i}"), "number": number_of(f"{name}.readings {i + 1}", own)}
        for i, one in enumerate(axle["readings"])
        if isinstance(one, Mapping)
    ]
    drawn = picture(kind) if kind in SUSPENSIONS and not SUSPENSIONS[kind].listed else None
    title = SUSPENSIONS[kind].title if kind in SUSPENSIONS else kind
    return {"axle": name, "suspension": title, "rows": rows, "picture": drawn}


def _angles(place: str, table: object, words: str) -> Iterator[Record]:
    for key, title in (("camber", "camber"), ("toe_in", "toe-in")):
        if isinstance(table, Mapping) and key in table:
            row = {"title": f"{words}, {title}", "points": [], "unit": "deg"}
            yield {**row, "key": f"{place}.{key}", "value": _shown(table[key])}


def _row(entry: Mapping[str, Any], place: str) -> Record:
    kind: ReadingKind = next((one for one in READING_KINDS if one in entry), "track")
    of = entry.get(kind, [])
    names = [] if kind == "track" else [of] if isinstance(of, str) else [str(one) for one in of]
    title = _TITLES[kind]([name.replace("_", " ") for name in names])
    if "seen_from" in entry:
        title += f", seen from the {entry['seen_from']}"
    points = [name.removeprefix("left ").removeprefix("right ") for name in names]
    holds = _holds(entry)
    read = "reads" in READING_KINDS[kind][0] or holds in entry
    unit = "deg" if kind == "angle" else ""
    row = {"title": title, "points": points, "unit": unit, "note": str(entry.get("note", ""))}
    return {**row, "key": f"{place}.{holds}" if read else "", "value": _shown(entry.get(holds, ""))}


def _shown(value: object) -> str:
    return "" if value == STILL_BLANK else str(value)


def with_typed(text: str, path: Path, typed: Mapping[str, str]) -> str:
    """The file's text with what was typed; InputFaultError for keys that are none of the form's fields."""
    written = parsed_toml(text, path)
    lengths = str(written.get("units", ""))
    symbols = {row["key"]: row["unit"] or lengths for axle in _axles(written) for row in axle["rows"] if row["key"]}
    meant = {key: as_kept(value, symbols.get(key, "")) for key, value in typed.items()}
    return typed_into(text, meant, symbols)
