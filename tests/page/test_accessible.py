"""axe-core (Deque's rules, run in the page) finds nothing serious, in any state that the page can be in.

Label: seen in source: the rules' own verdict; the rules are those of the installed axe-core.
"""

from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from kinematics.inputs.demo_cars import demo_text
from tests.page.browsing import settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


@pytest.fixture(scope="module")
def rules() -> str:
    """axe-core's own code; the page needs none of it."""
    found = find_spec("axe_playwright_python")
    if found is None or found.origin is None:
        pytest.skip("axe-core is not installed (pip install axe-playwright-python): the page was NOT looked at by it")
    return (Path(found.origin).parent / "axe.min.js").read_text(encoding="utf-8")


def serious(page: "Page", rules: str) -> list[str]:
    page.evaluate(rules)
    found: Any = page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
    assert len(found["passes"]) > 10
    return [
        f"{one['id']}: {one['help']}: {node['target']}: {node['failureSummary']}"
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
    ]


@pytest.mark.campaign
@pytest.mark.parametrize(("scheme", "wide"), [("light", 1280), ("dark", 390)])
def test_a_car_with_all_that_can_be_opened(
    scheme: Any, wide: int, browser: "Browser", tmp_path: Path, rules: str
) -> None:
    path = laid_open(tmp_path, "rear_drive_saloon.toml")
    path.with_name("my_car_shelf.toml").write_text(demo_text("rear_drive_saloon_shelf.toml"), encoding="utf-8")
    plan = 'units = "mm"\n[[plan]]\nname = "low"\n[[plan.change]]\nwhat = "ride height"\nby = -20\n'
    path.with_name("my_car_plans.toml").write_text(plan, encoding="utf-8")
    with opened(path) as (address, _), watched(browser, address) as page:
        page.emulate_media(color_scheme=scheme)
        page.set_viewport_size({"width": wide, "height": 900})
        slide(page, "front/longer ball joint//by", 12)
        page.locator("#point").select_option("lower_pivot_front")
        page.locator("#plans .beside-box input").check()
        for details in page.locator("details").all():
            details.evaluate("one => { one.open = true; }")
        page.locator("#survey-axles button").first.click()
        page.locator("#lean-rows tbody tr").first.wait_for()
        settled(page)
        page.locator("#reading-rows input").first.wait_for()
        settled(page)
        assert serious(page, rules) == []


@pytest.mark.campaign
def test_the_beginning_and_a_blank_form(browser: "Browser", tmp_path: Path, rules: str) -> None:
    with opened(None, folder=tmp_path) as (address, _):
        page = browser.new_page(viewport={"width": 820, "height": 1180})
        page.goto(address)
        page.wait_for_selector("#blank-which option", state="attached")
        page.locator("#begin details").evaluate("one => { one.open = true; }")
        assert serious(page, rules) == []
        page.get_by_role("button", name="begin with points", exact=True).click()
        page.locator("#form-rows input").first.wait_for()
        page.locator('[data-key="front.points.strut_top.out"]').fill("x")
        settled(page)
        assert serious(page, rules) == []
        page.close()
