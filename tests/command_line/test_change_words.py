"""`--change` as people write amounts: commas in them, and plans that lack numbers which the car as measured has."""

import json
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("car.toml").write_text(demo_text("lowered_coupe.toml"), encoding="utf-8")
    Path("sprung.toml").write_text(demo_text("rear_drive_saloon.toml"), encoding="utf-8")


def asked(capsys: pytest.CaptureFixture[str], what: str, how_far: str) -> list[dict[str, object]]:
    """What a comparison says that it was asked."""
    car = "sprung.toml" if what.endswith("rate") else "car.toml"
    assert main(["compare", car, "--json", "--change", what, how_far]) in (0, 1)
    return [one for plan in json.loads(capsys.readouterr().out)["plans"] for one in plan["changes"]]


@pytest.mark.parametrize(
    ("what", "comma", "point"),
    [
        ("longer ball joint", "12,5", "12.5"),
        ("ride height", "-12,5", "-12.5"),
        ("ride height", "-0,125", "-0.125"),
        ("bar rate", "30,5", "30.5"),
        ("strut top", "up=1,5,out=-2", "up=1.5,out=-2"),
        ("strut top", "up=1,5, out=-0,125", "up=1.5,out=-0.125"),
    ],
)
def test_a_decimal_comma_is_a_point(what: str, comma: str, point: str, capsys: pytest.CaptureFixture[str]) -> None:
    wanted = asked(capsys, what, point)
    assert wanted
    assert asked(capsys, what, comma) == wanted


@pytest.mark.parametrize("written", ["1,000", "1,5,7", "1,", ",5,", "up=1,500"])
def test_what_may_be_two_numbers_is_refused(written: str, capsys: pytest.CaptureFixture[str]) -> None:
    what = "strut top" if "=" in written else "ride height"
    assert main(["compare", "car.toml", "--change", what, written]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert written.removeprefix("up=") in told.err


def test_a_number_that_another_plan_has_is_null_with_its_reason(capsys: pytest.CaptureFixture[str]) -> None:
    """With another bar the springs decide the height: nothing is packed to keep it. What is refused has no number."""
    assert main(["compare", "sprung.toml", "--json", "--change", "bar rate", "30"]) in (0, 1)
    measured, changed = (
        [(one["axle"], one["value"], one.get("reason")) for one in plan["numbers"] if one["key"] == "packing"]
        for plan in json.loads(capsys.readouterr().out)["plans"]
    )
    assert measured == [("front", 0.0, None), ("rear", 0.0, None)]
    assert changed == [("front", None, "does_not_exist"), ("rear", None, "does_not_exist")]
    assert main(["compare", "car.toml", "--json", "--change", "rack raised", "140"]) == 1
    _, refused = json.loads(capsys.readouterr().out)["plans"]
    assert (refused["buildable"], refused["numbers"]) == (False, [])
    assert refused["in_the_way"]
