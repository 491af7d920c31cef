"""Rows of `find`: against `compare` of every plan, against an optimiser that gets values alone, and from cold."""

import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from scipy.optimize import differential_evolution

from benchmarks.cars import typical_axle
from benchmarks.cold_rows import run_cold
from benchmarks.timing import Row, best_of, shortest
from kinematics import Car
from kinematics.car.limits import Limit, Limits
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.finding.checks import FEW_STEPS, checks_of
from kinematics.finding.means import Amount, Means
from kinematics.finding.search import find
from kinematics.inputs.demo_cars import DEMO_CARS, DEMO_MEANS, demo_text
from kinematics.planning.changes import Change
from kinematics.planning.comparison import compare
from kinematics.planning.plans import Plan, carry_out
from solvers.vectors import Array

_LOWERED = -35.0  # mm; so far the typical strut's roll centre is out of its limits
_BUMP_STEER = np.radians(0.006)  # rad/mm either way
_RANGES = {
    "ride height": (-10, 20),
    "longer ball joint": (0, 25),
    "tie-rod shim": (-5, 25),
    "rack raised": (-10, 10),
    "inner pivots": (0, 15),
}
_LESS, _MISSED = 1e-3, 1e3
_LOADED = "import numpy, scipy.optimize, pydantic, tomlkit, rich.console"
_PROGRAM = "import sys; from reports.command_line import main; sys.exit(main())"


def rows(quick: bool) -> Iterator[Row]:
    """Three of five kinds of change at steps of 1 mm, and the demo's `find` and a `show` from cold."""
    car, means, limits = _car(), _means(), _limits()
    found = find(car, means, limits)
    ours = shortest(lambda: find(car, means, limits), 1 if quick else 3)
    yield _every_plan(car, means, limits, ours, 8 if quick else 40)
    yield _by_values(car, means, limits, ours)
    assert found.found  # the rows above say void where it is not so
    yield from _cold(1 if quick else 5)


def _car() -> Car:
    car = Car("invented", axles=(typical_axle(SUSPENSIONS["strut"]),))
    (done,) = carry_out(car, [Plan("lowered", (Change("front", "ride height", _LOWERED),))])
    return Car("invented", axles=(done["front"].axle,))


def _means() -> Means:
    amounts = []
    for what, (low, high) in _RANGES.items():
        shifts = what == "inner pivots"
        change = Change("front", what, 0.0 if shifts else 1.0, (0.0, 0.0, 1.0) if shifts else (0.0, 0.0, 0.0))
        values = np.array([value for value in range(low, high + 1) if value], dtype=float)
        amounts.append(Amount(change, values, np.zeros(len(values)), np.zeros(len(values))))
    return Means(tuple(amounts))


def _limits() -> Limits:
    return Limits(by_axle={"front": (Limit("bump_steer", -_BUMP_STEER, _BUMP_STEER, ("travel",)),)})


def _every_plan(car: Car, means: Means, limits: Limits, ours: float, sample: int) -> Row:
    """`compare` on a sample of the grid, its time scaled to all of it; the plan found is carried out by it too."""
    count = int(np.prod([len(one.values) + 1 for one in means.amounts]))
    rng = np.random.default_rng(1)
    plans = [
        means.plan(np.array([rng.choice(one.values) for one in means.amounts]), f"plan {i}") for i in range(sample)
    ]
    taken = shortest(lambda: compare(car, plans, limits, []), 1)
    best = find(car, means, limits).best.plan
    outcome = compare(car, [best], limits, []).outcomes[1]
    holds = outcome.buildable and all(one.holds for one in outcome.findings)
    return Row(
        "strut: find among five kinds of change, 1 mm steps",
        ours,
        taken / sample * count,
        f"{count} plans; compare timed on {sample} and scaled; it holds the plan found to be within every limit",
        "" if holds else "compare does not hold the plan found within the limits",
        against="compare of every plan",
    )


def _by_values(car: Car, means: Means, limits: Limits, ours: float) -> Row:
    """SciPy's differential evolution asked for the same: fewest parts, then least change, all limits held."""
    checks = checks_of(car, limits, means.amounts, FEW_STEPS)
    best = find(car, means, limits).best.amounts
    reached: list[float] = []

    def wanted(plans: Array) -> Array:
        return np.asarray((plans != 0.0).sum(axis=1) + _LESS * np.abs(plans).sum(axis=1))

    def value(points: Array) -> Array:
        plans = np.atleast_2d(points.T)
        worst = checks.margins(checks(plans)).min(axis=1, initial=np.inf)
        return np.where(worst >= 0.0, wanted(plans), _MISSED - np.maximum(worst, -_MISSED))

    def search() -> None:
        bounds = [_RANGES[one.change.what] for one in means.amounts]
        whole = np.ones(len(bounds), dtype=bool)
        done = differential_evolution(
            value, bounds, integrality=whole, vectorized=True, updating="deferred", seed=1, polish=False
        )
        reached.append(float(done.fun))

    taken = shortest(search, 1)
    own = float(wanted(best[None])[0])
    better = reached[0] < own - 1e-9
    return Row(
        "strut: find among the same, against an optimiser",
        ours,
        taken,
        f"fewest parts, then least change: ours {own:.3f}, the optimiser {reached[0]:.3f} (parts + mm / 1000)",
        "the optimiser found a better plan" if better else "",
        against="differential evolution, values alone",
        needed=False,
    )


def _cold(repeats: int) -> Iterator[Row]:
    name = next(iter(DEMO_MEANS))
    with tempfile.TemporaryDirectory() as folder:
        car, means = Path(folder) / "car.toml", Path(folder) / "means.toml"
        car.write_text(demo_text(DEMO_CARS[name]), encoding="utf-8")
        means.write_text(demo_text(DEMO_MEANS[name]), encoding="utf-8")
        for title, words in (("find", ("find", str(car), str(means))), ("show", ("show", str(car)))):
            times = best_of(repeats, 1, lambda words=words: run_cold(_PROGRAM, *words), lambda: run_cold(_LOADED))  # type: ignore[misc]
            yield Row(f"a cold `cornersweep {title}` of the demo car", *times, "", against="loading its libraries")
