"""Twelve random axles of every type against general-purpose multibody engines that share no code with ours.

All in MuJoCo, but one of each type in a short run: every point of every part, turn of the wheel's part, camber, toe and
steer, at eight states: both wheels up and down, one wheel alone, wheels opposite ways, and steering where there is a
rack. One of each builder of each type in Exudyn too, but for four bushed links, which it has no constraint for. Where
ours says that a linkage locks, the engine must not be able to close it beyond. The axles are made from fixed seeds
(random_axles.py). Source: both engines, told the joints one by one.

Reached on 1005 axles in MuJoCo, run once by hand: 7e-10 mm and 3e-10 deg, five links near a lock; 255 in Exudyn: 5e-11
mm and 2e-11 deg.
"""

from collections import Counter
from collections.abc import Callable

import numpy as np
import pytest

from kinematics.car.suspension_type import CHASSIS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.moving_axle import moving
from kinematics.numbers.wheel_angles import camber, steer, toe
from kinematics.sweeps.rack import steered
from tests.engines.agreement import ANGLE_TO, POSITION_TO, camber_and_toe, degrees_between
from tests.engines.corner_linkages import RACK, TRAVEL
from tests.engines.engines import exudyn, mujoco
from tests.engines.invented_axles import SIDES
from tests.engines.linkage import Array, Linkage, Poses
from tests.engines.live_axle_linkages import TRAVELS, four_links
from tests.engines.random_axles import OF_EACH_TYPE, RANDOM_AXLES, RandomAxle, few

# Left and right, in parts of the reach: both up, both down, one alone, opposite ways.
STATES = np.array(
    [[1.0, 1.0], [-1.0, -1.0], [0.6, 0.0], [0.0, 0.9], [0.0, -0.8], [0.7, -0.7], [-0.7, 0.7], [0.3, -0.9]]
).T
RACKS = np.array([-40.0, -12.0, 25.0, 45.0])  # mm, to the left positive
ON_RACK = np.array([0.5, -0.7])  # of the reach, both wheels
# One of each builder: where a type has two, odd axles have the other one. Exudyn has no constraint on a sum of lengths,
# which four bushed links ask for.
FOR_EXUDYN = [one for one in RANDOM_AXLES if one.number < len(one.builds) and four_links not in one.builds]
STEERED = [one for one in RANDOM_AXLES if SUSPENSIONS[one.kind].rack]
# Where the linkage locks, and as far beyond as is surely more than rounding makes of the lock [mm].
LOCKED = [RandomAxle("five link", number) for number in (10, 29)]
BEYOND, SHORT_OF = 0.5, 0.5
# Beyond a lock the engine's Newton steps wander, and may end in another assembly: so far from this one [mm].
ELSEWHERE = 50.0

Engine = Callable[[], Linkage]


def named(random: RandomAxle) -> str:
    return random.name


def test_two_hundred_different_cars_of_every_type() -> None:
    axles = [one.axle() for one in RANDOM_AXLES]
    assert len({np.array(list(axle.points.values())).tobytes() for axle in axles}) == len(RANDOM_AXLES) > 200
    assert Counter(axle.suspension.name for axle in axles) == dict.fromkeys(SUSPENSIONS, OF_EACH_TYPE)
    assert {one.build for one in FOR_EXUDYN} | {four_links} == {one.build for one in RANDOM_AXLES}
    # Not the blank file's cars again: on average the points lie far from there.
    for one, axle in zip(RANDOM_AXLES, axles, strict=True):
        typical = np.array([point.typical for point in axle.suspension.points])
        left = np.array([axle.points[point.key][0] for point in axle.suspension.points])
        assert np.linalg.norm(left - typical, axis=-1).mean() > 20.0, one.name


@pytest.mark.parametrize("random", few(RANDOM_AXLES))
def test_positions_agree(random: RandomAxle) -> None:
    compare_positions(mujoco, random)


@pytest.mark.campaign
@pytest.mark.parametrize("random", FOR_EXUDYN, ids=named)
def test_positions_agree_with_a_second_engine(random: RandomAxle) -> None:
    compare_positions(exudyn, random)


def compare_positions(engine: Engine, random: RandomAxle) -> None:
    axle = random.axle()
    room = random.room(axle)
    assert room == random.reach or random in LOCKED
    travel = room * STATES
    states = moving(axle, travel.min(), travel.max()).at(travel)
    assert states.reached.all()
    linkages = random.told(engine, axle)
    if random.whole:
        solved = [linkages[0].solve(dict(zip(TRAVELS, travel, strict=True)))] * 2
    else:
        solved = [one.solve({TRAVEL: heights}) for one, heights in zip(linkages, travel, strict=True)]
    for side in (0, 1):
        for key, part in axle.suspension.carriers.items():
            if part != CHASSIS:
                asked = solved[side][part].point(axle.points[key][side])
                assert np.abs(states.point(key)[side] - asked).max() < POSITION_TO
        wheel = solved[side][axle.suspension.bodies[0]]
        assert degrees_between(states.rotation[side], wheel.rotation).max() < ANGLE_TO
        leaning, pointing = camber_and_toe(wheel.rotation, SIDES[side], axle.camber[side], axle.toe[side])
        assert np.abs(np.degrees(camber(states.spin_axis)[side]) - leaning).max() < ANGLE_TO
        assert np.abs(np.degrees(toe(states.spin_axis)[side]) - pointing).max() < ANGLE_TO
        assert np.abs(np.degrees(steer(states.spin_axis)[side]) + SIDES[side] * pointing).max() < ANGLE_TO
        # It moved.
        assert np.ptp(wheel.point(axle.points["wheel_centre"][side])[:, 2]) > 50.0


@pytest.mark.parametrize("random", few(STEERED))
def test_steered_positions_agree(random: RandomAxle) -> None:
    compare_steered_positions(mujoco, random)


@pytest.mark.campaign
@pytest.mark.parametrize("random", [one for one in STEERED if one in FOR_EXUDYN], ids=named)
def test_steered_positions_agree_with_a_second_engine(random: RandomAxle) -> None:
    compare_steered_positions(exudyn, random)


def compare_steered_positions(engine: Engine, random: RandomAxle) -> None:
    axle = random.axle()
    heights = random.room(axle) * ON_RACK
    grid = len(RACKS), len(heights)
    states = moving(steered(axle, RACKS), heights.min(), heights.max()).at(
        np.broadcast_to(heights, (grid[0], 2, grid[1]))
    )
    assert states.reached.all()
    rack, height = (values.ravel() for values in np.meshgrid(RACKS, heights, indexing="ij"))
    for side, linkage in enumerate(random.told(engine, axle)):
        bodies = linkage.solve({RACK: rack, TRAVEL: height})
        parts = {key: part for key, part in axle.suspension.carriers.items() if part != CHASSIS}
        for key, part in (parts | dict.fromkeys(axle.suspension.rack, RACK)).items():
            asked = bodies[part].point(axle.points[key][side]).reshape(*grid, 3)
            assert np.abs(states.point(key)[:, side] - asked).max() < POSITION_TO
        wheel = bodies[axle.suspension.bodies[0]]
        leaning, pointing = camber_and_toe(wheel.rotation, SIDES[side], axle.camber[side], axle.toe[side])
        assert np.abs(np.degrees(camber(states.spin_axis)[:, side]).ravel() - leaning).max() < ANGLE_TO
        assert np.abs(np.degrees(steer(states.spin_axis)[:, side]).ravel() + SIDES[side] * pointing).max() < ANGLE_TO
        assert np.ptp(pointing) > 10.0


@pytest.mark.parametrize("random", LOCKED, ids=named)
def test_locks_agree(random: RandomAxle) -> None:
    """Just short of where ours locks the engine closes the linkage, at the same place; beyond it nowhere near."""
    axle = random.axle()
    moved = moving(axle, -random.reach, random.reach)
    locks = 0
    for side, way in np.ndindex(2, 2):
        lock, towards = moved.reach[way][side], (-1.0, 1.0)[way]
        if abs(lock) == random.reach:
            continue
        locks += 1
        short = np.full(1, lock - towards * SHORT_OF)
        wheel = _wheel(random, side, short)
        asked = wheel.point(axle.points["wheel_centre"][side])
        # Next to a lock a rounding of the lengths moves the parts by its square root.
        found = moved.at(np.stack([short, short])).wheel_centre[side]
        assert np.abs(found - asked).max() < POSITION_TO
        beyond = _closed(random, side, np.full(1, lock + towards * BEYOND))
        assert beyond is None or np.linalg.norm(beyond.point(axle.points["wheel_centre"][side]) - asked) > ELSEWHERE
    assert locks


def _closed(random: RandomAxle, side: int, height: Array) -> Poses | None:
    """The wheel where the engine closes the linkage; None where it cannot."""
    try:
        return _wheel(random, side, height)
    except RuntimeError as error:
        if "does not close" not in str(error):
            raise
        return None


def _wheel(random: RandomAxle, side: int, height: Array) -> Poses:
    axle = random.axle()
    return random.told(mujoco, axle)[side].solve({TRAVEL: height})[axle.suspension.bodies[0]]
