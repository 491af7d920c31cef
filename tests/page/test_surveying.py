"""Tape readings on the page: the survey file's own faults, the command's verdict, and the car that fits them."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import kinematics as k
from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.page.browsing import settled
from tests.page.conftest import opened
from tests.page.served import Page, laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SURVEY = "lowered_coupe_survey.toml"
KEY = "front.readings.1.reads"  # height of the lower ball joint


@pytest.fixture
def page(tmp_path: Path) -> Page:
    path = laid_open(tmp_path)
    path.with_name("my_car_survey.toml").write_text(demo_text(SURVEY), encoding="utf-8")
    return Page(path)


def survey_of(page: Page) -> Path:
    return page.bench.path.with_name("my_car_survey.toml")


def test_the_verdict_is_that_of_the_command(page: Page, capsys: pytest.CaptureFixture[str]) -> None:
    (row,) = [one for one in page.get("survey")["axles"][0]["rows"] if one["key"] == KEY]
    assert (row["title"], row["value"], row["points"]) == ("height of lower ball joint", "184", ["lower_ball_joint"])
    (sound,) = page.post("survey-checked", {"typed": {}})["verdicts"]
    assert (sound["suspects"], sound["open"]) == ([], False)
    (told,) = page.post("survey-checked", {"typed": {KEY: "284"}})["verdicts"]
    survey_of(page).write_text(
        demo_text(SURVEY).replace('"lower_ball_joint", reads = 184', '"lower_ball_joint", reads = 284'),
        encoding="utf-8",
    )
    assert main(["survey", str(survey_of(page))]) == 1
    screen = " ".join(capsys.readouterr().out.split())
    assert told["suspects"]
    for words in told["suspects"]:
        assert f"SUSPECT {' '.join(words.split())}" in screen
    assert "readings for" in sound["head"]


def test_what_is_weakly_checked_is_told_as_the_command_tells_it(
    page: Page, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (sound,) = page.post("survey-checked", {"typed": {}})["verdicts"]
    monkeypatch.setenv("COLUMNS", "200")
    main(["survey", str(survey_of(page))])
    printed = capsys.readouterr().out
    table = printed[printed.index("weakly checked:") :].splitlines()
    rows = [line.strip() for line in table[3 : 3 + len(sound["weakly_checked"])]]
    assert rows
    for words, row in zip(sound["weakly_checked"], rows, strict=True):
        *number, named, error, moved, check = [cell.strip() for cell in re.split(r"  +", row)]
        called = f"no. {number[0]} ({named})" if number else named
        assert words.startswith(f"Weakly checked: {called}. An error of ")
        assert error in words
        assert f"move the roll centre by {moved}. To check it, read {check}." in words


def test_what_is_missing_is_told_and_blank_readings_count_as_not_taken(page: Page) -> None:
    rows = page.get("survey")["axles"][0]["rows"]
    blank = {one["key"]: "" for one in rows if "strut_top" in one["points"]}
    (told,) = page.post("survey-checked", {"typed": blank})["verdicts"]
    assert told["open"]
    assert "strut_top" in " ".join(told["missing"]).replace(" ", "_")


@pytest.mark.parametrize("typed", ["12 3", "true", "<b>", "1e99"])
def test_each_reading_is_judged_in_the_words_of_the_file(
    typed: str, page: Page, capsys: pytest.CaptureFixture[str]
) -> None:
    before = survey_of(page).read_bytes()
    (fault,) = page.post("survey-checked", {"typed": {KEY: typed}})["faults"]
    assert fault["key"] == KEY
    seen = page.get("survey")["seen"]
    (line,) = page.post("survey-saved", {"typed": {KEY: typed}, "seen": seen}, status=422)["faults"]
    assert line == f"front axle, height of lower ball joint: {fault['words']}"
    assert survey_of(page).read_bytes() == before
    text = demo_text(SURVEY).replace('"lower_ball_joint", reads = 184', f'"lower_ball_joint", reads = "{typed}"')
    survey_of(page).write_text(text, encoding="utf-8")
    assert main(["survey", str(survey_of(page))]) == 2
    assert fault["words"] in capsys.readouterr().err


def test_only_what_was_typed_changes_in_the_file(page: Page) -> None:
    before = survey_of(page).read_text("utf-8").splitlines()
    seen = page.get("survey")["seen"]
    told = page.post("survey-saved", {"typed": {KEY: "185.5"}, "seen": seen})
    after = survey_of(page).read_text("utf-8").splitlines()
    changed = [(one, other) for one, other in zip(before, after, strict=True) if one != other]
    assert changed == [(changed[0][0], changed[0][0].replace("reads = 184", "reads = 185.5"))]
    assert (
        "was changed since" in page.post("survey-saved", {"typed": {KEY: "1"}, "seen": seen}, status=422)["faults"][0]
    )
    assert page.post("survey-checked", {"typed": {"front.suspension": "x"}}, status=422)["faults"]
    assert told["seen"] != seen


def test_the_car_that_fits_is_that_of_the_command(page: Page, tmp_path: Path) -> None:
    told = page.get("survey")
    assert told["car"] == "my_car_surveyed.toml"
    assert (
        "is there already"
        in page.post("fitted", {"file": "my_car.toml", "seen": told["seen"]}, status=422)["faults"][0]
    )
    page.post("fitted", {"file": told["car"], "seen": told["seen"]})
    assert main(["survey", str(survey_of(page)), str(tmp_path / "other.toml")]) == 0
    for ending in (".toml", "_doubt.csv", "_readings.csv"):
        ours, theirs = ((tmp_path / f"{name}{ending}").read_text("utf-8") for name in ("my_car_surveyed", "other"))
        assert ours == theirs.replace("other_doubt", "my_car_surveyed_doubt")
    assert page.get("car")["car"]["file"] == "my_car_surveyed.toml"
    assert page.get("car")["axles"][0]["doubt"] is True


def test_a_survey_is_begun_for_an_axle(tmp_path: Path) -> None:
    page = Page(laid_open(tmp_path))
    assert page.get("survey")["there"] is False
    told = page.post("survey", {"axle": "front"})
    assert main(["sheet", "strut", str(tmp_path / "other.toml")]) == 0
    assert survey_of(page).read_text("utf-8") == (tmp_path / "other.toml").read_text("utf-8")
    assert len(told["axles"][0]["rows"]) > 40
    assert page.post("survey", {"axle": "front"}, status=422)["faults"]
    assert page.post("survey", {"axle": "rear"}, status=422)["faults"]


@pytest.mark.campaign
def test_from_readings_to_a_car_with_the_browser_alone(browser: "Browser", tmp_path: Path) -> None:
    """The demo's own readings, typed into the blank that the page writes, as far as it asks for them."""
    with opened(None, folder=tmp_path) as (address, running):
        page = browser.new_page(viewport={"width": 820, "height": 1180})
        page.goto(address)
        page.locator("#begin-survey").click()
        page.locator("#reading-rows input").first.wait_for()
        assert page.locator("#survey").get_attribute("open") is not None
        page.locator('[data-key="front.left.wheel.camber"]').fill("-2.2")
        strut = k.demo_car("lowered_coupe.toml").front
        up = page.locator("label.reading", has_text="height of lower ball joint").locator("input")
        up.focus()
        assert page.locator("#drawing .chosen").count() == 2
        up.fill("x")
        settled(page)
        assert "is not a length" in " ".join(page.locator("#reading-rows .bad:not(:empty)").all_inner_texts())
        for row in page.locator("label.reading").all():
            words, _, _ = row.locator("span").first.inner_text().partition(" no. ")
            row.locator("input").fill(read(" ".join(words.split()), strut))
        settled(page)
        assert "Nothing to suspect." in page.locator("#verdict-of-readings").inner_text()
        page.locator("#save-readings").click()
        settled(page)
        page.locator("#fit-car").click()
        page.wait_for_selector("#numbers tbody tr")
        settled(page)
        page.close()
        assert running.poll() is None
    fitted = k.read_car(tmp_path / "my_car.toml").front
    for key, place in strut.points.items():
        assert fitted.points[key] == pytest.approx(place, abs=1.0), key


@pytest.mark.campaign
def test_a_survey_in_inches_says_so_in_words(browser: "Browser", tmp_path: Path) -> None:
    with opened(None, folder=tmp_path) as (address, _):
        page = browser.new_page()
        page.goto(address)
        page.locator("#blank-units").select_option("in")
        page.locator("#begin-survey").click()
        page.locator("#reading-rows input").first.wait_for()
        assert page.locator("#reading-rows h3").inner_text() == "front axle, strut and lower arm; lengths in inches"
        page.close()


def read(words: str, axle: k.Axle) -> str:
    """What a reading in these words shows on a car, to a tenth; blank where it is an angle."""
    at = {key.replace("_", " "): place[0] for key, place in axle.points.items()}
    at |= {f"left {name}": place for name, place in at.items()}
    at |= {f"right {key.replace('_', ' ')}": place[1] for key, place in axle.points.items()}
    if words.endswith("camber"):
        return "-2.2"
    if words.endswith("toe-in"):
        return "0.05"
    if words.startswith("height of "):
        return f"{at[words.removeprefix('height of ')][2]:.1f}"
    if words.startswith("tape, "):
        one, other = (at[name] for name in words.removeprefix("tape, ").split(" to "))
        return f"{float(((one - other) ** 2).sum()) ** 0.5:.1f}"
    if words.endswith(", out from the centre line"):
        return f"{abs(at[words.split(',', maxsplit=1)[0]][1]):.1f}"
    if words.endswith(", ahead of the hubs' line"):
        return f"{at[words.split(',', maxsplit=1)[0]][0]:.1f}"
    if words == "track":
        return f"{float(axle.contact[0][1] - axle.contact[1][1]):.1f}"
    return ""
