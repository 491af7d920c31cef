"""What people type into boxes comes back as they typed it; feet, decimal commas and units are read as on the sheet.

12 inches are a foot (exact by definition).
"""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import kinematics as k
from tests.page.browsing import settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import Page, laid_open
from tests.page.test_fractions_typed import TAPE
from tests.page.test_means_on_the_page import SAID

if TYPE_CHECKING:
    from playwright.sync_api import Browser

OUT = "front.points.lower_ball_joint.out"
UP = "front.points.strut_top.up"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "my_car.toml"
    path.write_text(TAPE, encoding="utf-8")
    return path


def saved(page: Page, typed: dict[str, str]) -> dict[str, str]:
    told = page.post("save", {"typed": typed, "seen": page.get("form")["seen"]})
    rows = (row for axle in told["axles"] for row in axle["rows"])
    return {field["key"]: field["value"] for row in rows for field in row["fields"]}


@pytest.mark.parametrize(
    ("typed", "shown", "inches"),
    [
        ("27 3/8", "27 3/8", 27.375),
        ("27 6/16", "27 6/16", 27.375),
        ("27\N{VULGAR FRACTION THREE EIGHTHS}", "27\N{VULGAR FRACTION THREE EIGHTHS}", 27.375),
        ("27,4", "27.4", 27.4),
        ("27.4 in", "27.4", 27.4),
    ],
)
def test_a_length_comes_back_as_it_stood_on_the_tape(typed: str, shown: str, inches: float, path: Path) -> None:
    assert saved(Page(path), {OUT: typed})[OUT] == shown
    assert k.read_car(path).front.points["lower_ball_joint"][0, 1] == pytest.approx(inches * 25.4)


@pytest.mark.parametrize(
    "typed", ["2' 3 3/8\"", "2'3 3/8\"", "2' 3 3/8", "2'-3 3/8\"", '27 3/8"', "2\N{PRIME} 3 3/8\N{DOUBLE PRIME}"]
)
def test_feet_and_inches_come_back_as_they_were_typed(typed: str, path: Path) -> None:
    assert saved(Page(path), {OUT: typed})[OUT] == typed
    assert k.read_car(path).front.points["lower_ball_joint"][0, 1] == pytest.approx((2 * 12 + 3.375) * 25.4)


@pytest.mark.parametrize("typed", ["27,125", "1,234"])
def test_a_comma_that_may_part_thousands_is_asked_about(typed: str, path: Path) -> None:
    page = Page(path)
    (fault,) = page.post("checked", {"typed": {OUT: typed}})["faults"]
    whole, part = typed.split(",")
    words = f'read "{typed}"; its comma may part thousands or decimals: write {whole}{part} or {whole}.{part}'
    assert fault == {"key": OUT, "words": words}
    assert page.post("amount", {"typed": typed, "unit": "in"}) == {"words": words}
    assert page.post("amount", {"typed": "1,25", "unit": "in"}) == {"value": 1.25}


def test_feet_mean_nothing_in_a_car_in_millimetres(tmp_path: Path) -> None:
    (fault,) = Page(laid_open(tmp_path)).post("checked", {"typed": {OUT: "2' 3\""}})["faults"]
    assert fault["words"].endswith("which is marked as inches, but this file is in mm: write 685.8")


def test_several_of_them_are_told_at_their_boxes(tmp_path: Path) -> None:
    """In a file's words several are one fault, of its unit; on the page each box has its own, and nothing is saved."""
    typed = {f"front.points.{of}.up": f'{inches}"' for of, inches in (("strut_top", 23), ("strut_low", 9))} | {
        OUT: '27"'
    }
    page = Page(laid_open(tmp_path))
    before = page.get("form")["seen"]
    told = page.post("checked", {"typed": typed})["faults"]
    assert {one["key"]: one["words"].rpartition(" ")[2] for one in told} == {
        "front.points.strut_top.up": "584.2",
        "front.points.strut_low.up": "228.6",
        OUT: "685.8",
    }
    page.post("save", {"typed": typed, "seen": before}, status=422)
    assert page.get("form")["seen"] == before


def test_sizes_with_decimal_commas_are_parted_by_semicolons(path: Path) -> None:
    page = Page(path)
    seen = page.get("means")["seen"]
    joint = {**SAID["may"][1], "sizes": "0,5"}
    told = page.post("means", {"may": [joint], "seen": seen}, status=422)["faults"]
    assert told[0].startswith('the sizes there are: read "0,5"; part sizes by semicolons')
    page.post("means", {"may": [{**joint, "sizes": "0,5; 3/4"}], "seen": seen})
    (joints,) = k.read_means(page.bench.means, k.read_car(path)).amounts
    assert list(joints.values) == pytest.approx([12.7, 19.05])


@pytest.mark.campaign
def test_boxes_say_the_same_after_a_save_and_a_reload(browser: "Browser", path: Path) -> None:
    with opened(path) as (address, _), watched(browser, address) as page:
        page.locator("#form > summary").click()
        for key, typed in ((OUT, "27 3/16"), (UP, "2' 8 5/8\""), ("front.wheel.camber", "-1,5")):
            page.locator(f'[data-key="{key}"]').fill(typed)
        settled(page)
        assert page.locator("#form-words").inner_text() == "No faults."
        page.locator("#save").click()
        page.locator("#save-said.good").wait_for()
        settled(page)
        slide(page, "front/longer ball joint//by", "1/2")
        page.reload()
        page.wait_for_selector("#numbers tbody tr")
        settled(page)
        page.locator("#form > summary").click()
        shown = [page.locator(f'[data-key="{key}"]').input_value() for key in (OUT, UP, "front.wheel.camber")]
        assert shown == ["27 3/16", "2' 8 5/8\"", "-1.5"]
        assert page.locator('.slider[data-key="front/longer ball joint//by"] .amount input').input_value() == "1/2"
        page.locator("#survey > summary").click()
        page.get_by_role("button", name="begin a survey of the front axle").click()
        page.locator("#reading-rows input").first.wait_for()
        box = page.locator("label.reading", has_text="height of lower ball joint").locator("input").first
        box.fill('7 1/8"')
        settled(page)
        page.locator("#save-readings").click()
        settled(page)
        height = '7 1/8"'
        assert box.input_value() == height
        page.reload()
        page.wait_for_selector("#numbers tbody tr")
        settled(page)
        page.locator("#survey > summary").click()
        assert box.input_value() == height
    assert '"27 3/16"' in path.read_text("utf-8")
    assert "7 1/8" in path.with_name("my_car_survey.toml").read_text("utf-8")
