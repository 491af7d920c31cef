"""What to measure next on the page: the list that `survey --next` prints, for the number and the doubt chosen."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.page.browsing import settled, watched
from tests.page.conftest import opened
from tests.page.served import Page, laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser

UP = "front.readings.1.reads"  # height of the lower ball joint
MEND = "What to measure next is told once what is wrong with the readings is mended."


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = laid_open(tmp_path)
    path.with_name("my_car_survey.toml").write_text(demo_text("lowered_coupe_survey.toml"), encoding="utf-8")
    return path


def printed(path: Path, options: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[str, list[list[str]]]:
    """All that the command says in one line, and the rows of its table: place, number, the doubt after it."""
    main(["survey", str(path.with_name("my_car_survey.toml")), "--next", *options])
    screen = capsys.readouterr().out
    rows = re.findall(r"^ +(\d+) +(\d*) .* \N{PLUS-MINUS SIGN} \S+ +(\N{PLUS-MINUS SIGN} \S+) *$", screen, flags=re.M)
    return " ".join(screen.split()), [list(one) for one in rows]


@pytest.mark.parametrize(
    ("about", "within"),
    [("roll_centre_height", ""), ("roll_centre_height", "4"), ("bump_steer", "0.004"), ("camber", "")],
)
def test_the_list_is_that_of_the_command(
    about: str, within: str, path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    options = ["--about", about, *(["--within", within] if within else [])]
    screen, rows = printed(path, options, capsys)
    told = Page(path).post("survey-next", {"typed": {}, "about": about, "within": within})
    (axle,) = told["axles"]
    assert axle["headline"] in screen
    assert rows
    own = [[str(place), one["number"], one["after"]] for place, one in enumerate(axle["rows"], start=1)]
    assert own == rows
    assert all(one in screen for one in axle["notes"])


def test_what_is_typed_and_not_saved_counts(path: Path) -> None:
    page = Page(path)
    assert page.post("survey-next", {"typed": {UP: "high"}})["words"] == MEND
    (axle,) = page.post("survey-next", {"typed": {UP: "284"}})["axles"]
    assert axle["rows"] == []
    assert "told once its readings agree" in axle["headline"]
    blank = {one["key"]: "" for one in page.get("survey")["axles"][0]["rows"] if "strut_top" in one["points"]}
    (axle,) = page.post("survey-next", {"typed": blank})["axles"]
    assert axle["headline"].startswith("What to measure next at the front axle is told once nothing is missing")


def test_a_blank_survey_is_planned_on_a_typical_car(tmp_path: Path) -> None:
    page = Page(laid_open(tmp_path))
    page.post("survey", {"axle": "front"})
    told = page.post("survey-next", {"typed": {}})
    assert told["words"].startswith("The survey is still blank, so this is of a typical car")
    assert told["axles"][0]["rows"]


@pytest.mark.parametrize("within", ["x", "0", "-3", "4,000"])
def test_a_doubt_that_cannot_be_is_said_at_its_box(within: str, path: Path) -> None:
    told = Page(path).post("survey-next", {"typed": {}, "within": within})
    assert told["axles"] == []
    assert ("4000 or 4.000" if "," in within else "a doubt above 0 is allowed") in told["fault"]


@pytest.mark.campaign
def test_a_number_is_chosen_and_its_list_read(
    browser: "Browser", path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    _, rows = printed(path, ["--about", "bump_steer", "--within", "0.004"], capsys)
    with opened(path) as (address, _), watched(browser, address) as page:
        page.locator("#survey > summary").click()
        page.locator("#next > summary").click()
        page.locator("#next-told table.next tbody tr").first.wait_for()
        assert page.locator("#next-about").input_value() == "roll_centre_height"
        page.locator("#next-about").select_option("bump_steer")
        page.locator("#next-told", has_text="bump steer").wait_for()
        page.locator("#next-within").fill("0,004")
        page.locator("#next-told", has_text="0.004 deg/mm").wait_for()
        settled(page)
        assert page.locator("#next-unit").inner_text() == "deg/mm"
        table = page.locator("#next-told tbody tr").all()
        cells = [one.locator("th, td").all_inner_texts() for one in table]
        assert [[one[0], one[1], one[3]] for one in cells] == rows
        for wide in (390, 820):
            page.set_viewport_size({"width": wide, "height": 900})
            assert page.evaluate("document.documentElement.scrollWidth") <= wide
        page.locator("#next-within").fill("x")
        page.locator("#next-fault", has_text="a doubt above 0 is allowed").wait_for()
        settled(page)
