"""What ends a corner's travel, against hand calculation, the planar drawing board, and angles between points.

Springs on a lever: a spring pressed by F / k is loose after F / (k MR) of droop, and coil bound where what is left of
its room is used up, over the same lever (formulas). Dampers, joints and arches: front views solved by SciPy, distances
and arc cosines of points in space (formulas).
"""

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq, minimize_scalar
from scipy.spatial.transform import Rotation

from kinematics import Axle, Car
from kinematics.car.fittings import DamperTravel, Fittings
from kinematics.car.limits import WorkingRange
from kinematics.car.springs_and_bars import Line
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.car_file import read_car
from kinematics.inputs.demo_cars import demo_car, demo_text
from kinematics.inputs.plans.plan_file import read_plans
from kinematics.loads.setup import calibrated
from kinematics.loads.shelf import Shelf, SpringChoice
from kinematics.motion.moving_axle import moving
from kinematics.planning.changes import Change
from kinematics.planning.plans import Plan
from kinematics.planning.settling import MeasuredSprings
from kinematics.planning.shelf_plans import shelf_plans
from kinematics.planning.travel_budget import CornerTravel, TravelEnd, corners_travel, first_end, travel_budgets
from kinematics.planning.travel_ends import EndKind
from kinematics.sweeps.rack import turn_rack
from reports.command_line import main
from solvers.vectors import Array
from tests.loads import invented_loads as invented
from tests.plans.drawing_board import VIEWS, whole_car
from tests.plans.garage import typical
from tests.plans.test_settling import (
    CARRIED,
    CORNER,
    RATE,
    RATIO,
    STRAIGHT,
    UNSPRUNG,
    car_of,
    done,
    on,
    on_pitched,
    straight_car,
)
from tests.plans.test_stops_and_joints import CASES, board, changed_axle, lifted_to_travel, travel_to
from tests.short_run import at_places

WORKING = WorkingRange(-20.0, 20.0, math.radians(1.0))
FREE, ROOM = 380.0, 150.0
SHIFTED = 2e-3  # mm
AT = 1e-5  # mm: an end is looked for in steps of a tenth of a micrometre


def of_kind(ends: tuple[TravelEnd, ...], kind: EndKind, name: str = "") -> float:
    """Travel to an end; NaN where it is not told."""
    return next((one.travel for one in ends if one.kind is kind and name in ("", *one.names)), math.nan)


def on_lever(ratio: float) -> Car:
    its = invented.loads(Line(ratio=ratio), rate=RATE, corner=CORNER, unsprung=UNSPRUNG)
    spring = replace(its.spring, free_length=FREE, block_length=FREE - ROOM)
    axle = replace(invented.symmetric(SUSPENSIONS[STRAIGHT]), loads=replace(its, spring=spring))
    return car_of(axle, axle)


def front(car: Car, *changes: Change) -> tuple[CornerTravel, ...]:
    budgets = travel_budgets(car, [Plan("tried", changes)], WORKING)
    assert not budgets[1].corners or budgets[1].corners[0].axle == "front"
    return budgets[1 if changes else 0].corners[:2]


@pytest.mark.parametrize("ratio", [1.0, RATIO])
def test_a_spring_on_a_lever(ratio: float) -> None:
    pressed = (CORNER - UNSPRUNG) * 9.80665 / ratio / RATE
    for corner in front(on_lever(ratio)):
        assert of_kind(corner.droop, EndKind.SPRING_LOOSE) == pytest.approx(pressed / ratio, abs=AT)
        assert of_kind(corner.bump, EndKind.SPRING_SOLID) == pytest.approx((ROOM - pressed) / ratio, abs=AT)


@pytest.mark.campaign
@pytest.mark.parametrize("packed", at_places([4.0, 11.0], 1))
def test_a_spacer_takes_its_thickness_of_the_way_to_block(packed: float) -> None:
    """At a motion ratio of one: counted from where the body stood before, the coils touch sooner by the spacer.

    The body is lifted by it, and from there it is as far to the touching coils as ever, for the weight is as before.
    """
    car = on_lever(1.0)
    changes = (on("front", "spring spacer", packed), on("rear", "spring spacer", packed))
    before = of_kind(front(car)[0].bump, EndKind.SPRING_SOLID)
    after = of_kind(front(car, *changes)[0].bump, EndKind.SPRING_SOLID)
    lifted = done(car, *changes)["front"].raised
    # The links take the wheels a little fore and aft under the weight as the body rises, and with it some newtons.
    assert after - lifted == pytest.approx(before - packed, abs=SHIFTED)
    lower = front(car, on("front", "ride height", -packed), on("rear", "ride height", -packed))
    # The weight is as before, so is the spring's length: the packing went, and nothing of the spring's own way.
    assert of_kind(lower[0].bump, EndKind.SPRING_SOLID) == pytest.approx(before, abs=SHIFTED)


def test_softer_springs_are_nearer_to_solid() -> None:
    """Pressed farther by the same weight: the room left is less by as much, over the lever."""
    soft = 0.8 * RATE
    (corner, _) = front(on_lever(RATIO), *(on(axle, "spring rate", soft) for axle in ("front", "rear")))
    # The links take the wheels fore and aft as the body comes down, and with them some of the weight.
    lower = (CARRIED / RATE - CARRIED / soft) / RATIO
    lifted = on_pitched(lower, lower, rates=(soft, soft))[0] - lower
    expected = (ROOM - CARRIED / soft) / RATIO + lifted
    assert of_kind(corner.bump, EndKind.SPRING_SOLID) == pytest.approx(expected, abs=SHIFTED)


@pytest.mark.parametrize("case", ["lower", "longer ball joint", "both"])
def test_a_damper_along_the_strut(case: str) -> None:
    """Closed 35 mm shorter than as measured, by a length taken between other places than the strut's points."""
    view, (changes, drawn) = VIEWS["strut"], CASES[case]
    assert view.strut is not None
    long = math.dist(*view.strut)
    damper = DamperTravel(Line(), 465.0, 548.0, 500.0)
    measured = replace(whole_car(view), fittings=Fittings(damper=damper))
    for corner in corners_travel(measured, changed_axle(measured, changes), None):
        closed, opened = (travel_to(view, drawn, -(long + change)) for change in (-35.0, 48.0))
        assert of_kind(corner.bump, EndKind.DAMPER_CLOSED) == pytest.approx(closed, abs=AT)
        assert of_kind(corner.droop, EndKind.DAMPER_OPEN) == pytest.approx(-opened, abs=AT)


def test_a_damper_between_two_ends() -> None:
    """Where it is said to be closed, its ends are so far apart, from where the arm's measured points have gone."""
    axle = invented.symmetric(SUSPENSIONS["double wishbone"])
    line = invented.line_from(axle, invented.ON_LOWER_ARM)
    axle = replace(axle, name="front", loads=invented.loads(line))
    start = np.linalg.norm(invented.ON_LOWER_ARM.of(axle.points)[0] - line.chassis.place[0])  # type: ignore[union-attr]
    axle = replace(axle, fittings=Fittings(damper=DamperTravel(line, start - 30.0, start + 40.0)))
    corner = corners_travel(axle, changed_axle(axle, []), None)[0]
    travel = np.array([of_kind(corner.bump, EndKind.DAMPER_CLOSED), -of_kind(corner.droop, EndKind.DAMPER_OPEN)])
    states = moving(axle, -140.0, 140.0).at(np.ones((2, 1)) * travel)
    assert_allclose(invented.spring_length(states, invented.ON_LOWER_ARM)[0], [start - 30.0, start + 40.0], atol=AT)


@pytest.mark.campaign
def test_a_damper_by_its_motion_ratio_on_a_lowered_car() -> None:
    """45 mm of shaft left are 45 over the ratio of wheel travel; lowering uses up its part of it."""
    car = straight_car()
    fittings = Fittings(damper=DamperTravel(Line(ratio=0.9), 300.0, 400.0, 345.0))
    car = replace(car, axles=(replace(car.front, fittings=fittings), car.rear))
    assert of_kind(front(car)[0].bump, EndKind.DAMPER_CLOSED) == pytest.approx(45.0 / 0.9, abs=AT)
    lower = front(car, on("front", "ride height", -12.0), on("rear", "ride height", -12.0))[0]
    assert of_kind(lower.bump, EndKind.DAMPER_CLOSED) == pytest.approx(45.0 / 0.9 - 12.0, abs=AT)
    assert of_kind(lower.droop, EndKind.DAMPER_OPEN) == pytest.approx(55.0 / 0.9 + 12.0, abs=AT)


def test_arch_and_ground_on_wheels_that_go_straight_up() -> None:
    """The tyre rises by the travel, the body comes down by it; a body 10 mm lower has 10 mm less of both."""
    car = straight_car()
    fittings = Fittings(tyre_to_arch=62.0, clearance=71.0)
    car = replace(car, axles=(replace(car.front, fittings=fittings), car.rear))
    by_ten = (on("front", "ride height", -10.0), on("rear", "ride height", -10.0))
    for changes, less in (((), 0.0), (by_ten, 10.0)):
        corner = front(car, *changes)[0]
        assert of_kind(corner.bump, EndKind.TYRE_ON_ARCH) == pytest.approx(62.0 - less, abs=AT)
        assert of_kind(corner.bump, EndKind.BODY_ON_GROUND) == pytest.approx(71.0 - less, abs=AT)


def test_a_smaller_tyre_has_more_room_under_the_arch_and_less_over_the_ground() -> None:
    """With the body as far down as the tyre shrinks, the tyre's top comes away from the arch by the same."""
    car = straight_car()
    car = replace(car, axles=(replace(car.front, fittings=Fittings(tyre_to_arch=62.0, clearance=71.0)), car.rear))
    corner = front(car, on("front", "tyre radius", -8.0), on("rear", "tyre radius", -8.0))[0]
    assert of_kind(corner.bump, EndKind.TYRE_ON_ARCH) == pytest.approx(70.0, abs=AT)
    assert of_kind(corner.bump, EndKind.BODY_ON_GROUND) == pytest.approx(63.0, abs=AT)


@pytest.mark.parametrize("kind", VIEWS)
@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("away", at_places([0.0, 4.0, -3.0], 1))
def test_a_joint_from_its_own_middle(kind: str, case: str, away: float) -> None:
    """In the plane: the arm's turn less the upright's, with what is used up as measured, reaches what is allowed.

    What a lowered car or a longer pin uses up counts, for the turn is from where the car was measured.
    """
    view, (changes, drawn) = VIEWS[kind], CASES[case]
    most, used = math.radians(9.0), math.radians(away)
    fittings = Fittings(joint_angles={"lower_ball_joint": most}, joint_middles={"lower_ball_joint": used})
    measured = replace(whole_car(view), fittings=fittings)

    def turn(travel: float) -> float:
        now = board(view, drawn, lifted_to_travel(view, drawn, travel))
        before, after = view.joint - view.pivot, now.view.joint - now.view.pivot
        arm = math.atan2(after[1], after[0]) - math.atan2(before[1], before[0])
        return arm - now.turn + used

    ends = [_crossing(lambda travel: turn(travel) - most, 75.0), _crossing(lambda travel: turn(travel) + most, -75.0)]
    for corner in corners_travel(measured, changed_axle(measured, changes), None):
        found = of_kind(corner.bump, EndKind.JOINT), -of_kind(corner.droop, EndKind.JOINT)
        for said, expected in zip(found, ends, strict=True):
            if math.isfinite(expected):
                assert said == pytest.approx(expected, abs=1e-4)
            else:
                assert not abs(said) < 75.0


def _crossing(value: Callable[[float], float], end: float) -> float:
    if value(0.0) * value(end) > 0.0:
        return math.nan
    return float(brentq(value, 0.0, end, xtol=1e-9))


@pytest.mark.parametrize("kind", ["strut", "double wishbone"])
def test_joints_from_lock_to_lock(kind: str) -> None:
    """At the travel told, the worst of both locks and straight ahead just uses up the angle: by points, in space.

    Inner end: between the tie rod now and as measured. Outer end: its slope against the steering axis, less that as
    measured. Ball joint: between that axis, fixed in the upright as measured, and the same line fixed to the arm.
    """
    lock, allowed = 55.0, {"tie_rod_inner": 14.0, "tie_rod_outer": 11.0, "lower_ball_joint": 12.0}
    angles = {key: math.radians(most) for key, most in allowed.items()}
    axle = replace(typical(kind), fittings=Fittings(joint_angles=angles, rack_travel=lock))
    corner = corners_travel(axle, changed_axle(axle, []), None)[0]
    for key, most in angles.items():
        for travel in (of_kind(corner.bump, EndKind.JOINT, key), -of_kind(corner.droop, EndKind.JOINT, key)):
            if not math.isfinite(travel):
                continue
            assert max(_turns_steered(axle, lock, travel)[key]) == pytest.approx(most, abs=1e-7)
    told = [one for one in (*corner.bump, *corner.droop) if one.kind is EndKind.JOINT]
    assert {name for one in told for name in one.names} == set(allowed)


def _turns_steered(axle: Axle, lock: float, travel: float) -> dict[str, list[float]]:
    found: dict[str, list[float]] = {"tie_rod_inner": [], "tie_rod_outer": [], "lower_ball_joint": []}
    low, high = axle.suspension.steering_axis or ("", "")
    arm = axle.suspension.arms[0]
    arm_points = (arm.pivot_front, arm.pivot_rear, arm.joint)
    steered = turn_rack(axle, np.array([-lock, 0.0, lock])).axle
    states = moving(steered, -150.0, 150.0).at(np.full((3, 2, 1), travel))
    for at_lock in range(3):

        def now(key: str, at_lock: int = at_lock) -> Array:
            return np.asarray(states.point(key)[at_lock, 0, 0])

        def then(key: str) -> Array:
            return np.asarray(axle.points[key][0])

        rod, rod_then = (_unit(at("tie_rod_inner") - at("tie_rod_outer")) for at in (now, then))
        pin_then = _unit(then(high) - then(low))
        keys = ("wheel_centre", "tie_rod_outer")
        on_upright = [np.array([at(key) - at(arm.joint) for key in keys]) for at in (now, then)]
        pin = Rotation.align_vectors(*on_upright)[0].apply(pin_then)
        found["tie_rod_inner"].append(math.acos(rod @ rod_then))
        found["tie_rod_outer"].append(abs(math.asin(rod @ pin) - math.asin(rod_then @ pin_then)))
        places, measured = (np.array([at(key) - at(arm.joint) for key in arm_points[:2]]) for at in (now, then))
        turned, _ = Rotation.align_vectors(places, measured)
        found["lower_ball_joint"].append(math.acos(turned.apply(pin_then) @ pin))
    return found


def _unit(vector: Array) -> Array:
    return np.asarray(vector / np.linalg.norm(vector))


def test_steering_about_the_pin_uses_nothing_up() -> None:
    """At full lock and ride height the ball joint has turned by the steering angle about its pin, and is not tilted."""
    axle = typical("strut")
    for turned in _turns_steered(axle, 55.0, 0.0)["lower_ball_joint"]:
        # The wheel's height is held, not the body's: the arm follows by some tenths of a degree.
        assert turned < math.radians(1.5)


def test_the_stops_are_those_that_were_measured() -> None:
    """The drawing board's stops, in the order in which they come."""
    view = VIEWS["strut"]
    fittings = Fittings(bump_stop=45.0, droop_stop=52.0, tyre_to_arch=30.0)
    measured = replace(whole_car(view), fittings=fittings)
    corner = corners_travel(measured, changed_axle(measured, []), None)[0]
    assert [one.kind for one in corner.bump] == [EndKind.TYRE_ON_ARCH, EndKind.BUMP_STOP]
    assert of_kind(corner.bump, EndKind.BUMP_STOP) == pytest.approx(45.0, abs=AT)
    assert of_kind(corner.droop, EndKind.DROOP_STOP) == pytest.approx(52.0, abs=AT)
    first = first_end(corner.bump)
    assert first is not None
    assert first.kind is EndKind.TYRE_ON_ARCH


def test_where_two_wishbones_lock() -> None:
    """The wheel centre gets no lower than its lowest place as the upper arm turns past the upright's line, by SciPy."""
    view = VIEWS["double wishbone"]
    assert view.upper is not None
    joint = view.upper[1]
    pivot = joint + np.array([-140.0, -20.0])
    arm, upper, upright = (math.dist(*ends) for ends in ((view.joint, view.pivot), (joint, pivot), (view.joint, joint)))
    before = _unit(joint - view.joint)

    def hub_height(angle: float) -> float:
        top = pivot + upper * np.array([math.cos(angle), math.sin(angle)])
        apart = math.dist(top, view.pivot)
        out = (arm**2 - upright**2 + apart**2) / (2.0 * apart)
        along = _unit(top - view.pivot)
        low = view.pivot + out * along + math.sqrt(arm**2 - out**2) * np.array([along[1], -along[0]])
        now = _unit(top - low)
        turn = math.atan2(now[1], now[0]) - math.atan2(before[1], before[0])
        offset = view.centre - view.joint
        return float(low[1] + math.sin(turn) * offset[0] + math.cos(turn) * offset[1])

    start = math.atan2(*(joint - pivot)[::-1])
    assert hub_height(start) == pytest.approx(view.centre[1], abs=1e-9)
    lowest = minimize_scalar(hub_height, bounds=(start - 2.2, start), method="bounded", options={"xatol": 1e-10}).fun
    measured = whole_car(replace(view, upper=(pivot, joint)))
    corner = corners_travel(measured, changed_axle(measured, []), None)[0]
    assert of_kind(corner.droop, EndKind.LINKAGE) == pytest.approx(view.centre[1] - lowest, abs=1e-3)
    assert next(one for one in corner.droop if one.kind is EndKind.LINKAGE).names


def test_springs_of_one_axle_alone() -> None:
    """A file of one axle tells when its springs are loose, for the weights on it are known."""
    car = straight_car()
    alone = replace(car, axles=(car.front,))
    corner = travel_budgets(alone, [], WORKING)[0].corners[0]
    assert of_kind(corner.droop, EndKind.SPRING_LOOSE) == pytest.approx(CARRIED / RATE / RATIO, abs=AT)
    assert calibrated(car.front).loads.spring.free_length is None  # by ratio alone nobody knows how long it is


SALOON = demo_text("rear_drive_saloon.toml")


def written(folder: Path, *swaps: tuple[str, str]) -> str:
    text = SALOON
    for before, after in swaps:
        assert before in text
        text = text.replace(before, after, 1)
    (folder / "car.toml").write_text(text, encoding="utf-8")
    return str(folder / "car.toml")


@pytest.mark.campaign
def test_a_plan_that_runs_out_of_damper_cannot_be_built(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """30 mm of shaft: as measured 25 mm of bump fit, 15 mm lower they do not, and the plan says what gives way."""
    lengths = "length = 330\nclosed = 300\nopen = 480\nrate = 2.6 "
    car = written(tmp_path, ("rate = 2.6 ", lengths))
    main(["compare", car, "--change", "ride height", "-15"])
    told = " ".join(capsys.readouterr().out.split())
    assert "bump ends after 15." in told
    assert "(damper closed), 25.0 mm is used" in told


USED_UP = "{ most = 20, at_ride_height = 21 }"
FAULTS: dict[str, tuple[tuple[str, str], str]] = {
    "closed longer than open": (
        ("rate = 2.6 ", "length = 330\nclosed = 480\nopen = 300\nrate = 2.6 "),
        "front.damper.closed: read 480 mm; a closed damper is shorter than an open one: less than 300 is allowed",
    ),
    "no length": (("rate = 2.6 ", "closed = 300\nrate = 2.6 "), "front.damper.length: is missing: as the car stands"),
    "a length alone": (("rate = 2.6 ", "length = 300\nrate = 2.6 "), "front.damper.length: means nothing without"),
    "shorter than closed": (
        ("rate = 2.6 ", "length = 290\nclosed = 300\nrate = 2.6 "),
        "front.damper.length: read 290 mm as the car stands; more than closed, 300, is allowed",
    ),
    "ends too far apart": (
        ("rate = 2.4\n", "open = 400\nrate = 2.4\n"),
        "rear.damper: its ends are apart by 415.5 mm as the car stands; less than open, 400, is allowed",
    ),
    "more used up than there is": (
        ("[front.steering]", f"[front.joint_angles]\nlower_ball_joint = {USED_UP}\n[front.steering]"),
        "front.joint_angles.lower_ball_joint.at_ride_height: read 21; less than `most`, 20 degrees, is allowed",
    ),
    "a negative gap": (
        ("[front.steering]", "[front.stops]\ntyre_to_arch = -3\n[front.steering]"),
        "front.stops.tyre_to_arch: read -3",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_faulty_files(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    swap, says = FAULTS[name]
    assert main(["show", written(tmp_path, swap)]) == 2
    assert says in " ".join(capsys.readouterr().err.split())


@pytest.mark.campaign
def test_the_car_file_of_a_plan_tells_what_is_left(tmp_path: Path) -> None:
    """The lowered car, written, read and measured anew, runs out where the plan did."""
    stops = "[front.stops]\ntyre_to_arch = 60\nground_clearance = 110\n"
    joint = "[front.joint_angles]\nlower_ball_joint = { most = 14, at_ride_height = 3 }\n"
    lengths = "length = 330\nclosed = 280\nopen = 430\nrate = 2.6 "
    car = written(tmp_path, ("[front.steering]", f"{stops}{joint}[front.steering]"), ("rate = 2.6 ", lengths))
    out = tmp_path / "after.toml"
    plans = tmp_path / "plans.toml"
    change = '[[plan.change]]\nwhat = "ride height"\nby = -12\n'
    plans.write_text(f'units = "mm"\n[[plan]]\nname = "low"\n{change}', encoding="utf-8")
    main(["compare", car, str(plans), "--write-car", "low", str(out)])
    planned = travel_budgets(read_car(car), read_plans([plans], read_car(car)).plans, WORKING)[1].corners[0]
    again = travel_budgets(read_car(out), [], WORKING)[0].corners[0]
    # One damper length stands for both sides, which are not quite alike.
    for kind in (EndKind.DAMPER_CLOSED, EndKind.TYRE_ON_ARCH, EndKind.BODY_ON_GROUND):
        assert of_kind(again.bump, kind) == pytest.approx(of_kind(planned.bump, kind), abs=0.3)
    # The pin is taken along the steering axis anew, and a strut's has turned in the upright by some tenths of a degree.
    assert of_kind(again.bump, EndKind.JOINT) == pytest.approx(of_kind(planned.bump, EndKind.JOINT), abs=1.0)


def test_springs_of_a_shelf() -> None:
    """Whatever its free length, a spring that carries the weight is loose after F / (k MR); how it sits is its own."""
    car = straight_car()
    choices = (SpringChoice("stiff", 45.0), SpringChoice("soft", 25.0))
    plans = shelf_plans(car, Shelf(front_springs=choices, rear_springs=choices[:1]))
    assert [one.name for one in plans] == ["front stiff", "front soft", "rear stiff"]
    measured, stiff, soft, rear = travel_budgets(car, plans, WORKING)
    for budget, place, rate in (
        (stiff, 0, 45.0),
        (soft, 0, 25.0),
        (rear, 2, 45.0),
        (measured, 2, RATE),
        (stiff, 2, RATE),
    ):
        droop = of_kind(budget.corners[place].droop, EndKind.SPRING_LOOSE)
        assert droop == pytest.approx(CARRIED / rate / RATIO, abs=AT)


@pytest.mark.campaign
def test_a_shelf_spring_of_stated_length_sits_by_it() -> None:
    """Longer by 8 mm at the same rate: the same car with 8 mm of packing."""
    car = demo_car("rear_drive_saloon.toml")
    rear = MeasuredSprings(car).setups[1]
    for free in (rear.free_length.mean() + 8.0, rear.free_length.mean() - 5.0):
        (plan,) = shelf_plans(car, Shelf(rear_springs=(SpringChoice("other", 27.0, float(free)),)))
        by_hand = [
            Change("rear", "spring spacer", float(free - own), sides=side)
            for own, side in zip(rear.free_length, ((1.0, 0.0), (0.0, 1.0)), strict=True)
        ]
        one, other = (done(car, *changes)["rear"].raised for changes in (plan.changes, by_hand))
        assert one == pytest.approx(other, abs=1e-6)
