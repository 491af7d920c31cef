"""`draw`: the front view as a file."""

from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR, in_inches

# How files of each kind begin: PNG by ISO/IEC 15948, 5.2; PDF by ISO 32000-1, 7.5.2; SVG is XML (all from memory).
BEGINS = {"png": b"\x89PNG\r\n\x1a\n", "pdf": b"%PDF-", "svg": b"<?xml"}


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    (tmp_path / "inch.toml").write_text(in_inches(), encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("ending", BEGINS)
def test_each_kind_of_file(ending: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = {path.name for path in garage.iterdir()}
    assert main(["draw", "car.toml", f"view.{ending}", "--bump", "40", "--roll", "-2"]) == 0
    told = capsys.readouterr()
    assert told.out == f"wrote view.{ending}\n"
    assert told.err == ""
    assert (garage / f"view.{ending}").read_bytes().startswith(BEGINS[ending])
    assert {path.name for path in garage.iterdir()} == {*before, f"view.{ending}"}


def test_capitals_in_the_ending(garage: Path) -> None:
    assert main(["draw", "car.toml", "VIEW.SVG"]) == 0
    assert b"<svg" in (garage / "VIEW.SVG").read_bytes()


@pytest.mark.campaign
def test_another_position_is_another_picture(garage: Path) -> None:
    # A PNG file carries no date, so the same picture is the same file.
    for name, options in {"a": [], "same": ["--bump", "0"], "b": ["--bump", "40"], "c": ["--roll", "3"]}.items():
        assert main(["draw", "car.toml", f"{name}.png", *options]) == 0
    content = {path.stem: path.read_bytes() for path in garage.glob("*.png")}
    assert content["same"] == content["a"]
    assert len(set(content.values())) == 3


@pytest.mark.campaign
def test_bump_is_in_the_cars_unit(garage: Path) -> None:
    # 1 1/2 in is 38.1 mm; the linkage reaches that, but not 38.1 in.
    assert main(["draw", "inch.toml", "view.svg", "--bump", "1 1/2"]) == 0
    assert main(["draw", "inch.toml", "far.svg", "--bump", "38.1"]) == 2
    assert not (garage / "far.svg").exists()


def test_an_existing_picture_is_kept_unless_said(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = garage / "view.png"
    path.write_bytes(b"mine")
    assert main(["draw", "car.toml", "view.png"]) == 2
    assert "view.png: is there already; add --replace to write over it" in capsys.readouterr().err
    assert path.read_bytes() == b"mine"
    assert main(["draw", "car.toml", "view.png", "--replace"]) == 0
    assert path.read_bytes().startswith(BEGINS["png"])


@pytest.mark.usefixtures("garage")
def test_a_folder_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draw", "car.toml", "nowhere/view.png"]) == 2
    assert "nowhere/view.png: cannot be written: there is no folder nowhere" in capsys.readouterr().err


def test_a_wheel_beyond_its_stop_is_told(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """40 mm of bump, 2 deg of roll: the right wheel goes up by 40 + tan(2 deg) * 741 = 65.9 mm; its stop is at 45."""
    (garage / "coupe.toml").write_text(demo_text(), encoding="utf-8")
    assert main(["draw", "coupe.toml", "a.svg", "--bump", "40", "--roll", "2"]) == 0
    told = capsys.readouterr().out
    assert "the right wheel is drawn at +65.9 mm of travel, beyond its bump stop at 45.0 mm" in told
    assert "left wheel" not in told
    assert main(["draw", "coupe.toml", "b.svg", "--bump", "20"]) == 0
    assert "note" not in capsys.readouterr().out


@pytest.mark.campaign
def test_pitch_is_another_picture_and_says_so(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name, options in {"a": [], "same": ["--pitch", "0"], "b": ["--pitch", "1.5"], "c": ["--pitch", "-1.5"]}.items():
        assert main(["draw", "car.toml", f"{name}.png", *options]) == 0
    content = {path.stem: path.read_bytes() for path in garage.glob("*.png")}
    assert content["same"] == content["a"]
    assert len(set(content.values())) == 3
    with pytest.raises(SystemExit) as ended:
        main(["draw", "car.toml", "far.png", "--pitch", "20"])
    assert ended.value.code == 2
    assert "--pitch: '20': -15 to 15 degrees is allowed" in capsys.readouterr().err
