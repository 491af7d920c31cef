"""What is tried on the page is a plan like any other: the same numbers, verdict and words as the commands give."""

import gc
import re
import time
import tomllib
import weakref
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import kinematics as k
from kinematics.inputs import demo_cars
from kinematics.inputs.plans.plan_file import plans_from
from reports.command_line import main
from tests.page.served import Page, laid_open

JOINT = {"axle": "front", "what": "longer ball joint", "by": 14.0}
LOWER = {"axle": "front", "what": "ride height", "by": -22.0}
TOP = {"axle": "front", "what": "strut top", "out": -3.0, "ahead": 2.0}


@pytest.fixture
def page(tmp_path: Path) -> Page:
    return Page(laid_open(tmp_path))


def planned() -> k.Plan:
    return k.Plan("tried", (k.Change("front", "longer ball joint", 14.0), k.Change("front", "ride height", -22.0)))


def test_numbers_after_changes_are_the_interfaces_own(page: Page) -> None:
    car = page.bench.opened().car
    after = k.carry_out(car, [planned()])[0]["front"].axle
    swept = k.sweep_roll(after, np.radians([0.8]), 5.0)
    told = page.post("position", {"axle": "front", "heave": 5.0, "roll": 0.8, "changes": [JOINT, LOWER]})
    camber = next(one["words"] for one in told["numbers"] if one["key"] == "camber")
    assert camber == [f"{value:+.2f} deg" for value in swept.in_unit("camber")[:, 0]]
    measured = page.post("position", {"axle": "front", "heave": 5.0, "roll": 0.8})
    assert told["ghost"]["views"] == measured["views"]
    assert told["ghost"]["curves"] == measured["curves"]


def test_the_verdict_is_that_of_compare(page: Page) -> None:
    car = page.bench.opened().car
    outcome = k.compare(car, [planned()], page.bench.opened().limits).outcomes[1]
    told = page.post("judged", {"changes": [JOINT, LOWER]})
    assert [one["holds"] for one in told["checks"]] == [one.holds for one in outcome.findings]
    assert told["buildable"] is outcome.buildable
    height = outcome.values("front", "roll_centre_height")[0]
    way = "above" if height > 0 else "below"
    assert f"roll centre {abs(height):.1f} mm {way} ground" in told["headline"]
    assert f"{outcome.holding} of {len(outcome.findings)} checks hold" in told["headline"]
    first = outcome.findings[0]
    assert told["checks"][0]["margin"] == f"{first.margin:+.1f} mm"
    assert [one["entry"]["what"] for one in told["beside"]] == ["longer ball joint", "ride height"]
    assert all(one["caution"] for one in told["beside"])


def test_what_cannot_be_built_is_told_in_words_and_the_car_stays_drawn(page: Page) -> None:
    far = {"axle": "front", "what": "point", "point": "tie_rod_inner", "out": 40.0, "up": 40.0}
    far_too = {"axle": "front", "what": "ride height", "by": -80.0}
    told = page.post("judged", {"changes": [far, far_too]})
    assert not told["buildable"]
    assert told["in_the_way"]
    moved = page.post("position", {"axle": "front", "changes": [far, far_too]})
    assert moved["views"]
    assert moved["views"] != moved["ghost"]["views"]


def test_a_rule_that_is_broken_stands_beside_the_change_that_breaks_it(page: Page) -> None:
    rule = '[[rule]]\nwords = "Ball joints as delivered."\nchanges = "longer ball joint"\n'
    page.bench.plans.write_text(f'units = "mm"\n{rule}', encoding="utf-8")
    told = page.post("judged", {"changes": [JOINT, LOWER]})
    beside = {one["entry"]["what"]: one["broken"] for one in told["beside"]}
    assert "Ball joints as delivered." in beside["longer ball joint"][0]
    assert beside["ride height"] == []
    assert not told["buildable"]


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ({"axle": "front", "what": "longer balljoint", "by": 1.0}, "did you mean longer ball joint?"),
        ({"axle": "rear", "what": "ride height", "by": 1.0}, "the car has no rear axle"),
        ({"axle": "front", "what": "ride height", "by": 4000.0}, "up to 150 mm either way is allowed"),
        ({"axle": "front", "what": "ride height", "by": "<b>"}, "is not a length"),
    ],
)
def test_what_is_no_change_is_told_in_the_words_of_a_plan_file(entry: dict, words: str, page: Page) -> None:
    for path, body in (("position", {"axle": "front", "changes": [entry]}), ("judged", {"changes": [entry]})):
        assert words in " ".join(page.post(path, body, status=422)["faults"])


@pytest.mark.parametrize("name", ["lowered_coupe.toml", "rear_drive_saloon.toml", "five_link_tourer.toml"])
def test_every_slider_is_a_change_that_a_plan_may_make(name: str, tmp_path: Path) -> None:
    """Each, moved by a step or to both its ends, is taken as an entry of a plan file."""
    page = Page(laid_open(tmp_path, name))
    car = page.bench.opened().car
    for axle in page.get("car")["axles"]:
        assert len({one["key"] for one in axle["offers"]}) == len(axle["offers"])
        kinds = {one["entry"]["what"] for one in axle["offers"]}
        assert {"ride height", "tyre radius", "wheel spacer", "point"} <= kinds
        for offer in axle["offers"]:
            for value in {offer["low"], offer["high"]} - {offer["rest"]}:
                entry = {**offer["entry"], offer["way"]: value}
                written = {"units": car.unit.symbol, "plan": [{"name": "one", "change": [entry]}]}
                assert plans_from(written, "page", car).plans[0].changes[0].what == entry["what"]


def test_a_plan_is_kept_as_the_commands_read_it(page: Page, capsys: pytest.CaptureFixture[str]) -> None:
    first = page.get("plans")
    assert (first["plans"], first["file"]) == ([], "my_car_plans.toml")
    body = {"changes": [JOINT, LOWER, TOP], "align": {"front": {"toe_in": 0.1}}, "name": '<b>"low"</b>', "why": "grip"}
    kept = page.post("keep", {**body, "seen": first["seen"]})
    assert [one["name"] for one in kept["plans"]] == ['<b>"low"</b>']
    assert kept["plans"][0]["changes"] == [JOINT, LOWER, TOP]
    assert kept["plans"][0]["align"] == {"front": {"toe_in": 0.1}}
    read = k.read_plans(page.bench.plans, page.bench.opened().car).plans[0]
    assert [(one.what, one.by, one.shift) for one in read.changes] == [
        ("longer ball joint", 14.0, (0.0, 0.0, 0.0)),
        ("ride height", -22.0, (0.0, 0.0, 0.0)),
        ("strut top", 0.0, (2.0, -3.0, 0.0)),
    ]
    assert main(["compare", str(page.bench.path), str(page.bench.plans)]) in (0, 1)
    assert '<b>"low"</b>' in capsys.readouterr().out


def test_what_stood_in_the_plan_file_stays_there(page: Page) -> None:
    before = '# mine\nunits = "in"   # as I measure\n\n[[plan]]\nname = "one"\n'
    before += '[[plan.change]]\nwhat = "ride height"\nby = "-1/2"\n'
    page.bench.plans.write_text(before, encoding="utf-8")
    seen = page.get("plans")
    assert seen["plans"][0]["changes"][0]["by"] == pytest.approx(-12.7)
    page.post(
        "keep", {"changes": [{"axle": "front", "what": "ride height", "by": 25.4}], "name": "two", "seen": seen["seen"]}
    )
    text = page.bench.plans.read_text("utf-8")
    assert text.startswith(before.rstrip("\n"))
    assert tomllib.loads(text)["plan"][1]["change"][0]["by"] == 1.0  # in the file's own inches
    gone = page.post("forget", {"name": "one", "seen": page.get("plans")["seen"]})
    assert [one["name"] for one in gone["plans"]] == ["two"]
    assert page.bench.plans.read_text("utf-8").startswith('# mine\nunits = "in"   # as I measure')


def test_what_was_removed_is_put_back_to_the_letter(page: Page) -> None:
    height = '[[plan.change]]\nwhat = "ride height"\nby = -5\n'
    before = f'# mine\nunits = "mm"\n\n[[plan]]   # the first\nname = "one"\n{height}\n'
    before += f'[[plan]]\nname = "two"\nwhy = "lower"   # said at the track\n{height}'
    page.bench.plans.write_text(before, encoding="utf-8")
    told = page.get("plans")
    assert told["removed"] == ""
    for name in ("one", "two"):
        told = page.post("forget", {"name": name, "seen": told["seen"]})
        assert told["removed"] == name
    assert told["plans"] == []
    assert page.get("plans")["removed"] == "two"  # a page loaded anew knows it too
    told = page.post("put-back", {"seen": told["seen"]})
    assert ([one["name"] for one in told["plans"]], told["removed"]) == (["two"], "one")
    told = page.post("put-back", {"seen": told["seen"]})
    assert page.bench.plans.read_text("utf-8") == before
    assert "none was removed" in page.post("put-back", {"seen": told["seen"]}, status=422)["faults"][0]


def test_what_is_put_back_goes_over_nothing_that_was_written_meanwhile(page: Page) -> None:
    told = page.post("keep", {"changes": [LOWER], "name": "low", "why": "first", "seen": page.get("plans")["seen"]})
    told = page.post("forget", {"name": "low", "seen": told["seen"]})
    page.post("keep", {"changes": [JOINT], "name": "other", "seen": told["seen"]})
    assert "was changed" in page.post("put-back", {"seen": told["seen"]}, status=422)["faults"][0]
    told = page.post("put-back", {"seen": page.get("plans")["seen"]})
    assert [(one["name"], one["why"]) for one in told["plans"]] == [("other", ""), ("low", "first")]
    told = page.post("forget", {"name": "low", "seen": told["seen"]})
    told = page.post("keep", {"changes": [JOINT], "name": "low", "why": "anew", "seen": told["seen"]})
    before = page.bench.plans.read_bytes()
    assert "a plan of that name already" in page.post("put-back", {"seen": told["seen"]}, status=422)["faults"][0]
    assert page.bench.plans.read_bytes() == before


def test_a_plan_file_in_other_letters_is_told_and_left_alone(page: Page) -> None:
    """Read with a letter in place of what is not UTF-8, its owner's words would be written back so."""
    before = 'units = "mm"  # f\xfcr mich\n'.encode("latin-1")
    page.bench.plans.write_bytes(before)
    told = page.post("keep", {"changes": [JOINT], "name": "one", "seen": ""}, status=422)
    assert "line 1 is not UTF-8 text" in told["faults"][0]
    assert page.bench.plans.read_bytes() == before


def test_of_two_pages_the_later_one_is_told(page: Page) -> None:
    seen = page.get("plans")["seen"]
    page.post("keep", {"changes": [JOINT], "name": "first", "seen": seen})
    before = page.bench.plans.read_bytes()
    told = page.post("keep", {"changes": [LOWER], "name": "second", "seen": seen}, status=422)
    assert "was changed since this page read it" in told["faults"][0]
    assert page.bench.plans.read_bytes() == before
    assert "was changed" in page.post("forget", {"name": "first", "seen": seen}, status=422)["faults"][0]
    assert "a plan of that name already" in " ".join(
        page.post("keep", {"changes": [LOWER], "name": "first", "seen": page.get("plans")["seen"]}, status=422)[
            "faults"
        ]
    )
    assert page.bench.plans.read_bytes() == before


def test_plans_are_ranked_as_compare_ranks_them(page: Page) -> None:
    page.bench.plans.write_text(demo_cars.demo_text("lowered_coupe_plans.toml"), encoding="utf-8")
    opened = page.bench.opened()
    read = k.read_plans(page.bench.plans, opened.car)
    compared = k.compare(opened.car, read.plans, opened.limits, read.rules)
    told = page.get("ranked")["ranked"]
    assert [one["name"] for one in told] == [one.plan.name for one in compared.ranked]


def test_a_search_tells_how_far_it_is_and_what_it_found(page: Page, tmp_path: Path) -> None:
    told = page.post("find", {}, status=422)
    assert "is not there yet: say first, on this page, what may be done" in told["faults"][0]
    (tmp_path / "my_car_means.toml").write_text(demo_cars.demo_text("lowered_coupe_means.toml"), encoding="utf-8")
    page.post("find", {})
    state = waited(page)
    assert state["faults"] == []
    best = state["found"]["plans"][0]
    after = page.post("judged", {"changes": best["changes"]})
    assert best["changes"]
    assert best["holds"] is after["holds"] is True
    assert len(state["found"]["trade_off"]) > 2
    for one in state["found"]["plans"]:  # in the check's own unit, with the check's name
        assert re.match(r"[+-][0-9.]+ (mm|deg), [a-z]", one["margin"]), one["margin"]


def test_a_search_that_is_stopped_keeps_what_it_has(page: Page, tmp_path: Path) -> None:
    (tmp_path / "my_car_means.toml").write_text(demo_cars.demo_text("lowered_coupe_means.toml"), encoding="utf-8")
    page.post("find", {})
    page.post("stop", {})
    state = waited(page)
    assert state["found"] is None or state["found"]["stopped"]
    assert state["found"] or state["faults"]


def waited(page: Page) -> dict:
    """The search's state once it is at rest; what is waited for is its own thread, on however busy a machine."""
    while page.get("found")["running"]:
        time.sleep(0.05)
    return page.get("found")


def test_the_ghost_follows_the_body_and_the_file(page: Page) -> None:
    """It is kept while only changes move; where the body or the file does, it is another."""
    first = page.post("position", {"axle": "front", "heave": 3.0, "changes": [JOINT]})["ghost"]
    assert page.post("position", {"axle": "front", "heave": 3.0, "changes": [LOWER]})["ghost"] == first
    other = page.post("position", {"axle": "front", "heave": 4.0, "changes": [LOWER]})["ghost"]
    assert other["views"] == page.post("position", {"axle": "front", "heave": 4.0})["views"] != first["views"]
    text = page.bench.path.read_text("utf-8")
    page.bench.path.write_text(text.replace("out = 741", "out = 745.25"), encoding="utf-8")
    moved = page.post("position", {"axle": "front", "heave": 4.0, "changes": [LOWER]})["ghost"]
    assert moved["views"] == page.post("position", {"axle": "front", "heave": 4.0})["views"] != other["views"]


@pytest.mark.campaign
def test_what_is_kept_of_an_axle_is_never_taken_for_another(page: Page) -> None:
    """It is found by the axle's identity, so that the axle has to live as long; and by the file's version."""
    opened = page.bench.opened()
    axle = k.carry_out(opened.car, [planned()])[0]["front"].axle
    page.bench.ready(axle, opened.reach, 5.0)
    kept = weakref.ref(axle)
    del axle
    gc.collect()
    assert kept() is not None
    other = replace(opened, version="another")
    made = [page.bench.kept(one, ("a key",), object) for one in (opened, other, opened)]
    assert made[0] is made[2] is not made[1]
