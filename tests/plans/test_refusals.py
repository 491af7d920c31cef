"""Refusals as records, whatever unit their reader counts in; and what loads need of a car, asked in one place."""

import math
import re
from dataclasses import replace

import pytest

from kinematics import Axle, Car, demo_car
from kinematics.car.fittings import Body
from kinematics.car.lengths import INCH, MM
from kinematics.loads.readiness import Lack, Need, NotReadyError, lacking
from kinematics.loads.report import whole_car
from kinematics.planning.comparison import compare
from kinematics.planning.plans import Targets, carry_out
from kinematics.planning.refusal import Cause, Refusal, each_once
from reports.words.plans import refusal_words
from tests.plans.garage import change, front_only, plan

SALOON = "rear_drive_saloon.toml"


def travel_gone(side: str, left: float, axle: str = "front") -> Refusal:
    return Refusal(Cause.TRAVEL_GONE, axle, side, ("bump",), left, (15.0, math.inf))


@pytest.mark.parametrize(
    ("left", "right", "says"),
    [
        (12.0, 12.0, ["front: 12.0 mm"]),
        (12.0, 12.01, ["front: 12.0 mm"]),  # written alike
        (12.0, 12.4, ["front left: 12.0 mm", "front right: 12.4 mm"]),
    ],
)
def test_both_sides_are_told_once_where_they_read_alike(left: float, right: float, says: list[str]) -> None:
    said = refusal_words([travel_gone("left", left), travel_gone("right", right)], MM)
    assert said == [f"{head} of travel left to the bump stop, 15.0 mm is used" for head in says]


def test_one_side_keeps_its_name_and_axles_are_kept_apart() -> None:
    said = refusal_words([travel_gone("left", 12.0), travel_gone("right", 12.0, "rear")], MM)
    assert [text.split(":")[0] for text in said] == ["front left", "rear right"]


def test_sides_unlike_in_mm_may_read_alike_in_inches() -> None:
    """12.7 mm is half an inch, and 12.8 mm 0.504 in."""
    refusals = [travel_gone("left", 12.7), travel_gone("right", 12.8)]
    assert len(refusal_words(refusals, MM)) == 2
    assert refusal_words(refusals, INCH) == ["front: 0.50 in of travel left to the bump stop, 0.59 in is used"]


@pytest.mark.campaign
def test_a_record_does_not_depend_on_the_owner_s_unit() -> None:
    far = plan(targets={"front": Targets(camber=math.radians(-4.5))})
    mm, inch = (compare(replace(demo_car(), unit=unit), [far], demo_car().limits, []) for unit in (MM, INCH))
    assert mm.outcomes[1].troubles == inch.outcomes[1].troubles != ()


def test_an_adjuster_too_short_is_told_in_numbers() -> None:
    asked = math.radians(-4.5)
    (done,) = carry_out(demo_car(), [plan(targets={"front": Targets(camber=asked)})])
    for one, side in zip(done["front"].refusals, ("left", "right"), strict=True):
        assert (one.cause, one.axle, one.side) == (Cause.CAMBER_BEYOND_ADJUSTER, "front", side)
        assert one.wanted == asked
        assert one.allowed == (-6.0, 6.0)
        # Inward for more negative camber, by more than there is; what is asked for lies outside what can be reached.
        assert one.amount < -6.0
        assert len(one.reach) == 2
        assert asked < one.reach[0] < one.reach[1]


def test_each_once_keeps_the_first_of_a_cause_and_place() -> None:
    first, again, other = travel_gone("left", 3.0), travel_gone("left", 3.0 + 1e-12), travel_gone("right", 3.0)
    assert each_once([first, again, other, first]) == (first, other)


def without(car: Car, what: str) -> Car:
    def bare(axle: Axle) -> Axle:
        return replace(axle, body=replace(axle.body, **{what: None}))

    return replace(car, axles=tuple(bare(axle) for axle in car.axles))


CAR = demo_car(SALOON)
LACKING: dict[str, tuple[Car, tuple[Lack, ...]]] = {
    "nothing": (CAR, ()),
    "wheelbase": (without(CAR, "wheelbase"), (Lack(Need.WHEELBASE),)),
    "centre of gravity": (without(CAR, "centre_of_gravity"), (Lack(Need.CENTRE_OF_GRAVITY),)),
    "rear axle": (front_only(CAR.front, CAR), (Lack(Need.BOTH_AXLES),)),
    "loads": (
        replace(CAR, axles=(replace(CAR.front, loads=None), CAR.rear)),
        (Lack(Need.SPRINGS_AND_WEIGHTS, "front"),),
    ),
    "all": (
        front_only(replace(CAR.front, loads=None), replace(CAR, axles=(replace(CAR.front, body=Body()),))),
        (
            Lack(Need.BOTH_AXLES),
            Lack(Need.SPRINGS_AND_WEIGHTS, "front"),
            Lack(Need.WHEELBASE),
            Lack(Need.CENTRE_OF_GRAVITY),
        ),
    ),
}


@pytest.mark.parametrize("what", LACKING)
def test_lean_and_plans_with_springs_ask_for_the_same(what: str) -> None:
    car, lacks = LACKING[what]
    assert lacking(car) == lacks
    packed = plan(change("spring spacer", by=5.0))
    (done,) = carry_out(car, [packed])
    if not lacks:
        assert whole_car(car).wheelbase == car.body.wheelbase
        assert not any(one.refusals for one in done.values())
        return
    with pytest.raises(NotReadyError) as found:
        whole_car(car)
    assert found.value.lacks == lacks
    assert all(one.refusals == (Refusal(Cause.LOADS_NOT_READY, lacks=lacks),) for one in done.values())


def test_a_joint_that_turns_too_far_is_told_with_what_it_may() -> None:
    """31.5 degrees turned, 25 allowed."""
    turned = Refusal(
        Cause.JOINT_TURNS_TOO_FAR, "front", "left", ("lower_ball_joint",), math.radians(31.5), (0.0, math.radians(25.0))
    )
    (told,) = refusal_words([turned], MM)
    assert re.findall(r"[\d.]+ deg", told) == ["31.50 deg", "25.00 deg"]
    assert told.startswith("front left: the lower ball joint turns 31.50 deg")
    assert "25.00 deg is allowed" in told
