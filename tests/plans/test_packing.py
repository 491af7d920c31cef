"""What keeps a ride height on its springs: packing by hand calculation, applied again, and springs without room."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Car
from kinematics.car.limits import Limits, WorkingRange
from kinematics.car.springs_and_bars import GRAVITY, BumpStop
from kinematics.inputs.demo_cars import DEMO_CARS, demo_car, demo_text
from kinematics.planning.changes import Change
from kinematics.planning.comparison import Outcome, compare
from kinematics.planning.plans import Plan, carry_out
from kinematics.planning.refusal import Cause
from reports.command_line import main
from tests.plans.test_settling import (
    BALANCED,
    CARRIED,
    CORNER,
    PITCHED,
    RATE,
    RATIO,
    UNSPRUNG,
    by_ratio,
    car_of,
    on_pitched,
    straight_car,
)

SALOON = "rear_drive_saloon.toml"
SIDES = ((1.0, 0.0), (0.0, 1.0))


def tried(car: Car, *changes: Change, working: WorkingRange | None = None) -> Outcome:
    limits = car.limits if working is None else Limits(working)
    return compare(car, [Plan("tried", changes)], limits, []).outcomes[1]


def height(front: float, rear: float) -> tuple[Change, Change]:
    return Change("front", "ride height", front), Change("rear", "ride height", rear)


def packing(found: Outcome, axle: str) -> np.ndarray:
    return np.broadcast_to(found.values(axle, "packing") or 0.0, 2)


def test_by_hand_on_a_straight_lever() -> None:
    """Weights are as before, so each spring keeps its force: it is packed by its lever's part of the height.

    But for the wheels' way fore and aft on links of some 400 mm, 12^2 / 800 mm: a few newtons from end to end at most.
    """
    found = tried(straight_car(), *height(-12.0, -12.0))
    for axle in ("front", "rear"):
        assert_allclose(packing(found, axle), -12.0 * RATIO, atol=3.0 / RATE / RATIO)
        assert_allclose(found.values(axle, "raised_if_not_packed"), 0.0, atol=BALANCED)


@pytest.mark.campaign
def test_stiffer_springs_at_the_measured_height() -> None:
    """A spring of twice the rate and the same free length is pressed half as far: it needs F/k - F/2k less packing."""
    stiffer = (Change("front", "spring rate", 2.0 * RATE), Change("rear", "spring rate", 2.0 * RATE))
    found = tried(straight_car(), *stiffer, *height(0.0, 0.0))
    less = CARRIED / RATE / 2.0
    for axle in ("front", "rear"):
        assert_allclose(packing(found, axle), -less, rtol=1e-9)
    # Left alone the body rises until the springs carry it again, by the lever, and a little more at one end and less at
    # the other as its wheels go fore and aft.
    risen = np.ravel([found.values(axle, "raised_if_not_packed") for axle in ("front", "rear")])
    assert_allclose(risen, on_pitched(less / RATIO, less / RATIO, rates=(2.0 * RATE, 2.0 * RATE)), atol=PITCHED)


def test_ballast_at_a_kept_height() -> None:
    """Ballast m on one axle's two wheels presses each spring by m g / 2 over its lever more: packed by that over k."""
    found = tried(straight_car(), Change("front", "ballast", 30.0), *height(0.0, 0.0))
    assert_allclose(packing(found, "front"), 15.0 * GRAVITY / RATIO / RATE, rtol=1e-6)
    assert pytest.approx((CORNER - UNSPRUNG) * GRAVITY / RATIO) == CARRIED


def on_springs(file: str) -> Car:
    """A demo car; without springs in its file on invented ones, of a single axle with the saloon's rear axle."""
    car = demo_car(file)
    if all(axle.loads is not None for axle in car.axles) and len(car.axles) == 2:
        return car
    rear = car.rear if len(car.axles) == 2 else demo_car(SALOON).rear
    sprung = [replace(axle, loads=by_ratio(None)) for axle in (car.front, rear)]
    return replace(car_of(*sprung), limits=car.limits)


GEOMETRY = {
    "lower in front": height(-30.0, 0.0),
    "lower at both ends": height(-12.0, -25.0),
    "ball joint": (Change("front", "longer ball joint", 15.0),),
    "tyres": (Change("front", "tyre radius", -8.0), Change("rear", "tyre radius", -8.0)),
}
OTHERS = [file for file in DEMO_CARS.values() if file != SALOON]


@pytest.mark.campaign
@pytest.mark.parametrize(
    ("file", "what"), [*((SALOON, what) for what in GEOMETRY), *((file, "lower at both ends") for file in OTHERS)]
)
def test_the_packing_applied_gives_the_height_asked(file: str, what: str) -> None:
    """The same plan with its packing in place of its height settles where it asked to stand."""
    car, changes = on_springs(file), GEOMETRY[what]
    found = tried(car, *changes)
    packed = [
        Change(axle, "spring spacer", float(amount), sides=side)
        for axle in ("front", "rear")
        for amount, side in zip(packing(found, axle), SIDES, strict=True)
    ]
    geometry = [one for one in changes if one.what != "ride height"]
    (axles,) = carry_out(car, [Plan("packed", (*geometry, *packed))])
    for axle, one in axles.items():
        assert not one.refusals
        assert one.raised == pytest.approx(found.axles[axle].raised, abs=1e-3)
        asked = [change.by for change in changes if change.what == "ride height" and change.axle == axle]
        if asked and all(change.what == "ride height" for change in changes):
            assert one.raised == pytest.approx(asked[0], abs=1e-3)


def causes(found: Outcome, axle: str) -> set[Cause]:
    return {one.cause for one in found.troubles if one.axle == axle}


@pytest.mark.campaign
def test_coil_bound_by_the_springs_own_length() -> None:
    """Strut 30 mm shorter between its points, of which packing taken out gives 31 back: solid where travel eats it.

    The block length is set a mm either side of what the struts of the lowered car leave at 25 mm of bump.
    """
    car = demo_car(SALOON)
    changes = height(-30.0, 0.0)
    found = tried(car, *changes)
    axle = found.axles["front"].axle
    strut = np.linalg.norm(axle.points["strut_top"] - axle.points["strut_low"], axis=-1)
    # The strut shortens by the lever of its lean, here 0.96 to 1 mm for each mm of bump.
    left = strut.min() - packing(found, "front").max() - 25.0
    for block, solid in ((left - 3.0, False), (left + 3.0, True)):
        front = car.front
        assert front.loads is not None
        spring = replace(front.loads.spring, block_length=float(block))
        fitted = replace(car, axles=(replace(front, loads=replace(front.loads, spring=spring)), car.rear))
        assert (Cause.SPRING_SOLID in causes(tried(fitted, *changes), "front")) is solid


@pytest.mark.campaign
def test_loose_in_droop_by_hand() -> None:
    """A spring pressed by F is loose after F/k of its own travel, F/k over the lever of the wheel's."""
    ends = CARRIED / RATE / RATIO
    for droop, loose in ((ends - 1.0, False), (ends + 1.0, True)):
        if droop > 140.0:
            pytest.skip("the axle is not followed so far")
        found = tried(straight_car(), *height(-1.0, -1.0), working=WorkingRange(-droop, 20.0, math.radians(1.0)))
        assert (Cause.SPRING_LOOSE in causes(found, "rear")) is loose


@pytest.mark.campaign
def test_resting_on_the_stop() -> None:
    """A stop 4 mm away along the spring's line is reached when the wheel has gone 4 mm over the lever up."""
    car = straight_car()
    front = car.front
    assert front.loads is not None
    stop = BumpStop(4.0, (0.0, 20.0), (0.0, 2000.0))
    spring = replace(front.loads.spring, bump_stop=stop)
    fitted = replace(car, axles=(replace(front, loads=replace(front.loads, spring=spring)), car.rear))
    for lower, rests in ((4.0 / RATIO - 0.5, False), (4.0 / RATIO + 0.5, True)):
        assert (Cause.CARRIED_BY_STOP in causes(tried(fitted, *height(-lower, -lower)), "front")) is rests


@pytest.mark.campaign
def test_springs_and_their_packing_cannot_both_say_the_height() -> None:
    found = tried(demo_car(SALOON), Change("front", "spring spacer", 5.0), Change("front", "ride height", 5.0))
    assert {one.cause for one in found.troubles} == {Cause.HEIGHT_AND_SPRINGS}


@pytest.mark.campaign
def test_the_terminal_names_what_gives_way(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Told with corner and amounts; the plan cannot be built, and the status says so."""
    text = demo_text(SALOON).replace('along = "strut"', 'along = "strut"\nblock_length = 370', 1)
    (tmp_path / "car.toml").write_text(text, encoding="utf-8")
    assert main(["compare", str(tmp_path / "car.toml"), "--change", "ride height", "-30"]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "coil bound within the working travel" in told
    assert "370" in told
