"""The shortest list of readings that brings a number's variance down: built up one by one, then exchanged.

One reading and two are the best of all, since all are tried. Of more, each list is the one before with the best added,
in which one after the other, and two at a time among the likeliest, are exchanged until nothing gets better (V. V.
Fedorov, 1972, from memory, for designs of experiments).
"""

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from kinematics.survey.expected_doubt import ExpectedDoubt
from solvers.vectors import Array, Index

_TIMES = 3  # the same reading at most: errors that repeat themselves do not average out (common practice, no source)
_LIKELIEST = 24  # readings that are tried two at a time where a list is longer than two
_EVEN = 1e-6  # of variances that are as low as is wanted: of lists that reach it the lowest is taken
_ROUNDING = 1e-9
_PAIRS_AT_ONCE = 20_000


@dataclass(frozen=True)
class Wanted:
    """What a list is for, and what it may be made of.

    variance: to be reached on each side, 0 for as low as may be. count: of the first so many rows. most: in the list.
    gain: the part of the variance that a reading must take to be worth while.
    """

    variance: float
    count: int
    most: int
    gain: float


def shortest(expected: ExpectedDoubt, wanted: Wanted) -> list[int]:
    """Rows to read, in order; where nothing reaches what is wanted, the best that there is."""
    search = _Search(expected, wanted)
    chosen: list[int] = []
    score = search.score(np.zeros((1, 0), dtype=int))[0]
    while len(chosen) < wanted.most and not search.reached(chosen):
        longer = search.improved(search.with_one(chosen) if len(chosen) != 1 else search.best_two())
        after = search.score(np.array([longer]))[0]
        # What is read too often scores infinite, and nothing is better than that. The last step to what is wanted may
        # be as short as it likes.
        if not (after < score * (1.0 - wanted.gain) or (after < score and search.reached(longer))):
            break
        chosen, score = longer, after
    return search.ordered(chosen)


class _Search:
    def __init__(self, expected: ExpectedDoubt, wanted: Wanted) -> None:
        self._expected, self._wanted = expected, wanted
        self._every = np.arange(wanted.count)

    def score(self, sets: Index) -> Array:
        """What is to be small (B,): the variances, each no further than is wanted."""
        variances = self._expected.variances(sets)
        # A list that is read too often counts as useless.
        often = np.sort(sets, axis=1)
        repeated = (often[:, _TIMES:] == often[:, :-_TIMES]).any(axis=1) if sets.shape[1] > _TIMES else False
        scores = (np.maximum(variances, self._wanted.variance) + _EVEN * variances).sum(axis=1)
        return np.where(repeated, np.inf, scores)

    def reached(self, chosen: list[int]) -> bool:
        """Whether a list brings all variances as low as is wanted."""
        return bool((self._expected.variances(np.array([chosen], dtype=int)) <= self._wanted.variance).all())

    def with_one(self, chosen: list[int]) -> list[int]:
        """A list with the best reading besides."""
        return [*chosen, int(np.argmin(self._with_each(chosen)))]

    def _with_each(self, chosen: list[int]) -> Array:
        before = np.tile(np.array(chosen, dtype=int), (self._every.size, 1))
        return self.score(np.concatenate([before, self._every[:, None]], axis=1))

    def best_two(self) -> list[int]:
        """The best of all pairs, the same reading twice among them."""
        return self._best(np.stack(np.triu_indices(self._every.size), axis=1).astype(int))

    def _best(self, sets: Index) -> list[int]:
        parts = np.array_split(sets, max(1, -(-len(sets) // _PAIRS_AT_ONCE)))
        scores = np.concatenate([self.score(np.asarray(part, dtype=int)) for part in parts])
        return [int(one) for one in sets[int(np.argmin(scores))]]

    def improved(self, chosen: list[int]) -> list[int]:
        """A list in which no other reading in place of one, nor two of the likeliest in place of two, do better."""
        if len(chosen) <= 2:
            return chosen
        best = float(self.score(np.array([chosen]))[0])
        while True:
            better = self._one_exchanged(chosen)
            after = float(self.score(np.array([better]))[0])
            if not after < best * (1.0 - _ROUNDING):
                better = self._two_exchanged(chosen)
                after = float(self.score(np.array([better]))[0])
            if not after < best * (1.0 - _ROUNDING):
                return chosen
            chosen, best = better, after

    def _one_exchanged(self, chosen: list[int]) -> list[int]:
        kept = np.array(list(combinations(chosen, len(chosen) - 1)))
        sets = np.concatenate(
            [np.repeat(kept, self._every.size, axis=0), np.tile(self._every, len(kept))[:, None]], axis=1
        )
        return self._best(sets)

    def _two_exchanged(self, chosen: list[int]) -> list[int]:
        kept = np.array(list(combinations(chosen, len(chosen) - 2)))
        likely = np.argsort(self._with_each(chosen[:-2]), kind="stable")[:_LIKELIEST]
        pairs = likely[np.stack(np.triu_indices(likely.size), axis=1)]
        sets = np.concatenate([np.repeat(kept, len(pairs), axis=0), np.tile(pairs, (len(kept), 1))], axis=1)
        return self._best(sets)

    def ordered(self, chosen: list[int]) -> list[int]:
        """The same readings, each the best of those that are left."""
        left, out = list(chosen), list[int]()
        while left:
            best = int(np.argmin(self.score(np.array([[*out, one] for one in left]))))
            out.append(left.pop(best))
        return out
