"""Rigid parts stay rigid over a whole sweep: lengths measured on the moved points, pivots fixed to the body."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from kinematics import Axle, stances
from kinematics.car.suspension_type import CHASSIS, SuspensionType
from kinematics.motion.moving_axle import moving
from solvers.vectors import Array
from tests.properties.plausible_cars import KINDS, ONE_OR_MANY, REPEATABLE, ROLLS, TRAVELS, axles, named

# The solver holds its rows to 2e-10 mm; re-measuring coordinates of up to 1000 mm adds rounding of 1e-12 mm.
HOLDS = 1e-9  # mm


def moved_in_bump(axle: Axle) -> tuple[dict[str, Array], dict[str, Array]]:
    """Every point over a bump sweep in body axes (2, S, 3), and where the body says its own points are.

    One wheel goes up while the other comes down: a live axle is rolled and raised at once.
    """
    states = moving(axle, TRAVELS[0], TRAVELS[-1]).at(np.stack([TRAVELS, 0.5 * TRAVELS[::-1] - 10.0]))
    assert states.reached.all()
    return {key: states.point(key) for key in axle.points}, {key: point[:, None] for key, point in axle.points.items()}


def moved_in_roll(axle: Axle, heave: float) -> tuple[dict[str, Array], dict[str, Array]]:
    """The same over a roll sweep in ground axes."""
    stance = stances(axle, np.full_like(ROLLS, -heave), ROLLS)
    body = Rotation.from_rotvec(ROLLS[:, None] * [1.0, 0.0, 0.0])
    lift = np.array([0.0, 0.0, heave])
    # SciPy's rotations take no arrays that are read-only.
    carried = {key: np.stack([body.apply(np.array(side)) for side in one]) + lift for key, one in axle.points.items()}
    return stance.points, carried


def distance(a: Array, b: Array) -> Array:
    return np.linalg.norm(a - b, axis=-1)


def parts(kind: SuspensionType) -> dict[str, set[str]]:
    """The points that are on each part: those that it carries, and those where it is joined to another."""
    on = {body: {key for key, carrier in kind.carriers.items() if carrier == body} for body in (*kind.bodies, CHASSIS)}
    for hinge in kind.hinges:
        for body in (hinge.part, hinge.on):
            on[body] |= {hinge.first, hinge.second}
    for ball in kind.balls:
        for body in (ball.part, ball.on):
            on[body] |= {ball.at}
    return on


def held(axle: Axle) -> list[tuple[str, int, str, int]]:
    """All pairs of points, each with its side, that stay as far apart as they were measured."""
    kind = axle.suspension
    pairs = [(one, side, other, side) for one, other in kind.all_links for side in (0, 1)]
    if kind.bushed:  # their bushes give: they are looked at together
        pairs = [pair for pair in pairs if (pair[0], pair[2]) not in kind.bushed]
    for body, keys in parts(kind).items():
        if body == CHASSIS:
            continue
        # A part of a corner is one for each side; of a whole axle there is one for both.
        reach = [[0, 1]] if kind.whole_axle else [[0], [1]]
        for sides in reach:
            ends = itertools.product(sorted(keys), sides)
            pairs += [(*one, *other) for one, other in itertools.combinations(ends, 2)]
    return pairs


def assert_rigid(axle: Axle, moved: dict[str, Array], on_body: dict[str, Array]) -> None:
    kind = axle.suspension
    for key in parts(kind)[CHASSIS]:
        assert_allclose(moved[key], np.broadcast_to(on_body[key], moved[key].shape), rtol=0.0, atol=HOLDS)
    for one, side, other, far in held(axle):
        measured = distance(axle.points[one][side], axle.points[other][far])
        length = distance(moved[one][side], moved[other][far])
        assert_allclose(length, measured, rtol=0.0, atol=HOLDS, err_msg=f"{one} {side} to {other} {far}")
    for key in kind.single:
        assert_allclose(moved[key][0], moved[key][1], rtol=0.0, atol=HOLDS, err_msg=key)
    if kind.bushed is not None:
        upper, lower = (stretched(axle, moved, pair) for pair in kind.bushed)
        # As stiff as each other, they leave what is equal and opposite across both pairs: a warp.
        for together in (upper[0] + upper[1], lower[0] + lower[1], upper[0] + lower[0]):
            assert_allclose(together, 0.0, rtol=0.0, atol=HOLDS)
    if kind.strut is not None:
        off = distance_from_strut(axle, moved, on_body[kind.strut.top_mount])
        assert_allclose(off, 0.0, rtol=0.0, atol=HOLDS)


def stretched(axle: Axle, moved: dict[str, Array], pair: tuple[str, str]) -> Array:
    """How much longer links are than as measured (2, S)."""
    one, other = pair
    return distance(moved[one], moved[other]) - distance(axle.points[one], axle.points[other])[:, None]


def distance_from_strut(axle: Axle, moved: dict[str, Array], top: Array) -> Array:
    """Of the top mount from the strut axis, which is drawn in a triangle of the upright's points."""
    strut, toe_link = axle.suspension.strut, axle.suspension.toe_link
    triangle = ("wheel_centre", "lower_ball_joint", toe_link[0])
    measured = frame_of(*(axle.points[key] for key in triangle))
    direction = np.einsum("sji,sj->si", measured, axle.points[strut.top_mount] - axle.points[strut.low])
    now = np.einsum("...ij,...j->...i", frame_of(*(moved[key] for key in triangle)), direction[:, None])
    along = now / np.linalg.norm(now, axis=-1, keepdims=True)
    return np.linalg.norm(np.cross(top - moved[strut.low], along), axis=-1)


def frame_of(a: Array, b: Array, c: Array) -> Array:
    """Unit vectors fixed to a triangle, as columns (..., 3, 3)."""
    first = (b - a) / distance(a, b)[..., None]
    normal = np.cross(b - a, c - a)
    third = normal / np.linalg.norm(normal, axis=-1, keepdims=True)
    return np.stack([first, np.cross(third, first), third], axis=-1)


@pytest.mark.parametrize("kind", KINDS, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_in_bump(kind: SuspensionType, data: st.DataObject) -> None:
    axle = data.draw(axles(kind))
    moved, on_body = moved_in_bump(axle)
    assert_rigid(axle, moved, on_body)
    for rest in kind.height_supports:
        height = np.broadcast_to(on_body[rest.at][..., 2], moved[rest.at].shape[:-1])
        assert_allclose(moved[rest.at][..., 2], height, rtol=0.0, atol=HOLDS)


@pytest.mark.parametrize("kind", KINDS, ids=named)
@REPEATABLE
@given(st.data())
def test_in_roll(kind: SuspensionType, data: st.DataObject) -> None:
    axle, heave = data.draw(axles(kind)), data.draw(st.floats(-30.0, 30.0))
    assert_rigid(axle, *moved_in_roll(axle, heave))


@pytest.mark.parametrize("kind", KINDS, ids=named)
@ONE_OR_MANY
@given(st.data())
def test_travel_is_the_wheel_centres(kind: SuspensionType, data: st.DataObject) -> None:
    """By definition travel is the wheel centre's height over its measured one, in body axes."""
    axle = data.draw(axles(kind))
    moved, _ = moved_in_bump(axle)
    rise = moved["wheel_centre"][..., 2] - axle.points["wheel_centre"][:, None, 2]
    assert_allclose(rise, np.stack([TRAVELS, 0.5 * TRAVELS[::-1] - 10.0]), rtol=0.0, atol=HOLDS)
