"""Every derived number of random axles, twelve of every type, against an independent engine's positions and motion.

Source: MuJoCo, a general-purpose multibody engine. Velocities are those that its own constraint Jacobian allows
(mujoco_motion.py) and, for camber gain and bump steer, differences of its own positions too. From them
numbers_by_engine.py works out all numbers that an axle has; none is left out. The engine knows nothing of a drawing
board or an outer wheel's share, so the textbook roll centre and the force-weighted height are constructions on the
engine's points and lines. Heave, roll and rack travel are what was asked for; that the wheels then stand on the ground
is the engine's to say. Nor has it the ideal of Ackermann or the load transfer behind anti-dive, which are arithmetic on
its angles and slopes.

All axles (random_axles.py), but one of each type in a short run, at nine states in heave, on one wheel and in roll with
heave, and at four steered in bump and roll where there is a rack. Reached on 896 axles, run once by hand: 5e-8 mm for
lengths below a metre and 1e-10 for ratios, where five links are near a lock; some hundred times less elsewhere.
"""

from collections.abc import Mapping

import numpy as np
import pytest

from kinematics import Axle, sweep_bump, sweep_roll
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.numbers.outer_share import OuterShare
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES, quantities_of
from kinematics.sweeps.body import Sweep, sweep_grid
from kinematics.sweeps.rack import sweep_steer
from tests.engines.agreement import ANGLE_TO, POSITION_TO, camber_and_toe
from tests.engines.corner_linkages import TRAVEL
from tests.engines.engines import mujoco
from tests.engines.invented_axles import SIDES
from tests.engines.linkage import Array
from tests.engines.live_axle_linkages import TRAVELS
from tests.engines.numbers_by_engine import Standing
from tests.engines.random_axles import RANDOM_AXLES, RandomAxle, few
from tests.engines.wheels_by_engine import wheels

HEAVE, LEFT_WHEEL, RIGHT_WHEEL = np.array([-1.0, 0.0, 0.8]), np.array([0.6]), np.array([-0.7])  # of the reach
LOWERED, ROLLED = np.array([-0.2, 0.4]), np.radians([-2.0, 1.0])  # of the reach; rad
NOSE_DOWN = np.radians(1.5)
RACK = np.array([-40.0, -15.0, 20.0, 45.0])  # mm
STEERED_BUMP, STEERED_ROLL = np.array([0.0, 0.3, -0.3, 0.2]), np.radians([0.0, 1.5, -1.0, 2.0])
# Velocities come from Jacobians solved to 1e-14. A meeting point that far away moves as the square of its distance over
# a lever of a metre or so.
FAR = 1e3  # mm
TO = {
    Dimension.LENGTH: POSITION_TO,
    Dimension.ANGLE: np.radians(ANGLE_TO),
    Dimension.ANGLE_PER_LENGTH: np.radians(ANGLE_TO) / 100.0,  # ANGLE_TO over 100 mm of travel
    Dimension.RATIO: 1e-9,
    Dimension.PER_CENT: 1e-9,
}
PARTS_TO = 1e-12  # mm/mm by which joints part in the engine's motions
STEERED = [one for one in RANDOM_AXLES if SUSPENSIONS[one.kind].rack]
ONE_OF_EACH = list({one.kind: one for one in RANDOM_AXLES}.values())
# Differences of fourth order, B. Fornberg, Math. Comp. 51 (1988), table 1, from memory. They leave STEP^4 / 30 of the
# fifth derivative, on levers of some 300 mm about 5! / 300^5 of an angle: 1e-13 rad/mm; five links may have shorter
# ones, and roundings of 1e-14 rad over the step are as much.
STEP = 0.5  # mm
STEPS, WEIGHTS = STEP * np.array([-2.0, -1.0, 1.0, 2.0]), np.array([1.0, -8.0, 8.0, -1.0]) / (12.0 * STEP)
SLOPE_TO = 1e-10  # rad/mm
OF_OUTER = 0.7  # of the lateral force, at 2 deg of roll: what is taken where nothing else is said

# Axles further from rest than those above.
FAR_DOWN = 30.0, np.radians(6.0)  # heave [mm] and roll


def named(random: RandomAxle) -> str:
    return random.name


def test_two_hundred_cars_in_heave_roll_and_steer() -> None:
    assert len(RANDOM_AXLES) > 200


def test_every_number_is_checked() -> None:
    """Each axle's numbers are compared one and all; between them the axles have all that there are."""
    there = {key for one in ONE_OF_EACH for key in quantities_of(one.axle())}
    ends = {key for one in RANDOM_AXLES for key in quantities_of(one.axle()) if key.startswith("anti_")}
    assert there | ends | {"ackermann", "turn_radius"} == set(QUANTITIES)  # the last two of steered axles


@pytest.mark.parametrize("random", few(RANDOM_AXLES))
def test_in_heave_on_one_wheel_and_in_roll(random: RandomAxle) -> None:
    axle = random.axle()
    room = random.room(axle)
    sweeps = [
        sweep_bump(axle, room * HEAVE),
        sweep_bump(axle, room * LEFT_WHEEL, "left"),
        sweep_bump(axle, room * RIGHT_WHEEL, "right"),
        sweep_grid(axle, room * LOWERED, ROLLED),
    ]
    found = {key: np.concatenate([_flat(sweep, key) for sweep in sweeps], axis=-1) for key in sweeps[0].values}
    standing = _standing(random, axle, found)
    assert np.abs(standing.contact[:, -ROLLED.size * LOWERED.size :, 2]).max() < POSITION_TO
    _compare(found, standing, set())


@pytest.mark.parametrize("random", few(RANDOM_AXLES))
def test_under_a_pitched_body(random: RandomAxle) -> None:
    axle = random.axle()
    room = random.room(axle)
    sweeps = [
        sweep_bump(axle, room * HEAVE, pitch=NOSE_DOWN),
        sweep_bump(axle, room * LEFT_WHEEL, "left", pitch=-NOSE_DOWN),
        sweep_grid(axle, room * LOWERED, ROLLED, pitch=NOSE_DOWN),
        sweep_roll(axle, ROLLED, 0.1 * room, pitch=-NOSE_DOWN),
    ]
    found = {key: np.concatenate([_flat(sweep, key) for sweep in sweeps], axis=-1) for key in sweeps[0].values}
    standing = _standing(random, axle, found)
    assert np.abs(standing.contact[:, -3 * ROLLED.size :, 2]).max() < POSITION_TO
    _compare(found, standing, set())


@pytest.mark.parametrize("random", few(STEERED))
def test_steered_in_bump_and_roll(random: RandomAxle) -> None:
    # Counted from where the steered wheel stands at rest; the engine's is counted from straight ahead.
    _compare(*_steered(random), {"side_view_turn"})


@pytest.mark.parametrize("random", ONE_OF_EACH, ids=named)
def test_gains_are_slopes_of_the_engines_positions(random: RandomAxle) -> None:
    axle = random.axle()
    middle = 0.4 * random.room(axle)
    sweep = sweep_bump(axle, np.array([middle]))
    part = axle.suspension.bodies[0]
    for side, linkage in enumerate(random.told(mujoco, axle) * (2 if random.whole else 1)):
        drivers = TRAVELS if random.whole else (TRAVEL,)
        rotation = linkage.solve(dict.fromkeys(drivers, middle + STEPS))[part].rotation
        leaning, pointing = camber_and_toe(rotation, SIDES[side], axle.camber[side], axle.toe[side])
        assert abs(sweep["camber_gain"][side, 0] - WEIGHTS @ np.radians(leaning)) < SLOPE_TO
        assert abs(sweep["bump_steer"][side, 0] - WEIGHTS @ np.radians(pointing)) < SLOPE_TO


def test_stands_on_the_ground_next_to_a_lock() -> None:
    random = RandomAxle("five link", 11)
    axle = random.axle()
    roll = np.radians(np.linspace(-5.0, 5.0, 11))
    sweep = sweep_roll(axle, roll, 40.0)
    there = sweep.reached
    assert there.any()
    found = wheels(random, axle, sweep["travel"][:, there])
    standing = Standing(found, np.full(there.sum(), 40.0), roll[there], OF_OUTER)
    assert np.abs(standing.contact[..., 2]).max() < POSITION_TO


def test_an_engine_stands_far_down() -> None:
    """The left wheel's lowest point passes the ground between these travels, the linkage closed at both."""
    random = RandomAxle("control blade", 9)
    found = wheels(random, random.axle(), np.array([[-123.5, -124.5], [52.0, 53.0]]))
    standing = Standing(found, np.full(2, FAR_DOWN[0]), np.full(2, FAR_DOWN[1]), OF_OUTER)
    height = standing.contact[..., 2]
    assert (height[:, 0] * height[:, 1] < 0.0).all()


def test_stands_as_far_down_as_the_engine() -> None:
    axle = RandomAxle("control blade", 9).axle()
    assert sweep_roll(axle, np.full(1, FAR_DOWN[1]), FAR_DOWN[0]).reached.all()


def _flat(sweep: Sweep, key: str) -> Array:
    """A number's values, sides and then states."""
    assert sweep.reached.all()
    assert sweep.outer_share == OuterShare(OF_OUTER, np.radians(2.0))
    return sweep[key].reshape(*(2,) * QUANTITIES[key].per_side, -1)


def _standing(random: RandomAxle, axle: Axle, found: Mapping[str, Array]) -> Standing:
    found_by_engine = wheels(random, axle, found["travel"])
    return Standing(found_by_engine, found["heave"], found["roll"], OF_OUTER, pitch=found["pitch"])


def _steered(random: RandomAxle) -> tuple[dict[str, Array], Standing]:
    axle = random.axle()
    bump = random.room(axle) * STEERED_BUMP
    sweeps = [sweep_steer(axle, rack, bump, STEERED_ROLL) for rack in (0.0 * RACK, RACK)]
    straight, found = ({key: _flat(sweep, key) for key in sweep.values} for sweep in sweeps)
    middle = _standing(random, axle, straight)
    steered = wheels(random, axle, found["travel"], RACK)
    rest = middle.numbers()["steer_angle"]
    standing = Standing(steered, -bump, STEERED_ROLL, OF_OUTER, rest, RACK)
    for one in (middle, standing):
        assert np.abs(one.contact[..., 2]).max() < POSITION_TO
    return found, standing


def _compare(found: Mapping[str, Array], standing: Standing, elsewhere: set[str]) -> None:
    """All numbers but those that have a test of their own."""
    asked = standing.numbers()
    assert standing.wheels.open_by < PARTS_TO
    assert set(asked) == set(found)
    wrong = {
        key: (found[key], asked[key])
        for key in set(found) - elsewhere
        if not _agrees(found[key], asked[key], QUANTITIES[key].dimension)
    }
    assert not wrong


def _agrees(ours: Array, asked: Array, kind: Dimension) -> bool:
    far = 1.0 + (asked / FAR) ** 2 if kind is Dimension.LENGTH else 1.0
    return ours.shape == asked.shape and bool((np.abs(ours - asked) <= TO[kind] * far).all())
