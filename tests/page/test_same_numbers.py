"""What the page shows are the Python interface's own numbers: printed, in the curves, and in the drawing."""

import math
from pathlib import Path

import numpy as np
import pytest

import kinematics as k
from kinematics.numbers.outer_share import within
from tests.page.served import Page, laid_open
from tests.short_run import at_places

CARS = ("lowered_coupe.toml", "rear_drive_saloon.toml", "five_link_tourer.toml")


@pytest.fixture(scope="module", params=CARS)
def page(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Page:
    return Page(laid_open(tmp_path_factory.mktemp("page"), request.param))


def printed(value: float, unit: str) -> str:
    """As the screens print it: lengths of mm to a tenth, angles to a hundredth of a degree (a formula of its own)."""
    decimals = {"mm": 1, "deg": 2}[unit]
    text = f"{value:+.{decimals}f}"
    return f"{'+' + text[1:] if float(text) == 0.0 else text} {unit}"


SHOWN = {
    "camber": "deg",
    "toe": "deg",
    "roll_centre_height": "mm",
    "force_weighted_height": "mm",
    "roll_centre_offset": "mm",
}


def test_printed_numbers(page: Page) -> None:
    opened = page.bench.opened()
    heave, roll, pitch = -12.0, 0.7, 0.4
    for axle in opened.car.axles:
        share = within(opened.limits).of(axle.name)
        swept = k.sweep_roll(axle, np.radians([roll]), heave, pitch=math.radians(pitch), outer_share=share)
        told = page.post("position", {"axle": axle.name, "heave": heave, "roll": roll, "pitch": pitch})
        numbers = {one["key"]: one["words"] for one in told["numbers"]}
        for key, unit in SHOWN.items():
            values = swept.in_unit(key).reshape(-1)
            assert numbers[key] == [printed(value, unit) for value in values], key


def test_numbers_with_the_rack_moved(page: Page) -> None:
    axle = page.bench.opened().car.front
    swept = k.sweep_steer(axle, [20.0], 5.0, math.radians(0.5))
    told = page.post("position", {"axle": "front", "heave": -5.0, "roll": 0.5, "rack": 20.0})
    toe = next(one["words"] for one in told["numbers"] if one["key"] == "toe")
    assert toe == [printed(value, "deg") for value in np.degrees(swept["toe"]).reshape(-1)]


def test_curves(page: Page) -> None:
    opened = page.bench.opened()
    axle = opened.car.axles[-1]
    share = within(opened.limits).of(axle.name)
    told = page.post("position", {"axle": axle.name, "heave": 8.0, "roll": 1.0})
    over = {one["over"]: one for one in told["curves"]}
    swept = {
        "travel": k.sweep_bump(axle, over["travel"]["at"], outer_share=share),
        "roll": k.sweep_roll(axle, np.radians(over["roll"]["at"]), 8.0, outer_share=share),
    }
    for driver, table in over.items():
        for line in table["lines"]:
            values = swept[driver].in_unit(line["key"])
            own = values[("left", "right").index(line["side"])] if line["side"] else values
            shown = np.array([math.nan if one is None else one for one in line["values"]])
            np.testing.assert_allclose(shown, own, atol=6e-4, err_msg=f"{driver} {line['key']} {line['side']}")


def test_the_drawing_is_to_scale(page: Page) -> None:
    """Links keep the lengths that the file's points have, in view from above and front together; centres meet lines."""
    axle = page.bench.opened().car.front
    told = page.post("position", {"axle": "front", "heave": -25.0, "roll": 1.5})["views"]
    heights, flat = (
        {(one["point"], one["side"]): one["at"] for one in told[view]["marks"] if one["look"] == "joint"}
        for view in ("front", "top")
    )
    kind = axle.suspension
    for first, second in kind.all_links:
        for side, name in enumerate(("left", "right")):
            ends = []
            for key in (first, second):
                (y, z), (across, ahead) = heights[key, name], flat[key, name]
                assert across == pytest.approx(-y, abs=0.02)
                ends.append(np.array([ahead, y, z]))
            measured = axle.points[first][side] - axle.points[second][side]
            assert math.dist(*ends) == pytest.approx(math.hypot(*measured), abs=0.05)
    contact = [shape["path"] for shape in told["front"]["shapes"] if shape["look"] == "contact"]
    centre = next(one["at"] for one in told["front"]["marks"] if one["look"] == "roll-centre")
    assert [line[-1] for line in contact] == [centre, centre]
    assert [line[0][1] for line in contact] == pytest.approx([0.0, 0.0], abs=0.01)  # they stand on the ground


@pytest.mark.parametrize(
    ("inner", "heave", "roll", "words", "curves"),
    at_places([(600, -60.0, 3.0, "linkage locks", True), (660, 0.0, 0.0, "steering goes over centre", False)], 1),
)
def test_what_cannot_be_reached_is_told_and_drawn_no_longer(
    inner: int, heave: float, roll: float, words: str, curves: bool, tmp_path: Path
) -> None:
    """With so short a tie rod the interface has no number there either; words for it, never numbers or a drawing."""
    path = laid_open(tmp_path)
    text = path.read_text("utf-8").replace(
        "tie_rod_inner     = { ahead = -128, out = 330", f"tie_rod_inner     = {{ ahead = -128, out = {inner}"
    )
    path.write_text(text.replace("tie_rod_outer = 25", "tie_rod_outer = 60"), encoding="utf-8")
    page = Page(path)
    swept = k.sweep_steer(k.read_car(path).front, [0.0, 50.0], -heave, math.radians(roll))
    assert np.isfinite(swept["toe"]).all(axis=0).tolist() == [not heave, False]
    told = page.post("position", {"axle": "front", "heave": heave, "roll": roll, "rack": 50.0})
    assert words in told["unreached"]
    assert ("curves" in told, "views" in told, "numbers" in told) == (curves, False, False)


def test_sliders_go_no_farther_than_they_say(page: Page) -> None:
    far = page.post("position", {"axle": "front", "heave": 1e9, "roll": -1e9, "pitch": 1e300, "rack": -1e5})
    ends = {one["key"]: one["most"] for one in page.get("car")["axles"][0]["sliders"]}
    held = page.post(
        "position",
        {"axle": "front", "heave": ends["heave"], "roll": -ends["roll"], "pitch": ends["pitch"], "rack": -ends["rack"]},
    )
    assert far == held
