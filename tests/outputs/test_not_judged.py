"""Bump steer that no limit is stated for is told beside the verdicts, with each plan's own."""

import re
from pathlib import Path

import numpy as np
import pytest

from kinematics import read_car, sweep_bump
from kinematics.planning.changes import Change
from kinematics.planning.plans import Plan, carry_out
from tests.outputs.conftest import run

CAR = (Path(__file__).parents[1] / "command_line" / "sound_car.toml").read_text(encoding="utf-8")
MEANS = """units = "mm"
[[may]]
what = "longer ball joint"
sizes = [10, 20]
[[may]]
what = "tie-rod shim"
sizes = [15]
"""


@pytest.fixture
def garage(tmp_path: Path) -> Path:
    (tmp_path / "car.toml").write_text(CAR.split("[limits")[0], encoding="utf-8")
    (tmp_path / "means.toml").write_text(MEANS, encoding="utf-8")
    return tmp_path


def told(out: str) -> dict[str, float]:
    """Bump steer by name [deg/mm]."""
    text = " ".join(out.split())
    line = text.split("Not judged, for no limit is stated: front bump steer, toe-in in bump positive: ")[1]
    found = re.findall(r"([a-z][a-z 0-9]*?) ([+-][0-9.]+) deg/mm", line.split("deg/mm.")[0] + "deg/mm.")
    return {name.removeprefix(", "): float(value) for name, value in found}


def by_differences(garage: Path, *changes: Change) -> float:
    """Toe half a mm either way of ride height, of a plan carried out by itself (formula: central difference)."""
    (axles,) = carry_out(read_car(garage / "car.toml"), [Plan("tried", changes)])
    toe = np.degrees(sweep_bump(axles["front"].axle, np.array([-0.5, 0.5]))["toe"])
    slope = toe[:, 1] - toe[:, 0]
    return float(slope[np.abs(slope).argmax()])


def test_by_show(garage: Path) -> None:
    found = run(["show", "car.toml"], garage)
    assert told(found.out)["as measured"] == pytest.approx(by_differences(garage), abs=1e-4)


def test_by_compare(garage: Path) -> None:
    found = run(["compare", "car.toml", "--change", "tie-rod shim", "15"], garage)
    named = told(found.out)
    assert named["as measured"] == pytest.approx(by_differences(garage), abs=1e-4)
    shimmed = by_differences(garage, Change("front", "tie-rod shim", 15.0))
    assert named["this change"] == pytest.approx(shimmed, abs=1e-4)
    assert abs(named["this change"] - named["as measured"]) > 1e-3


def test_by_find(garage: Path) -> None:
    found = run(["find", "car.toml", "means.toml"], garage)
    assert told(found.out)["as measured"] == pytest.approx(by_differences(garage), abs=1e-4)
    assert "best" in told(found.out)


def test_not_where_a_limit_is_stated(garage: Path) -> None:
    limited = (garage / "car.toml").read_text(
        encoding="utf-8"
    ) + "\n[limits.front]\nbump_steer = { from = -1, to = 1 }\n"
    (garage / "car.toml").write_text(limited, encoding="utf-8")
    for words in (["show", "car.toml"], ["find", "car.toml", "means.toml"]):
        assert "Not judged" not in run(words, garage).out
