"""Files written whole or not at all: beside their place first, then moved there; nothing overwritten unasked."""

import errno
import os
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import BinaryIO

from kinematics.inputs.reading.faults import STAND_IN, Fault, InputFaultError

_TAKEN = "is there already; add --replace to write over it"
_NO_FILE = "stands for standard input; name what is to be written"
_MOST_NAMED = 3  # files, before the rest are counted


def refuse_existing(paths: Sequence[Path], *, replace: bool) -> None:
    """Raise InputFaultError if any of the files is there already and may not be replaced, or cannot have its folder.

    Before anything is solved, so that nobody waits to be told.
    """
    for folder in dict.fromkeys(path.parent for path in paths):
        _refuse_a_file(folder)
    _refuse_taken(paths, replace=replace)


def _refuse_a_file(folder: Path) -> None:
    there = next((one for one in (folder, *folder.parents) if os.path.lexists(one)), folder)
    if str(folder) == STAND_IN:
        raise _unwritable(folder, _NO_FILE)
    if there == folder and there.is_file():
        raise _unwritable(folder, "is a file; name a folder")
    if there.is_file():
        raise _unwritable(folder, f"the folder cannot be made: {os.strerror(errno.ENOTDIR)}")


def _refuse_taken(paths: Sequence[Path], *, replace: bool) -> None:
    for path in paths:
        _refuse_no_name(path)
    faults = [Fault(STAND_IN, _NO_FILE) for path in paths if str(path) == STAND_IN]
    faults += [Fault(str(path), "is a folder; name a file in it") for path in paths if path.is_dir()]
    if not replace:
        there = [path for path in paths if path.exists() and not path.is_dir()]
        faults += [Fault(str(path), _TAKEN) for path in there[:_MOST_NAMED]]
        if len(there) > _MOST_NAMED:
            faults.append(Fault("", f"{len(there) - _MOST_NAMED} more of the files are there already"))
    if faults:
        raise InputFaultError("nothing written", faults)


def _refuse_no_name(path: Path) -> None:
    """Raise InputFaultError for what the system takes for no name at all, such as one that is too long."""
    try:
        path.lstat()
    except FileNotFoundError:
        return
    except OSError as error:
        raise _unwritable(path, f"cannot be written: {error.strerror}") from None


def make_folder(folder: Path) -> None:
    """Make a folder for output, with its parents."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise _unwritable(folder, "is a file; name a folder") from None
    except OSError as error:
        raise _unwritable(folder, f"the folder cannot be made: {error.strerror}") from None


def write_whole(path: Path, write: Callable[[BinaryIO], None], *, replace: bool = False) -> None:
    """Let `write` fill a new file beside `path`, then move it there in one step.

    Raises InputFaultError where the place cannot be written or, without `replace`, is taken; whatever was at
    `path` is then untouched and nothing half-written is left.
    """
    _refuse_taken([path], replace=replace)
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    except OSError as error:
        reason = error.strerror if path.parent.is_dir() else f"there is no folder {path.parent}"
        raise _unwritable(path, f"cannot be written: {reason}") from None
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
        beside.chmod(0o666 & ~_umask())
        move_whole(beside, path, replace=replace)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise _unwritable(path, f"cannot be written: {error.strerror}") from None
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def move_whole(made: Path, path: Path, *, replace: bool) -> None:
    """Give a finished file on the same disk its name; InputFaultError where, without `replace`, that is taken."""
    try:
        if replace:
            made.replace(path)
        else:
            _name_once(made, path)
    except FileExistsError:
        raise _unwritable(path, _TAKEN) from None


def write_content(path: Path, content: bytes | str, *, replace: bool = False) -> None:
    """The same with what the file is to hold; text as UTF-8."""
    finished = content.encode("utf-8") if isinstance(content, str) else content

    def put(file: BinaryIO) -> None:
        file.write(finished)

    write_whole(path, put, replace=replace)


def _name_once(beside: Path, path: Path) -> None:
    """Give a finished file its name; FileExistsError where that has been taken meanwhile, as a rename overwrites."""
    try:
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError:
        # Memory cards and some shares know no links: there an empty file holds the name first.
        path.touch(exist_ok=False)
        try:
            beside.replace(path)
        except BaseException:
            path.unlink(missing_ok=True)
            raise
    else:
        beside.unlink()


def _unwritable(path: Path, message: str) -> InputFaultError:
    return InputFaultError("output", [Fault(str(path), message)])


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
