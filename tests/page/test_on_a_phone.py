"""On a phone nothing lies over the box that is being filled in, with or without a keyboard on half of the screen."""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kinematics.inputs.demo_cars import demo_text
from tests.page.browsing import settled, watched
from tests.page.conftest import opened
from tests.page.served import laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator

WIDE = 390
ON_TOP = """box => {
  const { x, y, width, height } = box.getBoundingClientRect();
  return [0.1, 0.5, 0.9].every((part) => document.elementFromPoint(x + width / 2, y + part * height) === box);
}"""


def typed_into(box: "Locator") -> None:
    """As a person does: the box is tapped, or reached from the one before, and gets its letters."""
    box.focus()
    box.press("End")
    box.press_sequentially("1")


@pytest.mark.campaign
@pytest.mark.parametrize("tall", [844, 430])
def test_nothing_lies_over_the_box_that_is_filled_in(tall: int, browser: "Browser", tmp_path: Path) -> None:
    path = laid_open(tmp_path, "lowered_coupe.toml")
    path.with_name("my_car_survey.toml").write_text(demo_text("lowered_coupe_survey.toml"), encoding="utf-8")
    with opened(path) as (address, _), watched(browser, address) as page:
        page.set_viewport_size({"width": WIDE, "height": tall})
        for summary in ("#form", "#springs", "#survey", "#means"):
            page.locator(f"{summary} > summary").click()
        page.locator("#may-add").select_option(index=1)
        settled(page)
        every = page.locator('form input[type="text"]:visible, form select:visible').all()
        assert len(every) > 80
        some = every[:6] + every[6::9]
        for box in some:
            box.focus()
            assert box.evaluate(ON_TOP), box.evaluate("one => one.outerHTML")
            box.evaluate("one => window.scrollBy(0, one.getBoundingClientRect().top - 60)")  # as a thumb moves it
            assert box.evaluate(ON_TOP), box.evaluate("one => one.outerHTML")
        texts = page.locator('#form input[type="text"]:visible').all()
        for box in (texts[0], texts[5], texts[-1], texts[-6]):  # on the way back too
            typed_into(box)
            assert box.evaluate(ON_TOP)
        slider = page.locator('#try .slider input[type="text"]:visible').nth(2)
        slider.focus()
        assert slider.evaluate(ON_TOP)
        if tall > 600:  # what moves the car is seen to move it
            assert page.locator("#see").evaluate("one => getComputedStyle(one).position") == "sticky"
        assert page.evaluate("document.documentElement.scrollWidth") <= WIDE
        settled(page)


@pytest.mark.campaign
def test_the_verdict_stays_in_sight_however_far_one_scrolls(browser: "Browser", tmp_path: Path) -> None:
    with opened(laid_open(tmp_path)) as (address, _), watched(browser, address) as page:
        for wide in (WIDE, 820, 1400):
            page.set_viewport_size({"width": wide, "height": 844})
            for part in ("#try", "#curves", "#taking"):
                page.evaluate("part => document.querySelector(part).scrollIntoView()", part)
                assert page.evaluate("scrollY") > 0
                assert page.locator("#headline").evaluate(ON_TOP), (wide, part)
            slider, section = ("#slide-heave", "#sliders")
            widths = [page.locator(one).evaluate("one => one.clientWidth") for one in (slider, section)]
            assert widths[0] >= 0.95 * widths[1]  # a slider has the whole width: each step of it can be met
