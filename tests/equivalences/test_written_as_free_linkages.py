"""Every built-in suspension type against the same joints listed one by one in a car file as a free linkage."""

import tomllib
from dataclasses import replace

import numpy as np
import pytest

from kinematics import Sweep, sweep_bump, sweep_roll
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.car_file import car_from
from kinematics.numbers.registry import QUANTITIES
from tests.command_line.free_linkage_text import as_free_linkage

TRAVEL = np.linspace(-60.0, 60.0, 13)
ROLL = np.radians(np.linspace(-3.0, 3.0, 7))
SAME = 1e-6  # mm and deg: both solve lengths of a metre to 1e-11 mm, in equations of another order
# Points at infinity or nearly: one over an angle that rounding alone makes differ.
FAR = ("roll_centre_offset", "instant_centre", "swing_arm", "side_view_centre", "textbook")


@pytest.mark.parametrize("kind", SUSPENSIONS.values())
def test_same_curves(kind: SuspensionType) -> None:
    listed = car_from(tomllib.loads(as_free_linkage(kind)), "free.toml").rear
    assert listed.suspension.name == "free linkage"
    built_in = replace(listed, suspension=kind)
    compare(sweep_bump(listed, TRAVEL), sweep_bump(built_in, TRAVEL))
    compare(sweep_roll(listed, ROLL), sweep_roll(built_in, ROLL))


def compare(one: Sweep, other: Sweep) -> None:
    shared = set(one.values) & set(other.values)
    assert {"roll_centre_height", "camber", "toe", "wheel_centre_x", "roll_steer"} <= shared
    for key in shared:
        scale = np.degrees(1.0) if QUANTITIES[key].dimension.value.startswith("angle") else 1.0
        if not key.startswith(FAR):
            np.testing.assert_allclose(one[key] * scale, other[key] * scale, rtol=0.0, atol=SAME, err_msg=key)
