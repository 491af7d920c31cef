"""Reading a TOML file that a person wrote, with a plain word for everything that stands in the way."""

import re
import tomllib
from os import PathLike
from pathlib import Path
from typing import Any

from kinematics.inputs.reading.content import refuse_unfit
from kinematics.inputs.reading.sizes import MOST_BYTES_TOML, MOST_DIGITS, MOST_PARTS_OF_A_KEY
from kinematics.inputs.reading.toml_slips import plain_words
from kinematics.inputs.reading.whole_file import whole_file_fault, whole_text

_FAR_TOO_LONG = re.compile(r"[0-9][0-9_]{4299}")  # what Python's own bound on digits refuses


def read_toml(path: str | Path) -> dict[str, Any]:
    """Read a TOML file; InputFaultError says what stands in the way, or is larger or other than text should be."""
    if not isinstance(path, str | PathLike):
        raise TypeError(f"a file is told by its name, or by a Path; read {type(path).__name__}")
    path = Path(path)
    return parsed_toml(whole_text(path, MOST_BYTES_TOML), path)


def parsed_toml(text: str, path: Path) -> dict[str, Any]:
    """The content of a TOML file's text; path: for whose text it is told what stands in the way."""
    written = _parsed(text, path)
    refuse_unfit(written, str(path))
    return written


def _parsed(text: str, path: Path) -> dict[str, Any]:
    for number, line in enumerate(text.split("\n"), start=1):
        if line.split("=", 1)[0].count(".") > MOST_PARTS_OF_A_KEY:
            raise whole_file_fault(path, f"line {number}: this key has far too many parts")
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise whole_file_fault(path, "its lists and tables are nested too deeply") from None
    except tomllib.TOMLDecodeError as error:
        said = f"this is not valid TOML: {plain_words(str(error), text)}"
        raise whole_file_fault(path, said) from None
    except ValueError as error:
        # The parser hands over what Python says of a number or a date that it cannot make.
        digits = _FAR_TOO_LONG.search(text)
        if digits is None:
            raise whole_file_fault(path, f"this is not valid TOML: {error}") from None
        at = text.count("\n", 0, digits.start()) + 1
        said = f"line {at}: read {digits[0][:20]}..., a number of over 4300 digits"
        raise whole_file_fault(path, f"{said}; at most {MOST_DIGITS} are allowed") from None
