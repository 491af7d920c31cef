"""What was written down after a set-up and cannot be so: asked about by its number, and nothing turned for it.

The invented coupe, whose camber plate goes 6 mm either way, planned at -2.50 deg and its toe at +0.05 deg. A length of
L over the tyre of radius R is a toe of asin(L / 2R) (formula).
"""

import json
import math
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main

WORDS = ["setup", "car.toml", "plans.toml", "--plan", "rack up, more camber"]
RADIUS = 298.0  # mm, as the car file has it
HEIGHT, CAMBER, TOE = 162.0, -2.5, 0.05


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "120")
    (tmp_path / "car.toml").write_text(demo_text("lowered_coupe.toml"), encoding="utf-8")
    (tmp_path / "plans.toml").write_text(demo_text("lowered_coupe_plans.toml"), encoding="utf-8")
    assert main([*WORDS, "--write", "s.toml"]) == 0
    return tmp_path


def came_out(garage: Path, capsys: pytest.CaptureFixture[str], *options: str, **reads: str) -> str:
    """What the screen says of such readings, by no5="..."; the sheet's others as planned."""
    planned = dict(zip(range(1, 7), (HEIGHT, HEIGHT, CAMBER, CAMBER, TOE, TOE), strict=True))
    text = (garage / "s.toml").read_text(encoding="utf-8")
    for number, value in planned.items():
        text = text.replace(f'no = {number}, reads = "?"', f"no = {number}, reads = {reads.get(f'no{number}', value)}")
    (garage / "filled.toml").write_text(text, encoding="utf-8")
    capsys.readouterr()
    assert main([*WORDS, "--measured", "filled.toml", *options]) == 1
    return " ".join(capsys.readouterr().out.split())


def test_a_sign_that_was_lost(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = came_out(garage, capsys, no4="2.5")
    assert "1 is off: no. 4 (front right camber); look at no. 4 again before anything is turned" in said
    assert (
        f"read no. 4 (front right camber) again: it is {2.5 - CAMBER:+.2f} deg off and would need the strut top" in said
    )
    assert "beyond its range, -6.0 to +6.0 mm from where it was measured; is its sign lost?" in said
    assert "still to turn" not in said.lower()
    assert "LOOK AGAIN" in said
    assert "Keep filled.toml: `record --add` takes car files, and these readings make none." in said


def test_millimetres_without_their_unit(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = came_out(garage, capsys, no5="-5")
    assert f"read no. 5 (front left toe-in) again: it is {-5.0 - TOE:+.2f} deg off" in said
    assert "is it in mm? Then write the unit behind it, mm" in said
    assert "still to turn" not in said.lower()
    # With its unit it is a toe that an adjuster can mend, and is believed.
    off = math.degrees(math.asin(-5.0 / (2.0 * RADIUS))) - TOE
    said = came_out(garage, capsys, no5='"-5 mm"')
    assert f"{off:+.2f} ±" in said
    assert "Still to turn: front left toe-in: tie rod" in said
    assert "again: it is" not in said


def test_what_is_believed_is_still_turned(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = came_out(garage, capsys, no4="2.5", no6="0.45")
    assert "For the rest still to turn: front right toe-in: tie rod" in said
    assert "front right camber: strut top" not in said
    assert said.index("Look again first") < said.index("still to turn")


def test_what_the_plan_has_turned_already_counts(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """0.3 deg more camber takes about 3 mm of the plate (0.09 deg/mm), and of its 6 mm the plan has taken nearly 5."""
    said = came_out(garage, capsys, no4="-2.2")
    assert "read no. 4 (front right camber) again: it is +0.30 deg off and would need the strut top" in said
    assert "beyond its range, -6.0 to +6.0 mm from where it was measured; was it read and written at the right" in said
    assert "still to turn" not in said.lower()


def test_a_height_in_inches(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = came_out(garage, capsys, no1=f"{HEIGHT / 25.4:.2f}")
    assert "read no. 1 (front left ride height) again: it is -155.6 mm off" in said
    assert "is it in in?" not in said
    assert "is it in inches?" in said


def test_the_document_tells_it_too(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = json.loads(came_out(garage, capsys, "--json", no4="2.5"))["read"]["entries"][3]
    assert told["turn_again"] is None
    assert told["look_again"] == {"beyond_adjuster": True, "perhaps": "sign"}


def test_what_was_left_blank_is_told_and_counted(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Ten numbers on the sheet: six are here, one of them blank, and none of the four of bump steer."""
    said = came_out(garage, capsys, no2='"?"', no4="-2.2")
    assert said.startswith("4 of 10 numbers came out as planned")
    assert "left blank: no. 2, 7 to 10." in said
