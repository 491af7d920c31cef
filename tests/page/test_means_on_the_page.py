"""What may be done, and class rules, are said on the page, in the car's own unit; the rules hold what is tried."""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import kinematics as k
from tests.page.browsing import settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import Page
from tests.page.test_fractions_typed import JOINT, TAPE

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SAID = {
    "may": [
        {"what": "ride height", "axle": "front", "from": "-3/8", "to": "1/4", "step": "1/8"},
        {"what": "longer ball joint", "axle": "front", "sizes": "3/8, 1 1/4"},
    ],
    "rules": [{"changes": "longer ball joint", "at_most": "1", "words": "Joints: up to 1 in."}],
}
RULE = "Joints: up to 1 in."


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "my_car.toml"
    path.write_text(TAPE, encoding="utf-8")
    return path


def tried(page: Page, by: object) -> list[str]:
    change = {"axle": "front", "what": "longer ball joint", "by": by}
    (one,) = page.post("judged", {"changes": [change]})["beside"]
    return one["broken"]


def test_what_is_typed_is_the_file_that_the_search_reads(path: Path) -> None:
    page = Page(path)
    told = page.get("means")
    assert (told["there"], told["own"], told["unit"]) == (False, True, "in")
    told = page.post("means", {**SAID, "seen": told["seen"]})
    car = k.read_car(path)
    heights, joints = k.read_means(page.bench.means, car).amounts
    eighth = 25.4 / 8
    assert list(heights.values) == pytest.approx([-3 * eighth, -2 * eighth, -eighth, eighth, 2 * eighth])
    assert list(joints.values) == pytest.approx([3 * eighth, 10 * eighth])
    assert [one["sizes"] for one in told["may"]] == ["", "3/8, 1 1/4"]
    again = page.post("means", {"may": SAID["may"][:1], "seen": told["seen"]})
    assert (len(again["may"]), again["rules"]) == (1, [])


def test_faults_are_told_and_nothing_is_written(path: Path) -> None:
    page = Page(path)
    seen = page.get("means")["seen"]
    wrong = {**SAID["may"][0], "step": "1/0"}
    told = page.post("means", {"may": [wrong], "seen": seen}, status=422)
    assert told["faults"][0].startswith("ride height, in steps of: '1/0' is not a length")
    neither = {**SAID["may"][1], "sizes": ""}
    told = page.post("means", {"may": [SAID["may"][0], neither], "seen": seen}, status=422)
    text = 'longer ball joint, from: is missing: give "from", "to" and "in steps of", or the "sizes" there are'
    assert told["faults"] == [text]
    assert not page.bench.means.exists()


def test_a_file_of_somebody_else_is_left_alone(path: Path) -> None:
    page = Page(path)
    told = page.post("means", {**SAID, "seen": page.get("means")["seen"]})
    with page.bench.means.open("a") as file:
        file.write("# my own words\n")
    assert page.get("means")["own"] is False
    page.post("means", {**SAID, "seen": told["seen"]}, status=422)
    assert page.bench.means.read_text("utf-8").endswith("# my own words\n")


def test_a_rule_of_the_means_file_holds_what_is_tried_and_what_is_kept(path: Path) -> None:
    page = Page(path)
    assert tried(page, "1 1/2") == []
    page.post("means", {**SAID, "seen": page.get("means")["seen"]})
    assert page.get("plans")["rules"] == [RULE]
    assert RULE in tried(page, "1 1/2")[0]
    assert tried(page, "1") == []
    change = {"axle": "front", "what": "longer ball joint", "by": "1 1/2"}
    page.post("keep", {"changes": [change], "name": "too long", "seen": page.get("plans")["seen"]})
    ranked = {one["name"]: one for one in page.get("ranked")["ranked"]}
    assert "rule" in ranked["too long"]["decides"]


@pytest.mark.campaign
def test_find_without_a_means_file_asks_for_what_may_be_done(browser: "Browser", path: Path) -> None:
    with opened(path) as (address, _), watched(browser, address) as page:
        page.locator("#find").click()
        page.locator("#means[open]").wait_for()
        page.locator("#may-add").select_option("longer ball joint")
        page.locator('#may input[name="sizes"]').fill("3/8, 1/2")
        page.locator("#rule-add").select_option("longer ball joint")
        page.locator('#ruled input[name="at_most"]').fill("7/16")
        page.locator('#ruled input[name="words"]').fill(RULE)
        page.locator("#write-means").click()
        page.locator("#rules li", has_text=RULE).wait_for()
        slide(page, JOINT, 0.5)
        page.locator(f'.slider[data-key="{JOINT}"] .beside .bad').wait_for()
        assert RULE in page.locator(f'.slider[data-key="{JOINT}"] .beside').inner_text()
        page.locator("#find").click()
        page.locator("#found li").first.wait_for()
        settled(page)
