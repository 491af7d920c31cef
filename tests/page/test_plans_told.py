"""What the page tells of each kept plan in its table: to the last digit what `compare` prints of it."""

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

NAMES = ["as measured", "tie-rod ends down", "rack up", "rack up, more camber", "strut tops in"]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = laid_open(tmp_path)
    path.with_name("my_car_plans.toml").write_text(demo_text("lowered_coupe_plans.toml"), encoding="utf-8")
    return path


def printed(path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv("COLUMNS", "400")
    main(["compare", str(path), str(path.with_name("my_car_plans.toml")), "--all"])
    return capsys.readouterr().out


def row(screen: str, title: str) -> list[str]:
    """A number of every plan, as the tables of three plans each print it; what was measured stands once."""
    lines = [line.strip() for line in screen.splitlines() if re.match(rf" {title}  +-?\d", line)]
    tables = [line.removeprefix(title).split()[:-1] for line in lines]
    return [*tables[0], *(one for more in tables[1:] for one in more[1:])]


@pytest.mark.campaign
def test_the_table_is_read_as_compare_prints_it(
    browser: "Browser", path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    screen = printed(path, capsys, monkeypatch)
    with opened(path) as (address, _), watched(browser, address) as page:
        plans = page.locator("#plans-told tbody")
        plans.nth(len(NAMES) - 1).wait_for()
        settled(page)
        assert [one.get_attribute("data-plan") for one in plans.all()] == NAMES
        cells = [one.locator("td").all_inner_texts() for one in plans.all()]
        for place, title in ((0, "roll-centre height"), (2, "bump steer"), (3, "camber")):
            assert [one[place].split()[0] for one in cells] == row(screen, title)
        for one, name in zip(plans.all(), NAMES, strict=True):
            told = screen.split(f"\n{name}  ", 1)[1]  # what is told of this plan begins so
            texts = one.locator("td").all_inner_texts()
            worst = re.search(r"force-weighted roll-centre height over the working roll [^:]*: (\S+) mm", told)
            if "OUT" in texts[1]:
                assert worst is not None
                assert texts[1].split() == ["roll", worst[1], "OUT"]
            held = re.search(r"ok +(\d of \d) checks hold", told)
            assert held is not None
            assert f"{held[1]} checks hold" in one.locator("th").inner_text()
        heads = page.locator("#plans-told thead th").all_inner_texts()
        assert "bump steer [deg/mm]" in heads[2]
        assert "ride height, travel: -0.0040 to 0.0040" in heads[2]
        page.get_by_role("button", name="take strut tops in away").click()
        page.wait_for_selector("#plans-told tbody[data-plan='strut tops in']", state="detached")


def test_without_a_limit_of_bump_steer_it_is_told_all_the_same(path: Path) -> None:
    text = re.sub(r"^bump_steer = .*\n", "", path.read_text("utf-8"), flags=re.M)
    assert text != path.read_text("utf-8")
    path.write_text(text, encoding="utf-8")
    (axle,) = Page(path).get("compared")["axles"]
    (head,) = [one for one in axle["heads"] if one["title"] == "bump steer"]
    assert head["allowed"] == []
    assert [one["cells"][2][0]["words"] for one in axle["rows"]][:2] == ["0.0004", "0.0097"]  # as above


def test_no_plan_no_table(path: Path) -> None:
    path.with_name("my_car_plans.toml").unlink()
    assert Page(path).get("compared")["axles"] == []
