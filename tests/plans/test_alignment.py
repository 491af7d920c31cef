"""Re-alignment: toe and camber come back to target whatever was changed, or the plan says how far they can come."""

import math
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle, Car, demo_car
from kinematics.car.fittings import Adjusters, CamberBy
from kinematics.car.lengths import MM
from kinematics.planning import dismantled
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.plans import Plan, Targets, carry_out
from reports.words.plans import refusal_words
from tests.plans.drawing_board import VIEWS, reassemble, whole_car
from tests.plans.garage import change, front_only, plan, typical, uneven
from tests.short_run import at_places

ADJUSTED: list[tuple[str, CamberBy]] = [
    ("strut", "none"),
    ("strut", "strut top"),
    ("strut", "strut bolts"),
    ("strut", "lower arm"),
    ("double wishbone", "none"),
    ("double wishbone", "lower arm"),
    ("double wishbone", "upper arm"),
]
WIDE = (-60.0, 60.0)


def car_with(axle: Axle, adjusters: Adjusters) -> Car:
    return front_only(replace(axle, fittings=replace(axle.fittings, adjusters=adjusters)), demo_car())


def carried_out(car: Car, one: Plan) -> ChangedAxle:
    return carry_out(car, [one])[0]["front"]


@pytest.mark.parametrize(("kind", "by"), ADJUSTED)
def test_toe_and_camber_come_back(kind: str, by: CamberBy) -> None:
    car = car_with(uneven(kind), Adjusters(camber_by=by))
    changes = [
        change("ride height", by=-17.0),
        change("longer ball joint", by=14.0),
        change("inner pivots", shift=(2.0, -3.0, 9.0)),
        change("rack raised", by=6.0),
        change("wheel spacer", by=4.0),
    ]
    camber = None if by == "none" else math.radians(-3.0)
    targets = {"front": Targets(camber=camber, toe=math.radians(-0.2))}
    plans = [plan(*changes[:count], targets=to) for count in (0, 1, 5) for to in ({}, targets)]
    for one, done in zip(plans, carry_out(car, plans), strict=True):
        after = done["front"]
        assert after.refusals == ()
        wanted = targets["front"] if one.targets else Targets(car.front.camber, car.front.toe)  # type: ignore[arg-type]
        assert_allclose(after.axle.toe, wanted.toe, rtol=0.0, atol=1e-9)
        if by != "none":
            assert_allclose(after.axle.camber, wanted.camber, rtol=0.0, atol=1e-9)
        elif one.changes:
            assert np.abs(after.axle.camber - car.front.camber).min() > 1e-4
            assert_allclose(after.camber, 0.0, atol=0.0)


def test_camber_asked_for_without_an_adjuster_is_refused() -> None:
    """A target that nothing on the car can set must not pass for reached."""
    car = car_with(typical("strut"), Adjusters())
    assert carried_out(car, plan(targets={"front": Targets(camber=math.radians(-3.5))})).refusals


DRAWN: list[tuple[str, CamberBy, str, float]] = [
    ("strut", "strut top", "top", -7.0),
    ("strut", "strut bolts", "bolts", math.radians(0.8)),
    ("strut", "lower arm", "lower_out", 6.0),
    ("double wishbone", "lower arm", "lower_out", 6.0),
    ("double wishbone", "upper arm", "upper_out", -5.0),
]


@pytest.mark.parametrize(("kind", "by", "drawn_as", "amount"), DRAWN)
def test_a_camber_adjuster_on_the_drawing_board(kind: str, by: CamberBy, drawn_as: str, amount: float) -> None:
    """Asked for the camber that a known turn of the adjuster gives on the drawing board, it must find that turn."""
    view = VIEWS[kind]
    board = reassemble(view, **{drawn_as: (amount, 0.0) if drawn_as == "top" else amount})
    assert abs(board.view.camber - view.camber) > math.radians(0.3)
    car = car_with(whole_car(view), Adjusters(camber_by=by))
    after = carried_out(car, plan(targets={"front": Targets(camber=board.view.camber)}))
    # Camber is set to 1e-10 rad, worth some 1e-7 mm at the adjusters.
    assert_allclose(after.camber, amount, rtol=0.0, atol=1e-6)
    # The tie rod is the lower arm over again further back, and is lengthened with it; not otherwise.
    before, now = view.joint - view.pivot, board.view.joint - board.view.pivot
    assert_allclose(after.toe_link, math.hypot(*now) - math.hypot(*before), rtol=0.0, atol=1e-6)
    contact = [[board.contact[0], 0.0], [-board.contact[0], 0.0]]
    assert_allclose(after.axle.contact[:, 1:], contact, rtol=0.0, atol=1e-6)


def asked(which: str, degrees: float) -> dict[str, Targets]:
    return {"front": Targets(**{which: math.radians(degrees)})}


def told_reach(refusals: list[str], which: str) -> tuple[float, float]:
    (said,) = [text for text in refusals if f"reachable {which}" in text]
    found = re.search(rf"reachable {which}: ([-+.\d]+) deg to ([-+.\d]+) deg", said)
    assert found is not None, said
    return float(found[1]), float(found[2])


REACHES: list[tuple[str, CamberBy, str, dict[str, Any]]] = [
    *((kind, by, "toe", {"toe_link": (-2.0, 3.0)}) for kind, by in ADJUSTED),
    ("strut", "strut top", "camber", {"camber_range": (-5.0, 6.0)}),
    ("strut", "strut bolts", "camber", {"camber_range": (-0.02, 0.03)}),
    ("strut", "lower arm", "camber", {"camber_range": (-5.0, 6.0)}),
    ("double wishbone", "upper arm", "camber", {"camber_range": (-5.0, 6.0)}),
    ("double wishbone", "lower arm", "camber", {"camber_range": (-5.0, 6.0)}),
]


@pytest.mark.parametrize(
    ("kind", "by", "which", "ranges"),
    at_places(REACHES, 0, -2 % len(REACHES)),
)
def test_the_reach_that_is_told_is_true(kind: str, by: CamberBy, which: str, ranges: dict[str, Any]) -> None:
    axle = typical(kind)
    car = car_with(axle, Adjusters(**{"toe_link": WIDE, "camber_by": by, **ranges}))
    lowered = change("ride height", by=-15.0)
    far = carried_out(car, plan(lowered, targets=asked(which, 9.0)))
    said = refusal_words(far.refusals, MM)
    assert any("allowed" in text for text in said)
    low, high = told_reach(said, which)
    inside = 0.01  # deg: the reach is told to 0.01, so is off by 0.005 at most
    tried = {low + inside: True, high - inside: True, low - inside: False, high + inside: False}
    plans = [plan(lowered, targets=asked(which, degrees)) for degrees in tried]
    for (degrees, reachable), done in zip(tried.items(), carry_out(car, plans), strict=True):
        after = done["front"]
        assert (not after.refusals) is reachable, (degrees, (low, high), after.toe_link, after.camber)


def test_an_adjuster_open_to_one_side_is_told_in_words() -> None:
    car = car_with(typical("strut"), Adjusters(toe_link=(-1.0, math.inf)))
    (said,) = refusal_words(carried_out(car, plan(targets=asked("toe", -3.0))).refusals, MM)
    assert "infinity" not in said
    assert "or more" in said


@pytest.mark.parametrize(("kind", "by"), ADJUSTED)
def test_adjusters_and_height_are_found_together(kind: str, by: CamberBy, monkeypatch: pytest.MonkeyPatch) -> None:
    """A lowered car's toe, camber and height take a few moves of its linkage, counted; one after another it was 16."""
    moves: list[int] = []
    move = dismantled.move
    monkeypatch.setattr(dismantled, "move", lambda *asked: moves.append(1) or move(*asked))
    car = car_with(typical(kind), Adjusters(toe_link=WIDE, camber_by=by))
    after = carried_out(car, plan(change("ride height", by=-20.0)))
    assert_allclose(after.axle.toe, car.front.toe, rtol=0.0, atol=1e-9)
    assert len(moves) <= 8
