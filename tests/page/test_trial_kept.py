"""What is tried and not yet kept outlives the page and the server, and two pages never overwrite each other."""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import kinematics as k
from tests.page.browsing import number, settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import Page, laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser

JOINT = {"axle": "front", "what": "longer ball joint", "by": 14.0}
TOP = {"axle": "front", "what": "strut top", "ahead": 2.0, "out": -3.0}
KEY, HEIGHT = "front/longer ball joint//by", "front/ride height//by"


@pytest.fixture
def page(tmp_path: Path) -> Page:
    return Page(laid_open(tmp_path))


def kept_in(page: Page) -> Path:
    return page.bench.path.with_name("my_car_trial.toml")


def test_it_is_a_plan_file_that_the_commands_read(page: Page) -> None:
    first = page.get("trial")
    assert (first["changes"], first["align"]) == ([], {})
    told = page.post("trial", {"changes": [JOINT, TOP], "align": {"front": {"toe_in": 0.1}}, "seen": first["seen"]})
    assert (told["changes"], told["align"]) == ([JOINT, TOP], {"front": {"toe_in": 0.1}})
    (plan,) = k.read_plans(kept_in(page), page.bench.opened().car).plans
    assert [(one.what, one.by, one.shift) for one in plan.changes] == [
        ("longer ball joint", 14.0, (0.0, 0.0, 0.0)),
        ("strut top", 0.0, (2.0, -3.0, 0.0)),
    ]
    told = page.post("trial", {"changes": [], "seen": told["seen"]})
    assert told["seen"] == first["seen"]
    assert not kept_in(page).exists()


def test_of_two_pages_the_later_one_is_told(page: Page) -> None:
    seen = page.get("trial")["seen"]
    page.post("trial", {"changes": [JOINT], "seen": seen})
    before = kept_in(page).read_bytes()
    told = page.post("trial", {"changes": [TOP], "seen": seen}, status=422)
    assert "another page has tried something else" in told["faults"][0]
    assert kept_in(page).read_bytes() == before


def test_a_file_with_faults_is_told_and_left_alone(page: Page) -> None:
    kept_in(page).write_text("units = ", encoding="utf-8")
    assert "not valid TOML" in " ".join(page.request("GET", "/a-key-that-nobody-guesses/trial").json()["faults"])
    assert page.post("trial", {"changes": [JOINT], "seen": ""}, status=422)["faults"]
    assert kept_in(page).read_text("utf-8") == "units = "


@pytest.mark.campaign
def test_a_server_killed_in_the_middle_of_an_edit(browser: "Browser", tmp_path: Path) -> None:
    path = laid_open(tmp_path)
    with opened(path) as (address, running), watched(browser, address) as page:
        slide(page, KEY, 12)
        slide(page, HEIGHT, -9)
        tried = number(page, "roll_centre_height")
        running.kill()
        running.wait(20)
    assert not list(tmp_path.glob(".*part"))
    with opened(path) as (address, _), watched(browser, address) as page:
        assert number(page, "roll_centre_height") == tried
        assert page.locator(f'.slider[data-key="{KEY}"] .amount input').input_value() == "12"
        page.locator("#undo").click()
        settled(page)
        assert number(page, "roll_centre_height") != tried
        assert not path.with_name("my_car_trial.toml").exists()


@pytest.mark.campaign
def test_two_tabs_are_told_and_either_may_go_on(browser: "Browser", tmp_path: Path) -> None:
    path = laid_open(tmp_path)
    with opened(path) as (address, _), watched(browser, address) as first, watched(browser, address) as second:
        slide(first, KEY, 8)
        slide(second, HEIGHT, -5)
        told = second.locator("#other-trial")
        assert "another page has tried something else" in told.inner_text()
        assert "by = 8" in path.with_name("my_car_trial.toml").read_text("utf-8")
        told.get_by_role("button", name="take up what it tried").click()
        settled(second)
        assert number(second, "roll_centre_height") == number(first, "roll_centre_height")
        assert told.is_hidden()
        slide(second, KEY, 9)
        slide(first, KEY, 3)
        first.locator("#other-trial").get_by_role("button", name="keep what is tried here").click()
        settled(first)
        first.wait_for_selector("#other-trial", state="hidden")
        settled(first)
    assert "by = 3" in path.with_name("my_car_trial.toml").read_text("utf-8")
