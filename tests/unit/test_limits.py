"""Limits and the verdict, on hand-made curves whose crossings are known."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import pytest

from kinematics import demo_car, judge
from kinematics.car.car import Axle
from kinematics.car.lengths import INCH, MM
from kinematics.car.limits import (
    COMMON_PRACTICE,
    FORCE_WEIGHTED,
    ROLL_CENTRE,
    STATED,
    Limit,
    Limits,
    Origin,
    Over,
    WorkingRange,
)
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.judging import verdict
from kinematics.judging.verdict import Finding, worst_combined
from kinematics.motion.moving_axle import MovingAxle
from kinematics.motion.reasons import Gap, Reason
from kinematics.numbers.outer_share import OuterShare
from kinematics.sweeps.body import Sweep, sweep_roll
from kinematics.sweeps.gaps import Gaps
from reports.words.gaps import gap_words
from reports.words.verdict import combined_words, ranges_words, sentence, short_range, summary
from solvers.vectors import Array

Law = Callable[[Array], Array]
HEIGHT, WEIGHTED, CAMBER = "roll_centre_height", "force_weighted_height", "camber"
INF = math.inf
ALONG = "over the working travel (-40.0 to +60.0 mm, usual)"
LEANING = "over the working roll (2 deg either way, usual)"


@dataclass
class HandMade:
    """Sweeps in which the numbers follow laws of the driver: travel [mm] or roll [rad].

    ends: beyond which driver nothing is reached, and why.
    """

    laws: Mapping[str, Law]
    ends: tuple[float, Reason] | None = None
    asked: list[Array] = field(default_factory=list)
    shares: list[OuterShare] = field(default_factory=list)

    def bump(self, ready: MovingAxle, travel: Array, *, outer_share: OuterShare, only: object = None) -> Sweep:
        del only
        return self._sweep(
            ready.axle, outer_share, travel, {"travel": np.stack([travel, travel]), "roll": np.zeros_like(travel)}
        )

    def roll(self, ready: MovingAxle, roll: Array, *, outer_share: OuterShare, only: object = None) -> Sweep:
        del only
        return self._sweep(ready.axle, outer_share, roll, {"travel": np.zeros((2, roll.size)), "roll": roll})

    def _sweep(self, axle: Axle, share: OuterShare, driver: Array, values: dict[str, Array]) -> Sweep:
        self.asked.append(driver)
        self.shares.append(share)
        # The common limits for both heights are judged besides; here they hold.
        values |= {HEIGHT: np.zeros_like(driver), WEIGHTED: np.zeros_like(driver)} | {
            key: law(driver) for key, law in self.laws.items()
        }
        track = np.array([[740.0], [-740.0]]) + np.zeros_like(driver)
        values |= {CAMBER: np.zeros((2, driver.size))} if CAMBER not in values else {}
        # Unless a law says otherwise, the roll centre stays on the centre plane: it never goes round by infinity.
        values = {"roll_centre_offset": np.zeros_like(driver)} | values | {"contact_y": track}
        gaps = Gaps.none(*driver.shape)
        if self.ends is not None:
            gaps = gaps.put(driver > self.ends[0], self.ends[1])
        values = {key: np.where(gaps.there, np.nan, one) for key, one in values.items()}
        return Sweep(axle, "bump", driver.shape, values, ~gaps.there, gaps)


LOCK = Reason(Gap.LOCKED, "front", "left", False, (31.0,), joints=("lower ball joint to lower pivot front",))


def findings_of(
    monkeypatch: pytest.MonkeyPatch, made: HandMade, limit: Limit, working: WorkingRange | None = None
) -> list[Finding]:
    """Judge hand-made sweeps by one limit; working travel is -40 to 60 mm and roll 2 deg unless said."""
    monkeypatch.setattr(verdict, "sweep_bump", made.bump)
    monkeypatch.setattr(verdict, "sweep_roll", made.roll)
    working = working or WorkingRange(-40.0, 60.0, math.radians(2.0))
    found = judge(demo_car().front, Limits(working, {"front": (limit,)}))
    return [finding for finding in found if finding.limit.key == limit.key]


def both(law: Law) -> Law:
    """A law of both sides alike."""
    return lambda driver: np.stack([law(driver)] * 2)


def degrees(law: Law) -> Law:
    """A law written in degrees."""
    return lambda driver: np.radians(law(driver))


def camber_limit(low: float, high: float, *over: Over) -> Limit:
    return Limit(CAMBER, math.radians(low), math.radians(high), over)


def falling(driver: Array) -> Array:
    """30 mm at ride height, 1 mm less for each mm of bump."""
    return 30.0 - driver


def test_distance_inside_a_range() -> None:
    limit = Limit(HEIGHT, -25.4, 76.2)
    values = np.array([0.0, 70.0, -25.4, 80.0, -30.0, np.nan, np.inf, -np.inf])
    assert limit.margin(values) == pytest.approx([25.4, 6.2, 0.0, -3.8, -4.6, -INF, -INF, -INF])


def test_distance_inside_a_range_open_at_one_end() -> None:
    assert Limit(CAMBER, -INF, 1.0).margin(np.array([-50.0, 3.0])) == pytest.approx([51.0, -2.0])
    assert Limit(CAMBER, 1.0, INF).margin(np.array([-50.0, 3.0])) == pytest.approx([-51.0, 2.0])


def test_a_front_axle_without_its_own_limits_is_asked_the_rule_of_thumb() -> None:
    camber = Limit(CAMBER, 0.0, 1.0)
    own = Limit(HEIGHT, 0.0, 1.0)
    front = demo_car().front
    limits = Limits(by_axle={"front": (camber,)})
    assert limits.of(front) == (ROLL_CENTRE, FORCE_WEIGHTED, camber)
    assert Limits().of(front) == (ROLL_CENTRE, FORCE_WEIGHTED)
    # What the file asks of the one height leaves the other's limit as it is.
    assert Limits(by_axle={"front": (own,)}).of(front) == (FORCE_WEIGHTED, own)


def test_the_rule_of_thumb_is_asked_at_ride_height_and_of_the_weighted_height_in_roll() -> None:
    # 1 in below to 3 in above the ground (common practice, no source).
    assert (ROLL_CENTRE.key, ROLL_CENTRE.over) == (HEIGHT, ("ride height",))
    assert (FORCE_WEIGHTED.key, FORCE_WEIGHTED.over) == (WEIGHTED, ("roll",))
    for limit in (ROLL_CENTRE, FORCE_WEIGHTED):
        assert (limit.low, limit.high) == pytest.approx((-25.4, 3 * 25.4), rel=1e-14)


def test_the_rule_of_thumb_is_not_for_rear_axles_and_live_axles() -> None:
    front = demo_car().front
    assert Limits().of(replace(front, name="rear")) == ()
    assert Limits().of(replace(front, suspension=SUSPENSIONS["live axle with three links"])) == ()


def test_with_usual_limits_a_strut_is_not_judged_over_travel_nor_by_the_point_that_runs_off_in_roll() -> None:
    found = judge(demo_car().front, Limits())
    assert [(one.limit.key, one.over) for one in found] == [(HEIGHT, "ride height"), (WEIGHTED, "roll")]


def test_the_outer_wheels_share_is_reached_at_the_end_of_the_working_roll(monkeypatch: pytest.MonkeyPatch) -> None:
    made = HandMade({})
    findings_of(monkeypatch, made, camber_limit(-3.0, 3.0, "roll"), WorkingRange(roll=math.radians(1.3)))
    assert set(made.shares) == {OuterShare(0.7, math.radians(1.3))}


def test_over_the_working_range_travel_and_roll_are_combined() -> None:
    """The worst of a grid of single cars, each placed by itself."""
    axle = demo_car().front
    working = WorkingRange(-15.0, 15.0, math.radians(1.2))
    limits = Limits(working, {"front": (Limit(WEIGHTED, -25.4, 76.2, ("working range",)),)})
    (found,) = [one for one in judge(axle, limits) if one.over == "working range"]
    combined = worst_combined(axle, limits)
    assert combined is not None
    share = OuterShare(0.7, working.roll)
    ends = [
        (heave, roll, float(sweep_roll(axle, np.array([roll]), heave, outer_share=share)[WEIGHTED][0]))
        for heave in (-15.0, 0.0, 15.0)
        for roll in (-working.roll, 0.0, working.roll)
    ]
    lowest = min(value for *_, value in ends)
    for one in (found, combined):
        assert one.worst == pytest.approx(lowest, abs=1e-6)
        assert (one.at, abs(one.at_roll)) == pytest.approx((15.0, working.roll))
        assert one.margin == pytest.approx(lowest + 25.4, abs=1e-6)
    # The body lowered 15 mm and leaning is worse than either alone.
    assert all(lowest < value - 1.0 for heave, roll, value in ends if heave > -15.0 or roll == 0.0)
    said = sentence(found, MM)
    assert "over the working range (travel -15.0 to +15.0 mm with roll 1.2 deg either way, usual)" in said
    assert "at +15.0 mm of travel with -1.2 deg of roll" in said


def test_where_a_range_comes_from_is_told() -> None:
    working = WorkingRange(-15.0, 15.0, math.radians(1.2), travel_from=Origin.STATED)
    over: tuple[Over, ...] = ("travel", "roll", "working range")
    found = judge(demo_car().front, Limits(working, {"front": (Limit(WEIGHTED, -1.0, 1.0, over),)}))
    by_over = {one.over: sentence(one, MM) for one in found}
    assert "(-15.0 to +15.0 mm, from the file)" in by_over["travel"]
    assert "(1.2 deg either way, usual)" in by_over["roll"]
    assert "(travel -15.0 to +15.0 mm, from the file with roll 1.2 deg either way, usual)" in by_over["working range"]
    both = re.findall(r"(travel|roll) ([^()]*?) \((from the file|usual)\)", ranges_words(working, MM))
    assert [(what, source) for what, _, source in both] == [("travel", "from the file"), ("roll", "usual")]
    assert [re.findall(r"[-+.\d]+", told) for _, told, _ in both] == [["-15.0", "+15.0"], ["1.2"]]


def test_the_worst_of_travel_and_roll_at_once_is_inside_or_outside() -> None:
    """Lowered 15 mm and leaning, the height is some -11 mm (found above): inside to -25.4 mm, outside to 0."""
    axle, working = demo_car().front, WorkingRange(-15.0, 15.0, math.radians(1.2))
    for low, held in ((-1000.0, "inside"), (1000.0, "outside")):
        limits = Limits(working, {"front": (Limit(WEIGHTED, low, 2000.0, ("ride height",)),)})
        combined = worst_combined(axle, limits)
        assert combined is not None
        said = combined_words(combined, MM)
        assert {word for word in ("inside", "outside") if word in said} == {held}
        # Where: travel in mm, then roll, which the rule of thumb's test above finds.
        assert f"{combined.at:+.1f} mm, {math.degrees(combined.at_roll):+.1f} deg" in said


def test_what_no_file_states_is_starred() -> None:
    assert short_range(Limit(HEIGHT, -1.0, 1.0, ("ride height",), STATED), MM) == "-1.0 to 1.0"
    assert short_range(Limit(HEIGHT, -1.0, 1.0, ("ride height",), COMMON_PRACTICE), MM) == "-1.0 to 1.0 *"
    assert short_range(Limit(HEIGHT, -INF, 1.0, ("ride height",), STATED), MM) == "up to 1.0"
    assert short_range(Limit(HEIGHT, -1.0, INF, ("ride height",), STATED), MM) == "-1.0 or more"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0.2004, "+0.2004 deg, allowed up to +0.20 deg, 0.0004 deg too high"),
        (0.206, "+0.21 deg, allowed up to +0.20 deg, 0.01 deg too high"),
        (0.21, "+0.21 deg, allowed up to +0.20 deg, 0.01 deg too high"),
        (0.2 + 1e-12, "+0.20 deg, allowed up to +0.20 deg"),
    ],
)
def test_what_is_outside_never_reads_as_if_it_were_not(
    value: float, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = HandMade({CAMBER: both(degrees(lambda driver: np.full_like(driver, value)))})
    (found,) = findings_of(monkeypatch, made, camber_limit(-INF, 0.2, "ride height"))
    assert sentence(found, MM) == f"front camber at ride height: {said}"
    assert found.holds == ("too high" not in said)


def test_within(monkeypatch: pytest.MonkeyPatch) -> None:
    # 70 mm at -40 and -20 mm at +50.
    limit = Limit(HEIGHT, -25.4, 76.2, ("travel",))
    (found,) = findings_of(monkeypatch, HandMade({HEIGHT: falling}), limit, WorkingRange(-40.0, 50.0))
    assert found.holds
    assert (found.worst, found.at, found.margin) == pytest.approx((-20.0, 50.0, 5.4))
    assert found.leaves == ()
    assert sentence(found, MM) == (
        "front roll-centre height over the working travel (-40.0 to +50.0 mm, usual): -20.0 mm to +70.0 mm, "
        "allowed -25.4 mm to +76.2 mm"
    )


def test_left_at_one_end(monkeypatch: pytest.MonkeyPatch) -> None:
    # 30 - travel = -25.4 at travel 55.4; at 60 it is -30, 4.6 too low.
    (found,) = findings_of(monkeypatch, HandMade({HEIGHT: falling}), Limit(HEIGHT, -25.4, 76.2, ("travel",)))
    assert not found.holds
    assert found.leaves == pytest.approx((55.4,))
    assert (found.worst, found.at, found.margin) == pytest.approx((-30.0, 60.0, -4.6))
    assert found.span == pytest.approx((-30.0, 70.0))
    assert sentence(found, MM) == (
        f"front roll-centre height {ALONG}: -30.0 mm to +70.0 mm, allowed -25.4 mm to +76.2 mm, "
        "4.6 mm too low at +60.0 mm of travel, outside beyond +55.4 mm of travel"
    )


def test_the_same_in_inches(monkeypatch: pytest.MonkeyPatch) -> None:
    # -30 mm is -1.18 in, 70 mm 2.76 in, 4.6 mm 0.18 in, 60 mm 2.36 in and 55.4 mm 2.18 in.
    (found,) = findings_of(monkeypatch, HandMade({HEIGHT: falling}), Limit(HEIGHT, -25.4, 76.2, ("travel",)))
    assert sentence(found, INCH) == (
        "front roll-centre height over the working travel (-1.57 to +2.36 in, usual): -1.18 in to +2.76 in, "
        "allowed -1.00 in to +3.00 in, "
        "0.18 in too low at +2.36 in of travel, outside beyond +2.18 in of travel"
    )


def test_left_at_both_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    # -0.05 deg per mm reaches -1 and +1 deg at +20 and -20 mm; the farthest is -3 deg at +60 mm.
    law = both(degrees(lambda travel: -0.05 * travel))
    (found,) = findings_of(monkeypatch, HandMade({CAMBER: law}), camber_limit(-1.0, 1.0, "travel"))
    assert sorted(found.leaves) == pytest.approx([-20.0, 20.0])
    assert sentence(found, MM) == (
        f"front camber {ALONG}: -3.00 deg to +2.00 deg, allowed -1.00 deg to +1.00 deg, "
        "2.00 deg too low at +60.0 mm of travel, outside beyond -20.0 mm of travel and +20.0 mm of travel"
    )


def test_left_in_roll(monkeypatch: pytest.MonkeyPatch) -> None:
    # 50 mm at rest, 20 mm more for each degree of roll: 76.2 mm at 1.31 deg, 90 mm at 2 deg.
    made = HandMade({HEIGHT: lambda roll: 50.0 + 20.0 * np.degrees(roll)})
    (found,) = findings_of(monkeypatch, made, Limit(HEIGHT, -25.4, 76.2, ("roll",)))
    assert np.degrees(found.leaves) == pytest.approx([1.31])
    assert sentence(found, MM) == (
        f"front roll-centre height {LEANING}: +10.0 mm to +90.0 mm, allowed -25.4 mm to +76.2 mm, "
        "13.8 mm too high at +2.0 deg of roll, outside beyond +1.3 deg of roll"
    )


def test_between_two_states_the_place_is_interpolated(monkeypatch: pytest.MonkeyPatch) -> None:
    probe = HandMade({HEIGHT: np.zeros_like})
    limit = Limit(HEIGHT, -INF, 3.0, ("travel",))
    findings_of(monkeypatch, probe, limit)
    travel = next(driver for driver in probe.asked if driver.size > 1)
    last, after = travel[travel > 0.0][:2]
    # From 0 at the one state to 9 at the next: 3 is a third of the way.
    made = HandMade({HEIGHT: lambda driver: np.where(driver > 0.5 * (last + after), 9.0, 0.0)})
    (found,) = findings_of(monkeypatch, made, limit)
    assert found.leaves == pytest.approx((last + (after - last) / 3.0,))


def test_a_limit_just_touched_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    (found,) = findings_of(monkeypatch, HandMade({HEIGHT: falling}), Limit(HEIGHT, -30.0, 70.0, ("travel",)))
    assert found.holds
    assert found.leaves == ()


def test_already_outside_at_ride_height(monkeypatch: pytest.MonkeyPatch) -> None:
    limit = Limit(HEIGHT, -INF, 20.0, ("ride height", "travel"))
    at_rest, moving = findings_of(monkeypatch, HandMade({HEIGHT: falling}), limit)
    assert sentence(at_rest, MM) == (
        "front roll-centre height at ride height: +30.0 mm, allowed up to +20.0 mm, 10.0 mm too high"
    )
    assert moving.leaves == ()
    assert sentence(moving, MM) == (
        f"front roll-centre height {ALONG}: -30.0 mm to +70.0 mm, allowed up to +20.0 mm, "
        "50.0 mm too high at -40.0 mm of travel, outside already at ride height"
    )


def test_open_above(monkeypatch: pytest.MonkeyPatch) -> None:
    (found,) = findings_of(monkeypatch, HandMade({HEIGHT: falling}), Limit(HEIGHT, 10.0, INF, ("ride height",)))
    assert sentence(found, MM) == "front roll-centre height at ride height: +30.0 mm, allowed +10.0 mm or more"


def test_sides_alike_are_told_once_and_others_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    limit = camber_limit(-3.0, 0.0, "ride height")

    def apart(driver: Array) -> Array:
        return np.radians(np.stack([np.full_like(driver, -2.0), np.full_like(driver, -3.5)]))

    (alike,) = findings_of(monkeypatch, HandMade({CAMBER: both(lambda driver: 0.0 * driver - 0.01)}), limit)
    assert alike.side == ""
    left, right = findings_of(monkeypatch, HandMade({CAMBER: apart}), limit)
    assert (left.holds, right.holds) == (True, False)
    assert sentence(left, MM) == "front left camber at ride height: -2.00 deg, allowed -3.00 deg to +0.00 deg"
    assert sentence(right, MM) == (
        "front right camber at ride height: -3.50 deg, allowed -3.00 deg to +0.00 deg, 0.50 deg too low"
    )


def test_in_roll_a_symmetrical_axle_is_told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    # One wheel does at plus an angle what the other does at minus it.
    def mirrored(roll: Array) -> Array:
        return np.stack([roll, -roll])

    (found,) = findings_of(monkeypatch, HandMade({CAMBER: mirrored}), camber_limit(-3.0, 3.0, "roll"))
    assert found.side == ""
    assert found.holds


def test_running_to_infinity_is_outside(monkeypatch: pytest.MonkeyPatch) -> None:
    made = HandMade({HEIGHT: lambda driver: np.where(driver > 30.0, np.nan, 10.0)})
    (found,) = findings_of(monkeypatch, made, Limit(HEIGHT, -25.4, 76.2, ("travel",)))
    assert not found.holds
    said = sentence(found, MM)
    assert "+10.0 mm to +10.0 mm" in said
    assert "running to infinity at +" in said
    assert "nan" not in said


def test_round_by_infinity_between_two_states_is_outside(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its height is 10 mm at every state; but it leaves far off on the left, and comes back from the right."""
    away = {"roll_centre_offset": lambda driver: np.where(driver < 20.5, 9e5, -9e5)}
    for laws, holds in ((away, False), ({}, True)):
        made = HandMade({HEIGHT: lambda driver: np.full_like(driver, 10.0)} | laws)
        (found,) = findings_of(monkeypatch, made, Limit(HEIGHT, -25.4, 76.2, ("travel",)))
        assert found.holds == holds
        assert ("running to infinity" in sentence(found, MM)) == (not holds)


def test_at_infinity_at_ride_height(monkeypatch: pytest.MonkeyPatch) -> None:
    made = HandMade({HEIGHT: lambda driver: np.full_like(driver, np.nan)})
    (found,) = findings_of(monkeypatch, made, Limit(HEIGHT, -25.4, 76.2, ("ride height",)))
    assert not found.holds
    assert "front roll-centre height at ride height: at infinity, allowed -25.4 mm to +76.2 mm" in sentence(found, MM)


def test_a_lock_within_the_working_range_is_not_within_the_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    made = HandMade({HEIGHT: lambda driver: np.full_like(driver, 10.0)}, (31.0, LOCK))
    (found,) = findings_of(monkeypatch, made, Limit(HEIGHT, -25.4, 76.2, ("travel",)))
    assert not found.holds
    assert sentence(found, MM) == (
        f"front roll-centre height {ALONG}: +10.0 mm to +10.0 mm, allowed -25.4 mm to +76.2 mm; "
        "the front left linkage locks at +31.0 mm (+1.22 in) of travel (lower ball joint to lower pivot front)"
    )


def test_a_range_left_short_of_a_lock_is_told_besides_it(monkeypatch: pytest.MonkeyPatch) -> None:
    # 30 mm at rest and 1 mm less for each mm of bump: below 5 mm beyond +25 mm, 0 mm at the last state reached.
    made = HandMade({HEIGHT: falling}, (31.0, LOCK))
    (found,) = findings_of(monkeypatch, made, Limit(HEIGHT, 5.0, 76.2, ("travel",)))
    assert found.leaves == pytest.approx((25.0,))
    assert found.trouble == (LOCK,)
    assert "5.0 mm too low at +30.0 mm of travel, outside beyond +25.0 mm of travel; the front" in sentence(found, MM)


@pytest.mark.parametrize("gap", [gap for gap in Gap if gap.unreached])
def test_whatever_is_not_reached_is_not_judged(gap: Gap, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where some is reached that is judged; where nothing is, the reason stands in place of a number."""
    beyond = Reason(gap, "front", "left", False, (31.0,), 12.0, ("lower ball joint to lower pivot front",))
    limit = Limit(HEIGHT, -25.4, 76.2, ("travel",))
    for end, said in ((31.0, "+10.0 mm to +10.0 mm, allowed -25.4 mm to +76.2 mm; "), (-INF, "cannot be judged: ")):
        made = HandMade({HEIGHT: lambda driver: np.full_like(driver, 10.0)}, (end, beyond))
        (found,) = findings_of(monkeypatch, made, limit)
        assert not found.holds
        assert sentence(found, MM) == f"front roll-centre height {ALONG}: {said}{gap_words(beyond)}"


def test_summary(monkeypatch: pytest.MonkeyPatch) -> None:
    limit = Limit(HEIGHT, -25.4, 76.2, ("ride height", "travel"))
    found = findings_of(monkeypatch, HandMade({HEIGHT: falling}), limit)
    assert summary(found) == "OUTSIDE the limits: 1 of 2 checks fail"
    assert summary(found[:1]) == "within the limits: the one check holds"
    assert summary(found[1:]) == "OUTSIDE the limits: 1 of 1 check fails"
