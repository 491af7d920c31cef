"""Each kind of change has a caution of its own, and a plan is shown with those that fit it and no others.

Tyres of another size: a wheel of radius r + d goes (r + d) / r as far in a turn, and turns r / (r + d) as often
(formula).
"""

from pathlib import Path

import pytest

from kinematics import read_car
from kinematics.inputs.demo_cars import demo_text
from kinematics.planning.changes import CHANGES, LOAD_CHANGES, Change
from kinematics.planning.plans import Plan
from reports.command_line import main
from reports.words.plan_cautions import before_it_is_driven, full_cautions
from tests.short_run import at_places

WORDS = {"wheel spacer": "studs", "longer ball joint": "pin", "ballast": "bolted", "strut top": "tower"}


def plan(*changes: Change) -> Plan:
    return Plan("tried", changes)


@pytest.mark.parametrize("what", CHANGES)
def test_every_kind_has_one(what: str) -> None:
    one = plan(Change("front", what, by=5.0))
    assert any(f"{what} (" in line for line in before_it_is_driven(one))
    # Toe is asked to be set again where points move, not for springs alone.
    assert any("gauge" in text for text in full_cautions(one)) == (what not in LOAD_CHANGES)


def test_lower_and_higher_differ() -> None:
    lower, higher = (full_cautions(plan(Change("front", "ride height", by=by)))[0] for by in (-20.0, 20.0))
    assert "bump stops" in lower
    assert "droop stops" in higher


def test_two_of_a_kind_are_told_once() -> None:
    twice = plan(Change("front", "ride height", by=-20.0), Change("rear", "ride height", by=-10.0))
    assert " ".join(before_it_is_driven(twice)).count("ride height") == 1
    assert len(full_cautions(twice)) == 2
    assert before_it_is_driven(plan()) == []


@pytest.mark.parametrize("what", at_places(["wheel spacer", "strut top"], 1))
def test_on_the_screen(what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    car = tmp_path / "car.toml"
    car.write_text(demo_text("hill_climb_hatchback.toml"), encoding="utf-8")
    main(["compare", str(car), "--change", what, "out=-4" if what == "strut top" else "6", "--all"])
    shown = " ".join(capsys.readouterr().out.split())
    said = shown.partition("Before it is driven, check ")[2].partition(". ")[0]
    for kind, word in WORDS.items():
        assert (word in said) == (kind == what), said
    for text in full_cautions(plan(Change("front", what, by=6.0))):
        assert text[:60] in shown.replace(" caution ", " ")


@pytest.mark.parametrize("by", at_places([12.0, -9.0], 1))
def test_tyres_of_another_size(by: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    car = tmp_path / "car.toml"
    car.write_text(demo_text("hill_climb_hatchback.toml"), encoding="utf-8")
    radius = float(read_car(car).front.radius[0])
    main(["compare", str(car), "--change", "tyre radius", f"{by}"])
    shown = " ".join(capsys.readouterr().out.replace("\n", " ").split())
    further, longer, less = ("further", "longer", "less") if by > 0.0 else ("less far", "shorter", "more")
    fewer = abs(1.0 - radius / (radius + by))
    assert f"Each turn of the front wheels goes {100 * abs(by) / radius:.1f} % {further}: where they drive" in shown
    assert f"gearing is that much {longer}; a speedometer that they turn shows {100 * fewer:.1f} % {less}" in shown
