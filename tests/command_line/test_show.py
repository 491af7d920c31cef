"""`show`: numbers, verdict and exit status."""

import re
from pathlib import Path

import pytest

from kinematics.car.lengths import MM
from kinematics.car.suspensions.strut import STRUT
from kinematics.inputs.car.blank_file import blank_car_file
from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR, filled_in, in_inches


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "demo.toml").write_text(demo_text(), encoding="utf-8")
    return tmp_path


def not_lowered() -> str:
    """The blank file's invented strut car, with little working travel."""
    return filled_in(blank_car_file(STRUT, MM), STRUT, "mm").replace("travel = [-40, 40]", "travel = [-5, 25]")


def in_one_line(told: str) -> str:
    return re.sub(r"\s+", " ", told)


@pytest.mark.usefixtures("garage")
def test_the_demo_car_is_outside(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["show", "demo.toml"]) == 1
    told = capsys.readouterr()
    assert "Verdict: OUTSIDE the limits" in told.out
    assert "front roll-centre height at ride height: -" in told.out
    assert "allowed -25.4 mm to +76.2 mm" in in_one_line(told.out)
    assert "CAUTION" in told.out
    assert told.err == ""


def test_a_car_that_was_not_lowered_is_within(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "car.toml").write_text(not_lowered(), encoding="utf-8")
    assert main(["show", "car.toml"]) == 0
    told = capsys.readouterr()
    assert "Verdict: within the limits: all 5 checks hold" in told.out
    assert "OUTSIDE" not in told.out
    assert "CAUTION" in told.out
    assert told.err == ""


def test_limits_of_another_file_take_the_place_of_the_cars(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "car.toml").write_text(not_lowered(), encoding="utf-8")
    (garage / "strict.toml").write_text(
        'units = "in"\n[limits.front]\nroll_centre_height = { to = -10, over = "ride height" }\n', encoding="utf-8"
    )
    assert main(["show", "car.toml", "--limits", "strict.toml"]) == 1
    told = in_one_line(capsys.readouterr().out)
    # 10 in is 254 mm; the verdict is in the car's unit.
    assert "allowed up to -254.0 mm" in told
    assert "1 of 1 check fails" in told


def test_a_car_in_inches_is_told_in_inches(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "inch.toml").write_text(in_inches(), encoding="utf-8")
    assert main(["show", "inch.toml"]) == 1
    told = in_one_line(capsys.readouterr().out)
    assert "allowed -1.00 in to +3.00 in" in told
    assert " mm" not in told


def test_a_name_that_looks_like_markup(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name = "car [/red] [bold] :smile: 100% {x}"
    text = SOUND_CAR.replace("club coupe (invented)", name)
    (garage / "car.toml").write_text(text, encoding="utf-8")
    assert main(["show", "car.toml"]) == 1
    assert name in in_one_line(capsys.readouterr().out)


@pytest.mark.usefixtures("garage")
def test_no_colour_codes_where_no_terminal_is(capsys: pytest.CaptureFixture[str]) -> None:
    main(["show", "demo.toml"])
    assert "\x1b" not in capsys.readouterr().out
