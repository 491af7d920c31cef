"""A car that its owner wrote in fractions of an inch: what he reads speaks like his tape, and says all that he does.

Of an invented front axle alone, without springs, weights or a camber adjuster. Heights are held against the car file's
own fractions, added up by Python's; camber against the library's axle after the plan (`carry_out`).
"""

import re
import tomllib
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.plans.plan_file import plans_from
from kinematics.planning.plans import carry_out
from reports.command_line import main
from tests.survey.test_measuring_sheet import pages_of

PIVOT, DOWN = Fraction(15, 2), Fraction(1, 4)
CAR = """
name = "a coupe"
units = "in"
measured_to = 0.06
[front]
suspension = "strut"
wheel = { camber = -1.5, toe_in = 0.1 }
[front.points]
wheel_centre      = { ahead = 0, out = "28 3/4", up = "11 1/4" }
lower_ball_joint  = { ahead = "1/4", out = "26 3/4", up = "6 3/4" }
lower_pivot_front = { ahead = "4 1/2", out = "13 5/8", up = "7 1/2" }
lower_pivot_rear  = { ahead = "-7 1/2", out = "13 5/8", up = "7 3/4" }
strut_top         = { ahead = -1, out = 22, up = 31 }
strut_low         = { ahead = "1/8", out = "24 1/4", up = "15 3/4" }
tie_rod_outer     = { ahead = -5, out = "26 1/4", up = "8 1/8" }
tie_rod_inner     = { ahead = -5, out = "12 3/4", up = "8 7/8" }
"""
PLANS = 'units = "in"\n[[plan]]\nname = "down"\n[[plan.change]]\naxle = "front"\nwhat = "ride height"\nby = -0.25\n'


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    (tmp_path / "car.toml").write_text(CAR, encoding="utf-8")
    (tmp_path / "plans.toml").write_text(PLANS, encoding="utf-8")
    return tmp_path


def told(capsys: pytest.CaptureFixture[str]) -> str:
    return re.sub(r"[\s│]+", " ", capsys.readouterr().out)


def camber_after() -> float:
    car = car_from(tomllib.loads(CAR), "car")
    (plan,) = plans_from(tomllib.loads(PLANS), "plans", car).plans
    return float(np.degrees(carry_out(car, [plan])[0]["front"].axle.camber[0]))


def test_the_sheet_says_how_far_from_where_and_how(garage: Path) -> None:
    assert main(["setup", "car.toml", "plans.toml", "--write", "sheet.pdf"]) == 0
    reader = pages_of((garage / "sheet.pdf").read_bytes())
    text = " ".join(reader.pages[0].extract_text().split())
    after = PIVOT - DOWN
    whole, part = divmod(after, 1)
    target = f"to {whole} {part} in (within 3/32), no. 1 left, no. 2 right of the table below"
    assert f"Front ride height: lower the body {DOWN} in, {target}; no more than 3/32 in apart." in text
    assert f"1 {whole} {part} 2 {whole} {part}" in text  # number and height of the left, then of the right
    assert "floor to lower pivot front (centre of the front bush on the pivot axis) 7 1/2 ± 3/32 in" in text
    assert "Turn the spring perches, or change packing" in text
    assert "7.25" not in text
    assert "in in" not in text
    assert reader.get_fields()["car"]["/V"] == "a coupe"  # type: ignore[index]


@pytest.mark.usefixtures("garage")
def test_what_nothing_sets_is_only_checked(capsys: pytest.CaptureFixture[str]) -> None:
    """Camber goes where the lowering takes it: the sheet, its table and `compare` say so with one number."""
    assert main(["setup", "car.toml", "plans.toml"]) == 0
    sheet = told(capsys)
    assert "Align, camber before toe" not in sheet
    assert "Front camber: the car file names no adjuster, so nothing is set; only check no. 3, 4." in sheet
    # The words go on beneath, beside what it was.
    assert re.search(r"front camber \(not set, -1.50 -\d.\d\d -\d.\d\d ± 0.15 deg only checked\)", sheet)
    assert f"{camber_after():+.2f}" in sheet
    main(["compare", "car.toml", "plans.toml"])
    compared = told(capsys)
    assert f"camber becomes {camber_after():+.2f} deg, for it has no adjuster here" in compared
    assert "+0.00 in" not in compared
    assert "toe link" not in compared + sheet


@pytest.mark.campaign
def test_amounts_are_fractions_in_every_command(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The plan file says -0.25; the car's own points were written as a tape shows them."""
    for command in (["compare", "car.toml", "plans.toml"], ["report", "car.toml", "out.pdf", "plans.toml"]):
        main(command)
    told_here = told(capsys)
    text = " ".join(" ".join(page.extract_text().split()) for page in pages_of((garage / "out.pdf").read_bytes()).pages)
    for words in (told_here, text):
        assert "front ride height -1/4 in" in words
        assert "-0.25" not in words
