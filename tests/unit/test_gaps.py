"""Reasons for what a sweep lacks: kept state by state, joined from parts, and each put into words."""

import numpy as np
import pytest

from kinematics import demo_car, sweep_bump, sweep_grid, sweep_steer
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.reasons import Gap, Reason
from kinematics.sweeps.gaps import Gaps
from reports.words.gaps import gap_words, told_once
from tests.properties.plausible_cars import typical_axle

FIRST = Reason(Gap.LOCKED, "front", "left", True, (-25.4,), joints=("a to b", "c to d"))
SECOND = Reason(Gap.NOT_FINITE, "front", number="camber")


def where(*states: int) -> np.ndarray:
    return np.isin(np.arange(4), states)


def told(gaps: Gaps) -> list[Reason | None]:
    return [gaps.at(state) for state in range(gaps.which.size)]


def test_the_later_reason_stands_and_a_filling_one_gives_way() -> None:
    gaps = Gaps.none(4).put(where(0, 1), FIRST).put(where(1), SECOND)
    assert told(gaps) == [FIRST, SECOND, None, None]
    assert told(gaps.fill(where(0, 3), SECOND)) == [FIRST, SECOND, None, SECOND]
    assert gaps.there.tolist() == [True, True, False, False]


def test_parts_joined_are_as_told_apart() -> None:
    parts = [
        Gaps.none(4).put(where(3), SECOND),
        Gaps.none(4),
        Gaps.none(4).put(where(0), FIRST).put(where(1), SECOND),
    ]
    whole = Gaps.joined(parts)
    assert told(whole) == [reason for part in parts for reason in told(part)]
    assert whole.in_order() == (SECOND, FIRST)
    assert whole.in_order(np.arange(12) > 7) == (FIRST, SECOND)
    assert Gaps.joined([]).which.size == 0


def test_each_state_is_told_in_the_sweeps_shape() -> None:
    gaps = Gaps.none(4).put(where(2), SECOND).reshaped((2, 2))
    assert gaps.each(lambda reason: reason.number).tolist() == [["", ""], ["camber", ""]]


@pytest.mark.parametrize("gap", Gap)
def test_every_gap_has_words(gap: Gap) -> None:
    words = gap_words(Reason(gap, "front", "left", True, (-25.4,), 50.8, ("a to b",), "camber"))
    assert words
    assert not words.endswith(".")


def test_a_lock_of_one_wheel_and_of_a_whole_axle() -> None:
    # 25.4 mm are an inch.
    assert gap_words(FIRST) == "the front left linkage locks at -25.4 mm (-1.00 in) of travel (a to b, c to d)"
    whole = Reason(Gap.FOLLOWED_NO_FARTHER, "rear", low=False, travel=(50.8, 0.0))
    assert gap_words(whole) == (
        "the rear axle's linkage was followed in bump no farther than "
        "+50.8 mm (+2.00 in) of travel on the left and +0.0 mm (+0.00 in) on the right"
    )


def test_a_lock_is_that_of_the_wheel_it_is_told_of() -> None:
    """Unlike sides lock at unlike travels: the lock that is told lies where that wheel, swept alone, ends."""
    axle = typical_axle(SUSPENSIONS["double wishbone"])
    joints = np.array(axle.points["upper_ball_joint"]) - [[0.0, 25.0, 0.0], [0.0, 0.0, 0.0]]
    axle, step = axle.with_points(upper_ball_joint=joints), 10.0
    travel = np.arange(-320.0, 321.0, step)
    gaps = sweep_bump(axle, travel).gaps
    reasons = gaps.reasons
    assert {(one.side, one.low) for one in reasons} == {
        (side, low) for side in ("left", "right") for low in (True, False)
    }
    for one in reasons:
        own = travel[sweep_bump(axle, travel, one.side).reached]
        last = own.min() if one.low else own.max()
        assert abs(one.travel[0] - last) < step
        assert (one.travel[0] < last) == one.low
    alone = {side: sweep_bump(axle, travel, side).reached for side in ("left", "right")}
    for state in np.flatnonzero(gaps.there):
        told_there = gaps.at(int(state))
        assert told_there is not None
        assert not alone[told_there.side][state]


def test_what_reads_alike_is_told_once() -> None:
    nearly = Reason(Gap.LOCKED, "front", "left", True, (-25.4001,), joints=FIRST.joints)
    assert told_once([FIRST, nearly, SECOND]) == [gap_words(FIRST), gap_words(SECOND)]


def test_a_table_names_the_gap() -> None:
    pytest.importorskip("pandas")
    table = sweep_bump(demo_car().front, np.array([0.0, 900.0])).table()
    assert table["gap"].tolist() == ["", Gap.LOCKED.value]


class TestOfManyCars:
    """Of many cars each state says whether it is reached; what holds one, its own sweep tells. No source."""

    FRONT = demo_car().front
    JOINT = FRONT.points["lower_ball_joint"]
    LOWER = np.linspace(0.0, 9.0, 4)[:, None, None] * np.array([0.0, 0.0, -1.0])
    CARS = FRONT.with_points(lower_ball_joint=JOINT + LOWER)

    def test_each_state_that_is_not_reached_says_so(self) -> None:
        pytest.importorskip("pandas")
        travel = np.array([-10.0, 0.0, 320.0])
        sweep = sweep_bump(self.CARS, travel)
        assert not sweep.reached[:, 2].any()
        assert sweep.table()["gap"].tolist() == ["", "", "not reached"] * 4
        assert sweep.gaps.which.shape == sweep.reached.shape == (4, 3)
        (reason,) = sweep.problems
        assert gap_words(reason) == "the front left linkage does not reach this"
        (alone,) = sweep_bump(self.CARS.variant(1), travel).problems
        assert alone.gap is Gap.LOCKED

    def test_cars_that_differ_have_the_gaps_that_each_has_alone(self) -> None:
        far = np.arange(220.0, 320.0, 10.0)
        together = sweep_bump(self.CARS, far, only=["camber"])
        ends = together.reached.sum(axis=1)
        assert len({*ends.tolist()}) > 1
        for car in range(4):
            alone = sweep_bump(self.CARS.variant(car), far, only=["camber"])
            np.testing.assert_array_equal(together.gaps.there[car], alone.gaps.there)

    @pytest.mark.campaign
    def test_over_rack_travel_and_over_the_grid(self) -> None:
        pytest.importorskip("pandas")
        steered = sweep_steer(self.CARS, [0.0, 5.0, 900.0])
        assert steered.table()["gap"].tolist() == ["wheels straight ahead", "", "not reached"] * 4
        grid = sweep_grid(self.CARS, [0.0, 320.0], [0.0, 0.01])
        assert grid.table()["gap"].tolist() == ["", "", "not reached", "not reached"] * 4
