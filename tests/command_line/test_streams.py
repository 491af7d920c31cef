"""Standard input and output: a file called `-`, a reader that goes, colours, and work shared among processes.

NO_COLOR: no-color.org's words, that a program which adds colour by default shall leave it out where the variable is set
to anything (from memory); SGR codes of colours: ECMA-48, 8.3.117 (from memory).
"""

import io
import re
import shlex
from collections.abc import Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest

from kinematics.finding.verified import AT_ONCE, Verified
from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR

LIMITS = """
units = "mm"
[limits.front]
roll_centre_height = { from = -900, to = 900 }
force_weighted_height = { from = -900, to = 900 }
"""


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    return tmp_path


def given(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text.encode("utf-8"))))


@pytest.mark.usefixtures("garage")
def test_a_car_from_standard_input(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["show", "car.toml"]) == 1
    named = capsys.readouterr().out
    given(monkeypatch, SOUND_CAR)
    assert main(["show", "-"]) == 1
    assert capsys.readouterr().out.replace("find - ", "find car.toml ") == named


@pytest.mark.usefixtures("garage")
def test_limits_from_standard_input(monkeypatch: pytest.MonkeyPatch) -> None:
    given(monkeypatch, LIMITS)
    assert main(["show", "car.toml", "--limits", "-", "--quiet"]) == 0


@pytest.mark.usefixtures("garage")
@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["show", "-"], "standard input: 2 faults\n  name: read 3; text in quotes is allowed\n"),
        (
            ["compare", "-", "-"],
            "cornersweep: 1 fault\n  standard input: read - for 2 files; standard input can be one",
        ),
        (["new", "strut", "-"], "nothing written: 1 fault\n  -: stands for standard input; name what is to be written"),
        (["sweep", "car.toml", "-"], "output: 1 fault\n  -: stands for standard input"),
    ],
)
def test_what_standard_input_is_not(
    words: list[str], says: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    given(monkeypatch, "name = 3")
    assert main(words) == 2
    told = capsys.readouterr()
    assert told.err.startswith(says)
    assert told.out == ""
    assert not Path("-").exists()


class Gone(io.StringIO):
    """A reader that goes after the first line."""

    def write(self, text: str) -> int:
        if self.getvalue():
            raise BrokenPipeError
        return super().write(text)


@pytest.mark.usefixtures("undrawn")
def test_files_are_written_although_the_reader_has_gone(
    garage: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["sweep", "car.toml", "swept", "--step", "60", "--roll-step", "3"]
    monkeypatch.setattr("sys.stdout", Gone())
    assert main(words) == 141
    monkeypatch.undo()
    assert capsys.readouterr().err == ""
    names = {path.name for path in (garage / "swept").iterdir()}
    assert {"front_bump.csv", "front_roll.csv", "front_grid.csv", "front_steer.csv", "front_bump.png"} < names


@pytest.mark.parametrize(("no_color", "coloured"), [("", True), ("1", False)])
@pytest.mark.usefixtures("garage")
def test_no_color(
    no_color: str, coloured: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, value in (("FORCE_COLOR", "1"), ("TERM", "xterm-256color"), ("NO_COLOR", no_color)):
        monkeypatch.setenv(name, value)
    assert main(["show", "car.toml"]) == 1
    codes = {code for found in re.findall(r"\x1b\[([0-9;]*)m", capsys.readouterr().out) for code in found.split(";")}
    assert bool(codes & {"31", "32", "33"}) == coloured
    assert "1" in codes  # bold is no colour


@contextmanager
def threads(jobs: int) -> Iterator[Executor]:
    with ThreadPoolExecutor(jobs) as pool:
        yield pool


SHELF = 'units = "mm"\n[[rear_spring]]\nname = "stiff"\nrate = 44\n[[front_bar]]\nname = "thick"\nrate = 60\n'


@pytest.mark.campaign
def test_a_shelf_shared_is_the_same(
    garage: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (garage / "saloon.toml").write_text(demo_text("rear_drive_saloon.toml"), encoding="utf-8")
    (garage / "shelf.toml").write_text(SHELF, encoding="utf-8")
    monkeypatch.setattr("kinematics.loads.shelf._BLOCK", 3)
    told = []
    for share in (["--jobs", "1"], ["--jobs", "3"]):
        assert main(["shelf", "saloon.toml", "shelf.toml", "--json", *share]) == 0
        told.append(capsys.readouterr().out)
        monkeypatch.setattr("reports.commands.lean.sharing", threads)
    assert told[0] == told[1]


def test_plans_are_solved_in_the_same_parts_whoever_solves_them() -> None:
    """What is solved together shares its last bits, so the parts must be the same."""
    parts: list[list[int]] = []

    def solve(amounts: np.ndarray) -> np.ndarray:
        parts[-1].append(len(amounts))
        return amounts

    asked = np.arange(3.0 * AT_ONCE + 5.0)[:, None]
    with ThreadPoolExecutor(1) as pool:
        for executor in (None, pool):
            parts.append([])
            found = Verified(solve, None, executor)._solved(asked)  # type: ignore[arg-type]
            np.testing.assert_array_equal(found, asked)
    assert parts[0] == parts[1]
    assert len(parts[0]) == 4


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
@pytest.mark.parametrize("words", ["doubt car.toml --draws 300", "compare car.toml --change 'ride height' -9 --doubt"])
def test_processes_tell_the_same(words: str, capsys: pytest.CaptureFixture[str]) -> None:
    told = []
    for jobs in ("1", "2"):
        main([*shlex.split(words), "--json", "--jobs", jobs])
        told.append(capsys.readouterr().out)
    assert told[0] == told[1]
