"""Units of length at the edge: millimetres inside, the user's unit in files and on paper."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from kinematics.car.decimal_commas import comma_words, with_point
from kinematics.car.feet_and_inches import without_marks

STILL_BLANK = "?"  # stands in a blank file in place of a number
IS_BLANK = "is still blank"  # what is said of it
_TAPE = re.compile(r"\s*(-)?\s*(?:(\d{1,400})(?:\s+|-))?(\d{1,400})\s*/\s*(\d{1,400})\s*")
_PARTS_OF_AN_INCH = 64  # the finest fraction on a tape
_ROUNDING = 1e-6  # of such a part
_DIGITS = 6  # of a number that someone read
_LONGEST = 60  # characters of what was written that are told
_ANY_CAR = 1e5  # mm
_OF_MM, _OF_INCHES = ("mm", "millimetres", "millimeters"), ("in", "in.", "inch", "inches")
_SIZES = ((_OF_MM, 1.0), (_OF_INCHES, 25.4), (("cm",), 10.0), (("m",), 1000.0), (("ft", "feet"), 304.8))
_MEANT = {"mm": _OF_MM, "in": _OF_INCHES}
_NAMES = "|".join(re.escape(one) for names, _ in _SIZES for one in names)
_WITH_UNIT = re.compile(rf"\s*(?P<read>[-+]?\s*\d[\d\s./,-]*?)\s*(?P<unit>{_NAMES})\s*", re.IGNORECASE)
_AS_ONE_CHARACTER = str.maketrans(
    {
        "\u00bd": " 1/2",
        "\u00bc": " 1/4",
        "\u00be": " 3/4",
        "\u215b": " 1/8",
        "\u215c": " 3/8",
        "\u215d": " 5/8",
        "\u215e": " 7/8",
    }
)


@dataclass(frozen=True)
class LengthUnit:
    """A unit of length: its symbol and its size in millimetres.

    fractions: whether its owner writes fractions of it, as a tape shows them, so that his own amounts are told so too.
    """

    symbol: str
    in_mm: float
    fractions: bool = False

    @property
    def plural(self) -> str:
        """What lengths are in, in words: "mm" or "inches"."""
        return "inches" if self.symbol == INCH.symbol else self.symbol

    @property
    def one(self) -> str:
        """One of it, in words: "mm" or "inch"."""
        return "inch" if self.symbol == INCH.symbol else self.symbol

    def to_mm(self, value: float) -> float:
        """A value in this unit, in mm."""
        return value * self.in_mm

    def from_mm(self, value: float) -> float:
        """A value in mm, in this unit."""
        return value / self.in_mm

    def as_fraction(self, value: float) -> str | None:
        """A value in mm as a tape shows it, "1 5/8"; None where its owner writes no fractions, or it is none."""
        parts = round(self.from_mm(value) * _PARTS_OF_AN_INCH)
        if not self.fractions or abs(self.from_mm(value) * _PARTS_OF_AN_INCH - parts) > _ROUNDING:
            return None
        whole, part = divmod(abs(parts), _PARTS_OF_AN_INCH)
        fraction = str(Fraction(part, _PARTS_OF_AN_INCH)) if part else ""
        words = " ".join(filter(None, (str(whole) if whole or not part else "", fraction)))
        return f"{'-' if parts < 0 else ''}{words}"


class InchMarkError(ValueError):
    """A length that is marked as inches, in a file in another unit. written: as it stands there; unit: the file's."""

    def __init__(self, written: str, inches: float, unit: LengthUnit) -> None:
        there = f"{unit.from_mm(INCH.to_mm(inches)):.{_DIGITS}g}"
        self.written, self.unit = written[:_LONGEST], unit
        super().__init__(
            f"read {self.written!r}, which is marked as inches, but this file is in {unit.symbol}: write {there}"
        )


MM = LengthUnit("mm", 1.0)
INCH = LengthUnit("in", 25.4)  # exact by definition (international inch)
UNITS: dict[str, LengthUnit] = {unit.symbol: unit for unit in (MM, INCH)}


def as_written(unit: LengthUnit, content: object) -> LengthUnit:
    """A unit as the owner of a file's content writes it: in inches with fractions where there is one in the file."""
    return replace(unit, fractions=True) if unit.symbol == INCH.symbol and writes_fractions(content) else unit


def writes_fractions(content: object) -> bool:
    """Whether a tape reading such as "13 5/8" stands anywhere in a file's content."""
    if isinstance(content, str):
        text = content.translate(_AS_ONE_CHARACTER)
        return _TAPE.fullmatch(without_marks(text) or text) is not None
    if isinstance(content, Mapping):
        return any(map(writes_fractions, content.values()))
    return isinstance(content, (list, tuple)) and any(map(writes_fractions, content))


def in_plain_digits(written: float | int | str) -> str:
    """What was written for a length or an angle, as its owner wrote it: "13 5/8", "13.625".

    A one-half sign as 1/2, feet and inches without their marks, and a decimal comma as a point.
    """
    if isinstance(written, str):
        text = written.translate(_AS_ONE_CHARACTER)
        return without_marks(text) or with_point(" ".join(text.split()))
    return f"{written:.{_DIGITS}g}"


def read_length(written: float | int | str, unit: LengthUnit | None = None) -> float:
    """A number as written in a file: 13.625, "13.625", "13,6", or as a tape shows it, "13 5/8" (also "-3/4").

    unit: of the file, where a length is read; in inches marks of feet and inches are read too, in another unit they
    raise InchMarkError. Raises ValueError for anything else.
    """
    if isinstance(written, bool) or not isinstance(written, (int, float, str)):
        raise ValueError(_not_a_length(written))
    if not isinstance(written, str):
        return float(written)
    text = written.translate(_AS_ONE_CHARACTER)
    if unit is not None and (inches := without_marks(text)) is not None:
        if unit.symbol != INCH.symbol:
            raise InchMarkError(written, read_length(inches), unit)
        text = inches
    tape = _TAPE.fullmatch(text)
    if tape is None:
        try:
            return float(with_point(text))
        except ValueError:
            raise ValueError(_not_a_length(written, unit)) from None
    sign, whole, over, under = tape.groups()
    if int(under) == 0:
        raise ValueError(_not_a_length(written))
    value = Fraction(int(whole or 0)) + Fraction(int(over), int(under))
    try:
        return float(-value if sign else value)
    except OverflowError:
        return math.inf


def _not_a_length(written: object, unit: LengthUnit | None = None) -> str:
    if written == STILL_BLANK:
        return IS_BLANK
    text = str(written)
    read = repr(text[:_LONGEST] + "..." if isinstance(written, str) and len(text) > _LONGEST else written)
    told = _plainer(text, unit) or 'write a number like 13.625 or a tape reading like "13 5/8"'
    return f"{read} is not a length; {told}"


def _plainer(text: str, unit: LengthUnit | None) -> str:
    """What to do about the slips that are made most: a comma that may be either, a unit behind the number."""
    found = _WITH_UNIT.fullmatch(text)
    if found is None:
        return comma_words(text)
    if unit is None:
        return "leave the unit out"
    here = f"leave the unit out: lengths in this file are in {unit.plural}"
    if found["unit"].lower() in _MEANT[unit.symbol]:
        return here
    try:
        inside = read_length(found["read"]) * next(size for name, size in _SIZES if found["unit"].lower() in name)
    except ValueError:
        return here
    if not abs(inside) < _ANY_CAR:
        return here
    return f"{here}, so write {unit.from_mm(inside):.{_DIGITS}g}"
