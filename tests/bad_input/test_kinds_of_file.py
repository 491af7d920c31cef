"""A file of the wrong kind is told in one fault with the command that takes it; one of the right kind key by key."""

import re
import tomllib
from itertools import permutations
from pathlib import Path

import pytest

from kinematics.car.lengths import MM
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.demo_cars import demo_text
from kinematics.inputs.garage.blank_scales import blank_scales_file
from kinematics.inputs.plans.blank_means import blank_means_file
from kinematics.inputs.plans.blank_plans import blank_plan_file
from reports.command_line import main
from reports.sheet.survey_template import survey_template

SHELF = demo_text("rear_drive_saloon_shelf.toml")
FILES = {
    "car": demo_text("lowered_coupe.toml"),
    "survey": demo_text("lowered_coupe_survey.toml"),
    "plan": demo_text("lowered_coupe_plans.toml"),
    "means": demo_text("lowered_coupe_means.toml"),
    "shelf": SHELF,
    "scales": blank_scales_file(MM),
    "limits": 'units = "mm"\n[limits]\ntravel = [-40, 40]\n',
    "setup": 'sheet = "a"\nplan = "b"\nunits = "mm"\nreadings = [{ no = 1, reads = 2 }]\n',
}
# Other files of a kind, as they are written or begun.
MORE = {
    "rules": ("plan", 'units = "mm"\n[[rule]]\nwords = "none"\nchanges = "ride height"\n'),
    "blank plans": ("plan", blank_plan_file(MM)),
    "blank means": ("means", blank_means_file(MM)),
    "blank survey": ("survey", survey_template(SUSPENSIONS["strut"], MM, "front")),
    "springs alone": ("shelf", 'units = "mm"\n[[front_spring]]\nname = "a"\nrate = 45\n'),
}
READ_BY = {
    "car": ["show", "FILE"],
    "survey": ["survey", "FILE"],
    "plan": ["compare", "car.toml", "FILE"],
    "means": ["find", "car.toml", "FILE"],
    "shelf": ["shelf", "saloon.toml", "FILE"],
    "scales": ["weigh", "FILE", "car.toml"],
    "limits": ["show", "car.toml", "--limits", "FILE"],
    "setup": ["setup", "car.toml", "--measured", "FILE"],
}
NAMES = {
    "car": "a car file",
    "survey": "a survey",
    "plan": "a plan file",
    "means": "a means file",
    "shelf": "a shelf file",
    "scales": "a scales file",
    "limits": "a file of limits alone",
    "setup": "a file of what was read after a set-up",
}
OWN = {
    "car": "[body]",
    "plan": "[[plan]]",
    "means": "[[may]]",
    "shelf": "[want]",
    "scales": "[level]",
    "setup": "[[readings]]",
}
LET_BE = {("car", "limits"), ("survey", "limits"), ("car", "survey"), ("survey", "car")}  # (what it is, read as)


def told(kind: str, text: str, capsys: pytest.CaptureFixture[str]) -> list[str]:
    Path("this file.toml").write_text(text, encoding="utf-8")
    assert main(["this file.toml" if word == "FILE" else word for word in READ_BY[kind]]) == 2
    return capsys.readouterr().err.splitlines()


@pytest.fixture(autouse=True)
def _garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "car.toml").write_text(FILES["car"], encoding="utf-8")
    (tmp_path / "saloon.toml").write_text(demo_text("rear_drive_saloon.toml"), encoding="utf-8")


@pytest.mark.parametrize("wanted", READ_BY)
def test_one_fault_names_the_kind_and_the_command_that_takes_it(
    wanted: str, capsys: pytest.CaptureFixture[str]
) -> None:
    files = {**{kind: (kind, text) for kind, text in FILES.items()}, **MORE}
    for name, (kind, text) in files.items():
        if kind == wanted or (kind, wanted) in LET_BE or (name, wanted) == ("springs alone", "means"):
            continue
        lines = told(wanted, text, capsys)
        command = READ_BY[kind][0]
        assert lines[0] == "this file.toml: 1 fault", (name, lines)
        assert len(lines) == 2, (name, lines)
        assert lines[1].startswith(f"  this is {NAMES[kind]}, and {NAMES[wanted]} is wanted here; `"), (name, lines)
        assert re.search(rf"`cornersweep {command} .*'this file\.toml'.*` takes it$", lines[1]), (name, lines)


def test_a_survey_and_a_car_file_tell_of_one_another(capsys: pytest.CaptureFixture[str]) -> None:
    assert told("car", FILES["survey"], capsys)[1:] == [
        "  this is a survey; `cornersweep survey` makes a car file of it"
    ]
    (line,) = told("survey", FILES["car"], capsys)[1:]
    assert "there is no reading" in line
    assert "`cornersweep show`" in line


@pytest.mark.parametrize(("kind", "key"), [(kind, key) for kind in FILES for key in ("plans", "may_be", "nonsense")])
def test_a_file_of_the_right_kind_is_told_key_by_key(kind: str, key: str, capsys: pytest.CaptureFixture[str]) -> None:
    lines = told(kind, f"{key} = 1\n{FILES[kind]}", capsys)
    assert any(line.startswith(f"  {key}: this key is not known here") for line in lines), lines
    assert not any("is wanted here" in line for line in lines)


@pytest.mark.parametrize(("kind", "other"), list(permutations(OWN, 2)))
def test_keys_of_another_kind_in_a_file_of_the_right_one_are_told_key_by_key(
    kind: str, other: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """As somebody pastes one into the other."""
    own = OWN[other]
    table = own.strip("[]")
    if table in tomllib.loads(FILES[kind]):
        return
    lines = told(kind, f"{FILES[kind]}\n{own}\n", capsys)
    assert not any("is wanted here" in line for line in lines), lines
    assert any(table in line for line in lines)
