"""A live axle is twisted by its propshaft: the left wheel is pressed down, the right one lifted.

T. D. Gillespie, Fundamentals of Vehicle Dynamics, ch. 2 (from memory): the torque is T = F r / N, F the driving force
of both wheels, r their radius and N the final drive. With the springs left as they are, each wheel's load changes by T
over the track; on a car that leans by it, of which the front's roll stiffness is K_f of K_f + K_r, by T / track times
K_f / (K_f + K_r), since what the body leans on the rear springs they give back.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import sweep_bump
from kinematics.car.springs_and_bars import Line
from kinematics.inputs.demo_cars import demo_car
from kinematics.loads.equilibrium import balance
from kinematics.loads.whole_car import WholeCar
from tests.loads import invented_loads as invented
from tests.loads.test_braking_and_driving import CORNER, NO_MASS, SMALL, STRAIGHT
from tests.loads.test_braking_and_driving import axle as sprung_axle
from tests.published.test_side_view_closed_forms import BODY, FOUR, FRONT_DRIVE, HEIGHT, HUB, LINKS, WHEELBASE, axle

REST = np.zeros(1)
RATIO = 3.7


@pytest.mark.parametrize(
    ("kind", "points"), [("live axle with four links", FOUR), ("live axle with three links", LINKS)]
)
def test_each_sides_anti_squat(kind: str, points: dict[str, tuple[float, float, float]]) -> None:
    """T / track over what half of the force moves to a wheel, F h / 2 L: by 2 L r / (N track h) of the axle's part."""
    plain = axle("rear", kind, points)
    driven = replace(plain, body=replace(BODY, final_drive=RATIO))
    track = 2.0 * float(plain.points["wheel_centre"][0, 1])
    more = (1.0 - FRONT_DRIVE) * 2.0 * WHEELBASE * HUB / (RATIO * track * HEIGHT)
    before, after = (sweep_bump(one, REST) for one in (plain, driven))
    assert_allclose((after["anti_squat"] - before["anti_squat"])[:, 0], [more, -more], rtol=1e-9)
    assert more > 0.3
    for key in before.values:
        if key != "anti_squat":
            np.testing.assert_array_equal(after[key], before[key], err_msg=key)


def test_half_shafts_and_a_front_axle_know_of_none() -> None:
    """Only a live axle at the rear is twisted by its shaft."""
    saloon = demo_car("rear_drive_saloon.toml")
    told = replace(saloon.front, body=replace(saloon.body, final_drive=RATIO))
    for key, values in sweep_bump(saloon.front, REST).values.items():
        np.testing.assert_array_equal(sweep_bump(told, REST)[key], values, err_msg=key)


@pytest.mark.parametrize("stiffer", [1.0, 2.5])
def test_the_driven_car_in_balance(stiffer: float) -> None:
    """Both ends alike give half of T / track, a front of 2.5 times the rate 2.5 parts of 3.5.

    Alike on both sides and without unsprung mass; springs so stiff that the moment of the leaning weight, which the
    closed form leaves out, is less than a thousandth of theirs.
    """
    loads = {}
    for ratio in (None, RATIO):
        front, rear = (sprung_axle(STRAIGHT, name, front_drive=0.0) for name in ("front", "rear"))
        front, rear = (replace(one, body=replace(one.body, final_drive=ratio)) for one in (front, rear))
        its = [
            invented.loads(Line(ratio=0.8), rate=3000.0 * part, corner=CORNER, unsprung=NO_MASS)
            for part in (stiffer, 1.0)
        ]
        whole = WholeCar(*(invented.fitted(*each) for each in zip((front, rear), its, strict=True)), HEIGHT, 2560.0)
        found = balance(whole, np.zeros(2), forward=np.array([0.0, SMALL]))
        assert found.solved.all()
        loads[ratio] = found.load[..., 1] - found.load[..., 0]
    radius, track = float(rear.radius[0]), 2.0 * float(rear.points["wheel_centre"][0, 1])
    force = 4.0 * CORNER * SMALL
    by_shaft = force * radius / RATIO / track * stiffer / (stiffer + 1.0)
    added = loads[RATIO] - loads[None]
    assert_allclose(added[1], [by_shaft, -by_shaft], rtol=2e-3)
    # Nothing from outside rolls the car: the front takes the other way round what the rear is given.
    assert_allclose(added[0], [-by_shaft, by_shaft], rtol=2e-3)
