"""Changes tried, kept and taken back on the page, with sliders, pointer and keyboard."""

import math
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import kinematics as k
from kinematics.inputs import demo_cars
from tests.page.browsing import number, settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

WAYS = ("out", "up")
BALL = "front/point/lower_ball_joint"
JOINT, HEIGHT = "front/longer ball joint//by", "front/ride height//by"


@pytest.fixture(scope="module")
def at(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    path = laid_open(tmp_path_factory.mktemp("page"))
    path.with_name("my_car_means.toml").write_text(demo_cars.demo_text("lowered_coupe_means.toml"), encoding="utf-8")
    with opened(path) as (address, _):
        yield address, path


def forget_the_test_before(path: Path) -> None:
    for kept in ("my_car_trial.toml", "my_car_plans.toml"):
        path.with_name(kept).unlink(missing_ok=True)


@pytest.fixture
def page(browser: "Browser", at: tuple[str, Path]) -> Iterator["Page"]:
    forget_the_test_before(at[1])
    with watched(browser, at[0]) as page:
        yield page


def after(*changes: k.Change) -> k.Axle:
    return k.carry_out(k.demo_car("lowered_coupe.toml"), [k.Plan("tried", changes)])[0]["front"].axle


def height(page: "Page") -> str:
    (words,) = number(page, "roll_centre_height")
    return words


def told(axle: k.Axle) -> str:
    return f"{float(k.sweep_roll(axle, [0.0])['roll_centre_height'][0]):+.1f} mm"


@pytest.mark.campaign
def test_a_slider_changes_drawing_numbers_and_verdict(page: "Page") -> None:
    measured = page.locator("#headline").inner_text()
    assert page.locator("#drawing .ghost").count() == 0
    slide(page, JOINT, 20)
    assert height(page) == told(after(k.Change("front", "longer ball joint", 20.0)))
    assert page.locator("#drawing .ghost").count() > 0
    assert page.locator("#headline").inner_text().startswith("Tried on paper:")
    row = page.locator(f'.slider[data-key="{JOINT}"] .beside')
    assert "Check: pin, taper, rim clear" in row.inner_text()
    assert page.locator("#checks small", has_text="was ").count() > 0
    page.get_by_role("button", name="as measured", exact=True).click()
    settled(page)
    assert page.locator("#headline").inner_text() == measured
    assert page.locator("#drawing .ghost").count() == 0


@pytest.mark.campaign
def test_undo_and_redo(page: "Page") -> None:
    slide(page, JOINT, 20)
    slide(page, HEIGHT, -10)
    both = height(page)
    page.keyboard.press("Tab")
    page.locator("#undo").click()
    settled(page)
    assert height(page) == told(after(k.Change("front", "longer ball joint", 20.0)))
    assert page.locator(f'.slider[data-key="{HEIGHT}"] .amount input').input_value() == "0"
    page.locator("#redo").focus()
    page.keyboard.press("Control+y")
    settled(page)
    assert height(page) == both
    page.keyboard.press("Control+z")
    page.keyboard.press("Control+z")
    settled(page)
    assert height(page) == told(k.demo_car("lowered_coupe.toml").front)
    assert page.locator("#undo").is_disabled()


@pytest.mark.campaign
def test_what_is_tried_is_there_after_a_reload(page: "Page") -> None:
    slide(page, JOINT, 12)
    before = height(page)
    page.reload()
    page.wait_for_selector("#numbers tbody tr")
    settled(page)
    assert height(page) == before
    assert page.locator(f'.slider[data-key="{JOINT}"] .amount input').input_value() == "12"
    page.locator("#undo").click()
    settled(page)
    assert height(page) == told(k.demo_car("lowered_coupe.toml").front)


@pytest.mark.campaign
def test_a_joint_is_dragged_with_the_pointer(page: "Page") -> None:
    joint = page.locator('#drawing [data-point="lower_ball_joint"][data-side="left"]')
    box = joint.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 6, y + 9, steps=4)
    page.mouse.up()
    settled(page)
    out, up = (float(page.locator(f'[data-key="{BALL}/{way}"] .amount input').input_value()) for way in WAYS)
    assert out > 0 > up  # the car's left is on the right, and the pointer went down
    assert -up > out
    moved = after(k.Change("front", "point", shift=(0.0, out, up), point="lower_ball_joint"))
    assert height(page) == told(moved)


@pytest.mark.campaign
def test_a_joint_is_moved_with_the_arrow_keys(page: "Page") -> None:
    page.locator("#point").select_option("lower_pivot_front")
    page.locator('#drawing [data-point="lower_pivot_front"][data-side="right"]').focus()
    for _ in range(3):
        page.keyboard.press("ArrowUp")
        settled(page)
    page.keyboard.press("ArrowLeft")
    settled(page)
    moved = after(k.Change("front", "point", shift=(0.0, 1.0, 3.0), point="lower_pivot_front"))
    assert height(page) == told(moved)
    assert page.evaluate("document.activeElement.dataset.point") == "lower_pivot_front"


@pytest.mark.campaign
def test_a_plan_is_kept_taken_up_and_removed(page: "Page", at: tuple[str, Path]) -> None:
    name = '<img src=x onerror="alert(1)">'
    slide(page, JOINT, 15)
    slide(page, "front/tie-rod shim//by", 10)
    tried = height(page)
    page.locator("#plan-name").fill(name)
    page.locator("#plan-why").fill("less sinking")
    page.get_by_role("button", name="keep", exact=True).click()
    row = page.locator("#plans li", has_text="less sinking")
    row.wait_for()
    assert row.locator("strong").inner_text() == name
    car = k.demo_car("lowered_coupe.toml")
    read = k.read_plans(at[1].with_name("my_car_plans.toml"), car)
    assert [(one.what, one.by) for one in read[name].changes] == [("longer ball joint", 15.0), ("tie-rod shim", 10.0)]
    page.locator("#clear").click()
    settled(page)
    assert height(page) != tried
    row.get_by_role("button", name="try it").click()
    settled(page)
    assert height(page) == tried
    page.locator("#rank").click()
    page.locator("#plans li", has_text="as measured").wait_for()
    page.locator("#plans li", has_text="less sinking").get_by_role("button", name="take <img").click()
    page.locator("#no-plans:not([hidden])").wait_for()
    assert page.locator("#removed-words").inner_text() == f"{name} was removed."
    page.get_by_role("button", name="put it back").click()
    page.locator("#plans li", has_text="less sinking").wait_for()
    assert page.locator("#removed").is_hidden()
    assert [one.name for one in k.read_plans(at[1].with_name("my_car_plans.toml"), car).plans] == [name]


@pytest.mark.campaign
def test_two_tabs_never_overwrite_each_other(browser: "Browser", at: tuple[str, Path]) -> None:
    forget_the_test_before(at[1])
    with watched(browser, at[0]) as first, watched(browser, at[0]) as second:
        for page, name in ((first, "mine"), (second, "yours")):
            slide(page, JOINT, 8)
            page.locator("#plan-name").fill(name)
        first.get_by_role("button", name="keep", exact=True).click()
        first.locator("#plans li", has_text="mine").wait_for()
        second.get_by_role("button", name="keep", exact=True).click()
        second.locator("#trouble:not([hidden])").wait_for()
        assert "was changed since this page read it" in second.locator("#trouble").inner_text()
        second.locator("#plans li", has_text="mine").wait_for()
        assert second.locator("#plan-name").input_value() == "yours"
        second.get_by_role("button", name="keep", exact=True).click()
        second.locator("#plans li", has_text="yours").wait_for()
    read = k.read_plans(at[1].with_name("my_car_plans.toml"), k.demo_car("lowered_coupe.toml"))
    assert list(read.keys()) == ["mine", "yours"]


@pytest.mark.campaign
def test_a_plan_is_found_and_taken_up(page: "Page") -> None:
    page.locator("#find").click()
    page.locator("#found li").first.wait_for()
    assert page.locator("#search-words").inner_text()
    page.locator("#found li").first.get_by_role("button", name="try it").click()
    settled(page)
    assert page.locator("#headline").inner_text().startswith("Tried on paper:")
    assert page.locator(".slider.moved").count() > 0


@pytest.mark.campaign
def test_the_pose_and_the_change_go_together(page: "Page") -> None:
    slide(page, "heave", -8)
    slide(page, "roll", 1.1)
    slide(page, JOINT, 20)
    swept = k.sweep_roll(after(k.Change("front", "longer ball joint", 20.0)), [math.radians(1.1)], -8.0)
    assert number(page, "toe") == [f"{value:+.2f} deg" for value in swept.in_unit("toe")[:, 0]]


@pytest.mark.campaign
def test_a_point_of_the_trade_off_is_taken_up_by_keyboard(page: "Page") -> None:
    """After the test above, or its own search: what was found is there for every page."""
    if page.locator("#found li").count() == 0:
        page.locator("#find").click()
        page.locator("#found li").first.wait_for()
    point = page.locator("#trade-off-points circle").first
    words = point.get_attribute("aria-label") or ""
    point.focus()
    page.keyboard.press("Enter")
    settled(page)
    for moved in page.locator(".slider.moved").all():
        title = moved.locator("label").inner_text()
        amount = float(moved.locator(".amount input").input_value())
        assert f"{title} {amount:g}" in words.replace("+", "").replace("\N{MINUS SIGN}", "-"), words
