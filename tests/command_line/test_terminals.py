"""Terminals that cannot show everything, and output that has nowhere to go."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.command_line.car_texts import SOUND_CAR

ROOT = Path(__file__).parents[2]  # what is tested is this tree, whatever is installed
PROGRAM = [sys.executable, "-c", "import sys; from reports.command_line import main; sys.exit(main())"]


def environment(**more: str) -> dict[str, str]:
    return os.environ | {"PYTHONPATH": str(ROOT)} | more


@pytest.mark.campaign
def test_a_name_that_the_terminal_cannot_show(tmp_path: Path) -> None:
    name = "H\N{LATIN SMALL LETTER U WITH DIAERESIS}gel \N{SNOWMAN}"
    path = tmp_path / "car.toml"
    path.write_text(SOUND_CAR.replace("club coupe (invented)", name), encoding="utf-8")
    ended = subprocess.run(
        [*PROGRAM, "show", str(path), "--all"],
        capture_output=True,
        check=False,
        env=environment(PYTHONIOENCODING="ascii"),
    )
    assert ended.stderr == b""
    assert ended.returncode == 1
    assert b"H?gel ?: front axle" in ended.stdout


@pytest.mark.campaign
@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_a_terminal_is_told_what_goes_on(tmp_path: Path) -> None:
    """On standard error alone, where that is a terminal; standard output is a pipe and has the report."""
    (tmp_path / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    screen, terminal = os.openpty()
    ended = subprocess.run(
        [*PROGRAM, "show", "car.toml"], stdout=subprocess.PIPE, stderr=terminal, check=False, cwd=tmp_path,
        env=environment(TERM="xterm"),
    )  # fmt: skip
    os.close(terminal)
    assert ended.returncode == 1
    assert b"solving" in os.read(screen, 100_000)
    os.close(screen)
    assert ended.stdout.startswith(b"Front roll centre")
    assert b"solving" not in ended.stdout


@pytest.mark.campaign
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("arguments", [["new", "strut"], ["show", "car.toml"]])
def test_printing_to_a_full_disk(arguments: list[str], tmp_path: Path) -> None:
    (tmp_path / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    with Path("/dev/full").open("wb") as full:
        ended = subprocess.run(
            [*PROGRAM, *arguments], stdout=full, stderr=subprocess.PIPE, check=False, cwd=tmp_path, env=environment()
        )
    assert ended.returncode == 2
    (line,) = ended.stderr.decode().splitlines()
    assert line.startswith("this cannot be printed where it should go: ")


def test_a_reader_that_has_gone(tmp_path: Path) -> None:
    read, write = os.pipe()
    os.close(read)
    ended = subprocess.run(
        [*PROGRAM, "new", "strut"], stdout=write, stderr=subprocess.PIPE, check=False, cwd=tmp_path, env=environment()
    )
    os.close(write)
    assert ended.stderr == b""
