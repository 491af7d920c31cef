"""Candidates among all plans of the means: those that may hold, by the response surface, the most wanted first."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.finding.checks import Checks
from kinematics.finding.means import Aim, Means
from solvers.vectors import Array

_AT_ONCE = 65_536
_MOST_KEPT = 20_000  # of one support
_NEAREST = 24  # of one support, by worst margin
_OF_EACH_PLACE = 2  # as many again
_TRUSTED = 0.5  # of a check's range: margins that may be wrong by more do not rank plans
_ROUNDING = 1e-9
# How many of the numbers that plans are ordered by are asked for; of plans equal in these the surer ones come first.
ASKED = {Aim.FEWEST_PARTS: 1, Aim.LEAST_CHANGE: 3, Aim.PRICE: 2, Aim.LOWEST: 2}


@dataclass(frozen=True)
class Candidates:
    """Plans of one support: amounts (N, k) that may hold every check, best first, and those with the best worst margin.

    order: (N, 3), the numbers by which plans are ordered. nearest: (M, k), with their worst margins (M,). looked_at:
    how many plans there are.
    """

    support: tuple[int, ...]
    amounts: Array
    order: Array
    nearest: Array
    worst: Array
    looked_at: int


@dataclass(frozen=True)
class Look:
    """How plans are looked at: checked numbers (N, columns) of plans (N, k), by a surface or exactly.

    slack: (checks,) by how much each margin may be wrong.
    """

    checks: Checks
    numbers: Callable[[Array], Array]
    slack: Array


def candidates(means: Means, look: Look, support: Sequence[int]) -> Candidates:
    """Look at every plan of a support, what may be wrong with each margin counting in its favour."""
    kept, best, worsts, looked_at = [], [], [], 0
    for block in _blocks(means.grid(support)):
        allowed = block[means.permitted(block)]
        margins = look.checks.margins(look.numbers(allowed))
        worst = margins[:, look.slack < _TRUSTED].min(axis=1, initial=np.inf)
        kept.append(allowed[(margins >= -look.slack - _ROUNDING).all(axis=1)])
        top = nearest(means, allowed, worst)
        best.append(allowed[top])
        worsts.append(worst[top])
        looked_at += len(block)
    amounts, near, worst = np.concatenate(kept), np.concatenate(best), np.concatenate(worsts)
    order = order_of(means, amounts)
    first = np.lexsort(order.T[::-1])[:_MOST_KEPT]
    top = nearest(means, near, worst)
    return Candidates(tuple(support), amounts[first], order[first], near[top], worst[top], looked_at)


def nearest(means: Means, amounts: Array, worst: Array, of_each: int = _OF_EACH_PLACE) -> Array:
    """Which plans (N, k) have the best worst margins (N,): of all, and so many of each place along the trade-off."""
    by_margin = np.argsort(-worst, kind="stable")
    here, chosen = by_margin, [by_margin[:_NEAREST]]
    places = place_of(means, amounts)
    for _ in range(of_each):
        _, first = np.unique(places[here], return_index=True)
        chosen.append(here[first])
        here = np.delete(here, first)
    return np.unique(np.concatenate(chosen))


def place_of(means: Means, amounts: Array) -> Array:
    """Where plans (N, k) stand along the trade-off (N,): their ride height, or how many things they change."""
    heights = height_of(means, amounts)
    by_height = any(one.change.what == "ride height" for one in means.amounts)
    return heights if by_height else np.count_nonzero(amounts, axis=1).astype(float)


def order_of(means: Means, amounts: Array) -> Array:
    """Numbers (N, 3) by which plans (N, k) are ordered, the first counting most; less is better."""
    parts = (amounts != 0.0).sum(axis=1).astype(float) + len(means.fitting.pieces)
    spans = np.array([one.span or 1.0 for one in means.amounts])
    change = np.abs(amounts / spans).sum(axis=1) + means.fitting.size
    if means.aim is Aim.LEAST_CHANGE:
        return np.stack([change, parts, price_of(means, amounts)], axis=1)
    if means.aim is Aim.PRICE:
        return np.stack([price_of(means, amounts), parts, change], axis=1)
    if means.aim is Aim.LOWEST:
        return np.stack([height_of(means, amounts), parts, change], axis=1)
    return np.stack([parts, change, price_of(means, amounts)], axis=1)


def asked_of(means: Means, amounts: Array) -> Array:
    """The first of those numbers (N, 1..3), which are what is asked; less is better."""
    return np.round(order_of(means, amounts)[:, : ASKED[means.aim]], 9)


def price_of(means: Means, amounts: Array) -> Array:
    """What plans (N, k) cost (N,)."""
    return _looked_up(means, amounts, "prices") + means.fitting.price


def hours_of(means: Means, amounts: Array) -> Array:
    """Hours of work that plans (N, k) take (N,)."""
    return _looked_up(means, amounts, "hours") + means.fitting.hours


def height_of(means: Means, amounts: Array) -> Array:
    """How far plans (N, k) raise the body, over both axles where both are named (N,) [mm]."""
    raises = np.array([one.change.what == "ride height" for one in means.amounts], dtype=bool)
    return np.asarray(amounts[:, raises].sum(axis=1))


def _looked_up(means: Means, amounts: Array, what: str) -> Array:
    total = np.zeros(len(amounts))
    for i, one in enumerate(means.amounts):
        place = np.clip(np.searchsorted(one.values, amounts[:, i] - _ROUNDING), 0, len(one.values) - 1)
        total += np.where(amounts[:, i] != 0.0, getattr(one, what)[place], 0.0)
    return total


def _blocks(grid: Array) -> Iterator[Array]:
    for first in range(0, len(grid), _AT_ONCE):
        yield grid[first : first + _AT_ONCE]
