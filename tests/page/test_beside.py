"""Kept plans beside the car: drawn as they would be if they were taken up, their margins those of compare."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import kinematics as k
from kinematics.inputs import demo_cars
from tests.page.browsing import settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import Page, laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = laid_open(tmp_path_factory.mktemp("page"))
    text = demo_cars.demo_text("lowered_coupe_plans.toml")
    path.with_name("my_car_plans.toml").write_text(text, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def page(path: Path) -> Page:
    return Page(path)


def test_a_plan_beside_is_drawn_as_if_it_were_taken_up(page: Page) -> None:
    plans = page.get("plans")["plans"][:2]
    pose = {"axle": "front", "heave": -7.0, "roll": 0.6}
    told = page.post("position", {**pose, "beside": [one["name"] for one in plans]})
    assert [one["name"] for one in told["plans"]] == [one["name"] for one in plans]
    assert "ghost" not in told
    for one, plan in zip(told["plans"], plans, strict=True):
        taken = page.post("position", {**pose, "changes": plan["changes"], "align": plan["align"]})
        assert one["views"] == taken["views"]
        assert one["curves"] == taken["curves"]
    assert told["plans"][0]["views"] != told["plans"][1]["views"]


def test_the_margins_are_those_of_compare(page: Page) -> None:
    car, limits = page.bench.opened().car, page.bench.opened().limits
    read = k.read_plans(page.bench.plans, car)
    names = list(read.keys())[:2]
    told = page.post("margins", {"names": names})["columns"]
    compared = k.compare(car, [read[name] for name in names], limits, read.rules)
    assert [one["name"] for one in told] == ["as measured", *names]
    for column, outcome in zip(told, compared.outcomes, strict=True):
        assert [one["holds"] for one in column["checks"]] == [one.holds for one in outcome.findings]
        rows = [one["row"] for one in column["checks"]]
        assert len(set(rows)) == len(rows)
        assert rows[0] == "front roll-centre height, at ride height"
        assert bool(column["in_the_way"]) is not outcome.buildable
        first = column["checks"][0]
        assert first["margin"] == f"{outcome.findings[0].margin:+.1f} mm"


@pytest.mark.parametrize("path_of", ["position", "margins"])
def test_a_plan_that_is_gone_is_told(path_of: str, page: Page) -> None:
    asked = {"names": ["gone"]} if path_of == "margins" else {"axle": "front", "beside": ["gone"]}
    assert "there is no plan 'gone' any more" in page.post(path_of, asked, status=422)["faults"][0]
    many = ["a", "b", "c"]
    asked = {"names": many} if path_of == "margins" else {"axle": "front", "beside": many}
    assert page.post(path_of, asked, status=422)["faults"]


@pytest.fixture(scope="module")
def address(path: Path) -> Iterator[str]:
    with opened(path) as (address, _):
        yield address


@pytest.mark.campaign
def test_two_plans_are_chosen_and_shown(browser: "Browser", address: str) -> None:
    with watched(browser, address) as page:
        boxes = page.locator("#plans .beside-box input")
        names = [box.get_attribute("value") for box in boxes.all()]
        assert len(names) >= 2
        boxes.nth(0).check()
        boxes.nth(1).check()
        page.locator("#margins th.plan-2").wait_for()
        settled(page)
        assert page.locator("#margins thead th").all_inner_texts() == ["margin of", "as measured", *names[:2]]
        for look in ("plan-1", "plan-2"):
            assert page.locator(f"#drawing path.{look}").count() > 3
            assert page.locator(f".chart .curve.{look}").count() >= 6
        before = page.locator("#drawing path.plan-1").first.get_attribute("d")
        slide(page, "heave", 12)
        assert page.locator("#drawing path.plan-1").first.get_attribute("d") != before
        boxes.nth(0).uncheck()
        page.wait_for_selector("#margins th.plan-2", state="detached")
        boxes.nth(1).uncheck()
        settled(page)
        assert page.locator("#drawing path.plan-1").count() == 0
        assert page.locator("#beside").is_hidden()
