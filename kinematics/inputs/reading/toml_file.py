"""Reading a TOML file that a person wrote, with a plain word for everything that stands in the way."""

import re
import tomllib
from pathlib import Path
from typing import Any

from kinematics.inputs.reading.whole_file import whole_file_fault, whole_text

_LARGEST = 1_000_000  # bytes; a car file has a few thousand
_MOST_DOTS = 200  # in what stands before an equals sign
_SLIPS = (
    (re.compile(r"[\u201c\u201d\u201e]"), 'curly quotes are no quotes here: write "..." with straight ones'),
    (re.compile(r"=\s*-?(\d+[ -])?\d+/\d+"), 'a fraction must stand in quotes, like "13 5/8"'),
    (re.compile(r"=\s*-?\d+\s*[\u00bc-\u00be\u2150-\u215e]"), 'a fraction must stand in quotes, like "13 5/8"'),
    (re.compile(r"=\s*-?\d+,\d"), "a decimal point is needed, like 13.625"),
)
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
        place = re.search(r"at line (\d+)", str(error))
        line = text.split("\n")[int(place[1]) - 1].strip() if place else ""
        said = f"this is not valid TOML: {error}{line and f': {line[:_LONGEST]}'}{_hint(line)}"
        raise whole_file_fault(path, said) from None


def _hint(line: str) -> str:
    """What may have been meant in a line, for the slips that are made most."""
    return next((f" ({hint})" for pattern, hint in _SLIPS if pattern.search(line)), "")
