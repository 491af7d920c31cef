"""axe-core (Deque's rules, run in the page) finds nothing in a report's page, on a desk and on a telephone.

Label: seen in source: the rules' own verdict. How wide things are is the browser's own measure.
"""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.page.test_accessible import rules, serious

if TYPE_CHECKING:
    from playwright.sync_api import Browser

__all__ = ["rules"]  # a fixture
LETTER = 8.0  # px, no smaller are those of a picture


@pytest.mark.campaign
@pytest.mark.parametrize("wide", [1000, 390])
def test_a_report(wide: int, browser: "Browser", tmp_path: Path, rules: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("car.toml").write_text(demo_text(), encoding="utf-8")
    assert main(["report", "car.toml", "report.html"]) == 1  # the demo car is out of its limits
    page = browser.new_page(viewport={"width": wide, "height": 900})
    page.goto(Path("report.html").resolve().as_uri())
    assert serious(page, rules) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= wide
    drawn = page.locator("figure svg")
    assert drawn.count() > 3
    sizes = page.evaluate(
        "[...document.querySelectorAll('figure svg text')].map(one => [one.getScreenCTM(), getComputedStyle(one)])"
        ".map(([on, look]) => parseFloat(look.fontSize) * Math.hypot(on.a, on.b))"
    )
    assert len(sizes) > 50
    assert min(sizes) > LETTER
    page.close()
