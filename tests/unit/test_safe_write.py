"""Files are written whole or not at all, and nothing is overwritten unasked."""

import errno
import os
import stat
import tempfile
from pathlib import Path
from typing import BinaryIO, NoReturn

import pytest

from kinematics import InputFaultError
from reports.outputs.safe_write import make_folder, refuse_existing, write_whole


def new_text(file: BinaryIO) -> None:
    file.write(b"new")


def disk_full(file: BinaryIO) -> None:
    file.write(b"half of it")
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def stopped(file: BinaryIO) -> None:
    file.write(b"half of it")
    raise KeyboardInterrupt


def broken(file: BinaryIO) -> None:
    file.write(b"half of it")
    raise ZeroDivisionError


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "table.csv"
    path.write_bytes(b"old")
    return path


def alone(path: Path, content: bytes) -> bool:
    """Whether a file has this content and nothing else lies beside it."""
    return path.read_bytes() == content and list(path.parent.iterdir()) == [path]


def told(caught: pytest.ExceptionInfo[InputFaultError]) -> str:
    (fault,) = caught.value.faults
    return str(fault)


def test_a_new_file(tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    write_whole(path, new_text)
    assert alone(path, b"new")


def test_an_old_file_is_replaced_if_asked(old: Path) -> None:
    write_whole(old, new_text, replace=True)
    assert alone(old, b"new")


def test_an_old_file_is_kept_if_not_asked(old: Path) -> None:
    with pytest.raises(InputFaultError) as caught:
        write_whole(old, new_text)
    assert told(caught) == f"{old}: is there already; add --replace to write over it"
    assert alone(old, b"old")


def test_the_old_file_is_whole_until_the_new_one_is(old: Path) -> None:
    seen = []

    def watching(file: BinaryIO) -> None:
        file.write(b"half of it")
        file.flush()
        seen.append(old.read_bytes())

    write_whole(old, watching, replace=True)
    assert seen == [b"old"]
    assert alone(old, b"half of it")


def test_disk_full(old: Path) -> None:
    with pytest.raises(InputFaultError) as caught:
        write_whole(old, disk_full, replace=True)
    assert told(caught) == f"{old}: cannot be written: {os.strerror(errno.ENOSPC)}"
    assert alone(old, b"old")


def test_disk_full_where_no_file_was(tmp_path: Path) -> None:
    with pytest.raises(InputFaultError, match="cannot be written"):
        write_whole(tmp_path / "table.csv", disk_full)
    assert list(tmp_path.iterdir()) == []


def test_disk_full_when_the_rest_is_written_out(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> NoReturn:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputFaultError, match="cannot be written"):
        write_whole(old, new_text, replace=True)
    assert alone(old, b"old")


def test_stopped_by_the_keyboard(old: Path) -> None:
    with pytest.raises(KeyboardInterrupt):
        write_whole(old, stopped, replace=True)
    assert alone(old, b"old")


def test_a_fault_of_the_writer_is_not_hidden(old: Path) -> None:
    with pytest.raises(ZeroDivisionError):
        write_whole(old, broken, replace=True)
    assert alone(old, b"old")


@pytest.mark.parametrize("links", [True, False])
def test_a_file_that_appears_meanwhile_is_kept(links: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "table.csv"
    if not links:
        monkeypatch.setattr(os, "link", no_links)

    def overtaken(file: BinaryIO) -> None:
        file.write(b"new")
        path.write_bytes(b"someone else's")

    with pytest.raises(InputFaultError) as caught:
        write_whole(path, overtaken)
    assert told(caught) == f"{path}: is there already; add --replace to write over it"
    assert alone(path, b"someone else's")


def no_links(*_: object) -> NoReturn:
    raise OSError(errno.EPERM, os.strerror(errno.EPERM))


def test_a_memory_card_that_knows_no_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "link", no_links)
    path = tmp_path / "table.csv"
    write_whole(path, new_text)
    assert alone(path, b"new")


def test_stopped_while_a_memory_card_gives_the_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> NoReturn:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "link", no_links)
    monkeypatch.setattr(Path, "replace", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_whole(tmp_path / "table.csv", new_text)
    assert list(tmp_path.iterdir()) == []


def test_a_place_that_may_not_be_written(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def denied(**_: object) -> NoReturn:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(tempfile, "mkstemp", denied)
    with pytest.raises(InputFaultError) as caught:
        write_whole(old, new_text, replace=True)
    assert told(caught) == f"{old}: cannot be written: {os.strerror(errno.EACCES)}"
    assert alone(old, b"old")


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    path = tmp_path / "nowhere" / "table.csv"
    with pytest.raises(InputFaultError) as caught:
        write_whole(path, new_text)
    assert told(caught) == f"{path}: cannot be written: there is no folder {path.parent}"


def test_a_folder_in_the_place_of_the_file(tmp_path: Path) -> None:
    with pytest.raises(InputFaultError) as caught:
        write_whole(tmp_path, new_text, replace=True)
    assert told(caught) == f"{tmp_path}: is a folder; name a file in it"


@pytest.mark.skipif(os.name != "posix", reason="rights are a matter of POSIX")
def test_rights_are_those_of_any_new_file(tmp_path: Path) -> None:
    plain, whole = tmp_path / "plain", tmp_path / "whole"
    plain.touch()
    write_whole(whole, new_text)
    assert stat.S_IMODE(whole.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)


def test_all_that_is_there_is_named(tmp_path: Path) -> None:
    there = [tmp_path / "a.csv", tmp_path / "b.csv"]
    for path in there:
        path.touch()
    with pytest.raises(InputFaultError) as caught:
        refuse_existing([there[0], tmp_path / "c.csv", there[1]], replace=False)
    assert [fault.key for fault in caught.value.faults] == [str(path) for path in there]
    refuse_existing(there, replace=True)
    refuse_existing([tmp_path / "c.csv"], replace=False)


def test_folders_are_made_with_their_parents(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    make_folder(folder)
    make_folder(folder)
    assert folder.is_dir()


def test_a_file_in_the_place_of_a_folder(old: Path) -> None:
    with pytest.raises(InputFaultError) as caught:
        make_folder(old)
    assert told(caught) == f"{old}: is a file; name a folder"
    with pytest.raises(InputFaultError, match="the folder cannot be made"):
        make_folder(old / "under")
    assert alone(old, b"old")


def test_a_name_that_the_system_does_not_take(tmp_path: Path) -> None:
    """A file's name has 255 bytes at most on the usual file systems (from memory)."""
    with pytest.raises(InputFaultError, match="cannot be written: "):
        refuse_existing([tmp_path / f"{'a' * 300}.csv"], replace=False)
