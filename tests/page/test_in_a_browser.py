"""The page in a real browser, worked as a person works it: what is seen against the Python interface's own numbers."""

import json
import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import kinematics as k
from tests.page.browsing import number, settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

NAME = "<img src=x onerror=alert(1)> & <b>car</b>"


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    path = laid_open(tmp_path_factory.mktemp("page"))
    path.write_text(path.read_text("utf-8").replace('"lowered coupe (invented)"', json.dumps(NAME)), encoding="utf-8")
    with opened(path) as (address, _):
        yield address


@pytest.fixture
def page(browser: "Browser", address: str) -> Iterator["Page"]:
    with watched(browser, address) as page:
        yield page


def test_a_name_with_markup_is_shown_as_letters(page: "Page") -> None:
    assert page.locator("#car-name").inner_text() == NAME
    assert page.locator("#car-name *").count() == 0


def test_the_verdict_and_the_caution_stand_there_in_words(page: "Page") -> None:
    assert page.locator("#headline").inner_text().startswith("Front roll centre 54.4 mm below ground")
    assert "can injure or kill" in page.locator("#caution").inner_text()


@pytest.mark.campaign
def test_sliders_show_the_interfaces_own_numbers_to_the_last_digit(page: "Page") -> None:
    car = k.demo_car("lowered_coupe.toml")
    for heave, roll in ((-17.0, 1.3), (23.0, -2.2), (0.0, 0.0)):
        slide(page, "heave", heave)
        slide(page, "roll", roll)
        swept = k.sweep_roll(car.front, [math.radians(roll)], heave)
        for key in ("camber", "toe"):
            values = swept.in_unit(key)[:, 0]
            assert number(page, key) == [f"{value:+.2f} deg" for value in values], (heave, roll, key)
        height = float(swept["roll_centre_height"][0])
        assert number(page, "roll_centre_height") == [f"{height:+.1f} mm"]


@pytest.mark.campaign
def test_the_drawing_moves_with_the_slider(page: "Page") -> None:
    before = page.locator("#drawing .roll-centre").get_attribute("cy")
    slide(page, "heave", 30)
    after = page.locator("#drawing .roll-centre").get_attribute("cy")
    height = float(k.sweep_roll(k.demo_car("lowered_coupe.toml").front, [0.0], 30.0)["roll_centre_height"][0])
    assert float(after) == pytest.approx(-height, abs=0.01)
    assert before != after


@pytest.mark.campaign
def test_by_keyboard_alone(page: "Page") -> None:
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "slide-heave"
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    settled(page)
    assert page.locator('[data-key="heave"] .amount input').input_value() == "3"
    wheel = number(page, "travel")
    swept = k.sweep_roll(k.demo_car("lowered_coupe.toml").front, [0.0], 3.0)
    assert wheel == [f"{value:+.1f} mm" for value in swept["travel"][:, 0]]


@pytest.mark.campaign
def test_what_was_set_is_there_after_a_reload(page: "Page") -> None:
    slide(page, "heave", -12)
    page.reload()
    page.wait_for_selector("#numbers tbody tr")
    settled(page)
    assert page.locator('[data-key="heave"] .amount input').input_value() == "-12"


@pytest.mark.campaign
def test_of_many_moves_the_newest_is_shown_and_no_queue_is_left(page: "Page") -> None:
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url) if request.method == "POST" else None)
    page.evaluate("""() => {
        const slide = document.querySelector('#slide-heave');
        for (let i = 0; i <= 100; i += 1) {
          slide.value = i / 5;
          slide.dispatchEvent(new Event('input', { bubbles: true }));
        }
    }""")
    settled(page)
    assert page.locator('[data-key="heave"] .amount input').input_value() == "20"
    height = float(k.sweep_roll(k.demo_car("lowered_coupe.toml").front, [0.0], 20.0)["roll_centre_height"][0])
    assert number(page, "roll_centre_height") == [f"{height:+.1f} mm"]
    assert len(asked) <= 3  # the first, and the newest when that came back


@pytest.mark.campaign
def test_a_server_that_was_stopped_is_one_plain_sentence(browser: "Browser", tmp_path: Path) -> None:
    with opened(laid_open(tmp_path)) as (address, running):
        page = browser.new_page()
        page.goto(address)
        page.wait_for_selector("#numbers tbody tr")
        running.terminate()
        running.wait(20)
        page.locator('[data-key="heave"] .amount input').fill("5")
        page.wait_for_selector("#trouble:not([hidden])")
        assert page.locator("#trouble").inner_text().startswith("cornersweep does not answer")
        page.close()


@pytest.mark.campaign
def test_an_old_browser_is_one_plain_sentence(browser: "Browser", address: str) -> None:
    """As one that cannot read the code: it gives up on a word that it does not know."""
    page = browser.new_page()
    page.route("**/main.js", lambda route: route.fulfill(body="clazz Page {", content_type="text/javascript"))
    page.goto(address)
    page.wait_for_selector("#trouble:not([hidden])")
    assert page.locator("#trouble").inner_text().startswith("This browser is too old for this page.")
    page.close()


@pytest.mark.campaign
@pytest.mark.parametrize(("wide", "tall"), [(360, 740), (820, 1180), (1600, 900)], ids=["phone", "tablet", "desktop"])
def test_nothing_is_wider_than_the_screen(wide: int, tall: int, page: "Page") -> None:
    page.set_viewport_size({"width": wide, "height": tall})
    settled(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= wide
    for control in page.locator("button:visible, input:visible, select:visible").all():
        box = control.bounding_box()
        assert box is not None
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= wide
        assert box["height"] >= 24  # WCAG 2.2, 2.5.8 target size (from memory)


@pytest.mark.campaign
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_from_their_ground(scheme: str, page: "Page") -> None:
    """Contrast of 4.5 to 1 at least (WCAG 2.2, 1.4.3 and the formula of relative luminance, from memory)."""
    page.emulate_media(color_scheme=scheme)
    page.wait_for_timeout(300)
    pairs = page.evaluate("""() => {
        const ground = (node) => {
          for (let one = node; one; one = one.parentElement) {
            const colour = getComputedStyle(one).backgroundColor;
            if (!/, 0\\)$/.test(colour) && colour !== 'transparent') return colour;
          }
          return 'rgb(255, 255, 255)';
        };
        return [...document.querySelectorAll('p, h1, h2, th, td, small, label, button, figcaption, span, li, text')]
          .filter((one) => one.textContent.trim() && one.getClientRects().length && !one.disabled)
          .map((one) => [one.tagName === 'text' ? getComputedStyle(one).fill : getComputedStyle(one).color, ground(one),
                         one.textContent.trim().slice(0, 40)]);
    }""")
    assert len(pairs) > 60
    poor = [one for one in pairs if contrast(one[0], one[1]) < 4.5]
    assert poor == []


def contrast(one: str, other: str) -> float:
    def luminance(colour: str) -> float:
        parts = [float(part) / 255 for part in re.findall(r"[\d.]+", colour)[:3]]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    lower, higher = sorted((luminance(one), luminance(other)))
    return (higher + 0.05) / (lower + 0.05)


@pytest.mark.campaign
def test_every_control_has_a_name(page: "Page") -> None:
    """As a screen reader says it: by the browser's own reckoning."""
    nameless = page.evaluate("""() => [...document.querySelectorAll('button, input, select')].filter((one) =>
        !(one.textContent.trim() || one.getAttribute('aria-label') || one.labels?.length)).map(one => one.outerHTML)""")
    assert nameless == []
    assert page.locator("#drawing").get_attribute("aria-labelledby") == "drawing-words"
    assert page.locator("main h2").count() >= 4
