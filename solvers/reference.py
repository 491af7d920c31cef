"""One position at a time by `scipy.optimize.root`: the reference for the batched Newton, and its rescue."""

import numpy as np

from solvers.equations import Equations
from solvers.newton import TOLERANCE, Solved, newton
from solvers.rotations import compose, from_turn
from solvers.vectors import Array


def solve_by_scipy(
    rows: Equations, position: Array, quaternion: Array, driven: Array, most_evaluations: int = 0
) -> Solved:
    """Solve one position (N = 1) with SciPy's hybrid Powell method and the exact Jacobian.

    Shapes as in `newton`. The unknowns are absolute coordinates, because hybr takes its first trust radius from the
    norm of the start: displacements near zero make it stall. most_evaluations: 0 for SciPy's own choice.
    """
    from scipy.optimize import root  # slow to load, and seldom needed

    bodies = len(position)
    scale = np.max(np.abs(position)) or 1.0
    start = np.concatenate([position[:, :, 0] / scale, np.zeros((bodies, 3))], axis=1)

    def pose(unknowns: Array) -> tuple[Array, Array]:
        by_body = unknowns.reshape(bodies, 6)
        turned = compose(from_turn(by_body[:, 3:].T), quaternion[:, :, 0].T)
        return by_body[:, :3, None] * scale, turned.T[:, :, None]

    def residual(unknowns: Array) -> tuple[Array, Array]:
        values, jacobian = rows.evaluate(*pose(unknowns), driven)
        columns = jacobian[:, :, 0].copy().reshape(-1, bodies, 6)
        columns[:, :, :3] *= scale
        columns[:, :, 3:] = (columns[:, :, None, 3:] @ _turn_rates(unknowns.reshape(bodies, 6)[:, 3:]))[:, :, 0]
        return values[:, 0], columns.reshape(rows.rows, rows.rows)

    found = root(residual, start.ravel(), jac=True, method="hybr", options={"xtol": 1e-13, "maxfev": most_evaluations})
    # Two Newton steps take what SciPy found (relative 1e-13 of the whole vector) to the length tolerance.
    return newton(rows, *pose(found.x), driven, tolerance=TOLERANCE, most_iterations=2)


def _turn_rates(turn: Array) -> Array:
    """Left Jacobian (..., 3, 3) of rotation vectors (..., 3): small turn per change of the vector."""
    angle = np.sqrt(np.sum(turn * turn, axis=-1))[..., None, None]
    x, y, z = np.moveaxis(turn, -1, 0)
    zero = np.zeros_like(x)
    skew = np.stack([np.stack([zero, -z, y], -1), np.stack([z, zero, -x], -1), np.stack([-y, x, zero], -1)], -2)
    small = angle < 1e-4
    safe = np.where(small, 1.0, angle)
    first = np.where(small, 0.5 - angle**2 / 24.0, (1.0 - np.cos(safe)) / safe**2)
    second = np.where(small, 1.0 / 6.0 - angle**2 / 120.0, (safe - np.sin(safe)) / safe**3)
    return np.asarray(np.eye(3) + first * skew + second * (skew @ skew))
