"""Feet and inches with their marks, as people write them: 1' 3 5/8" is fifteen inches and five eighths.

Only what cannot be mistaken is read: the 3 of 1' 3 has no mark and may be anything, but a fraction after whole inches,
as in 1' 3 5/8, is of a tape.
"""

import re
from fractions import Fraction

PLAIN_MARKS = str.maketrans(
    {"\u2032": "'", "\u2019": "'", "\u2033": '"', "\u201d": '"', "\u201c": '"', "\u2212": "-", "\u2013": "-"}
)
# Feet and inches: 1' 3 5/8", 1'-3", 5', 6 3/4", 14.5".
_FEET = re.compile(r"(-)?\s*(?:(\d{1,3})\s*')?[\s-]*(?:(\d[\d\s./]*?)\s*(?:\"|''))?")
_INCHES = re.compile(r"(?P<decimal>\d+\.?\d*)|(?:(?P<whole>\d+)\s+)?(?P<over>\d+)\s*/\s*(?P<under>0*[1-9]\d*)")
_UNCLOSED = re.compile(r"-?\s*\d{1,3}\s*'[\s-]*(?:\d|1[01])\s+\d{1,3}\s*/\s*\d{1,3}")  # 1' 3 5/8
_IN_A_FOOT = 12


def without_marks(text: str) -> str | None:
    """Inches as a file has them, "15 5/8", of what is written with marks of feet or inches; None for all else."""
    plain = text.translate(PLAIN_MARKS).strip()
    marked = _FEET.fullmatch(f'{plain}"' if _UNCLOSED.fullmatch(plain) else plain)
    if marked is None or not (marked[2] or marked[3]):
        return None
    sign, feet = marked[1] or "", _IN_A_FOOT * int(marked[2] or 0)
    inches = _INCHES.fullmatch((marked[3] or "0").strip())
    if inches is None:
        return None
    if inches["decimal"]:
        return f"{sign}{feet + float(inches['decimal']):.15g}"
    whole = feet + int(inches["whole"] or 0)
    part = Fraction(int(inches["over"]), int(inches["under"]))
    whole, part = whole + part.numerator // part.denominator, part % 1
    return f"{sign}{' '.join(str(one) for one in (whole, part) if one)}" if whole or part else f"{sign}0"
