"""How doubt spreads from the inputs of a calculation to its results: to first order, and by Monte Carlo.

The inputs are m independent sources, each in units of its own standard deviation, zero at its best value; a study
turns sources (..., m) into named numbers (..., *shape). After JCGM 100:2008 (5.1.2, first order) and JCGM 101:2008
(propagation of distributions).
"""

import math
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Literal, TypeVar

import numpy as np

from solvers.executors import in_order
from solvers.tangents import seeded, tangent
from solvers.vectors import Array, Index

Shape = Literal["normal", "uniform", "arcsine"]
_Key = TypeVar("_Key", bound=Hashable)
Study = Callable[[Array], Mapping[_Key, Array]]
Track = Callable[[Iterable[int]], Iterable[int]]

BLOCK = 100  # draws at a time: bounds the memory
_BINS = 1024
_FARTHEST = math.asinh(1e5)  # from a spread's middle, in units of its width
_WIDTH = 2.0 * _FARTHEST / _BINS
_QUARTILES = 1.349  # standard deviations between a normal distribution's quartiles


@dataclass(frozen=True, repr=False)
class FirstOrder:
    """A number's value (...) and its change for one standard deviation of each source, slopes (m, ...)."""

    value: Array
    slopes: Array

    def __repr__(self) -> str:
        return f"<first order: {self.value.size} values, {len(self.slopes)} sources>"

    @property
    def standard_deviation(self) -> Array:
        """Standard deviation to first order (...)."""
        return np.asarray(np.sqrt((self.slopes**2).sum(axis=0)))

    @property
    def shares(self) -> Array:
        """Each source's part of the variance (m, ...); zeros where there is none."""
        variance = (self.slopes**2).sum(axis=0)
        return np.asarray(self.slopes**2 / np.where(variance > 0.0, variance, 1.0))

    def halved(self) -> Array:
        """What the standard deviation would be if one source's were halved, for each source (m, ...)."""
        variance = (self.slopes**2).sum(axis=0)
        return np.asarray(np.sqrt(np.maximum(variance - 0.75 * self.slopes**2, 0.0)))


def first_order(study: Study[_Key], sources: int) -> dict[_Key, FirstOrder]:
    """Value and exact slopes of every number of a study that carries tangents along (see `tangents`)."""
    return slopes(study(seeded(np.zeros(sources))))


def slopes(found: Mapping[_Key, Array]) -> dict[_Key, FirstOrder]:
    """Numbers (sources, ...) that carry a tangent for each source, with the slopes that these are."""
    return {key: FirstOrder(np.real(values[0]), tangent(values)) for key, values in found.items()}


@dataclass(frozen=True, repr=False)
class Spread:
    """A number (...) over many draws: how many of them were finite, their mean, and how they spread.

    count: of all draws. known: (...) how many of them were finite. mean, squares: (...) mean and sum of squared
    deviations of these; lowest, highest: (...) of them. middle, width: (...) of the scale over which `heights`
    (bins, ...) counts them. In the unit of the number.
    """

    count: int
    known: Array
    mean: Array
    squares: Array
    lowest: Array
    highest: Array
    middle: Array
    width: Array
    heights: Array

    def __repr__(self) -> str:
        return f"<spread of {self.mean.size} values over {self.count} draws>"

    @property
    def standard_deviation(self) -> Array:
        """Standard deviation of the finite draws (...); NaN where there are fewer than two."""
        return np.asarray(np.sqrt(self.squares / np.where(self.known > 1, self.known - 1, np.nan)))

    def quantile(self, probability: float) -> Array:
        """The value (...) below which that part of the finite draws lies; NaN where there are none.

        Read from counts on a scale of inverse hyperbolic sines, to about 0.001 of the spread's width.
        """
        cumulated = np.concatenate([np.zeros((1, *self.heights.shape[1:])), np.cumsum(self.heights, axis=0)])
        wanted = probability * self.known
        above = np.clip((cumulated < wanted).sum(axis=0), 1, _BINS)
        low, high = (np.take_along_axis(cumulated, at[None], axis=0)[0] for at in (above - 1, above))
        start, end = (np.clip(self._edge(at), self.lowest, self.highest) for at in (above - 1, above))
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.known > 0, start + (end - start) * (wanted - low) / (high - low), np.nan)

    def _edge(self, at: Index) -> Array:
        """Lower edge of a bin; the outermost edges are the extremes."""
        scaled = self.middle + self.width * np.sinh(at * _WIDTH - _FARTHEST)
        return np.where(at == 0, self.lowest, np.where(at == _BINS, self.highest, scaled))

    def interval(self, coverage: float = 0.95) -> tuple[Array, Array]:
        """Low and high (...) of the probabilistically symmetric interval (JCGM 101:2008, 3.15) of the finite draws."""
        tail = 0.5 * (1.0 - coverage)
        return self.quantile(tail), self.quantile(1.0 - tail)


def monte_carlo(
    study: Study[_Key],
    shapes: Sequence[Shape],
    draws: int,
    seed: int,
    *,
    block: int = BLOCK,
    track: Track = iter,
    executor: Executor | None = None,
) -> dict[_Key, Spread]:
    """Run a study on many draws of its sources, a block at a time; the same seed and block give the same result.

    track: is given the numbers of the blocks and yields them one by one, as a progress bar does. executor: runs the
    blocks elsewhere, with results the same to the last bit; the study must then pickle.
    """
    running: dict[_Key, _Running] = {}
    work = partial(_block, study, tuple(shapes), draws, seed, block)
    indices = track(range(-(-draws // block)))
    for found in map(work, indices) if executor is None else in_order(executor, work, indices):
        for key, values in found.items():
            if key not in running:
                running[key] = _Running(values)
            running[key].add(values)
    return {key: one.spread(draws) for key, one in running.items()}


def _block(
    study: Study[_Key], shapes: Sequence[Shape], draws: int, seed: int, block: int, index: int
) -> Mapping[_Key, Array]:
    """A study's numbers for one block of draws."""
    return study(drawn(shapes, min(block, draws - index * block), seed, index))


def drawn(shapes: Sequence[Shape], count: int, seed: int, index: int) -> Array:
    """Draw the sources (count, m) of one block, each with mean zero and standard deviation one."""
    random = np.random.default_rng([seed, index])
    out = random.standard_normal((count, len(shapes)))
    # Half-widths of the other two shapes: JCGM 101:2008, 6.4.2 and 6.4.6.
    for column, shape in enumerate(shapes):
        if shape == "uniform":
            out[:, column] = random.uniform(-math.sqrt(3.0), math.sqrt(3.0), count)
        elif shape == "arcsine":
            out[:, column] = math.sqrt(2.0) * np.sin(random.uniform(-math.pi, math.pi, count))
    return out


class _Running:
    """Counts, mean, squares and bins, updated as blocks of draws come in."""

    def __init__(self, first: Array) -> None:
        shape = first.shape[1:]
        finite = np.isfinite(first)
        known, columns = finite.sum(axis=0), np.sort(np.where(finite, first, np.inf), axis=0)
        places = [(part * np.maximum(known - 1, 0)).astype(np.intp)[None] for part in (0.25, 0.5, 0.75)]
        low, middle, high = (np.take_along_axis(columns, place, axis=0)[0] for place in places)
        low, middle, high = (np.where(known > 0, one, 0.0) for one in (low, middle, high))
        width = (high - low) / _QUARTILES
        # A number that does not vary still needs a scale.
        self.middle, self.width = middle, np.where(width > 0.0, width, 1e-12 * (1.0 + np.abs(middle)))
        self.known = np.zeros(shape)
        self.mean, self.squares = np.zeros(shape), np.zeros(shape)
        self.lowest, self.highest = np.full(shape, np.inf), np.full(shape, -np.inf)
        self.heights = np.zeros((_BINS, *shape), dtype=np.uint32)

    @cached_property
    def _columns(self) -> Index:
        return np.asarray(np.arange(self.mean.size, dtype=np.intp).reshape(self.mean.shape))

    def add(self, values: Array) -> None:
        """Count one block of draws (N, ...)."""
        finite = np.isfinite(values)
        all_finite = bool(finite.all())
        count = np.asarray(finite.sum(axis=0), dtype=float)
        held = values if all_finite else np.where(finite, values, 0.0)
        with np.errstate(invalid="ignore", divide="ignore"):
            mean = np.where(count > 0.0, held.sum(axis=0) / count, 0.0)
            apart = held - mean if all_finite else np.where(finite, held - mean, 0.0)
            # T. F. Chan, G. H. Golub, R. J. LeVeque, Updating formulae and a pairwise algorithm (1979).
            both = self.known + count
            step = mean - self.mean
            self.squares += (apart**2).sum(axis=0) + np.where(both > 0.0, step**2 * self.known * count / both, 0.0)
            self.mean += np.where(both > 0.0, step * count / both, 0.0)
        self.known = both
        self.lowest = np.minimum(self.lowest, (values if all_finite else np.where(finite, values, np.inf)).min(axis=0))
        self.highest = np.maximum(
            self.highest, (values if all_finite else np.where(finite, values, -np.inf)).max(axis=0)
        )
        scaled = np.arcsinh((held - self.middle) / self.width)
        bins = np.clip((scaled + _FARTHEST) / _WIDTH, 0, _BINS - 1).astype(np.intp)
        places = bins * self.mean.size + self._columns
        counted = np.bincount(places[finite] if not all_finite else places.ravel(), minlength=self.heights.size)
        self.heights += counted.reshape(self.heights.shape).astype(np.uint32)

    def spread(self, draws: int) -> Spread:
        """The spread of everything added so far."""
        ends, scale = (self.lowest, self.highest), (self.middle, self.width)
        return Spread(draws, self.known, self.mean, self.squares, *ends, *scale, self.heights)
