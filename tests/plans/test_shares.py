"""What each change of a plan does for a limit: the plan's margin less that of the same plan without it."""

from dataclasses import replace

import pytest

from kinematics import demo_car
from kinematics.judging.verdict import judge
from kinematics.planning.comparison import compare
from kinematics.planning.plans import Plan, carry_out
from tests.plans.garage import change, plan

CHANGES = (change("longer ball joint", by=14.0), change("ride height", by=-6.0), change("rack raised", by=5.0))


def margins_judged_alone(one: Plan) -> dict[tuple[str, str], float]:
    car = demo_car()
    (done,) = carry_out(car, [one])
    found: dict[tuple[str, str], float] = {}
    for finding in judge(done["front"].axle, car.limits):
        key = (finding.limit.key, finding.over)
        found[key] = min(found.get(key, float("inf")), finding.margin)
    return found


def test_leaving_one_out() -> None:
    car = demo_car()
    shares = compare(car, [plan(*CHANGES)], car.limits, []).outcomes[1].shares
    whole = margins_judged_alone(plan(*CHANGES))
    assert len(shares) == len(CHANGES) * len(whole)
    for one in CHANGES:
        without = margins_judged_alone(plan(*(other for other in CHANGES if other != one)))
        for share in (share for share in shares if share.change == one):
            # Alignment to 1e-10 rad moves a roll centre by some 1e-6 mm.
            by_hand = whole[share.key, share.over] - without[share.key, share.over]
            assert share.gain == pytest.approx(by_hand, abs=1e-5), (share.key, share.over)


def test_a_plan_of_one_change_has_no_shares() -> None:
    car = demo_car()
    done = compare(car, [plan(CHANGES[0]), plan(*CHANGES[:2], name="two")], car.limits, [])
    assert done.outcomes[0].shares == done.outcomes[1].shares == ()
    assert {share.change for share in done.outcomes[2].shares} == set(CHANGES[:2])


def test_two_alike_changes_have_a_share_each() -> None:
    car = demo_car()
    half = change("longer ball joint", by=7.0)
    shares = compare(car, [plan(half, replace(half))], car.limits, []).outcomes[1].shares
    first, second = (share for share in shares if (share.key, share.over) == ("roll_centre_height", "ride height"))
    assert first.gain == pytest.approx(second.gain, abs=1e-5)
