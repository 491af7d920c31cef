"""A wrong argument of each exported function is told in plain words, before anything is solved.

So are those of methods and mappings. A table: function, what is wrong, how it is called, type of error, words of it.
Properties, no source.
"""

import inspect
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
import pytest

import kinematics as k
from tests.unit.api_results import (
    COUPE,
    OF_NUMBERS,
    OF_ROWS,
    SALOON,
    TRAVEL,
    made,
    means,
    plans,
    question,
    survey,
    whole,
)

LIMITS, AXLE, NAN = COUPE.limits, COUPE.front, float("nan")
Case = tuple[str, str, Callable[[], Any], type[Exception], str]


def limits_on(key: str, low: float = 0.0, high: float = 1.0) -> k.Limits:
    return k.Limits(by_axle={"front": (k.Limit(key, low, high),)})


def plan(what: str = "tie-rod shim", axle: str = "front", **amounts: Any) -> list[k.Plan]:
    return [k.Plan("tried", (k.Change(axle, what, **amounts),))]


def cambered(angle: float) -> list[k.Plan]:
    return [k.Plan("tried", (), {"front": k.Targets(camber=angle)})]


def of(function: str, *cases: tuple[str, Callable[[], Any], type[Exception], str]) -> list[Case]:
    return [(function, *case) for case in cases]


JOINT = AXLE.points["lower_ball_joint"]
OUTSIDE = JOINT + np.array([0.0, 1.0, 0.0])  # of it, on the left
TEN = JOINT + np.zeros((10, 1, 1))


def joint(points: Any, axle: k.Axle = AXLE) -> k.Axle:
    return axle.with_points(lower_ball_joint=points)


def with_many(axle: k.Axle) -> k.Axle:
    return axle.with_points(wheel_centre=axle.points["wheel_centre"] + np.zeros((10, 1, 1)))


def one_wrong(value: float, way: int = 2) -> Any:
    """Ten cars of which number 3 has one coordinate wrong, on the right."""
    cars = TEN.copy()
    cars[3, k.RIGHT, way] = value
    return cars


UNIT = "a unit is kinematics.MM or kinematics.INCH, such as car.unit; angles are in degrees beside either; "
CAMBER = k.QUANTITIES["camber"]
CARS = joint(TEN)
SALOONS = replace(SALOON, axles=(SALOON.front, with_many(SALOON.rear)))
MANY = "takes one car at a time, and this rear axle is of 10 cars: axle.variant(i) is that of one"


WORKING = k.WorkingRange(-10.0, 10.0, np.radians(1.0))
CASES: list[Case] = [
    *of(
        "Axle.with_points",
        ("one side", lambda: joint(JOINT[0]), ValueError, "lower_ball_joint is (..., 2, 3): left and right, each x ah"),
        (
            "its shape",
            lambda: joint(np.zeros(3)),
            ValueError,
            "read shape (3,): np.stack([left, right], axis=-2) joins",
        ),
        ("swapped", lambda: joint(JOINT[::-1]), ValueError, "front left lower_ball_joint: read out -690 mm (out is y"),
        ("as files", lambda: joint(JOINT[::-1]), ValueError, "is on the wrong side: `out` is positive on both sides"),
        ("like files", lambda: joint(JOINT * [1, 0, 1]), ValueError, "must lie outboard of its arm's pivots (out 352"),
        (
            "pivots",
            lambda: AXLE.with_points(lower_pivot_front=OUTSIDE),
            ValueError,
            "front left lower_ball_joint: read ou",
        ),
        ("under", lambda: joint(one_wrong(-5.0)), ValueError, "right lower_ball_joint of car 3: read up -5 mm; the po"),
        ("ahead", lambda: joint(one_wrong(5e3, 0)), ValueError, "car 3: read ahead 5000 mm; at most 900 mm from this"),
        (
            "inches",
            lambda: AXLE.with_points(wheel_centre=AXLE.points["wheel_centre"] / 25.4),
            ValueError,
            "mm (out is y here); 250 mm to 1500 mm is allowed",
        ),
        (
            "NaN",
            lambda: joint(one_wrong(NAN)),
            ValueError,
            "front right lower_ball_joint of car 3: [4.0, -690.0, nan] ",
        ),
        ("infinite", lambda: joint(one_wrong(np.inf)), ValueError, "has a value that is not a finite number"),
        ("text", lambda: joint("far"), TypeError, "is an array of numbers (..., 2, 3); read the text 'far'"),
        ("words", lambda: joint([["a"] * 3] * 2), TypeError, "is an array of numbers (..., 2, 3); read a list"),
        ("none", lambda: joint(None), TypeError, "is an array of numbers (..., 2, 3); read nothing"),
        (
            "no such",
            lambda: AXLE.with_points(lower_bal_joint=JOINT),
            KeyError,
            "strut; did you mean 'lower_ball_joint'",
        ),
        (
            "unlike any",
            lambda: AXLE.with_points(qqqq=JOINT),
            KeyError,
            "is no point of a strut; there are wheel_centre",
        ),
        (
            "other cars",
            lambda: AXLE.with_points(
                lower_ball_joint=TEN[:5], tie_rod_outer=AXLE.points["tie_rod_outer"] + TEN[:4] * 0
            ),
            ValueError,
            "tie_rod_outer is of 4 cars, but lower_ball_joint of 5 cars: all points of an axle are of as many cars, or",
        ),
        (
            "than before",
            lambda: joint(TEN).with_points(tie_rod_outer=AXLE.points["tie_rod_outer"] + TEN[:4] * 0),
            ValueError,
            "tie_rod_outer is of 4 cars, but lower_ball_joint of 10 cars",
        ),
        (
            "two of one",
            lambda: SALOON.rear.with_points(panhard_axle=SALOON.rear.points["panhard_axle"] + [[0, 1, 0], [0, -1, 0]]),
            ValueError,
            "panhard_axle is one point for both sides",
        ),
    ),
    *of(
        "Axle.variant",
        ("one car", lambda: AXLE.variant(0), ValueError, "this front axle is of one car: it has no variants"),
        ("beyond", lambda: joint(TEN).variant(12), IndexError, "index 12 is out of bounds"),
    ),
    *of(
        "Car.rear",
        ("one axle", lambda: COUPE.rear, KeyError, "'rear' is no axle of '"),
        ("asked as attributes are", lambda: COUPE.rear, AttributeError, "there are front"),
    ),
    *of(
        "Assessment.band",
        ("no place", lambda: made("assess").band("camber"), KeyError, "did you mean ('roll', 'camber')"),
        ("nor here", lambda: made("assess").half_width_95("camber"), KeyError, "did you mean ('roll', 'camber')"),
    ),
    *of(
        "k.QUANTITIES",
        ("no such", lambda: k.QUANTITIES["cambre"], KeyError, "'cambre' is no number here; did you mean 'camber'"),
        ("a column", lambda: k.QUANTITIES["camber_deg"], KeyError, "did you mean 'camber'"),
        ("of a side", lambda: k.QUANTITIES["camber_gain_left_deg_per_mm"], KeyError, "did you mean 'camber_gain'"),
        ("set", lambda: k.QUANTITIES.pop("camber"), TypeError, "cannot be written to"),
        ("no kind", lambda: k.CHANGES["tie rod shim"], KeyError, "kind of change here; did you mean 'tie-rod shim'"),
    ),
    *of(
        "Sweep.in_unit",
        ("degrees", lambda: made("sweep_bump").in_unit("toe", "deg"), TypeError, UNIT + "read the text 'deg'"),
        ("a size", lambda: made("sweep_bump").in_unit("toe", 25.4), TypeError, UNIT + "read a float"),
        ("a column", lambda: made("sweep_bump")["camber_deg"], KeyError, "did you mean 'camber'"),
        ("labels", lambda: made("sweep_bump").about("toe").axis_label("mm"), TypeError, UNIT + "read the text 'mm'"),
    ),
    *of(
        "Quantity.column",
        ("left", lambda: CAMBER.column(k.MM, k.LEFT), TypeError, 'side is "left" or "right", or "" for a number of th'),
        ("right", lambda: CAMBER.column(k.MM, k.RIGHT), TypeError, "read an int"),
        ("another", lambda: CAMBER.column(k.MM, "portside"), ValueError, "read 'portside'"),
        ("a unit", lambda: CAMBER.column("mm"), TypeError, UNIT + "read the text 'mm'"),
    ),
    *of(
        "k.OuterShare",
        ("degrees", lambda: k.OuterShare(0.7, 2.0), ValueError, "share is stated is in radians, up to 0.6: np.radians"),
    ),
    *of(
        "Axle.points",
        (
            "set",
            lambda: AXLE.points.__setitem__("a", 1),
            TypeError,
            "cannot be written to; axle.with_points(lower_ball",
        ),
        ("deleted", lambda: AXLE.points.pop("tie_rod_outer"), TypeError, "axle.with_points(lower_ball_joint=...)"),
        ("no such", lambda: AXLE.points["lower_balljoint"], KeyError, "no point here; did you mean 'lower_ball_joint'"),
    ),
    *of(
        "Sweep.values",
        ("set", lambda: made("sweep_bump").values.update(toe=0), TypeError, "dict(...) makes a copy that can be writt"),
        ("asked", lambda: made("sweep_bump").asked.pop("travel"), TypeError, "cannot be written to"),
    ),
    *of(
        "sweep_bump",
        ("a car", lambda: k.sweep_bump(COUPE, [0.0]), TypeError, "takes one axle, not a car: car.front"),
        ("wheels=rear", lambda: k.sweep_bump(AXLE, [0.0], "rear"), ValueError, '"both", "left" or "right"'),
        ("NaN", lambda: k.sweep_bump(AXLE, [0.0, NAN]), ValueError, "travel has a value that is not a finite number"),
        ("text", lambda: k.sweep_bump(AXLE, ["far"]), TypeError, "travel is an array of numbers"),
        ("a word", lambda: k.sweep_bump(AXLE, "far"), TypeError, "read the text 'far'"),
        ("far", lambda: k.sweep_bump(AXLE, [1e6]), ValueError, "travel is in mm, up to 127000 either way; read 1e"),
        (
            "a table",
            lambda: k.sweep_bump(AXLE, np.zeros((2, 3))),
            ValueError,
            "one list of values; read a table of 2 x",
        ),
        ("pitch in deg", lambda: k.sweep_bump(AXLE, [0.0], pitch=1.5), ValueError, "pitch is in radians, up to 0.6"),
        ("two pitches", lambda: k.sweep_bump(AXLE, [0.0], pitch=[0.1, 0.2]), ValueError, "one angle for all states"),
        ("no number", lambda: k.sweep_bump(AXLE, [0.0], only=["cambre"]), ValueError, "did you mean 'camber'"),
        (
            "one text",
            lambda: k.sweep_bump(AXLE, [0.0], only="camber"),
            TypeError,
            "a list of keys of numbers: put it in",
        ),
        (
            "a share",
            lambda: k.sweep_bump(AXLE, [0.0], outer_share=0.7),
            TypeError,
            "such as OuterShare(0.7); read a fl",
        ),
    ),
    *of(
        "sweep_roll",
        ("a text", lambda: k.sweep_roll("front", [0.0]), TypeError, "takes an axle, such as car.front; read the text"),
        ("degrees", lambda: k.sweep_roll(AXLE, [2.0]), ValueError, "roll is in radians, up to 0.6: np.radians(...)"),
        ("less", lambda: k.sweep_roll(AXLE, [0.0, 0.7]), ValueError, "read 0.7"),
        ("two heaves", lambda: k.sweep_roll(AXLE, [0.0], heave=[1.0, 2.0]), ValueError, "heave is one length for all"),
        ("heave NaN", lambda: k.sweep_roll(AXLE, [0.0], heave=NAN), ValueError, "heave has a value that is not a fin"),
    ),
    *of(
        "sweep_grid",
        ("degrees", lambda: k.sweep_grid(AXLE, [0.0], [3.0]), ValueError, "np.radians"),
        ("a car", lambda: k.sweep_grid(COUPE, [0.0], [0.0]), TypeError, "sweep_grid takes one axle, not a car"),
        ("a table", lambda: k.sweep_grid(AXLE, np.zeros((2, 2)), [0.0]), ValueError, "bump is one list of values"),
    ),
    *of(
        "sweep_steer",
        ("a car", lambda: k.sweep_steer(COUPE, [0.0]), TypeError, "sweep_steer takes one axle, not a car"),
        ("infinite", lambda: k.sweep_steer(AXLE, [np.inf]), ValueError, "rack has a value that is not a finite number"),
        ("degrees", lambda: k.sweep_steer(AXLE, [5.0], 0.0, 2.0), ValueError, "roll is in radians"),
        ("shapes", lambda: k.sweep_steer(AXLE, TRAVEL, roll=[0.0, 0.1]), ValueError, "no common shape; read 5, one, 2"),
        ("no rack", lambda: k.sweep_steer(SALOON.rear, [1.0]), ValueError, "has no steering rack"),
    ),
    *of(
        "stances",
        ("a car", lambda: k.stances(COUPE, [0.0], [0.0]), TypeError, "stances takes one axle, not a car"),
        ("not paired", lambda: k.stances(AXLE, [0.0, 1.0], [0.0]), ValueError, "paired; read 2 bumps and 1 rolls"),
        ("too far", lambda: k.stances(SALOON.front, [400.0], [0.0]), ValueError, "front"),
    ),
    *of(
        "roll_axis",
        (
            "an axle",
            lambda: k.roll_axis(AXLE, [0.0], [0.0]),
            TypeError,
            "takes a car, not one axle of it: the car whose",
        ),
        ("one axle only", lambda: k.roll_axis(COUPE, [0.0], [0.0]), ValueError, "a roll axis needs"),
        ("degrees", lambda: k.roll_axis(SALOON, [0.0], [2.0]), ValueError, "roll is in radians"),
    ),
    *of(
        "judge",
        ("a car", lambda: k.judge(COUPE, LIMITS), TypeError, "judge takes one axle, not a car: car.front"),
        ("a dict", lambda: k.judge(AXLE, {}), TypeError, "judge takes limits, such as car.limits; read a dict"),
        ("no number", lambda: k.judge(AXLE, limits_on("cambre")), ValueError, "did you mean 'camber'"),
        ("turned round", lambda: k.judge(AXLE, limits_on("camber", 1.0, -1.0)), ValueError, "from 1 to -1"),
        ("roll in deg", lambda: k.judge(AXLE, k.Limits(k.WorkingRange(roll=2.0))), ValueError, "roll is in radians"),
        ("no roll", lambda: k.judge(AXLE, k.Limits(k.WorkingRange(roll=0.0))), ValueError, "some roll either way"),
        ("all bump", lambda: k.judge(AXLE, k.Limits(k.WorkingRange(5.0, 9.0))), ValueError, "droop, zero and bump"),
    ),
    *of(
        "compare",
        ("an axle", lambda: k.compare(AXLE, plans(), LIMITS), TypeError, "compare takes a car, not one axle of it"),
        ("one plan", lambda: k.compare(COUPE, plans()[0], LIMITS), TypeError, "a list of plans: put it into brackets"),
        ("names", lambda: k.compare(COUPE, ["lower"], LIMITS), TypeError, "one of them is the text 'lower'"),
        (
            "no limits",
            lambda: k.compare(COUPE, plans(), None),
            TypeError,
            "takes limits, such as car.limits; read nothing",
        ),
        ("no such kind", lambda: k.compare(COUPE, plan("tie rod shims"), LIMITS), ValueError, "mean 'tie-rod shim'"),
        (
            "no such axle",
            lambda: k.compare(COUPE, plan(axle="rear"), LIMITS),
            ValueError,
            "no axle of this car; it has f",
        ),
        ("no shift", lambda: k.compare(COUPE, plan("inner pivots", by=3.0), LIMITS), ValueError, "takes shift=(ahead,"),
        ("a shift", lambda: k.compare(COUPE, plan(shift=(0, 0, 1.0)), LIMITS), ValueError, "takes an amount, by=..."),
        (
            "no point",
            lambda: k.compare(COUPE, plan("point", point="lower_bal"), LIMITS),
            ValueError,
            "lower_ball_joint",
        ),
        ("NaN", lambda: k.compare(COUPE, plan(by=NAN), LIMITS), ValueError, "not a finite number"),
        ("text", lambda: k.compare(COUPE, plan(by="8"), LIMITS), TypeError, "takes numbers; read the text '8'"),
        (
            "degrees",
            lambda: k.compare(COUPE, cambered(-2.0), LIMITS),
            ValueError,
            "camber wanted at the front is in rad",
        ),
        ("rules", lambda: k.compare(COUPE, plans(), LIMITS, "none"), TypeError, "takes a list of class rules"),
    ),
    *of(
        "carry_out",
        ("an axle", lambda: k.carry_out(AXLE, plans()), TypeError, "carry_out takes a car, not one axle"),
        ("one plan", lambda: k.carry_out(COUPE, plans()[0]), TypeError, "put it into brackets"),
    ),
    *of(
        "travel_budgets",
        ("no car", lambda: k.travel_budgets(None, [], WORKING), TypeError, "takes a car, such as read_car(...) gives"),
        (
            "limits",
            lambda: k.travel_budgets(COUPE, [], LIMITS),
            TypeError,
            "a working range, such as car.limits.working",
        ),
    ),
    *of(
        "find",
        ("an axle", lambda: k.find(AXLE, means(), LIMITS), TypeError, "find takes a car, not one axle of it"),
        (
            "plans",
            lambda: k.find(COUPE, plans(), LIMITS),
            TypeError,
            "takes means, such as read_means(...) gives; read a",
        ),
        ("no limits", lambda: k.find(COUPE, means(), 3.0), TypeError, "find takes limits"),
    ),
    *of(
        "influence",
        ("a car", lambda: k.influence(COUPE), TypeError, "influence takes one axle, not a car"),
        ("rules", lambda: k.influence(AXLE, "none"), TypeError, "takes a list of class rules"),
    ),
    *of(
        "lean_sheet",
        ("an axle", lambda: k.lean_sheet(AXLE), TypeError, "lean_sheet takes a car, not one axle"),
        ("limits", lambda: k.lean_sheet(SALOON, LIMITS), TypeError, "takes a working range"),
        ("a grip", lambda: k.lean_sheet(SALOON, WORKING, 1.2), TypeError, "takes a Tyre"),
        ("too little known", lambda: k.lean_sheet(COUPE), ValueError, "both axles"),
    ),
    *of(
        "with_working_states",
        ("an axle", lambda: k.with_working_states(LIMITS, AXLE), TypeError, "with_working_states takes a car"),
        ("no limits", lambda: k.with_working_states(COUPE, COUPE), TypeError, "with_working_states takes limits"),
    ),
    *of(
        "whole_car",
        ("an axle", lambda: k.whole_car(AXLE), TypeError, "whole_car takes a car"),
        ("too little known", lambda: k.whole_car(COUPE), ValueError, "springs and weights"),
    ),
    *of(
        "rank",
        ("a car", lambda: k.rank(SALOON, k.Shelf()), TypeError, "on its springs, such as whole_car(car); read a car"),
        ("a list", lambda: k.rank(whole(), []), TypeError, "takes a shelf, such as read_shelf(...) gives; read a list"),
        ("a number", lambda: k.rank(whole(), k.Shelf(), executor=2), TypeError, "such as ProcessPoolExecutor(2)"),
    ),
    *of(
        "assess",
        ("a car", lambda: k.assess(COUPE, question(), LIMITS), TypeError, "assess takes one axle, not a car"),
        (
            "travel",
            lambda: k.assess(AXLE, TRAVEL, LIMITS),
            TypeError,
            "takes a Question, such as Question(travel, roll)",
        ),
        ("less than none", lambda: k.assess(AXLE, question(), LIMITS, draws=-1), ValueError, "draws is zero or more"),
        (
            "a part",
            lambda: k.assess(AXLE, question(), LIMITS, draws=10.5),
            TypeError,
            "draws is a whole number; read a f",
        ),
        ("a seed", lambda: k.assess(AXLE, question(), LIMITS, draws=1, seed="x"), TypeError, "seed is a whole number"),
        ("degrees", lambda: k.assess(AXLE, k.Question([0.0], [2.0]), LIMITS), ValueError, "roll is in radians"),
        ("a number", lambda: k.assess(AXLE, question(), LIMITS, executor=2), TypeError, "executor takes a pool"),
    ),
    *of(
        "fit",
        ("a file", lambda: k.fit(survey()), TypeError, "takes one survey, such as read_survey(...).surveys[0]"),
        ("an axle", lambda: k.fit(AXLE), TypeError, "read an axle"),
    ),
    *of(
        "next_readings",
        ("a survey", lambda: k.next_readings(survey().surveys[0]), TypeError, "takes a fitted survey, such as fit(sur"),
        ("no number", lambda: k.next_readings(made("fit"), "cambre"), ValueError, "did you mean 'camber'"),
        ("a list", lambda: k.next_readings(made("fit"), ["camber"]), ValueError, "['camber'] is no number"),
        ("no doubt", lambda: k.next_readings(made("fit"), within=0.0), ValueError, "above zero; read 0.0"),
        ("below", lambda: k.next_readings(made("fit"), within=-3.0), ValueError, "above zero; read -3.0"),
        ("NaN", lambda: k.next_readings(made("fit"), within=NAN), ValueError, "above zero; read nan"),
        ("text", lambda: k.next_readings(made("fit"), within="3"), TypeError, "within is one number"),
        ("a part", lambda: k.next_readings(made("fit"), most=2.5), TypeError, "most is a whole number; read a f"),
        ("less than none", lambda: k.next_readings(made("fit"), most=-1), ValueError, "most is zero or more"),
    ),
    *of(
        "demo_car",
        ("no such", lambda: k.demo_car("lowered_cupe.toml"), ValueError, "did you mean 'lowered_coupe.toml'"),
    ),
    *of(
        "read_car",
        ("a number", partial(k.read_car, 3), TypeError, "a file is told by its name, or by a Path; read int"),
    ),
    *of(
        "judge", ("many cars", lambda: k.judge(CARS, LIMITS), ValueError, "judge takes one car at a time, and this fr")
    ),
    *of("assess", ("many cars", lambda: k.assess(CARS, question(), LIMITS), ValueError, "of 10 cars: axle.variant(i)")),
    *of(
        "influence", ("many cars", lambda: k.influence(CARS), ValueError, "influence takes one car at a time, and this")
    ),
    *of("compare", ("many cars", lambda: k.compare(SALOONS, [], LIMITS), ValueError, MANY)),
    *of("carry_out", ("many cars", lambda: k.carry_out(SALOONS, []), ValueError, MANY)),
    *of("find", ("many cars", lambda: k.find(SALOONS, means(), LIMITS), ValueError, MANY)),
    *of("travel_budgets", ("many cars", lambda: k.travel_budgets(SALOONS, [], WORKING), ValueError, MANY)),
    *of("roll_axis", ("many cars", lambda: k.roll_axis(SALOONS, [0.0], [0.0]), ValueError, MANY)),
    *of("lean_sheet", ("many cars", lambda: k.lean_sheet(SALOONS), ValueError, MANY)),
    *of("whole_car", ("many cars", lambda: k.whole_car(SALOONS), ValueError, MANY)),
    *of("read_limits", ("none", partial(k.read_limits, None), TypeError, "a file is told by its name")),
    *of("read_survey", ("none", partial(k.read_survey, None), TypeError, "a file is told by its name")),
    *of(
        "read_plans", ("no car", lambda: k.read_plans("plans.toml", AXLE), TypeError, "takes a car, not one axle of it")
    ),
    *of("read_means", ("no car", lambda: k.read_means("means.toml", "car"), TypeError, "read_means takes a car")),
    *of("read_shelf", ("no car", lambda: k.read_shelf("shelf.toml", None), TypeError, "read_shelf takes a car")),
]


@pytest.mark.parametrize(
    ("function", "wrong", "call", "kind", "words"),
    CASES,
    ids=[f"{function}-{wrong}".replace(" ", "-") for function, wrong, *_ in CASES],
)
def test_what_is_wrong_is_told(
    function: str, wrong: str, call: Callable[[], Any], kind: type[Exception], words: str
) -> None:
    with pytest.raises(kind) as caught:
        call()
    assert words in str(caught.value), (function, wrong)


def test_each_exported_function_is_in_the_table() -> None:
    functions = {name for name in k.__all__ if inspect.isfunction(getattr(k, name))}
    assert {case[0] for case in CASES if "." not in case[0]} == functions


def test_what_is_not_there_is_told_with_what_is() -> None:
    with pytest.raises(KeyError, match=r"'rear' is no axle of .*; there are front"):
        _ = COUPE.rear


def test_a_car_of_one_axle_is_looked_through() -> None:
    """As editors, notebooks and `inspect` do."""
    assert not hasattr(COUPE, "rear")
    assert getattr(COUPE, "rear", None) is None
    assert {"front", "axles"} <= {name for name, _ in inspect.getmembers(COUPE)}


@pytest.mark.parametrize("name", [*OF_NUMBERS, *OF_ROWS])
def test_every_table_says_what_a_unit_is(name: str) -> None:
    for tell in (made(name).table, made(name).columns):
        with pytest.raises(TypeError, match=r"kinematics\.MM or kinematics\.INCH.*the text 'inch'"):
            tell("inch")


def test_points_are_taken_as_lists() -> None:
    listed = joint([[4, 690, 182], [4, -690, 182]])
    assert "8 points a side" in repr(listed)
    np.testing.assert_array_equal(listed.points["lower_ball_joint"], [[4.0, 690.0, 182.0], [4.0, -690.0, 182.0]])


@pytest.mark.parametrize("car", [COUPE, SALOON, k.demo_car("five_link_tourer.toml")])
def test_every_axle_takes_its_own_points_as_they_are(car: k.Car) -> None:
    """Of one car, and of many: nothing that the reader of car files takes is refused here."""
    for axle in car.axles:
        many = axle.with_points(**{key: point + np.zeros((3, 1, 1)) for key, point in axle.points.items()})
        assert many.batch_shape == (3,)
        for key, point in axle.with_points(**axle.points).points.items():
            np.testing.assert_array_equal(point, axle.points[key])


def test_lists_and_single_values_are_taken() -> None:
    one, listed = k.sweep_bump(AXLE, 5.0), k.sweep_bump(AXLE, [5.0])
    np.testing.assert_array_equal(one["camber"], listed["camber"])
    np.testing.assert_array_equal(k.sweep_roll(AXLE, 0.01)["camber"], k.sweep_roll(AXLE, [0.01])["camber"])
