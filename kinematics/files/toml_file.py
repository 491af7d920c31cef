"""Reading a TOML file that a person wrote, with a plain word for everything that stands in the way."""

import re
import tomllib
from pathlib import Path
from typing import Any

from kinematics.files.whole_file import whole_file_fault, whole_text

_LARGEST = 1_000_000  # bytes; a car file has a few thousand
_MOST_DOTS = 200  # in what stands before an equals sign
_LONGEST = 80  # characters of a line that are shown


def read_toml(path: Path) -> dict[str, Any]:
    """Read a TOML file; InputFaultError says what stands in the way."""
    text = whole_text(path, _LARGEST)
    for number, line in enumerate(text.splitlines(), start=1):
        # The parser takes time as the square of a key's length.
        if line.split("=", 1)[0].count(".") > _MOST_DOTS:
            raise whole_file_fault(path, f"line {number}: this key has far too many parts")
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise whole_file_fault(path, "its lists and tables are nested too deeply") from None
    except ValueError as error:
        raise whole_file_fault(path, f"this is not valid TOML: {error}{_line_of(text, str(error))}") from None


def _line_of(text: str, complaint: str) -> str:
    """The line that a complaint points at, for there its cause mostly is."""
    number = re.search(r"at line (\d+)", complaint)
    lines = text.split("\n")
    return f": {lines[int(number[1]) - 1].strip()[:_LONGEST]}" if number else ""
