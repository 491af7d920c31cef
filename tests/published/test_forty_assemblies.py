"""A rigid body on six fixed rods, the general platform of Dietmaier with its 40 real assemblies.

It is the hardest mechanism known for what a multi-link corner is: one body, six lengths. Sources and data are in
`forty_assemblies.toml`: points, lengths and the count 40 were seen; the poses were computed by another program.
"""

import tomllib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from solvers.equations import Equations, equations
from solvers.mechanism import FIXED, Links, Mechanism, Pose
from solvers.newton import Solved, newton
from solvers.reference import solve_by_scipy
from solvers.vectors import Array

DATA = tomllib.loads((Path(__file__).parent / "forty_assemblies.toml").read_text(encoding="utf-8"))
PLACES = np.array([pose["t"] for pose in DATA["pose"]])
TURNS = np.array([pose["q_xyzw"] for pose in DATA["pose"]])
CONDITION = np.array([pose["cond"] for pose in DATA["pose"]])
POSES = np.arange(40)
WRITTEN_TO = 2e-12  # 12 decimals: each of a quaternion's four is off by 5e-13 at most, and angles by twice their norm
RESIDUAL = 1e-14  # with coordinates about 1, a length comes out to a few parts in 1e16


@dataclass(frozen=True)
class Poses:
    """N poses: places (N, 3), quaternions (N, 4)."""

    place: Array
    turn: Array

    def to_known(self) -> Array:
        """How far each pose is from each of the 40 (N, 40): the larger of distance and angle [rad]."""
        distance = np.linalg.norm(self.place[:, None] - PLACES, axis=-1)
        # q and -q are one orientation; the angle is twice that between the quaternions.
        ways = [np.linalg.norm(self.turn[:, None] - sign * TURNS, axis=-1) for sign in (1.0, -1.0)]
        return np.maximum(distance, 4.0 * np.arcsin(np.minimum(1.0, np.minimum(*ways) / 2.0)))


@pytest.fixture(scope="module")
def rows() -> Equations:
    links = Links(
        0,
        np.array(DATA["body_points"]),
        FIXED,
        np.array(DATA["fixed_points"]),
        np.array(DATA["lengths"]),
        tuple(f"rod {number}" for number in range(1, 7)),
    )
    start = Pose(PLACES[:1], TURNS[:1])
    return equations(Mechanism(("platform",), start, (links,), (), ())).flattened(())


def near(known: Array, away: float, seed: int) -> Poses:
    """Poses moved and turned by `away` in random directions from the 40 poses numbered `known` (N,)."""
    directions = np.random.default_rng(seed).normal(size=(2, len(known), 3))
    shift, turn = away * directions / np.linalg.norm(directions, axis=-1, keepdims=True)
    turned = Rotation.from_rotvec(turn) * Rotation.from_quat(TURNS[known])
    return Poses(PLACES[known] + shift, turned.as_quat())


def solve(rows: Equations, starts: Poses, most_iterations: int) -> tuple[Poses, Solved]:
    position, quaternion = starts.place.T[None], starts.turn.T[None]
    nothing_driven = np.zeros((0, len(starts.place)))
    solved = newton(rows, position, quaternion, nothing_driven, tolerance=RESIDUAL, most_iterations=most_iterations)
    return Poses(solved.position[0].T, solved.quaternion[0].T), solved


def test_all_forty_are_found_again(rows: Equations) -> None:
    """From 1e-5 away; residual times condition number is what is left of doubt in a pose."""
    found, solved = solve(rows, near(POSES, 1e-5, seed=1), most_iterations=10)

    assert solved.converged.all()
    assert (np.diag(found.to_known()) < WRITTEN_TO + RESIDUAL * CONDITION).all()


def test_basins_of_attraction(rows: Equations) -> None:
    """From 1e-3 away, 100 times each. Outside count, by plain Newton in another program: at least 94 come back to
    the same pose for every pose, and all 100 where the condition number is below 1e3.

    A count of 94 in 100 scatters by 2.4, so 5 fewer are let pass; those that stray must end in another of the 40.
    """
    known = np.repeat(POSES, 100)
    found, solved = solve(rows, near(known, 1e-3, seed=2), most_iterations=50)
    to_known = found.to_known()
    came_back = (to_known[np.arange(known.size), known] < 1e-8).reshape(40, 100).sum(axis=1)

    assert solved.converged.all()
    assert (to_known.min(axis=1) < WRITTEN_TO + RESIDUAL * CONDITION[to_known.argmin(axis=1)]).all()
    assert (came_back[CONDITION < 1e3] == 100).all()
    assert (came_back >= 94 - 5).all()


def test_no_forty_first(rows: Equations) -> None:
    """40 is the proven upper bound: from anywhere, what converges is one of them, or the residual lied."""
    rng = np.random.default_rng(3)
    starts = Poses(rng.uniform(-1.0, 1.0, (600, 3)), Rotation.from_quat(rng.normal(size=(600, 4))).as_quat())
    found, solved = solve(rows, starts, most_iterations=100)
    to_known = found.to_known()[solved.converged]
    which = to_known.argmin(axis=1)

    assert solved.converged.sum() > 550
    assert len(np.unique(which)) > 30
    assert (to_known.min(axis=1) < WRITTEN_TO + RESIDUAL * CONDITION[which]).all()


def test_poses_found_are_distinct(rows: Equations) -> None:
    """The smallest separation of two poses, computed by another program, is 0.2024."""
    found, _ = solve(rows, near(POSES, 1e-5, seed=4), most_iterations=10)
    apart = found.to_known()[~np.eye(40, dtype=bool)]

    assert abs(apart.min() - 0.2024) < 5e-5


def test_scipy_finds_the_same(rows: Equations) -> None:
    """SciPy's hybrid method, one pose at a time, to the residual that the reference promises (1e-11)."""
    starts = near(POSES, 1e-3, seed=5)
    for known in np.flatnonzero(CONDITION < 1e3):
        position, quaternion = starts.place[known][None, :, None], starts.turn[known][None, :, None]
        solved = solve_by_scipy(rows, position, quaternion, np.zeros((0, 1)))
        found = Poses(solved.position[0].T, solved.quaternion[0].T)
        assert solved.converged.all()
        assert found.to_known()[0, known] < WRITTEN_TO + 1e-11 * CONDITION[known]
