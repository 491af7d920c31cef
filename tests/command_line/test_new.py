"""`new`: blank files that ask for everything that is missing, and nothing else."""

import re
import tomllib
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from kinematics import demo_car, read_car
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.demo_cars import demo_text
from kinematics.inputs.plans.means_file import read_means
from kinematics.inputs.plans.plan_file import read_plans
from reports.command_line import main
from tests.command_line.car_texts import filled_in, in_inches

BLANKS = list(product(SUSPENSIONS, ("mm", "in"), ("front", "rear")))
# A short run has a front axle in mm and a rear one in inches of each type.
SOME_BLANKS = [
    pytest.param(*blank, marks=() if blank[1:] in {("mm", "front"), ("in", "rear")} else pytest.mark.campaign)
    for blank in BLANKS
]


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.usefixtures("garage")
@pytest.mark.parametrize(("kind", "unit", "axle"), BLANKS)
def test_only_what_is_still_blank_is_wrong(kind: str, unit: str, axle: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", kind, "car.toml", "--units", unit, "--axle", axle]) == 0
    assert "cornersweep show car.toml" in capsys.readouterr().out
    assert main(["show", "car.toml"]) == 2
    head, *faults = capsys.readouterr().err.splitlines()
    blanks = [f"  {axle}.wheel.{angle}: is still blank" for angle in ("camber", "toe_in")]
    for point in SUSPENSIONS[kind].points:
        for place in [f"{axle}.left", f"{axle}.right"] if point.other_side else [axle]:
            blanks += [f"  {place}.points.{point.key}.{way}: is still blank" for way in ("ahead", "out", "up")]
    assert head == f"car.toml: {len(blanks)} faults"
    assert sorted(faults) == sorted(blanks)


@pytest.mark.parametrize(("kind", "unit", "axle"), SOME_BLANKS)
def test_filled_in_it_is_a_car(
    kind: str, unit: str, axle: str, garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["new", kind, "car.toml", "--units", unit, "--axle", axle]) == 0
    path = garage / "car.toml"
    path.write_text(filled_in(path.read_text(encoding="utf-8"), SUSPENSIONS[kind], unit), encoding="utf-8")
    car = read_car(path)
    assert [one.name for one in car.axles] == [axle]
    for point in SUSPENSIONS[kind].points:
        ahead, out, up = point.other_side or point.typical
        right = [ahead, out if point.single else -out, up]
        assert car.axles[0].points[point.key].ravel() == pytest.approx([*point.typical, *right], abs=1e-9)
    assert main(["show", "car.toml"]) in (0, 1)
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("kind", SUSPENSIONS)
def test_without_a_file_it_is_printed(kind: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", kind.upper().replace(" ", "_"), "car.toml"]) == 0
    capsys.readouterr()
    assert main(["new", kind]) == 0
    printed = capsys.readouterr().out
    assert printed == (garage / "car.toml").read_text(encoding="utf-8")
    # What cannot be steered stands at the rear unless told otherwise.
    axle = "front" if SUSPENSIONS[kind].rack else "rear"
    assert tomllib.loads(printed)[axle]["suspension"] == kind
    assert "CAUTION" in printed


@pytest.mark.parametrize(("unit", "step"), [("mm", 1.0), ("in", 25.4 / 16.0)])
def test_a_means_file_is_ready_to_be_read_as_it_is_and_with_all_of_it(
    unit: str, step: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "means.toml"
    assert main(["new", "means", str(path), "--units", unit]) == 0
    assert "cornersweep find my_car.toml" in capsys.readouterr().out
    (height,) = read_means(path, demo_car()).amounts
    assert height.change.what == "ride height"
    assert np.diff(np.sort([*height.values, 0.0])) == pytest.approx(step)
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"^# (?!What)", "", text, flags=re.MULTILINE), encoding="utf-8")
    whole = read_means(path, demo_car("rear_drive_saloon.toml"))  # which tells its springs and weights
    assert len(whole.amounts) == 4
    (spring,) = whole.pieces
    assert spring.change.by == pytest.approx(45.0 if unit == "mm" else 250.0 * 4.4482216 / 25.4)
    assert whole.lean.gradient == (1.6, 2.6)
    assert len(whole.rules) == 1
    assert (whole.chance, whole.most_parts) == (0.9, 3)


@pytest.mark.parametrize(("unit", "lower"), [("mm", -10.0), ("in", -25.4 * 3.0 / 8.0)])
def test_a_plan_file_is_ready_to_be_read_as_it_is_and_with_all_of_it(
    unit: str, lower: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, car = tmp_path / "plans.toml", demo_car()
    assert main(["new", "plans", str(path), "--units", unit]) == 0
    assert f"cornersweep compare my_car.toml {path}" in capsys.readouterr().out
    read = read_plans([path], car)
    assert read.rules == ()
    first, second = read.plans
    (height,) = first.changes
    assert (height.what, height.by) == ("ride height", pytest.approx(lower))
    assert [one.what for one in second.changes] == ["ride height", "longer ball joint", "tie-rod shim"]
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"^# (?!Plans)", "", text, flags=re.MULTILINE), encoding="utf-8")
    whole = read_plans([path], car)
    assert len(whole.plans) == 3
    (rule,) = whole.rules
    assert rule.at_most is not None
    assert str(round(rule.at_most)) in rule.words if unit == "mm" else "3/4 in" in rule.words


@pytest.mark.parametrize(("unit", "more"), [("mm", ""), ("in", " --units in")])
def test_find_says_how_to_get_a_means_file(
    unit: str, more: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """In the car's unit: what it says, run as it is printed, makes a file in that unit."""
    monkeypatch.chdir(tmp_path)
    Path("car.toml").write_text(in_inches() if unit == "in" else demo_text(), encoding="utf-8")
    assert main(["find", "car.toml", "none.toml"]) == 2
    said = re.search(r"`cornersweep (.*)` writes one", capsys.readouterr().err)
    assert said is not None
    assert said[1] == f"new means none.toml{more}"
    assert main(said[1].split()) == 0
    assert tomllib.loads(Path("none.toml").read_text(encoding="utf-8"))["units"] == unit
