"""Adjusters and wheel travel found together, with one move of the linkage a round: where re-alignment then begins.

Contact height, toe and camber of a corner depend on its travel and its adjusters; Newton's iteration on all of them,
its matrix measured once by a probe of each and kept true by Broyden's update (C. G. Broyden, Mathematics of Computation
19, 1965, formula from memory).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.planning.dismantled import LEVEL_TO, AxleParts, Stood, camber_and_toe, stood_at
from solvers.vectors import Array, Flags

_MOST_ROUNDS = 12
_LONGEST_STEP = 20.0  # probes' worth in one round
_TRAVEL_PROBE = 1.0  # mm


@dataclass(frozen=True)
class QuickAlignment:
    """Real amounts of the adjusters (..., 2, tools) and travel (..., 2) [mm] that meet the targets.

    found: where (..., 2); elsewhere nothing of it counts but the travel to begin with. effect: of adjusters on angles,
    the contact points kept on the ground (..., 2, angles, tools); rise: of contact points with travel (..., 2). stood:
    the parts there.
    """

    amounts: Array
    travel: Array
    effect: Array
    rise: Array
    found: Flags
    stood: Stood


def quickly_aligned(
    parts: AxleParts, wanted: Array, which: Sequence[int], turned: Callable[[AxleParts, Array], AxleParts],
    probes: Array, angles_to: float,
) -> QuickAlignment:  # fmt: skip
    """Find what brings camber and toe to wanted angles (..., 2, tools) [rad], from nothing turned.

    which: of camber and toe, what each adjuster is there for; turned: parts with adjusters turned by amounts
    (..., 2, tools); probes: small amounts of them. angles_to: how near angles must come [rad].
    """
    unit = np.concatenate([[_TRAVEL_PROBE], probes])

    def missed(at: Array, parts: AxleParts = parts) -> tuple[Array, Stood]:
        stood = stood_at(turned(parts, at[..., 1:]), at[..., 0])
        angles = np.stack([camber_and_toe(stood.axis)[one] for one in which], axis=-1)
        return np.concatenate([stood.height[..., None], angles - wanted], axis=-1).real, stood

    at = np.zeros((*wanted.shape[:-1], len(unit)))
    at[..., 0] -= np.asarray(parts.heave.real)[..., None]
    begin = at[..., 0]
    probed = np.concatenate([np.zeros((1, len(unit))), np.diag(unit)]).reshape(-1, *[1] * (at.ndim - 1), len(unit))
    all_missed, all_stood = missed(at + probed, _repeated(parts, (len(probed), *at.shape[:-2])))
    miss, found, stood = all_missed[0], all_stood.arrived.all(axis=0), None
    matrix = np.moveaxis(all_missed[1:] - miss, 0, -1) / unit
    near = np.array([LEVEL_TO, *[angles_to] * len(which)])
    for _ in range(_MOST_ROUNDS):
        off = found & (np.abs(miss) > near).any(axis=-1)
        if not off.any():
            break
        step, solvable = _step(matrix, miss, off)
        found = found & (solvable | ~off)
        step = np.clip(step, -_LONGEST_STEP * unit, _LONGEST_STEP * unit)
        at, earlier = at + step, miss
        miss, stood = missed(at)
        found = found & stood.arrived
        matrix = matrix + _update(miss - earlier, matrix, step, unit)
    found = found & (np.abs(miss) <= near).all(axis=-1)
    rise = np.where(found, matrix[..., 0, 0], 1.0)
    along = matrix[..., 1:, :1] * (matrix[..., :1, 1:] / rise[..., None, None])
    stood = stood or missed(at)[1]
    travel = np.where(found, at[..., 0], begin)
    return QuickAlignment(at[..., 1:], travel, matrix[..., 1:, 1:] - along, rise, found, stood)


def _repeated(parts: AxleParts, batch: tuple[int, ...]) -> AxleParts:
    """The same parts with all batch axes and one more in front, for many trials at once."""

    def spread(values: Array, own: int) -> Array:
        return np.broadcast_to(values, (*batch, *values.shape[values.ndim - own :]))

    return replace(
        parts,
        points={key: spread(place, 2) for key, place in parts.points.items()},
        lengths=spread(parts.lengths, 2),
        strut_direction=None if parts.strut_direction is None else spread(parts.strut_direction, 2),
        spin_axis=spread(parts.spin_axis, 2),
        radius=spread(parts.radius, 1),
        heave=spread(parts.heave, 0),
        pitch=spread(parts.pitch, 0),
    )


def _step(matrix: Array, miss: Array, off: Flags) -> tuple[Array, Flags]:
    """Newton's step (..., n) where something is off (...), and where there is one: none without effect."""
    step = np.zeros_like(miss)
    solvable = off & (np.linalg.det(np.where(off[..., None, None], matrix, np.eye(miss.shape[-1]))) != 0.0)
    step[solvable] = np.linalg.solve(matrix[solvable], -miss[solvable][..., None])[..., 0]
    return step, solvable


def _update(gained: Array, matrix: Array, step: Array, unit: Array) -> Array:
    """What a step (..., n) adds to the matrix (..., n, n): nothing across it, along it what was gained (..., n)."""
    scaled = step / unit**2
    size = (scaled * step).sum(axis=-1)
    beyond = gained - (matrix @ step[..., None])[..., 0]
    return np.asarray(beyond[..., None] * scaled[..., None, :] / np.where(size == 0.0, 1.0, size)[..., None, None])
