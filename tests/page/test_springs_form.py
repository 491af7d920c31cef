"""Weights, springs, bars, dampers and stops are filled in on the page, into the car file that every command reads.

Pounds, inches and their rates by the international pound, 0.45359237 kg, and its weight, 4.4482216152605 N (formula;
exact by definition, from memory).
"""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

import kinematics as k
from kinematics.inputs.demo_cars import demo_text
from kinematics.inputs.reading.faults import InputFaultError
from kinematics.inputs.schema import schema_of
from kinematics.loads.under_load import Manoeuvre, under_load
from reports.page.typed_value import typed_into
from tests.page.browsing import settled, watched
from tests.page.conftest import opened
from tests.page.served import Page, laid_open
from tests.page.test_fractions_typed import TAPE

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SALOON = "rear_drive_saloon.toml"
SECTIONS = ("weights", "tyre", "spring", "bar", "damper", "stops", "steering")
POUND, POUND_FORCE, INCH = 0.45359237, 4.4482216152605, 25.4
BOTH = TAPE + "[rear]" + TAPE.split("[front]")[1].replace("[front", "[rear")
SCHEMA = schema_of("car")
TYPED = {
    "weights.left": "612",
    "weights.right": "600.5",
    "weights.unsprung": "70",
    "tyre.rate": "1200",
    "spring.rate": "200",
    "spring.along": "strut",
    "bar.rate": "150",
    "bar.motion_ratio": "0.6",
    "stops.bump": "2 1/2",
}
ON_BOTH = {f"{axle}.{key}": value for axle in ("front", "rear") for key, value in TYPED.items()}
OF_THE_BODY = {"body.wheelbase": "100 3/4", "body.centre_of_gravity.up": "20 1/2"}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "my_car.toml"
    path.write_text(BOTH + "# the end\n", encoding="utf-8")
    return path


def fields(told: dict) -> dict[str, str]:
    """All boxes of the sections, by their keys."""
    sections = [section for part in told["springs"] for section in part["sections"]]
    lines = [
        one for section in sections for one in (section, *(line for f in section["folded"] for line in f["lines"]))
    ]
    return {field["key"]: field["value"] for line in lines for field in line["fields"]}


def save(page: Page, typed: dict[str, str], status: int = 200) -> dict:
    return page.post("save", {"typed": typed, "seen": page.get("form")["seen"]}, status)


def leaves(value: Any, at: str) -> Iterator[tuple[str, str]]:
    """What a file says, entry by entry."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else None
    if inner is None:
        yield at, str(value)
    else:
        for key, one in inner:
            yield from leaves(one, f"{at}.{key}")


def known(table: Any, at: str) -> Iterator[str]:
    """Entries of a table of the schema that editors use, which pydantic makes of the reader's tables."""
    table = SCHEMA["$defs"][table["$ref"].rsplit("/", 1)[1]] if "$ref" in table else table
    ways = table.get("anyOf", [table])
    inner = next((one for one in ways if "$ref" in one), None)
    if inner is not None and inner is not table:
        yield from known(inner, at)
    elif "properties" in table:
        for key, one in table["properties"].items():
            yield from known(one, f"{at}.{key}")
    else:
        yield at


def test_whatever_the_reader_takes_has_a_box(tmp_path: Path) -> None:
    boxes = fields(Page(laid_open(tmp_path, SALOON)).get("form"))
    shown = {".".join(part for part in key.split(".")[1:] if not part.isdigit()) for key in boxes}
    properties = SCHEMA["$defs"]["AxleTable"]["properties"]
    taken = {entry for name in SECTIONS for entry in known(properties[name], name)}
    of_the_body = {entry.removeprefix("body.") for entry in known(SCHEMA["properties"]["body"], "body")}
    assert len(taken) > 40
    assert (taken | of_the_body) - shown == {"bar.arm_end.on"}  # the bar itself carries its arm


def test_a_car_typed_in_anew_is_the_car(tmp_path: Path) -> None:
    """A demo car without its springs, and then all that its file said typed into the boxes: the same content."""
    whole = tomllib.loads(demo_text(SALOON))
    page = Page(laid_open(tmp_path, SALOON))
    kept = [
        f"[{part}"
        for part in demo_text(SALOON).split("\n[")
        if not part.startswith("body]") and part.split("]")[0].rsplit(".", 1)[-1] not in SECTIONS
    ]
    bare = "\n".join(kept).removeprefix("[")
    page.bench.path.write_text(bare, encoding="utf-8")
    assert "weights" not in tomllib.loads(bare)["front"]
    typed = dict(leaves(whole["body"], "body"))
    for axle in ("front", "rear"):
        for name in SECTIONS:
            typed |= dict(leaves(whole[axle].get(name, {}), f"{axle}.{name}"))
    half = dict(list(typed.items())[: len(typed) // 2])
    assert page.post("checked", {"typed": half})["faults"]
    assert save(page, typed)["faults"] == []
    text = page.bench.path.read_text("utf-8")
    assert tomllib.loads(text) == whole
    lines = iter(text.splitlines())
    assert all(line in lines for line in bare.splitlines())  # every line and comment, in its order
    assert fields(page.get("form"))["front.spring.bump_stop.force.2.1"] == "2800"


def test_in_inches_it_is_what_was_typed(path: Path) -> None:
    page = Page(path)
    stop = {"0.0": "3/8", "0.1": "60", "1.0": "0.75", "1.1": "250"}
    more = {f"front.spring.bump_stop.force.{place}": value for place, value in stop.items()}
    assert save(page, {**ON_BOTH, **OF_THE_BODY, **more, "front.spring.bump_stop.gap": "1 1/4"})["faults"] == []
    car = k.read_car(path)
    front = car.front.loads
    assert front is not None
    rate = POUND_FORCE / INCH
    assert front.corner_mass == pytest.approx([612 * POUND, 600.5 * POUND])
    assert front.unsprung == pytest.approx([70 * POUND] * 2)
    assert front.spring.rate == pytest.approx([200 * rate] * 2)
    assert (front.bar.rate, front.bar.ratio) == (pytest.approx(150 * rate), 0.6)
    assert front.tyre_rate == pytest.approx(1200 * rate)
    found = front.spring.bump_stop
    assert found.gap == pytest.approx(1.25 * INCH)
    assert found.compression == pytest.approx([0.0, 0.375 * INCH, 0.75 * INCH])
    assert found.force == pytest.approx([0.0, 60 * POUND_FORCE, 250 * POUND_FORCE])
    assert car.front.fittings.bump_stop == pytest.approx(2.5 * INCH)
    assert car.body.wheelbase == pytest.approx(100.75 * INCH)
    assert "# the end" in path.read_text("utf-8")
    assert page.get("car")["leaning"]["lacks"] == ""


def test_what_was_begun_says_what_it_lacks_and_is_not_written(path: Path) -> None:
    page = Page(path)
    before = path.read_bytes()
    begun = {"front.weights.left": "612", "rear.spring.bump_stop.force.0.0": "3/8", "rear.spring.rate": "stiff"}
    told = {one["key"]: one["words"] for one in page.post("checked", {"typed": begun})["faults"]}
    assert told["front.weights.right"] == "is missing (on the right wheel's scale)"
    assert told["rear.spring.bump_stop.force.0.1"] == "is still blank"
    assert told["rear.spring.bump_stop.gap"].startswith("is missing")
    assert told["rear.spring.rate"].startswith('read "stiff"; a number')
    whole = {key: value for key, value in ON_BOTH.items() if "along" not in key}
    told = {one["key"]: one["words"] for one in page.post("checked", {"typed": whole})["faults"]}
    assert set(told) == {"front.spring", "rear.spring"}
    assert "motion ratio" in told["front.spring"]
    assert save(page, begun, status=422)["faults"]
    assert path.read_bytes() == before


def test_a_section_left_blank_again_leaves_the_file_and_comes_back_to_the_letter(path: Path) -> None:
    page = Page(path)
    save(page, {**ON_BOTH, **OF_THE_BODY})
    filled = path.read_text("utf-8")
    filled = filled.replace("unsprung = 70\n", "unsprung = 70  # weighed without the brakes\n", 1)
    path.write_text(filled, encoding="utf-8")
    told = save(page, dict.fromkeys((*ON_BOTH, *OF_THE_BODY), ""))
    assert tomllib.loads(path.read_text("utf-8")) == tomllib.loads(BOTH)
    assert told["undo"]
    told = page.post("unsave", {"seen": told["seen"]})
    assert path.read_text("utf-8") == filled
    assert not told["undo"]  # the save before made what was since changed by hand
    assert "no save" in page.post("unsave", {"seen": told["seen"]}, status=422)["faults"][0]


def test_what_was_changed_by_hand_is_not_taken_back(path: Path) -> None:
    page = Page(path)
    seen = save(page, ON_BOTH)["seen"]
    with path.open("a") as file:
        file.write("# my own words\n")
    assert "was changed since" in page.post("unsave", {"seen": seen}, status=422)["faults"][0]
    assert page.get("form")["undo"] is False
    assert path.read_text("utf-8").endswith("# my own words\n")


@pytest.mark.parametrize(
    "key", ["front.weights.colour", "front.spring.bump_stop.force.9.0", "front.tyre", "rear.brakes"]
)
def test_nothing_that_has_no_box_is_written(key: str, path: Path) -> None:
    assert "is no field of the form" in save(Page(path), {key: "1"}, status=422)["faults"][0]


def test_what_is_no_table_is_left_to_an_editor(path: Path) -> None:
    path.write_text(BOTH.replace("[front.points]", "weights = 5\n[front.points]"), encoding="utf-8")
    told = Page(path).post("checked", {"typed": {"front.weights.left": "612"}}, status=422)
    assert "weights is no table" in told["faults"][0]


@pytest.mark.parametrize(
    "written", ["front = {}", "[front]\n[rear]\n[front.points]\na = 1", "[front]\nweights.left = 5 # five"]
)
def test_however_the_file_is_laid_out_it_says_what_was_typed_and_nothing_else(written: str) -> None:
    typed = {"front.weights.left": "290", "front.spring.moving_end.up": "1/2", "body.wheelbase": "100"}
    text = typed_into(written, typed, typed, typed, {"front.weights", "front.spring", "body"})
    said = tomllib.loads(text)
    before = tomllib.loads(written)
    assert said["front"].pop("weights") == {"left": 290}
    assert said["front"].pop("spring") == {"moving_end": {"up": "1/2"}}
    assert said.pop("body") == {"wheelbase": 100}
    before["front"].pop("weights", None)
    assert said == before


def test_a_layout_that_would_be_spoiled_is_refused() -> None:
    """Dotted keys of one table before and after those of another: a section between them would take them in."""
    typed = {"front.weights.left": "290"}
    with pytest.raises(InputFaultError, match="change it in an editor"):
        typed_into("front.a = 1\nrear.a = 2\n", typed, typed, typed, {"front.weights"})


@pytest.mark.campaign
def test_springs_are_filled_in_and_the_car_leans(browser: "Browser", path: Path) -> None:
    """By keyboard as by mouse; lean and the travel left stand on the page without loading it anew."""
    with opened(path) as (address, _), watched(browser, address) as page:
        page.locator("#lean > summary").click()
        lacks = "front springs and weights, rear springs and weights, wheelbase, centre of gravity"
        assert page.locator("#lean-lacks").inner_text() == f"Not yet: lean needs {lacks}."
        page.locator("#lean-fill").click()
        assert page.evaluate("document.activeElement.dataset.key") == "body.wheelbase"
        page.set_viewport_size({"width": 390, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        assert page.locator("#see").evaluate("one => getComputedStyle(one).position") == "static"  # not over the boxes
        page.keyboard.type("100 3/4")
        page.locator('[data-key="front.weights.left"]').fill("612")
        page.locator('[data-section="front.weights"] .lacks', has_text="right [lb]: is missing").wait_for()
        for key, value in {**ON_BOTH, **OF_THE_BODY}.items():
            box = page.locator(f'[data-key="{key}"]')
            box.select_option(value) if key.endswith("along") else box.fill(value)
        page.locator("#form-words .good", has_text="No faults.").wait_for()
        assert page.locator(".lacks p").count() == 0
        page.locator('[data-key="body.wheelbase"]').fill("x")
        page.locator("#save").click()
        page.locator("#save-said.bad", has_text="Nothing was saved.").wait_for()
        assert page.evaluate("document.activeElement.dataset.key") == "body.wheelbase"
        page.locator('[data-key="body.wheelbase"]').fill("100 3/4")
        assert page.locator("#save-said").inner_text() == ""
        page.locator("#save").click()
        page.locator("#save-said.good", has_text=f"Saved into {path.name}.").wait_for()
        page.locator("#lean-rows tbody tr").first.wait_for()
        page.locator("#travel-left tr", has_text="2.50 in").first.wait_for()
        settled(page)
        car = k.read_car(path)
        found = under_load(car, (Manoeuvre(0.8),))
        roll = page.locator('#lean-rows tr[data-key="roll/"] td').nth(1).inner_text()
        assert float(roll) == pytest.approx(float(np.degrees(found.found.roll[-1])), abs=0.006)
        assert page.locator("#lean-lacks").inner_text() == ""
        page.locator("#unsave").click()
        page.locator("#lean-lacks", has_text="Not yet").wait_for()
        settled(page)
        assert path.read_text("utf-8") == BOTH + "# the end\n"
