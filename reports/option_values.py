"""Values of options on the command line: what is read, what is allowed."""

import argparse
import math
import re
from collections.abc import Callable, Sequence

from kinematics.inputs.reading.faults import Fault, InputFaultError, shown
from kinematics.inputs.reading.plain_text import control_in, named
from kinematics.inputs.reading.sizes import MOST_IN_A_WORD

_NEGATIVE_TAPE = re.compile(r"-(\d{1,9}\s+)?\d{1,9}/[1-9]\d{0,8}")
_EMPTY = re.compile(r"--[\w-]+=--")
_UNREADABLE = re.compile("[\ud800-\udfff]")  # what Python makes of bytes of a file's name that are no letters
_FARTHEST = 5000.0  # in the car's unit
_LEAST_DOUBT, _MOST_DOUBT = 1e-9, 1e6
_SHORTEST_STEP = 0.001  # in the car's unit; finer than anything that can be measured


def refuse_unfit_words(words: Sequence[str]) -> None:
    """Raise InputFaultError for words of a command line that no file or option can be called by."""
    faults = []
    for number, word in enumerate(words, start=1):
        hidden = control_in(word)
        if len(word) > MOST_IN_A_WORD:
            text = f"read {shown(word)}, {len(word)} characters; at most {MOST_IN_A_WORD} are allowed"
            faults.append(Fault(f"word {number}", text))
        elif hidden:
            text = f"read {shown(word)}; without the control character {named(hidden)} it is allowed"
            faults.append(Fault(f"word {number}", text))
        elif _UNREADABLE.search(word):
            text = f"read {shown(word)}; a name whose letters are UTF-8 is allowed: rename the file or the folder"
            faults.append(Fault(f"word {number}", text))
        elif _EMPTY.fullmatch(word):
            # The parser would take what stands behind the "=" for the end of all options.
            faults.append(Fault(word, "a value is needed behind the ="))
    if faults:
        raise InputFaultError("cornersweep", faults)


def plain_number(word: str) -> str:
    """Write a negative number as argparse reads it: it takes "-3/4" and "-1,5" for options."""
    if word.startswith("-") and "," in word:
        from kinematics.car.decimal_commas import with_point

        return with_point(word)
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


def doubt_wanted(written: str) -> float:
    """How well a number is to be known, in its unit: above nothing, as a decimal or a tape reading."""
    from kinematics.car.lengths import read_length

    try:
        value = read_length(written)
    except (ValueError, OverflowError):
        value = math.nan
    if not _LEAST_DOUBT <= value <= _MOST_DOUBT:
        text = f"{written!r}: a doubt above 0 is allowed, {_LEAST_DOUBT:g} to {_MOST_DOUBT:g}, such as 3, 0.002 or 1/8"
        raise argparse.ArgumentTypeError(text)
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
