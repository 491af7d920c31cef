"""Reading a TOML file that a person wrote, with a plain word for everything that stands in the way."""

import tomllib
from pathlib import Path
from typing import Any

from kinematics.faults import Fault, InputFaultError

_LARGEST = 1_000_000  # bytes; a car file has a few thousand


def read_toml(path: Path) -> dict[str, Any]:
    """Read a TOML file; InputFaultError says what stands in the way."""
    try:
        if path.stat().st_size > _LARGEST:
            raise _whole_file(path, f"the file is larger than {_LARGEST // 1000} kB; is it the right file?")
        text = path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        raise _whole_file(path, "there is no such file") from None
    except IsADirectoryError:
        raise _whole_file(path, "this is a folder; name the file in it") from None
    except OSError as error:
        raise _whole_file(path, f"the file cannot be read: {error.strerror}") from None
    except UnicodeDecodeError as error:
        raise _whole_file(path, f"byte {error.start} is not UTF-8 text; save the file as plain UTF-8 text") from None
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise _whole_file(path, "its lists and tables are nested too deeply") from None
    except ValueError as error:
        raise _whole_file(path, f"this is not valid TOML: {error}") from None


def _whole_file(path: Path, message: str) -> InputFaultError:
    return InputFaultError(str(path), [Fault("", message)])
