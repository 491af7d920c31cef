"""Rows of the whole car in balance: against SciPy's root finder on the same equations, and choosing its springs."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from scipy.optimize import root

from benchmarks.timing import Row, best_of, shortest
from kinematics import Car, demo_car
from kinematics.car.limits import Limit, Limits, WorkingRange
from kinematics.finding.means import Amount, Means
from kinematics.finding.pieces import Piece
from kinematics.finding.search import find
from kinematics.loads.balanced_share import with_balanced_shares
from kinematics.loads.equilibrium import balance
from kinematics.loads.report import whole_car
from kinematics.loads.shelf import Want
from kinematics.loads.virtual_work import PER_MILLE, UNKNOWN, Case, evaluate
from kinematics.loads.whole_car import WholeCar
from kinematics.planning.changes import Change
from kinematics.planning.comparison import compare
from kinematics.planning.plans import Plan
from solvers.vectors import Array

_SALOON = "rear_drive_saloon.toml"
_HARDEST = 6.0  # m/s^2
_SAME = 1e-5  # mm and mrad
_ELSEWHERE = 100.0  # mm and mrad
_PIECES = (
    Piece("45", Change("front", "spring rate", 45.0)),
    Piece("40", Change("rear", "spring rate", 40.0)),
    Piece("58", Change("front", "bar rate", 58.0)),
)
_HEIGHTS, _JOINTS = (-8.0, -4.0, 4.0, 8.0), (8.0, 12.0, 16.0)


def rows(quick: bool) -> Iterator[Row]:
    """Many accelerations in one balance, and `find` with springs and bars."""
    car = demo_car(_SALOON)
    yield _in_balance(whole_car(car), 20 if quick else 200)
    yield _choosing(car, 8 if quick else 40)


def _in_balance(car: WholeCar, count: int) -> Row:
    """SciPy's `root` on the same residuals, one acceleration after the other, each from the one before."""
    lateral = np.linspace(0.0, _HARDEST, count)

    def one_by_one() -> Array:
        # From unknowns near zero its first trust region has next to no size, so they count from elsewhere.
        unknown, found = np.full(UNKNOWN, _ELSEWHERE), []
        for one in lateral:
            case = Case(car, np.array([one]), np.zeros(1), None, np.zeros((4, 1)), np.zeros((4, 1), dtype=bool))
            unknown = root(_left_over, unknown, (case,), tol=1e-10).x
            found.append(unknown - _ELSEWHERE)
        return np.stack(found, axis=-1)

    found = balance(car, lateral)
    ours = np.concatenate([found.heave, found.roll[None] / PER_MILLE, found.travel.reshape(4, -1)])
    apart = float(np.abs(ours - one_by_one()).max())
    times = best_of(1 if count < 100 else 3, 3, lambda: balance(car, lateral), one_by_one)
    return Row(
        f"saloon: in balance at {count} lateral accelerations",
        *times,
        f"positions within {apart:.0e} mm",
        "" if apart < _SAME and found.solved.all() else f"positions differ by {apart:.3g} mm",
        against="scipy.optimize.root, one at a time",
    )


def _left_over(tried: Array, case: Case) -> Array:
    return evaluate(case, tried[:, None] - _ELSEWHERE).residual[:, 0]


def _choosing(car: Car, sample: int) -> Row:
    """`compare` on a sample of all plans on all springs, its time scaled to all of them."""
    height = np.array(_HEIGHTS), Change("front", "ride height", 1.0)
    joint = np.array(_JOINTS), Change("front", "longer ball joint", 1.0)
    amounts = tuple(Amount(change, sizes, 0 * sizes, 0 * sizes) for sizes, change in (height, joint))
    means = Means(amounts, pieces=_PIECES, lean=Want(gradient=(1.0, 4.0)))
    band = (
        Limit("roll_centre_height", 18.0, 60.0, ("ride height",)),
        Limit("force_weighted_height", 10.0, 60.0, ("roll",)),
    )
    sure = replace(car, axles=tuple(replace(axle, doubt=None) for axle in car.axles))
    limits = with_balanced_shares(Limits(WorkingRange(-20.0, 20.0, np.radians(1.5)), {"front": band, "rear": ()}), sure)
    rng = np.random.default_rng(1)
    plans = [
        Plan(
            f"{i}",
            (
                replace(height[1], by=rng.choice(height[0])),
                replace(joint[1], by=rng.choice(joint[0])),
                *(one.change for one in _PIECES if rng.random() < 0.5),
            ),
        )
        for i in range(sample)
    ]
    count = (len(_HEIGHTS) + 1) * (len(_JOINTS) + 1) * 2 ** len(_PIECES)
    taken = shortest(lambda: compare(sure, plans, limits, []), 1)
    search = find(sure, means, limits)
    (_, outcome) = compare(sure, [search.best.plan], limits, []).outcomes
    holds = outcome.buildable and all(one.holds for one in outcome.findings)
    return Row(
        "saloon: find among two changes, two springs and a bar",
        shortest(lambda: find(sure, means, limits), 1 if sample < 20 else 3),
        taken / sample * count,
        f"{count} plans; compare timed on {sample} and scaled; it holds the plan found to be within every limit",
        "" if search.found and holds else "compare does not hold the plan found within the limits",
        against="compare of every plan",
    )
