"""Plans on every suspension type: parts fit as measured, keep their lengths when changed, and stand on the ground."""

from dataclasses import replace
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kinematics import Axle, sweep_roll
from kinematics.car.suspension_type import CHASSIS, SuspensionType
from kinematics.planning.changes import Change
from kinematics.planning.dismantled import put_together, stacked, take_apart
from solvers.vectors import Array
from tests.plans.garage import assembled, change
from tests.properties.plausible_cars import FEWER, KINDS, LIVE_AXLES, axles, named, typical_axle

PLACES = 1e-9  # mm, rad: poses are held to 2e-10 mm
TYPES = pytest.mark.parametrize("kind", KINDS, ids=named)
HELD_BY_PANHARD = [kind for kind in LIVE_AXLES if "panhard_axle" in kind.keys]


def rear(what: str, **how: object) -> Change:
    return replace(change(what, **how), axle="rear")


def assert_same_axle(actual: Axle, expected: Axle) -> None:
    for key in expected.points:
        assert_allclose(actual.points[key], expected.points[key], rtol=0.0, atol=PLACES, err_msg=key)
    assert_allclose(actual.camber, expected.camber, rtol=0.0, atol=PLACES)
    assert_allclose(actual.toe, expected.toe, rtol=0.0, atol=PLACES)


def distance(points: dict[str, Array], one: tuple[str, int], other: tuple[str, int]) -> float:
    return float(np.linalg.norm(points[one[0]][one[1]] - points[other[0]][other[1]]))


def assert_nothing_stretched(before: Axle, after: Axle, moved: str = "", length: str = "") -> None:
    """All lengths of links and within parts as before but those of a point that was moved, or a link made longer."""
    kind = before.suspension
    for link in kind.all_links:
        if length in link or link in (kind.bushed or ()):
            continue
        for side in (0, 1):
            ends = [(key, side) for key in link]
            assert_allclose(
                distance(after.points, *ends), distance(before.points, *ends), atol=PLACES, err_msg=str(link)
            )
    for body in kind.bodies:
        on = {key for key, carrier in kind.carriers.items() if carrier == body} - {moved}
        for joint in kind.hinges:
            on |= {joint.first, joint.second} - {moved} if body in (joint.part, joint.on) else set()
        for sides in [[0, 1]] if kind.whole_axle else [[0], [1]]:
            for one, other in combinations(product(sorted(on), sides), 2):
                held = distance(before.points, one, other)
                assert_allclose(distance(after.points, one, other), held, atol=PLACES, err_msg=f"{one} {other}")
    for key, carrier in kind.carriers.items():
        if carrier == CHASSIS and key != moved:
            shift = after.points[key] - before.points[key]
            assert_allclose(shift, np.broadcast_to(shift[0], shift.shape), rtol=0.0, atol=PLACES, err_msg=key)
            assert_allclose(shift[..., :2], 0.0, rtol=0.0, atol=PLACES, err_msg=key)
    for key in kind.single:
        assert_allclose(after.points[key][0], after.points[key][1], rtol=0.0, atol=PLACES, err_msg=key)
    assert_allclose(after.contact[..., 2], 0.0, rtol=0.0, atol=PLACES)


@TYPES
@FEWER
@given(st.data())
def test_parts_left_alone_are_the_axle_again(kind: SuspensionType, data: st.DataObject) -> None:
    axle = data.draw(axles(kind))
    done = put_together(take_apart(axle))
    assert done.arrived.all()
    assert_same_axle(done.axle, axle)
    assert_allclose(done.rotation, np.broadcast_to(np.eye(3), (2, 3, 3)), rtol=0.0, atol=PLACES)


@TYPES
@FEWER
@given(st.data(), st.floats(-25.0, 25.0))
def test_a_ride_height_is_a_heave(kind: SuspensionType, data: st.DataObject, by: float) -> None:
    """Setting the car higher or lower and leaving it alone is the same as lifting or pressing it by as much."""
    axle = data.draw(axles(kind))
    done = assembled(axle, rear("ride height", by=by))
    assert done.arrived.all()
    assert_nothing_stretched(axle, done.axle)
    set_to, pressed = sweep_roll(done.axle, np.zeros(1)), sweep_roll(axle, np.zeros(1), heave=by)
    for key in (
        "camber",
        "toe",
        "wheel_centre_x",
        "wheel_centre_y",
        "wheel_centre_z",
        "contact_y",
        "jacking_coefficient",
    ):
        assert_allclose(set_to[key], pressed[key], rtol=1e-8, atol=PLACES, err_msg=key)
    for key in ("anti_squat", "anti_lift", "anti_dive", "roll_steer", "roll_centre_height"):
        if key in set_to.values:
            assert_allclose(set_to[key], pressed[key], rtol=1e-7, atol=1e-8, err_msg=key)


@TYPES
@FEWER
@given(st.data())
def test_a_moved_point_moves_nothing_else_in_its_part(kind: SuspensionType, data: st.DataObject) -> None:
    """The point has its new place in the part that carries it, and putting it back gives the old car."""
    axle = data.draw(axles(kind))
    # The hinge's own points, bolted there, would turn its axis in one part only; the wheel's place is the spacer's.
    hinged = {key for joint in kind.hinges for key in (joint.first, joint.second)}
    for key in sorted(set(kind.keys) - hinged - {"wheel_centre"} - {ball.at for ball in kind.balls})[:4]:
        there = rear("point", point=key, shift=(1.5, -2.0, 3.0))
        back = replace(there, shift=(-1.5, 2.0, -3.0))
        done = assembled(axle, there)
        assert done.arrived.all(), key
        on_strut = kind.strut is not None and key in (kind.strut.low, kind.strut.top_mount)
        assert_nothing_stretched(axle, done.axle, moved=key)
        carrier = kind.carriers[key]
        if carrier == CHASSIS:
            out = [2.0, 2.0] if key in kind.single else [-2.0, 2.0]
            expected = [[1.5, -2.0 if key in kind.single or side == 0 else out[1], 3.0] for side in (0, 1)]
            assert_allclose(done.axle.points[key] - axle.points[key], expected, rtol=0.0, atol=PLACES, err_msg=key)
        if not on_strut:
            assert max(np.abs(done.axle.points[one] - axle.points[one]).max() for one in axle.points) > 1.0
        assert_same_axle(assembled(axle, there, back).axle, axle)


@pytest.mark.parametrize("by", [-6.0, 9.0])
@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind.links], ids=named)
def test_a_longer_link_is_that_much_longer(kind: SuspensionType, by: float) -> None:
    axle = typical_axle(kind)
    for link in kind.links:
        if link in (kind.bushed or ()) or kind.listed:
            continue
        longer = rear("link length", point=link[1], by=by)
        done = assembled(axle, longer)
        assert done.arrived.all()
        assert_nothing_stretched(axle, done.axle, length=link[1])
        for side in (0, 1):
            ends = [(key, side) for key in link]
            grown = distance(done.axle.points, *ends) - distance(axle.points, *ends)
            assert grown == pytest.approx(by, abs=PLACES)
        assert_same_axle(assembled(axle, longer, replace(longer, by=-by)).axle, axle)


@pytest.mark.parametrize("kind", HELD_BY_PANHARD, ids=named)
def test_a_longer_panhard_rod_moves_the_axle_sideways(kind: SuspensionType) -> None:
    """By hand: a rod from the body on the right to the axle on the left pushes its end there left by what it grows.

    It lies 1070 mm across and 15 mm down, 1e-4 off level, and its other end stays. The wheels follow but for the
    axle's turn in plan view, for the links along the car converge: they are 130 mm ahead of the rod.
    """
    axle, by = typical_axle(kind), 8.0
    after = assembled(axle, rear("link length", point="panhard_chassis", by=by)).axle
    shift = after.points["wheel_centre"] - axle.points["wheel_centre"]
    end = after.points["panhard_axle"][0] - axle.points["panhard_axle"][0]
    assert end[1] == pytest.approx(by, abs=0.002)
    turn = (shift[1, 0] - shift[0, 0]) / 1430.0
    assert abs(turn) < 0.002
    assert_allclose(shift[:, 1], by + 130.0 * turn, rtol=0.0, atol=0.005)
    assert_allclose(shift[:, 2], 0.0, rtol=0.0, atol=1e-9)  # upright wheels stand on their radius


@pytest.mark.parametrize("kind", LIVE_AXLES, ids=named)
def test_one_wheels_smaller_tyre_tilts_the_axle(kind: SuspensionType) -> None:
    """Body level and lower by half; the beam leans by the difference of the radii over the track."""
    axle = typical_axle(kind)
    after = assembled(axle, replace(rear("tyre radius", by=-4.0), sides=(1.0, 0.0))).axle
    left, right = after.points["wheel_centre"]
    track = np.linalg.norm(axle.points["wheel_centre"][0] - axle.points["wheel_centre"][1])
    lean = np.arcsin((right[2] - left[2]) / track)
    # Wheels stay square to the beam, whose left end is the lower: the left wheel's top leans out, the right's in.
    # Both lean by the same: cos(lean) takes 1e-5 of the radii off, that is 3e-5 mm of 4 on average nothing.
    assert lean == pytest.approx(4.0 / track, rel=1e-4)
    assert_allclose(after.camber, [lean, -lean], rtol=0.0, atol=1e-5)
    assert_nothing_stretched(axle, after)


@TYPES
def test_variants_are_put_together_side_by_side(kind: SuspensionType) -> None:
    axle = typical_axle(kind)
    parts = [
        take_apart(axle),
        replace(take_apart(axle), heave=np.asarray(-12.0)),
        take_apart(axle).with_point("wheel_centre", np.array([[0.0, 5.0, 0.0], [0.0, -5.0, 0.0]])),
    ]
    together = put_together(stacked(parts)).axle
    for index, one in enumerate(parts):
        alone = put_together(one).axle
        assert_same_axle(together.variant(index), alone)
