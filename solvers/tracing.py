"""Tracing a path: its poses solved at Chebyshev nodes, in two strides where that proves good, else step by step."""

from dataclasses import replace

import numpy as np

from solvers.certificate import chain_holds
from solvers.chebyshev import fit, nodes
from solvers.equations import Equations, equations, start_pose
from solvers.leap import leap
from solvers.mechanism import Mechanism, Pose
from solvers.moving import move
from solvers.path import LENGTHS_HOLD, Lock, Path
from solvers.vectors import Array

_AT_START = 1e-6  # mm; how closely the polynomials of the right path pass through the measured pose
_EVERY = 3  # nodes, from one that is held against another to the next
_SHORT = 25.0  # mm; on shorter paths few nodes do, or show that they do not
_LEAST = 1e-3  # mm
_FEW_NODES = 10
_NODES = 24
_MORE_NODES = 48


def trace(mechanism: Mechanism, low: Array | float, high: Array | float) -> Path:
    """Trace the path over driver displacements low..high (low < 0 < high), as far as the linkage goes."""
    shape = mechanism.batch_shape
    start, end = (np.broadcast_to(np.asarray(limit, dtype=float), shape) for limit in (low, high))
    wide = mechanism.with_state_axis()
    rows = equations(wide)
    return _leapt(mechanism, wide, rows, start, end) or _followed(mechanism, wide, rows, start, end)


def _leapt(mechanism: Mechanism, wide: Mechanism, rows: Equations, low: Array, high: Array) -> Path | None:
    """The whole path from two strides to each node; None where the nodes do not prove to lie on one.

    Polynomials settle to rounding only where no lock lies between the ends and no node has got to another
    branch, and their value at the start ties them to the measured assembly. Besides, nodes
    all along it certify that no fold lies between one and the next.
    """
    free = Lock(np.zeros(low.shape, dtype=bool), np.zeros((*low.shape, rows.guide_rows)))
    start = start_pose(wide, (*low.shape, 1))
    short = float(np.max(high - low)) < _SHORT
    for count in (_FEW_NODES, _NODES, _MORE_NODES)[0 if short else 1 :]:
        asked = nodes(low, high, count)
        found = leap(rows, start, asked)
        if found is None:
            return None
        path = _through(mechanism, rows, (low, high), (free, free), found.position, found.quaternion)
        smooth = (path.motion.tail < LENGTHS_HOLD).all() and _from_start(path)
        if smooth and chain_holds(found.jacobian[..., ::_EVERY]):
            return path
    return None


def _followed(mechanism: Mechanism, wide: Mechanism, rows: Equations, low: Array, high: Array) -> Path:
    """The path as far as the linkage goes, followed step by step."""
    asked = np.stack([low, high], axis=-1)
    found = move(wide, asked[..., None])
    locks = [Lock(~found.arrived[..., end], found.share[..., end, :]) for end in (0, 1)]
    low, high = np.moveaxis(found.reached * asked, -1, 0)
    # A linkage that is locked where it stands still needs a range, of no width to speak of.
    low, high = np.minimum(low, -_LEAST), np.maximum(high, _LEAST)
    # Near a lock the path bends like a square root: more nodes, and `Path.at` solves the rest of the way.
    driven = nodes(low, high, _MORE_NODES)
    pose = move(wide, driven[..., None]).pose
    position, quaternion = (np.moveaxis(part, (-2, -1), (0, 1)) for part in (pose.position, pose.quaternion))
    path = _through(mechanism, rows, (low, high), (locks[0], locks[1]), position, quaternion)
    return replace(path, followed=True)


def _through(
    mechanism: Mechanism,
    rows: Equations,
    ends: tuple[Array, Array],
    locks: tuple[Lock, Lock],
    position: Array,
    quaternion: Array,
) -> Path:
    """The path through solved nodes: (bodies, 3, ..., nodes) and (bodies, 4, ..., nodes)."""
    stacked = np.concatenate([position, quaternion], axis=1)
    motion = fit(*ends, np.moveaxis(stacked.reshape(-1, *stacked.shape[2:]), 0, -2))
    pose = Pose(np.moveaxis(position, (0, 1), (-2, -1)), np.moveaxis(quaternion, (0, 1), (-2, -1)))
    return Path(mechanism, rows, *ends, *locks, pose, motion)


def _from_start(path: Path) -> bool:
    """Whether the polynomials pass through the measured pose."""
    start, shape = path.mechanism.start, path.low.shape
    read = path.motion.at(np.zeros((*shape, 1))).reshape(*shape, -1, 7)
    off = [read[..., :3] - start.position, read[..., 3:] - start.quaternion]
    return all(bool((np.abs(part) < _AT_START).all()) for part in off)
