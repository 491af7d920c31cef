"""Newton's iteration on a mechanism's equations, over all positions at once."""

from dataclasses import dataclass

import numpy as np

from solvers.elimination import PivotOrder, solve_many
from solvers.equations import Equations
from solvers.rotations import compose, normalised
from solvers.vectors import Array, Flags

# Residuals are lengths, so the tolerance is a length too: coordinates of a metre, in mm, carry rounding of
# about 1e-13 mm, and a few of them add up in a row.
TOLERANCE = 1e-11
_MOST_TURN = 0.5  # rad in one step; longer steps are scaled back


@dataclass(frozen=True)
class Solved:
    """Poses at N positions: (bodies, 3, N), (bodies, 4, N), with what the last evaluation found there.

    error: largest residual [unit of length] (N,); jacobian: (rows, rows, N); converged: (N,).
    """

    position: Array
    quaternion: Array
    error: Array
    jacobian: Array
    converged: Flags
    iterations: int


def newton(
    rows: Equations,
    position: Array,
    quaternion: Array,
    driven: Array,
    *,
    order: PivotOrder | None = None,
    tolerance: float = TOLERANCE,
    most_iterations: int = 8,
) -> Solved:
    """Solve the rows from a nearby pose; positions that do not converge are marked, no error is raised.

    position: (bodies, 3, N); quaternion: (bodies, 4, N); driven: (drivers, N), displacements. tolerance: of every
    residual, in the unit of the points.
    """
    for iteration in range(most_iterations + 1):
        residual, jacobian = rows.evaluate(position, quaternion, driven)
        error = np.abs(residual).max(axis=0)
        converged = error < tolerance
        if converged.all() or iteration == most_iterations:
            break
        step = solve_many(jacobian, -residual[:, None, :], order).solution[:, 0]
        # A converged or singular position stays where it is.
        still = converged | ~np.isfinite(step).all(axis=0)
        if still.any():
            step[:, still] = 0.0
        position, quaternion = moved(position, quaternion, step)
    return Solved(position, quaternion, error, jacobian, converged, iteration)


def moved(position: Array, quaternion: Array, step: Array) -> tuple[Array, Array]:
    """Poses (bodies, 3, N), (bodies, 4, N) after small motions (6 * bodies, N).

    Turns are taken as rotation vectors, right to third order: half of one stands for the tangent of half its angle.
    """
    by_body = step.reshape(len(position), 6, -1)
    turn = by_body[:, 3:].swapaxes(0, 1)
    angle = (turn * turn).sum(axis=0).real
    if angle.max(initial=0.0) > _MOST_TURN**2:
        angle = np.sqrt(angle.max(axis=0))
        by_body = by_body * np.minimum(1.0, _MOST_TURN / np.maximum(angle, _MOST_TURN))
        turn = by_body[:, 3:].swapaxes(0, 1)
    small = np.empty((4, *turn.shape[1:]), turn.dtype)
    np.multiply(0.5, turn, out=small[:3])
    small[3] = 1.0
    rotated = normalised(compose(small, quaternion.swapaxes(0, 1)))
    return position + by_body[:, :3], rotated.swapaxes(0, 1)
