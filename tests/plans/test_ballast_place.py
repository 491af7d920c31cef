"""Ballast that has a place, against statics of point masses: each mass is put where it lies, none into a mean.

Source: equilibrium of moments about the ground (formula); d'Alembert's force of a steady corner acts on every mass.
"""

import tomllib

import numpy as np
import pytest

from kinematics import Car, InputFaultError
from kinematics.car.lengths import INCH, MM
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.inputs.demo_cars import demo_car
from kinematics.inputs.plans.plan_file import plans_from
from kinematics.loads.equilibrium import balance
from kinematics.loads.report import lean_numbers
from kinematics.motion.ground import Attitude
from kinematics.numbers.stance import Stance
from kinematics.planning.changes import Change
from kinematics.planning.plans import Plan, carry_out
from kinematics.planning.settling import Rigged, rigged
from reports.words.plans import changes_words

SALOON = "rear_drive_saloon.toml"
MASS, AHEAD, OUT, UP = 40.0, -1900.0, 350.0, 180.0  # kg, mm
IN_A_CORNER = 5.0  # m/s^2


@pytest.fixture(scope="module")
def car() -> Car:
    return demo_car(SALOON)


def plan(car: Car, place: str, *, units: str = "mm", mass: str = "40") -> Plan:
    text = f'units = "{units}"\n[[plan]]\nname = "laden"\n[[plan.change]]\nwhat = "ballast"\nmass = {mass}\n{place}\n'
    (made,) = plans_from(tomllib.loads(text), "plans.toml", car).plans
    return made


def laden(car: Car, place: str) -> Rigged:
    made = plan(car, place)
    (axles,) = carry_out(car, [made])
    return rigged(car, axles, made.changes)


def kept(car: Car, place: str) -> Rigged:
    """The same with springs packed so that the body stays where it was, level."""
    made = plan(car, place)
    changes = (*made.changes, *(Change(axle, "ride height") for axle in ("front", "rear")))
    (axles,) = carry_out(car, [Plan("kept", changes)])
    assert all(one.raised == 0.0 for one in axles.values())
    return rigged(car, axles, changes)


PLACED = f'ahead = {AHEAD}\nout = {OUT}\nup = {UP}\nside = "right"'


def test_scales_show_where_it_lies(car: Car) -> None:
    """At rest the four loads have grown by its weight, at its place: forces, and moments about two axes."""
    found = kept(car, PLACED)
    rest = balance(found.car, np.zeros(1), ballast=found.ballast)
    assert rest.solved.all()
    before = np.stack([axle.loads.corner_mass for axle in (car.front, car.rear)]) * GRAVITY
    more = rest.load[..., 0] - before
    assert more.sum() == pytest.approx(MASS * GRAVITY, rel=1e-6)
    # The tyres squash by a millimetre more behind than in front: that pitch takes the weight back by half a newton m.
    assert more[1].sum() * car.body.wheelbase == pytest.approx(MASS * GRAVITY * -AHEAD, rel=1e-3)


def test_moments_in_a_corner(car: Car) -> None:
    """Tyres' loads turn the car about the ground as much as the weights and the centrifugal forces of all masses do."""
    found = kept(car, PLACED)
    leaning = balance(found.car, np.array([IN_A_CORNER]), ballast=found.ballast)
    assert leaning.solved.all()
    roll, heave = leaning.roll[0], leaning.heave[:, 0]
    lateral = IN_A_CORNER / GRAVITY

    def moment(mass: float, y: float, z: float, behind: float) -> float:
        """Of a mass that the body carries, measured at (y, z), turned by the roll and raised by the heave there."""
        aside = np.cos(roll) * y - np.sin(roll) * z
        high = np.sin(roll) * y + np.cos(roll) * z + heave[0] + (heave[1] - heave[0]) * behind
        return float(mass * GRAVITY * (aside - lateral * high))

    expected = turned = 0.0
    for index, setup in enumerate(found.car.axles):
        stance = Stance(setup.moving.at(leaning.travel[index]), Attitude(leaning.heave[index], leaning.roll))
        turned += float((leaning.load[index] * stance.contact[..., 1]).sum())
        measured = car.axles[index].loads
        hub, hubs = stance.wheel_centre, car.axles[index].points["wheel_centre"]
        expected += float((measured.unsprung[:, None] * GRAVITY * (hub[..., 1] - lateral * hub[..., 2])).sum())
        # On level scales the body's weight lies where the loads less the wheels' own weights say.
        sprung = measured.sprung_mass
        aside = measured.corner_mass @ car.axles[index].contact[:, 1] - measured.unsprung @ hubs[:, 1]
        expected += moment(sprung, aside / sprung, car.body.centre_of_gravity, float(index))
    behind = -AHEAD / car.body.wheelbase
    expected += moment(MASS, -OUT, UP, behind)
    # Squashed tyres move contacts by some 0.01 mm under 5 kN.
    assert turned == pytest.approx(expected, rel=2e-4)


@pytest.mark.campaign
def test_on_the_floor_it_lowers_the_lean_and_on_the_roof_it_raises_it(car: Car) -> None:
    middle = -car.body.behind_front
    gradients = {}
    for up in (60.0, 1400.0):
        found = laden(car, f"ahead = {middle}\nup = {up}")
        gradients[up] = lean_numbers(found.car, found.ballast).gradient
    found = laden(car, f"ahead = {middle}\nup = {car.body.centre_of_gravity}")
    as_high = lean_numbers(found.car, found.ballast).gradient
    assert gradients[60.0] < as_high < gradients[1400.0]


def test_inches_and_words(car: Car) -> None:
    made = plan(car, f'ahead = {AHEAD / 25.4}\nout = {OUT / 25.4}\nup = {UP / 25.4}\nside = "right"', units="in")
    (change,) = made.changes
    assert change.place == pytest.approx((AHEAD, OUT, UP))
    assert change.by == pytest.approx(40 * 0.45359237)
    assert changes_words(made, INCH).startswith("front right ballast 40 lb (74.8")
    assert changes_words(plan(car, PLACED), MM) == (
        "front right ballast 40 kg (1900 mm behind the front wheels, 350 mm out, 180 mm up)"
    )


@pytest.mark.parametrize(
    ("place", "says"),
    [
        ("up = 100", "change 1.ahead: is missing: where ballast lies is told by `ahead` of its axle's wheels and `up`"),
        ("ahead = -900", "change 1.up: is missing"),
        ("ahead = -9000\nup = 100", "read -9000 mm; -6000 to 6000 mm is allowed"),
        ("ahead = -900\nup = -5", "read -5 mm; 0 to 2500 mm is allowed"),
        ("ahead = -900\nup = 100\nout = 300", 'change 1.side: is missing: `out` is to the "left" or to the "right"'),
        ('ahead = -900\nup = 100\nout = -300\nside = "left"', "read -300 mm; 0 to 1200 mm is allowed"),
    ],
)
def test_places_that_are_none(car: Car, place: str, says: str) -> None:
    with pytest.raises(InputFaultError) as caught:
        plan(car, place)
    assert says in str(caught.value)


def test_ballast_may_be_laid_in_a_car_of_a_height_that_is_asked_for(car: Car) -> None:
    """Packing keeps the height under it; what decides a height itself, as packing does, cannot stand beside one."""
    height = '[[plan.change]]\nwhat = "ride height"\nby = -10\n'
    (change, lower) = plan(car, f"{PLACED}\n{height}").changes
    assert (change.what, lower.by) == ("ballast", -10.0)
    with pytest.raises(InputFaultError, match="the ride height follows from"):
        plan(car, f'{PLACED}\n{height}[[plan.change]]\nwhat = "spring spacer"\nby = 5')
