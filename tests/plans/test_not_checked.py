"""What a plan was not held against is said with it: what the car file does not tell, and no more."""

from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main

MORE = {
    "tyre to arch": "tyre_to_arch = 60\n",
    "clearance": "ground_clearance = 110\n",
}


def shown(text: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> str:
    (folder / "car.toml").write_text(text, encoding="utf-8")
    main(["compare", str(folder / "car.toml"), "--change", "ride height", "-5"])
    said = " ".join(capsys.readouterr().out.split())
    return said.partition("Not checked, not in the car file: ")[2].partition(".")[0]


@pytest.mark.campaign
def test_less_is_lacking_the_more_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = demo_text("hill_climb_hatchback.toml")
    assert "front.spring" not in text
    before = shown(text, tmp_path, capsys).split(", ")
    assert {"springs", "dampers", *MORE} <= set(before)
    where = text.index("\n", text.index("[front.stops]")) + 1
    after = shown(text[:where] + "".join(MORE.values()) + text[where:], tmp_path, capsys).split(", ")
    assert after == [one for one in before if one not in MORE]


@pytest.mark.campaign
def test_a_bump_stop_on_the_spring_is_a_bump_stop(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The saloon's front springs have one of their own, its rear none, and nothing else of the stops is told."""
    text = demo_text("rear_drive_saloon.toml")
    front = text[: text.index("[rear]")]
    assert "bump_stop" in front
    before = shown(text, tmp_path, capsys).split(", ")
    assert "rear bump stop" in before
    assert "springs" not in before
    alone = shown(front + text[text.index("[limits") :], tmp_path, capsys).split(", ")
    assert "bump stop" not in alone


def test_find_says_what_it_leaves_to_compare(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = demo_text("hill_climb_hatchback.toml")
    where = text.index("\n", text.index("[front.stops]")) + 1
    (tmp_path / "car.toml").write_text(text[:where] + "tyre_to_arch = 60\n" + text[where:], encoding="utf-8")
    means = 'units = "mm"\n[[may]]\nwhat = "ride height"\naxle = "front"\nsizes = [-10]\n'
    (tmp_path / "means.toml").write_text(means, encoding="utf-8")
    main(["find", str(tmp_path / "car.toml"), str(tmp_path / "means.toml")])
    said = " ".join(capsys.readouterr().out.split()).partition("Not checked, ")[2]
    lacking, _, left = said.partition("; left to `compare`: ")
    assert "dampers" in lacking
    assert "tyre to arch" not in lacking
    assert left.startswith("tyre to arch")
