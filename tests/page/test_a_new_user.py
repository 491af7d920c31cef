"""The whole way of somebody new, in inches and with the browser alone: from a blank form to a plan that is kept."""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

import kinematics as k
from tests.page.browsing import PATIENCE, number, settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# An invented strut car on a tape: ahead, out, up.
TAPE = {
    "wheel_centre": ("0", "29 1/4", "11 3/4"),
    "lower_ball_joint": ("1/8", "27 1/8", "7 1/8"),
    "lower_pivot_front": ("4 5/8", "13 7/8", "7 1/4"),
    "lower_pivot_rear": ("-7 3/4", "13 7/8", "7 3/8"),
    "strut_top": ("-7/8", "22 1/4", "32 1/2"),
    "strut_low": ("1/8", "24 5/8", "16 1/2"),
    "tie_rod_outer": ("-5", "26 5/8", "8 1/2"),
    "tie_rod_inner": ("-5", "13", "8 5/8"),
}


@pytest.mark.campaign
def test_from_a_blank_form_to_a_plan_that_is_kept(browser: "Browser", tmp_path: Path) -> None:
    path = tmp_path / "my_car.toml"
    with opened(None, folder=tmp_path) as (address, _):
        page = browser.new_page(viewport={"width": 820, "height": 1180})
        page.goto(address)
        page.locator("#blank-which").select_option("strut")
        page.locator("#blank-units").select_option("in")
        page.get_by_role("button", name="begin with points", exact=True).click()
        page.locator("#form-rows input").first.wait_for()
        assert page.locator("#form-rows h3").inner_text() == "front axle, strut and lower arm; lengths in inches"
        assert page.locator("#form-words").inner_text() == "26 boxes are still blank."
        needs = "Lean needs both axles: the other one goes into my_car.toml in an editor."
        assert page.locator("#springs-need").text_content() == needs
        assert page.locator("#trouble").is_hidden()
        assert page.locator("#form .bad:visible, [aria-invalid], #caution:visible").count() == 0
        assert page.locator('[data-key="measured_to"]').input_value() == "0.1"
        assert page.locator("#numbers").is_hidden()
        page.locator('[data-key="front.points.strut_top.out"]').focus()
        assert page.locator("#drawing .chosen").count() == 2
        words = page.locator("#drawing-words").inner_text()
        assert words.startswith("A picture, not your car")
        assert "Marked: strut top" in words

        def field(key: str) -> None:
            box = page.locator(f'[data-key="{key}"]')
            box.fill(values[key])

        values = {"measured_to": "1/16", "front.wheel.camber": "-1 1/2", "front.wheel.toe_in": "0.05"}
        for point, tape in TAPE.items():
            values |= {
                f"front.points.{point}.{way}": one for way, one in zip(("ahead", "out", "up"), tape, strict=True)
            }
        wrong = page.locator('[data-key="front.points.strut_top.out"]')
        wrong.press_sequentially("22 1/0")
        settled(page)
        assert page.locator("#form .bad:visible, [aria-invalid]").count() <= 1  # only the line above the form
        wrong.blur()
        assert "is not a length" in page.locator("[id='fault-front.points.strut_top.out']").inner_text()
        assert wrong.get_attribute("aria-invalid") == "true"
        assert "25 boxes are still blank." in page.locator("#form-words").inner_text()
        wrong.fill("22 1/4")
        settled(page)
        assert page.locator("#form-words").inner_text() == "25 boxes are still blank."
        assert wrong.get_attribute("aria-invalid") is None
        for key in values:
            field(key)
        settled(page)
        page.reload()  # as after a sleep
        page.locator("#form-rows input").first.wait_for()
        settled(page)
        assert page.locator("#form-words").inner_text() == "No faults."
        page.locator("#save").click()
        page.wait_for_selector("#numbers tbody tr")
        settled(page)

        car = k.read_car(path)
        assert np.degrees(car.front.camber) == pytest.approx([-1.5, -1.5])
        height = float(k.sweep_roll(car.front, [0.0])["roll_centre_height"][0]) / 25.4
        assert number(page, "roll_centre_height") == [f"{height:+.2f} in"]
        assert "roll centre" in page.locator("#headline").inner_text()
        slide(page, "front/longer ball joint//by", 0.75)
        page.locator("#plan-name").fill("longer joint")
        page.get_by_role("button", name="keep", exact=True).click()
        page.locator("#plans li", has_text="longer joint").wait_for()
        page.close()
    text = path.with_name("my_car_plans.toml").read_text("utf-8")
    assert 'by = "3/4"' in text.splitlines()  # as he wrote his points
    (change,) = k.read_plans(path.with_name("my_car_plans.toml"), car)["longer joint"].changes
    assert change.by == pytest.approx(0.75 * 25.4)


@pytest.mark.campaign
def test_a_saved_measurement_is_taken_back_and_a_change_by_hand_is_seen(browser: "Browser", tmp_path: Path) -> None:
    from playwright.sync_api import expect

    path = laid_open(tmp_path)
    before = path.read_text("utf-8")
    with opened(path) as (address, _), watched(browser, address) as page:
        page.locator("#form summary").click()
        page.locator('[data-key="front.points.lower_ball_joint.up"]').fill("185")
        page.locator("#save").click()
        page.locator("#unsave:not([disabled])").wait_for()
        settled(page)
        assert path.read_text("utf-8") == before.replace("out = 690, up = 182", "out = 690, up = 185")
        page.locator("#unsave").click()
        page.locator("#unsave[disabled]").wait_for()
        settled(page)
        assert path.read_text("utf-8") == before
        path.write_text(before.replace("camber = -2.2", "camber = -1.75"), encoding="utf-8")
        slide(page, "heave", 1)
        page.locator('#numbers tr[data-key="camber"] td', has_text="-1.7").first.wait_for()
        slide(page, "heave", 0)
        assert number(page, "camber") == ["-1.75 deg", "-1.75 deg"]
        # The form is asked for anew by itself, beside the answer that the body busies itself with.
        expect(page.locator('[data-key="front.wheel.camber"]')).to_have_value("-1.75", timeout=PATIENCE)
        path.write_text(before.replace("out = 741", "out = true"), encoding="utf-8")
        slide(page, "heave", 2)
        page.locator("#trouble:not([hidden])").wait_for()
        assert "front.points.wheel_centre.out" in page.locator("#trouble").inner_text()
        path.write_text(before, encoding="utf-8")
        slide(page, "heave", 3)
        page.locator("#trouble[hidden]").wait_for(state="attached")
