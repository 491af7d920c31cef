"""Brute force: every plan of small grids tried by `compare`; nothing that can be built is better than what was found.

`compare` is another way through plans, one at a time and with rules, stops, adjusters and joints of its own (formula).
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Car
from kinematics.car.limits import Limit, Limits
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.finding.candidates import order_of
from kinematics.finding.means import Means
from kinematics.finding.search import find
from kinematics.judging.verdict import judge
from kinematics.planning.comparison import compare
from tests.finding.planted import WORKING, means_of, one_of, random_axle
from tests.short_run import at_places

FEW_CARS, MANY_CARS = 1, 15  # of each type
KINDS = ("strut", "double wishbone")


def somewhere(car: Car, seed: int) -> Limits:
    """Limits a little away from the car as measured, so that some plans hold them and some do not."""
    own = {}
    middle = np.random.default_rng(seed)
    # Between what no plan holds, as a strut's roll centre moves some 60 mm over the travel, and what most plans hold.
    height = middle.uniform(12.0, 45.0)
    wide = {"roll_centre_height": (15.0, height), "bump_steer": (1.8e-4, 1.5e-4), "camber_gain": (0.0, 1e-3)}
    for axle in car.axles:
        limits = []
        for key, (off, width) in wide.items():
            nothing = Limit(key, -1e9, 1e9, ("ride height",))
            found = judge(axle, Limits(WORKING, {axle.name: (nothing,)}))
            here = next(one for one in found if one.limit.key == key)
            at = here.worst + off * middle.choice([-1.0, 1.0])
            limits.append(Limit(key, at - width, at + width, ("ride height", "travel")))
        # The usual limit of the force-weighted height would decide alone: it is out of the way.
        limits.append(Limit("force_weighted_height", -1e4, 1e4, ("ride height",)))
        own[axle.name] = tuple(limits)
    return Limits(WORKING, own)


@pytest.mark.parametrize("kind", at_places(KINDS, 1))
def test_nothing_better_in_the_whole_grid(kind: str, campaign: bool) -> None:
    holding = []
    for seed in range(MANY_CARS if campaign else FEW_CARS):
        car = Car("random", axles=(random_axle(SUSPENSIONS[kind], 300 + seed),))
        steps = np.arange(-18.0, 19.0, 6.0 if campaign else 18.0)  # 343 plans are learnt from, 27 are all solved
        means = means_of(*(one_of(car, what, steps) for what in ("ride height", "longer ball joint", "tie-rod shim")))
        limits = somewhere(car, seed)
        found = find(car, means, limits)
        amounts, holds, worst = every_plan(car, means, limits)
        holding.append(holds.any())
        if holding[-1]:
            best = np.lexsort(order_of(means, amounts[holds]).T[::-1])[0]
            assert found.found, seed
            assert_allclose(
                order_of(means, found.best.amounts[None]), order_of(means, amounts[holds][best : best + 1]), atol=1e-9
            )
        else:
            assert not found.found
            assert found.best.worst >= worst.max() - 1e-6
    assert not campaign or 0 < sum(holding) < len(holding)  # both are tried


def every_plan(car: Car, means: Means, limits: Limits) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Amounts (N, k) of every plan, whether `compare` lets it be built and holds all, and its worst margin."""
    amounts = np.concatenate([means.grid(support) for support in means.supports])
    plans = [means.plan(one, f"plan {i}") for i, one in enumerate(amounts)]
    outcomes = compare(car, plans, limits, []).outcomes[1:]
    holds = np.array([one.buildable and one.holding == len(one.findings) for one in outcomes])
    return amounts, holds, np.array([one.margin if one.findings else -np.inf for one in outcomes])
