"""How likely a plan holds on a car that was measured with doubt, without solving every plan on every car.

Cars as they might be are tried under one plan. What they shift its checked numbers by, they shift a neighbouring plan's
by almost as much: so plans are looked through by these shifts, and the plan that is taken is tried on the cars itself.
"""

import math
from dataclasses import dataclass

import numpy as np

from kinematics.car.parts_known import parts_told
from kinematics.doubt.assessment import perturbed_axles
from kinematics.doubt.axle_doubt import doubt_of
from kinematics.finding.checks import Checks
from kinematics.finding.found_plans import CostOfChance
from solvers.vectors import Array

_AT_ONCE = 64  # plans
_ROUNDING = 1e-9
_MOST_LIFTED = 3  # checks


@dataclass(frozen=True)
class CarsAsTheyMightBe:
    """A plan tried on cars. margins: of every check on each of them (cars, checks), as parts of its range.

    shifts: of the checked numbers (cars, columns) by the doubt of measuring.
    """

    checks: Checks
    margins: Array
    shifts: Array

    @property
    def chance(self) -> float:
        """Part of the cars in which the plan holds every check."""
        return float((self.margins >= 0.0).all(axis=1).mean())

    def chances(self, numbers: Array) -> Array:
        """Part of the cars (N,) in which neighbouring plans with checked numbers (N, columns) hold every check."""
        found = np.empty(len(numbers))
        for first in range(0, len(numbers), _AT_ONCE):
            here = numbers[first : first + _AT_ONCE]
            shifted = (here[:, None] + self.shifts).reshape(-1, numbers.shape[1])
            found[first : first + _AT_ONCE] = self.checks.hold(shifted).reshape(len(here), -1).mean(axis=1)
        return found

    def cost(self, asked: float) -> CostOfChance:
        """Which checks cost the plan most of its chance, and how far the first must give way for the chance asked."""
        holds = self.margins >= 0.0
        lifted: list[int] = []
        without: list[float] = []
        count = holds.shape[1]
        while len(lifted) < min(_MOST_LIFTED, count) and (not without or without[-1] < asked):
            rest = (np.delete(holds, [*lifted, i], axis=1) for i in range(count))
            chances = np.array([one.all(axis=1).mean() for one in rest])
            chances[lifted] = -1.0
            lifted.append(int(np.argmax(chances)))
            without.append(float(chances.max()))
        return CostOfChance(tuple(lifted), tuple(without), self._gives(lifted[0], asked))

    def _gives(self, check: int, asked: float) -> float | None:
        """How far one check's bounds must give way for the chance asked; None where that is not enough."""
        others = np.asarray((np.delete(self.margins, check, axis=1) >= 0.0).all(axis=1))
        best_first = -np.sort(-self.margins[others, check])
        enough = max(math.ceil(asked * len(others) - _ROUNDING), 1)
        last = float(best_first[enough - 1]) if len(best_first) >= enough else -math.inf
        return -last if math.isfinite(last) else None


def is_doubtful(checks: Checks) -> bool:
    """Whether the car says of any axle how well it was measured."""
    return any(axle.doubt is not None for axle in checks.car.axles)


def tried(checks: Checks, values: Array, cars: int, seed: int) -> CarsAsTheyMightBe:
    """Try a plan (k,) on cars as they might be, the same cars for a seed; doubts are normal."""
    rng = np.random.default_rng(seed)
    known = [axle for axle in checks.car.axles if axle.doubt is not None]
    of_points = {axle.name: rng.standard_normal((cars, len(axle.doubt.sources))) for axle in known if axle.doubt}
    # A spring that is stiffer, or a centre of gravity that is higher, is so for both axles.
    of_parts = {str(part): rng.standard_normal(cars) for part, _ in parts_told(checks.car)}
    axles = {}
    for axle in known:
        doubt = doubt_of(axle, checks.limits)
        assert doubt is not None  # its points have one
        own = of_points[axle.name]
        shared = [of_parts[name][:, None] for name in doubt.sources[own.shape[1] :]]
        axles[axle.name] = perturbed_axles(axle, doubt, np.concatenate([own, *shared], axis=1))
    exact = checks(values[None])
    numbers = checks.on(axles, np.broadcast_to(values, (cars, len(values))))
    return CarsAsTheyMightBe(checks, checks.margins(numbers), numbers - exact)
