"""Numbers as people write them in a box, put as a file has them: feet and inches with marks, decimal commas, units.

Only what cannot be mistaken is changed; all else stays as it was written, and is told.
"""

import math
from collections.abc import Sequence

from kinematics.car.decimal_commas import with_point
from kinematics.car.feet_and_inches import PLAIN_MARKS, without_marks
from kinematics.car.lengths import LengthUnit, read_length

DEGREES = ("deg", "\u00b0")


def as_file_has_it(written: str, unit: LengthUnit | None, others: Sequence[str] = DEGREES) -> str:
    """What stands in a box, as a file has it; unit: of a length, None for what has one of others."""
    text = written.translate(PLAIN_MARKS).strip()
    for symbol in others if unit is None else (unit.symbol,):
        if text.lower().endswith(symbol):
            text = text[: len(text) - len(symbol)].rstrip()
    if unit is not None and unit.symbol == "in":
        text = without_marks(text) or text
    return with_point(text)


def is_number(written: str) -> bool:
    """Whether a file takes what stands there as a number: decimal, or with a fraction."""
    try:
        return math.isfinite(read_length(written))
    except ValueError:
        return False
