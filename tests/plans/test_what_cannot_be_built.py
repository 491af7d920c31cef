"""Plans that do not fit, run out of adjustment, travel or joint angle, or break a rule are told by name."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Car, demo_car
from kinematics.car.lengths import MM
from kinematics.car.limits import Limit
from kinematics.judging.verdict import Finding
from kinematics.planning.changes import Change
from kinematics.planning.comparison import Comparison, Outcome, compare
from kinematics.planning.plans import AS_MEASURED, Plan, Targets, carry_out
from kinematics.planning.refusal import Cause, Refusal
from kinematics.planning.rules import Breach, Rule, hold_against
from reports.words.plans import breach_words, refusal_words
from tests.plans.garage import LEFT_ONLY, change, front_only, plan

BALL_JOINT = change("longer ball joint", by=20.0)
# Pivots 345 mm out, moved a further 200 mm out: the arm of some 340 mm pushes its joint past the wheel.
APART = change("inner pivots", shift=(0.0, 200.0, 0.0))


def outcome(car: Car, one: Plan, rules: Sequence[Rule] = ()) -> Outcome:
    return compare(car, [one], car.limits, rules).outcomes[1]


def told(done: Outcome) -> list[str]:
    return refusal_words(done.troubles, MM)


def with_fittings(**how: object) -> Car:
    car = demo_car()
    return front_only(replace(car.front, fittings=replace(car.front.fittings, **how)), car)


@pytest.mark.campaign
def test_parts_that_do_not_fit() -> None:
    done = outcome(demo_car(), plan(APART))
    (said,) = told(done)
    assert said.startswith("front: the parts do not fit together")
    assert "%" in said
    assert not done.buildable
    # The blame must name a part of the car.
    assert any(part in said for part in ("lower ball joint", "strut", "tie rod"))


@pytest.mark.campaign
def test_a_point_under_the_ground() -> None:
    """By hand: a bush so many mm over the ground, set down by 7 mm more than that, in a body 5 mm lower; as the sum."""
    car = demo_car()
    up = float(car.front.points["lower_pivot_rear"][0, 2])
    down = replace(change("point", shift=(0.0, 0.0, -up - 7.0)), point="lower_pivot_rear")
    said = told(outcome(car, plan(down, change("ride height", by=-5.0))))
    assert "front: lower pivot rear would lie 12.0 mm under the ground" in said
    not_so_deep = replace(down, shift=(0.0, 0.0, 10.0 - up))
    assert not any("under the ground" in one for one in told(outcome(car, plan(not_so_deep))))


def test_one_side_that_does_not_fit() -> None:
    (said,) = told(outcome(demo_car(), plan(replace(APART, sides=LEFT_ONLY))))
    assert said.startswith("front left: the parts do not fit together")


@pytest.mark.campaign
def test_a_plan_that_does_not_fit_leaves_the_others_alone() -> None:
    car = demo_car()
    good = plan(BALL_JOINT, name="good")
    (alone,) = carry_out(car, [good])
    beside = carry_out(car, [good, plan(APART)])[0]
    assert beside["front"].refusals == ()
    assert_allclose(beside["front"].toe_link, alone["front"].toe_link, rtol=0.0, atol=1e-7)
    assert_allclose(beside["front"].axle.toe, car.front.toe, rtol=0.0, atol=1e-9)


@pytest.mark.campaign
def test_changes_that_only_fit_together_have_no_shares() -> None:
    """Without one of the two pivots' moves the other does not fit: there is nothing to compare with."""
    there_and_back = plan(APART, change("inner pivots", shift=(0.0, -200.0, 0.0)), BALL_JOINT)
    done = outcome(demo_car(), there_and_back)
    assert done.troubles == ()
    assert {share.change for share in done.shares} == {BALL_JOINT}


def test_an_adjuster_too_short() -> None:
    # Six millimetres at the strut's top are half a degree.
    wanted = {"front": Targets(camber=math.radians(-4.5))}
    (said,) = told(outcome(demo_car(), plan(targets=wanted)))
    assert said.startswith("front: camber -4.50 deg needs the strut top -")
    assert "allowed -6.0 mm to +6.0 mm" in said
    assert not carry_out(
        with_fittings(adjusters=replace(demo_car().front.fittings.adjusters, camber_range=(-60.0, 60.0))),
        [plan(targets=wanted)],
    )[0]["front"].refusals


@pytest.mark.campaign
def test_a_ball_joint_of_absurd_length() -> None:
    done = outcome(demo_car(), plan(change("longer ball joint", by=200.0)))
    assert done.troubles
    assert not done.buildable


@pytest.mark.parametrize(("by", "stop"), [(-33.0, "bump"), (38.0, "droop")])
def test_travel_gone(by: float, stop: str) -> None:
    # 45 mm to the bump stop, 50 to the droop stop, 15 used either way; 33 mm lower leave 12, 38 higher leave 12.
    done = outcome(
        with_fittings(adjusters=type(demo_car().front.fittings.adjusters)()), plan(change("ride height", by=by))
    )
    (said,) = [text for text in told(done) if "stop" in text]
    assert f"of travel left to the {stop} stop, 15.0 mm is used" in said
    assert 11.5 < float(said.split(": ")[1].split(" mm")[0]) < 12.5
    assert not done.buildable


def test_a_joint_that_turns_too_far() -> None:
    car = with_fittings(joint_angles={"lower_ball_joint": math.radians(4.0), "tie_rod_inner": math.radians(40.0)})
    done = outcome(car, plan(change("ride height", by=-20.0)))
    (said,) = [text for text in told(done) if "turns" in text]
    assert said.startswith("front: the lower ball joint turns ")
    assert said.endswith("4.00 deg is allowed")
    assert outcome(car, AS_MEASURED).troubles == ()


PIVOTS_STAY = Rule("pivots stay", ("inner pivots", "lower_pivot_front", "lower_pivot_rear"))
AT_MOST_25 = Rule("up to 25", ("longer ball joint",), 25.0)
BALLAST = Rule("costs ballast", ("wheel spacer",), math.inf, 15.0)
RULES = (PIVOTS_STAY, AT_MOST_25, BALLAST)

# changes, and (rule, allowed) of each breach
HELD: dict[str, tuple[list[Change], list[tuple[Rule, bool]]]] = {
    "nothing": ([], []),
    "forbidden": ([change("inner pivots", shift=(0.0, 0.0, 1.0))], [(PIVOTS_STAY, False)]),
    "forbidden by point": ([change("point", point="lower_pivot_rear", shift=(0.0, 0.0, 1.0))], [(PIVOTS_STAY, False)]),
    "another point": ([change("point", point="strut_low", shift=(0.0, 0.0, 1.0))], []),
    "forbidden but zero": ([change("inner pivots")], []),
    "just as much": ([change("longer ball joint", by=25.0)], []),
    "too much": ([change("longer ball joint", by=25.1)], [(AT_MOST_25, False)]),
    "too much the other way": ([change("longer ball joint", by=-25.1)], [(AT_MOST_25, False)]),
    "two small steps": ([change("longer ball joint", by=13.0)] * 2, [(AT_MOST_25, False)]),
    "two steps back": ([change("longer ball joint", by=20.0), change("longer ball joint", by=-20.0)], []),
    "one side and both": (
        [change("longer ball joint", by=13.0), change("longer ball joint", by=13.0, sides=LEFT_ONLY)],
        [(AT_MOST_25, False)],
    ),
    "ballast": ([change("wheel spacer", by=5.0)], [(BALLAST, True)]),
    "other axles": ([replace(change("longer ball joint", by=20.0), axle="rear"), BALL_JOINT], []),
}


@pytest.mark.parametrize("name", HELD)
def test_rules(name: str) -> None:
    changes, expected = HELD[name]
    found = hold_against(plan(*changes), RULES, demo_car())
    assert [(breach.rule, breach.allowed) for breach in found] == expected


def test_a_bar_taken_off_is_told_by_its_rate() -> None:
    off = Change("front", "bar rate", 0.0)
    (breach,) = hold_against(plan(off), [Rule("bars stay", ("bar rate",))], demo_car())
    assert breach_words(breach, MM) == 'front bar rate of 0 N/mm is forbidden: "bars stay"'


def test_a_rule_that_names_a_point_is_about_whatever_moves_it() -> None:
    rule = Rule("this bush stays", ("lower_pivot_front",))
    assert hold_against(plan(change("inner pivots", shift=(0.0, 0.0, 5.0))), [rule], demo_car())


def test_a_broken_rule_makes_a_plan_unbuildable_and_ballast_does_not() -> None:
    car = demo_car()
    forbidden = outcome(car, plan(change("inner pivots", shift=(0.0, 0.0, 10.0))), RULES)
    assert not forbidden.buildable
    assert forbidden.troubles == ()
    (breach,) = forbidden.breaches
    why = "forbidden, for the rule states no at_most"
    assert breach_words(breach, car.unit) == f'front inner pivots by 10 mm is {why}: "pivots stay"'
    dearer = outcome(car, plan(change("wheel spacer", by=5.0)), RULES)
    assert dearer.buildable
    assert breach_words(dearer.breaches[0], car.unit) == 'front wheel spacer costs 15 kg of ballast: "costs ballast"'


def test_the_order_of_ranking() -> None:
    """Buildable before all, then how many limits hold, then the worst margin as a part of its limit's range."""

    def finding(margin: float, low: float = 0.0, high: float = 100.0) -> Finding:
        limit = Limit("roll_centre_height", low, high)
        return Finding("front", limit, "travel", "", 0.0, 0.0, margin, (0.0, 0.0), (), ())

    def made(name: str, findings: tuple[Finding, ...], *, broken: bool = False, fits: bool = True) -> Outcome:
        breaches = (Breach(PIVOTS_STAY, BALL_JOINT, False),) if broken else ()
        return Outcome(Plan(name), {}, {}, findings, breaches, () if fits else (Refusal(Cause.DO_NOT_FIT),), ())

    outcomes = (
        made("forbidden", (finding(40.0), finding(40.0)), broken=True),
        made("does not fit", (), fits=False),
        made("one holds", (finding(49.0), finding(-1.0))),
        made("both hold narrowly", (finding(2.0), finding(30.0))),
        # 4 of 1000 mm is less than 2 of 100.
        made("both hold by less", (finding(4.0, 0.0, 1000.0), finding(30.0))),
        made("both hold well", (finding(20.0), finding(30.0))),
        made("one fails by more", (finding(49.0), finding(-5.0))),
    )
    ranked = [one.plan.name for one in Comparison(demo_car(), outcomes).ranked]
    assert ranked[:5] == ["both hold well", "both hold narrowly", "both hold by less", "one holds", "one fails by more"]
    assert set(ranked[5:]) == {"forbidden", "does not fit"}


def test_numbers_that_are_compared_are_those_of_the_changed_car() -> None:
    """Height of the centre of gravity, and of the lowest point, by addition."""
    car = demo_car()
    before, after = compare(car, [plan(change("ride height", by=-9.0))], car.limits, []).outcomes
    values = [{key: one[0] for key, one in done.numbers["front"].items()} for done in (before, after)]
    assert values[0]["centre_of_gravity"] == 510.0
    assert values[1]["centre_of_gravity"] == pytest.approx(501.0, abs=1e-12)
    # The front bush, 148 mm up as measured, comes down with the body.
    assert values[1]["lowest_point"] == pytest.approx(139.0, abs=1e-9)
    assert np.isclose(values[0]["camber"], math.radians(-2.2), atol=1e-9)


# A rule speaks of parts, however the change to them is written: kind of change, single point, or the other way round.


@pytest.mark.parametrize(
    ("rule", "change", "forbidden"),
    [
        (("inner pivots",), Change("front", "point", point="lower_pivot_rear", shift=(0.0, 0.0, 5.0)), True),
        (("inner pivots",), Change("front", "point", point="lower_ball_joint", shift=(0.0, 0.0, 5.0)), False),
        (("lower_pivot_rear",), Change("front", "inner pivots", shift=(0.0, 0.0, 5.0)), True),
        (("longer ball joint",), Change("front", "point", point="lower_ball_joint", shift=(0.0, 0.0, -5.0)), True),
        (("lower_ball_joint",), Change("front", "longer ball joint", 5.0), True),
        (("rack raised",), Change("front", "point", point="tie_rod_inner", shift=(0.0, 0.0, 5.0)), True),
        (("strut top",), Change("front", "point", point="strut_top", shift=(0.0, 5.0, 0.0)), True),
        (("tie-rod shim",), Change("front", "point", point="tie_rod_inner", shift=(0.0, 0.0, 5.0)), False),
        (("point",), Change("front", "inner pivots", shift=(0.0, 0.0, 5.0)), False),
        (("ride height",), Change("front", "point", point="lower_pivot_rear", shift=(0.0, 0.0, 5.0)), False),
        (("bar rate",), Change("front", "bar rate", 30.0), True),
        (("bar rate",), Change("front", "bar rate", 0.0), True),  # a bar taken off
        (("spring rate",), Change("front", "bar rate", 0.0), False),
    ],
)
def test_a_rule_is_about_the_part_that_is_moved(rule: tuple[str, ...], change: Change, *, forbidden: bool) -> None:
    breaches = hold_against(Plan("so", (change,)), [Rule("it stays", rule)], demo_car())
    assert bool(breaches) == forbidden


def test_changes_that_move_one_part_count_together_however_written() -> None:
    ball_joint = Change("front", "longer ball joint", 20.0)

    def lower(by: float) -> Change:
        return Change("front", "point", point="lower_ball_joint", shift=(0.0, 0.0, -by))

    rule = Rule("up to 25", ("longer ball joint",), 25.0)
    # 20 and 4 lower are within 25 mm, 20 and 6 are not; 30 lower by one and 6 higher by the other is 24.
    for changes, held in (((ball_joint, lower(4.0)), True), ((ball_joint, lower(6.0)), False),
                          ((replace(ball_joint, by=30.0), lower(-6.0)), True)):  # fmt: skip
        breaches = hold_against(Plan("so", changes), [rule], demo_car())
        assert (not breaches) == held
    (first, *_) = hold_against(Plan("so", (ball_joint, lower(6.0))), [rule], demo_car())
    assert breach_words(first, MM) == (
        'front longer ball joint and what else moves the same part, in all by 26 mm is more than 25 mm: "up to 25"'
    )


def test_an_amount_over_what_a_rule_allows_is_never_written_like_it() -> None:
    change = Change("front", "longer ball joint", 25.00001)
    (breach,) = hold_against(Plan("so", (change,)), [AT_MOST_25], demo_car())
    assert breach_words(breach, MM) == 'front longer ball joint by 25.00001 mm is more than 25 mm: "up to 25"'
