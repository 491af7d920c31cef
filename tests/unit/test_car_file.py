"""What a car file's numbers become: millimetres, radians, both sides, and the limits."""

import math
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kinematics import Axle, Car, InputFaultError, read_car
from kinematics.car.lengths import MM, UNITS
from kinematics.car.limits import EVERYWHERE, FORCE_WEIGHTED, ROLL_CENTRE, Origin, WorkingRange
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.blank_file import blank_car_file
from kinematics.inputs.car.car_file import car_from, limits_from, read_limits
from kinematics.inputs.car.car_tables import LimitsTable
from kinematics.inputs.demo_cars import demo_car, demo_text
from tests.command_line.car_texts import SOUND_CAR


def car_of(text: str) -> Car:
    return car_from(tomllib.loads(text), "here")


SOUND = car_of(SOUND_CAR)


def _doubts(axle: Axle) -> dict[str, float]:
    """One standard deviation of each coordinate by its name in words."""
    assert axle.doubt is not None
    return dict(zip(map(str, axle.doubt.coordinates), axle.doubt.standard_deviation.tolist(), strict=True))


def sound_with(*changes: tuple[str, str]) -> Car:
    text = SOUND_CAR
    for was, now in changes:
        assert text.count(was) == 1
        text = text.replace(was, now)
    return car_of(text)


REAR = """
[rear]
suspension = "double wishbone"
wheel = { camber = -1, toe_in = 0.1 }
[rear.points]
wheel_centre = { ahead = 0, out = 730, up = 300 }
lower_ball_joint = { ahead = 6, out = 684, up = 176 }
lower_pivot_front = { ahead = 130, out = 350, up = 190 }
lower_pivot_rear = { ahead = -150, out = 350, up = 186 }
upper_ball_joint = { ahead = -14, out = 652, up = 436 }
upper_pivot_front = { ahead = 96, out = 420, up = 416 }
upper_pivot_rear = { ahead = -104, out = 420, up = 408 }
tie_rod_outer = { ahead = -124, out = 676, up = 214 }
tie_rod_inner = { ahead = -120, out = 344, up = 224 }
"""


def test_points_are_mirrored_to_both_sides() -> None:
    # Written: strut_top = { ahead = -24, out = 562, up = 782 }; x forward, y left, z up, left side first.
    np.testing.assert_array_equal(SOUND.front.points["strut_top"], [[-24.0, 562.0, 782.0], [-24.0, -562.0, 782.0]])


def test_angles_are_in_radians() -> None:
    front = SOUND.front
    np.testing.assert_allclose(front.camber, math.radians(-2.2), rtol=1e-15)
    np.testing.assert_allclose(front.toe, math.radians(0.05), rtol=1e-15)


def test_doubts_of_a_point_take_the_place_of_the_files() -> None:
    doubts = _doubts(SOUND.front)
    assert [doubts["strut_top ahead"], doubts["strut_top out"], doubts["strut_top up"]] == [2.0, 2.0, 2.0]
    assert [doubts["tie_rod_inner ahead"], doubts["tie_rod_inner out"], doubts["tie_rod_inner up"]] == [5.0, 5.0, 5.0]


def test_a_wheel_centre_measured_once_is_what_ahead_is_measured_from() -> None:
    doubts = _doubts(SOUND.front)
    assert "wheel_centre ahead" not in doubts
    assert doubts["wheel_centre up"] == 2.0


def test_each_side_that_was_measured_has_a_doubt_of_its_own() -> None:
    own = "\n[front.left.points]\nstrut_top = { ahead = -20, out = 560, up = 780, known_to = 3 }\n"
    doubts = _doubts(car_of(SOUND_CAR + own).front)
    assert doubts["left strut_top up"] == 3.0
    assert doubts["right strut_top up"] == 2.0
    assert "strut_top up" not in doubts


def test_doubts_of_the_wheels_angles_are_in_radians() -> None:
    doubts = _doubts(sound_with(("wheel = {", "wheel = { camber_known_to = 0.1, toe_in_known_to = 0.02,")).front)
    assert doubts["camber"] == pytest.approx(math.radians(0.1), rel=1e-15)
    assert doubts["toe"] == pytest.approx(math.radians(0.02), rel=1e-15)


def test_without_any_doubt_there_is_none() -> None:
    front = sound_with(("measured_to = 2.0", ""), (", known_to = 5", "")).front
    assert list(_doubts(front)) == ["lower_pivot_rear ahead", "lower_pivot_rear out", "lower_pivot_rear up"]


def test_one_side_takes_the_place_of_both() -> None:
    apart = """
[front.left.points]
strut_top = { ahead = -20, out = 560, up = 780 }
[front.right.wheel]
camber = -1.5
toe_in = -0.1
[limits]"""
    front = sound_with(("[limits]", apart)).front
    np.testing.assert_array_equal(front.points["strut_top"], [[-20.0, 560.0, 780.0], [-24.0, -562.0, 782.0]])
    np.testing.assert_allclose(np.degrees(front.camber), [-2.2, -1.5], rtol=1e-14)
    np.testing.assert_allclose(np.degrees(front.toe), [0.05, -0.1], rtol=1e-14)


def test_zero_on_one_side_is_a_value() -> None:
    front = sound_with(("[limits]", "[front.left.wheel]\ncamber = 0\n[limits]")).front
    np.testing.assert_allclose(np.degrees(front.camber), [0.0, -2.2], rtol=1e-14)


def test_a_car_may_be_measured_apart_throughout() -> None:
    text = SOUND_CAR
    head, rest = text.split("[front.points]", 1)
    points, limits = rest.split("[limits]", 1)
    text = f"{head}[front.left.points]{points}[front.right.points]{points}[limits]{limits}"
    for key, point in car_of(text).front.points.items():
        np.testing.assert_array_equal(point, SOUND.front.points[key])


def test_a_wheel_radius_written_on_one_side_is_held_against_that_side() -> None:
    with pytest.raises(InputFaultError) as caught:
        sound_with((", radius = 298", ""), ("[limits]", "[front.right.wheel]\nradius = 270\n[limits]"))
    assert [fault.key for fault in caught.value.faults] == ["front.right.wheel.radius"]


def test_a_front_and_a_rear_axle() -> None:
    car = sound_with(("[limits]", f"{REAR}\n[limits]"))
    assert [axle.name for axle in car.axles] == ["front", "rear"]
    assert car.rear.suspension.name == "double wishbone"
    np.testing.assert_array_equal(car.rear.points["lower_ball_joint"][1], [6.0, -684.0, 176.0])


def test_a_rear_axle_alone() -> None:
    car = car_of(f'name = "a"\nunits = "mm"\n{REAR}')
    assert [axle.name for axle in car.axles] == ["rear"]
    with pytest.raises(KeyError):
        _ = car.front


def test_inches_become_millimetres() -> None:
    # 25.4 mm to the inch, exactly (formula: its definition).
    text = f'name = "a"\nunits = "in"\nmeasured_to = "1/8"\n{REAR}'
    for was, now in (
        ("out = 730, up = 300", 'out = "28 3/4", up = 11.75'),
        ("ahead = 6, out = 684, up = 176", 'ahead = "1/4", out = 27, up = 7'),
        ("ahead = 130, out = 350, up = 190", "ahead = 5, out = 14, up = 7.5"),
        ("ahead = -150, out = 350, up = 186", 'ahead = "-5 7/8", out = 14, up = 7.25'),
        ("ahead = -14, out = 652, up = 436", 'ahead = "-1/2", out = 25.5, up = 17'),
        ("ahead = 96, out = 420, up = 416", "ahead = 3.75, out = 16.5, up = 16.5"),
        ("ahead = -104, out = 420, up = 408", "ahead = -4, out = 16.5, up = 16"),
        ("ahead = -124, out = 676, up = 214", "ahead = -5, out = 26.5, up = 8.5"),
        ("ahead = -120, out = 344, up = 224", "ahead = -4.75, out = 13.5, up = 8.75"),
    ):
        assert text.count(was) == 1
        text = text.replace(was, now)
    rear = car_of(text).rear
    np.testing.assert_allclose(rear.points["wheel_centre"][0], [0.0, 730.25, 298.45], rtol=1e-14)
    np.testing.assert_allclose(rear.points["lower_pivot_rear"][1], [-149.225, -355.6, 184.15], rtol=1e-14)
    assert _doubts(rear)["wheel_centre out"] == pytest.approx(3.175, rel=1e-14)


def test_limits_are_in_mm_and_radians() -> None:
    car = SOUND
    weighted, height, camber = car.limits.of(car.front)
    assert weighted == FORCE_WEIGHTED
    # A limit for the roll centre that does not say where means ride height.
    assert (height.key, height.low, height.high, height.over) == ("roll_centre_height", -25.4, 76.2, ("ride height",))
    assert (camber.key, camber.low, camber.over) == ("camber", -math.inf, ("roll",))
    assert camber.high == pytest.approx(math.radians(0.5), rel=1e-14)
    assert (car.limits.working.travel_low, car.limits.working.travel_high) == (-40.0, 40.0)
    assert car.limits.working.roll == pytest.approx(math.radians(2.0), rel=1e-14)


def test_a_file_of_limits_in_inches(tmp_path: Path) -> None:
    path = tmp_path / "limits.toml"
    path.write_text(
        """
        units = "in"
        [limits]
        travel = ["-1 1/2", 2]
        [limits.rear]
        roll_centre_height = { from = 1, to = "4 1/2", over = ["ride height", "travel"] }
        camber_gain = { to = 0.5, over = "travel" }
        jacking_coefficient = { to = 1 }
        """,
        encoding="utf-8",
    )
    limits = read_limits(path)
    height, gain, jacking = limits.of(replace(SOUND.axles[0], name="rear"))
    assert (height.low, height.high) == pytest.approx((25.4, 114.3), rel=1e-14)
    assert height.over == ("ride height", "travel")
    # Degrees per inch to radians per mm.
    assert gain.high == pytest.approx(math.radians(0.5) / 25.4, rel=1e-14)
    assert (jacking.high, jacking.over) == (1.0, EVERYWHERE)
    assert (limits.working.travel_low, limits.working.travel_high) == pytest.approx((-38.1, 50.8), rel=1e-14)
    assert limits.of(replace(SOUND.axles[0], name="front")) == (ROLL_CENTRE, FORCE_WEIGHTED)


def test_limits_of_a_car_file_are_read_as_its_car_has_them(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text(SOUND_CAR, encoding="utf-8")
    assert read_limits(path) == SOUND.limits
    survey = tmp_path / "survey.toml"
    survey.write_text(demo_text("lowered_coupe_survey.toml"), encoding="utf-8")
    assert read_limits(survey) == demo_car("lowered_coupe.toml").limits


@pytest.mark.parametrize("kind", sorted(SUSPENSIONS))
def test_a_blank_file_shows_the_limits_that_hold_if_none_are_stated(kind: str) -> None:
    suspension = SUSPENSIONS[kind]
    for unit in UNITS.values():
        for axle in ("front", "rear"):
            assert "limits" not in tomllib.loads(blank_car_file(suspension, unit, axle))
    text = blank_car_file(suspension, MM, "front")
    lines = [line[2:] for line in text[text.index("# [limits]") :].splitlines()]
    shown = [line for line in lines if line.startswith(("[", "travel", "roll =", "roll_centre", "force_weighted"))]
    if suspension.whole_axle:
        assert not any(line.startswith("force_weighted") for line in shown)
        return
    limits, faults = limits_from(LimitsTable.model_validate(tomllib.loads("\n".join(shown))["limits"]), MM)
    assert not faults
    assert [replace(one, source="") for one in limits.by_axle["front"]] == [
        replace(one, source="") for one in (ROLL_CENTRE, FORCE_WEIGHTED)
    ]
    assert replace(limits.working, travel_from=Origin.USUAL, roll_from=Origin.USUAL) == WorkingRange()


def test_without_limits_the_common_ones_hold() -> None:
    text = SOUND_CAR
    car = car_of(text[: text.index("[limits]")])
    assert car.limits.of(car.front) == (ROLL_CENTRE, FORCE_WEIGHTED)
    assert car.limits.working.travel_from is Origin.USUAL
    assert car.limits.working.roll_from is Origin.USUAL


def test_the_error_names_file_and_faults(tmp_path: Path) -> None:
    path = tmp_path / "my car.toml"
    path.write_text(SOUND_CAR.replace("out = 741", "out = -741").replace("up = 420", "up = -420"), encoding="utf-8")
    with pytest.raises(InputFaultError) as caught:
        read_car(path)
    assert caught.value.source == str(path)
    assert [fault.key for fault in caught.value.faults] == [
        "front.points.wheel_centre.out",
        "front.points.strut_low.up",
    ]
    assert str(caught.value).startswith(f"{path}: 2 faults\n  front.points.wheel_centre.out: ")
