"""Comparisons in which some numbers are not finite, or only some plans have them."""

import csv
import io
import re
import tomllib
from typing import Any

import pytest

from kinematics.car.car import Car
from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.demo_cars import demo_text
from kinematics.planning.changes import Change
from kinematics.planning.comparison import Comparison, compare
from kinematics.planning.plans import Plan
from reports.outputs.compare_files import ComparedAxle, comparison_outputs
from reports.tables.compare_table import show_comparison
from reports.tables.terminal import console

HELD = "simple tyres hold, as loaded at 0.8 g, g"


def coupe_with_pivots_across() -> Car:
    """Its lower arms turn about axes across the car: in front view they have no angle."""
    written = tomllib.loads(demo_text())
    points = written["front"]["points"]
    points["lower_pivot_front"] = {"ahead": -300, "out": 380, "up": 148}
    points["lower_pivot_rear"] = {"ahead": -300, "out": 600, "up": 152}
    return car_from(written, "invented")


def top_heavy_saloon() -> Car:
    written = tomllib.loads(demo_text("rear_drive_saloon.toml"))
    written["body"]["centre_of_gravity"]["up"] = 800
    return car_from(written, "invented")


def compared(car: Car, *changes: Change) -> Comparison:
    return compare(car, [Plan("tried", changes)], car.limits, ())


def printed(comparison: Comparison, capsys: pytest.CaptureFixture[str]) -> str:
    show_comparison(console(), comparison)
    return " ".join(capsys.readouterr().out.split())


def rows(comparison: Comparison) -> dict[str, dict[str, Any]]:
    """The CSV's left or only sides, by number."""
    car, file = comparison.car, io.BytesIO()
    (numbers,) = (one for one in comparison_outputs(car.front, car.limits, "png") if one.name == "front_plans.csv")
    numbers.fill(ComparedAxle(comparison, ()), file)
    read = csv.DictReader(io.StringIO(file.getvalue().decode("utf-8"), newline=""))
    return {row["number"]: row for row in read if row["side"] != "right"}


def test_an_angle_that_does_not_exist(capsys: pytest.CaptureFixture[str]) -> None:
    comparison = compared(coupe_with_pivots_across(), Change("front", "ride height", by=-2.0))
    text = printed(comparison, capsys)
    assert re.search(r"lower-arm angle none none deg", text)
    assert "nan" not in text.lower().split()
    row = rows(comparison)["lower-arm angle"]
    assert (row["as measured"], row["tried"]) == ("", "")
    assert row["note"] == "no such number, or none that is finite: as measured, tried"


@pytest.mark.campaign
def test_a_number_that_only_the_plan_has(capsys: pytest.CaptureFixture[str]) -> None:
    """So tall a car lifts a wheel before 0.8 g, where simple tyres are asked; on a wider track it does not."""
    wider = [Change(axle, "wheel spacer", by=60.0) for axle in ("front", "rear")]
    comparison = compared(top_heavy_saloon(), *wider)
    measured, plan = comparison.outcomes
    assert measured.values("front", "held") == ()
    assert plan.values("front", "held") != ()
    assert HELD in printed(comparison, capsys)
    row = rows(comparison)[HELD]
    assert row["as measured"] == ""
    # A CSV holds twelve digits.
    assert float(row["tried"]) == pytest.approx(plan.values("front", "held")[0], rel=1e-11)
