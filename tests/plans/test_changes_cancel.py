"""Changes add up: opposite ones cancel, their order does not matter, and a side that is left alone stays as it was."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle, demo_car
from kinematics.planning.changes import Change
from kinematics.planning.plans import AS_MEASURED, Targets, carry_out
from tests.plans.garage import (
    EVERY_KIND,
    LEFT_ONLY,
    RIGHT_ONLY,
    assembled,
    change,
    front_only,
    plan,
    typical,
    uneven,
)

PLACES = 1e-9  # mm, rad: poses are held to 2e-10 mm


def assert_same_axle(actual: Axle, expected: Axle, side: slice | int = slice(None), atol: float = PLACES) -> None:
    for key in expected.points:
        assert_allclose(actual.points[key][side], expected.points[key][side], rtol=0.0, atol=atol, err_msg=key)
    assert_allclose(actual.camber[side], expected.camber[side], rtol=0.0, atol=atol)
    assert_allclose(actual.toe[side], expected.toe[side], rtol=0.0, atol=atol)


def opposite(one: Change) -> Change:
    ahead, out, up = one.shift
    return replace(one, by=-one.by, shift=(-ahead, -out, -up))


@pytest.mark.parametrize("kind", ["strut", "double wishbone"])
def test_no_changes(kind: str) -> None:
    axle = uneven(kind)
    assert_same_axle(assembled(axle).axle, axle)


def test_no_plan_on_a_car_with_adjusters() -> None:
    car = demo_car()
    (done,) = carry_out(car, [AS_MEASURED])
    assert_same_axle(done["front"].axle, car.front)
    assert_allclose([done["front"].toe_link, done["front"].camber], 0.0, atol=1e-7)
    assert done["front"].refusals == ()


@pytest.mark.parametrize(("what", "how"), EVERY_KIND, ids=[what for what, _ in EVERY_KIND])
def test_opposite_changes_cancel(what: str, how: dict[str, Any]) -> None:
    axle, one = uneven("strut"), change(what, **how)
    # Held against a car that did change, or nothing would be cancelled.
    stirred = assembled(axle, one).axle
    assert max(np.abs(stirred.points[key] - axle.points[key]).max() for key in axle.points) > 1.0
    assert_same_axle(assembled(axle, one, opposite(one)).axle, axle)


def test_the_order_does_not_matter() -> None:
    axle = uneven("strut")
    changes = [change(what, **how) for what, how in EVERY_KIND]
    assert_same_axle(assembled(axle, *reversed(changes)).axle, assembled(axle, *changes).axle)


@pytest.mark.parametrize(
    ("what", "how"),
    [one for one in EVERY_KIND if one[0] not in ("ride height", "tyre radius")],
    ids=str,
)
def test_one_side_leaves_the_other_alone(what: str, how: dict[str, Any]) -> None:
    axle = uneven("strut")
    both = assembled(axle, change(what, **how)).axle
    for sides, side in ((LEFT_ONLY, 0), (RIGHT_ONLY, 1)):
        after = assembled(axle, change(what, sides=sides, **how)).axle
        assert_same_axle(after, axle, 1 - side)
        assert_same_axle(after, both, side)


def test_one_tyre_smaller_by_two_lowers_the_body_by_one() -> None:
    """Level on both sides again: the corner with the smaller wheel droops, the other goes up in bump."""
    axle = typical("strut", camber=0.0)
    after = assembled(axle, change("tyre radius", by=-2.0, sides=LEFT_ONLY)).axle
    assert_allclose(after.points["strut_top"][:, 2] - axle.points["strut_top"][:, 2], -1.0, atol=1e-12)
    # Camber gains some 0.01 deg on 1 mm, so hubs stand at their radius over the ground to 1e-5 mm.
    assert_allclose(after.points["wheel_centre"][:, 2], axle.points["wheel_centre"][:, 2] - [2.0, 0.0], atol=1e-5)


def test_on_top_of_another_plan() -> None:
    car = front_only(uneven("strut"), demo_car())
    first = plan(change("longer ball joint", by=20.0), name="first", targets={"front": Targets(toe=0.002)})
    second = plan(change("ride height", by=6.0), change("tie-rod shim", by=18.0), name="second")
    stacked = second.on_top_of(first)
    assert (stacked.name, stacked.targets) == ("second", first.targets)
    in_one = plan(*first.changes, *second.changes, targets=first.targets)
    done, by_hand = carry_out(car, [stacked, in_one])
    assert_same_axle(done["front"].axle, by_hand["front"].axle)
    assert_allclose(done["front"].axle.toe, 0.002, atol=1e-9)


def test_the_upper_plan_only_replaces_the_angle_that_it_sets() -> None:
    """Camber asked for below, toe on top: both are wanted."""
    lower = plan(targets={"front": Targets(camber=-0.04)}, name="lower")
    upper = plan(targets={"front": Targets(toe=0.001)}, name="upper").on_top_of(lower)
    assert upper.targets["front"] == Targets(camber=-0.04, toe=0.001)


@pytest.mark.campaign
def test_plans_solved_together_do_not_touch_each_other() -> None:
    car = demo_car()
    plans = [plan(change(what, **how), name=what) for what, how in EVERY_KIND]
    together = carry_out(car, plans)
    for one, shared in zip(plans, together, strict=True):
        (alone,) = carry_out(car, [one])
        # Toe and camber are set to 1e-10 rad, over levers of some 600 mm.
        assert_same_axle(shared["front"].axle, alone["front"].axle, atol=1e-7)
        assert_allclose(shared["front"].toe_link, alone["front"].toe_link, rtol=0.0, atol=1e-7)
        assert shared["front"].refusals == alone["front"].refusals
