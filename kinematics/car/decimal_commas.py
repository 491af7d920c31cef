"""A decimal comma in a number that a person wrote, read where it cannot be one that parts thousands."""

import re

from kinematics.car.feet_and_inches import PLAIN_MARKS

# Behind a comma that parts thousands stand three digits, so two, or one, or a 0 before it, are unmistakable.
_COMMA = re.compile(r"\s*[+-]?(?:\d{1,6},\d{1,2}|0,\d{1,9})\s*")
# Such a comma may part thousands or decimals.
_EITHER = re.compile(r"[+-]?(\d+),(\d{3,})")
# For JSON Schema: the same without sign and blanks.
UNSIGNED = r"[0-9]{1,6},[0-9]{1,2}|0,[0-9]{1,9}"


def with_point(written: str) -> str:
    """A number with a decimal point in place of its one comma, where that is plainly a decimal one; else as it is."""
    return written.replace(",", ".") if _COMMA.fullmatch(written) else written


def comma_words(written: str) -> str:
    """What is to be said of a number whose comma may part thousands or decimals; nothing of any other."""
    found = _EITHER.fullmatch(written.strip().translate(PLAIN_MARKS))
    if found is None or _COMMA.fullmatch(found[0]):
        return ""
    sign = "-" if found[0].startswith("-") else ""
    return f"its comma may part thousands or decimals: write {sign}{found[1]}{found[2]} or {sign}{found[1]}.{found[2]}"
