"""Lengths and angles in the words of a plan's refusals."""

from collections.abc import Sequence

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension

_DECIMALS = {"mm": 1, "in": 2, "deg": 2}


def told(value: float, kind: Dimension, unit: LengthUnit, *, sign: bool = True) -> str:
    """Write a length or an angle [mm, rad] in the owner's unit, with the unit."""
    if not np.isfinite(value):
        return "at infinity" if kind is Dimension.LENGTH else "none"
    symbol = kind.unit(unit)
    rounded = round(value * kind.scale(unit), _DECIMALS[symbol]) + 0.0
    return f"{rounded:{'+' if sign else ''}.{_DECIMALS[symbol]}f} {symbol}"


def once_for_both_sides(texts: Sequence[str]) -> list[str]:
    """Sentences that start 'front left: ' and 'front right: ' and are alike become one, 'front: '."""
    common = [text.replace(" left:", ":", 1).replace(" right:", ":", 1) for text in texts]
    return list(dict.fromkeys(one if common.count(one) == 2 else text for one, text in zip(common, texts, strict=True)))
