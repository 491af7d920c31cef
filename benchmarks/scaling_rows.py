"""Whether four times the work takes four times as long, and how much more memory it takes while it runs."""

from collections.abc import Callable, Iterator

import numpy as np

from benchmarks.cars import doubtful_axle, typical_axle
from benchmarks.timing import Row, peak_memory, shortest
from kinematics import sweep_bump, sweep_grid
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.doubt.assessment import perturbed_axles
from kinematics.inputs.demo_cars import DEMO_CARS, demo_car
from kinematics.loads.report import whole_car
from kinematics.loads.shelf import BarChoice, Shelf, SpringChoice, rank
from solvers.spread import Shape, monte_carlo
from solvers.vectors import Array

_TIMES = 4
_TRAVEL: Array = np.linspace(-60.0, 60.0, 41)  # mm


def rows(quick: bool) -> Iterator[Row]:
    """Grid, Monte Carlo and shelf."""
    yield _row("grid", *_grid(50 if quick else 200), "states")
    yield _row("Monte Carlo", *_draws(200 if quick else 2000), "cars")
    yield _row("shelf", *_shelf(500 if quick else 4000), "combinations")


def _row(what: str, count: int, work: Callable[[int], object], of: str) -> Row:
    work(count)
    small, large = (shortest(lambda size=size: work(size), 2) for size in (count, _TIMES * count))
    peaks = [peak_memory(lambda size=size: work(size)) for size in (count, _TIMES * count)]
    name = f"{what}: {_TIMES * count} {of}"
    note = f"memory {peaks[0]:.0f} MB for {count}, {peaks[1]:.0f} MB for {_TIMES * count}, the results among it"
    return Row(name, large, _TIMES * small, note, against=f"{_TIMES} times {count}")


def _grid(rolls: int) -> tuple[int, Callable[[int], object]]:
    axle = typical_axle(SUSPENSIONS["strut"])
    roll = np.radians(np.linspace(-2.0, 2.0, rolls))
    return 100 * rolls, lambda states: sweep_grid(axle, np.linspace(-40.0, 40.0, states // rolls), roll)


def _draws(cars: int) -> tuple[int, Callable[[int], object]]:
    axle, doubt = doubtful_axle(SUSPENSIONS["strut"])
    normal: list[Shape] = ["normal"] * len(doubt.sources)

    def study(sources: Array) -> dict[str, Array]:
        return dict(sweep_bump(perturbed_axles(axle, doubt, sources), _TRAVEL).values)

    return cars, lambda count: monte_carlo(study, normal, count, 1)


def _shelf(combinations: int) -> tuple[int, Callable[[int], object]]:
    car = whole_car(demo_car(DEMO_CARS["rear-drive-saloon"]))

    def work(count: int) -> object:
        # A rear spring and a front bar beside the fitted ones, and as many front springs as it takes.
        springs = tuple(SpringChoice(f"{i}", rate) for i, rate in enumerate(np.linspace(20.0, 60.0, count // 4 - 1)))
        return rank(car, Shelf(springs, (SpringChoice("rear", 30.0),), (BarChoice("bar", 15.0),)))

    return combinations, work
