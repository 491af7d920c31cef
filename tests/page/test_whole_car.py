"""Both axles on one body in the view from the left, and the band round the curves."""

import math
import re
from pathlib import Path

import numpy as np
import pytest

import kinematics as k
from kinematics.doubt.assessment import assess
from kinematics.doubt.question import Question
from kinematics.numbers.outer_share import within
from tests.page.served import Page, laid_open


@pytest.fixture(scope="module")
def saloon(tmp_path_factory: pytest.TempPathFactory) -> Page:
    return Page(laid_open(tmp_path_factory.mktemp("page"), "rear_drive_saloon.toml"))


@pytest.mark.parametrize("name", ["front", "rear"])
@pytest.mark.parametrize(("heave", "pitch"), [(0.0, 0.0), (-14.0, 0.0), (6.0, 0.5)])
def test_the_roll_axis_is_that_of_the_interface(name: str, heave: float, pitch: float, saloon: Page) -> None:
    """Asked of it midway between the axles, of the same rigid body (level plus half the wheelbase times the slope)."""
    car = saloon.bench.opened().car
    told = saloon.post("position", {"axle": name, "heave": heave, "pitch": pitch, "views": ["side"]})
    (axis,) = [one["path"] for one in told["views"]["side"]["shapes"] if one["look"] == "axis"]
    base = car.body.wheelbase
    ahead = base / 2 if name == "front" else -base / 2
    middle = heave + ahead * math.tan(math.radians(pitch))
    swept = k.roll_axis(car, [-middle], [0.0], pitch=math.radians(pitch))
    own, other = (axis[0][1], axis[1][1]) if name == "front" else (axis[1][1], axis[0][1])
    assert (own, other) == pytest.approx((float(swept.front[0, 0]), float(swept.rear[0, 0])), abs=0.02)
    assert abs(axis[1][0] - axis[0][0]) == pytest.approx(base)
    assert told["beside"] == ""


def test_an_axle_that_cannot_follow_is_told_and_not_drawn(saloon: Page) -> None:
    told = saloon.post("position", {"axle": "front", "heave": 50.0, "pitch": 2.0, "views": ["side"]})
    assert "raised by" in told["beside"]
    assert "rear axle" in told["beside"]
    assert sum(one["look"] == "tyre" for one in told["views"]["side"]["shapes"]) == 1


def test_a_car_of_one_axle_has_no_other(tmp_path: Path) -> None:
    told = Page(laid_open(tmp_path)).post("position", {"axle": "front", "views": ["side"]})
    assert "beside" not in told
    assert not [one for one in told["views"]["side"]["shapes"] if one["look"] == "axis"]


def test_a_plan_moves_both_axles(saloon: Page) -> None:
    change = {"axle": "rear", "what": "ride height", "by": -20.0}
    told = saloon.post("position", {"axle": "front", "views": ["side"], "changes": [change]})
    (axis,), (before,) = (
        [one["path"] for one in view["side"]["shapes"] if one["look"] == "axis"]
        for view in (told["views"], told["ghost"]["views"])
    )
    car = saloon.bench.opened().car
    after = k.carry_out(car, [k.Plan("one", (k.Change("rear", "ride height", -20.0),))])[0]["rear"].axle
    height = float(k.sweep_roll(after, [0.0])["roll_centre_height"][0])
    assert axis[1][1] == pytest.approx(height, abs=0.02)
    assert before[1][1] != pytest.approx(height, abs=1.0)


def test_bands_are_those_of_doubt(tmp_path: Path) -> None:
    page = Page(laid_open(tmp_path))
    opened = page.bench.opened()
    axle = opened.car.front
    told = {one["over"]: one for one in page.post("bands", {"axle": "front"})["bands"]}
    travel, roll = np.linspace(-60.0, 60.0, 41), np.radians(np.linspace(-3.0, 3.0, 41))
    question = Question(travel, roll, outer_share=within(opened.limits).of("front"))
    found = assess(axle, question, opened.limits)
    assert found is not None
    for over, place in (("travel", "bump"), ("roll", "roll")):
        for line in told[over]["lines"]:
            scale = found.about(line["key"]).dimension.scale(opened.car.unit)
            low, high = (end * scale for end in found.band((place, line["key"])))
            side = ("left", "right").index(line["side"]) if line["side"] else ...
            for end, own in (("low", low), ("high", high)):
                shown = np.array([math.nan if one is None else one for one in line[end]])
                np.testing.assert_allclose(shown, own[side], atol=6e-4, err_msg=f"{over} {line['key']}")


def test_a_car_that_tells_no_doubt_has_no_band(tmp_path: Path) -> None:
    path = laid_open(tmp_path)
    text = re.sub(r", \w*known_to = [\d.]+|^measured_to.*$", "", path.read_text("utf-8"), flags=re.M)
    path.write_text(text, encoding="utf-8")
    page = Page(path)
    assert page.get("car")["axles"][0]["doubt"] is False
    assert page.post("bands", {"axle": "front"})["bands"] == []


def test_with_the_rack_moved_there_is_no_band(tmp_path: Path) -> None:
    assert Page(laid_open(tmp_path)).post("bands", {"axle": "front", "rack": 5.0})["bands"] == []
