"""What stands beside a box speaks of the box as its reader sees it, never of keys, quotes or tables of a file."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import kinematics as k
from tests.page.browsing import settled, watched
from tests.page.conftest import opened
from tests.page.served import Page, laid_open
from tests.page.test_fractions_typed import TAPE
from tests.page.test_springs_form import BOTH, OF_THE_BODY, ON_BOTH, fields
from tests.short_run import at_places

if TYPE_CHECKING:
    from playwright.sync_api import Browser

WRONG = ("x", "-5", "0", "0.0001", "99999", "1e9", "true", "13 5/0", "[1]", "?", "")
# How a file is written: underscores, backticks, tables, assignments; and words that mean a file's layout.
FILE_LANGUAGE = re.compile(r"_|`|\[\[|\{| = |\bquotes?\b|\bkeys?\b|\btables?\b|\bunits\b")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "my_car.toml"
    path.write_text(BOTH, encoding="utf-8")
    return path


def told(page: Page, typed: dict[str, str]) -> list[dict[str, str]]:
    return page.post("checked", {"typed": typed})["faults"]


@pytest.mark.parametrize("wrong", at_places(WRONG, *range(4), *range(5, 10)))
def test_no_box_is_told_in_the_language_of_files(wrong: str, path: Path) -> None:
    page = Page(path)
    form = page.get("form")
    points = [field["key"] for axle in form["axles"] for row in axle["rows"] for field in row["fields"]]
    in_sections = list(fields(form))
    found = told(page, dict.fromkeys((*points, *in_sections), wrong))
    # What contradicts another box is told only where each can be read by itself.
    sound = {**ON_BOTH, **OF_THE_BODY}
    if wrong in ("0.0001", "99999", ""):
        for key in (one for one in in_sections if not one.startswith("rear")):
            found += told(page, {**sound, key: wrong})
        for key in points[1:30:4]:
            found += told(page, {key: wrong})
    assert len(found) > 20
    assert [one for one in found if FILE_LANGUAGE.search(re.sub(r'read "[^"]*"', "", one["words"]))] == []


@pytest.mark.parametrize(
    ("typed", "key", "words"),
    [
        (
            {"front.spring.along": ""},
            "front.spring",
            'say in one way where it acts: "acts along" with strut; ',
        ),
        ({"front.bar.rate": "", "front.bar.arm": "9"}, "front.bar", "give its rate, or diameter, length and arm; miss"),
        ({"front.bar.motion_ratio": ""}, "front.bar", "give axis, arm end and drop link end, or else motion ratio, "),
        ({"front.weights.left": "x"}, "front.weights.left", 'read "x"; a number is allowed, like 12.5'),
        (
            {"front.weights.left": "9000"},
            "front.weights.left",
            "makes 9000 lb; 44.1 to 2646 lb is allowed; is it",
        ),
        (
            {"front.spring.wire": "1/2", "front.spring.rate": ""},
            "front.spring",
            "give its rate, or wire, mean ",
        ),
        ({"front.wheel.camber": "x"}, "front.wheel.camber", 'read "x"; a number, or a fraction such as -1 3/4, is'),
    ],
)
def test_what_is_wrong_is_said_at_its_place(typed: dict[str, str], key: str, words: str, path: Path) -> None:
    faults = {one["key"]: one["words"] for one in told(Page(path), {**ON_BOTH, **OF_THE_BODY, **typed})}
    assert faults[key].startswith(words)


def test_what_was_typed_is_told_as_it_was_typed(path: Path) -> None:
    """Also where it looks like a key of a file."""
    (found,) = told(Page(path), {"front.spring.rate": "about_thirty_four", "front.spring.along": "strut"})
    assert '"about_thirty_four"' in found["words"]


def test_without_a_strut_nobody_is_asked_to_act_along_one(tmp_path: Path) -> None:
    page = Page(laid_open(tmp_path, "five_link_tourer.toml"))
    (fault,) = [one for one in told(page, {"rear.spring.rate": "60", **scales("rear")}) if one["key"] == "rear.spring"]
    assert fault["words"] == "say in one way where it acts: moving end and chassis end; motion ratio"


def scales(axle: str) -> dict[str, str]:
    return {f"{axle}.weights.{key}": value for key, value in (("left", "300"), ("right", "300"), ("unsprung", "40"))}


def test_a_save_that_is_refused_names_boxes(path: Path) -> None:
    page = Page(path)
    typed = {**ON_BOTH, **OF_THE_BODY, "front.spring.rate": "stiff", "rear.points.strut_top.out": "wide"}
    lines = page.post("save", {"typed": typed, "seen": page.get("form")["seen"]}, status=422)["faults"]
    assert 'front axle, spring, rate [lb/in]: read "stiff"; a number is allowed, like 12.5' in lines
    assert any(one.startswith("rear axle, strut top, out: 'wide' is not a length") for one in lines)


@pytest.mark.campaign
def test_what_has_one_possible_value_is_filled_in(browser: "Browser", path: Path) -> None:
    """The spring acts along the strut without being told, unless another way is; blank boxes still write nothing."""
    with opened(path) as (address, _), watched(browser, address) as page:
        page.locator("#springs > summary").click()
        along = page.locator('[data-key="front.spring.along"]')
        assert along.input_value() == "strut"
        assert page.locator('[data-key="front.damper.along"]').input_value() == ""  # blank: as the spring does
        assert page.locator("#save").is_disabled()
        for key, value in {**ON_BOTH, **OF_THE_BODY}.items():
            if not key.endswith("along"):
                page.locator(f'[data-key="{key}"]').fill(value)
        settled(page)
        assert page.locator("#form-words").inner_text() == "No faults."
        ratio = page.locator('[data-key="rear.spring.motion_ratio"]')
        ratio.fill("0.9")
        settled(page)
        assert page.locator('[data-key="rear.spring.along"]').input_value() == ""
        assert page.locator("#form-words").inner_text() == "No faults."
        page.locator("#save").click()
        page.locator("#save-said.good").wait_for()
        settled(page)
    car = k.read_car(path)
    assert [axle.loads.spring.line.ratio for axle in car.axles if axle.loads is not None] == [None, 0.9]
    assert path.read_text("utf-8").count('along = "strut"') == 1


def test_a_single_axle_in_inches_is_told_so_too(tmp_path: Path) -> None:
    path = tmp_path / "my_car.toml"
    path.write_text(TAPE, encoding="utf-8")
    (fault,) = told(Page(path), {"front.points.strut_top.out": "wide"})
    assert fault["words"].startswith("'wide' is not a length; write a number like 13.625 or a tape reading like")
