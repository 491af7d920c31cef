"""A file that a person names, read whole, with a plain word for everything that stands in the way."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

from kinematics.inputs.reading.faults import STAND_IN, Fault, InputFaultError, shown
from kinematics.inputs.reading.plain_text import control_in, named

_STANDS_IN: ContextVar[bytes | None] = ContextVar("stands_in", default=None)


def whole_bytes(path: Path, largest: int) -> bytes:
    """Return a file's content; InputFaultError where it cannot be read or is larger than `largest` bytes."""
    try:
        content = _content(path, largest + 1)
    except FileNotFoundError:
        raise whole_file_fault(path, "there is no such file") from None
    except IsADirectoryError:
        raise whole_file_fault(path, "this is a folder; name the file in it") from None
    except OSError as error:
        raise whole_file_fault(path, f"the file cannot be read: {error.strerror}") from None
    if len(content) > largest:
        size = f"{largest // 1000} kB" if largest < 10_000_000 else f"{largest // 1_000_000} MB"
        raise whole_file_fault(path, f"the file is larger than {size}; is it the right file?")
    return content


@contextmanager
def standing_in(content: bytes | None) -> Iterator[None]:
    """Let content be what the name `-` stands for, such as what a program has on its standard input."""
    token = _STANDS_IN.set(content)
    try:
        yield
    finally:
        _STANDS_IN.reset(token)


def _content(path: Path, most: int) -> bytes:
    given = _STANDS_IN.get() if str(path) == STAND_IN else None
    if given is not None:
        return given[:most]
    with path.open("rb") as file:
        return file.read(most)


def whole_text(path: Path, largest: int, save: str = "save the file as plain text in UTF-8") -> str:
    """Return a text file's content, without the byte order mark that some editors begin it with; `save`: what to do."""
    content = whole_bytes(path, largest)
    if content.startswith(b"%PDF"):
        text = "this is a PDF; a measuring sheet that was filled in is read with `cornersweep sheet --filled-in`"
        raise whole_file_fault(path, text)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise whole_file_fault(path, f"line {line} is not UTF-8 text; {save}") from None


def whole_table(path: Path, largest: int, most_rows: int) -> str:
    """Return the text of a table of one row a line, like `whole_text`, if it is not too long nor hides anything."""
    text = whole_text(path, largest, "save the table as CSV in UTF-8")
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(lines) > most_rows + 1:
        raise whole_file_fault(path, f"read {len(lines)} lines; at most {most_rows} are allowed")
    faults = [
        Fault(f"line {number}", f"read {shown(line)}; without the control character {named(hidden)} it is allowed")
        for number, line in enumerate(lines, start=1)
        if (hidden := control_in(line, lines=True))
    ]
    if faults:
        raise InputFaultError(str(path), faults)
    return text


def whole_file_fault(path: Path, message: str) -> InputFaultError:
    """Return a fault of the whole file."""
    return InputFaultError(str(path), [Fault("", message)])
