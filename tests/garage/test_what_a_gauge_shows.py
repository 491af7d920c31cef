"""What a set-up sheet says a gauge will show: before anything is turned, toe as a length and over travel; its one page.

The invented coupe and its plans. Toe plates show 2 R sin(toe) over the tyre's diameter (formula). What is expected
before the adjusters are turned is held against the finished car with its adjusters turned back: another way there.
"""

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kinematics.car.car import Axle
from kinematics.doubt.assessment import perturbed_axles
from kinematics.inputs.demo_cars import DEMO_CARS, demo_car, demo_text
from kinematics.inputs.plans.plan_file import read_plans
from kinematics.planning.alignment import with_camber_adjusted, with_toe_link_adjusted
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.dismantled import put_together, take_apart
from kinematics.planning.plans import carry_out
from kinematics.setting.came_out import USUAL_KNOWN_TO
from kinematics.setting.set_up import TOLERANCE, set_up
from kinematics.sweeps.body import sweep_bump
from reports.command_line import main
from tests.short_run import at_places
from tests.survey.test_measuring_sheet import filled_in, pages_of

COUPE = demo_car(DEMO_CARS["lowered-coupe"])
PLAN = "rack up, more camber"
WORDS = ["setup", "car.toml", "plans.toml", "--plan", PLAN]
RADIUS = 298.0  # mm, as the car file has it


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "120")
    (tmp_path / "car.toml").write_text(demo_text("lowered_coupe.toml"), encoding="utf-8")
    (tmp_path / "plans.toml").write_text(demo_text("lowered_coupe_plans.toml"), encoding="utf-8")
    return tmp_path


@pytest.fixture
def changed(garage: Path) -> ChangedAxle:
    plans = read_plans([str(garage / "plans.toml")], COUPE).plans
    return carry_out(COUPE, [next(one for one in plans if one.name == PLAN)])[0]["front"]


def sheet(garage: Path, *words: str) -> str:
    """What stands on the one page of the sheet."""
    assert main([*words, "--write", "s.pdf", "--replace"]) == 0
    (page,) = pages_of((garage / "s.pdf").read_bytes()).pages
    return " ".join(page.extract_text().split())


def turned_back(changed: ChangedAxle) -> Axle:
    """The finished car with its adjusters put back to where they were measured."""
    adjusters = COUPE.front.fittings.adjusters
    parts = with_camber_adjusted(take_apart(changed.axle), adjusters, -changed.camber)
    return put_together(with_toe_link_adjusted(parts, -changed.toe_link)).axle


def test_what_shows_before_anything_is_turned(garage: Path, changed: ChangedAxle) -> None:
    """The height moves camber the other way, which is why so little of it takes so much of the plate."""
    before = turned_back(changed)
    camber, toe = (float(np.degrees(angle[0])) for angle in (before.camber, before.toe))
    assert f"the gauge should show camber {camber:+.2f} deg and toe-in {toe:+.2f} deg" in sheet(garage, *WORDS)
    plans = read_plans([str(garage / "plans.toml")], COUPE).plans
    entries = set_up(COUPE, next(one for one in plans if one.name == PLAN), {"front": changed}).entries
    told = [one.before_turning for one in entries if one.before_turning is not None]
    np.testing.assert_allclose(told, [*before.camber, *before.toe], rtol=0.0, atol=1e-9)


def test_toe_as_toe_plates_show_it(garage: Path) -> None:
    text = sheet(garage, *WORDS)
    each = 2.0 * RADIUS * math.sin(math.radians(0.05))
    near = 2.0 * RADIUS * math.sin(math.radians(0.08))
    assert "each wheel +0.05 deg (within 0.08), no. 5 left, no. 6 right; both together +0.10 deg" in text
    assert f"{2.0 * RADIUS:.0f} mm: {each:+.1f} mm each (within {near:.1f}), {2.0 * each:+.1f} mm together" in text
    assert f"front toe-in ({each:+.1f} mm over the tyre; together {2.0 * each:+.1f}) +0.05 ± 0.08 deg" in text


def test_toe_over_travel_is_bump_steer_added_up(garage: Path, changed: ChangedAxle) -> None:
    """At the ends of the working travel of the car file's limits (formula: Gauss and Legendre's quadrature)."""
    text = sheet(garage, *WORDS)
    at, weight = np.polynomial.legendre.leggauss(12)
    for number, travel, way in ((7, -15.0, "down"), (9, 15.0, "up")):
        gained = sweep_bump(changed.axle, 0.5 * travel * (1.0 + at))["bump_steer"] @ (0.5 * travel * weight)
        far = 2.0 * RADIUS * math.sin(float(gained[0]))
        row = f"front toe change, wheel 15 mm {way} ({far:+.1f} mm over the tyre)"
        value = f"{np.degrees(gained[0]):+.2f}"
        assert re.search(rf"{re.escape(row)} [+\-.\d]+ ± 0.05 deg {number} {re.escape(value)} {number + 1} ", text)


def test_how_well_it_is_foretold_is_its_spread_over_cars_as_they_might_be(changed: ChangedAxle) -> None:
    """To first order, by central differences of whole plans on cars with one coordinate off by its doubt (formula)."""
    doubt = COUPE.front.doubt
    assert doubt is not None
    plans = read_plans(["plans.toml"], COUPE).plans
    plan = next(one for one in plans if one.name == PLAN)
    squares = np.zeros(2)
    step = 1e-3
    for source in step * np.eye(len(doubt.sources)):
        toes = []
        for way in (1.0, -1.0):
            axle = perturbed_axles(COUPE.front, doubt, way * source)
            after = carry_out(replace(COUPE, axles=(axle,)), [plan])[0]["front"].axle
            toe = sweep_bump(after, np.array([0.0, 15.0]))["toe"]
            toes.append(toe[:, 1] - toe[:, 0])
        squares += ((toes[0] - toes[1]) / (2.0 * step)) ** 2
    entries = set_up(COUPE, plan, {"front": changed}).entries
    told = [one.known_to for one in entries if one.travel == 15.0]
    np.testing.assert_allclose(told, np.sqrt(squares), rtol=1e-4)


def test_every_tolerance_is_wider_than_the_usual_doubt() -> None:
    assert {one for one, within in TOLERANCE.items() if within <= USUAL_KNOWN_TO[one]} == set()


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("plan", ["tie-rod ends down", "rack up", PLAN])
def test_one_page_without_the_car_files_words(
    plan: str, paper: str, garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the car file lacks is told on the terminal, where it can be mended, not in the garage."""
    text = sheet(garage, "setup", "car.toml", "plans.toml", "--plan", plan, "--paper", paper)
    assert "page 1 of 1" in text
    assert "[front" not in text
    assert "toe_link_thread in [front.adjusters] of the car file" in " ".join(capsys.readouterr().out.split())


def test_what_a_moved_rack_and_body_ask_for(garage: Path) -> None:
    text = sheet(garage, *WORDS)
    steps = [
        "Chock the wheels",
        "Anti-roll bar, where there is one: unhook one drop link",
        "Steering wheel straight and locked: mark the column's joint",
        "Front: fix the steering rack 6 mm higher on the body, both ends alike.",
        "Reconnect the column at its mark",
        "Tighten all that was undone to its torque",
        "Full droop: driveshafts plunge",
        "Lock to lock: column joints free",
        "raise the body 14 mm, to 162 mm (within 2), no. 1 left, no. 2 right of the table below; no more than 2 mm",
        "Begin with strut top 4.8 mm inward, both sides, from where it then is.",
        "Rear axle: left alone here",
        "With all tight",
        "Rack raised: column joints, full lock both ways.",
    ]
    places = [text.index(one) for one in steps]
    assert places == sorted(places)
    assert "14.0" not in text


def test_a_plan_outside_the_cars_limits_says_so(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """On the sheet, the terminal and in the document, with what `compare` tells of the same plan."""
    text = sheet(garage, *WORDS)
    said = re.search(r"OUTSIDE THE LIMITS with this plan: front bump steer (\S+) deg/mm \(-0.0040 to 0.0040", text)
    assert said
    assert said[0] in " ".join(capsys.readouterr().out.split())
    assert main(["compare", *WORDS[1:3], "--all"]) == 1
    assert said[1] in capsys.readouterr().out
    assert main([*WORDS, "--json"]) == 0
    outside = json.loads(capsys.readouterr().out)["outside_limits"]
    assert {one["key"] for one in outside} == {"bump_steer"}
    assert max(one["worst"] for one in outside) == pytest.approx(float(said[1]), abs=5e-5)


def test_a_plan_within_the_limits_says_nothing(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """20 mm higher the coupe holds all that is judged: `compare` says so by its status."""
    change = ["--change", "ride height", "20"]
    assert main(["compare", "car.toml", *change, "--all"]) == 0
    capsys.readouterr()
    assert "OUTSIDE THE LIMITS" not in sheet(garage, "setup", "car.toml", *change)
    assert "OUTSIDE THE LIMITS" not in capsys.readouterr().out


@pytest.mark.parametrize("written", at_places(["0.5 mm", "0,5 mm", "+0.5mm", '1/64"', "0.0197 in"], 1, 3))
def test_toe_written_as_a_length(written: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """0.5 mm over 596 mm are asin(0.5 / 596), 0.048 degrees; 0.4 mm, a 64th of an inch, 0.038 (formula)."""
    assert main([*WORDS, "--write", "s.pdf"]) == 0
    (garage / "f.pdf").write_bytes(filled_in((garage / "s.pdf").read_bytes(), {"5": written, "7": "-1.2 mm"}))
    capsys.readouterr()
    assert main([*WORDS, "--measured", "f.pdf"]) == 0
    out = capsys.readouterr().out
    length = 25.4 / 64 if "/" in written else 0.5
    degrees = math.degrees(math.asin(length / (2.0 * RADIUS)))
    assert re.search(rf"│ +5 │ front left toe-in +│ +\+0.05 │ +\{degrees:+.2f} │", out)
    assert " ".join(out.split()).startswith("2 of 10 numbers came out as planned; left blank: no. 1 to 4, 6, 8 to 10.")


def test_heights_too_far_apart(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each 3.8 mm off, within 1.96 hypot(2.0, 0.1), 3.9 mm; 7.6 mm apart, beyond that times sqrt(2), 5.6 (formula)."""
    assert main([*WORDS, "--write", "s.pdf"]) == 0
    written = {"1": "165.8", "2": "158.2", "1 doubt": "0.1"}
    (garage / "f.pdf").write_bytes(filled_in((garage / "s.pdf").read_bytes(), written))
    capsys.readouterr()
    assert main([*WORDS, "--measured", "f.pdf"]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "front ride heights are 7.6 mm farther apart than planned" in said
    assert "OFF" not in said
    (garage / "f.pdf").write_bytes(filled_in((garage / "s.pdf").read_bytes(), {"1": "162", "2": "160"}))
    assert main([*WORDS, "--measured", "f.pdf"]) == 0


def test_a_length_that_is_none(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*WORDS, "--write", "s.toml"]) == 0
    text = (garage / "s.toml").read_text(encoding="utf-8")
    (garage / "s.toml").write_text(text.replace('no = 5, reads = "?"', 'no = 5, reads = "900 mm"'), encoding="utf-8")
    capsys.readouterr()
    assert main([*WORDS, "--measured", "s.toml"]) == 2
    told = capsys.readouterr().err
    assert 'no. 5 (front left toe-in): read "900 mm"; a number from -10 to 10 degrees is allowed' in told
