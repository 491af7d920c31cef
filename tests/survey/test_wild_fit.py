"""A fit that no car can have is refused, and the message itself says from which reading that comes."""

import re
from pathlib import Path

import pytest

from kinematics.car.lengths import MM
from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.survey.sheet_surveys import as_file, sheet_survey


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def refused(text: str, capsys: pytest.CaptureFixture[str]) -> list[str]:
    Path("survey.toml").write_text(text, encoding="utf-8")
    capsys.readouterr()
    assert main(["survey", "survey.toml", "car.toml"]) == 2
    assert not Path("car.toml").exists()
    said = capsys.readouterr()
    assert said.out == ""
    return [line.strip() for line in said.err.splitlines()]


def test_a_lost_decimal_point_points_to_its_suspect(capsys: pytest.CaptureFixture[str]) -> None:
    """2975 for 297.5: a wheel of nearly three metres."""
    text = demo_text("lowered_coupe_survey.toml")
    assert 'up = "wheel_centre", reads = 297.5' in text
    lines = refused(text.replace("reads = 297.5", "reads = 2975"), capsys)
    (wild,) = [line for line in lines if "as fitted" in line and "wheel_centre.up" in line]
    suspects = [line for line in lines if "SUSPECT  " in line]
    named = re.search(r"See SUSPECT (.*) below", wild)
    assert named is not None
    assert "no. 10" in named[1].split(" or ")
    assert any("no. 10 (up wheel_centre) was read as 2975 mm" in line for line in suspects)


def test_where_readings_agree_those_of_the_point_are_named(capsys: pytest.CaptureFixture[str]) -> None:
    """A minus too much before the only reading of a point that tells how far out it is: nothing else can speak up."""
    text = as_file(sheet_survey("strut", 7), MM)
    kept = [line for line in text.splitlines() if "lower_ball_joint" not in line or " tape" not in line]
    kept = [line for line in kept if "lower_ball_joint" not in line or " angle" not in line]
    line = next(one for one in kept if 'out = "lower_ball_joint"' in one)
    wrong = re.sub(r"reads = ", "reads = -", line)
    lines = refused("\n".join(kept).replace(line, wrong), capsys)
    (wild,) = [one for one in lines if "lower_ball_joint.out" in one]
    numbers = {one.rpartition("no. ")[2] for one in kept if '"lower_ball_joint"' in one and "no. " in one}
    assert "the readings agree, so look again at no." in wild
    assert set(re.findall(r"no\. (\d+)", wild)) == numbers
    assert line.rpartition("no. ")[2] in numbers
