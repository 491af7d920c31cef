"""Rows against the compiled stand-in, which finds positions alone: one car in bulk, and many cars."""

from collections.abc import Iterator

import numpy as np

from benchmarks.cars import some_cars, typical_axle, varied_axle
from benchmarks.stand_in import MISSING, CompiledCorner, compiled, library, outwards
from benchmarks.timing import Row, best_of
from kinematics import LEFT, RIGHT, Axle, sweep_grid
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.corners import trace_corners
from solvers.vectors import Array

_TIMED = ("strut", "double wishbone", "five link")
_REACH = 60.0  # mm
_BUMP, _ROLL = np.linspace(-40.0, 40.0, 200), np.radians(np.linspace(-2.0, 2.0, 200))
_FEW: Array = np.linspace(-_REACH, _REACH, 41)
_BLOCK = 100  # cars at a time
_CHUNK = 4096  # states at a time
_AGREE = 1e-9  # mm


def rows(quick: bool) -> Iterator[Row]:
    """All rows against the stand-in, or one that says that it cannot be built."""
    if library() is None:
        yield Row("compiled stand-in", 1.0, 1.0, MISSING, MISSING, "C", needed=False)
        return
    repeats = 2 if quick else 5
    for kind in (SUSPENSIONS[name] for name in _TIMED):
        yield _positions(kind, repeats)
        yield _everything(kind, repeats)
        yield _cars(kind, 500 if quick else 10_000, 1 if quick else 2)


def _positions(kind: SuspensionType, repeats: int) -> Row:
    axle = typical_axle(kind)
    corners = [compiled(axle, side) for side in (LEFT, RIGHT)]
    travel = outwards(np.linspace(-_REACH, _REACH, 100_001))

    def ours() -> list[Array]:
        path = trace_corners(axle, -_REACH, _REACH).path
        both = np.stack([travel, travel])
        chunks = range(0, travel.size, _CHUNK)
        return [path.poses(both[:, first : first + _CHUNK]).position for first in chunks]

    apart = _apart(np.concatenate(ours(), axis=1), corners, travel)
    times = best_of(repeats, 2, ours, lambda: [corner.solve(travel) for corner in corners])
    name = f"{kind.name}: positions of one car in bulk, {travel.size} a corner"
    return _row(name, times, 2 * travel.size, apart)


def _everything(kind: SuspensionType, repeats: int) -> Row:
    axle = typical_axle(kind)
    corners = [compiled(axle, side) for side in (LEFT, RIGHT)]
    sweep = sweep_grid(axle, _BUMP, _ROLL)
    travel = [outwards(one.reshape(-1)) for one in sweep["travel"]]
    times = best_of(
        repeats,
        2,
        lambda: sweep_grid(axle, _BUMP, _ROLL),
        lambda: [corner.solve(one) for corner, one in zip(corners, travel, strict=True)],
    )
    name = f"{kind.name}: every reported number of one car in bulk, grid {_BUMP.size} x {_ROLL.size}"
    return _row(name, times, 2 * sweep.reached.size, 0.0)


def _cars(kind: SuspensionType, count: int, repeats: int) -> Row:
    axle = varied_axle(kind, count, seed=1)
    chosen = np.linspace(0, count - 1, 40).astype(int)
    corners = [compiled(some_cars(axle, one), side) for one in chosen for side in (LEFT, RIGHT)]
    both = np.stack([_FEW, _FEW])

    def of(block: Axle) -> Array:
        path = trace_corners(block, -_REACH, _REACH).path
        return path.poses(np.broadcast_to(both, (*block.batch_shape, *both.shape))).position

    def ours() -> list[Array]:
        return [of(some_cars(axle, slice(first, first + _BLOCK)))[0] for first in range(0, count, _BLOCK)]

    order = outwards(_FEW)
    here = of(some_cars(axle, slice(0, 1)))[0][:, np.searchsorted(_FEW, order)]
    apart = _apart(here, corners[:2], order)
    ours_time, other = best_of(repeats, 1, ours, lambda: [corner.solve(order) for corner in corners])
    name = f"{kind.name}: {count} varied cars, {_FEW.size} positions, both corners, positions alone"
    times = (ours_time, other * count / chosen.size)
    return _row(name, times, 2 * _FEW.size * count, apart, f"stand-in timed on {chosen.size} cars and scaled; ")


def _apart(position: Array, corners: list[CompiledCorner], travel: Array) -> float:
    """Largest distance of the wheel centres (2, S, bodies, 3) from the stand-in's [mm]."""
    pairs = zip(position, corners, strict=True)
    return max(float(np.abs(own[:, 0] - corner.solve(travel)[:, :3]).max()) for own, corner in pairs)


def _row(name: str, times: tuple[float, float], corners: int, apart: float, note: str = "") -> Row:
    each = " and ".join(f"{1e6 * time / corners:.2f} us" for time in times)
    agreed = f"; positions within {apart:.0e} mm" if apart else ""
    void = "" if apart < _AGREE else f"positions differ by {apart:.0e} mm"
    return Row(name, *times, f"{note}{each} a corner position{agreed}", void, "C")
