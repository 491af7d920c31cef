"""How a reading is called and given back: by its number on the measuring sheet, and in its owner's own notation."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from kinematics.car.lengths import LengthUnit, writes_fractions
from kinematics.numbers.quantity import Dimension
from reports.words.numbers import shown, told, told_amount

HOW_NUMBERED = "No.: of the measuring sheet, where that asks for it."
_AGAIN = ("(2nd)", "(3rd)", "th)")  # how names of what was read more than once end
_PARTS = 16  # of an inch, in which a tape is read


def numbered(number: int | None, name: str) -> str:
    """A reading by its number on the sheet and its name, or by its name alone."""
    return name if number is None else f"no. {number} ({name})"


def by_number(number: int | None, name: str) -> str:
    """A reading by its number on the sheet where it has one, and by its name where not."""
    if number is None:
        return name
    last = name.rpartition(" ")[2]
    return f"no. {number} {last}" if last.endswith(_AGAIN) and last.startswith("(") else f"no. {number}"


def numbers_words(numbers: Iterable[int]) -> str:
    """Several numbers of the sheet: "no. 6 and 7"."""
    return f"no. {' and '.join(map(str, sorted(set(numbers))))}"


def in_words(several: Iterable[str]) -> str:
    """Readings one after the other: "no. 6, no. 7 and no. 8"."""
    *first, last = several
    return f"{', '.join(first)} and {last}" if first else last


def as_read(value: float, kind: Dimension, unit: LengthUnit, written: str = "") -> str:
    """What was read [mm, rad] with its unit, as it was written down where that is known."""
    return f"{digits_read(value, kind, unit, written)} {kind.unit(unit)}"


def digits_read(value: float, kind: Dimension, unit: LengthUnit, written: str = "") -> str:
    """What was read [mm, rad] without its unit, as it was written down where that is known."""
    if written:
        return written
    if kind is Dimension.ANGLE:
        return f"{round(float(np.degrees(value)), 1) + 0.0:.1f}"
    return unit.as_fraction(value) or shown(value, kind, unit)


def would_read_words(value: float, kind: Dimension, unit: LengthUnit, written: str = "") -> str:
    """What would be read [mm, rad], as closely as it is told: as a fraction of an inch where it was written as one."""
    if kind is Dimension.ANGLE:
        # A level shows a tenth of a degree.
        return f"{round(float(np.degrees(value)), 1) + 0.0:.1f} deg"
    if not (writes_fractions(written) or (unit.fractions and not written)):
        return told(value, kind, unit, sign=False)
    parts = round(unit.from_mm(value) * _PARTS) / _PARTS
    return told_amount(unit.to_mm(parts), replace(unit, fractions=True))
