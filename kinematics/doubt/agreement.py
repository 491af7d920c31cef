"""Where first order and Monte Carlo disagree: a number near an extremum, curved, or on its way to infinity."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.doubt.assessment import NORMAL_95, Assessment
from kinematics.doubt.question import NumberAt
from kinematics.numbers.registry import QUANTITIES
from solvers.spread import FirstOrder, Spread
from solvers.vectors import Array, Flags

# An end of a 95 % interval, read from n normal draws, is itself uncertain by this over the square root of n, in
# standard deviations: sqrt(0.025 * 0.975) over the density there (formula).
_END_OF_INTERVAL = 2.67
_DRAWN_TO = 4.0  # differences of up to so many such uncertainties count as chance
_FLAT = 0.5  # of the drawn interval: if first order is narrower than this, an extremum is near
_SAME = 1e-9  # of a number's size: differences this small are rounding


@dataclass(frozen=True)
class Parting:
    """A number at ride height whose 95 % interval is not what first order says.

    side: 0 left, 1 right, None for the axle or for both sides alike. first: interval to first order; drawn: by Monte
    Carlo, both in the unit inside. flat: first order is far too narrow. lost: part of the drawn cars in which the
    number does not exist or is infinite.
    """

    key: str
    side: int | None
    first: tuple[float, float]
    drawn: tuple[float, float]
    flat: bool
    lost: float


def partings(assessment: Assessment) -> list[Parting]:
    """All numbers at ride height for which the two disagree; sides that are alike come once."""
    return list(dict.fromkeys(_partings(assessment)))


def parted_states(assessment: Assessment, asked: NumberAt) -> Flags:
    """At which states of a sweep the two disagree ([2,] S)."""
    assert assessment.chances is not None
    return part(assessment.first[asked], assessment.chances.spread[asked])


def part(first: FirstOrder, spread: Spread) -> Flags:
    """Where the 95 % intervals to first order and by Monte Carlo differ by more than JCGM 101:2008, 8.1, allows.

    The tolerance is half a unit of the standard deviation's first significant digit (8.1.2, 8.1.3 a), but no less than
    the number of draws leaves open. The standard deviation is taken from the interval: for a number that runs to
    infinity, a few far draws would otherwise make it so large that nothing differed.
    """
    low, high = spread.interval()
    sigma = (high - low) / (2.0 * NORMAL_95)
    with np.errstate(divide="ignore", invalid="ignore"):
        digit = 0.5 * 10.0 ** np.floor(np.log10(sigma))
        open_to = _DRAWN_TO * _END_OF_INTERVAL * sigma / np.sqrt(spread.known)
        tolerance = np.maximum(digit, open_to) + _SAME * (1.0 + np.abs(first.value))
        way = NORMAL_95 * first.standard_deviation
        apart = np.maximum(np.abs(first.value - way - low), np.abs(first.value + way - high))
        return np.asarray(~(apart <= tolerance) | (spread.known < spread.count))


def _partings(assessment: Assessment) -> Iterator[Parting]:
    chances = assessment.chances
    if chances is None:
        return
    for key in assessment.sweeps["ride height"].values:
        first, spread = assessment.first["ride height", key], chances.spread["ride height", key]
        apart = part(first, spread)
        if not apart.any():
            continue
        sides = range(len(SIDE_NAMES)) if QUANTITIES[key].per_side else [None]
        found = [_parting(key, side, first, spread) for side in sides if apart.reshape(-1)[side or 0]]
        alike = len(found) == 2 and np.allclose(found[0].drawn, found[1].drawn, rtol=1e-6, equal_nan=True)
        yield from ([_for_both(found[0])] if alike else found)


def _parting(key: str, side: int | None, first: FirstOrder, spread: Spread) -> Parting:
    def here(values: Array) -> float:
        return float(values.reshape(-1)[side or 0])

    value, way = here(first.value), NORMAL_95 * here(first.standard_deviation)
    low, high = (here(end) for end in spread.interval())
    lost = 1.0 - here(spread.known) / spread.count
    flat = math.isfinite(high - low) and way < _FLAT * 0.5 * (high - low)
    return Parting(key, side, (value - way, value + way), (low, high), flat, lost)


def _for_both(one: Parting) -> Parting:
    return Parting(one.key, None, one.first, one.drawn, one.flat, one.lost)
