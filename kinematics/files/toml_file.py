"""Reading a TOML file that a person wrote, with a plain word for everything that stands in the way."""

import re
import tomllib
from pathlib import Path
from typing import Any

from kinematics.files.faults import Fault, InputFaultError

_LARGEST = 1_000_000  # bytes; a car file has a few thousand
_LONGEST = 80  # characters of a line that are shown


def read_toml(path: Path) -> dict[str, Any]:
    """Read a TOML file; InputFaultError says what stands in the way."""
    try:
        with path.open("rb") as file:
            read = file.read(_LARGEST + 1)
        if len(read) > _LARGEST:
            raise _whole_file(path, f"the file is larger than {_LARGEST // 1000} kB; is it the right file?")
        # Some editors begin a file with a byte order mark.
        text = read.decode("utf-8-sig")
    except FileNotFoundError:
        raise _whole_file(path, "there is no such file") from None
    except IsADirectoryError:
        raise _whole_file(path, "this is a folder; name the file in it") from None
    except OSError as error:
        raise _whole_file(path, f"the file cannot be read: {error.strerror}") from None
    except UnicodeDecodeError as error:
        line = read.count(b"\n", 0, error.start) + 1
        raise _whole_file(path, f"line {line} is not UTF-8 text; save the file as plain text in UTF-8") from None
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise _whole_file(path, "its lists and tables are nested too deeply") from None
    except ValueError as error:
        raise _whole_file(path, f"this is not valid TOML: {error}{_line_of(text, str(error))}") from None


def _line_of(text: str, complaint: str) -> str:
    """The line that a complaint points at, for there its cause mostly is."""
    number = re.search(r"at line (\d+)", complaint)
    lines = text.split("\n")
    return f": {lines[int(number[1]) - 1].strip()[:_LONGEST]}" if number else ""


def _whole_file(path: Path, message: str) -> InputFaultError:
    return InputFaultError(str(path), [Fault("", message)])
