"""Quaternions against SciPy's Rotation, which shares the convention (scalar last) and none of the code."""

import numpy as np
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from solvers.rotations import IDENTITY, compose, from_turn, matrix, normalised, rotate
from solvers.vectors import cross, dot, length, two_normals, unit

RNG = np.random.default_rng(11)
TURNS = RNG.uniform(-2.0, 2.0, (40, 3))
FEW_ULP = 1e-15


def quaternions(turns):
    return Rotation.from_rotvec(turns).as_quat().T


def same_rotation(one, other):
    """Quaternions (4, N) that are alike but for the sign, which means nothing."""
    assert_allclose(np.abs((one * other).sum(axis=0)), 1.0, rtol=0.0, atol=FEW_ULP)


def test_from_turn() -> None:
    same_rotation(from_turn(TURNS.T), quaternions(TURNS))
    assert (from_turn(np.zeros((3, 1)))[:, 0] == IDENTITY).all()
    # A turn too small for its square to count is its own half, to the last digits.
    tiny = from_turn(np.array([[2e-12], [0.0], [-4e-12]]))
    assert_allclose(tiny[:3, 0], [1e-12, 0.0, -2e-12], rtol=1e-15)


def test_compose_applies_its_second_argument_first() -> None:
    first, second = TURNS[:20], TURNS[20:]
    expected = (Rotation.from_rotvec(second) * Rotation.from_rotvec(first)).as_quat().T
    same_rotation(compose(quaternions(second), quaternions(first)), expected)


def test_matrix_and_rotate() -> None:
    rotation = Rotation.from_rotvec(TURNS)
    matrices = matrix(quaternions(TURNS))
    assert_allclose(np.moveaxis(matrices, -1, 0), rotation.as_matrix(), rtol=0.0, atol=2.0 * FEW_ULP)
    points = RNG.uniform(-500.0, 500.0, (40, 3))
    assert_allclose(rotate(matrices, points.T).T, rotation.apply(points), rtol=0.0, atol=1e-12)


def test_normalised() -> None:
    quaternion = quaternions(TURNS)
    assert_allclose(normalised(3.7 * quaternion), quaternion, rtol=0.0, atol=FEW_ULP)


def test_vector_algebra() -> None:
    a, b = RNG.uniform(-1.0, 1.0, (2, 6, 5, 3))
    assert_allclose(cross(a, b), np.cross(a, b), rtol=0.0, atol=FEW_ULP)
    assert_allclose(dot(a, b), np.einsum("...i,...i->...", a, b), rtol=0.0, atol=FEW_ULP)
    assert_allclose(length(a), np.linalg.norm(a, axis=-1), rtol=FEW_ULP)
    assert_allclose(np.linalg.norm(unit(a), axis=-1), 1.0, rtol=FEW_ULP)


def test_two_normals_and_their_direction_are_square() -> None:
    directions = np.concatenate([np.eye(3), -np.eye(3), unit(TURNS)])
    first, second = two_normals(directions)
    frame = np.stack([directions, first, second], axis=-2)
    assert_allclose(
        frame @ frame.swapaxes(-1, -2), np.broadcast_to(np.eye(3), frame.shape), rtol=0.0, atol=2.0 * FEW_ULP
    )
