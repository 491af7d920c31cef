"""The car in a corner on the page: the numbers of `lean`, as measured and with other springs, and what lies there."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

import kinematics as k
from kinematics.inputs.demo_cars import demo_text
from kinematics.loads.under_load import Manoeuvre, under_load
from tests.page.browsing import number, settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import Page, laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SALOON = "rear_drive_saloon.toml"
STIFFER = {"axle": "front", "what": "spring rate", "rate": 50.0}
HELD = {"axle": "front", "what": "ride height", "by": 0.0}


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = laid_open(tmp_path_factory.mktemp("page"), SALOON)
    path.with_name("my_car_shelf.toml").write_text(demo_text("rear_drive_saloon_shelf.toml"), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def page(path: Path) -> Page:
    return Page(path)


def rows(told: dict) -> dict[tuple[str, str], list[float]]:
    return {(one["key"], one["place"]): [float(words) for words in one["words"]] for one in told["rows"]}


def test_numbers_are_those_of_lean(page: Page) -> None:
    found = under_load(page.bench.opened().car, (Manoeuvre(0.7),))
    told = rows(page.post("leaning", {"lateral": 0.7}))
    assert told["roll", ""] == [pytest.approx(float(np.degrees(found.found.roll[-1])), abs=0.006)]
    for place, index in (("front left", (0, 0)), ("rear right", (1, 1))):
        assert told["wheel_load", place] == [pytest.approx(float(found.found.load[index][-1]), abs=0.51)]


def test_other_springs_are_those_of_a_car_that_has_them(page: Page, tmp_path: Path) -> None:
    """Packed to the height that was measured: the same as a car file that tells these springs."""
    told = rows(page.post("leaning", {"lateral": 0.7, "changes": [STIFFER, HELD]}))
    other = tmp_path / "other.toml"
    before, after = page.bench.path.read_text("utf-8").split("[front.spring]", 1)
    changed = after.replace(next(line for line in after.splitlines() if line.startswith("rate")), "rate = 50", 1)
    other.write_text(f"{before}[front.spring]{changed}", encoding="utf-8")
    found = under_load(k.read_car(other), (Manoeuvre(0.7),))
    assert told["roll", ""][1] == pytest.approx(float(np.degrees(found.found.roll[-1])), abs=0.006)
    assert told["wheel_load", "front right"][1] == pytest.approx(float(found.found.load[0, 1, -1]), abs=1.0)
    assert told["roll", ""][0] > told["roll", ""][1]


def test_the_drawing_can_stand_so(page: Page) -> None:
    """Put on the sliders, the wheels have the travel that they have in the corner."""
    told = page.post("leaning", {"lateral": 0.6})
    moved = page.post("position", {"axle": "front", **told["stands"]["front"]})
    travel = next(one["words"] for one in moved["numbers"] if one["key"] == "travel")
    wanted = [rows(told)["travel", f"front {side}"][0] for side in ("left", "right")]
    assert [float(words.split()[0]) for words in travel] == pytest.approx(wanted, abs=0.3)


def test_what_lies_there(page: Page) -> None:
    told = page.get("pieces")
    assert {"axle": "front", "what": "spring rate", "name": "45 N/mm", "rate": 45.0} in told["pieces"]
    assert {one["what"] for one in told["pieces"]} == {"spring rate", "bar rate"}
    assert not [one for one in told["pieces"] if "long" in one["name"]]


def test_a_car_that_tells_no_springs_says_what_is_missing(tmp_path: Path) -> None:
    page = Page(laid_open(tmp_path))
    told = page.get("car")["leaning"]
    lacks = told["lacks"]
    assert "both axles" in lacks
    assert told["boxes"] is False  # for springs and weights there are some, for another axle there is none
    assert page.post("leaning", {"lateral": 0.5})["lacks"] == lacks
    assert page.get("pieces")["pieces"] == []


@pytest.mark.parametrize("lateral", [0.0, -1.0, 9.0, "NaN", None])
def test_no_other_accelerations(lateral: object, page: Page) -> None:
    assert page.post("leaning", {"lateral": lateral}, status=422)["faults"]


@pytest.fixture(scope="module")
def address(path: Path) -> Iterator[str]:
    with opened(path) as (address, _):
        yield address


@pytest.mark.campaign
def test_a_bar_is_tried_at_a_click(browser: "Browser", address: str) -> None:
    with watched(browser, address) as page:
        page.locator("#lean > summary").click()
        page.locator("#lean-rows tbody tr").first.wait_for()
        slide(page, "lateral", 0.6)
        roll = page.locator('#lean-rows tr[data-key="roll/"] td')
        before = roll.nth(1).inner_text()
        page.locator("#pieces button", has_text="front bar: 24 mm bar").click()
        settled(page)
        assert roll.nth(1).inner_text() == before
        assert float(roll.nth(2).inner_text()) < float(before)
        row = page.locator('.slider[data-key="front/bar rate//rate"] .amount input')
        assert float(row.input_value()) == pytest.approx(58.118, abs=0.001)
        page.locator("#stand-so").click()
        settled(page)
        assert float(number(page, "travel")[0].split()[0]) < -5.0
