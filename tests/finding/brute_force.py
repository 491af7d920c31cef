"""Brute force: every plan of a grid tried by `compare`; nothing that can be built is better than what was found.

`compare` is another way through plans, one at a time and with rules, stops, adjusters and joints of its own (formula).
Small grids are part of the campaign. `python -m tests.finding.brute_force --cars 15 --first 0` tries grids of 100 to
10,000 plans by hand, so many cars of each type, some two minutes of processor time a car.
"""

import argparse

import numpy as np
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

KINDS = ("strut", "double wishbone")
AS_FAR = 18.0  # mm, of each change, either way
CHANGED = ("ride height", "longer ball joint", "tie-rod shim")


def none_better(kind: str, seed: int, counts: tuple[int, ...]) -> bool:
    """Whether any plan of a car's grid holds; AssertionError where one is better than what `find` found.

    counts: amounts of each of the three changes.
    """
    car = Car("random", axles=(random_axle(SUSPENSIONS[kind], 300 + seed),))
    own = [one_of(car, what, np.linspace(-AS_FAR, AS_FAR, n)) for what, n in zip(CHANGED, counts, strict=True)]
    means, limits = means_of(*own), somewhere(car, seed)
    found = find(car, means, limits)
    amounts, holds, worst = every_plan(car, means, limits)
    if not holds.any():
        assert not found.found, seed
        assert found.best.worst >= worst.max() - 1e-6, seed
        return False
    best = np.lexsort(order_of(means, amounts[holds]).T[::-1])[0]
    assert found.found, seed
    mine, others = order_of(means, found.best.amounts[None]), order_of(means, amounts[holds][best : best + 1])
    assert_allclose(mine, others, atol=1e-9, err_msg=str(seed))
    return True


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


def every_plan(car: Car, means: Means, limits: Limits) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Amounts (N, k) of every plan, whether `compare` lets it be built and holds all, and its worst margin."""
    amounts = np.concatenate([means.grid(support) for support in means.supports])
    plans = [means.plan(one, f"plan {i}") for i, one in enumerate(amounts)]
    outcomes = compare(car, plans, limits, []).outcomes[1:]
    holds = np.array([one.buildable and one.holding == len(one.findings) for one in outcomes])
    return amounts, holds, np.array([one.margin if one.findings else -np.inf for one in outcomes])


def main() -> None:
    """Cars of both types, grids of drawn sizes, each told as it is done."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--cars", type=int, default=15)
    options.add_argument("--first", type=int, default=0)
    asked = options.parse_args()
    for seed in range(asked.first, asked.first + asked.cars):
        for kind in KINDS:
            # An odd count each, so that nothing changed is among them; 5 x 5 x 5 to 21 x 21 x 21.
            draw = np.random.default_rng([seed, KINDS.index(kind)])
            counts = tuple(int(one) for one in 2 * np.round(np.exp(draw.uniform(*np.log([2.0, 10.0]), 3))) + 1)
            holding = none_better(kind, seed, counts)
            print(f"{kind} {seed}: {np.prod(counts)} plans, {'some hold' if holding else 'none holds'}", flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
