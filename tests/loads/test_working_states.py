"""The working range that a car in balance needs, by hand on a car whose roll and pitch have closed forms.

Formulae: on level trailing arms the contact points go straight up and down in the body, so that the roll centre lies on
the ground, and roll = m a h / (K - m g h) with K = 2 k_front (t/2)^2 + 2 k_rear (t/2)^2. These ways lean with the body,
so that m a roll lifts it, and as the outer wheel takes more by 2 a h / (g t), the forces' resultant passes a h roll / g
over the ground. Forces at the wheel centres are as high as the pivots, so that the springs carry all of dN =
m (a h + g pitch (h - r)) / L, r the height of the hubs, which the body carries along. Each end moves by dN / (2 k), and
pitch is the sum of both over L (T. D. Gillespie, Fundamentals of Vehicle Dynamics, ch. 6 and 1, from memory); but for
what each end's force lifts along a way turned by the pitch and by its arm's own angle. A car on the stiffest springs
falls over where m a h = m g t / 2.
"""

from dataclasses import dataclass, replace
from math import sqrt

import numpy as np
import pytest

from kinematics import Axle, Car, Limits, WorkingRange, demo_car, judge, with_working_states
from kinematics.car.fittings import Body, Fittings
from kinematics.car.lengths import MM
from kinematics.car.limits import FORCE_WEIGHTED, Accelerations, InBalance, Origin
from kinematics.car.springs_and_bars import GRAVITY, Line
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.loads.equilibrium import balance
from kinematics.loads.readiness import Need, NotReadyError
from kinematics.loads.report import whole_car
from tests.loads import invented_loads as invented

WHEELBASE, HEIGHT, TRACK, ARM, HUB = 2560.0, 520.0, 1440.0, 3000.0, 300.0  # mm
CORNERS = {"front": 290.0, "rear": 265.0}  # kg on each wheel
RATES = {"front": 90.0, "rear": 80.0}  # N/mm
BRAKED, DRIVEN = {"front": 0.7, "rear": 0.3}, {"front": 0.0, "rear": 1.0}  # each axle's part of the force
RATIO, NO_MASS = 0.8, 1e-6
MASS = 2.0 * sum(CORNERS.values())
AT_ONCE = sqrt(0.5)  # of both, at once
# What is left out is of second order, in angles of up to 0.02 rad and lifts of up to 3 % of the loads moved.
TRAVEL_TO, ROLL_TO = 0.005, 0.005


def axle(name: str, stiffer: float = 1.0) -> Axle:
    """Level trailing arms, the wheel as high as its pivots, brakes inboard."""
    points = {
        "wheel_centre": (0.0, TRACK / 2.0),
        "pivot_outer": (ARM, TRACK / 2.0 - 70.0),
        "pivot_inner": (ARM, TRACK / 2.0 - 320.0),
    }
    places = {key: np.array([[x, side * y, HUB] for side in (1.0, -1.0)]) for key, (x, y) in points.items()}
    rate = RATES[name] * stiffer
    return replace(
        invented.symmetric(SUSPENSIONS["trailing arm"]),
        name=name,
        points=places,
        body=Body(HEIGHT, wheelbase=WHEELBASE, front_brakes=BRAKED["front"], front_drive=DRIVEN["front"]),
        fittings=Fittings(inboard_brakes=True),
        loads=invented.loads(Line(ratio=RATIO), rate=rate, corner=CORNERS[name], unsprung=NO_MASS),
    )


def car(stiffer: float = 1.0) -> Car:
    return Car("by hand", MM, (axle("front", stiffer), axle("rear", stiffer)), Limits())


@dataclass(frozen=True)
class ByHand:
    """Roll [rad] and how far each end goes down [mm], from the textbook."""

    roll: float
    front: float
    rear: float


def by_hand(lateral: float, forward: float) -> ByHand:
    """At accelerations [g]; forward: braking negative."""
    front, rear = (RATES[name] * RATIO**2 for name in ("front", "rear"))
    weight = MASS * GRAVITY
    stiffness = (front + rear) * TRACK**2 / 2.0
    roll = weight * lateral * HEIGHT / (stiffness - weight * HEIGHT * (1.0 - lateral**2))
    softness = (1.0 / front + 1.0 / rear) / 2.0  # mm for each N moved
    moved = -weight * HEIGHT * forward / (WHEELBASE - weight * (HEIGHT - HUB) * softness / WHEELBASE)
    pitch = moved * softness / WHEELBASE
    ends = []
    for name, rate, load in (("front", front, moved), ("rear", rear, -moved)):
        share = BRAKED[name] if forward < 0.0 else DRIVEN[name]
        lift = 2.0 * CORNERS[name] * GRAVITY * lateral * roll
        lift -= share * weight * forward * (pitch + load / (2.0 * rate) / ARM)
        ends.append((load - lift) / (2.0 * rate))
    return ByHand(roll, *ends)


def ways_of(asked: Accelerations) -> list[tuple[float, float]]:
    """Each alone, and braking and driving in a corner."""
    corner, brake, drive = (value or 0.0 for value in (asked.cornering, asked.braking, asked.driving))
    alone = [(corner, 0.0), (0.0, -brake), (0.0, drive)]
    return [*alone, (AT_ONCE * corner, -AT_ONCE * brake), (AT_ONCE * corner, AT_ONCE * drive)]


def ends_by_hand(asked: Accelerations) -> tuple[float, float, float]:
    """Lowest and highest travel of any wheel [mm], and the most roll [rad]."""
    found = [by_hand(*way) for way in ways_of(asked)]
    wheels = [end + side * one.roll * TRACK / 2.0 for one in found for end in (one.front, one.rear) for side in (1, -1)]
    return min(wheels), max(wheels), max(one.roll for one in found)


def ranged(asked: Accelerations, working: WorkingRange | None = None, stiffer: float = 1.0) -> WorkingRange:
    limits = Limits(working or WorkingRange(), accelerations=asked)
    return with_working_states(limits, car(stiffer)).working


@pytest.mark.parametrize("cornering", [0.2, 0.4])
def test_cornering(cornering: float) -> None:
    """Both wheels of an axle go as far apart as the body leans; both ends rise a little."""
    found, hand = ranged(Accelerations(cornering)), by_hand(cornering, 0.0)
    assert found.roll == pytest.approx(hand.roll, rel=ROLL_TO)
    low, high, _ = ends_by_hand(Accelerations(cornering))
    assert (found.travel_low, found.travel_high) == pytest.approx((low, high), rel=TRAVEL_TO)
    assert high - low == pytest.approx(hand.roll * TRACK, rel=0.03)
    assert found.lowered_ends == pytest.approx((min(hand.front, hand.rear), 0.0), abs=TRAVEL_TO * high)
    assert found.in_balance is not None
    assert found.in_balance.beyond is None


@pytest.mark.parametrize("asked", [Accelerations(braking=0.2), Accelerations(driving=0.15)], ids=["braking", "driving"])
def test_braking_and_driving(asked: Accelerations) -> None:
    found = ranged(asked)
    low, high, _ = ends_by_hand(asked)
    assert (found.travel_low, found.travel_high) == pytest.approx((low, high), rel=TRAVEL_TO)
    assert found.lowered_ends == pytest.approx((low, high), rel=TRAVEL_TO)
    assert (found.roll, found.roll_from) == (WorkingRange().roll, Origin.USUAL)


@pytest.mark.parametrize(
    "asked",
    [
        pytest.param(Accelerations(0.4, 0.2, 0.1), id="at-once-is-farthest"),
        pytest.param(Accelerations(0.4, 0.05, 0.05), id="cornering-is-farthest"),
        pytest.param(Accelerations(0.02, 0.2, 0.1), id="braking-is-farthest"),
    ],
)
def test_all_of_them(asked: Accelerations) -> None:
    """The farthest of each alone and of 0.71 of two at once."""
    found = ranged(asked)
    low, high, roll = ends_by_hand(asked)
    assert (found.travel_low, found.travel_high) == pytest.approx((low, high), rel=TRAVEL_TO)
    assert found.roll == pytest.approx(roll, rel=ROLL_TO)
    together = [end for way in ways_of(asked) for end in (by_hand(*way).front, by_hand(*way).rear)]
    assert found.lowered_ends == pytest.approx((min(together), max(together)), rel=TRAVEL_TO)


def test_roll_is_that_over_the_hubs() -> None:
    """Formula: as far as the wheels go apart over the track; what the tyres squash leans the car, and no wheel."""
    saloon = demo_car("rear-drive-saloon")
    found = with_working_states(Limits(WorkingRange(), accelerations=Accelerations(0.6)), saloon).working
    leaning = balance(whole_car(saloon), np.array([0.6 * GRAVITY]))
    apart = np.abs(leaning.travel[:, 0, 0] - leaning.travel[:, 1, 0])
    tracks = np.array([one.contact[0, 1] - one.contact[1, 1] for one in saloon.axles])
    assert found.roll == pytest.approx(float((apart / tracks).max()), rel=0.02)
    assert abs(float(leaning.roll[0])) > 1.05 * found.roll


def test_what_is_stated_stays() -> None:
    stated = WorkingRange(travel_low=-10.0, travel_high=15.0, travel_from=Origin.STATED)
    found = ranged(Accelerations(0.5), stated)
    assert (found.travel_low, found.travel_high, found.travel_from) == (-10.0, 15.0, Origin.STATED)
    assert found.lowered_ends == (-10.0, 15.0)
    assert found.roll_from is Origin.BALANCED
    stated = WorkingRange(roll=0.01, roll_from=Origin.STATED)
    found = ranged(Accelerations(0.5), stated)
    assert (found.roll, found.roll_from) == (0.01, Origin.STATED)
    assert found.travel_from is Origin.BALANCED


@pytest.mark.campaign
@pytest.mark.parametrize("asked", [1.6, 2.5])
def test_beyond_falling_over_there_is_none(asked: float) -> None:
    """On springs that hardly give the car falls over at t / (2 h) = 1.38 g; balance is looked for in twelfths."""
    falls = TRACK / (2.0 * HEIGHT)
    found = ranged(Accelerations(asked), stiffer=10.0)
    assert found.in_balance is not None
    beyond = found.in_balance.beyond
    assert beyond is not None
    assert beyond.cornering is not None
    assert falls - asked / 12.0 - 0.02 < beyond.cornering < falls
    assert (beyond.braking, beyond.driving) == (None, None)
    inside = ranged(Accelerations(beyond.cornering), stiffer=10.0)
    assert inside.roll == pytest.approx(found.roll, rel=1e-6)
    assert inside.in_balance == InBalance(Accelerations(beyond.cornering), inside.lowered_ends, None)


@pytest.mark.campaign
def test_what_ends_at_once_is_no_range() -> None:
    """Three g raise the car by a quarter of a g at a time: one as tall as it is not falls over at the first."""
    tall = car(stiffer=70.0)
    axles = (replace(one, body=replace(one.body, centre_of_gravity=4000.0)) for one in tall.axles)
    with pytest.raises(NotReadyError) as found:
        with_working_states(Limits(accelerations=Accelerations(3.0)), replace(tall, axles=tuple(axles)))
    assert [one.need for one in found.value.lacks] == [Need.BALANCE_UNDER_LOAD]


def test_travel_and_roll_at_once_count_the_roll_once() -> None:
    """Over both, the body is lowered by what both wheels of an axle go together, as with those ends stated."""
    limit = replace(FORCE_WEIGHTED, low=-1.0, high=1.0, over=("working range",))
    limits = with_working_states(Limits(by_axle={"front": (limit,)}, accelerations=Accelerations(0.4, 0.2)), car())
    low, high = limits.working.lowered_ends
    stated = WorkingRange(low, high, limits.working.roll)
    (found,), (expected,) = (
        [one for one in judge(car().front, its) if one.over == "working range"]
        for its in (limits, Limits(stated, limits.by_axle))
    )
    assert (found.worst, found.at, found.at_roll) == pytest.approx((expected.worst, expected.at, expected.at_roll))
    assert high < limits.working.travel_high


def test_limits_that_name_accelerations_judge_nothing_by_themselves() -> None:
    with pytest.raises(ValueError, match="with_working_states"):
        judge(car().front, Limits(accelerations=Accelerations(1.0)))
