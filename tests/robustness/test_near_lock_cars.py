"""Invented cars measured within a hundredth of a millimetre of a lock, exactly planar, or with points that coincide.

A fuzz by another hand found them (cars/): states told as reached on another assembly, holes told as locked between
states that were reached, tracebacks and numbers of 1e34 mm. What a sweep tells is held against formulas that share
nothing with the solver: travel integrated from the reported rates, a planar four-bar in closed form, the same state
asked for in other sweeps.
"""

import math
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import judge, sweep_bump, sweep_grid, sweep_roll
from kinematics.car.car import Axle
from kinematics.inputs.car.car_file import read_car
from kinematics.motion.moving_axle import moving
from kinematics.sweeps.body import Sweep
from reports.command_line import main
from reports.words.gaps import gap_words, told_once
from reports.words.verdict import sentence
from solvers.vectors import Array

CARS = Path(__file__).parent / "cars"
NAMES = sorted(path.stem for path in CARS.glob("*.toml"))
# A short run has a strut, an axle on an A-frame and one with Watt's linkage beside a lock.
IN_SHORT = ("a_frame_axle_jumps", "strut_near_lock", "watt_on_axle_near_lock_2")
EACH = [pytest.param(name, marks=() if name in IN_SHORT else pytest.mark.campaign) for name in NAMES]
ONE_WHEEL = ("a_frame_axle_jumps",)  # alone, in a short run
BOTH_AND_ONE = [
    pytest.param(name, "both", marks=() if name in IN_SHORT else pytest.mark.campaign) for name in NAMES
] + [pytest.param(name, "left", marks=() if name in ONE_WHEEL else pytest.mark.campaign) for name in NAMES]
# Left and right wheel, and where the linkage must go and where not, from ride height. Known from MuJoCo walking in
# small steps (tests/engines/test_near_lock_against_engine.py) and, of the A-frame, in closed form below.
LOCKS_IN = {
    "a_frame_axle_jumps": "bump",
    "watt_on_body_holes": "bump",
    "watt_on_axle_near_lock": "bump",
    "watt_on_axle_near_lock_2": "droop",
    "strut_near_lock": "droop",
    "free_linkage_coincident_points": "droop",
    "double_wishbone_coincident": "bump",
}
TRAVEL = np.linspace(-60.0, 60.0, 31)
LEAST = 1.0  # mm from ride height; nearer to the lock a step of 0.1 mm is no small one
STEP = 0.1  # mm
INCH = 25.4


def axle_of(name: str) -> Axle:
    return read_car(CARS / f"{name}.toml").axles[0]


def holes(reached: Array) -> int:
    """States not reached between some that are, along the last axis."""
    first, last = reached.argmax(), reached.size - reached[::-1].argmax()
    return int((~reached[first:last]).sum()) if reached.any() else 0


@pytest.mark.parametrize(("name", "wheels"), BOTH_AND_ONE)
def test_reach_has_no_holes_and_every_gap_a_reason(name: str, wheels: str) -> None:
    sweep = sweep_bump(axle_of(name), TRAVEL, wheels)
    assert sweep.reached[TRAVEL == 0.0].all()
    assert holes(sweep.reached) == 0
    assert sweep.gaps.there[~sweep.reached].all()
    if wheels == "both" and name in LOCKS_IN:
        assert not sweep.reached[(TRAVEL > 0.5) if LOCKS_IN[name] == "bump" else (TRAVEL < -0.5)].any()
        assert sweep.reached[(np.abs(TRAVEL) < 5.0)].any()
    assert_every_number_told(sweep)


def assert_every_number_told(sweep: Sweep) -> None:
    for key, values in sweep.values.items():
        assert not np.isinf(values).any(), key
        gaps = np.isnan(values).reshape(-1, *sweep.shape).any(axis=0)
        assert sweep.gaps.there[gaps].all(), key
        assert np.abs(values[np.isfinite(values)]).max(initial=0.0) < 1e10, key


@pytest.mark.parametrize("name", EACH)
def test_no_state_is_on_another_assembly(name: str, campaign: bool) -> None:
    """Between neighbours 0.1 mm apart every point moves by the mean of its velocities at both, times the travel.

    The velocities are the solver's; that what it reached follows from them is not its doing.
    """
    axle = axle_of(name)
    ready = moving(axle, -60.0, 60.0)
    looked_at = 0
    starts = np.arange(LEAST, 55.0, 9.0 if campaign else 18.0)
    travel = np.array([*starts, *-starts])[:, None] + STEP * np.arange(4)
    states = ready.at(np.broadcast_to(travel.ravel(), (2, travel.size)))
    for first in range(0, travel.size, 4):
        four = slice(first, first + 4)
        for side in (0, 1):
            if not states.reached[side, four].all():
                continue
            looked_at += 1
            place, velocity = states.wheel_centre[side, four], states.together.centre[side, four]
            by_rate = 0.5 * STEP * (velocity[1:] + velocity[:-1])
            # A rate that grows all the way, as towards a lock, lies between its ends: so does the way it makes.
            grows = 0.5 * STEP * np.linalg.norm(velocity[1:] - velocity[:-1], axis=-1)
            allowed = 0.05 * np.linalg.norm(by_rate, axis=-1) + grows + 1e-6
            assert (np.linalg.norm(np.diff(place, axis=0) - by_rate, axis=-1) < allowed).all()
    assert looked_at > 1


@pytest.mark.campaign
@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=() if name in ONE_WHEEL else pytest.mark.campaign) for name in NAMES]
)
def test_camber_follows_from_its_reported_gain(name: str) -> None:
    """What a user reads: camber from one travel to the next is the mean of the camber gains there times the step."""
    travel = np.concatenate([start + STEP * np.arange(3) for start in (-30.0, -8.0, -4.0, 4.0, 30.0)])
    sweep = sweep_bump(axle_of(name), travel)
    camber, gain = sweep["camber_to_body"], sweep["camber_gain"]
    for first in range(0, travel.size, 3):
        one = slice(first, first + 3)
        if sweep.reached[one].all():
            by_rate = 0.5 * STEP * (gain[:, one][:, 1:] + gain[:, one][:, :-1])
            assert_allclose(np.diff(camber[:, one]), by_rate, rtol=0.02, atol=1e-9)


def test_a_frame_in_closed_form() -> None:
    """Both wheels together its side view is a four-bar: lower links and A-frame, with the axle between them.

    The lower links slant across the car by as much as ever, so in side view they keep their length; so does the
    A-frame, whose hinge lies across the car. Each angle of the lower link gives the axle by where two circles meet.
    """
    pivot, low = np.array([1.625, 6.5]) * INCH, np.array([1.0, 12.0]) * INCH
    hinge, ball = np.array([8.375, 20.125]) * INCH, np.array([0.0, 21.75]) * INCH
    centre = np.array([0.0, 15.875]) * INCH
    arm, frame, beam = math.dist(low, pivot), math.dist(ball, hinge), math.dist(low, ball)
    # Back from where it is measured: away from the upright link.
    turn = math.atan2(*(low - pivot)[::-1]) + np.linspace(0.0, 0.9, 400)
    lows = pivot + arm * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    apart = hinge - lows
    far = np.linalg.norm(apart, axis=-1)
    along = (beam**2 - frame**2 + far**2) / (2.0 * far)
    across = np.sqrt(beam**2 - along**2)
    square = np.stack([-apart[:, 1], apart[:, 0]], axis=-1)
    balls = lows + (along[:, None] * apart + across[:, None] * square) / far[:, None]
    assert_allclose(balls[0], ball, rtol=0.0, atol=1e-9)
    tilt = np.arctan2(*(balls - lows).T[::-1]) - math.atan2(*(ball - low)[::-1])
    cosine, sine = np.cos(tilt), np.sin(tilt)
    ahead, up = centre - low
    place = lows + np.stack([cosine * ahead - sine * up, sine * ahead + cosine * up], axis=-1)
    travel = place[:, 1] - centre[1]
    assert (np.diff(travel) < 0.0).all()
    chosen = (travel < -1e-3) & (travel > -60.0)
    assert chosen.sum() > 100

    states = moving(axle_of("a_frame_axle_jumps"), -60.0, 60.0).at(np.stack([travel[chosen]] * 2))
    assert states.reached.all()
    assert_allclose(states.wheel_centre[0, :, 0], place[chosen, 0], rtol=0.0, atol=1e-6)


@pytest.mark.campaign
@pytest.mark.parametrize(
    "name", ["watt_on_axle_hole_in_roll", pytest.param("watt_on_axle_near_lock_2", marks=pytest.mark.campaign)]
)
def test_the_same_state_is_reached_in_every_sweep_or_in_none(name: str, campaign: bool) -> None:
    """What a grid and a roll sweep reach is reached alone, at the same place; what they tell of as a corner is not."""
    axle = axle_of(name)
    roll = sweep_roll(axle, np.radians([-5.0, -1.0, 0.0, 2.0]))
    assert roll.reached.any()
    grid = [sweep_grid(axle, np.array([20.0, 50.0]), np.radians([-5.0, -2.0, 0.0, 3.0]))] if campaign else []
    assert all(sweep.reached.any() for sweep in grid)
    for sweep in (*grid, roll):
        travel, told = sweep["travel"].reshape(2, -1), sweep.gaps.there.reshape(-1)
        for place in np.flatnonzero(sweep.reached):
            alone = moving(axle, -5.0, 5.0).at(travel[:, [place]])
            assert alone.reached.all()
            left = alone.wheel_centre[0, 0, 0]
            assert left == pytest.approx(sweep["wheel_centre_x"].reshape(2, -1)[0, place], abs=1e-6)
        assert told[~sweep.reached.reshape(-1)].all()


@pytest.mark.campaign
def test_states_round_a_corner_are_told_so(campaign: bool) -> None:
    """Behind a cusp of its reach this axle gets only round a corner, or in either of two assemblies."""
    axle = axle_of("watt_on_axle_hole_in_roll")
    behind, free = ([-6.0, -5.0, -4.5], [-2.0, 0.0, 4.0]) if campaign else ([-5.0], [-2.0])
    sweep = sweep_grid(axle, np.array([60.0]), np.radians([*behind, *free]))
    assert sweep.reached[0, len(behind) :].all()
    told = told_once(sweep.problems)
    assert any("not reachable straight from the measured position" in one for one in told), told
    assert not any("locks" in one for one in told), told


@pytest.mark.parametrize(
    "name",
    [
        pytest.param("strut_near_lock", marks=pytest.mark.campaign),
        pytest.param("semi_trailing_planar", marks=pytest.mark.campaign),
        "swing_axle_infinite_side_view",
    ],
)
def test_show_says_it_in_words(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    car = read_car(CARS / f"{name}.toml")
    told = [sentence(one, car.unit) for one in judge(car.axles[0], car.limits)]
    assert all(told)
    assert main(["show", str(CARS / f"{name}.toml")]) in (0, 1)
    assert "Traceback" not in capsys.readouterr().err


def test_a_planar_swing_axle_has_no_side_view_centre() -> None:
    """Its pivots lie along the car: the wheel never turns in side view, so its centre there is at infinity."""
    sweep = sweep_bump(axle_of("swing_axle_infinite_side_view"), np.linspace(-60.0, 60.0, 13))
    for key in ("side_view_centre_x", "side_view_centre_z", "side_view_swing_arm"):
        assert np.isnan(sweep[key]).all()
    words = {gap_words(one) for one in sweep.gaps.in_order()}
    assert words == {"no finite side-view instant centre ahead here"}
    assert sweep.gaps.there.all()


@pytest.mark.campaign
@pytest.mark.parametrize("words", [["sweep", "CAR", "out"], ["report", "CAR", "out.html"]])
def test_a_car_that_does_not_stand_where_it_was_measured_is_told(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    car = CARS / "control_blade_beyond_lock.toml"
    assert main([str(car) if word == "CAR" else word for word in words]) == 2
    told = capsys.readouterr().err
    assert told.startswith("this car cannot be moved from where it was measured: the rear right linkage locks at ")
    assert "look again at the points of that corner" in told
    assert list(tmp_path.iterdir()) == []
