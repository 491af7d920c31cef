"""Values of options on the command line: what is read, what is allowed."""

import argparse
import math
import re
from collections.abc import Callable

_NEGATIVE_TAPE = re.compile(r"-(\d{1,9}\s+)?\d{1,9}/[1-9]\d{0,8}")
_FARTHEST = 5000.0  # in the car's unit
_SHORTEST_STEP = 0.001  # in the car's unit; finer than anything that can be measured


def plain_number(word: str) -> str:
    """Write a negative tape reading as a decimal: argparse takes "-3/4" for an option."""
    if _NEGATIVE_TAPE.fullmatch(word) is None:
        return word
    from kinematics.car.lengths import read_length

    return str(read_length(word))


def length(written: str) -> float:
    """A length in the car's unit, as a decimal or a tape reading."""
    from kinematics.car.lengths import read_length

    try:
        value = read_length(written)
    except ValueError as error:
        raise argparse.ArgumentTypeError(str(error)) from None
    except OverflowError:
        value = math.inf
    if not abs(value) <= _FARTHEST:
        raise argparse.ArgumentTypeError(f"{written!r} is beyond any car; at most {_FARTHEST:g} is allowed")
    return value


def step(written: str) -> float:
    """A length above nothing."""
    value = length(written)
    if value < _SHORTEST_STEP:
        raise argparse.ArgumentTypeError(f"{written!r} is too short; at least {_SHORTEST_STEP:g} is allowed")
    return value


def whole(low: int, high: int) -> Callable[[str], int]:
    """A whole number from low to high."""

    def read(written: str) -> int:
        if not written.isdecimal() or len(written) > len(str(high)) or not low <= int(written) <= high:
            raise argparse.ArgumentTypeError(f"{written!r}: a whole number from {low} to {high} is allowed")
        return int(written)

    return read


def between(low: float, high: float, what: str) -> Callable[[str], float]:
    """A number from low to high; what: its unit or meaning."""

    def read(written: str) -> float:
        try:
            value = float(written)
        except ValueError:
            raise argparse.ArgumentTypeError(f"{written!r} is not a number") from None
        if not low <= value <= high:
            raise argparse.ArgumentTypeError(f"{written!r}: {low:g} to {high:g} {what} is allowed")
        return value

    return read
