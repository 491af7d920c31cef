"""What stands on a report's first page beside a plan, for whoever pins it to the garage wall.

Of an invented front axle in inches. Bump steer by differences of toe over a hundredth of an inch of travel (formula);
chances of `find` and `report` against each other by the width that a share of drawn cars leaves (formula: binomial).
"""

import contextlib
import io
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from kinematics.car.car import Axle, Car
from kinematics.inputs.car.car_file import read_car
from kinematics.inputs.plans.plan_file import read_plans
from kinematics.planning.plans import carry_out
from kinematics.sweeps.body import sweep_bump
from reports.command_line import main
from tests.garage.test_a_car_in_fractions import CAR, PLANS
from tests.survey.test_measuring_sheet import pages_of

DOUBTFUL = CAR.replace("measured_to = 0.06", "measured_to = 0.12")
RULE = '[[rule]]\nwords = "Inner pivots stay."\nchanges = "inner pivots"\n'
MEANS = """
units = "in"
chance = 0.6
[[may]]
what = "ride height"
sizes = ["-3/8"]
"""
STEP = 0.254  # mm, a hundredth of an inch


@dataclass(frozen=True)
class Told:
    """What was read: the first page, and what the commands said."""

    page: str
    rest: str
    said: Mapping[str, str]
    car: Car
    after: Axle


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    folder = tmp_path_factory.mktemp("garage")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setenv("COLUMNS", "80")
        Path("car.toml").write_text(DOUBTFUL, encoding="utf-8")
        Path("plans.toml").write_text(PLANS.replace("-0.25", '"-3/8"') + RULE, encoding="utf-8")
        Path("means.toml").write_text(MEANS, encoding="utf-8")
        said = {}
        for words in (
            ["show", "car.toml"],
            ["compare", "car.toml", "plans.toml"],
            ["find", "car.toml", "means.toml"],
            ["report", "car.toml", "out.pdf", "plans.toml", "--means", "means.toml"],
        ):
            with contextlib.redirect_stdout(io.StringIO()) as out:
                assert main(words) in (0, 1)
            said[words[0]] = out.getvalue()
        page, *rest = (" ".join(one.extract_text().split()) for one in pages_of(Path("out.pdf").read_bytes()).pages)
        car = read_car("car.toml")
        (plan,) = read_plans(["plans.toml"], car).plans
    return Told(page, " ".join(rest), said, car, carry_out(car, [plan])[0]["front"].axle)


def steer(axle: Axle) -> float:
    """Toe-in per inch of bump [deg]."""
    toe = sweep_bump(axle, np.array([-STEP, STEP]))["toe"][0]
    return math.degrees(float(toe[1] - toe[0])) / (2.0 * STEP) * 25.4


@pytest.mark.campaign
def test_it_says_what_decides_before_anything_is_bought(told: Told) -> None:
    text = told.page
    before, after = (f"{steer(one):+.3f} deg/in" for one in (told.car.front, told.after))
    assert before != after
    assert f"Front bump steer (toe-in in bump positive): as measured {before}, with the plan {after}." in text
    assert "Class rules: the one that is named is kept." in text
    assert "range, -1 to 3 in, is common practice, no source." in text
    assert "CAUTION: suspension work can injure or kill." in text
    assert "lengths in inches" in text
    assert "cornersweep" not in text
    assert "Next: cornersweep find car.toml" in told.said["report"]
    steps = ("1. Measure again first: height of the front", '2. Make the changes of "best": front ride height -3/8 in')
    places = [text.index(one) for one in steps]
    assert places == sorted(places)


def test_a_reading_is_told_as_what_a_tape_reads(told: Told) -> None:
    """ "lower ball joint up" was read as a joint to move up."""
    assert re.search(r"front (lower|strut|tie rod)[a-z ]* (up|out|ahead)\. \d+ % of the doubt", told.page) is None
    assert re.search(r"(height|distance out|distance ahead) of the front [a-z ]+\. \d+ % of the doubt", told.page)
    assert "lower ball joint, height" in told.rest


def test_it_shows_both_states_and_how_sure_the_plan_is(told: Told) -> None:
    assert 'Front with "best": roll centre ' in told.page
    assert "as measured" in told.page
    assert re.search(r'With "best" -?\d\.\d\d in (above|below) ground( \(. 0\.\d\d in\)|, give or take)', told.page)
    assert "both checks hold" in told.page


def test_the_chance_of_find_is_that_of_report_but_for_what_it_says(told: Told) -> None:
    found = " ".join(told.said["find"].split())
    said = re.search(
        r"Chances are of (\d+) cars drawn at random, stops and adjusters held too: good to (\d+) in 1", found
    )
    chance, other = (re.search(r"chance (\d+) %", text) for text in (found, told.page))
    assert said is not None
    assert chance is not None
    assert other is not None
    share, cars, good_to = int(chance[1]) / 100.0, int(said[1]), int(said[2])
    assert 100.0 * 1.96 * math.sqrt(share * (1.0 - share) / cars) == pytest.approx(good_to, abs=1.1)
    # 4000 cars to first order leave a third of that again; both are told to the whole per cent.
    assert abs(int(other[1]) - int(chance[1])) <= 1.3 * good_to + 1


@pytest.mark.parametrize("command", ["show", "compare", "find"])
def test_a_first_screen_says_what_a_roll_centre_does(told: Told, command: str) -> None:
    """Common practice, no source: a longer lever up to the centre of gravity rolls more, a shorter one jacks more."""
    lines = told.said[command].splitlines()
    (said,) = [line for line in lines if line.startswith("A lower roll centre lets the car roll more")]
    assert "a higher one jacks it up more" in said
    assert len(said) <= 80
