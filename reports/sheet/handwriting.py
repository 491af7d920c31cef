"""Numbers as people write them in a box, put as a file has them: feet and inches with marks, decimal commas, units.

Only what cannot be mistaken is changed; all else stays as it was written, and is told.
"""

import math
import re
from collections.abc import Sequence

from kinematics.car.feet_and_inches import PLAIN_MARKS, without_marks
from kinematics.car.lengths import LengthUnit, read_length

# Behind a comma that parts thousands stand three digits, so two, or one, or a 0 before it, are unmistakable.
_COMMA = re.compile(r"([+-]?)(?:(\d{1,6}),(\d{1,2})|0,(\d{1,9}))")
# Such a comma may part thousands or decimals.
_EITHER = re.compile(r"[+-]?(\d+),(\d{3,})")
DEGREES = ("deg", "\u00b0")


def as_file_has_it(written: str, unit: LengthUnit | None, others: Sequence[str] = DEGREES) -> str:
    """What stands in a box, as a file has it; unit: of a length, None for what has one of others."""
    text = written.translate(PLAIN_MARKS).strip()
    for symbol in others if unit is None else (unit.symbol,):
        if text.lower().endswith(symbol):
            text = text[: len(text) - len(symbol)].rstrip()
    if unit is not None and unit.symbol == "in":
        text = without_marks(text) or text
    return text.replace(",", ".") if _COMMA.fullmatch(text) else text


def comma_words(written: str) -> str:
    """What is to be said of a number whose comma may part thousands or decimals; nothing of any other."""
    found = _EITHER.fullmatch(written.strip().translate(PLAIN_MARKS))
    if found is None or _COMMA.fullmatch(found[0]):
        return ""
    return f"its comma may part thousands or decimals: write {found[1]}{found[2]} or {found[1]}.{found[2]}"


def is_number(written: str) -> bool:
    """Whether a file takes what stands there as a number: decimal, or with a fraction."""
    try:
        return math.isfinite(read_length(written))
    except ValueError:
        return False
