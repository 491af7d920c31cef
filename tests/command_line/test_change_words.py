"""`--change` as people write amounts: a decimal comma is one, and what may part thousands is refused."""

import json
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("car.toml").write_text(demo_text("lowered_coupe.toml"), encoding="utf-8")


def asked(capsys: pytest.CaptureFixture[str], what: str, how_far: str) -> list[dict[str, object]]:
    """What a comparison says that it was asked."""
    assert main(["compare", "car.toml", "--json", "--change", what, how_far]) == 1
    return [one for plan in json.loads(capsys.readouterr().out)["plans"] for one in plan["changes"]]


@pytest.mark.parametrize(
    ("what", "comma", "point"),
    [
        ("longer ball joint", "12,5", "12.5"),
        ("ride height", "-12,5", "-12.5"),
        ("ride height", "-0,125", "-0.125"),
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
