"""What the trade knows of lowered cars ('common practice, no source' throughout)."""

from dataclasses import replace

import numpy as np
import pytest

from kinematics import Axle, demo_car, sweep_bump
from kinematics.planning.changes import Change
from kinematics.planning.comparison import compare
from tests.plans.garage import change, front_only, plan, toe_set_back, typical
from tests.short_run import at_places

CARS = pytest.mark.parametrize("axle", [typical("strut"), demo_car().front], ids=["typical", "lowered coupe"])
LOWERED = change("ride height", by=-15.0)


def numbers(axle: Axle, *changes: Change) -> dict[str, float]:
    bare = replace(axle, fittings=type(axle.fittings)())
    outcome = compare(front_only(bare, demo_car()), [plan(*changes)], demo_car().limits, []).outcomes[1]
    assert outcome.troubles == ()
    return {key: values[0] for key, values in outcome.numbers["front"].items()}


def bump_steer(axle: Axle, *changes: Change) -> float:
    return float(sweep_bump(toe_set_back(axle, *changes).assembled.axle, np.zeros(1))["bump_steer"][0, 0])


@CARS
def test_lowering_takes_the_roll_centre_farther_from_the_centre_of_gravity(axle: Axle) -> None:
    before, after = numbers(axle), numbers(axle, LOWERED)
    assert after["centre_of_gravity"] == pytest.approx(before["centre_of_gravity"] - 15.0, abs=1e-9)
    assert after["roll_centre_height"] < before["roll_centre_height"] - 15.0
    assert after["gravity_over_roll_centre"] > before["gravity_over_roll_centre"] + 5.0
    assert after["lower_arm_angle"] < before["lower_arm_angle"]


@CARS
@pytest.mark.parametrize(
    "cure",
    at_places([change("longer ball joint", by=15.0), change("inner pivots", shift=(0.0, 0.0, 15.0))], 0),
    ids=lambda one: one.what,
)
def test_longer_ball_joints_and_raised_pivots_bring_the_roll_centre_back(axle: Axle, cure: Change) -> None:
    before, after, cured = numbers(axle), numbers(axle, LOWERED), numbers(axle, LOWERED, cure)
    assert cured["roll_centre_height"] > after["roll_centre_height"] + 20.0
    was, low, back = (one["gravity_over_roll_centre"] for one in (before, after, cured))
    assert abs(back - was) < low - was


@CARS
@pytest.mark.parametrize(
    ("damage", "cure"),
    [
        (change("longer ball joint", by=20.0), change("tie-rod shim", by=20.0)),
        (change("inner pivots", shift=(0.0, 0.0, 20.0)), change("rack raised", by=20.0)),
    ],
    ids=["ball joint", "pivots"],
)
def test_bump_steer_goes_and_comes_back(axle: Axle, damage: Change, cure: Change) -> None:
    before = bump_steer(axle)
    spoilt = bump_steer(axle, damage) - before
    assert abs(np.degrees(spoilt)) > 0.01  # per mm: felt at once
    assert abs(bump_steer(axle, damage, cure) - before) < 0.1 * abs(spoilt)


@CARS
def test_track_and_scrub_grow_with_spacers(axle: Axle) -> None:
    before, after = numbers(axle), numbers(axle, change("wheel spacer", by=10.0))
    assert after["track"] == pytest.approx(before["track"] + 20.0, abs=0.3)
    # At 15 deg of kingpin inclination and 2 deg of camber the ground is met 10 mm further in all the same.
    assert after["scrub_radius"] == pytest.approx(before["scrub_radius"] + 10.0, abs=0.3)
