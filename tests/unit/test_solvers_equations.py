"""Rows and their Jacobian, on two moving bodies with every kind of joint, far from where they were measured."""

from dataclasses import dataclass

import numpy as np
import pytest
from numpy.testing import assert_allclose
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from solvers.equations import Equations, equations
from solvers.mechanism import FIXED, Links, Mechanism, Planes, Pose, held_along, hinge, slide
from solvers.vectors import unit

A, B = 0, 1
COUNT = 7  # poses

# Eighth order central differences (B. Fornberg, Math. Comp. 51 (1988), table 1; from memory).
WEIGHTS = {1: 4 / 5, 2: -1 / 5, 3: 4 / 105, 4: -1 / 280}
# Steps of 1 mm and of 0.01 rad against lengths of 30 mm and more: the formula misses about (1/30)**8 * 576 < 1e-9
# for translations and less for turns; rounding is 1e-13 mm over a step of 0.01.
MOVE, TURN = 1.0, 0.01
JACOBIAN = 1e-9


def joined(rng: np.random.Generator) -> Mechanism:
    """Two bodies, measured in any orientation: links, planes, hinge and slide among them and to the ground.

    The rows are written for a common measured pose, so that all residuals are zero there.
    """
    start = Pose(rng.uniform(-300.0, 300.0, (2, 3)), Rotation.random(2, random_state=5).as_quat())
    rotation = [Rotation.from_quat(quaternion) for quaternion in start.quaternion]

    def points(count: int) -> NDArray[np.float64]:
        return rng.uniform(-250.0, 250.0, (count, 3))

    def inside(body: int, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Points of space in a body's own coordinates."""
        return points if body == FIXED else rotation[body].inv().apply(points - start.position[body])

    def links(body: int, other: int, count: int, name: str) -> Links:
        one, two = points(count), points(count)
        names = tuple(f"{name} {i}" for i in range(count))
        return Links(body, inside(body, one), other, inside(other, two), np.linalg.norm(one - two, axis=-1), names)

    def plane(body: int, other: int, name: str) -> Planes:
        on_body, on_other, normal = points(1), points(1), unit(points(1))
        offset = ((on_body - on_other) * normal).sum(axis=-1)
        turned = normal if other == FIXED else rotation[other].inv().apply(normal)
        return Planes(body, inside(body, on_body), other, inside(other, on_other), turned, offset, (name,))

    axis_at, axis = points(1)[0], np.array([20.0, 150.0, -60.0])
    hinged = hinge(
        B,
        inside(B, axis_at),
        rotation[B].inv().apply(axis),
        A,
        inside(A, axis_at),
        rotation[A].inv().apply(axis),
        "pin",
    )
    through, along = points(1)[0], unit(points(1))[0]
    sliding = slide(A, inside(A, through + 70.0 * along), rotation[A].inv().apply(along), B, inside(B, through), "rod")
    return Mechanism(
        bodies=("a", "b"),
        start=start,
        links=(links(A, FIXED, 1, "a to ground"), links(A, B, 1, "a to b")),
        planes=(hinged, sliding, plane(FIXED, B, "ground on a plane of b")),
        drivers=(links(B, A, 1, "length from b to a"), held_along(B, points(1)[0], unit(points(1))[0], "height of b")),
    )


MECHANISM = joined(np.random.default_rng(3))
POSITION = np.random.default_rng(4).uniform(-400.0, 400.0, (2, 3, COUNT))
ROTATION = [Rotation.random(COUNT, random_state=seed) for seed in (6, 7)]
QUATERNION = np.stack([rotation.as_quat().T for rotation in ROTATION])
DRIVEN = np.stack([np.linspace(-30.0, 30.0, COUNT), np.linspace(4.0, -8.0, COUNT)])
DRIVERS = slice(-2, None)


@dataclass(frozen=True)
class Space:
    """Bodies somewhere else than measured, moved by SciPy."""

    position: NDArray[np.float64]
    rotation: list[Rotation]

    def point(self, body: int, own: NDArray[np.float64]) -> NDArray[np.float64]:
        """A body's point (3,) at every pose (COUNT, 3)."""
        return np.broadcast_to(own, (COUNT, 3)) if body == FIXED else self.vector(body, own) + self.position[body].T

    def vector(self, body: int, own: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.broadcast_to(own, (COUNT, 3)) if body == FIXED else self.rotation[body].apply(own)


def residuals_by_hand(space: Space) -> NDArray[np.float64]:
    rows = []
    for group in MECHANISM.groups:
        for i in range(len(group.names)):
            between = space.point(group.body, group.on_body[i]) - space.point(group.other, group.on_other[i])
            if isinstance(group, Links):
                rows.append(np.linalg.norm(between, axis=-1) - group.length[i])
            else:
                rows.append((between * space.vector(group.other, group.normal[i])).sum(axis=-1) - group.offset[i])
    return np.stack(rows)


def test_rows_are_zero_where_measured() -> None:
    rows = equations(MECHANISM)
    start = MECHANISM.start
    residual, _ = rows.evaluate(start.position, start.quaternion, np.zeros(2))
    assert_allclose(residual, 0.0, rtol=0.0, atol=1e-12)


def test_rows_are_the_lengths_they_stand_for() -> None:
    residual, _ = equations(MECHANISM).flattened((COUNT,)).evaluate(POSITION, QUATERNION, DRIVEN)
    by_hand = residuals_by_hand(Space(POSITION, ROTATION))
    # Drivers' rows are counted from the start, wherever their planes were laid.
    at_start = Space(
        MECHANISM.start.position[..., None] + np.zeros(COUNT),
        [Rotation.from_quat(np.tile(quaternion, (COUNT, 1))) for quaternion in MECHANISM.start.quaternion],
    )
    by_hand[DRIVERS] -= residuals_by_hand(at_start)[DRIVERS] + DRIVEN
    assert_allclose(residual, by_hand, rtol=0.0, atol=1e-11)


def differences(rows: Equations, body: int, column: int) -> NDArray[np.float64]:
    """Change of all residuals with one small motion of one body (rows, COUNT)."""
    step = MOVE if column < 3 else TURN
    along = np.eye(3)[column % 3]
    total = np.zeros((rows.rows, COUNT))
    for steps, weight in WEIGHTS.items():
        for way in (1, -1):
            position, quaternion = POSITION.copy(), QUATERNION.copy()
            if column < 3:
                position[body] += (way * steps * step * along)[:, None]
            else:
                # A small turn in space, applied after the present orientation.
                turned = Rotation.from_rotvec(way * steps * step * along) * ROTATION[body]
                quaternion[body] = turned.as_quat().T
            total += way * weight / step * rows.evaluate(position, quaternion, DRIVEN)[0]
    return total


@pytest.mark.parametrize("body", [A, B])
@pytest.mark.parametrize("column", range(6))
def test_jacobian_is_the_change_of_the_rows(body: int, column: int) -> None:
    rows = equations(MECHANISM).flattened((COUNT,))
    _, jacobian = rows.evaluate(POSITION, QUATERNION, DRIVEN)
    # Turning moves the points by their arm, so those columns are some hundreds of mm per rad.
    size = 1.0 if column < 3 else 300.0
    assert_allclose(jacobian[:, 6 * body + column], differences(rows, body, column), rtol=0.0, atol=JACOBIAN * size)


def test_some_poses_of_a_batch_are_those_poses() -> None:
    """Rows with parameters of their own at every pose, then at three chosen ones."""
    rng = np.random.default_rng(9)
    links = MECHANISM.links[0]
    many = Links(
        links.body,
        links.on_body + rng.uniform(-5.0, 5.0, (COUNT, 1, 3)),
        links.other,
        links.on_other + rng.uniform(-5.0, 5.0, (COUNT, 1, 3)),
        links.length + rng.uniform(-5.0, 5.0, (COUNT, 1)),
        links.names,
    )
    batch = Mechanism(
        MECHANISM.bodies, MECHANISM.start, (many, *MECHANISM.links[1:]), MECHANISM.planes, MECHANISM.drivers
    )
    rows = equations(batch).flattened((COUNT,))
    residual, jacobian = rows.evaluate(POSITION, QUATERNION, DRIVEN)
    chosen = np.array([5, 0, 2])
    for index in (chosen, np.isin(np.arange(COUNT), chosen)):
        some, some_jacobian = rows.take(index).evaluate(
            POSITION[..., index], QUATERNION[..., index], DRIVEN[..., index]
        )
        # A product of matrices is summed in another order where there are fewer poses: the last place may differ.
        assert_allclose(some, residual[..., index], rtol=1e-15, atol=1e-13)
        assert_allclose(some_jacobian, jacobian[..., index], rtol=1e-15, atol=1e-13)
    alone = Mechanism(
        MECHANISM.bodies,
        MECHANISM.start,
        (
            Links(many.body, many.on_body[4], many.other, many.on_other[4], many.length[4], many.names),
            *MECHANISM.links[1:],
        ),
        MECHANISM.planes,
        MECHANISM.drivers,
    )
    single, _ = equations(alone).evaluate(POSITION[..., 4], QUATERNION[..., 4], DRIVEN[..., 4])
    assert_allclose(single, residual[..., 4], rtol=0.0, atol=1e-12)
