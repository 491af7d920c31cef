"""Opened with no car: a blank of each type, or a demo car, written as `new` and `demo` write them, over nothing."""

import tempfile
from pathlib import Path

import pytest

import kinematics as k
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.demo_cars import DEMO_CARS, DEMO_MEANS, demo_text
from reports.command_line import main
from tests.page.served import Page


@pytest.fixture
def page(tmp_path: Path) -> Page:
    return Page.empty(tmp_path)


def test_everything_there_is_can_be_begun_with(page: Page) -> None:
    told = page.get("begin")
    assert told["open"] is False
    assert [one["name"] for one in told["kinds"]] == list(SUSPENSIONS)
    assert [one["name"] for one in told["demos"]] == list(DEMO_CARS)
    assert (told["file"], told["folder"]) == ("my_car.toml", str(page.desk.folder.resolve()))
    assert "no car is open yet" in page.request("GET", "/a-key-that-nobody-guesses/car").json()["faults"][0]


@pytest.mark.parametrize("kind", SUSPENSIONS)
def test_a_blank_is_that_of_the_command_and_its_picture_shows_every_point(
    kind: str, page: Page, tmp_path: Path
) -> None:
    page.post("begin", {"what": "blank", "which": kind, "file": "mine", "units": "in", "axle": "rear"})
    assert main(["new", kind, str(tmp_path / "other.toml"), "--units", "in", "--axle", "rear"]) == 0
    assert (tmp_path / "mine.toml").read_text("utf-8") == (tmp_path / "other.toml").read_text("utf-8")
    (axle,) = page.get("form")["axles"]
    asked = {row["point"] for row in axle["rows"]} - {None}
    marks = axle["picture"]["views"]["front"]["marks"]
    assert asked == {one["point"] for one in marks}
    assert {one["look"] for one in marks} == {"joint"}  # nothing that looks like a result
    points = {point.key: point for point in SUSPENSIONS[kind].points}
    for one in marks:
        if one["side"] == "left":  # the car's left is on the right; the picture stands as the type's own example does
            _, out, up = points[one["point"]].typical
            assert one["at"] == pytest.approx([out, up], abs=6.0), one


@pytest.mark.parametrize("name", DEMO_CARS)
def test_a_demo_car_comes_with_what_goes_with_it(name: str, page: Page, tmp_path: Path) -> None:
    page.post("begin", {"what": "demo", "which": name, "file": "shown.toml"})
    assert k.read_car(tmp_path / "shown.toml").name == k.demo_car(DEMO_CARS[name]).name
    if name in DEMO_MEANS:
        assert (tmp_path / "shown_means.toml").read_text("utf-8") == demo_text(DEMO_MEANS[name])
    assert page.get("car")["car"]["file"] == "shown.toml"
    assert page.get("begin") == {"open": True}
    told = page.post("begin", {"what": "demo", "which": name, "file": "again.toml"}, status=422)
    assert "is open already" in told["faults"][0]


def test_nothing_is_written_over(page: Page, tmp_path: Path) -> None:
    (tmp_path / "my_car.toml").write_text("mine", encoding="utf-8")
    (tmp_path / "their_car_means.toml").write_text("mine too", encoding="utf-8")
    assert page.get("begin")["file"] == "my_car_2.toml"
    for file in ("my_car.toml", "their_car.toml"):
        asked = {"what": "demo", "which": "lowered-coupe", "file": file}
        assert "is there already" in page.post("begin", asked, status=422)["faults"][0]
    left = {path.name: path.read_text("utf-8") for path in tmp_path.iterdir()}
    assert left == {"my_car.toml": "mine", "their_car_means.toml": "mine too"}


@pytest.mark.parametrize(
    "file", ["", " ", "../up.toml", "/tmp/there.toml", "a/b.toml", "a\\b.toml", ".hidden", "a\nb", "c:d", "x" * 81]
)
def test_only_a_plain_name_in_this_folder(file: str, page: Page, tmp_path: Path) -> None:
    assert page.post("begin", {"what": "blank", "which": "strut", "file": file}, status=422)["faults"]
    assert list(tmp_path.iterdir()) == []
    assert page.get("begin")["open"] is False


@pytest.mark.parametrize(
    "asked",
    [{"what": "blank", "which": "struts"}, {"what": "demo", "which": "coupe"}, {"what": "else", "which": "strut"}],
)
def test_what_there_is_not(asked: dict, page: Page, tmp_path: Path) -> None:
    assert page.post("begin", {**asked, "file": "a.toml"}, status=422)["faults"]
    assert list(tmp_path.iterdir()) == []


def test_a_table_becomes_the_car_of_the_command(page: Page, tmp_path: Path) -> None:
    points = k.demo_car("lowered_coupe.toml").front.points
    rows = [f"{key},{place[0][0]},{place[0][1]},{place[0][2]}" for key, place in points.items()]
    text = "\n".join(["name,x,y,z", *rows]) + "\n"
    asked = {"text": text, "name": "mine.csv", "which": "strut", "unit": "mm", "forward": "+x", "up": "+z"}
    asked |= {"camber": -2.2, "toe": 0.05, "ground": 0.0, "file": "mine.toml"}
    told = page.post("begin-table", {**asked, "text": text.replace("strut_top", "top")}, status=422)
    assert told["source"] == "mine.csv"
    assert told["faults"]
    assert tempfile.gettempdir() not in " ".join([told["source"], *told["faults"]])
    told = page.post("begin-table", {**asked, "camber": 50}, status=422)
    assert told["faults"] == ["Camber: read 50; -15 to 15 degrees are allowed"]
    assert list(tmp_path.iterdir()) == []
    page.post("begin-table", asked)
    (tmp_path / "mine.csv").write_text(text, encoding="utf-8")
    options = [
        "--suspension",
        "strut",
        "--unit",
        "mm",
        "--forward",
        "+x",
        "--up",
        "+z",
        "--ground",
        "0",
        "--camber=-2.2",
        "--toe",
        "0.05",
    ]
    assert main(["import", str(tmp_path / "mine.csv"), str(tmp_path / "other.toml"), *options]) == 0
    ours, theirs = ((tmp_path / f"{name}.toml").read_text("utf-8") for name in ("mine", "other"))
    assert ours.replace("mine", "other") == theirs.replace("mine", "other")
    assert k.read_car(tmp_path / "mine.toml").front.points["strut_top"] == pytest.approx(points["strut_top"])


@pytest.mark.parametrize("wrong", [{"forward": "ahead"}, {"text": ""}, {"which": "struts"}, {"name": "../../x"}])
def test_a_table_that_is_none(wrong: dict, page: Page, tmp_path: Path) -> None:
    asked = {"text": "name,x,y,z\nnothing,1,2,3\n", "which": "strut", "file": "mine.toml", **wrong}
    assert page.post("begin-table", asked, status=422)["faults"]
    assert list(tmp_path.iterdir()) == []
