"""`find` with springs and bars as a person meets it: words, table, files, and the car file that it leaves.

How far a spring is packed to keep the height is its force at rest over the new rate less that over the old (formula).
What the found car file says is judged and leant as any other car file.
"""

import csv
import json
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from kinematics import read_car
from kinematics.finding.pieces import Piece
from kinematics.finding.search import find
from kinematics.inputs.car.car_file import read_limits
from kinematics.inputs.demo_cars import demo_text
from kinematics.inputs.plans.means_file import read_means
from kinematics.inputs.plans.plan_file import read_plans
from kinematics.judging.verdict import judge
from kinematics.loads.balanced_share import with_balanced_shares
from kinematics.loads.report import lean_sheet, whole_car
from kinematics.loads.shelf import Want
from kinematics.planning.changes import Change
from reports.words.fittings import lean_words
from tests.finding.test_find_command import COLUMNS, Run, run
from tests.finding.test_springs_and_bars import standing_on

LIMITS = """
units = "mm"
[limits]
travel = [-20, 20]
roll = 1.5
[limits.front]
roll_centre_height = { from = 20, to = 60, over = "ride height" }
force_weighted_height = { from = 10, to = 60, over = "roll" }
[limits.rear]
"""
MEANS = """
units = "mm"
want = "price"
[[may]]
what = "longer ball joint"
sizes = [8, 16]
price = 90
hours = 3
[lean]
roll_gradient = { to = 2.65 }
[[front_spring]]
name = "long way [red]round[/red]"
rate = 60
price = 120
hours = 4
[[rear_spring]]
name = "40 N/mm"
rate = 40
price = 60
[[front_bar]]
name = "none"
rate = 0
"""
NEVER = MEANS.replace("to = 2.65", "from = 0.5, to = 1.0")
RULED = (
    MEANS.replace("to = 2.65", "to = 3.0")
    + """
[[rule]]
words = "Springs are the maker's."
changes = "spring rate"
"""
)
NO_DOUBT = demo_text("rear_drive_saloon.toml").replace("measured_to = 2.5", "").replace(", known_to = 5", "")


@pytest.fixture(scope="module")
def garage(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("springs")
    texts = {"car": NO_DOUBT, "limits": LIMITS, "means": MEANS, "never": NEVER, "ruled": RULED}
    for name, text in texts.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def found(garage: Path) -> Run:
    return run(garage, "find", "car.toml", "means.toml", "--limits", "limits.toml", "--into", "out")


@pytest.mark.campaign
def test_what_is_fitted_is_named(found: Run) -> None:
    assert found.status == 0
    answer = " ".join(found.lines[:2])
    assert 'Front: longer ball joint 8 mm, springs "long way [red]round[/red]"' in answer
    assert "holds both limits" in answer or "holds all" in answer
    assert all(len(line) <= COLUMNS for line in found.lines)
    told = " ".join(" ".join(found.lines).split())
    assert re.search(r"8 combinations of springs and bars: \d searched, \d lean otherwise than wanted", told)
    assert re.search(
        r"The car then leans 2\.\d\d deg/g, 6\d % of the load moved in front \(as measured 2\.92 deg/g", told
    )


def test_packing_is_what_the_force_takes(found: Run) -> None:
    """The ball joint moves no strut seat, so each front spring carries what it carried."""
    told = " ".join(" ".join(found.lines).split())
    said = re.search(r"keeps its ride height: front left ([-+.\d]+) mm, right ([-+.\d]+) mm", told)
    assert said is not None
    assert "(negative: a lower seat or a shorter spring)" in told
    force = whole_car(read_car(found.folder / "car.toml")).front.preload
    for one, by_hand in zip(said.groups(), force / 60.0 - force / 34.0, strict=True):
        # The joint turns the strut a little: some newtons of 2,500, over 60 N/mm less 34.
        assert float(one) == pytest.approx(by_hand, abs=0.4)


@pytest.mark.campaign
def test_the_plan_file_says_rates_and_the_height(found: Run) -> None:
    car = read_car(found.folder / "car.toml")
    best, *_ = read_plans(found.folder / "out/find_plans.toml", car).plans
    told = {(one.axle, one.what): one.by for one in best.changes}
    assert told == {("front", "longer ball joint"): 8.0, ("front", "spring rate"): 60.0, ("front", "ride height"): 0.0}
    compared = run(found.folder, "compare", "car.toml", "out/find_plans.toml", "--limits", "limits.toml")
    assert compared.status == 0
    told_all = " ".join(" ".join(compared.lines).split())
    assert re.search(r"front longer ball joint \+\d+ mm, front spring rate 60 N/mm \(\"[^\"]+\"\)\.", told_all)


def test_the_car_file_stands_on_them(found: Run) -> None:
    car = read_car(found.folder / "out/find_best.toml")
    assert car.front.loads is not None
    assert list(car.front.loads.spring.rate) == [60.0, 60.0]
    limits = read_limits(found.folder / "limits.toml")
    own = with_balanced_shares(limits, car)
    assert all(finding.holds for axle in car.axles for finding in judge(axle, own))
    with (found.folder / "out/find_trade_off.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["plan"]: row for row in csv.DictReader(file)}
    best = rows["best"]
    assert (best["front spring"], best["front bar"]) == ("long way [red]round[/red]", "as fitted")
    assert rows["as measured"]["front spring"] == "as fitted"
    assert (float(best["price"]), float(best["hours"])) == (210.0, 7.0)
    lean = lean_sheet(car, own.working)
    # The car file rounds points to 0.001 mm and angles to 1e-5 degrees.
    assert float(best["roll gradient [deg/g]"]) == pytest.approx(lean.gradient, rel=1e-3)
    assert float(best["front share of the load moved [%]"]) == pytest.approx(100.0 * lean.front_share, rel=1e-3)
    # Limits are judged with the shares of the car before its geometry is changed, as they are without other springs.
    measured = standing_on(read_car(found.folder / "car.toml"), (Piece("", Change("front", "spring rate", 60.0)),))
    findings = judge(car.front, with_balanced_shares(limits, measured))
    heights = [one for one in findings if one.limit.key == "force_weighted_height"]
    margin = float(best["margin: front force-weighted roll-centre height over the working roll [mm]"])
    assert min(one.margin for one in heights if one.over == "roll") == pytest.approx(margin, abs=0.02)


@pytest.mark.campaign
def test_the_document_has_them(garage: Path, found: Run) -> None:
    told = run(garage, "find", "car.toml", "means.toml", "--limits", "limits.toml", "--json")
    best = json.loads("\n".join(told.lines))["plans"][1]
    assert best["fitted"] == {
        "front_spring": "long way [red]round[/red]",
        "rear_spring": "as fitted",
        "front_bar": "as fitted",
    }
    assert {one["what"] for one in best["changes"]} == {"longer ball joint", "spring rate", "ride height"}
    assert best["lean"]["roll_gradient"]["unit"] == "deg/g"
    assert best["lean"]["roll_gradient"]["value"] < 2.65
    share = best["lean"]["front_share"]
    assert share["unit"] == "%"
    said = re.search(r"leans 2\.\d\d deg/g, (\d+) % of the load", " ".join(" ".join(found.lines).split()))
    assert said is not None
    assert round(share["value"]) == int(said.group(1))


def test_a_lean_that_the_geometry_takes_out_of_what_is_wanted(garage: Path) -> None:
    """The lean is asked of springs and bars alone; where that after all changes lies outside, it is said."""
    car = read_car(garage / "car.toml")
    search = find(car, read_means(garage / "means.toml", car), read_limits(garage / "limits.toml"))
    stands, alone = search.best.on_springs, search.best.fitting.gradient
    assert stands is not None
    assert alone is not None
    assert abs(stands.gradient - alone) > 1e-3  # the ball joint moves the roll centre, and so the lean
    low, high = sorted((stands.gradient, alone))
    middle = 0.5 * (low + high)
    narrow = Want((-math.inf, middle)) if stands.gradient > alone else Want((middle, math.inf))
    for want, outside in ((Want((low, high)), False), (narrow, True)):
        told = " ".join(lean_words(replace(search, means=replace(search.means, lean=want))))
        assert ("That is outside what [lean] asks" in told) == outside
        assert (f": {alone:.2f} deg/g" in told) == outside


def test_a_lean_that_none_has_names_the_nearest(garage: Path) -> None:
    told = run(garage, "find", "car.toml", "never.toml", "--limits", "limits.toml")
    assert told.status == 2
    text = " ".join(" ".join(told.lines).split())
    assert "never.toml" in text
    assert "lean: no combination of springs and bars leans so; nearest is front springs" in text
    assert 'rear springs "40 N/mm": 2.' in text


def test_a_rule_about_springs_is_told(garage: Path) -> None:
    told = run(garage, "find", "car.toml", "ruled.toml", "--limits", "limits.toml")
    text = " ".join(" ".join(told.lines).split())
    assert 'Rule "Springs are the maker\'s." takes away 1 amount of front spring rate' in text
    assert 'springs "' not in text.split("Rule")[0]
