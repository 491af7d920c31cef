"""What is typed while the server is slow is neither lost nor missing from its box; each kind of answer is held back.

Answers are held until the test lets them go; no clock decides.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import kinematics as k
from tests.page.browsing import number, settled, slide, watched
from tests.page.conftest import opened
from tests.page.test_as_it_is_typed import OUT, UP
from tests.page.test_fractions_typed import TAPE

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Route

JOINT, HEIGHT = "front/longer ball joint//by", "front/ride height//by"
AFTER_A_SAVE = ("form", "car", "means", "survey", "plans", "position", "travel")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "my_car.toml"
    path.write_text(TAPE, encoding="utf-8")
    return path


class Held:
    """Requests of one kind, held back until they are let go."""

    def __init__(self, page: "Page", name: str, method: str) -> None:
        self._page, self._method = page, method
        self._held: list[Route] = []
        self._holds = True
        page.route(f"**/{name}", self._hold)

    def _hold(self, route: "Route") -> None:
        if self._holds and route.request.method == self._method:
            self._held.append(route)
        else:
            route.fallback()  # to others that are held under the same name

    def wait(self) -> None:
        """Until one is held."""
        while not self._held:
            self._page.wait_for_timeout(10)  # the browser is served meanwhile

    def let_go(self) -> None:
        """All that were held, and those to come."""
        self._holds = False
        while self._held:
            self._held.pop().continue_()


@contextmanager
def held(page: "Page", name: str, method: str = "GET") -> Iterator[Held]:
    """Requests of one kind held back; let go at the end at the latest."""
    held = Held(page, name, method)
    yield held
    held.let_go()


def box_of(page: "Page", key: str) -> str:
    return page.locator(f'.slider[data-key="{key}"] .amount input').input_value()


def reloaded(page: "Page") -> None:
    page.reload()
    page.wait_for_selector("#numbers tbody tr")
    settled(page)


def height_with_joint(path: Path, inches: float) -> list[str]:
    car = k.read_car(path)
    after = k.carry_out(car, [k.Plan("tried", [k.Change("front", "longer ball joint", inches * 25.4)])])[0][
        "front"
    ].axle
    return [f"{float(k.sweep_roll(after, [0.0])['roll_centre_height'][0]) / 25.4:+.2f} in"]


def begin_a_save(page: "Page") -> None:
    page.locator("#form > summary").click()
    page.locator(f'[data-key="{OUT}"]').fill("27 3/16")
    settled(page)
    page.locator("#save").click()


@pytest.mark.campaign
@pytest.mark.parametrize("name", AFTER_A_SAVE)
def test_who_types_while_the_car_is_read_anew_loses_no_key(name: str, browser: "Browser", path: Path) -> None:
    with opened(path) as (address, _), watched(browser, address) as page:
        method = "POST" if name in ("position", "travel") else "GET"
        with held(page, name, method) as answers:
            begin_a_save(page)
            answers.wait()
            box = page.locator(f'.slider[data-key="{JOINT}"] .amount input')
            box.press("Control+a")
            page.keyboard.type("1")
        settled(page)
        page.keyboard.type("/2")
        settled(page)
        assert box_of(page, JOINT) == "1/2"
        assert number(page, "roll_centre_height") == height_with_joint(path, 0.5)
        reloaded(page)
        assert box_of(page, JOINT) == "1/2"


@pytest.mark.campaign
def test_an_amount_that_is_read_while_the_car_is_stands_in_its_box(browser: "Browser", path: Path) -> None:
    with opened(path) as (address, _), watched(browser, address) as page:
        with held(page, "car") as car, held(page, "amount", "POST") as amounts:
            begin_a_save(page)
            car.wait()
            page.locator(f'.slider[data-key="{JOINT}"] .amount input').fill("1/2")
            amounts.wait()
            with page.expect_response("**/plans"):  # asked once the sliders are those of the car that was read
                car.let_go()
        settled(page)
        assert box_of(page, JOINT) == "1/2"
        assert number(page, "roll_centre_height") == height_with_joint(path, 0.5)
        reloaded(page)
        assert box_of(page, JOINT) == "1/2"


@pytest.mark.campaign
def test_an_amount_that_is_read_while_the_other_axle_is_shown(browser: "Browser", tmp_path: Path) -> None:
    path = tmp_path / "my_car.toml"
    path.write_text(TAPE + TAPE.split('units = "in"\n')[1].replace("[front", "[rear"), encoding="utf-8")
    with opened(path) as (address, _), watched(browser, address) as page:
        axle = page.locator("#axles button")
        with held(page, "amount", "POST") as amounts:
            page.locator(f'.slider[data-key="{JOINT}"] .amount input').fill("1/2")
            amounts.wait()
            axle.nth(1).click()
            axle.nth(0).click()
        settled(page)
        assert box_of(page, JOINT) == "1/2"


@pytest.mark.campaign
def test_what_is_moved_while_the_page_asks_what_was_tried_stays(browser: "Browser", path: Path) -> None:
    with opened(path) as (address, _), watched(browser, address) as page:
        slide(page, HEIGHT, "-1/2")
        page.evaluate("sessionStorage.clear()")
        with held(page, "trial") as trial:
            page.reload()
            trial.wait()
            page.locator(f'.slider[data-key="{JOINT}"] .amount input').fill("1")
        settled(page)
        assert (box_of(page, JOINT), box_of(page, HEIGHT)) == ("1", "0")
        kept = k.read_plans(path.with_name("my_car_trial.toml"), k.read_car(path)).plans[0]
        assert [(one.what, one.by) for one in kept.changes] == [("longer ball joint", pytest.approx(25.4))]
        reloaded(page)
        assert box_of(page, JOINT) == "1"


@pytest.mark.campaign
def test_what_was_tried_comes_while_an_amount_is_read(browser: "Browser", path: Path) -> None:
    with opened(path) as (address, _), watched(browser, address) as page:
        slide(page, HEIGHT, "-1/2")
        page.evaluate("sessionStorage.clear()")
        with held(page, "amount", "POST") as amounts:
            with held(page, "trial") as trial:
                page.reload()
                trial.wait()
                page.locator(f'.slider[data-key="{JOINT}"] .amount input').fill("1/2")
                amounts.wait()
            page.wait_for_function(
                "(key) => document.querySelector(`.slider[data-key='${key}'] .amount input`).value === '-1/2'",
                arg=HEIGHT,
            )
        settled(page)
        assert (box_of(page, JOINT), box_of(page, HEIGHT)) == ("1/2", "-1/2")


@pytest.mark.campaign
@pytest.mark.parametrize(("answer", "method"), [("save", "POST"), ("form", "GET"), ("car", "GET")])
def test_what_is_typed_into_the_form_while_it_is_saved_stays(
    answer: str, method: str, browser: "Browser", path: Path
) -> None:
    with opened(path) as (address, _), watched(browser, address) as page:
        with held(page, answer, method) as answers:
            begin_a_save(page)
            answers.wait()
            page.locator(f'[data-key="{UP}"]').press("Control+a")
            page.keyboard.type("32 ")
        settled(page)
        page.keyboard.type("5/8")
        settled(page)
        assert page.locator(f'[data-key="{UP}"]').input_value() == "32 5/8"
        assert page.locator(f'[data-key="{OUT}"]').input_value() == "27 3/16"
        page.locator("#save").click()
        settled(page)
    text = path.read_text("utf-8")
    assert '"27 3/16"' in text
    assert '"32 5/8"' in text
