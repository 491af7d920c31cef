"""Sentences in lines that fit a terminal, no number parted from its unit, its fraction or what it counts."""

import re
import textwrap

from reports.words.numbers import PLUS_MINUS

WIDTH = 80
_NUMBER_AND_UNIT = re.compile(rf"(?<=\d) (?=(?:mm|in|deg|%)\b|%|\d+/\d)|(?<={PLUS_MINUS}) |(?<=\bno\.) (?=\d)")
_HELD = "\N{NO-BREAK SPACE}"


def wrapped(text: str, width: int = WIDTH) -> list[str]:
    """The lines of a text."""
    lines = textwrap.wrap(_NUMBER_AND_UNIT.sub(_HELD, text), width, break_long_words=False, break_on_hyphens=False)
    return [line.replace(_HELD, " ") for line in lines]
