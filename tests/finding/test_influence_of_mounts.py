"""Mounts that no named kind of change moves are told too: on live axles and double wishbones they decide.

Closed form, from memory (W. Matschinsky, Road Vehicle Suspensions): a live axle's roll centre lies where its Panhard
rod crosses the centre plane, if the rod lies over the wheel centres. A level rod's end that goes up by 1 mm lifts it
there by the other end's part of the length (formula).
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle
from kinematics.finding.influence import influence
from kinematics.inputs.demo_cars import demo_car, demo_text
from reports.command_line import main

SALOON = "rear_drive_saloon.toml"
RULES = """units = "mm"
[[rule]]
words = "rods keep their mounts on the body"
changes = ["panhard_chassis"]
"""


def axle_with_level_rod() -> Axle:
    """The saloon's rear axle, its rod level and over the wheel centres."""
    axle = demo_car(SALOON).rear
    points = dict(axle.points)
    for key in ("panhard_axle", "panhard_chassis"):
        points[key] = points[key] * [0.0, 1.0, 0.0] + [0.0, 0.0, 280.0]
    return replace(axle, points=points)


def test_a_level_rods_ends_share_the_height() -> None:
    axle = axle_with_level_rod()
    found = influence(axle)
    out = {key: float(axle.points[key][0, 1]) for key in ("panhard_axle", "panhard_chassis")}
    apart = out["panhard_axle"] - out["panhard_chassis"]
    slopes = {(point, way): slope for point, way, slope in found.ranked("roll_centre_height")}
    assert_allclose(slopes["panhard_chassis", "up"], out["panhard_axle"] / apart, atol=1e-9)
    assert_allclose(slopes["panhard_axle", "up"], -out["panhard_chassis"] / apart, atol=1e-9)


@pytest.mark.parametrize("forbidden", [False, True])
def test_the_answer_names_the_rod(forbidden: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where a rule keeps the mount on the body, its row says so and the answer names the other end."""
    car, rules = tmp_path / "car.toml", tmp_path / "rules.toml"
    car.write_text(demo_text(SALOON), encoding="utf-8")
    rules.write_text(RULES, encoding="utf-8")
    assert main(["influence", str(car), *(["--rules", str(rules)] if forbidden else [])]) == 0
    told = capsys.readouterr().out.split("rear axle, live axle")
    end = "axle" if forbidden else "chassis"
    assert f"Rear roll-centre height is most sensitive to moving the panhard {end} up" in " ".join(told[0].split())
    first = next(line.split() for line in told[1].splitlines() if "panhard chassis up" in line)
    assert first[4:] == (["point", "(forbidden)"] if forbidden else ["point"])


def test_upper_pivots_of_wishbones_are_not_left_out() -> None:
    """By plain size: what a mount does is larger than what stood last before, so it comes first."""
    found = influence(demo_car("five_link_tourer.toml").front)
    for key in ("roll_centre_height", "camber_gain"):
        ranked = found.ranked(key)
        assert {"upper_ball_joint", "upper_pivot_front"} <= {point for point, _, _ in ranked}
        sizes = [abs(slope) for _, _, slope in ranked]
        assert sizes == sorted(sizes, reverse=True)


def test_a_struts_own_direction_is_no_mount() -> None:
    found = influence(demo_car(SALOON).front)
    assert "strut_low" not in {point for point, _, _ in found.ranked("roll_centre_height")}
    assert "strut_low" in {point for point, _, _ in found.ranked("roll_centre_height", all_points=True)}
    assert np.isfinite(found.slopes["roll_centre_height"][found.points.index("strut_low")]).all()
