"""Whether solved states follow each other without a jump, and stay on the assembly that was measured."""

from collections.abc import Callable

import numpy as np

from kinematics.car.suspension_type import CHASSIS
from kinematics.motion.linkage import axle_linkage
from kinematics.motion.states import CornerStates
from solvers.equations import Equations, equations, start_pose
from solvers.vectors import Array, Flags

_FINER = 8  # times, at each look
_LOOKS = 4
# At a lock a linkage moves like the square root of what is left: then each look leaves 1 / sqrt(8), all looks 1 / 64.
_LEFT = 0.1
_SMALLEST = 1e-3  # mm


def moving_points(states: CornerStates) -> Array:
    """All points that move (N, 2, S, K, 3)."""
    kind = states.axle.suspension
    keys = [key for key, carrier in kind.carriers.items() if carrier != CHASSIS]
    return np.stack([states.point(key) for key in keys], axis=-2)


def jumps(at: Callable[[Array], CornerStates], travel: Array) -> tuple[Array, Flags]:
    """How far each car jumps (N,) [mm] between neighbours of travels (N, 2, S), 0 for none; and gaps in its reach.

    The interval where a car departs most from an even motion is looked at ever closer: a jump does not get smaller.
    """
    states = at(travel)
    first = off = None
    gaps = np.zeros(travel.shape[0], dtype=bool)
    ended = gaps  # where both ends of what is looked at were reached
    for _ in range(_LOOKS + 1):
        both = states.reached.all(axis=-2)
        uneven = _uneven(moving_points(states), both, np.abs(np.diff(travel, axis=-1)).max(axis=1))
        at_worst = uneven.argmax(axis=-1)
        off = np.take_along_axis(uneven, at_worst[:, None], axis=-1)[:, 0]
        if first is None:
            first = off
        else:
            gaps = gaps | (ended & ~both.all(axis=-1))
        ends = [np.take_along_axis(travel, (at_worst + i)[:, None, None], axis=-1) for i in (0, 1)]
        reached = [np.take_along_axis(both, (at_worst + i)[:, None], axis=-1)[:, 0] for i in (0, 1)]
        ended = reached[0] & reached[1]
        travel = ends[0] + (ends[1] - ends[0]) * np.linspace(0.0, 1.0, _FINER + 1)
        states = at(travel)
    assert first is not None
    assert off is not None
    return np.where((off > _LEFT * first) & (off > _SMALLEST), off, 0.0), gaps


def _uneven(points: Array, reached: Flags, apart: Array) -> Array:
    """How far each step (N, S - 1) departs from the nearer of two neighbours' pace [mm]; 0 where not known.

    Beside a jump one neighbour goes on as before; across it none does.
    """
    known = reached[:, 1:] & reached[:, :-1]
    pace = np.where(known[:, None, :, None, None], np.diff(points, axis=2) / apart[:, None, :, None, None], 0.0)
    count = pace.shape[2]
    here = np.arange(count)
    least = np.full(known.shape, np.inf)
    for other in (np.where(here > 0, here - 1, 2), np.where(here < count - 1, here + 1, count - 3)):
        off = np.linalg.norm(pace - pace[:, :, other], axis=-1).max(axis=(1, 3)) * apart
        least = np.minimum(least, np.where(known & known[:, other], off, np.inf))
    return np.asarray(np.where(np.isfinite(least), least, 0.0))


def rows_of(states: CornerStates) -> Equations:
    """The equations that these states solve."""
    return equations(axle_linkage(states.axle).with_state_axis())


def turned_over(states: CornerStates, reached: Flags) -> Flags:
    """Cars (N,) with a state of these (N, 2, S) past a fold: the determinant has lost its sign as measured."""
    kind, rows = states.axle.suspension, rows_of(states)
    place, quaternion = states.positions.position, states.positions.quaternion
    driven = np.broadcast_to(states.travel, states.reached.shape)[None]
    reached = reached.all(axis=-2) if kind.whole_axle else reached
    if kind.whole_axle:
        # Each side has the beam by its own wheel centre; its equations have it by the middle.
        centre = np.broadcast_to(states.axle.points["wheel_centre"], (*states.axle.batch_shape, 2, 3))
        arm = centre[..., 0, :] - centre.mean(axis=-2)
        place, quaternion = place[..., 0, :, :, :].copy(), quaternion[..., 0, :, :, :]
        place[..., 0, :] -= (states.positions.rotation[..., 0, :, 0, :, :] @ arm[..., None, :, None])[..., 0]
        driven = np.moveaxis(driven[0], -2, 0)
    components_first = [np.moveaxis(part, (-2, -1), (0, 1)) for part in (place, quaternion)]
    _, jacobian = rows.evaluate(*components_first, driven)
    sign = np.linalg.slogdet(np.moveaxis(jacobian, (0, 1), (-2, -1)))[0]
    return np.asarray(((sign != _sign_as_measured(states)) & reached).any(axis=tuple(range(1, sign.ndim))))


def _sign_as_measured(states: CornerStates) -> Array:
    mechanism = axle_linkage(states.axle).with_state_axis()
    start = start_pose(mechanism, mechanism.batch_shape)
    driven = np.zeros((mechanism.driver_count, *start[0].shape[2:]))
    _, jacobian = equations(mechanism).evaluate(*start, driven)
    return np.asarray(np.linalg.slogdet(np.moveaxis(jacobian, (0, 1), (-2, -1)))[0])
