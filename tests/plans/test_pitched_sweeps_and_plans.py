"""A pitched body swept is the same car as one that a plan has pitched: two ways to one state.

The planner takes the axle apart, puts it on the ground anew and measures it there, level axes and all; the sweep keeps
the measured axle and turns the ground under it. Nothing is re-aligned here. What counts from where the car was
measured, or from the body, is another number after a plan and left out. Slopes per mm of travel are along the body's
vertical in the sweep and along the ground's after the plan; the hub's own way, by differences of solved places, brings
them to one.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle, sweep_bump, sweep_grid
from kinematics.inputs.demo_cars import demo_car
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.dismantled import put_together, take_apart

SALOON = demo_car("rear_drive_saloon.toml")
PITCH = math.asin(30.0 / 2560.0)
REST = np.zeros(1)

SINCE_MEASURED = {
    "heave", "pitch", "travel", "caster_change", "half_track_change", "pinion_angle_change", "side_view_turn",
    "wheel_centre_recession", "axle_steer",
}  # fmt: skip
OF_BODY = {"caster_to_body", "kingpin_inclination_to_body", "camber_to_body"}
PER_TRAVEL = {"camber_gain", "bump_steer"}
# Of a live axle both wheels go together along the body's vertical there, along the ground's here: two ways that part by
# the pitch times how unlike its hubs go ahead, a part in a thousand with a rod across. Wishbones have one way only.
TOGETHER = {
    "jacking_coefficient", "force_weighted_height", "side_view_centre_x", "side_view_centre_z", "side_view_swing_arm",
}  # fmt: skip
ON_THE_BODYS_HEIGHT = {"anti_dive", "anti_lift", "anti_squat"}


def stood_anew(axle: Axle, heave: float) -> Axle:
    parts = replace(take_apart(axle), heave=np.asarray(heave), pitch=np.asarray(PITCH))
    return put_together(parts).axle


@pytest.mark.parametrize(("axle", "heave"), [(SALOON.front, -30.0), (SALOON.rear, 0.0)], ids=["front", "rear"])
def test_every_number_to_the_ground(axle: Axle, heave: float) -> None:
    swept = sweep_grid(axle, np.array([-heave]), REST, pitch=PITCH)
    planned = sweep_bump(stood_anew(axle, heave), REST)
    assert_allclose(swept["heave"], heave, rtol=0.0, atol=0.0)
    left_out = SINCE_MEASURED | OF_BODY | PER_TRAVEL | ON_THE_BODYS_HEIGHT
    compared = [key for key in swept.values if key not in left_out]
    assert {"caster", "roll_centre_height", "side_view_swing_arm", "roll_steer", "toe"} & set(compared)
    for key in compared:
        # A centre that lies metres away moves by a square of that for what the wheels miss the ground by.
        to = 1e-6 if QUANTITIES[key].dimension is Dimension.LENGTH else 1e-9
        to = 1e-3 if key in TOGETHER and axle.suspension.whole_axle else to
        assert_allclose(swept[key].reshape(-1), planned[key].reshape(-1), rtol=to, atol=to, err_msg=key)


def test_gains_of_the_front_are_per_mm_of_each_ones_own_vertical() -> None:
    heave, step = -30.0, 0.25
    swept = sweep_grid(SALOON.front, np.array([-heave]), REST, pitch=PITCH)
    planned = sweep_bump(stood_anew(SALOON.front, heave), REST)
    for side in (0, 1):
        travel = swept["travel"][side, 0, 0] + np.array([-step, step])
        back = sweep_bump(SALOON.front, travel)["wheel_centre_recession"][side]
        # A hub that goes back by so much per mm up the body goes up by this over the ground.
        rise = math.cos(PITCH) + math.sin(PITCH) * (back[1] - back[0]) / (2.0 * step)
        for key in PER_TRAVEL:
            assert_allclose(swept[key][side, 0, 0], planned[key][side, 0] * rise, rtol=1e-6, err_msg=key)


def test_a_pitched_car_leans_on_its_whole_height() -> None:
    """Support times height over wheelbase is the slope of the contact's path, which knows nothing of the body.

    The planner has the axle's own body as high as that axle was raised (its plans set that right for both); the sweep
    turns it. So what is left of the ratio is that of the heights (formula).
    """
    body, heave = SALOON.body, -30.0
    assert body.centre_of_gravity is not None
    assert body.behind_front is not None
    swept = sweep_grid(SALOON.front, np.array([-heave]), REST, pitch=PITCH)["anti_dive"][:, 0, 0]
    planned = sweep_bump(stood_anew(SALOON.front, heave), REST)["anti_dive"][:, 0]
    unsprung, hubs = body.unsprung
    turned = body.centre_of_gravity * math.cos(PITCH) + body.behind_front * math.sin(PITCH) + heave
    heights = [(1.0 - unsprung) * one + unsprung * hubs for one in (turned, body.centre_of_gravity + heave)]
    assert_allclose(swept / planned, heights[1] / heights[0], rtol=1e-9)
