"""Travel left and joint angles against the planar drawing board."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from kinematics.car.car import Axle
from kinematics.car.fittings import Fittings
from kinematics.car.limits import WorkingRange
from kinematics.inputs.demo_cars import demo_car
from kinematics.motion.moving_axle import moving
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import Change
from kinematics.planning.dismantled import put_together
from kinematics.planning.joint_turns import joint_angles
from kinematics.planning.stops import felt_at_stops, stop_room, travel_left
from tests.plans.drawing_board import VIEWS, FrontView, Reassembled, reassemble, whole_car
from tests.plans.garage import change, changed_parts

BUMP, DROOP = 45.0, 52.0
CASES: dict[str, tuple[list[Change], dict[str, Any]]] = {
    "lower": ([change("ride height", by=-10.0)], {"raised": -10.0}),
    "longer ball joint": (
        [change("longer ball joint", by=18.0), change("tie-rod shim", by=18.0)],
        {"joint": (0.0, -18.0)},
    ),
    "raised pivots": (
        [change("inner pivots", shift=(0.0, 0.0, 14.0)), change("rack raised", by=14.0)],
        {"pivot": (0.0, 14.0)},
    ),
    "raised pivots, lower": (
        [
            change("inner pivots", shift=(0.0, 0.0, 14.0)),
            change("rack raised", by=14.0),
            change("ride height", by=-10.0),
        ],
        {"pivot": (0.0, 14.0), "raised": -10.0},
    ),
    "both": (
        [change("longer ball joint", by=18.0), change("tie-rod shim", by=18.0), change("ride height", by=12.0)],
        {"joint": (0.0, -18.0), "raised": 12.0},
    ),
}


def board(view: FrontView, drawn: dict[str, Any], lift: float = 0.0) -> Reassembled:
    return reassemble(view, **{**drawn, "raised": drawn.get("raised", 0.0) + lift})


def hub_in_body(view: FrontView, drawn: dict[str, Any], lift: float = 0.0) -> float:
    return float(board(view, drawn, lift).view.centre[1] - drawn.get("raised", 0.0) - lift)


def gauge(view: FrontView, drawn: dict[str, Any], lift: float) -> float:
    """What the stop feels: the strut's length, or the lower ball joint's height in the body."""
    now = board(view, drawn, lift).view
    return -math.dist(*now.strut) if now.strut is not None else float(now.joint[1] - drawn.get("raised", 0.0) - lift)


def lifted_to_travel(view: FrontView, drawn: dict[str, Any], travel: float) -> float:
    rest = hub_in_body(view, drawn)
    return float(
        brentq(lambda lift: hub_in_body(view, drawn, lift) - rest - travel, -travel - 5.0, -travel + 5.0, xtol=1e-11)
    )


def travel_to(view: FrontView, drawn: dict[str, Any], at_stop: float) -> float:
    lift = brentq(lambda lift: gauge(view, drawn, lift) - at_stop, -90.0, 90.0, xtol=1e-11)
    return hub_in_body(view, drawn, float(lift)) - hub_in_body(view, drawn)


def changed_axle(measured: Axle, changes: Sequence[Change]) -> ChangedAxle:
    """Changes made, nothing re-aligned."""
    parts = changed_parts(measured, *changes)
    done = put_together(parts)
    return ChangedAxle(done.axle, done.rotation, np.zeros(2), np.zeros(2), float(parts.heave), float(parts.pitch), ())


@pytest.mark.parametrize("kind", VIEWS)
@pytest.mark.parametrize("case", CASES)
def test_travel_left(kind: str, case: str) -> None:
    view, (changes, drawn) = VIEWS[kind], CASES[case]
    at_bump, at_droop = (gauge(view, {}, lifted_to_travel(view, {}, travel)) for travel in (BUMP, -DROOP))
    measured = replace(whole_car(view), fittings=Fittings(bump_stop=BUMP, droop_stop=DROOP))
    left = travel_left(measured, changed_axle(measured, changes))
    # Secant steps over 0.1 mm end within the curvature's share of it: 1e-6 mm is far below any tape.
    assert_allclose(left.bump, travel_to(view, drawn, at_bump), rtol=0.0, atol=1e-5)
    assert_allclose(left.droop, -travel_to(view, drawn, at_droop), rtol=0.0, atol=1e-5)


@pytest.mark.parametrize("kind", VIEWS)
def test_room_to_each_stop_at_its_own_end_of_the_working_travel(kind: str) -> None:
    """What the stop feels where it is reached, less what it feels at the end of the travel that is used."""
    view, working = VIEWS[kind], WorkingRange(travel_low=-20.0, travel_high=30.0)
    measured = replace(whole_car(view), fittings=Fittings(bump_stop=BUMP, droop_stop=DROOP))
    still = np.zeros(())
    bump, droop = stop_room(moving(measured, -60.0, 60.0), still, still, working, felt_at_stops(measured))
    felt = {at: gauge(view, {}, lifted_to_travel(view, {}, at)) for at in (-DROOP, -20.0, 30.0, BUMP)}
    assert bump is not None
    assert droop is not None
    assert_allclose(bump, felt[BUMP] - felt[30.0], rtol=0.0, atol=1e-6)
    assert_allclose(droop, felt[-20.0] - felt[-DROOP], rtol=0.0, atol=1e-6)


def test_nothing_changed_leaves_the_measured_travel() -> None:
    measured = replace(whole_car(VIEWS["strut"]), fittings=Fittings(bump_stop=BUMP))
    left = travel_left(measured, changed_axle(measured, []))
    assert_allclose(left.bump, BUMP, rtol=0.0, atol=1e-5)
    assert np.isnan(left.droop).all()


@pytest.mark.parametrize("key", ["lower_link_chassis", "upper_link_chassis"])
def test_link_ends_on_the_body_are_no_stops(key: str) -> None:
    """A live axle's stops feel the wheel centres' height in the body, which stands where it stood."""
    rear = demo_car("rear_drive_saloon.toml").rear
    measured = replace(rear, fittings=replace(rear.fittings, bump_stop=60.0, droop_stop=70.0))
    moved = Change("rear", "point", point=key, shift=(0.0, 0.0, 10.0))
    left = travel_left(measured, changed_axle(measured, [moved]))
    assert_allclose(left.bump, 60.0, rtol=0.0, atol=1e-5)
    assert_allclose(left.droop, 70.0, rtol=0.0, atol=1e-5)


@pytest.mark.parametrize("kind", VIEWS)
@pytest.mark.parametrize("case", CASES)
def test_joint_angles(kind: str, case: str) -> None:
    """In the plane: the arm's turn less the upright's at the ball joint, the arm's alone on the chassis."""
    view, (changes, drawn) = VIEWS[kind], CASES[case]
    measured = whole_car(view)
    found = joint_angles(measured, changed_axle(measured, changes), np.array([0.0, 15.0]))

    def turns(lift: float) -> tuple[float, float]:
        now = board(view, drawn, lift)
        before, after = view.joint - view.pivot, now.view.joint - now.view.pivot
        return math.atan2(after[1], after[0]) - math.atan2(before[1], before[0]), now.turn

    both = [turns(0.0), turns(lifted_to_travel(view, drawn, 15.0))]
    at_joint = max(abs(arm - upright) for arm, upright in both)
    on_chassis = max(abs(arm) for arm, _ in both)
    for key, angle in (("lower_ball_joint", at_joint), ("tie_rod_outer", at_joint), ("tie_rod_inner", on_chassis)):
        assert_allclose(found[key], angle, rtol=0.0, atol=1e-9, err_msg=key)
