"""Plans of the means solved exactly, each once, and what is known of them."""

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import replace

import numpy as np

from kinematics.finding.candidates import height_of, hours_of, order_of, price_of
from kinematics.finding.checks import Checks
from kinematics.finding.found_plans import FoundPlan
from kinematics.finding.means import Means
from kinematics.planning.plans import AS_MEASURED
from solvers.vectors import Array, Flags

Progress = Callable[[str, int, int], None]
AT_ONCE = 256  # plans solved together at most: what is solved together shares its last bits


class Verified:
    """What is known exactly: called with plans (N, k) it gives their numbers (N, columns) and margins (N, checks)."""

    def __init__(self, exact: Checks, means: Means, executor: Executor | None) -> None:
        self.exact, self.means, self.executor = exact, means, executor
        self.known: dict[bytes, tuple[Array, Array]] = {}

    def __call__(self, amounts: Array) -> tuple[Array, Array]:
        """Numbers and margins of plans; each is solved once."""
        keys = [one.tobytes() for one in amounts]
        new = list({key: i for i, key in enumerate(keys) if key not in self.known}.values())
        if new:
            numbers = self._solved(amounts[new])
            margins = self.exact.margins(numbers)
            self.known |= {keys[i]: (numbers[j], margins[j]) for j, i in enumerate(new)}
        found = [self.known[key] for key in keys]
        if not found:
            return np.zeros((0, len(self.exact.column))), np.zeros((0, len(self.exact.checks)))
        return np.stack([one[0] for one in found]), np.stack([one[1] for one in found])

    def holding(self, amounts: Array) -> Flags:
        """Which plans (N, k) hold every check (N,)."""
        return np.asarray((self(amounts)[1] >= 0.0).all(axis=1))

    def worst(self, amounts: Array) -> Array:
        """The worst margin of plans (N, k), (N,)."""
        return np.asarray(self(amounts)[1].min(axis=1, initial=np.inf))

    def all_known(self) -> tuple[Array, Array]:
        """Every plan solved so far (N, k), and its worst margin (N,)."""
        amounts = np.array([np.frombuffer(key) for key in self.known]).reshape(len(self.known), len(self.means.amounts))
        return amounts, np.array([margins.min(initial=np.inf) for _, margins in self.known.values()])

    def best_known(self) -> FoundPlan:
        """The best of them: of those that hold the most wanted, else the one that comes nearest."""
        if not self.known:
            return self.told(np.zeros(len(self.means.amounts)))
        amounts, worst = self.all_known()
        holding = np.flatnonzero(worst >= 0.0)
        if holding.size:
            return self.told(amounts[holding[np.lexsort(order_of(self.means, amounts[holding]).T[::-1])[0]]])
        return self.told(amounts[np.argmax(worst)])

    @property
    def lost(self) -> int:
        """How many of them cannot be put together."""
        return sum(bool(np.isnan(numbers).any()) for numbers, _ in self.known.values())

    def told(self, amounts: Array) -> FoundPlan:
        """A plan (k,) as a record."""
        _, margins = self(amounts[None])
        price, hours, raised = (of(self.means, amounts[None])[0] for of in (price_of, hours_of, height_of))
        order = tuple(order_of(self.means, amounts[None])[0].tolist())
        changed = amounts.any() or self.means.fitting.pieces
        plan = self.means.plan(amounts, "found" if changed else AS_MEASURED.name)
        found = FoundPlan(plan, amounts, margins[0], float(price), float(hours), float(raised), None, order)
        return replace(found, fitting=self.means.fitting)

    def _solved(self, amounts: Array) -> Array:
        if len(amounts) < 2 * AT_ONCE:
            return self.exact(amounts)
        blocks = np.array_split(amounts, -(-len(amounts) // AT_ONCE))
        return np.concatenate(list((map if self.executor is None else self.executor.map)(self.exact, blocks)))
