"""Plan files: sound ones are read in either unit, faulty ones are told in full."""

import math
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kinematics import Car, InputFaultError, demo_car
from kinematics.car.lengths import INCH, as_written
from kinematics.inputs.demo_cars import demo_plans
from kinematics.inputs.plans.plan_file import plans_from, read_plans
from kinematics.inputs.plans.plan_text import plan_text
from kinematics.planning.changes import Change
from kinematics.planning.plans import Plan, carry_out
from kinematics.planning.rules import Rule, hold_against
from tests.plans.garage import LEFT_ONLY, front_only, typical

FAULTY = tomllib.loads((Path(__file__).parent / "faulty_plans.toml").read_text(encoding="utf-8"))["faulty"]


@pytest.mark.parametrize("entry", FAULTY, ids=lambda entry: entry["what"])
def test_a_faulty_file_is_told_in_full(entry: dict[str, Any], tmp_path: Path) -> None:
    path = tmp_path / "plans.toml"
    path.write_text(entry["text"], encoding="utf-8")
    with pytest.raises(InputFaultError) as told:
        read_plans([path], demo_car())
    lines = [str(fault) for fault in told.value.faults]
    assert len(lines) == len(entry["says"]), lines
    for line, said in zip(lines, entry["says"], strict=True):
        assert said in line
    assert str(told.value).startswith(f"{path}: {len(lines)} fault")


IN_MM = """
units = "mm"
[[plan]]
name = "a"
[[plan.change]]
what = "longer ball joint"
by = 12.7
side = "left"
[[plan.change]]
what = "inner pivots"
ahead = -3.175
up = 25.4
[[plan]]
name = "b"
on_top_of = "a"
align.front = { camber = -2.5, toe_in = -0.1 }
[[rule]]
words = "half an inch"
changes = "longer ball joint"
at_most = 12.7
ballast_kg = 10
"""
IN_INCHES = IN_MM.replace('"mm"', '"in"').replace("12.7", '"1/2"').replace("-3.175", "-0.125").replace("25.4", "1")


def test_inches_are_the_same_as_millimetres() -> None:
    in_mm, in_inches = (plans_from(tomllib.loads(text), "plans", demo_car()) for text in (IN_MM, IN_INCHES))
    for one, other in zip(in_mm.plans, in_inches.plans, strict=True):
        assert one.targets == other.targets
        for change, same in zip(one.changes, other.changes, strict=True):
            assert same.by == pytest.approx(change.by, abs=1e-12)
            assert same.shift == pytest.approx(change.shift, abs=1e-12)
            assert replace(same, by=change.by, shift=change.shift) == change
    assert in_inches.rules[0].at_most == pytest.approx(12.7, abs=1e-12)
    assert in_inches.rules[0].ballast == in_mm.rules[0].ballast == 10.0


def test_what_a_file_says_is_what_is_planned() -> None:
    first, second = plans_from(tomllib.loads(IN_MM), "plans", demo_car()).plans
    joint, pivots = first.changes
    assert (joint.axle, joint.what, joint.by, joint.sides) == ("front", "longer ball joint", 12.7, LEFT_ONLY)
    assert (pivots.what, pivots.shift, pivots.sides) == ("inner pivots", (-3.175, 0.0, 25.4), (1.0, 1.0))
    assert second.changes == first.changes
    assert second.targets["front"].camber == pytest.approx(math.radians(-2.5), abs=1e-15)


def test_a_later_file_stands_on_an_earlier_one(tmp_path: Path) -> None:
    (tmp_path / "first.toml").write_text(IN_MM, encoding="utf-8")
    (tmp_path / "second.toml").write_text(
        'units = "mm"\nplan = [{ name = "c", on_top_of = "b", change = [{ what = "ride height", by = 2 }] }]',
        encoding="utf-8",
    )
    read = read_plans([tmp_path / "first.toml", tmp_path / "second.toml"], demo_car())
    assert [one.name for one in read.plans] == ["a", "b", "c"]
    assert [one.what for one in read.plans[2].changes] == ["longer ball joint", "inner pivots", "ride height"]
    assert len(read.rules) == 1
    with pytest.raises(InputFaultError):
        read_plans([tmp_path / "second.toml", tmp_path / "first.toml"], demo_car())


def test_a_car_of_wishbones_has_no_strut_top() -> None:
    car: Car = front_only(typical("double wishbone"), demo_car())
    written = tomllib.loads('units = "mm"\nplan = [{ name = "a", change = [{ what = "strut top", out = -3 }] }]')
    with pytest.raises(InputFaultError, match="a double wishbone has no strut"):
        plans_from(written, "plans", car)


def test_the_built_in_plans_can_be_carried_out() -> None:
    plans = demo_plans().plans
    assert [one["front"].refusals for one in carry_out(demo_car(), plans)] == [()] * len(plans)


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_plan_of_one_side_comes_back(side: str, tmp_path: Path) -> None:
    sides = (1.0, 0.0) if side == "left" else (0.0, 1.0)
    made = Plan("one", (Change("front", "longer ball joint", 6.0, sides=sides),))
    text = plan_text([made], [], demo_car().unit)
    assert tomllib.loads(text)["plan"][0]["change"][0]["side"] == side
    (tmp_path / "plans.toml").write_text(text, encoding="utf-8")
    (read,) = read_plans([str(tmp_path / "plans.toml")], demo_car()).plans
    assert read.changes == made.changes


def test_a_plan_is_written_as_its_owner_writes_amounts(tmp_path: Path) -> None:
    """Half an inch as "1/2", what is no fraction of a tape as a decimal; read back it is the same."""
    made = Plan(
        "one",
        (
            Change("front", "longer ball joint", 12.7),
            Change("front", "ride height", -1.625 * 25.4),
            Change("front", "inner pivots", shift=(0.0, 0.3 * 25.4, 2.0 * 25.4)),
        ),
    )
    rule = Rule("Ball joints are free, up to 3/4 in.", ("longer ball joint",), at_most=0.75 * 25.4)
    text = plan_text([made], [rule], as_written(INCH, {"by": "5/8"}))
    for line in ('by = "1/2"', 'by = "-1 5/8"', "out = 0.3", "up = 2", 'at_most = "3/4"'):
        assert line in text.splitlines()
    assert "by = 0.5" in plan_text([made], [], INCH).splitlines()
    (tmp_path / "plans.toml").write_text(text, encoding="utf-8")
    read = read_plans([tmp_path / "plans.toml"], demo_car())
    assert read.plans[0].changes == made.changes
    assert read.rules[0].at_most == pytest.approx(0.75 * 25.4, abs=1e-12)


@pytest.mark.parametrize(("up", "allowed"), [(5.0, True), (-5.0, False)])
def test_a_shim_goes_down_where_a_rule_counts_it_with_another_move(up: float, allowed: bool) -> None:
    """8 mm down by the shim, and 5 back up: in all 3, where 6 are allowed; 5 more down are 13 (formula)."""
    moves = (
        Change("front", "tie-rod shim", 8.0),
        Change("front", "point", shift=(0.0, 0.0, up), point="tie_rod_outer"),
    )
    rule = Rule("Tie-rod ends stay within 6 mm.", ("tie-rod shim", "point"), at_most=6.0)
    breaches = [one for one in hold_against(Plan("one", moves), [rule], demo_car()) if not one.allowed]
    assert bool(breaches) != allowed
    assert [one.in_all for one in breaches] == [pytest.approx(13.0)] * len(breaches)
