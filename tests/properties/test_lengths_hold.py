"""Rigid parts stay rigid over a whole sweep: lengths measured on the moved points, pivots fixed to the body."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from kinematics import Axle, stances
from kinematics.corners import trace_corners
from kinematics.suspension import SuspensionType
from solvers.vectors import Array
from tests.properties.plausible_cars import KIND_NAMES, KINDS, REPEATABLE, ROLLS, TRAVELS, axles

# The solver holds its rows to 2e-10 mm; re-measuring coordinates of up to 1000 mm adds rounding of 1e-12 mm.
HOLDS = 1e-9  # mm


def moved_in_bump(axle: Axle) -> tuple[dict[str, Array], dict[str, Array]]:
    """Every point over a bump sweep in body axes (2, S, 3), and where the body says its own points are."""
    states = trace_corners(axle, TRAVELS[0], TRAVELS[-1]).at(np.stack([TRAVELS, TRAVELS[::-1]]))
    assert states.reached.all()
    return {key: states.point(key) for key in axle.points}, {key: point[:, None] for key, point in axle.points.items()}


def moved_in_roll(axle: Axle, heave: float) -> tuple[dict[str, Array], dict[str, Array]]:
    """The same over a roll sweep in ground axes."""
    stance = stances(axle, np.full_like(ROLLS, -heave), ROLLS)
    body = Rotation.from_rotvec(ROLLS[:, None] * [1.0, 0.0, 0.0])
    lift = np.array([0.0, 0.0, heave])
    carried = {key: np.stack([body.apply(side) for side in point]) + lift for key, point in axle.points.items()}
    return stance.points, carried


def distance(a: Array, b: Array) -> Array:
    return np.linalg.norm(a - b, axis=-1)


def assert_rigid(axle: Axle, moved: dict[str, Array], on_body: dict[str, Array]) -> None:
    kind = axle.suspension
    for key in set(kind.keys) - kind.on_upright:
        assert_allclose(moved[key], np.broadcast_to(on_body[key], moved[key].shape), rtol=0.0, atol=HOLDS)
    inside_upright = itertools.combinations(sorted(kind.on_upright), 2)
    for one, other in (*kind.all_links, *inside_upright):
        there = on_body if other not in kind.on_upright else moved
        measured = distance(axle.points[one], axle.points[other])[:, None]
        length = distance(moved[one], there[other])
        assert_allclose(length, np.broadcast_to(measured, length.shape), rtol=0.0, atol=HOLDS, err_msg=f"{one} {other}")
    if kind.strut is not None:
        off = distance_from_strut(axle, moved, on_body[kind.strut.top_mount])
        assert_allclose(off, 0.0, rtol=0.0, atol=HOLDS)


def distance_from_strut(axle: Axle, moved: dict[str, Array], top: Array) -> Array:
    """Of the top mount from the strut axis, which is drawn in a triangle of the upright's points."""
    strut = axle.suspension.strut
    triangle = ("wheel_centre", "lower_ball_joint", "tie_rod_outer")
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


@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
@REPEATABLE
@given(st.data())
def test_in_bump(kind: SuspensionType, data: st.DataObject) -> None:
    axle = data.draw(axles(kind))
    assert_rigid(axle, *moved_in_bump(axle))


@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
@REPEATABLE
@given(st.data())
def test_in_roll(kind: SuspensionType, data: st.DataObject) -> None:
    axle, heave = data.draw(axles(kind)), data.draw(st.floats(-30.0, 30.0))
    assert_rigid(axle, *moved_in_roll(axle, heave))


@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
@REPEATABLE
@given(st.data())
def test_travel_is_the_wheel_centres(kind: SuspensionType, data: st.DataObject) -> None:
    """By definition travel is the wheel centre's height over its measured one, in body axes."""
    axle = data.draw(axles(kind))
    moved, _ = moved_in_bump(axle)
    rise = moved["wheel_centre"][..., 2] - axle.points["wheel_centre"][:, None, 2]
    assert_allclose(rise, np.stack([TRAVELS, TRAVELS[::-1]]), rtol=0.0, atol=HOLDS)
