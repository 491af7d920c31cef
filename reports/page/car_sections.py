"""Weights, springs, bars, dampers, stops and the body between the axles as rows of a form.

What can be entered is what the car file's reader takes; here is only said in which order, and in which words.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kinematics.car.lengths import STILL_BLANK, UNITS
from kinematics.car.suspension_type import CHASSIS, SuspensionType
from kinematics.inputs.car.car_tables import AxleTable, CarTable
from kinematics.inputs.car.loads_file import carriers
from kinematics.inputs.reading.entries import Entry, entries_of
from kinematics.inputs.reading.validation import table_in
from reports.documents.amounts import Record

_FEWEST = 3  # parts of a list of any length that have boxes
_ENDS = "Ahead of this axle's wheel centres, out from the centre plane, up from the ground, and what carries it."
_AS_STANDS = "measured as the car stands, from there to where it ends"


@dataclass(frozen=True)
class Folded:
    """Entries that few need, by the first of their keys; no keys: all that no other place has."""

    title: str
    keys: tuple[str, ...] = ()
    where: str = ""


@dataclass(frozen=True)
class Section:
    """A table of the file. first: entries that stand open, in this order; none named: all."""

    key: str
    where: str
    first: tuple[str, ...] = ()
    folded: tuple[Folded, ...] = ()


OF_THE_CAR = (
    Section(
        "body",
        "Centre of gravity: of all that the springs carry, up from the ground, and behind the front wheel centres. "
        "Front brakes, front drive: that axle's part, 0 to 1.",
        ("wheelbase",),
    ),
)
OF_AN_AXLE = (
    Section(
        "weights",
        "What each wheel's scale shows at rest, driver aboard; where only the axle's load is known, half of it each. "
        "Unsprung: of that, each wheel with what moves with it.",
    ),
    Section("tyre", "How stiff one tyre is upwards."),
    Section(
        "spring",
        "Its own rate, and where it acts: along the strut, or by its motion ratio (how far it is compressed for each "
        "unit that the wheel goes up), or between two ends.",
        ("rate", "along", "motion_ratio"),
        (
            Folded("its two ends, in place of a motion ratio", ("moving_end", "chassis_end"), _ENDS),
            Folded("bump stop", ("bump_stop",), "The gap along the spring, and how hard the stop pushes as it yields."),
            Folded(
                "its lengths, its wire and coils",
                where="Free and coil bound, off the car; wire, mean diameter and active coils stand for a rate.",
            ),
        ),
    ),
    Section(
        "bar",
        "The anti-roll bar's rate at an arm's end, the other end held; motion ratio: how far that end moves for each "
        "unit that the wheel goes up.",
        ("rate", "motion_ratio"),
        (
            Folded(
                "its sizes, in place of a rate",
                ("diameter", "inner_diameter", "length", "arm", "arm_length"),
                "Length between the arms; arm: the lever at right angles to the bar; arm length: along the arm.",
            ),
            Folded("where it lies, in place of a motion ratio", where=_ENDS),
        ),
    ),
    Section(
        "damper",
        "As the car stands, pushed in and pulled out, all between the same two places. It acts on the spring's line "
        "unless it has its own. Rate: at low speed.",
        ("length", "closed", "open", "rate"),
        (Folded("where it acts, if not where the spring does", where=_ENDS),),
    ),
    Section("stops", f"Wheel travel, tyre and ground: {_AS_STANDS}. The tyre steered too."),
    Section("steering", "How far the rack goes, from straight ahead to full lock."),
)
_NAMES = {
    "along": "acts along",
    "on": "carried by",
    "bump_stop": "bump stop",
    "centre_of_gravity": "centre of gravity",
    "force.0": "yields by",
    "force.1": "pushes with",
    "link_angle.0": "least",
    "link_angle.1": "most",
}
# A spring acts somewhere, so the one word that its line can have is filled in; a damper may leave it to the spring.
_INSTEAD = {"spring.along": ("motion_ratio", "moving_end", "chassis_end")}


def sections_form(written: Mapping[str, Any], kinds: Mapping[str, SuspensionType]) -> list[Any]:
    """The form's parts, of the whole car and of each axle, each with its sections; nothing where no axle is known."""
    if not kinds:
        return []
    whole = [_section(one, CarTable, written, "", kinds.get("rear")) for one in OF_THE_CAR]
    parts: list[Any] = [{"title": "the whole car", "sections": whole}]
    for name, kind in kinds.items():
        own = [_section(one, AxleTable, written, f"{name}.", kind) for one in OF_AN_AXLE]
        parts.append({"title": f"{name} axle", "sections": [one for one in own if one["fields"]]})
    return parts


def fields_of(parts: Sequence[Any]) -> Iterator[Record]:
    """All fields of the form's parts."""
    for part in parts:
        for section in part["sections"]:
            yield from section["fields"]
            for folded in section["folded"]:
                for line in folded["lines"]:
                    yield from line["fields"]


def names_of(parts: Sequence[Any]) -> dict[str, str]:
    """The whole name of each field, by its key: of which part, section and table."""
    names: dict[str, str] = {}
    for part in parts:
        for section in part["sections"]:
            at = f"{part['title']}, {section['title']}"
            names |= {field["key"]: f"{at}, {field['words']}" for field in section["fields"]}
            for line in (line for folded in section["folded"] for line in folded["lines"]):
                within = f"{at}, {line['title']}" if line["title"] else at
                names |= {field["key"]: f"{within}, {field['words']}" for field in line["fields"]}
    return names


def section_keys(parts: Sequence[Any]) -> set[str]:
    """The keys of all sections."""
    return {section["key"] for part in parts for section in part["sections"]}


def _section(
    section: Section, of: type[AxleTable | CarTable], written: Mapping[str, Any], at: str, kind: SuspensionType | None
) -> Record:
    model = table_in(of.model_fields[section.key].annotation)
    assert model is not None
    key = f"{at}{section.key}"
    shown = [
        field
        for entry in entries_of(model)
        for field in _fields(entry, key, written, str(written.get("units")))
        if _fits(field, section.key, kind)
    ]
    _with_choices(shown, kind)
    _fill_the_only(shown, section.key, key)
    named = {name for folded in section.folded for name in folded.keys}
    first = [one for one in shown if not section.folded or one["path"][0] in section.first]
    first.sort(key=lambda one: section.first.index(one["path"][0]) if one["path"][0] in section.first else 99)
    rest = [one for one in shown if one not in first]
    folds = []
    for folded in section.folded:
        own = [one for one in rest if (one["path"][0] in folded.keys if folded.keys else one["path"][0] not in named)]
        if own:
            folds.append({"title": folded.title, "where": folded.where, "lines": list(_lines(own))})
    return {
        "key": key,
        "title": section.key,
        "where": section.where,
        "fields": [_told(one, _whole_name) for one in first],
        "folded": folds,
    }


def _fields(entry: Entry, key: str, written: Mapping[str, Any], units: str) -> Iterator[dict[str, Any]]:
    """An entry with what the file says; several of a list that may grow."""
    unit = UNITS.get(units)
    symbol = entry.unit.symbol(unit) if entry.unit is not None and unit is not None else ""
    for path in _grown(entry, key, written):
        value = _value(written, [*key.split("."), *path])
        yield {
            "key": ".".join(map(str, (key, *path))),
            "path": path,
            "unit": symbol,
            "value": "" if value in (None, STILL_BLANK) else str(value),
            "choices": list(entry.words),
            "blank": "",
        }


def _grown(entry: Entry, key: str, written: Mapping[str, Any]) -> list[tuple[str | int, ...]]:
    if not entry.grows:
        return [entry.path]
    place = entry.path.index(0)
    there = _value(written, [*key.split("."), *entry.path[:place]])
    count = max(_FEWEST, len(there) + 1 if isinstance(there, list) else 0)
    return [(*entry.path[:place], one, *entry.path[place + 1 :]) for one in range(count)]


def _value(written: object, path: Sequence[str | int]) -> object:
    at = written
    for part in path:
        if isinstance(part, int):
            at = at[part] if isinstance(at, list) and part < len(at) else None
        else:
            at = at.get(part) if isinstance(at, Mapping) else None
    return at


def _fits(field: Mapping[str, Any], section: str, kind: SuspensionType | None) -> bool:
    """Whether such a suspension has it, or the file says it all the same."""
    last = field["path"][-1]
    fits = True
    if last == "along":
        fits = kind is not None and kind.strut is not None
    elif last == "on":
        fits = "arm_end" not in field["path"]  # the bar carries it
    elif last == "final_drive":
        fits = kind is not None and kind.whole_axle
    elif section == "steering":
        fits = kind is not None and bool(kind.rack)
    return fits or field["value"] != ""


def _with_choices(fields: Sequence[dict[str, Any]], kind: SuspensionType | None) -> None:
    """What carries an end; and whatever the file says, so that it is shown."""
    for field in fields:
        if field["path"][-1] == "on" and kind is not None:
            held = field["path"][0] == "chassis_end"
            field["choices"] = [one for one in carriers(kind) if one != CHASSIS]
            field["blank"] = CHASSIS if held else ""
        if field["choices"] and field["value"] not in ("", *field["choices"]):
            field["choices"].append(field["value"])


def _fill_the_only(fields: Sequence[dict[str, Any]], section: str, at: str) -> None:
    """Say of a choice with a single word, whose blank means nothing, that it is made.

    of: the table that it stands in; instead: keys in place of which it stands.
    """
    for field in fields:
        last = field["path"][-1]
        others = _INSTEAD.get(f"{section}.{last}", () if last == "on" else None)
        if others is not None and len(field["choices"]) == 1 and not field["value"] and not field["blank"]:
            of = field["key"].rpartition(".")[0]
            field["only"] = {"of": of, "instead": [f"{at}.{one}" for one in others]}


def _lines(fields: Sequence[dict[str, Any]]) -> Iterator[Record]:
    """Fields of one table after another, each under its title."""
    for title in sorted(dict.fromkeys(_table(one) for one in fields), key=bool):  # first what stands in no table
        yield {"title": title, "fields": [_told(one, _own_name) for one in fields if _table(one) == title]}


def _table(field: Mapping[str, Any]) -> str:
    """The title of the table that a field stands in."""
    names = [named(one) if isinstance(one, str) else str(one + 1) for one in field["path"][:-1]]
    return " ".join(names)


def _own_name(path: Sequence[str | int]) -> str:
    """A field's name under the title of its table."""
    last = path[-1]
    return named(
        f"{next(one for one in reversed(path) if isinstance(one, str))}.{last}" if isinstance(last, int) else last
    )


def _whole_name(path: Sequence[str | int]) -> str:
    return ", ".join([*(named(one) for one in path[:-1] if isinstance(one, str)), _own_name(path)])


def named(name: str) -> str:
    """An entry of the file as the form calls it."""
    return _NAMES.get(name, name.replace("_", " "))


def _told(field: Mapping[str, Any], called: Callable[[Sequence[str | int]], str]) -> Record:
    unit = f" [{field['unit']}]" if field["unit"] else ""
    told = {
        "key": field["key"],
        "words": f"{called(field['path'])}{unit}",
        "value": field["value"],
        "unit": field["unit"],
    }
    if not field["choices"]:
        return told
    return {**told, "choices": field["choices"], "blank": field["blank"], "only": field.get("only")}
