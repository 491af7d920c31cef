"""Anti-dive, anti-lift and anti-squat a second way: forces in links and joints in equilibrium, no motion at all.

Each part that carries a wheel is a free body: its links push and pull along themselves, a strut's top mount presses
square to the strut, a ball holds three ways, a hinge five. A unit force forwards where the longitudinal force acts
needs a certain vertical force at the same place to be in balance without any spring: that is what the linkage
carries of the load. Its part of the load transfer is by definition that over height over wheelbase (formula;
W. F. Milliken and D. L. Milliken, Race Car Vehicle Dynamics, ch. 17, from memory, has the same in side view).
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kinematics import Axle
from kinematics.car.fittings import Fittings
from kinematics.car.suspension_type import CHASSIS, SuspensionType
from kinematics.motion.ground import Attitude
from kinematics.motion.moving_axle import moving
from kinematics.numbers.registry import QUANTITIES
from kinematics.numbers.stance import Stance
from solvers.vectors import Array
from tests.properties.plausible_cars import BODY, INDEPENDENT, LIVE_AXLES, ONE_OR_MANY, axles, named, typical_axle

AHEAD, UP = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
TRAVELS = np.array([-35.0, 0.0, 20.0, 50.0])
# Six equations of lengths around 300 mm, solved to rounding for positions held to 2e-10 mm; slopes of 0.1 or so.
SLOPES = 1e-10

ONE_PART = [kind for kind in INDEPENDENT if len(kind.bodies) == 1]
ONE_BEAM = [kind for kind in LIVE_AXLES if len(kind.bodies) == 1 and kind.bushed is None]


def wrench(force: Array, at: Array) -> Array:
    """Force and moment about the origin of a force at a place (6,)."""
    return np.concatenate([force, np.cross(at, force)])


def joint_wrenches(kind: SuspensionType, points: dict[str, Array]) -> list[Array]:
    """Unit forces and moments that the chassis can put on a wheel's part, one for each freedom it takes."""
    wrenches = [wrench(points[one] - points[other], points[one]) for one, other in kind.all_links]
    wrenches += [wrench(axis, points[ball.at]) for ball in kind.balls for axis in np.eye(3)]
    wrenches += [wrench(UP, points[rest.at]) for rest in kind.height_supports]
    for hinge in kind.hinges:
        assert {hinge.part, hinge.on} == {kind.bodies[0], CHASSIS}
        first, second = points[hinge.first], points[hinge.second]
        wrenches += [wrench(axis, first) for axis in np.eye(3)]
        wrenches += [wrench(axis, second) for axis in square_to(second - first)]
    if kind.strut is not None:
        top = points[kind.strut.top_mount]
        wrenches += [wrench(axis, top) for axis in square_to(top - points[kind.strut.low])]
    return wrenches


def square_to(direction: Array) -> Array:
    """Two unit vectors square to a direction and to each other (2, 3)."""
    return np.linalg.svd(direction[None])[2][1:]


def carried(wrenches: list[Array], at: list[Array]) -> Array:
    """Vertical force at each place for a unit force forwards at every one of them, in balance with the joints."""
    unknown = [*wrenches, *(wrench(UP, place) for place in at)]
    driven = np.sum([wrench(AHEAD, place) for place in at], axis=0)
    columns = np.array(unknown).T
    assert columns.shape == (6, 6)
    sizes = np.linalg.norm(columns, axis=0)
    found = np.linalg.solve(columns / sizes, -driven) / sizes
    return np.asarray(found[-len(at) :])


def standing(axle: Axle, travel: Array) -> Stance:
    """Both wheels moved together under a level body."""
    states = moving(axle, -60.0, 60.0).at(np.array([travel, travel]))
    assert states.reached.all()
    return Stance(states, Attitude(np.zeros_like(travel), np.zeros_like(travel)))


def anti(stance: Stance, carried_per_force: Array, share: float) -> Array:
    """Part of the load transfer, from the vertical force per force forwards."""
    part, hubs = BODY.unsprung  # of the whole car's mass, which stays where it is as the body rises
    height = (1.0 - part) * (BODY.centre_of_gravity + stance.attitude.heave) + part * hubs
    return np.asarray(share * carried_per_force * BODY.wheelbase / height)


def braking_and_driving(axle: Axle) -> dict[str, tuple[float, bool]]:
    """Each number of the axle: share of the force, signed by its direction, and whether it acts at the wheel centre.

    A braking force points rearwards. On the rear axle the load is taken off in braking and put on in driving.
    """
    inboard, live = axle.fittings.inboard_brakes, axle.suspension.whole_axle
    if axle.name == "front":
        # Braking presses the nose down: the linkage holds it up with what a rearward force carries.
        return {"anti_dive": (-BODY.front_brakes, inboard), "anti_lift_in_drive": (-BODY.front_drive, not live)}
    return {"anti_lift": (1.0 - BODY.front_brakes, inboard), "anti_squat": (1.0 - BODY.front_drive, not live)}


@pytest.mark.parametrize("kind", ONE_PART, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_corners_in_balance(kind: SuspensionType, data: st.DataObject) -> None:
    axle = data.draw(axles(kind))
    stance = standing(axle, TRAVELS)
    for key, (share, at_centre) in braking_and_driving(axle).items():
        read = QUANTITIES[key].read(stance)
        place = stance.wheel_centre if at_centre else stance.contact
        for side in (0, 1):
            for state in range(len(TRAVELS)):
                points = {
                    name: np.broadcast_to(point, (2, len(TRAVELS), 3))[side, state]
                    for name, point in stance.states.points.items()
                }
                force = carried(
                    joint_wrenches(kind, with_strut(axle, stance, points, side, state)), [place[side, state]]
                )
                assert_allclose(read[side, state], anti(stance, force, share)[..., state], rtol=0.0, atol=5.0 * SLOPES)


def with_strut(axle: Axle, stance: Stance, points: dict[str, Array], side: int, state: int) -> dict[str, Array]:
    """The points with the strut's low one moved along the strut to where its axis, as measured, says it is."""
    strut = axle.suspension.strut
    if strut is None:
        return points
    direction = axle.points[strut.top_mount][side] - axle.points[strut.low][side]
    along = stance.states.rotation[side, state] @ direction
    return {**points, strut.low: points[strut.top_mount] - along}


@pytest.mark.parametrize("kind", ONE_BEAM, ids=named)
@pytest.mark.parametrize("inboard", [False, True])
def test_symmetric_beams_in_balance(kind: SuspensionType, inboard: bool) -> None:
    """As measured, with all that lies across the car level and what is single in the middle: both sides carry alike."""
    axle = typical_axle(kind)
    points = {}
    for key, point in axle.points.items():
        middle = point * [1.0, 0.0, 1.0]
        across = "panhard" in key
        points[key] = point.copy() if across or key not in kind.single else middle
        if across:
            points[key][:, 2] = 290.0
    axle = replace(axle, points=points, fittings=Fittings(inboard_brakes=inboard))
    stance = standing(axle, np.zeros(1))
    sides = {key: [point[side, 0] for side in (0, 1)] for key, point in stance.points.items()}
    wrenches = beam_wrenches(kind, sides)
    for key, (share, at_centre) in braking_and_driving(axle).items():
        read = QUANTITIES[key].read(stance)[:, 0]
        place = (stance.wheel_centre if at_centre else stance.contact)[:, 0]
        force = carried(wrenches, list(place))
        assert np.abs(read).min() > 0.01
        assert_allclose(read, anti(stance, force, share), rtol=0.0, atol=5.0 * SLOPES, err_msg=key)


def beam_wrenches(kind: SuspensionType, sides: dict[str, list[Array]]) -> list[Array]:
    """Of the joints of a whole axle: once for each side, or once where a point is single."""
    wrenches = []
    for side in (0, 1):
        here = {key: place[side] for key, place in sides.items()}
        for one, other in kind.all_links:
            if side == 0 or not {one, other} <= kind.single:
                wrenches.append(wrench(here[one] - here[other], here[one]))
        rests = [rest.at for rest in kind.height_supports if side == 0 or rest.at not in kind.single]
        wrenches += [wrench(UP, here[at]) for at in rests]
    return wrenches
