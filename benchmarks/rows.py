"""The rows of the table. This tool works out every reported number; the plain loop finds positions alone."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from benchmarks.cars import doubtful_axle, some_cars, typical_axle, varied_axle
from benchmarks.plain_loop import PlainCorner, Solved
from benchmarks.timing import Row, best_of, peak_memory
from kinematics import LEFT, RIGHT, Axle, Sweep, sweep_bump, sweep_grid
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.doubt.assessment import perturbed_axles
from solvers.spread import BLOCK, Shape, drawn, monte_carlo
from solvers.vectors import Array

_TIMED = ("strut", "double wishbone", "five link")  # one upright on links: what the plain loop can move
_TRAVEL: Array = np.linspace(-60.0, 60.0, 41)  # mm
_ROLL: Array = np.radians(np.linspace(-3.0, 3.0, 41))
_BLOCK = 50  # cars at a time: what these need stays in the processor's cache
_AGREE = 1e-5  # mm; SciPy's default tolerance leaves about 1e-6


def rows(quick: bool) -> Iterator[Row]:
    """All rows; quick: fewer repeats, positions and cars."""
    for kind in (SUSPENSIONS[name] for name in _TIMED):
        yield _bump(kind, 3 if quick else 10)
        yield _grid(kind, 2 if quick else 5)
        yield _cars(kind, 500 if quick else 10_000, 1 if quick else 2)
    yield _doubt(SUSPENSIONS["strut"], 500 if quick else 10_000)


def _bump(kind: SuspensionType, repeats: int) -> Row:
    axle = typical_axle(kind)
    corners = _corners(axle)
    solved = [corner.solve(_TRAVEL) for corner in corners]
    void, apart = _verdict(sweep_bump(axle, _TRAVEL), corners, solved, np.arange(_TRAVEL.size))
    times = best_of(
        repeats, 10, lambda: sweep_bump(replace(axle), _TRAVEL), lambda: [corner.solve(_TRAVEL) for corner in corners]
    )
    name = f"{kind.name}: bump sweep, {_TRAVEL.size} positions, both corners"
    return Row(name, *times, f"whole loop timed; {apart}", void)


def _grid(kind: SuspensionType, repeats: int) -> Row:
    axle = typical_axle(kind)
    corners = _corners(axle)
    sweep = sweep_grid(axle, _TRAVEL, _ROLL)
    # Row by row, every other row backwards: the loop's next position is always next to the last one.
    order = np.arange(sweep.reached.size).reshape(sweep.shape)
    order[1::2] = order[1::2, ::-1]
    order = order.reshape(-1)
    travel = sweep["travel"].reshape(2, -1)[:, order]
    solved = [corner.solve(of_side) for corner, of_side in zip(corners, travel, strict=True)]
    void, apart = _verdict(sweep, corners, solved, order)
    times = best_of(
        repeats,
        10,
        lambda: sweep_grid(replace(axle), _TRAVEL, _ROLL),
        lambda: [corner.solve(of_side) for corner, of_side in zip(corners, travel, strict=True)],
    )
    name = f"{kind.name}: bump x roll grid, {_TRAVEL.size} x {_ROLL.size}, both corners"
    return Row(name, *times, f"whole loop timed; {apart}", void)


def _cars(kind: SuspensionType, count: int, repeats: int) -> Row:
    axle = varied_axle(kind, count, seed=1)
    sample = np.linspace(0, count - 1, 20).astype(int)
    cars = [some_cars(axle, one) for one in sample]
    corners = [_corners(car) for car in cars]
    verdicts = [
        _verdict(sweep_bump(car, _TRAVEL), pair, [one.solve(_TRAVEL) for one in pair], np.arange(_TRAVEL.size))
        for car, pair in zip(cars, corners, strict=True)
    ]
    ours, other = best_of(
        repeats,
        1,
        lambda: _roll_centre_heights(axle, count),
        lambda: [corner.solve(_TRAVEL) for pair in corners for corner in pair],
    )
    name = f"{kind.name}: {count} varied cars, bump sweep, {_TRAVEL.size} positions, both corners"
    void = next((void for void, _ in verdicts if void), "")
    note = f"{_BLOCK} cars at a time; loop timed on {sample.size} of the cars and scaled by positions; {verdicts[0][1]}"
    return Row(name, ours, other * count / sample.size, note, void)


def _doubt(kind: SuspensionType, count: int) -> Row:
    """A Monte Carlo: cars drawn from the doubt of one, and of every number at every position how it spreads."""
    axle, doubt = doubtful_axle(kind)
    normal: list[Shape] = ["normal"] * len(doubt.sources)

    def study(sources: Array) -> dict[str, Array]:
        return dict(sweep_bump(perturbed_axles(axle, doubt, sources), _TRAVEL).values)

    sample = perturbed_axles(axle, doubt, drawn(normal, 20, 1, 0))
    cars = [some_cars(sample, one) for one in range(20)]
    corners = [_corners(car) for car in cars]
    verdicts = [
        _verdict(sweep_bump(car, _TRAVEL), pair, [one.solve(_TRAVEL) for one in pair], np.arange(_TRAVEL.size))
        for car, pair in zip(cars, corners, strict=True)
    ]
    ours, other = best_of(
        1,
        1,
        lambda: monte_carlo(study, normal, count, 1),
        lambda: [corner.solve(_TRAVEL) for pair in corners for corner in pair],
    )
    peaks = [peak_memory(lambda blocks=blocks: monte_carlo(study, normal, blocks * BLOCK, 1)) for blocks in (2, 6)]
    name = f"{kind.name}: Monte Carlo, {count} cars, {_TRAVEL.size} positions, both corners, every number's spread"
    memory = f"memory {peaks[0]:.0f} MB for {2 * BLOCK} cars, {peaks[1]:.0f} MB for {6 * BLOCK}"
    void = next((void for void, _ in verdicts if void), "")
    return Row(name, ours, other * count / len(cars), f"{memory}; loop timed on {len(cars)} cars and scaled", void)


def _roll_centre_heights(axle: Axle, count: int) -> Array:
    """All numbers of every car, block by block; kept of each: the roll-centre height (cars, positions)."""
    kept = np.empty((count, _TRAVEL.size))
    for first in range(0, count, _BLOCK):
        block = slice(first, min(first + _BLOCK, count))
        kept[block] = sweep_bump(some_cars(axle, block), _TRAVEL)["roll_centre_height"]
    return kept


def _corners(axle: Axle) -> list[PlainCorner]:
    kind = axle.suspension
    strut = None if kind.strut is None else (kind.strut.low, kind.strut.top_mount)
    return [
        PlainCorner({key: point[side] for key, point in axle.points.items()}, kind.all_links, strut)
        for side in (LEFT, RIGHT)
    ]


def _verdict(
    sweep: Sweep, corners: list[PlainCorner], solved: list[Solved], which: NDArray[np.intp]
) -> tuple[str, str]:
    """Why the comparison is void ("" if it counts), and how far the two sides' positions are apart at most."""
    if not all(corner.holds(positions) for corner, positions in zip(corners, solved, strict=True)):
        return "a call of the plain loop failed", ""
    apart = max(_apart(sweep, side, solved[side], which) for side in (LEFT, RIGHT))
    text = f"positions within {apart:.0e} mm"
    return "" if apart < _AGREE else f"the two sides disagree: {text}", text


def _apart(sweep: Sweep, side: int, solved: Solved, which: NDArray[np.intp]) -> float:
    """Largest distance [mm] between the sides' wheel centres, and between the tips of spin axes one radius long."""

    def ours(key: str) -> Array:
        return sweep[key].reshape(-1, sweep.reached.size)[-1 if sweep[key].ndim == len(sweep.shape) else side, which]

    radius = float(sweep.axle.radius[side])
    sine, cosine, heave = np.sin(ours("roll")), np.cos(ours("roll")), ours("heave")
    x, y, z = solved.centre.T
    along, across, up = solved.turned(sweep.axle.spin_axis[side]).T
    across, up = cosine * across - sine * up, sine * across + cosine * up
    toe = np.arctan2(along, across if side == LEFT else -across)
    differences = [
        x - ours("wheel_centre_x"),
        cosine * y - sine * z - ours("wheel_centre_y"),
        sine * y + cosine * z + heave - ours("wheel_centre_z"),
        radius * (np.arcsin(up) + ours("camber")),
        radius * (toe - ours("toe")),
    ]
    return float(np.abs(differences).max())
