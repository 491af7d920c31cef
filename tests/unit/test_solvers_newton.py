"""Newton over a batch against SciPy's root finder, one position at a time."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from kinematics.car.suspension_type import SuspensionType
from kinematics.motion.linkage import axle_linkage
from solvers.equations import Equations, equations, start_pose
from solvers.newton import TOLERANCE, moved, newton
from solvers.reference import _turn_rates, solve_by_scipy
from tests.properties.plausible_cars import APART, INDEPENDENT, named, typical_axle

Array = NDArray[np.float64]
CORNERS = 24


def corners(kind: SuspensionType) -> tuple[Equations, Array, Array]:
    """Rows and measured poses of 24 different corners, flattened."""
    rng = np.random.default_rng(12)
    axle = typical_axle(kind)
    points = {key: point + rng.uniform(-APART, APART, (CORNERS // 2, 2, 3)) for key, point in axle.points.items()}
    mechanism = axle_linkage(replace(axle, points=points))
    position, quaternion = (part.reshape(*part.shape[:2], -1) for part in start_pose(mechanism, (CORNERS // 2, 2)))
    return equations(mechanism).flattened((CORNERS // 2, 2)), position, quaternion


@pytest.mark.parametrize("kind", INDEPENDENT, ids=named)
def test_newton_and_scipy_find_the_same(kind: SuspensionType) -> None:
    rows, position, quaternion = corners(kind)
    travel = np.random.default_rng(2).uniform(-60.0, 60.0, (1, CORNERS))

    found = newton(rows, position, quaternion, travel)

    assert found.converged.all()
    assert (found.error < TOLERANCE).all()
    residual, jacobian = rows.evaluate(found.position, found.quaternion, travel)
    assert np.abs(residual).max() < TOLERANCE
    assert_allclose(found.jacobian, jacobian, rtol=0.0, atol=1e-12)
    assert_allclose(np.linalg.norm(found.quaternion, axis=1), 1.0, rtol=0.0, atol=1e-14)
    for i in range(CORNERS):
        here = slice(i, i + 1)
        alone = solve_by_scipy(rows.take(np.array([i])), position[..., here], quaternion[..., here], travel[:, here])
        assert alone.converged.all()
        # Both hold every length to 1e-11 mm; a pose is some ten times less sharp than its lengths.
        assert_allclose(found.position[..., here], alone.position, rtol=0.0, atol=1e-9)
        assert_allclose(found.quaternion[..., here], alone.quaternion, rtol=0.0, atol=1e-12)


@pytest.mark.parametrize("kind", INDEPENDENT, ids=named)
def test_error_is_squared_with_every_iteration(kind: SuspensionType) -> None:
    """What an exact Jacobian is for: errors of 1 mm, 1e-2, 1e-6 and done; with a faulty column it would be a factor."""
    rows, position, quaternion = corners(kind)
    travel = np.full((1, CORNERS), 20.0)
    errors = [newton(rows, position, quaternion, travel, most_iterations=count).error.max() for count in range(1, 5)]
    before, after = np.array(errors[:-1]), np.array(errors[1:])
    # A link of 300 mm turned off by e is too long by e**2 / 600 or so; shorter levers in between make it more.
    assert (after < before**2 / 20.0 + TOLERANCE).all()
    assert errors[-1] < TOLERANCE


def test_out_of_reach_is_marked_and_leaves_the_others_alone() -> None:
    rows, position, quaternion = corners(INDEPENDENT[0])
    travel = np.zeros((1, CORNERS))
    travel[0] = np.linspace(-30.0, 30.0, CORNERS)
    alone = newton(rows, position, quaternion, travel)
    travel[0, [3, 17]] = 5000.0

    found = newton(rows, position, quaternion, travel)

    lost = np.isin(np.arange(CORNERS), [3, 17])
    assert (found.converged == ~lost).all()
    assert_allclose(found.position[..., ~lost], alone.position[..., ~lost], rtol=0.0, atol=1e-11)
    assert np.isfinite(found.position).all()


def test_converged_positions_stay_where_they_are() -> None:
    rows, position, quaternion = corners(INDEPENDENT[0])
    travel = np.zeros((1, CORNERS))
    travel[0, 1::2] = 25.0
    found = newton(rows, position, quaternion, travel)
    assert found.iterations > 1
    assert (found.position[..., ::2] == position[..., ::2]).all()
    assert (found.quaternion[..., ::2] == quaternion[..., ::2]).all()


def test_singular_position_stays() -> None:
    """One corner with two links alike: it has no step, so it stays, unconverged, and the others are solved."""
    rows, position, quaternion = corners(INDEPENDENT[0])
    travel = np.full((1, CORNERS), 10.0)
    alone = newton(rows, position, quaternion, travel)
    links, lost = rows.groups[0], np.arange(CORNERS) == 5
    doubled = replace(links, on_body=links.on_body.copy(), on_other=links.on_other.copy())
    doubled.on_body[:, 1, lost], doubled.on_other[:, 1, lost] = links.on_body[:, 0, lost], links.on_other[:, 0, lost]

    found = newton(replace(rows, groups=(doubled, *rows.groups[1:])), position, quaternion, travel)

    assert (found.converged == ~lost).all()
    assert (found.position[..., lost] == position[..., lost]).all()
    assert_allclose(found.position[..., ~lost], alone.position[..., ~lost], rtol=0.0, atol=1e-11)


@pytest.mark.parametrize("kind", INDEPENDENT, ids=named)
def test_scipy_comes_home_from_far_off(kind: SuspensionType) -> None:
    """Poses 30 mm and 10 degrees off in any direction: SciPy's trust region must not stall, and find the car again."""
    rows, position, quaternion = corners(kind)
    rng = np.random.default_rng(8)
    for i in range(CORNERS):
        here = slice(i, i + 1)
        off = position[..., here] + rng.uniform(-30.0, 30.0, (1, 3, 1))
        turned = quaternion[..., here] + np.append(rng.uniform(-0.08, 0.08, 3), 0.0)[None, :, None]
        turned /= np.linalg.norm(turned, axis=1, keepdims=True)
        found = solve_by_scipy(rows.take(np.array([i])), off, turned, np.zeros((1, 1)))
        assert found.converged.all()
        assert_allclose(found.position, position[..., here], rtol=0.0, atol=1e-9)


@pytest.mark.parametrize("angle", [1e-9, 5e-5, 2e-4, 0.3, 2.5])
def test_turn_rates_of_a_rotation_vector(angle: float) -> None:
    """How far the turned body turns on, in space, per change of its rotation vector: by SciPy's rotations.

    Central differences over 1e-3 rad miss 2e-7 of a third derivative of order one, and carry rounding of 1e-13.
    """
    vector = angle * np.array([0.48, -0.6, 0.64])
    rates = _turn_rates(vector)
    for column, change in enumerate(1e-3 * np.eye(3)):
        before, after = Rotation.from_rotvec(vector - change), Rotation.from_rotvec(vector + change)
        assert_allclose(rates[:, column], (after * before.inv()).as_rotvec() / 2e-3, rtol=0.0, atol=1e-6)


@pytest.mark.parametrize(("turn", "whole"), [(0.01, True), (3.0, False)])
def test_a_long_step_is_shortened_in_all_its_parts(turn: float, whole: bool) -> None:
    """Half of a turn stands for the tangent of half its angle; what is left of it is left of the way too (formula)."""
    step = np.array([10.0, 0.0, 0.0, 0.0, 0.0, turn])[:, None]
    position, quaternion = moved(np.zeros((1, 3, 1)), np.array([0.0, 0.0, 0.0, 1.0]).reshape(1, 4, 1), step)
    of_way = position[0, 0, 0] / 10.0
    of_turn = 2.0 * quaternion[0, 2, 0] / quaternion[0, 3, 0] / turn
    assert of_turn == pytest.approx(of_way, rel=1e-12)
    assert of_way == pytest.approx(1.0, rel=1e-12) if whole else of_way < 0.9
