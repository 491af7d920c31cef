"""What a person types into a field, as a file holds it."""

import json
import math
import re
import tomllib
from collections.abc import Collection, Mapping, Sequence
from typing import Annotated, Any

import tomlkit
from pydantic import Field
from tomlkit.items import InlineTable

from kinematics.car.decimal_commas import comma_words
from kinematics.car.lengths import STILL_BLANK, UNITS, read_length
from kinematics.inputs.reading.faults import Fault, InputFaultError, shown
from kinematics.inputs.reading.file_fields import Length, Table, validated
from reports.documents.amounts import Record
from reports.sheet.handwriting import DEGREES, as_file_has_it

_FEET_AND_INCHES = "'\"\u2032\u2033\u2019\u201d"  # their marks, also as they are printed
_NUMBER = re.compile(r"[+-]?\d+(\.\d*)?|[+-]?\.\d+")


def typed_value(typed: str) -> float | int | str:
    """A number where it is one; what a tape shows, or what is none, as text, which the reader judges."""
    if not _NUMBER.fullmatch(typed):
        return typed or STILL_BLANK
    number = float(typed)
    return int(number) if typed.lstrip("+-").isdigit() and math.isfinite(number) else number


def typed_into(
    text: str,
    typed: Mapping[str, Any],
    fields: Collection[str],
    may_be_blank: Collection[str] = (),
    sections: Collection[str] = (),
) -> str:
    """A file's text with what was typed into a form's fields, by their keys; InputFaultError for any other key.

    typed: texts, or lists as the file has them. may_be_blank: keys that leave the file where nothing is typed.
    sections: keys of tables that are written as sections of their own, and leave the file with the last that they hold.
    """
    unknown = [Fault(key, "is no field of the form") for key in typed if key not in fields]
    if unknown:
        raise InputFaultError("the page", unknown)
    document, plain = tomlkit.parse(text), tomllib.loads(text)
    for table in (document, plain):
        for key, value in typed.items():
            _enter(table, key.split("."), value, key in may_be_blank, sections)
        for section in sections:
            if any(key.startswith(f"{section}.") for key in typed):
                _take_empty(table, section.split("."))
    written = tomlkit.dumps(document)
    if _content(tomllib.loads(written)) != _content(plain):
        said = "the file is laid out in a way that this page cannot write into: change it in an editor"
        raise InputFaultError("the page", [Fault("", said)])
    return written


def _content(table: Any) -> str:
    """What a file says, however it is laid out."""
    return json.dumps(table, sort_keys=True, default=str)


def _enter(table: Any, path: Sequence[str], value: Any, may_be_blank: bool, sections: Collection[str]) -> None:
    *tables, last = path
    at = table
    nothing = may_be_blank and (value.strip() == "" if isinstance(value, str) else not value)
    for depth, name in enumerate(tables, 1):
        if not name.isdigit() and name not in at:
            if nothing:
                return
            at[name] = _new_table(at, own=".".join(tables[:depth]) in sections)
        at = at[int(name) if name.isdigit() else name]
        if not isinstance(at, Mapping | list):
            raise InputFaultError(".".join(path), [Fault("", f"{name} is no table: change it in an editor")])
    if nothing:
        at.pop(last, None)
    else:
        at[last] = typed_value(value.strip()) if isinstance(value, str) else value


def _new_table(inside: Any, *, own: bool) -> Any:
    """A table that fits into another; own: as a section of its own, where that can be."""
    if type(inside) is dict:
        return {}
    return tomlkit.table() if own and not isinstance(inside, InlineTable) else tomlkit.inline_table()


def _take_empty(table: Any, path: Sequence[str]) -> bool:
    """Take a table at a path out where it, or what is in it, holds nothing; whether it went."""
    first, *rest = path
    inner = table.get(first)
    if not isinstance(inner, Mapping):
        return False
    for one in rest[:1] or list(inner):
        _take_empty(inner, rest or [one])
    if rest or inner:
        return False
    del table[first]
    return True


def as_meant(typed: str, symbol: str) -> str:
    """What was typed into a box, as a file has it: feet and inches, a decimal comma, the unit behind a number.

    symbol: of the unit that stands at the box.
    """
    unit = UNITS.get(symbol)
    return as_file_has_it(typed, unit, DEGREES if symbol == "deg" else [symbol])


class _OneLength(Table):
    """What a file in some unit would say, were it no more than one length."""

    units: str
    length: Length


def as_kept(typed: str, symbol: str) -> str:
    """The same for a file that keeps a length as its owner writes it: as typed, where its reader takes that."""
    if symbol in UNITS and any(mark in typed for mark in _FEET_AND_INCHES):
        read, _ = validated(_OneLength, {"units": symbol, "length": typed.strip()})
        if read is not None:
            return typed.strip()
    return as_meant(typed, symbol)


def not_read(typed: str, words: str) -> str:
    """Why what was typed is not taken; words: what the reader says, where nothing plainer can be said."""
    plainer = comma_words(typed)
    return f"read {shown(typed)}; {plainer}" if plainer else words


class TypedAmount(Table):
    """What stands in the field beside a slider, and the symbol of its unit."""

    typed: Annotated[str, Field(max_length=60)]
    unit: Annotated[str, Field(max_length=20)] = ""


def amount_read(asked: TypedAmount) -> Record:
    """The amount, read as files are; or words where it is none."""
    try:
        value = read_length(as_meant(asked.typed, asked.unit))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        usual = f"read {shown(asked.typed)}; a number like 1.25 or a fraction like 1 1/4 is allowed"
        return {"words": not_read(asked.typed, usual)}
    return {"value": value}
