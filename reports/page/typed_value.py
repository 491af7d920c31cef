"""What a person types into a field, as a file holds it."""

import math
import re

from kinematics.car.lengths import STILL_BLANK

_NUMBER = re.compile(r"[+-]?\d+(\.\d*)?|[+-]?\.\d+")


def typed_value(typed: str) -> float | int | str:
    """A number where it is one; what a tape shows, or what is none, as text, which the reader judges."""
    if not _NUMBER.fullmatch(typed):
        return typed or STILL_BLANK
    number = float(typed)
    return int(number) if typed.lstrip("+-").isdigit() and math.isfinite(number) else number
