"""A cross-weight that tilts the body: what the sheet says each side does is its goal less what it was, by Fractions.

The invented car of two axles in inches with fractions, whose front perches alone have a thread: they tilt the body.
"""

import re
from fractions import Fraction
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.garage.screws import car_text
from tests.survey.test_measuring_sheet import pages_of

ONE_THREAD = re.sub(
    r"\[rear.adjusters\]\n.*\n", "", re.sub(r"(?<=\nbump = )1\.77.*", '"1 3/4"', car_text("in"), count=1)
)
WAS = {"Front": (204.0 / 25.4, 196.0 / 25.4), "Rear": (246.0 / 25.4, 246.0 / 25.4)}  # as the car file has them
_SIDE = r"(left|right) (?:(up|down) ([\d /]+) in to|stays at) ([\d /]+) in \(no\. (\d+)\)"


def number(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))


@pytest.mark.parametrize("where", ["page", "screen"])
def test_each_side_goes_where_its_goal_is(
    where: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    (tmp_path / "car.toml").write_text(ONE_THREAD, encoding="utf-8")
    words = ["setup", "car.toml", "--cross", "48"]
    if where == "page":
        assert main([*words, "--write", "s.pdf"]) == 0
        said = " ".join(page.extract_text() for page in pages_of((tmp_path / "s.pdf").read_bytes()).pages)
    else:
        assert main(words) == 0
        said = capsys.readouterr().out
    text = " ".join(said.replace("│", " ").split())
    for axle in ("Front", "Rear"):
        line = re.search(rf"{axle} ride height: ({_SIDE}, {_SIDE}), within 3/32;", text)
        assert line is not None, text
        found = re.findall(_SIDE, line[1])
        assert [side for side, *_ in found] == ["left", "right"]
        goals = [number(goal) for *_, goal, _ in found]
        moved = [number(far or "0") * (-1 if way == "down" else 1) for _, way, far, _, _ in found]
        assert moved[0] * moved[1] < 0  # the body tilts: one side goes up, the other down
        for was, goal, by in zip(WAS[axle], goals, moved, strict=True):
            assert abs(float(goal - by) - was) < 1.5 / 32.0  # each of goal and way is told to the 32nd


@pytest.mark.parametrize("by", [14, -10, 0])
def test_both_sides_go_the_way_of_the_plan(
    by: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The invented coupe stands at 148 mm; a body that goes up ends higher."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    (tmp_path / "car.toml").write_text(demo_text("lowered_coupe.toml"), encoding="utf-8")
    assert main(["setup", "car.toml", "--change", "ride height", str(by), "--change", "rack raised", "1"]) in (0, 1)
    text = " ".join(capsys.readouterr().out.replace("│", " ").split())
    way = "raise" if by > 0 else "lower"
    said = (
        f"ride height: {way} the body {abs(by)} mm, to {148 + by} "
        if by
        else "ride height stays as measured: check 148 "
    )
    assert f"Front {said}" in text
