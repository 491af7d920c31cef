"""Numbers in plain words: every table, verdict and reason has its rounding from here."""

from collections.abc import Iterable

import numpy as np

from kinematics.car.lengths import INCH, MM, LengthUnit
from kinematics.numbers.quantity import Dimension

PLUS_MINUS = "\N{PLUS-MINUS SIGN}"
HOW_HALF_WIDTH_95 = (
    f"{PLUS_MINUS}: 95 % of such measurements, to first order, from how well the car file says it was measured."
)
_ROUNDING = 1e-6  # of the finest part that an owner writes


def shown(value: float, kind: Dimension, unit: LengthUnit, *, sign: bool = False, decimals: int | None = None) -> str:
    """Write a value [mm, rad] in the owner's unit, without the unit. decimals: where not those of its kind."""
    if not np.isfinite(value):
        return "at infinity" if kind is Dimension.LENGTH else "none"
    decimals = kind.decimals(unit) if decimals is None else decimals
    # Rounding first keeps a tiny negative number from showing as -0.
    rounded = round(value * kind.scale(unit), decimals) + 0.0
    return f"{rounded:{'+' if sign else ''}.{decimals}f}"


def sides_shown(values: Iterable[float], kind: Dimension, unit: LengthUnit) -> list[str]:
    """Write a number of an axle, or of both its sides; sides that show the same are told once."""
    return list(dict.fromkeys(shown(one, kind, unit) for one in values))


def shows(value: float, kind: Dimension, unit: LengthUnit) -> bool:
    """Whether a value is written as anything but zero."""
    return float(round(value * kind.scale(unit), kind.decimals(unit))) != 0.0


def told(value: float, kind: Dimension, unit: LengthUnit, *, sign: bool = True, decimals: int | None = None) -> str:
    """Write a value [mm, rad] in the owner's unit, with the unit. decimals: where not those of its kind."""
    text = shown(value, kind, unit, sign=sign, decimals=decimals)
    return f"{text} {kind.unit(unit)}".rstrip() if np.isfinite(value) else text


def amount(value: float, unit: LengthUnit, *, sign: bool = False) -> str:
    """Write a length [mm] that a person chose, in his unit: whole, as a fraction where he writes such, or as it is."""
    rounded = float(f"{unit.from_mm(value):.6g}") + 0.0
    plus = "+" if sign and rounded > 0.0 else ""
    fraction = unit.as_fraction(value)
    return f"{plus}{rounded:.6g}" if fraction is None else f"{plus}{fraction}"


def told_amount(value: float, unit: LengthUnit, *, sign: bool = False) -> str:
    """Write a length [mm] that a person chose, with the unit."""
    return f"{amount(value, unit, sign=sign)} {unit.symbol}"


def planned_amount(value: float, unit: LengthUnit, *, sign: bool = False) -> str:
    """Write a length [mm] of a plan: as its owner wrote it, but one that comes from another unit no finer than is set.

    A 64th of an inch stays as it is, in decimals too: 0.0625 is what he wrote.
    """
    in_unit = unit.from_mm(value)
    decimals, finest = (2, 1.0) if unit.symbol == MM.symbol else (3, 64.0)
    rounded = round(in_unit, decimals)
    if rounded == 0.0 or abs(in_unit * finest - round(in_unit * finest)) < _ROUNDING:
        return amount(value, unit, sign=sign)
    return amount(unit.to_mm(rounded), unit, sign=sign)


def told_planned(value: float, unit: LengthUnit, *, sign: bool = False) -> str:
    """Write a length [mm] of a plan, with the unit."""
    return f"{planned_amount(value, unit, sign=sign)} {unit.symbol}"


def limit_end(value: float, kind: Dimension, unit: LengthUnit, *, sign: bool = False) -> str:
    """Write an end of a range that a person chose [mm, rad], without the unit: a length as a fraction where he does."""
    text = amount(value, unit, sign=sign) if unit.fractions and kind is Dimension.LENGTH else ""
    return text if text and "." not in text else shown(value, kind, unit, sign=sign)


def in_both_units(value: float, first: LengthUnit = MM, *, sign: bool = True) -> str:
    """Write a length [mm] in mm and inches, where it is not known which of them its reader uses; first: told first."""
    plus = "+" if sign else ""
    told_here = [f"{value:{plus}z.1f} mm", f"{value / INCH.in_mm:{plus}z.2f} in"]
    one, other = reversed(told_here) if first.symbol == INCH.symbol else told_here
    return f"{one} ({other})"


def per_cent(chance: float) -> str:
    """Write a chance to the whole per cent, never rounded to none or all."""
    whole = round(100.0 * chance)
    return "under 1 %" if whole < 1 else "over 99 %" if whole > 99 else f"{whole} %"


def told_roll(value: float) -> str:
    """Write an angle of roll [rad] to a tenth of a degree, with the unit."""
    return f"{np.degrees(value):+z.1f} deg"


def whole_degrees(value: float) -> str:
    """Write an angle [rad] to the degree, with the unit."""
    return f"{np.degrees(value):.0f} deg"
