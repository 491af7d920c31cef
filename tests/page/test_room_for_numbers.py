"""Numbers fit their boxes, curves stay readable when one of them runs far, and what runs out of a picture is said."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.page.browsing import settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

FITS = "box => box.scrollWidth <= box.clientWidth"
WIDTHS = (390, 820, 1400)


@pytest.fixture
def page(browser: "Browser", tmp_path: Path) -> Iterator["Page"]:
    with opened(laid_open(tmp_path, "rear_drive_saloon.toml")) as (address, _), watched(browser, address) as page:
        yield page


@pytest.mark.campaign
def test_the_longest_numbers_of_mm_and_inches_fit(page: "Page") -> None:
    page.locator("#form > summary").click()
    page.locator("#springs > summary").click()
    rate = page.locator('.slider[data-key="front/bar rate//rate"]')
    for wide in WIDTHS:
        page.set_viewport_size({"width": wide, "height": 1000})
        for key in ("front.points.strut_low.out", "front.points.strut_low.known_to", "front.spring.rate"):
            box = page.locator(f'[data-key="{key}"]')
            before = box.input_value()
            for typed in ("-27 15/16", "1234.56"):
                box.fill(typed)
                assert box.evaluate(FITS), (wide, key, typed)
            box.fill(before)
        assert len(rate.locator(".amount input").input_value()) > 7  # worked out of the bar's sizes
        assert rate.locator(".amount input").evaluate(FITS), wide
        track = rate.locator('input[type="range"]').bounding_box()
        assert track is not None
        assert track["width"] > 60, wide  # there is still something to slide
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
    settled(page)


@pytest.mark.campaign
@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ([float(i) for i in range(9)], [0.0, 8.0]),  # a straight line
        ([float((i - 4) ** 2) for i in range(9)], [0.0, 16.0]),  # a parabola
        # To infinity and back: the middle half, from -1 to 1, times eight at most, by as much as it runs either way.
        ([-1e9, -5.0, -1.0, -0.5, 0.0, 0.5, 1.0, 5.0, 1e9], [-8.0, 8.0]),
        ([None, None, 3.0, None], [3.0, 3.0]),
        ([], []),
    ],
)
def test_a_curve_that_runs_far_does_not_press_the_rest_flat(
    page: "Page", values: list[float | None], expected: list[float]
) -> None:
    reach = page.evaluate("async (values) => (await import('./scale.js')).reach(values, 0.1)", values)
    assert reach == pytest.approx(expected)


@pytest.mark.campaign
def test_a_band_is_whole_where_there_is_room_for_it(page: "Page") -> None:
    """The shaded bands lie within the picture, or it is said how far they run."""
    figures = page.locator("#charts figure").all()
    page.locator(".chart .band").first.wait_for(state="attached")
    settled(page)
    whole = 0
    for figure in figures:
        picture = figure.locator("rect.box").evaluate("one => [one.y.baseVal.value, one.height.baseVal.value]")
        ends = [picture[0], picture[0] + picture[1]]
        paths = [one.get_attribute("d") or "" for one in figure.locator("path.band").all()]
        heights = [float(y) for d in paths for y in re.findall(r"[ML][-\d.]+ ([-\d.]+)", d)]
        inside = all(ends[0] - 0.1 <= one <= ends[1] + 0.1 for one in heights)
        assert inside is not ("The shaded band runs beyond" in figure.locator(".beyond").inner_text())
        whole += inside
    assert whole >= 4


@pytest.mark.campaign
def test_a_curve_that_leaves_its_picture_is_told_with_its_numbers(page: "Page") -> None:
    figure = page.locator("#charts figure", has_text="force-weighted").nth(1)
    assert re.search(r"The thin curve runs beyond this picture: \S+ to \S+\.", figure.locator(".beyond").inner_text())
    slide(page, "front/ride height//by", -60)
    shown = figure.locator("path.curve.first:not(.pale)").get_attribute("d") or ""
    heights = [float(y) for y in re.findall(r"[ML][-\d.]+ ([-\d.]+)", shown)]
    assert max(heights) - min(heights) > 15  # of 146 pixels


@pytest.mark.campaign
def test_one_plan_far_below_the_others_is_marked_with_its_margin(page: "Page") -> None:
    """As measured at -150 %: the others keep their room, and it can be taken up like them."""
    plan = "([raised, worst]) => ({ raised, worst, holds: worst > 0, words: `${worst}`, margin: 'so much' })"
    page.evaluate(
        f"""async (told) => {{
          const {{ tradeOff }} = await import("./trade_off.js");
          const place = document.getElementById("trade-off-points");
          place.replaceChildren(tradeOff(told.map({plan}), "mm", (one) => (document.title = one.words)));
          document.getElementById("trade-off").hidden = false;
        }}""",
        [[0, -150], [-10, -4], [-20, 3], [-30, 8], [-35, 12]],
    )
    places = [float(one.get_attribute("cy") or "nan") for one in page.locator("#trade-off circle").all()]
    assert len(places) == 4
    assert max(places) - min(places) > 60  # of 148 pixels; squashed by -150 % it would be 15
    assert "\N{MINUS SIGN}150 %" in page.locator("#trade-off text").all_text_contents()
    page.locator("#trade-off path").press("Enter")
    assert page.title() == "-150"
