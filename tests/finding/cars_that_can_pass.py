"""How many random cars pass the usual limits as they are, and how many can by ball joint, ride height and shim.

`python -m tests.finding.cars_that_can_pass --cars N --seed S`. The cars are invented: a type's typical points, every
height off by up to 25 mm and every place across by up to 20 mm, then lowered by up to 50 mm as owners do.
"""

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from kinematics import Axle, Car, judge
from kinematics.car.limits import Limits
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.finding.means import Means
from kinematics.finding.search import find
from kinematics.motion.moving_axle import moving
from kinematics.planning.changes import Change
from kinematics.planning.plans import Plan, carry_out
from solvers.vectors import Array
from tests.finding.planted import one_of
from tests.properties.plausible_cars import typical_axle

KINDS = ("strut", "double wishbone")
UP, ACROSS, LOWERED = 25.0, 20.0, 50.0  # mm
AT_HAND = {
    "longer ball joint": np.arange(0.0, 31.0, 5.0),
    "ride height": np.arange(-10.0, 31.0, 5.0),
    "tie-rod shim": np.arange(0.0, 31.0, 5.0),
}


@dataclass(frozen=True)
class Passed:
    """Of so many cars, those that pass as they are and those that can."""

    cars: int
    as_they_are: int
    with_changes: int


def lowered_car(kind: str, seed: int) -> Car | None:
    """An invented car of a type, lowered; None where it does not go together or hardly moves."""
    rng, axle = np.random.default_rng([seed, KINDS.index(kind)]), typical_axle(SUSPENSIONS[kind])
    points = {key: point + _off(rng) for key, point in axle.points.items() if key != "wheel_centre"}
    car = Car("invented", axles=(replace(axle, points={**points, "wheel_centre": axle.points["wheel_centre"]}),))
    (done,) = carry_out(car, [Plan("lowered", (Change("front", "ride height", -rng.uniform(0.0, LOWERED)),))])
    axle_now = done["front"].axle
    if done["front"].refusals or not _moves(axle_now):
        return None
    return replace(car, axles=(axle_now,))


def _off(rng: np.random.Generator) -> Array:
    across, up = rng.uniform(-ACROSS, ACROSS), rng.uniform(-UP, UP)
    return np.array([[0.0, across, up], [0.0, -across, up]])


def _moves(axle: Axle) -> bool:
    low, high = moving(axle, -70.0, 70.0).reach
    return bool((low < -60.0).all() and (high > 60.0).all())


def passing(kind: str, cars: int, seed: int) -> Passed:
    """Judge so many cars of a type by the usual limits, as they are and after `find`."""
    now = later = done = 0
    for car in _cars(kind, cars, seed):
        done += 1
        if all(one.holds for one in judge(car.front, Limits())):
            now, later = now + 1, later + 1
            continue
        means = Means(tuple(one_of(car, what, values) for what, values in AT_HAND.items()))
        later += find(car, means, Limits()).found
    return Passed(done, now, later)


def _cars(kind: str, cars: int, seed: int) -> Iterator[Car]:
    made, number = 0, 0
    while made < cars:
        car = lowered_car(kind, seed * 100_000 + number)
        number += 1
        if car is not None:
            made += 1
            yield car


def main() -> int:
    """Count from the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.finding.cars_that_can_pass")
    parser.add_argument("--cars", type=int, default=400, help="so many of each type")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    for kind in KINDS:
        print(kind, passing(kind, options.cars, options.seed), flush=True)  # noqa: T201
    return 0


if __name__ == "__main__":
    sys.exit(main())
