"""Faulty car files: each is refused with exit status 2 and told in plain words, and nothing is written."""

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR

TABLE = tomllib.loads((Path(__file__).parent / "faulty_cars.toml").read_text(encoding="utf-8"))["faulty"]
COMMANDS = [["show", "car.toml"], ["sweep", "car.toml", "out"], ["draw", "car.toml", "view.png"]]


def listed(value: str | list[str]) -> list[str]:
    return [value] if isinstance(value, str) else value


def changed(text: str, entry: dict[str, Any]) -> str:
    for was, now in zip(listed(entry["was"]), listed(entry["is"]), strict=True):
        assert text.count(was) == 1, f"{was!r} must stand in the sound car's file once"
        text = text.replace(was, now)
    return text


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("entry", TABLE, ids=lambda entry: entry["what"])
def test_a_faulty_car_is_told_in_full(entry: dict[str, Any], garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    says = listed(entry["says"])
    (garage / "car.toml").write_text(changed(SOUND_CAR, entry), encoding="utf-8")
    for command in COMMANDS:
        assert main(command) == 2
        told = capsys.readouterr()
        head, *lines = told.err.splitlines()
        assert head == f"car.toml: {len(says)} fault{'' if len(says) == 1 else 's'}"
        assert [line[: len(begin) + 2] for line, begin in zip(lines, says, strict=True)] == [f"  {s}" for s in says]
        assert entry.get("says_also", "") in told.err
        assert told.out == ""
    assert [path.name for path in garage.iterdir()] == ["car.toml"]


def test_inches_in_a_file_that_says_millimetres(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    inches = re.sub(
        r"\b(ahead|out|up|radius) = (-?[0-9.]+)",
        lambda found: f"{found[1]} = {float(found[2]) / 25.4:.3f}",
        SOUND_CAR,
    )
    (garage / "car.toml").write_text(inches, encoding="utf-8")
    assert main(["show", "car.toml"]) == 2
    assert capsys.readouterr().err.splitlines()[1:] == [
        '  front.points.wheel_centre.out: read 29.2 mm; 250 mm to 1500 mm is allowed; is units = "mm" right?',
        '  front.points.wheel_centre.up: read 11.7 mm; 120 mm to 600 mm is allowed; is units = "mm" right?',
    ]


def test_a_number_of_400_digits(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    digits = "9" * 400
    text = SOUND_CAR.replace("out = 741", f"out = {digits}").replace("camber = -2.2", f"camber = {digits}")
    (garage / "car.toml").write_text(text.replace("out = 690", f'out = "{digits[:150]}/2"'), encoding="utf-8")
    assert main(["show", "car.toml"]) == 2
    lines = capsys.readouterr().err.splitlines()
    for key, line in zip(
        ("wheel.camber", "points.wheel_centre.out", "points.lower_ball_joint.out"), lines[1:], strict=True
    ):
        assert line.startswith(f"  front.{key}: read ")
        assert line.endswith("9...; a number from -100000 to 100000 is allowed")


@pytest.mark.parametrize("out", ["700", "700.0001"])
def test_a_wishbone_linkage_that_cannot_travel(out: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # Seen from ahead, both arms and the tie rod point at (out 700, up 300), as good as the wheel centre: the wheel can
    # turn about its centre, but not move up or down. Towards the car's middle the lower arm falls 1 in 1, the upper
    # one rises 1 in 1, and the tie rod is level.
    (garage / "car.toml").write_text(
        """
        name = "invented"
        units = "mm"
        [front]
        suspension = "double wishbone"
        wheel = { camber = 0, toe_in = 0 }
        [front.points]
        wheel_centre = { ahead = 0, out = OUT, up = 300 }
        lower_ball_joint = { ahead = 0, out = 620, up = 220 }
        lower_pivot_front = { ahead = 100, out = 450, up = 50 }
        lower_pivot_rear = { ahead = -100, out = 450, up = 50 }
        upper_ball_joint = { ahead = 0, out = 620, up = 380 }
        upper_pivot_front = { ahead = 100, out = 450, up = 550 }
        upper_pivot_rear = { ahead = -100, out = 450, up = 550 }
        tie_rod_outer = { ahead = -120, out = 640, up = 300 }
        tie_rod_inner = { ahead = -120, out = 400, up = 300 }
        """.replace("OUT", out),
        encoding="utf-8",
    )
    assert main(["show", "car.toml"]) == 2
    told = "as measured the linkage is locked or loose: nothing guides the wheel up and down; check every point"
    lines = capsys.readouterr().err.splitlines()
    assert [line.split(": ", 1)[0] for line in lines[1:]] == ["  front.left.points", "  front.right.points"]
    assert all(told in line for line in lines[1:])
