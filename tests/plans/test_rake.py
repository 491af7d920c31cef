"""A car lowered at one end pitches: points, angles and supports after it, each by another way than the planner's.

Distances in a rigid body, closed forms atan(30 / 2560), and the measured linkage's own travel turned as a whole.
"""

import csv
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Car, sweep_bump
from kinematics.car.limits import Limit, Limits
from kinematics.car.suspension_type import CHASSIS
from kinematics.doubt.planned import plan_sureness
from kinematics.inputs.demo_cars import demo_car, demo_text
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import Change
from kinematics.planning.comparison import compare
from kinematics.planning.plans import Plan, axle_after, carry_out
from kinematics.planning.rake import rake_base
from reports.command_line import main
from tests.engines.linkage import Array

SALOON = "rear_drive_saloon.toml"
LOWER = 30.0
WHEELBASE = 2560.0
NOSE_DOWN = math.atan(LOWER / WHEELBASE)


@cache
def saloon() -> Car:
    return demo_car(SALOON)


@cache
def after(front: float, rear: float) -> dict[str, ChangedAxle]:
    changes = (Change("front", "ride height", front), Change("rear", "ride height", rear))
    return carry_out(saloon(), [Plan("tried", changes)])[0]


def chassis_points(axles: dict[str, ChangedAxle], behind: float) -> Array:
    """Every point that is on the body, of both axles, the rear one's so far behind [mm]."""
    points = []
    for name, one in axles.items():
        kind = one.axle.suspension
        shift = np.array([0.0 if name == "front" else -behind, 0.0, 0.0])
        points += [one.axle.points[key] + shift for key, part in kind.carriers.items() if part == CHASSIS]
    return np.concatenate(points)


def test_the_body_stays_one_rigid_body() -> None:
    """All distances between points of the chassis, across both axles, are what they were.

    On the ground the axles' origins come nearer by the wheelbase's slope, L - sqrt(L^2 - d^2) (Pythagoras).
    """
    nearer = math.sqrt(WHEELBASE**2 - LOWER**2)
    before = chassis_points({name: after(0.0, 0.0)[name] for name in ("front", "rear")}, WHEELBASE)
    now = chassis_points(after(-LOWER, 0.0), nearer)
    apart_before, apart_now = (np.linalg.norm(one[:, None] - one[None], axis=-1) for one in (before, now))
    assert np.abs(now - before).max() > 25.0
    assert_allclose(apart_now, apart_before, rtol=0.0, atol=1e-9)


@pytest.mark.parametrize(("front", "rear"), [(-30.0, 0.0), (0.0, -25.0), (12.0, -9.0)])
def test_every_wheel_stands_on_the_ground(front: float, rear: float) -> None:
    """The lowest point of a disc lies r sqrt(1 - n^2) under its centre, n the axis's rise (formula)."""
    for one in after(front, rear).values():
        axis = one.axle.spin_axis
        lowest = one.axle.points["wheel_centre"][:, 2] - one.axle.radius * np.sqrt(1.0 - axis[:, 2] ** 2)
        assert_allclose(lowest, 0.0, atol=1e-9)


def test_both_ends_alike_do_not_pitch() -> None:
    """Points of the chassis come down straight, all by the same."""
    before, now = chassis_points(after(0.0, 0.0), WHEELBASE), chassis_points(after(-20.0, -20.0), WHEELBASE)
    assert_allclose(now - before, np.broadcast_to([0.0, 0.0, -20.0], now.shape), atol=1e-12)


def steering_axis_lean(points: dict[str, Array]) -> Array:
    """Caster by the definition: of the line from ball joint to top mount, in side view, top rearward positive."""
    low, top = points["lower_ball_joint"], points["strut_top"]
    return np.arctan2(low[..., 0] - top[..., 0], top[..., 2] - low[..., 2])


def turned(points: Array) -> Array:
    """The nose-down body's points in level axes: about the lateral axis, ahead goes down."""
    sine, cosine = math.sin(NOSE_DOWN), math.cos(NOSE_DOWN)
    return points @ np.array([[cosine, 0.0, -sine], [0.0, 1.0, 0.0], [sine, 0.0, cosine]])


def test_caster_to_the_ground() -> None:
    """The measured linkage's own caster at the same travel, less the pitch.

    Re-aligned toe turns the strut's foot hardly at all: 0.01 deg of caster.
    """
    axle = saloon().front
    now = after(-LOWER, 0.0)["front"].axle
    swept = sweep_bump(axle, np.array([LOWER]))
    level = swept["caster"][:, 0]
    found = steering_axis_lean(dict(now.points))
    assert_allclose(found, level - NOSE_DOWN, atol=math.radians(0.01))
    # Without the pitch it would be said 0.67 deg more.
    assert np.degrees(level - found).min() > 0.6


def test_pinion_goes_with_the_body() -> None:
    """Three links with ends fixed to the pitched body: the axle pitches with it, but for what the links let it keep."""
    found = compare(saloon(), [Plan("low", (Change("front", "ride height", -LOWER),))], saloon().limits, [])
    (angle,) = found.outcomes[1].values("rear", "pinion_angle")
    assert math.degrees(angle) == pytest.approx(-math.degrees(NOSE_DOWN), abs=0.02)


def test_anti_dive_of_the_pitched_car() -> None:
    """From the contact's path: slope in side view of the locked wheel's material point, turned with the body.

    Support is slope times wheelbase times the axle's part of braking over the height of the centre of gravity
    (formula); the slope is a difference of solved wheel positions half a mm of travel either way.
    """
    axle, body = saloon().front, saloon().body
    swept = sweep_bump(axle, LOWER + np.array([-0.5, 0.0, 0.5]))
    # The wheel is locked to the upright: its lowest point goes with the hub and the turn, top rearward positive.
    below = axle.radius * math.cos(NOSE_DOWN)
    ahead = -axle.radius * math.sin(NOSE_DOWN)
    path = []
    for state in (0, 2):
        turn = swept["side_view_turn"][:, state] - swept["side_view_turn"][:, 1]
        hub = np.stack([swept[f"wheel_centre_{way}"][:, state] for way in "xz"], axis=-1)
        # z of the table is over the ground with the body lowered by the travel; to the body it is higher.
        hub[:, 1] += (-0.5, 0.0, 0.5)[state] + LOWER
        path.append(hub + np.stack([turn * below, turn * ahead], axis=-1))
    along, up = np.moveaxis(path[1] - path[0], -1, 0)
    slope = np.tan(np.arctan2(along, up) + NOSE_DOWN)
    assert body.front_brakes is not None
    assert body.behind_front is not None
    # Of the whole car: what is unsprung stays over the ground as high as it was.
    unsprung, hubs = body.unsprung
    height = (1.0 - unsprung) * (520.0 - LOWER * (1.0 - body.behind_front / WHEELBASE)) + unsprung * hubs
    support = slope * WHEELBASE * body.front_brakes / height
    found = compare(saloon(), [Plan("low", (Change("front", "ride height", -LOWER),))], saloon().limits, [])
    assert_allclose(found.outcomes[1].values("front", "anti_dive"), support, atol=0.003)


def test_a_car_of_one_axle_stays_level() -> None:
    """Which end else goes down is not said: the body is taken to go down level, as before."""
    car = replace(saloon(), axles=(saloon().front,))
    assert rake_base(car) is None
    (axles,) = carry_out(car, [Plan("low", (Change("front", "ride height", -LOWER),))])
    assert axles["front"].pitch == 0.0


def test_doubtful_cars_pitch_alike() -> None:
    """A plan carried out for doubt leaves the same axle as for comparing."""
    plan = Plan("low", (Change("front", "ride height", -LOWER),))
    axle, fits = axle_after(saloon().rear, plan, rake_base(saloon()))
    assert fits.all()
    expected = after(-LOWER, 0.0)["rear"].axle
    for key, points in axle.points.items():
        assert_allclose(points, expected.points[key], atol=1e-9)


def test_the_chance_of_a_pitched_car() -> None:
    """Lowering the front leaves a level rear axle as it was; pitched, its roll steer goes over a bound halfway there.

    To first order a number beyond a bound holds it in more than half of the measurements (formula).
    """
    car, plan = saloon(), Plan("low", (Change("front", "ride height", -LOWER),))
    level, pitched = (
        float(sweep_bump(axle, np.zeros(1))["roll_steer"][0]) for axle in (car.rear, after(-LOWER, 0.0)["rear"].axle)
    )
    assert pitched > level + 0.01
    bound = Limit("roll_steer", 0.5 * (level + pitched), math.inf, ("ride height",))
    anywhere = [Limit(key, -1e4, 1e4, ("ride height",)) for key in ("roll_centre_height", "force_weighted_height")]
    limits = Limits(by_axle={"front": tuple(anywhere), "rear": (bound,)})
    chances = [plan_sureness(car, one, limits).chance for one in (Plan("as measured"), plan)]
    assert None not in chances
    assert chances[0] < 0.5 < chances[1]


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_the_files_tell_what_the_rear_feels(tmp_path: Path) -> None:
    """Lowering the front alone turns the rear axle's pinion down by the body's pitch, and the front's caster back."""
    (tmp_path / SALOON).write_text(demo_text(SALOON), encoding="utf-8")
    (tmp_path / "plans.toml").write_text(
        'units = "mm"\n[[plan]]\nname = "nose down"\n[[plan.change]]\naxle = "front"\nwhat = "ride height"\nby = -30\n',
        encoding="utf-8",
    )
    out = tmp_path / "out"
    assert main(["compare", str(tmp_path / SALOON), str(tmp_path / "plans.toml"), "--into", str(out)]) in (0, 1)
    told = {}
    for axle in ("front", "rear"):
        with (out / f"{axle}_plans.csv").open(encoding="utf-8", newline="") as lines:
            told |= {(axle, row["number"], row["side"]): row for row in csv.DictReader(lines)}
    pinion = told["rear", "pinion angle, nose up", ""]
    assert float(pinion["nose down"]) - float(pinion["as measured"]) == pytest.approx(-0.671, abs=0.02)
    swept = sweep_bump(saloon().front, np.array([LOWER]))["caster"][:, 0]
    for side, level in zip(("left", "right"), np.degrees(swept - NOSE_DOWN), strict=True):
        assert float(told["front", "caster", side]["nose down"]) == pytest.approx(level, abs=0.01)
