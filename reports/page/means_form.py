"""What may be done to the car, and the class rules, as a form: written as a means file beside the car.

What the form wrote it also reads again, to be changed; a file that somebody else wrote, or changed, is left alone.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field
from tomlkit import item

from kinematics.car.car import Axle, Car
from kinematics.inputs.plans.means_file import means_from
from kinematics.inputs.reading.faults import Fault, InputFaultError, shown
from kinematics.inputs.reading.file_fields import Table
from kinematics.inputs.reading.plain_text import escaped
from kinematics.inputs.reading.sizes import MOST_BYTES_TOML
from kinematics.inputs.reading.toml_file import parsed_toml
from kinematics.inputs.reading.whole_file import whole_text
from kinematics.planning.changes import CHANGES, LOAD_CHANGES
from reports.documents.amounts import Record
from reports.page.bench import OpenCar
from reports.page.box_words import box_words, plain_name
from reports.page.file_version import version
from reports.page.offers import offers
from reports.page.plan_store import NOT_THERE
from reports.page.typed_value import as_meant, typed_value
from reports.page.written_back import write_back

_HEAD = "# What may be done to the car, and its class rules, as `cornersweep open` wrote them.\n"
_NAMES = ("what", "axle", "point", "way")
_AMOUNTS = ("from", "to", "step")
_COMMA = re.compile(r"\d,\d")
_ROW = re.compile(r"((?:may|rule) \d+)(?: \([^)]*\))?(?:\.(\w+)|\.?(\w*), entry \d+)?")
# What the page calls the boxes.
_BOXES = {
    "step": "in steps of",
    "sizes": "the sizes there are",
    "at_most": "at most",
    "words": "the rule in its own words",
    "may": "what may be done",
}
_IN_WORDS = {**_BOXES, "sizes": "sizes"}
_Words = Annotated[str, Field(max_length=400)]
_Name = Annotated[str, Field(max_length=60)]


class May(Table):
    """One thing that may be done, as it was typed: a range in steps, or the sizes that there are."""

    what: _Name
    axle: Literal["front", "rear"]
    point: _Name = ""
    way: _Name = ""
    low: _Name = Field("", alias="from")
    high: _Name = Field("", alias="to")
    step: _Name = ""
    sizes: _Words = ""


class RuleTyped(Table):
    """One class rule, as it was typed; at_most blank: such changes are forbidden."""

    changes: _Name
    at_most: _Name = ""
    words: _Words


class MeansTyped(Table):
    """All of it, and the version of the file that the page showed."""

    may: tuple[May, ...] = Field(default=(), max_length=60)
    rules: tuple[RuleTyped, ...] = Field(default=(), max_length=60)
    seen: str


def means_form(opened: OpenCar, path: Path) -> Record:
    """The kinds of change that fit the car, and what the file says where it can be changed here."""
    text = whole_text(path, MOST_BYTES_TOML) if path.exists() else ""
    may, rules = _entries(parsed_toml(text, path)) if text else ([], [])
    there = path.exists()
    own = not there or _text(may, rules, opened.car.unit.symbol) == text.replace("\r\n", "\n")
    return {
        "file": escaped(path.name),
        "there": there,
        "own": own,
        "seen": version(text) if there else NOT_THERE,
        "unit": opened.car.unit.symbol,
        "kinds": _kinds(opened.car),
        "ruled": _ruled(opened.car),
        "may": may if own else [],
        "rules": rules if own else [],
    }


def write_means(opened: OpenCar, path: Path, asked: MeansTyped) -> Record:
    """Write what was typed, whole or not at all; the form after it. InputFaultError in the words of the reader."""
    now = means_form(opened, path)
    if now["seen"] != asked.seen or not now["own"]:
        text = "was written by somebody else meanwhile, and is left alone: change it there, or load the page anew"
        raise InputFaultError(str(path), [Fault("", text)])
    unit = opened.car.unit.symbol
    may = [_meant(one.model_dump(by_alias=True), unit) for one in asked.may]
    text = _text(may, [{**one.model_dump(), "at_most": as_meant(one.at_most, unit)} for one in asked.rules], unit)
    try:
        means_from(parsed_toml(text, path), path.name, opened.car)
    except InputFaultError as found:
        titles = {f"may {number}": _title(opened.car, one) for number, one in enumerate(may, start=1)}
        titles |= {f"rule {number}": f"rule about {one.changes}" for number, one in enumerate(asked.rules, start=1)}
        raise InputFaultError(path.name, [_at_its_box(one, titles) for one in found.faults]) from None
    write_back(path, text)
    return means_form(opened, path)


def _meant(may: Record, unit: str) -> Record:
    """One thing as a file has it; sizes are parted by semicolons, or by commas with a space behind them."""
    typed = str(may["sizes"])
    if ";" not in typed and _COMMA.search(typed):
        said = f"read {shown(typed)}; part sizes by semicolons, like 3; 5, for this comma may be a decimal one too"
        raise InputFaultError("the page", [Fault(_BOXES["sizes"], said)])
    sizes = [as_meant(one, unit) for one in typed.split(";" if ";" in typed else ",")]
    return {**may, **{key: as_meant(str(may[key]), unit) for key in _AMOUNTS}, "sizes": ", ".join(sizes)}


def _title(car: Car, may: Record) -> str:
    """What one row of the form is called."""
    own = (one["title"] for one in _kinds(car) if all(str(one[key]) == str(may[key]) for key in _NAMES))
    return str(next(own, may["what"]))


def _at_its_box(fault: Fault, titles: Mapping[str, str]) -> Fault:
    """A fault with the row and the box that it is at, in place of the file's key."""
    found = _ROW.match(fault.key)
    row, box = (found[1], found[2] or found[3] or "") if found is not None else (fault.key, "")
    key = ", ".join(filter(None, (plain_name(titles.get(row, _BOXES.get(row, row))), _BOXES.get(box, plain_name(box)))))
    words = box_words(fault, lambda name: f'"{_IN_WORDS.get(name, plain_name(name))}"')
    return Fault(key, re.sub(r"as may (\d+)", r"in row \1", words))


def _kinds(car: Car) -> list[Record]:
    """What may be done, by axle, kind, point and way; springs and bars have lists of their own in the file."""
    return [
        {
            "axle": axle.name,
            "what": one["entry"]["what"],
            "point": one["entry"].get("point", ""),
            "way": "" if one["way"] == "by" else one["way"],
            "title": " ".join(filter(None, (axle.name if len(car.axles) > 1 else "", one["title"]))),
            "sign": one["sign"],
        }
        for axle in car.axles
        for one in _offered(car, axle)
        if one["entry"]["what"] not in LOAD_CHANGES
    ]


def _offered(car: Car, axle: Axle) -> list[Any]:
    return offers(car, axle)


def _ruled(car: Car) -> list[str]:
    """What a class rule can be about: kinds of change and points."""
    kinds = [name for name, kind in CHANGES.items() if not kind.names_point]
    return [*kinds, *dict.fromkeys(key for axle in car.axles for key in axle.suspension.keys)]


def _entries(written: Mapping[str, Any]) -> tuple[list[Record], list[Record]]:
    """A file's entries as the form has them: all as text."""

    def told(tables: object, keys: Sequence[str]) -> list[Record]:
        found = [one for one in tables if isinstance(one, Mapping)] if isinstance(tables, list) else []
        return [{key: _typed(one.get(key, "")) for key in keys} for one in found]

    may = told(written.get("may"), (*_NAMES, *_AMOUNTS, "sizes"))
    return may, told(written.get("rule"), ("changes", "at_most", "words"))


def _typed(value: object) -> str:
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def _text(may: Sequence[Record], rules: Sequence[Record], unit: str) -> str:
    lines = [_HEAD, f'units = "{unit}"']
    for one in may:
        lines += ["", "[[may]]", *_may_lines(one)]
    for rule in rules:
        lines += ["", "[[rule]]", f"words = {_quoted(rule['words'])}", f"changes = {_quoted(rule['changes'])}"]
        lines += [f"at_most = {_amount(str(rule['at_most']))}"] if str(rule["at_most"]).strip() else []
    return "\n".join(lines) + "\n"


def _may_lines(one: Record) -> Iterator[str]:
    yield from (f"{key} = {_quoted(one[key])}" for key in _NAMES if one[key])
    yield from (f"{key} = {_amount(str(one[key]))}" for key in _AMOUNTS if str(one[key]).strip())
    sizes = str(one["sizes"]).strip()
    if sizes:
        yield f"sizes = [{', '.join(_amount(part) for part in sizes.split(','))}]"


def _amount(typed: str) -> str:
    """As a file has it: a number, or a tape's fraction in quotes, which the reader judges."""
    value = typed_value(typed.strip())
    return _quoted(value) if isinstance(value, str) else repr(value)


def _quoted(value: object) -> str:
    return str(item(str(value)).as_string())
