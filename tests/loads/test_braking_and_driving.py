"""Dive, squat and load transfer in braking and driving, by closed forms that hold on any car and by statics.

Formulae: dN = M a h / L with the whole car's mass and height; what the links do not carry the springs do, so a front
that dives goes down by dN (1 - anti) / (2 k). Full anti-squat of a driven live axle: e / d = h / L, with the links'
lines meeting d ahead of the contact point and e over the ground (T. D. Gillespie, Fundamentals of Vehicle Dynamics,
ch. 7, from memory).
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Axle, sweep_bump
from kinematics.car.fittings import Body
from kinematics.car.springs_and_bars import GRAVITY, Bar, Line
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.loads.equilibrium import balance
from kinematics.loads.rates import rates
from kinematics.loads.whole_car import WholeCar
from solvers.vectors import Array
from tests.loads import invented_loads as invented

WHEELBASE, HEIGHT, FRONT_BRAKES = 2560.0, 520.0, 0.68
NO_MASS = 1e-6  # kg
CORNER = 280.0  # kg on each wheel
SMALL = 1e-3  # m/s^2
REST = np.zeros(1)
STRAIGHT = "live axle with triangulated links"
# The body pitches by a hundredth of a rad for each 4 m/s^2, and its weight comes forward by as much of 520 mm: some
# hundredth of the load transfer that the closed form leaves out.
PITCHED = 0.02
# Braking of SMALL pitches the body by some 3e-6 rad, which turns the ways of the contact points by as much of 0.2.
TURNED = 5e-5


def axle(kind: str, name: str, **body: float) -> Axle:
    told = Body(**{"centre_of_gravity": HEIGHT, "wheelbase": WHEELBASE, "front_brakes": FRONT_BRAKES, **body})
    return replace(invented.symmetric(SUSPENSIONS[kind]), name=name, body=told)


def on_springs(front: Axle, rear: Axle, *, unsprung: float = NO_MASS, ratio: float = 0.8) -> WholeCar:
    its = invented.loads(Line(ratio=ratio), rate=30.0, corner=CORNER, unsprung=unsprung)
    return WholeCar(*(invented.fitted(one, its) for one in (front, rear)), HEIGHT, WHEELBASE)


def turned(one: Axle, slope: float) -> Axle:
    """Links turned in side view about the contact points, which then go ahead by a slope as they go up."""
    centre_x, centre_z = (float(sweep_bump(one, REST)[f"side_view_centre_{key}"][0, 0]) for key in "xz")
    angle = np.arctan(slope) - np.arctan(-centre_z / centre_x)
    turn = np.array([[np.cos(angle), 0.0, np.sin(angle)], [0.0, 1.0, 0.0], [-np.sin(angle), 0.0, np.cos(angle)]])
    points = {key: at if key == "wheel_centre" else at @ turn.T for key, at in one.points.items()}
    return replace(one, points=points)


def moved(whole: WholeCar, forward: float) -> tuple[Array, Array, Array]:
    """Change of each axle's load [N], the part of it through the links, and its heave [mm], from rest."""
    found = balance(whole, np.zeros(2), forward=np.array([0.0, forward]))
    assert found.solved.all()
    load = found.load.sum(axis=1)
    return load[:, 1] - load[:, 0], found.linked.sum(axis=1)[:, 1], found.heave[:, 1] - found.heave[:, 0]


@pytest.mark.parametrize("unsprung", [NO_MASS, 36.0], ids=["no unsprung mass", "unsprung mass"])
@pytest.mark.parametrize("rear", ["strut with toe link", "semi-trailing arm", "live axle with three links"])
def test_load_transfer(rear: str, unsprung: float) -> None:
    """The whole car's mass over its whole height, whatever springs and links do."""
    whole = on_springs(axle("double wishbone", "front"), axle(rear, "rear"), unsprung=unsprung)
    sprung = 4.0 * (CORNER - unsprung)
    hubs = [float(setup.axle.points["wheel_centre"][:, 2].sum()) for setup in whole.axles]
    transfer = SMALL * (sprung * HEIGHT + unsprung * sum(hubs)) / WHEELBASE
    change, _, _ = moved(whole, -SMALL)
    assert change.sum() == pytest.approx(0.0, abs=1e-6)
    assert change[0] == pytest.approx(transfer, rel=PITCHED)


@pytest.mark.parametrize("inboard", [False, True], ids=["outboard brakes", "inboard brakes"])
@pytest.mark.parametrize("front", ["double wishbone", "strut", "five link"])
def test_dive_of_a_linear_car(front: str, inboard: bool) -> None:
    one = axle(front, "front")
    one = replace(one, fittings=replace(one.fittings, inboard_brakes=inboard))
    whole = on_springs(one, axle(STRAIGHT, "rear"))
    change, linked, heave = moved(whole, -SMALL)
    anti = float(sweep_bump(one, REST)["anti_dive"].mean())
    transfer = 4.0 * CORNER * SMALL * HEIGHT / WHEELBASE
    assert linked[0] == pytest.approx(anti * transfer, abs=TURNED * transfer)
    step = np.array([-0.5, 0.0, 0.5])
    height = sweep_bump(one, step)["heave"]
    rate = rates(whole.front, REST).wheel_rate.sum() * 1.0 / float(height[0] - height[2])
    assert heave[0] == pytest.approx(-(change[0] - anti * transfer) / rate, rel=2e-3)


def test_full_anti_dive_and_anti_lift_leave_the_body_level() -> None:
    """Contact points that go ahead as fast as h / (L p) in front, and back so behind, p each axle's braking."""
    steep = HEIGHT / WHEELBASE
    front = turned(axle(STRAIGHT, "front"), steep / FRONT_BRAKES)
    rear = turned(axle(STRAIGHT, "rear"), -steep / (1.0 - FRONT_BRAKES))
    assert sweep_bump(front, REST)["anti_dive"][0] == pytest.approx(1.0, rel=1e-9)
    change, linked, heave = moved(on_springs(front, rear), -SMALL)
    assert_allclose(linked, change, rtol=TURNED)
    plain = moved(on_springs(axle(STRAIGHT, "front"), axle(STRAIGHT, "rear")), -SMALL)[2]
    assert_allclose(heave, 0.0, atol=1e-5 * np.abs(plain).max())
    hard = moved(on_springs(front, rear), -4.0)[2]
    assert np.abs(hard).max() < 0.1


def four_links(ahead: float, up: float) -> Axle:
    """A driven axle whose links' lines meet in side view, so far ahead of the contact points and over the ground."""
    rear = axle("live axle with four links", "rear", front_drive=0.0)
    points = dict(rear.points)
    for place in ("lower", "upper"):
        end, pivot = points[f"{place}_link_axle"], points[f"{place}_link_chassis"].copy()
        pivot[:, 2] = end[:, 2] + (up - end[:, 2]) * (pivot[:, 0] - end[:, 0]) / (ahead - end[:, 0])
        points[f"{place}_link_chassis"] = pivot
    return replace(rear, points=points)


@pytest.mark.parametrize("ahead", [900.0, 1700.0])
def test_full_anti_squat_of_a_driven_live_axle(ahead: float) -> None:
    """e / d = h / L: the axle's springs feel nothing. Half of it: half of the load goes through them."""
    transfer = 4.0 * CORNER * SMALL * HEIGHT / WHEELBASE
    for part in (1.0, 0.5):
        rear = four_links(ahead, part * ahead * HEIGHT / WHEELBASE)
        change, linked, heave = moved(on_springs(axle(STRAIGHT, "front", front_drive=0.0), rear), SMALL)
        assert linked[1] == pytest.approx(part * transfer, abs=TURNED * transfer)
        assert change[1] == pytest.approx(transfer, rel=2.0 * PITCHED)  # wheels on links so steep move fore and aft too
        squat = (1.0 - part) * transfer / (2.0 * 30.0 * 0.8**2)
        # Both ends of links so steep turn the load's way too: a tenth of the squat of a car without them at most.
        assert heave[1] == pytest.approx(-squat, abs=5.0 * PITCHED * transfer / (2.0 * 30.0 * 0.8**2))


def test_a_wheel_that_lifts_in_braking_leaves_its_axle_braked_by_the_other() -> None:
    """Hard braking on a bend picks up the inner rear wheel: loads add up, and the moments are all there."""
    whole = on_springs(axle("double wishbone", "front"), axle("strut with toe link", "rear"))
    rear = replace(whole.rear.loads, bar=Bar(120.0, ratio=0.8))
    whole = replace(whole, rear=invented.fitted(whole.rear.axle, rear))
    found = balance(whole, np.array([7.0]), forward=np.array([-5.0]))
    assert found.lifted[..., 0].tolist() == [[False, False], [True, False]]
    assert found.solved.all()
    assert found.load.sum() == pytest.approx(4.0 * CORNER * GRAVITY, abs=1e-5)
    assert found.linked[1, 0, 0] == 0.0
