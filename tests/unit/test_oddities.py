"""What is told to be looked at again: slips that a car file allows. The bounds are common practice, no source."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from kinematics import Axle, demo_car, sweep_bump
from kinematics.car.lengths import INCH, MM, LengthUnit
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.uncertainty import Coordinate, independent
from kinematics.inputs.demo_cars import DEMO_CARS
from kinematics.judging.suspicious import suspicious
from reports.words.suspicious import oddity_words
from solvers.vectors import Array
from tests.properties.plausible_cars import KINDS, typical_axle


@pytest.mark.parametrize("name", SUSPENSIONS)
def test_typical_cars_are_not_odd(name: str) -> None:
    assert found(typical_axle(SUSPENSIONS[name])) == []


@pytest.mark.parametrize("name", DEMO_CARS.values())
def test_nor_are_the_demo_cars(name: str) -> None:
    assert [text for axle in demo_car(name).axles for text in found(axle)] == []


def found(axle: Axle, unit: LengthUnit = MM) -> list[str]:
    return oddity_words(suspicious(sweep_bump(axle, np.zeros(1)), unit), unit)


def with_point(key: str, **ways: float) -> Axle:
    """The double wishbone of a typical car with a point of both sides elsewhere."""
    axle = typical_axle(SUSPENSIONS["double wishbone"])
    place: Array = axle.points[key].copy()
    for way, value in ways.items():
        column = ("ahead", "out", "up").index(way)
        place[:, column] = value * (np.array([1.0, -1.0]) if way == "out" else 1.0)
    return replace(axle, points={**axle.points, key: place})


def test_a_pivot_with_the_wrong_sign() -> None:
    axle = typical_axle(SUSPENSIONS["double wishbone"])
    front = float(axle.points["upper_pivot_front"][0, 0])
    slipped = with_point("upper_pivot_rear", ahead=front - 8.0)
    apart = math.dist(slipped.points["upper_pivot_front"][0], slipped.points["upper_pivot_rear"][0])
    (told,) = found(slipped)
    assert told.startswith(f"front: upper_pivot_front and upper_pivot_rear lie {apart:.1f} mm apart")


def test_a_ball_joint_with_a_wrong_digit() -> None:
    axle = typical_axle(SUSPENSIONS["double wishbone"])
    out = float(axle.points["lower_ball_joint"][0, 1])
    told = " ".join(found(with_point("lower_ball_joint", out=out + 250.0), INCH))
    assert "kingpin inclination" in told
    assert "scrub radius" in told
    assert "scrub radius -15.18 in, and hardly a car has under -4.72 in" in told  # 120 mm


def test_a_tie_rod_across_the_axle() -> None:
    inner = float(typical_axle(SUSPENSIONS["double wishbone"]).points["tie_rod_inner"][0, 0])
    told = " ".join(found(with_point("tie_rod_outer", ahead=inner + 400.0)))
    assert "the tie rod runs" in told


@pytest.mark.parametrize(
    ("key", "says"),
    [
        (
            "lower_pivot_rear",
            "lower_pivot_front lies 8.50 in behind lower_pivot_rear; should `ahead` of lower_pivot_rear",
        ),
        (
            "strut_top",
            "caster -2.11 deg, and hardly a car has under -1.76 deg; should `ahead` of strut_top be -1.125 in,",
        ),
        ("tie_rod_inner", "is `ahead` of tie_rod_inner or `ahead` of tie_rod_outer wrong (sign)?"),
        ("tie_rod_outer", "the tie rod runs 37 deg aslant; is `ahead` of "),
        (
            "camber",
            "camber +1.50 deg, and hardly a car has over +1.25 deg; should `camber` be -1.5 deg, not +1.5 deg (sign)?",
        ),
    ],
)
def test_a_lost_minus(key: str, says: str) -> None:
    """Readings of an invented coupe (in), each with one minus too few: what follows is told, and names the slip.

    A tie rod aslant may have either end wrong. The caster is by hand: atan of 0.875 in over 23.75 in.
    """
    right = {
        "wheel_centre": (0.0, 28.5, 11.625),
        "lower_ball_joint": (0.25, 26.75, 7.0),
        "lower_pivot_front": (1.25, 13.375, 6.0),
        "lower_pivot_rear": (-9.75, 13.375, 6.25),
        "strut_top": (-1.125, 21.5, 30.75),
        "strut_low": (0.0, 24.25, 16.375),
        "tie_rod_outer": (-5.125, 26.25, 8.25),
        "tie_rod_inner": (-5.0, 12.625, 7.625),
    }
    camber = np.radians([-1.5, -1.5])

    def coupe(slip: str) -> Axle:
        read = {one: np.array(place) * ([-1.0, 1.0, 1.0] if one == slip else 1.0) for one, place in right.items()}
        points = {one: 25.4 * np.stack([place, place * [1.0, -1.0, 1.0]]) for one, place in read.items()}
        leaning = -camber if slip == "camber" else camber
        return replace(typical_axle(SUSPENSIONS["strut"]), points=points, camber=leaning, toe=np.zeros(2), doubt=None)

    assert found(coupe("nothing"), INCH) == []
    told = found(coupe(key), INCH)
    assert len(told) == 1
    assert says in told[0]


def test_toe_as_a_length() -> None:
    """3 mm over the rim, typed where degrees were meant: no car has so much.

    By hand: asin(3 / 387.4), with a rim of 1.3 times the wheel's radius of 298 mm (common practice, no source).
    """
    axle = typical_axle(SUSPENSIONS["strut"])
    (said,) = found(replace(axle, toe=np.radians([3.0, 3.0])))
    assert said.startswith("front: toe +3.00 deg, and hardly a car has over +1.40 deg")
    assert said.endswith("should `toe_in` be 0.4437 deg, not 3 deg (a length for an angle)?")
    assert found(replace(axle, toe=np.radians([0.3, 0.3]))) == []


def test_one_side_typed_wrongly() -> None:
    """A top mount's `out` with exchanged digits on the right: the other side tells."""
    axle = typical_axle(SUSPENSIONS["strut"])
    top: Array = axle.points["strut_top"].copy()
    top[1] = (-20.0, -656.0, 824.0)
    (said,) = found(replace(axle, points={**axle.points, "strut_top": top}))
    assert said.startswith("front right: ")
    assert said.endswith("should `out` of strut_top be 566 mm, not 656 mm (digits exchanged)?")


def test_which_of_two_sides_is_wrong_may_be_open() -> None:
    """Of a linkage of its owner's own nothing is usual but that its sides are alike: either may be ten times off."""
    axle = typical_axle(next(kind for kind in KINDS if kind.listed))
    outer: Array = axle.points["tie_rod_outer"].copy()
    outer[1, 1] *= 0.1
    (said,) = found(replace(axle, points={**axle.points, "tie_rod_outer": outer}))
    assert said.startswith("front: `out` of tie_rod_outer differs by ")
    asked = said.split("; ")[1]
    assert sorted(re.findall(r"(left|right) tie_rod_outer", asked)) == ["left", "right"]
    assert asked.endswith(" wrong (decimal point)?")


def test_the_last_two_digits_exchanged() -> None:
    axle = typical_axle(SUSPENSIONS["strut"])
    ends = {"tie_rod_outer": (-128.0, 676.0, 290.0), "tie_rod_inner": (-128.0, 330.0, 197.0)}
    placed = {key: np.array(place) * [[1.0, 1.0, 1.0], [1.0, -1.0, 1.0]] for key, place in ends.items()}
    (said,) = found(replace(axle, points={**axle.points, **placed}))
    assert said.endswith("should `up` of tie_rod_outer be 209 mm, not 290 mm (digits exchanged)?")


def test_two_slips_are_told_one_by_one() -> None:
    axle = replace(with_point("tie_rod_inner", out=34.4), camber=np.radians([1.8, 1.8]))
    told = found(axle)
    assert len(told) == 2
    assert any("should `out` of tie_rod_inner be 344 mm, not 34.4 mm (decimal point)?" in one for one in told)
    assert any("should `camber` be -1.8 deg, not +1.8 deg (sign)?" in one for one in told)


def test_two_slips_in_one_entry_are_one_cause() -> None:
    axle = replace(typical_axle(SUSPENSIONS["strut"]), camber=np.radians([15.0, 15.0]))
    (said,) = found(axle)
    assert said.endswith("should `camber` be -1.5 deg, not +15 deg (sign, decimal point)?")


def test_a_camber_without_its_point() -> None:
    axle = replace(typical_axle(SUSPENSIONS["strut"]), camber=np.radians([-15.0, -1.5]))
    told = found(axle)
    assert len(told) == 1
    assert told[0].startswith("front left: camber -15.00 deg")


def test_a_doubt_in_the_wrong_unit() -> None:
    axle = typical_axle(SUSPENSIONS["strut"])
    doubt = independent([Coordinate("strut_top", "up")], [2.5 * 25.4])
    assert "known to 2.50 in only" in found(replace(axle, doubt=doubt), INCH)[0]
