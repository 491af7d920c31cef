"""What a person types into a field, as a file holds it."""

import math
import re
from collections.abc import Collection, Mapping
from typing import Annotated, Any

import tomlkit
from pydantic import Field

from kinematics.car.lengths import STILL_BLANK, read_length
from kinematics.inputs.reading.faults import Fault, InputFaultError, shown
from kinematics.inputs.reading.file_fields import Table
from reports.documents.amounts import Record

_NUMBER = re.compile(r"[+-]?\d+(\.\d*)?|[+-]?\.\d+")


def typed_value(typed: str) -> float | int | str:
    """A number where it is one; what a tape shows, or what is none, as text, which the reader judges."""
    if not _NUMBER.fullmatch(typed):
        return typed or STILL_BLANK
    number = float(typed)
    return int(number) if typed.lstrip("+-").isdigit() and math.isfinite(number) else number


def typed_into(text: str, typed: Mapping[str, str], fields: Collection[str], may_be_blank: Collection[str] = ()) -> str:
    """A file's text with what was typed into a form's fields, by their keys; InputFaultError for any other key.

    may_be_blank: last parts of the keys that leave the file where nothing is typed.
    """
    unknown = [Fault(key, "is no field of the form") for key in typed if key not in fields]
    if unknown:
        raise InputFaultError("the page", unknown)
    document = tomlkit.parse(text)
    for key, value in typed.items():
        *tables, last = key.split(".")
        at: Any = document
        for name in tables:
            if not name.isdigit() and name not in at:
                at[name] = tomlkit.inline_table()
            at = at[int(name) if name.isdigit() else name]
        if value.strip() == "" and last in may_be_blank:
            at.pop(last, None)
        else:
            at[last] = typed_value(value.strip())
    return tomlkit.dumps(document)


class TypedAmount(Table):
    """What stands in the field beside a slider."""

    typed: Annotated[str, Field(max_length=60)]


def amount_read(asked: TypedAmount) -> Record:
    """The amount, read as files are; or words where it is none."""
    try:
        value = read_length(asked.typed)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        return {"words": f"read {shown(asked.typed)}; a number like 1.25 or a fraction like 1 1/4 is allowed"}
    return {"value": value}
