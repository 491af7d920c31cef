"""Bump steer and the travel left stand on the page; a chart's scale follows its curves, there and back."""

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import kinematics as k
from tests.page.browsing import number, settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import Page, laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser
    from playwright.sync_api import Page as Browsed


@pytest.fixture
def page(browser: "Browser", tmp_path: Path) -> Iterator["Browsed"]:
    with opened(laid_open(tmp_path)) as (address, _), watched(browser, address) as page:
        yield page


def chart(page: "Browsed", name: str) -> list[float]:
    """The numbers at the ticks beside a chart over travel."""
    figure = page.locator("#charts figure", has_text=name).first
    told = figure.locator('text.tick[text-anchor="end"]').all_text_contents()[:-1]  # the last names what it runs over
    return [float(one.replace("\N{MINUS SIGN}", "-")) for one in told]


def test_bump_steer_is_the_slope_of_toe(tmp_path: Path) -> None:
    """From toe a tenth of a millimetre either way; the page has it in degrees per millimetre."""
    page = Page(laid_open(tmp_path))
    told = {one["key"]: one["words"] for one in page.post("position", {"axle": "front"})["numbers"]}
    toe = k.sweep_bump(k.read_car(page.bench.path).front, [-0.1, 0.1])["toe"]
    slopes = [math.degrees(float(toe[side, 1] - toe[side, 0])) / 0.2 for side in (0, 1)]
    assert told["bump_steer"] == [f"{slope:+.4f} deg/mm" for slope in slopes]


def test_travel_left_is_what_the_stops_leave(tmp_path: Path) -> None:
    """The demo car has 45 mm to its bump stop; lowered by 10 mm and nothing else, ten less and ten more in droop."""
    page = Page(laid_open(tmp_path))
    change = {"axle": "front", "what": "ride height", "by": -10}
    before = page.post("travel", {})
    after = page.post("travel", {"changes": [change]})
    left = [[float(row["words"][0].split()[0]) for row in told["rows"]["front"]] for told in (before, after)]
    assert left[0] == [45.0, 50.0]
    assert left[1] == pytest.approx([35.0, 60.0], abs=0.3)  # a strut's wheel moves a little more than its damper
    assert after["words"].startswith("As tried, the front axle has least to spare, in bump: bump stop after")


@pytest.mark.campaign
def test_the_scale_comes_back_and_a_band_beyond_it_is_said(page: "Browsed") -> None:
    settled(page)
    before = chart(page, "toe")
    figure = page.locator("#charts figure", has_text="toe").first
    said = figure.locator(".beyond").inner_text()
    assert "The shaded band runs beyond this picture" in said
    low, high = (float(one) for one in said.split(": ")[1].strip(".").replace("\N{MINUS SIGN}", "-").split(" to "))
    assert low < min(before) or high > max(before)
    slide(page, "front/tie-rod shim//by", 30)
    wild = chart(page, "toe")
    assert max(wild) - min(wild) > 2 * (max(before) - min(before))
    slide(page, "front/tie-rod shim//by", 0)
    assert chart(page, "toe") == before


@pytest.mark.campaign
def test_the_numbers_of_what_is_tried_stand_in_the_table(page: "Browsed") -> None:
    assert number(page, "bump_left") == ["45.0 mm, bump stop"] * 2
    measured = page.locator("#headline").inner_text()
    slide(page, "front/ride height//by", -10)
    assert page.locator("#travel-words").inner_text().startswith("As tried")
    assert "deg/" in number(page, "bump_steer")[0]
    # While something is tried, how well the car is known still stands beside it.
    sure = re.search(r"give or take [0-9.]+ mm", measured)
    assert sure is not None
    assert f"As measured: {sure[0]}." in page.locator("#headline").inner_text()


@pytest.mark.campaign
def test_plans_and_the_search_are_one_press_away(page: "Browsed") -> None:
    for words, place in (("find a plan", "#find-head"), ("plans", "#kept"), ("what was measured", "#measuring")):
        page.get_by_role("navigation").get_by_role("link", name=words, exact=True).click()
        box = page.locator(place).bounding_box()
        header = page.locator("header").bounding_box()
        assert box is not None
        assert header is not None
        assert header["y"] + header["height"] - 1 <= box["y"] < 1000 - 20, words  # beneath what stays on top
    assert page.locator("#form").get_attribute("open") is not None  # what was jumped to last is not left shut


@pytest.mark.campaign
def test_after_a_save_the_car_is_in_sight(page: "Browsed") -> None:
    page.locator("#form summary").click()
    page.locator('[data-key="front.points.lower_ball_joint.up"]').fill("183")
    page.locator("#save").click()
    page.locator("#unsave:not([disabled])").wait_for()
    settled(page)
    assert page.evaluate("window.scrollY") == 0
