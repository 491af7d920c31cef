"""What a person types into a field, as a file holds it."""

import math
import re
from typing import Annotated

from pydantic import Field

from kinematics.car.lengths import STILL_BLANK, read_length
from kinematics.inputs.reading.faults import shown
from kinematics.inputs.reading.file_fields import Table
from reports.documents.amounts import Record

_NUMBER = re.compile(r"[+-]?\d+(\.\d*)?|[+-]?\.\d+")


def typed_value(typed: str) -> float | int | str:
    """A number where it is one; what a tape shows, or what is none, as text, which the reader judges."""
    if not _NUMBER.fullmatch(typed):
        return typed or STILL_BLANK
    number = float(typed)
    return int(number) if typed.lstrip("+-").isdigit() and math.isfinite(number) else number


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
