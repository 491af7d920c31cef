"""How likely a plan holds on a car that was measured with doubt, without solving every plan on every car.

Cars as they might be are tried under one plan. What they shift its checked numbers by, they shift a neighbouring plan's
by almost as much: so plans are looked through by these shifts, and the plan that is taken is tried on the cars itself.
"""

from dataclasses import dataclass

import numpy as np

from kinematics.doubt.assessment import perturbed_axles
from kinematics.finding.checks import Checks
from solvers.vectors import Array

_AT_ONCE = 64  # plans


@dataclass(frozen=True)
class CarsAsTheyMightBe:
    """A plan tried on cars. chance: part of them in which it holds every check.

    shifts: of the checked numbers (cars, columns) by the doubt of measuring.
    """

    checks: Checks
    chance: float
    shifts: Array

    def chances(self, numbers: Array) -> Array:
        """Part of the cars (N,) in which neighbouring plans with checked numbers (N, columns) hold every check."""
        found = np.empty(len(numbers))
        for first in range(0, len(numbers), _AT_ONCE):
            here = numbers[first : first + _AT_ONCE]
            shifted = (here[:, None] + self.shifts).reshape(-1, numbers.shape[1])
            found[first : first + _AT_ONCE] = _holds(self.checks, shifted).reshape(len(here), -1).mean(axis=1)
        return found


def is_doubtful(checks: Checks) -> bool:
    """Whether the car says of any axle how well it was measured."""
    return any(axle.doubt is not None for axle in checks.car.axles)


def tried(checks: Checks, values: Array, cars: int, seed: int) -> CarsAsTheyMightBe:
    """Try a plan (k,) on cars as they might be, the same cars for a seed; doubts are normal."""
    rng = np.random.default_rng(seed)
    axles = {}
    for axle in checks.car.axles:
        if axle.doubt is not None:
            sources = rng.standard_normal((cars, len(axle.doubt.sources)))
            axles[axle.name] = perturbed_axles(axle, axle.doubt, sources)
    exact = checks(values[None])
    numbers = checks.on(axles, np.broadcast_to(values, (cars, len(values))))
    return CarsAsTheyMightBe(checks, float(_holds(checks, numbers).mean()), numbers - exact)


def _holds(checks: Checks, numbers: Array) -> Array:
    return np.asarray((checks.margins(numbers) >= 0.0).all(axis=1))
