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


def test_less_is_lacking_the_more_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = demo_text("hill_climb_hatchback.toml")
    assert "front.spring" not in text
    before = shown(text, tmp_path, capsys).split(", ")
    assert {"springs", "dampers", *MORE} <= set(before)
    where = text.index("\n", text.index("[front.stops]")) + 1
    after = shown(text[:where] + "".join(MORE.values()) + text[where:], tmp_path, capsys).split(", ")
    assert after == [one for one in before if one not in MORE]
