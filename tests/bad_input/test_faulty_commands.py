"""Faulty commands: each is refused with exit status 2 and told in plain words, and nothing is written."""

import os
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR, in_inches
from tests.short_run import at_places

ROOT = Path(__file__).parents[2]  # what is tested is this tree, whatever is installed
TABLE = tomllib.loads((Path(__file__).parent / "faulty_commands.toml").read_text(encoding="utf-8"))["faulty"]
THROUGH_A_PROCESS = ("missing file", "sweep into a file", "draw at a bump out of reach", "step of nothing")


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.argv", ["cornersweep"])  # pytest's own words are no command
    contents = {
        "car.toml": SOUND_CAR,
        "inch.toml": in_inches(),
        "notes.txt": "mine",
        "taken/front_bump.csv": "mine",
        "taken/lowered_coupe.toml": "mine",
        "live_axle_limits.toml": 'units = "mm"\n[limits.front]\naxle_offset = { to = 1 }\n',
        "bad_limits.toml": 'units = "mm"\n[limits.front]\nchamber = { to = 1 }\n',
    }
    for name, text in contents.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "empty").mkdir()
    return tmp_path


def status_of(arguments: list[str]) -> object:
    """Exit status, returned or, where an option was mistyped, raised."""
    try:
        return main(arguments)
    except SystemExit as ended:
        return ended.code


def everything(folder: Path) -> dict[str, bytes | None]:
    return {str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None for path in folder.rglob("*")}


def without_usage(told: str) -> list[str]:
    """The lines of a message, less the summary of options that stands before a complaint about one."""
    lines = told.splitlines()
    if not lines[0].startswith("usage: "):
        return lines
    return [line for line in lines[1:] if not line.startswith(" ")]


def check_told(entry: dict[str, Any], told: str) -> None:
    lines = without_usage(told)
    assert [line[: len(begin)] for line, begin in zip(lines, entry["says"], strict=True)] == entry["says"]
    for words in entry.get("says_also", []):
        assert words in told


@pytest.mark.parametrize("entry", TABLE, ids=lambda entry: entry["what"])
def test_a_faulty_command_is_told_in_full(
    entry: dict[str, Any], garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = everything(garage)
    assert status_of(entry["command"]) == 2
    told = capsys.readouterr()
    check_told(entry, told.err)
    assert told.out == ""
    assert everything(garage) == before


@pytest.mark.parametrize("what", at_places(THROUGH_A_PROCESS, 0))
def test_the_same_through_a_process_of_its_own(what: str, garage: Path) -> None:
    entry = next(entry for entry in TABLE if entry["what"] == what)
    before = everything(garage)
    program = "import sys; from reports.command_line import main; sys.exit(main())"
    ended = subprocess.run(
        [sys.executable, "-c", program, *entry["command"]],
        capture_output=True,
        text=True,
        check=False,
        cwd=garage,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    assert ended.returncode == 2
    check_told(entry, ended.stderr)
    assert ended.stdout == ""
    assert everything(garage) == before


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may write everywhere")
@pytest.mark.parametrize("command", [["new", "strut", "locked/car.toml"], ["sweep", "car.toml", "locked/out"]])
def test_a_folder_that_may_not_be_written(command: list[str], garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    locked = garage / "locked"
    locked.mkdir(mode=0o500)
    assert main(command) == 2
    assert capsys.readouterr().err.splitlines()[1].endswith("Permission denied")
    assert list(locked.iterdir()) == []
