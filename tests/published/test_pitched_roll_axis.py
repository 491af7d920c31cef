"""The roll axis of a pitched body: planar cars constructed in front view by SciPy (formula).

Both axles' wishbones turn about axes along the body, so each upright moves in a plane across the body: two arms and an
upright as a planar four-bar. The two arm lines meet in the body's plane; the axis about which the upright turns runs
through that meeting along the body. Nose down, it pierces the plane across the road through the contact point lower or
higher than in the body, and there the line from the contact point to it crosses the centre plane at the roll centre.
"""

import csv
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from kinematics import Car, roll_axis, sweep_grid
from kinematics.car.car import Body
from kinematics.inputs.car.car_file import read_car
from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from solvers.vectors import Array
from tests.plans.drawing_board import CAMBER, VIEWS, FrontView, whole_car

BASE, BEHIND, UP = 2400.0, 1050.0, 480.0
WISHBONES = VIEWS["double wishbone"]
BODY = Body(centre_of_gravity=UP, behind_front=BEHIND, wheelbase=BASE)
TO = 1e-6  # mm: SciPy's roots to 1e-12 of an arm's angle


def planar_car() -> Car:
    axle = whole_car(WISHBONES)
    axles = tuple(replace(axle, name=name, body=BODY) for name in ("front", "rear"))
    return Car("planar", axles=axles)


def four_bar(view: FrontView, angle: float) -> tuple[Array, Array, Array, float]:
    """Lower and upper ball joint and wheel centre, and the upright's turn, with the lower arm turned by an angle."""
    assert view.upper is not None
    pivot, top = view.upper
    arm = view.joint - view.pivot
    low = view.pivot + _turned(arm, angle)

    def gap(turn: float) -> float:
        return float(np.linalg.norm(low + _turned(top - view.joint, turn) - pivot) - np.linalg.norm(top - pivot))

    turn = float(brentq(gap, -0.3, 0.3, xtol=1e-15))
    return low, low + _turned(top - view.joint, turn), low + _turned(view.centre - view.joint, turn), turn


def _turned(vector: Array, angle: float) -> Array:
    cosine, sine = math.cos(angle), math.sin(angle)
    return np.array([cosine * vector[0] - sine * vector[1], sine * vector[0] + cosine * vector[1]])


def roll_centre_height(view: FrontView, heave: float, pitch: float) -> float:
    """Over the ground, of the left wheel's line and by symmetry of both."""
    assert view.upper is not None
    normal, ahead = (
        np.array([-math.sin(pitch), 0.0, math.cos(pitch)]),
        np.array([math.cos(pitch), 0.0, math.sin(pitch)]),
    )

    def contact(angle: float) -> Array:
        _, _, centre, turn = four_bar(view, angle)
        spin = np.array([0.0, *_turned(_turned(np.array([1.0, 0.0]), -CAMBER), turn)])
        down = -(normal - (normal @ spin) * spin)
        return np.array([0.0, *centre]) + view.radius * down / np.linalg.norm(down)

    angle = float(brentq(lambda one: normal @ contact(one) + heave, -0.25, 0.25, xtol=1e-15))
    low, top, _, _ = four_bar(view, angle)
    pivots = np.array([view.pivot, view.upper[0]])
    along = np.array([low, top]) - pivots
    reach = np.linalg.solve(np.array([along[0], -along[1]]).T, pivots[1] - pivots[0])
    out, up = pivots[0] + reach[0] * along[0]
    touching = contact(angle)
    back = (ahead @ touching - ahead[2] * up) / ahead[0]
    height = float(normal @ np.array([back, out, up]) + heave)
    return height * touching[1] / (touching[1] - out)


@pytest.mark.parametrize("degrees", [0.8, -1.3])
@pytest.mark.parametrize("bump", [0.0, 12.0])
def test_planar_car_in_front_view(degrees: float, bump: float) -> None:
    """Front down and rear up by half the wheelbase times the sine; heights, slope and the arm of the roll moment."""
    pitch = math.radians(degrees)
    found = roll_axis(planar_car(), [bump], [0.0], pitch=pitch)
    down = BASE / 2.0 * math.sin(pitch)
    front, rear = (roll_centre_height(WISHBONES, -bump + lift, pitch) for lift in (-down, down))
    assert found["front_roll_centre_height"].item() == pytest.approx(front, abs=TO)
    assert found["rear_roll_centre_height"].item() == pytest.approx(rear, abs=TO)
    assert math.tan(found["roll_axis_inclination"].item()) == pytest.approx(
        (rear - front) / (BASE * math.cos(pitch)), abs=1e-9
    )
    # Where the centre of gravity is in the world: turned about the middle, which is lowered by bump.
    ahead, up = BASE / 2.0 - BEHIND, UP
    level = ahead * math.cos(pitch) + up * math.sin(pitch)
    height = up * math.cos(pitch) - ahead * math.sin(pitch) - bump
    part = 0.5 - level / (BASE * math.cos(pitch))
    assert found["roll_axis_under_centre_of_gravity"].item() == pytest.approx(
        height - front - part * (rear - front), abs=2.0 * TO
    )
    assert found["pitch"].item() == pytest.approx(pitch)


def test_without_pitch_as_ever() -> None:
    """The same construction of the level car, whose table has no column of pitch."""
    found = roll_axis(planar_car(), [0.0, 10.0], [0.0])
    for bump, height in zip((0.0, 10.0), found["front_roll_centre_height"][:, 0], strict=True):
        assert height == pytest.approx(roll_centre_height(WISHBONES, -bump, 0.0), abs=TO)
    assert "pitch_deg" not in found.columns()


@pytest.mark.campaign
def test_the_table_of_a_pitched_sweep(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each axle's heights in `roll_axis.csv` are those of that axle swept where it then stands, row by row."""
    monkeypatch.chdir(tmp_path)
    Path("car.toml").write_text(demo_text("rear_drive_saloon.toml"), encoding="utf-8")
    words = [
        "--pitch",
        "0.7",
        "--travel",
        "-20",
        "20",
        "--step",
        "10",
        "--roll",
        "1",
        "--roll-step",
        "1",
        "--drawing",
        "svg",
    ]
    assert main(["sweep", "car.toml", "out", *words]) in (0, 1)
    with Path("out/roll_axis.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    car, pitch = read_car("car.toml"), math.radians(0.7)
    assert [float(row["pitch_deg"]) for row in rows] == pytest.approx([0.7] * len(rows))
    for row in rows[:: max(1, len(rows) // 5)]:
        heave, roll = float(row["heave_mm"]), math.radians(float(row["roll_deg"]))
        for axle, lift in zip(car.axles, (-1.0, 1.0), strict=True):
            stands = heave + lift * 1280.0 * math.sin(pitch)
            alone = sweep_grid(axle, [-stands], [roll], pitch=pitch)["roll_centre_height"].item()
            assert float(row[f"{axle.name}_roll_centre_height_mm"]) == pytest.approx(alone, abs=1e-3)
    assert "pitched 0.70 deg nose down" in Path("out/roll_axis.svg").read_text(encoding="utf-8").replace("\n", " ")
