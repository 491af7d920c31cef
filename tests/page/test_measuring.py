"""The form writes what was typed into the car file and nothing else; every fault is the reader's own."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

import kinematics as k
from reports.command_line import main
from tests.page.served import Page, laid_open

OUT = "front.points.lower_ball_joint.out"


@pytest.fixture
def page(tmp_path: Path) -> Page:
    return Page(laid_open(tmp_path))


def blank(folder: Path, units: str) -> Path:
    path = folder / "new.toml"
    assert main(["new", "strut", str(path), "--units", units]) == 0
    return path


def fields(told: dict) -> dict[str, str]:
    return {one["key"]: one["value"] for axle in told["axles"] for row in axle["rows"] for one in row["fields"]}


def test_the_form_shows_what_the_file_says(page: Page) -> None:
    told = page.get("form")
    shown, written = fields(told), tomllib.loads(page.bench.path.read_text("utf-8"))["front"]
    for key, point in written["points"].items():
        assert [shown[f"front.points.{key}.{way}"] for way in ("ahead", "out", "up")] == [
            str(point[way]) for way in ("ahead", "out", "up")
        ]
    assert shown["front.wheel.camber"] == "-2.2"
    assert (told["faults"], told["unit"]) == ([], "mm")


@pytest.mark.parametrize("typed", ["true", "13 5", "12,,5", "?", "", "1e99", "<b>", "99999999"])
def test_each_entry_is_judged_in_the_words_of_the_file(
    typed: str, page: Page, capsys: pytest.CaptureFixture[str]
) -> None:
    before = page.bench.path.read_bytes()
    told = page.post("checked", {"typed": {OUT: typed}})["faults"]
    assert [one["key"] for one in told] == [OUT]
    assert page.bench.path.read_bytes() == before
    line = next(line for line in before.decode().splitlines() if line.startswith("lower_ball_joint  "))
    written = f'"{typed or "?"}"' if not typed.isdigit() else typed
    page.bench.path.write_text(before.decode().replace(line, line.replace("out = 690", f"out = {written}")), "utf-8")
    assert main(["show", str(page.bench.path)]) == 2
    assert f"{OUT}: {told[0]['words']}" in capsys.readouterr().err


def test_only_what_was_typed_changes_in_the_file(page: Page) -> None:
    before = page.bench.path.read_text("utf-8").splitlines()
    seen = page.get("form")["seen"]
    told = page.post("save", {"typed": {OUT: "691.5", "front.wheel.camber": "-2"}, "seen": seen})
    assert fields(told)[OUT] == "691.5"
    after = page.bench.path.read_text("utf-8").splitlines()
    changed = [(one, other) for one, other in zip(before, after, strict=True) if one != other]
    assert [one.split("=")[0].strip() for one, _ in changed] == ["wheel", "lower_ball_joint"]
    assert changed[0][1] == changed[0][0].replace("camber = -2.2", "camber = -2")
    assert changed[1][1] == changed[1][0].replace("out = 690", "out = 691.5")
    assert k.read_car(page.bench.path).front.points["lower_ball_joint"][:, 1] == pytest.approx([691.5, -691.5])


def test_a_sound_file_is_never_spoiled(page: Page) -> None:
    before = page.bench.path.read_bytes()
    seen = page.get("form")["seen"]
    for typed in ("true", "", "2"):  # the last: a ball joint in the middle of the car, which the reader refuses
        told = page.post("save", {"typed": {OUT: typed}, "seen": seen}, status=422)
        assert told["faults"]
        assert page.bench.path.read_bytes() == before


def test_of_two_pages_the_later_one_is_told(page: Page) -> None:
    seen = page.get("form")["seen"]
    page.post("save", {"typed": {OUT: "691"}, "seen": seen})
    before = page.bench.path.read_bytes()
    told = page.post("save", {"typed": {OUT: "692"}, "seen": seen}, status=422)
    assert "was changed since this page read it" in told["faults"][0]
    assert page.bench.path.read_bytes() == before


@pytest.mark.parametrize(
    "key", ["name", "front.suspension", "front.points.wheel_centre.on", "doubt", "front.points.x.out", ""]
)
def test_nothing_else_can_be_written(key: str, page: Page) -> None:
    before = page.bench.path.read_bytes()
    told = page.post("save", {"typed": {key: "1"}, "seen": page.get("form")["seen"]}, status=422)
    assert "is no field of the form" in told["faults"][0]
    assert page.bench.path.read_bytes() == before


def test_a_blank_file_in_inches_is_filled_in_step_by_step(tmp_path: Path) -> None:
    """With the places of the invented car that stand in its comments, as a tape shows them; then it is a car."""
    path = blank(tmp_path, "in")
    page = Page(path)
    told = page.get("form")
    assert len(told["faults"]) == 26
    assert page.request("GET", "/a-key-that-nobody-guesses/car").status == 422
    strut = k.demo_car("lowered_coupe.toml").front
    typed = {"front.wheel.camber": "-1.5", "front.wheel.toe_in": "0.05"}
    for key, at in strut.points.items():
        for way, value in zip(("ahead", "out", "up"), at[0] / 25.4, strict=True):
            whole, eighths = divmod(round(abs(float(value)) * 8), 8)
            text = f"{whole} {eighths}/8" if eighths else f"{whole}"
            typed[f"front.points.{key}.{way}"] = f"-{text}" if value < 0 and text != "0" else text
    half = dict(list(typed.items())[:9])
    told = page.post("save", {"typed": half, "seen": told["seen"]})
    assert len(told["faults"]) == 17
    assert "# centre of the ball" in path.read_text("utf-8")
    rest = {key: value for key, value in typed.items() if key not in half}
    told = page.post("save", {"typed": rest, "seen": told["seen"]})
    assert told["faults"] == []
    assert page.get("car")["car"]["unit"] == "in"
    read = k.read_car(path).front.points["lower_ball_joint"][0]
    assert read == pytest.approx(strut.points["lower_ball_joint"][0], abs=25.4 / 16 + 1e-9)


def test_a_blank_file_takes_nothing_that_cannot_be_read(tmp_path: Path) -> None:
    page = Page(blank(tmp_path, "mm"))
    seen = page.get("form")["seen"]
    told = page.post("save", {"typed": {OUT: "wide"}, "seen": seen}, status=422)
    assert told["faults"][0].startswith("front axle, lower ball joint, out: ")
    assert len(told["faults"]) == 1


@pytest.mark.parametrize(
    ("typed", "degrees"), [("-1 3/4", -1.75), ("-1\N{VULGAR FRACTION THREE QUARTERS}", -1.75), ("-2.25", -2.25)]
)
def test_degrees_take_fractions_as_lengths_do(typed: str, degrees: float, page: Page) -> None:
    assert page.post("checked", {"typed": {"front.wheel.camber": typed}})["faults"] == []
    page.post("save", {"typed": {"front.wheel.camber": typed}, "seen": page.get("form")["seen"]})
    assert np.degrees(k.read_car(page.bench.path).front.camber) == pytest.approx([degrees, degrees])


def test_degrees_that_cannot_be_read_are_refused_without_speaking_of_quotes_that_nobody_typed(page: Page) -> None:
    (told,) = page.post("checked", {"typed": {"front.wheel.camber": "-1 3/0"}})["faults"]
    assert told["words"] == 'read "-1 3/0"; a number, or a fraction such as -1 3/4, is allowed'


def test_the_form_asks_how_well_it_was_measured(tmp_path: Path) -> None:
    """And writes it where every give or take comes from: half of what was first said makes half the doubt."""
    page = Page(laid_open(tmp_path))
    told = page.get("form")
    row = told["axles"][0]["rows"][0]
    assert (row["title"], [one["words"] for one in row["fields"]]) == ("how well it was measured", ["within [mm]"])
    doubts = []
    for typed in ("3", "1.5"):
        page.post("save", {"typed": {"measured_to": typed}, "seen": page.get("form")["seen"]})
        doubt = k.read_car(page.bench.path).front.doubt
        assert doubt is not None
        sizes = zip(doubt.coordinates, doubt.standard_deviation, strict=True)
        doubts += [float(size) for one, size in sizes if (one.of, one.way) == ("lower_ball_joint", "out")]
    assert doubts == [3.0, 1.5]
    assert page.post("checked", {"typed": {"measured_to": "0"}})["faults"]


def test_a_point_that_was_hard_to_reach_says_so(tmp_path: Path) -> None:
    page = Page(laid_open(tmp_path))
    before = page.bench.path.read_text("utf-8")

    def known(typed: str) -> dict[str, float]:
        seen = page.get("form")["seen"]
        page.post("save", {"typed": {"front.points.strut_top.known_to": typed}, "seen": seen})
        doubt = k.read_car(page.bench.path).front.doubt
        assert doubt is not None
        return dict(zip(map(str, doubt.coordinates), map(float, doubt.standard_deviation), strict=True))

    own = known("6")
    assert [own["strut_top up"], own["lower_ball_joint up"]] == [6.0, 2.0]
    assert known("")["strut_top up"] == 2.0
    assert page.bench.path.read_text("utf-8") == before


def test_a_lost_minus_is_told_as_the_other_screens_tell_it(tmp_path: Path) -> None:
    """A top mount ahead of the lower ball joint by 20 mm over 600 mm of height: by hand -1.91 degrees of caster."""
    car = laid_open(tmp_path)
    assert Page(car).get("car")["look_again"] == []
    text = car.read_text("utf-8")
    assert "strut_top         = { ahead = -24," in text
    car.write_text(text.replace("strut_top         = { ahead = -24,", "strut_top         = { ahead = 24,"), "utf-8")
    (told,) = Page(car).get("car")["look_again"]
    assert told.startswith("Look again: front: caster -1.91 deg")
    assert told.endswith("should `ahead` of strut_top be -24 mm, not +24 mm (sign)?")
