"""Files that go to a folder all or none: the same are left alone, others refused, and nothing is left over."""

import os
from pathlib import Path

import pytest

from kinematics.inputs.reading.faults import InputFaultError
from reports.outputs.staged import refuse_changed, staged

NEW = {"a.csv": "a", "b.csv": "b", "c.csv": "c"}


def write(folder: Path, texts: dict[str, str] = NEW, *, replace: bool = False) -> None:
    with staged(folder, replace=replace) as place:
        for name, text in texts.items():
            (place / name).write_text(text, encoding="utf-8")


def read(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text(encoding="utf-8") for path in folder.iterdir()}


def test_a_new_folder(tmp_path: Path) -> None:
    write(tmp_path / "new" / "folder")
    assert read(tmp_path / "new" / "folder") == NEW


def test_the_same_is_left_alone_and_what_is_gone_comes_back(tmp_path: Path) -> None:
    write(tmp_path)
    os.utime(tmp_path / "a.csv", ns=(1, 1))
    (tmp_path / "b.csv").unlink()
    write(tmp_path)
    assert read(tmp_path) == NEW
    assert (tmp_path / "a.csv").stat().st_mtime_ns == 1


def test_what_differs_is_refused_by_name_and_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "b.csv").write_text("mine", encoding="utf-8")
    with pytest.raises(InputFaultError) as caught:
        write(tmp_path)
    assert [fault.key for fault in caught.value.faults] == [str(tmp_path / "b.csv")]
    assert read(tmp_path) == {"b.csv": "mine"}
    write(tmp_path, replace=True)
    assert read(tmp_path) == NEW


def test_what_is_stopped_on_the_way_leaves_nothing(tmp_path: Path) -> None:
    def stopped() -> None:
        with staged(tmp_path, replace=False) as place:
            (place / "a.csv").write_text("half", encoding="utf-8")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        stopped()
    assert read(tmp_path) == {}


def test_before_anything_is_solved(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("mine", encoding="utf-8")
    known, targets = {tmp_path / "a.csv": "a"}, [tmp_path / "a.csv", tmp_path / "b.csv"]
    with pytest.raises(InputFaultError, match=r"a\.csv: is there already, with other content"):
        refuse_changed(known, targets, replace=False)
    refuse_changed(known, targets, replace=True)
    refuse_changed({tmp_path / "a.csv": "mine"}, targets, replace=False)
