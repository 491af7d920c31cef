"""What was measured as a form: what the car file says now, judged as it is typed, and written back into the file.

The file keeps its comments and all that the form does not show. Faults are the reader's own, in words of the boxes.
"""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from kinematics.car.lengths import STILL_BLANK
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.car_file import car_from, kinds_in
from kinematics.inputs.reading.faults import Fault, InputFaultError, path_of
from kinematics.inputs.reading.file_fields import Table
from kinematics.inputs.reading.plain_text import escaped
from kinematics.inputs.reading.sizes import MOST_BYTES_TOML
from kinematics.inputs.reading.toml_file import parsed_toml
from kinematics.inputs.reading.whole_file import whole_text
from reports.documents.amounts import Record
from reports.page.box_words import Boxes
from reports.page.car_sections import fields_of, named, names_of, section_keys, sections_form
from reports.page.file_version import Seen, refuse_changed, version
from reports.page.picture import picture
from reports.page.saved_before import SavedBefore
from reports.page.typed_lists import list_of, lists_made
from reports.page.typed_value import as_kept, typed_into
from reports.page.written_back import write_back

_WAYS = ("ahead", "out", "up")
_SAID = (
    "ahead of this axle's wheel centres, behind them negative; out from the centre plane, on both sides positive; up "
    "from the ground. Fractions may stand as a tape shows them: 13 5/8, or 1' 3 5/8\" in inches."
)
NO_FORM: Record = {
    "seen": "", "file": "", "unit": "", "said": "", "axles": [], "springs": [], "faults": [], "undo": False,
}  # fmt: skip
_MAY_BE_BLANK = ("radius", "measured_to", "known_to")
_HOW_WELL = (
    "two readings in three lie so near the truth, of all points that say no other below. Where you mean never worse "
    "than this, write half of it. A new form begins with a guess: put your own in its place, for every give or take "
    "comes from it."
)
_ANGLES = ("camber", "toe_in")
_WHEEL = {"camber": "camber [deg]", "toe_in": "toe-in [deg]", "radius": "loaded radius"}


class Typed(Table):
    """What was typed into fields, by their keys in the car file, and the version of the file that the page showed."""

    typed: dict[str, Annotated[str, Field(max_length=60)]] = Field(max_length=600)
    seen: str = ""


def form(path: Path, before: SavedBefore) -> Record:
    """Every field with what the file says there, and the faults that it has now."""
    text = whole_text(path, MOST_BYTES_TOML)
    written = parsed_toml(text, path)
    return {
        "seen": version(text),
        "file": escaped(path.name),
        "unit": str(written.get("units", "")),
        "said": _SAID,
        "axles": _axles(written),
        "springs": sections_form(written, kinds_in(written)[0]),
        "faults": [_boxes(written).told(one, {}) for one in _faults(written, path)],
        "undo": before.there(text),
    }


def _axles(written: Mapping[str, Any]) -> list[Any]:
    """The form's rows, by axle."""
    axles: list[Any] = [_axle(written[name], name, kind) for name, kind in kinds_in(written)[0].items()]
    if axles and "doubt" not in written:  # a doubt file tells it better
        axles[0]["rows"].insert(0, _how_well(written))
    return axles


def can_be_shown(path: Path) -> bool:
    """Whether a car file that has faults can at least be filled in."""
    try:
        return bool(_axles(parsed_toml(whole_text(path, MOST_BYTES_TOML), path)))
    except InputFaultError:
        return False


def checked(path: Path, asked: Typed) -> Record:
    """The faults that the file would have with what was typed; nothing is written."""
    written = parsed_toml(_with_typed(whole_text(path, MOST_BYTES_TOML), path, asked.typed), path)
    boxes = _boxes(written)
    return {"faults": [boxes.told(one, asked.typed) for one in _faults(written, path)]}


def save(path: Path, asked: Typed, saved: SavedBefore) -> Record:
    """Write what was typed into the file, whole or not at all; the form after it.

    InputFaultError where the file was changed since the page read it, where something typed cannot be read, and where a
    file without faults would have some.
    """
    before = whole_text(path, MOST_BYTES_TOML)
    refuse_changed(path, version(before), asked.seen, "the form")
    after = _with_typed(before, path, asked.typed)
    written = parsed_toml(after, path)
    faults = _faults(written, path)
    was_sound = not _faults(parsed_toml(before, path), path)
    filled = {key for key, value in asked.typed.items() if value.strip() not in ("", STILL_BLANK)}
    unread = [one for one in faults if path_of(one.key) in filled]
    if faults and (was_sound or unread):
        raise _boxes(written).refused(path.name, faults if was_sound else unread, asked.typed)
    saved.keep(before, write_back(path, after))
    return form(path, saved)


def unsave(path: Path, asked: Seen, saved: SavedBefore) -> Record:
    """Write what the file said before the last save; the form after it. InputFaultError where it was changed since."""
    now = whole_text(path, MOST_BYTES_TOML)
    refuse_changed(path, version(now), asked.seen, "the form")
    write_back(path, saved.take(now))
    saved.taken()
    return form(path, saved)


def _axle(axle: Mapping[str, Any], name: str, kind: SuspensionType) -> Record:
    rows = [_wheel(axle.get("wheel", {}), f"{name}.wheel", "each wheel")]
    rows += _points(axle.get("points", {}), f"{name}.points", kind, every=True)
    for side in ("left", "right"):
        own = axle.get(side, {}) if isinstance(axle.get(side), Mapping) else {}
        rows += [_wheel(own["wheel"], f"{name}.{side}.wheel", f"{side} wheel")] if "wheel" in own else []
        rows += _points(own.get("points", {}), f"{name}.{side}.points", kind, every=False)
    return {"axle": name, "suspension": kind.title, "rows": rows, "picture": _picture(axle, kind)}


def _how_well(written: Mapping[str, Any]) -> Record:
    unit = str(written.get("units", ""))
    field = _field("measured_to", f"within [{unit}]", written.get("measured_to", ""))
    return {"title": "how well it was measured", "where": _HOW_WELL, "point": None, "fields": [field]}


def _picture(axle: Mapping[str, Any], kind: SuspensionType) -> Record | None:
    """Where such points lie on an invented car; none of a linkage of its owner's own."""
    drawn = SUSPENSIONS.get(str(axle.get("suspension")))
    return picture(drawn.name) if drawn is not None and set(kind.keys) <= set(drawn.keys) else None


def _wheel(table: object, place: str, title: str) -> Record:
    given = table if isinstance(table, Mapping) else {}
    fields = [_field(f"{place}.{key}", words, given.get(key, "")) for key, words in _WHEEL.items()]
    return {
        "title": title,
        "where": "as the gauge reads it; camber negative where the top leans in, toe-in negative for toe-out",
        "point": None,
        "fields": fields,
    }


def _points(table: object, place: str, kind: SuspensionType, *, every: bool) -> Iterator[Record]:
    """Rows of points; every: those too that the file does not have, unless it has them side by side."""
    given = table if isinstance(table, Mapping) else {}
    where = {point.key: point.where for point in kind.points}
    for key in kind.keys if every else given:
        own = given.get(key, {})
        values = own if isinstance(own, Mapping) else {}
        fields = [_field(f"{place}.{key}.{way}", way, values.get(way, "")) for way in _WAYS]
        fields.append(_field(f"{place}.{key}.known_to", "known only within", values.get("known_to", "")))
        side = place.split(".")[1]
        title = f"{key.replace('_', ' ')}{f', {side}' if side != 'points' else ''}"
        yield {"title": title, "where": where.get(key, ""), "point": key, "fields": fields}


def _field(key: str, words: str, value: object) -> Record:
    return {"key": key, "words": words, "value": "" if value == STILL_BLANK else str(value)}


def _faults(written: Mapping[str, Any], path: Path) -> list[Fault]:
    try:
        car_from(written, str(path), path.parent)
    except InputFaultError as found:
        return list(found.faults)
    return []


def _boxes(written: Mapping[str, Any]) -> Boxes:
    """Every box of the form with its whole name."""
    springs = sections_form(written, kinds_in(written)[0])
    names = {
        field["key"]: f"{axle['axle']} axle, {row['title']}, {field['words']}"
        for axle in _axles(written)
        for row in axle["rows"]
        for field in row["fields"]
    }
    return Boxes({**names, **names_of(springs)}, section_keys(springs), named)


def _symbol(key: str, written: Mapping[str, Any]) -> str:
    """The symbol of the unit at a box of the points and wheels."""
    return "deg" if key.rsplit(".", 1)[-1] in _ANGLES else str(written.get("units", ""))


def _with_typed(text: str, path: Path, typed: Mapping[str, str]) -> str:
    """The file's text with what was typed; InputFaultError for keys that are none of the form's fields."""
    written = parsed_toml(text, path)
    rows = (row for axle in _axles(written) for row in axle["rows"])
    springs = sections_form(written, kinds_in(written)[0])
    points = {str(field["key"]): _symbol(field["key"], written) for row in rows for field in row["fields"]}
    symbols = points | {str(field["key"]): str(field["unit"]) for field in fields_of(springs)}
    own = {str(field["key"]): str(field["value"]) for field in fields_of(springs)}
    unknown = [Fault(key, "is no field of the form") for key in typed if key not in symbols]
    if unknown:
        raise InputFaultError("the page", unknown)
    may_be_blank = {key for key in points if key.rsplit(".", 1)[-1] in _MAY_BE_BLANK} | set(map(list_of, own))
    fields = {*points, *map(list_of, own)}
    meant = {key: as_kept(value, symbols[key]) for key, value in typed.items()}
    return typed_into(text, lists_made(meant, own), fields, may_be_blank, section_keys(springs))
