"""What stands on a tape is typed as it stands: the page reads it as the files are read, or says that it cannot."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import kinematics as k
from tests.page.browsing import number, settled, watched
from tests.page.conftest import opened

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

# An invented strut car on a tape: ahead, out, up.
TAPE = """\
name = "invented"
units = "in"
[front]
suspension = "strut"
wheel = { camber = -1.5, toe_in = 0.05 }
[front.points]
wheel_centre = { ahead = 0, out = "29 1/4", up = "11 3/4" }
lower_ball_joint = { ahead = "1/8", out = "27 1/8", up = "7 1/8" }
lower_pivot_front = { ahead = "4 5/8", out = "13 7/8", up = "7 1/4" }
lower_pivot_rear = { ahead = "-7 3/4", out = "13 7/8", up = "7 3/8" }
strut_top = { ahead = "-7/8", out = "22 1/4", up = "32 1/2" }
strut_low = { ahead = "1/8", out = "24 5/8", up = "16 1/2" }
tie_rod_outer = { ahead = -5, out = "26 5/8", up = "8 1/2" }
tie_rod_inner = { ahead = -5, out = 13, up = "8 5/8" }
"""
JOINT = "front/longer ball joint//by"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "my_car.toml"
    path.write_text(TAPE, encoding="utf-8")
    return path


@pytest.fixture
def page(browser: "Browser", path: Path) -> Iterator["Page"]:
    with opened(path) as (address, _), watched(browser, address) as page:
        yield page


def row(page: "Page", key: str) -> "Locator":
    return page.locator(f'.slider[data-key="{key}"]')


@pytest.mark.campaign
def test_a_fraction_is_the_number_that_it_is_and_never_another(page: "Page", path: Path) -> None:
    car = k.read_car(path)
    box, slider = row(page, JOINT).locator(".amount input"), row(page, JOINT).locator('input[type="range"]')
    for typed, inches in (("1/2", 0.5), ("1 1/4", 1.25), ("0.3", 0.3), ("3/8", 0.375)):
        box.press("Control+a")
        box.press_sequentially(typed)  # key by key, as a person does
        settled(page)
        box.blur()
        settled(page)
        assert box.input_value() == typed
        assert slider.get_attribute("aria-valuetext") == f"{typed} in"
        plan = k.Plan("tried", [k.Change("front", "longer ball joint", inches * 25.4)])
        height = float(k.sweep_roll(k.carry_out(car, [plan])[0]["front"].axle, [0.0])["roll_centre_height"][0]) / 25.4
        assert number(page, "roll_centre_height") == [f"{height:+.2f} in"]


@pytest.mark.campaign
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("1/0", 'read "1/0"; a number like 1.25 or a fraction like 1 1/4 is allowed; until then it stays at 1/2 in'),
        ("half", 'read "half"; a number like 1.25 or a fraction like 1 1/4 is allowed; until then it stays at 1/2 in'),
        ("12", "read 12; -1 1/2 to 1 1/2 in is as far as it goes here; until then it stays at 1/2 in"),
    ],
)
def test_what_cannot_be_read_changes_nothing_and_is_said(page: "Page", typed: str, said: str) -> None:
    box = row(page, JOINT).locator(".amount input")
    box.fill("1/2")
    settled(page)
    before = number(page, "roll_centre_height")
    box.fill(typed)
    settled(page)
    box.blur()
    settled(page)
    assert row(page, JOINT).locator(".unread").inner_text() == said
    assert box.get_attribute("aria-invalid") == "true"
    assert (box.input_value(), number(page, "roll_centre_height")) == (typed, before)
    box.fill("3/4")
    settled(page)
    assert row(page, JOINT).locator(".unread").is_hidden()
    assert box.get_attribute("aria-invalid") is None


@pytest.mark.campaign
def test_every_slider_rests_at_what_its_box_says(page: "Page") -> None:
    rack = row(page, "rack").locator('input[type="range"]')
    assert float(rack.get_attribute("max") or "nan") == 2.0  # inches, as a tape reads them
    for one in page.locator(".slider").all():
        rests = float(one.locator('input[type="range"]').evaluate("node => node.value"))
        assert rests == float(one.locator(".amount input").input_value())
