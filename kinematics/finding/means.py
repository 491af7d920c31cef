"""The means at hand: what may be changed and how far, in which steps or sizes, and what is wanted most."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import combinations
from math import prod

import numpy as np

from kinematics.car.uncertainty import WAYS
from kinematics.finding.pieces import AS_IT_IS, Fitting, Piece
from kinematics.loads.shelf import Want
from kinematics.planning.changes import Change
from kinematics.planning.plans import Plan
from kinematics.planning.rules import Rule
from solvers.vectors import Array, Flags

ANY_LEAN = Want()
MOST_COMBINATIONS = 5_000_000
_ROUNDING = 1e-9  # mm


class Aim(Enum):
    """What counts first among plans that hold all limits."""

    FEWEST_PARTS = "fewest parts"
    LEAST_CHANGE = "least change"
    PRICE = "price"
    LOWEST = "lowest"


@dataclass(frozen=True, repr=False)
class Amount:
    """One thing that may be changed, and the amounts of it that can be had.

    change: with an amount of one (by 1, or a shift along one axis by 1) [mm]; values: (n,) ascending, without zero,
    which is to leave it alone; prices, hours: (n,) of each.
    """

    change: Change
    values: Array
    prices: Array
    hours: Array

    def __repr__(self) -> str:
        return f"<{self.name}: {self.values.size} amounts, {self.values.min():g} to {self.values.max():g} mm>"

    @property
    def name(self) -> str:
        """Axle, kind of change, point, way and side in one word, as a column is named."""
        change = self.change
        way = next((way for way, part in zip(WAYS, change.shift, strict=True) if part), "")
        left, right = change.sides
        side = "" if left == right else "left" if left else "right"
        return "_".join(filter(None, (change.axle, change.what, change.point, way, side))).replace(" ", "_")

    def made(self, value: float) -> Change:
        """The change by an amount."""
        ahead, out, up = (value * part for part in self.change.shift)
        return replace(self.change, by=value * self.change.by, shift=(ahead, out, up))

    @property
    def span(self) -> float:
        """Size of its largest amount [mm]."""
        return float(np.abs(self.values).max(initial=0.0))


@dataclass(frozen=True)
class Together:
    """Amounts, by their places, that a class rule counts as one change, and how far that may go [mm]."""

    which: tuple[int, ...]
    most: float


@dataclass(frozen=True, repr=False)
class Means:
    """All that may be done to a car. chance: asked of all limits together, None where only the measured car counts.

    fractions: whether its file writes amounts as a tape shows them, such as "5/8". pieces: springs and bars that lie
    there; lean: how the car is to lean with those that are fitted; fitting: those that it stands on, while plans for
    one combination of them are looked for.
    """

    amounts: tuple[Amount, ...]
    rules: tuple[Rule, ...] = ()
    aim: Aim = Aim.FEWEST_PARTS
    most_parts: int | None = None
    chance: float | None = None
    fractions: bool = False
    together: tuple[Together, ...] = ()
    pieces: tuple[Piece, ...] = ()
    lean: Want = ANY_LEAN
    fitting: Fitting = AS_IT_IS

    def __repr__(self) -> str:
        rules = f", {len(self.rules)} rules" if self.rules else ""
        pieces = f", {len(self.pieces)} springs and bars" if self.pieces else ""
        return f"<means: {', '.join(one.name for one in self.amounts)}{pieces}{rules}; {self.aim.value} wanted>"

    @property
    def supports(self) -> Iterator[tuple[int, ...]]:
        """Which amounts are changed, fewest first, nothing at all the very first."""
        most = len(self.amounts) if self.most_parts is None else min(self.most_parts, len(self.amounts))
        for count in range(most + 1):
            yield from combinations(range(len(self.amounts)), count)

    @property
    def combinations(self) -> int:
        """How many plans there are."""
        return sum(prod(len(self.amounts[i].values) for i in support) for support in self.supports)

    def grid(self, support: Sequence[int]) -> Array:
        """Every plan that changes just these amounts (N, k); zero elsewhere."""
        axes = np.meshgrid(*(self.amounts[i].values for i in support), indexing="ij")
        out = np.zeros((axes[0].size if axes else 1, len(self.amounts)))
        for i, axis in zip(support, axes, strict=True):
            out[:, i] = axis.reshape(-1)
        return out

    def permitted(self, amounts: Array) -> Flags:
        """Which plans (N, k) keep what counts together within what its rule allows (N,)."""
        allowed = np.ones(len(amounts), dtype=bool)
        for one in self.together:
            changes = [self.amounts[i].change for i in one.which]
            steps = np.array([[[side * change.by, *(side * np.array(change.shift))] for side in change.sides]
                              for change in changes])  # fmt: skip
            moved = np.tensordot(amounts[:, list(one.which)], steps, axes=1)
            allowed &= np.linalg.norm(moved, axis=-1).max(axis=-1) <= one.most + _ROUNDING
        return allowed

    def plan(self, values: Array, name: str) -> Plan:
        """The plan of amounts (k,), springs packed so that the car stands as high as they say."""
        changes = [one.made(float(value)) for one, value in zip(self.amounts, values, strict=True) if value]
        fitted = [one.change for one in self.fitting.pieces]
        if fitted and not any(one.what == "ride height" for one in changes):
            fitted.append(Change(fitted[0].axle, "ride height", 0.0))
        return Plan(name, (*changes, *fitted))
