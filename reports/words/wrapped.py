"""Sentences in lines that fit a terminal, no number parted from its unit, its fraction or what it counts."""

import re
import textwrap

from reports.words.numbers import PLUS_MINUS

WIDTH = 80
_BEHIND_A_NUMBER = rf"(?<=\d) (?=(?:mm|in|deg|N|lb|g|%)\b|%|\d+/\d|{PLUS_MINUS})"
_NUMBER_AND_UNIT = re.compile(rf"{_BEHIND_A_NUMBER}|(?<={PLUS_MINUS}) |(?<=\bno\.) (?=\d)")
_HELD = "\N{NO-BREAK SPACE}"


def wrapped(text: str, width: int = WIDTH) -> list[str]:
    """The lines of a text."""
    lines = textwrap.wrap(_NUMBER_AND_UNIT.sub(_HELD, text), width, break_long_words=False, break_on_hyphens=False)
    return [line.replace(_HELD, " ") for line in lines]


def evenly_wrapped(text: str, width: int) -> list[str]:
    """As many lines as `wrapped` makes, as even as they can be: none has a last word to itself."""
    lines = wrapped(text, width)
    for narrower in range(max(1, len(text) // max(len(lines), 1)), width):
        tried = wrapped(text, narrower)
        if len(tried) <= len(lines):
            return tried
    return lines
