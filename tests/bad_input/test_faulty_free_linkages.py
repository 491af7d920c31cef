"""Free linkages that cannot be: which joint, what was read, what is allowed."""

import tomllib

import pytest

from kinematics import InputFaultError
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.car_file import car_from
from tests.command_line.free_linkage_text import as_free_linkage

SOUND = as_free_linkage(SUSPENSIONS["free linkage"])
LIVE = as_free_linkage(SUSPENSIONS["live axle with Watt linkage on the axle"])
BALL = 'ball = "lower_ball_joint"\nparts = ["upright", "lower arm"]'


TIE_ROD = 'link = ["tie_rod_outer", "tie_rod_inner"]'
PUSHROD = '["pushrod_outer", "pushrod_inner"]'
ON_UPRIGHT = ', on = "upright" }'


@pytest.mark.parametrize(
    ("text", "was", "now", "key", "told"),
    [
        (SOUND, f"]]\n{TIE_ROD}\n", "]]\n", "joint 3", "give one of: link, hinge, ball"),
        (SOUND, BALL, BALL.replace('"upright", ', '"upright", "upright", '), "joint 7.parts", "two names in quotes"),
        (SOUND, BALL, 'ball = "lower_ball_joint"', "joint 7.parts", "name the two parts that it joins"),
        (SOUND, BALL, BALL.replace("lower arm", "rocker"), "joint 7.ball", "is on the lower arm"),
        (SOUND, PUSHROD, PUSHROD.replace("inner", "iner"), "joint 4.link", "pushrod_inner?"),
        (SOUND, PUSHROD, '["pushrod_outer", "lower_ball_joint"]', "joint 4.link", "join nothing"),
        (SOUND, f"[[rear.linkage.joint]]\n{BALL}\n", "", "joint", "take 14 freedoms; 3 parts"),
        (SOUND, 'axis = ["lower_ball_joint"', 'axis = ["lower_ball"', "steering_axis", "no point here"),
        (SOUND, f"toe_{TIE_ROD}", 'toe_link = ["tie_rod_outer", "wheel_centre"]', "toe_link", "one of the links"),
        (SOUND, "[rear.linkage]", "[rear.linkages]", "linkages", "did you mean linkage?"),
        (LIVE, "whole_axle = true", "whole_axle = false", "joint", "freedoms"),
    ],
)
def test_the_fault_is_named(text: str, was: str, now: str, key: str, told: str) -> None:
    assert text.count(was) == 1
    with pytest.raises(InputFaultError) as caught:
        car_from(tomllib.loads(text.replace(was, now)), "car.toml")
    said = str(caught.value)
    assert f"rear.{'' if key == 'linkages' else 'linkage.'}{key}" in said
    assert told in said


def test_the_wheel_must_be_on_a_moving_part() -> None:
    text = SOUND.replace(
        'wheel_centre = { ahead = 0, out = 730, up = 300, on = "upright" }',
        "wheel_centre = { ahead = 0, out = 730, up = 300 }",
    )
    with pytest.raises(InputFaultError, match="what part carries the wheel"):
        car_from(tomllib.loads(text), "car.toml")


def test_joints_of_a_built_in_type_are_its_own() -> None:
    text = SOUND.replace('suspension = "free linkage"', 'suspension = "swing axle"')
    with pytest.raises(InputFaultError, match="only a free linkage lists them"):
        car_from(tomllib.loads(text), "car.toml")


def test_a_locked_linkage_is_said_to_be_locked() -> None:
    """Joints that count right but do not leave the wheel its travel: all links in one plane through the hub."""
    flat = SOUND.replace("up = 436", "up = 300").replace("up = 416", "up = 300").replace("up = 408", "up = 300")
    flat = flat.replace("up = 176", "up = 300").replace("up = 190", "up = 300").replace("up = 186", "up = 300")
    flat = flat.replace("up = 214", "up = 300").replace("up = 224", "up = 300")
    with pytest.raises(InputFaultError, match=r"locked or loose|must lie above"):
        car_from(tomllib.loads(flat), "car.toml")
