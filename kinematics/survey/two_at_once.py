"""Two values misread at once: of each pair of rows whose leaving out helps most, the likeliest two slips.

Of two errors each may hide the other, so that neither seems likely by itself; without both rows nothing bends the fit.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.survey.left_out import LeftOut, left_out
from kinematics.survey.screening import linearised, taken_away
from kinematics.survey.slips import Idea, misread_values, unknown_errors
from kinematics.survey.snooping import State
from kinematics.survey.weighing import Singles
from solvers.vectors import Array

_PAIRS = 60  # that are left out together
_EACH = 2  # slips of one pair that are told


def two_at_once(state: State, unit: LengthUnit) -> Iterator[tuple[tuple[Idea, Idea], float, Array]]:
    """Two slips, -2 log of their chance but for a constant, and a place to begin a fit with both put right (n,)."""
    single = Singles.of(state)
    ideas: dict[int, list[Idea]] = {}
    for idea in (*misread_values(state, single.row_of, unit), *unknown_errors(state, list(single.set_of))):
        ideas.setdefault(idea.rows[0] if idea.rows else single.row_of[idea.of[0]], []).append(idea)
    pairs = _most_helpful(state, sorted(ideas))
    if not pairs:
        return
    out = left_out(state, pairs)
    for at, (one, other) in enumerate(pairs):
        yield from _likeliest(out, at, ideas[one], ideas[other])


def _most_helpful(state: State, chosen: Sequence[int]) -> list[tuple[int, int]]:
    """Pairs of rows of different readings, by how much of chi-square goes with them on a linear fit."""
    pairs = np.array([pair for pair in combinations(chosen, 2) if state.rows.of[pair[0]] != state.rows.of[pair[1]]])
    if not len(pairs):
        return []
    found: set[tuple[int, int]] = set()
    for place in state.places():
        order = np.argsort(-taken_away(linearised(state, place), pairs))[:_PAIRS]
        found |= {(int(one), int(other)) for one, other in pairs[order]}
    return sorted(found)


def _likeliest(
    out: LeftOut, at: int, ones: Sequence[Idea], others: Sequence[Idea]
) -> Iterator[tuple[tuple[Idea, Idea], float, Array]]:
    doubts = out.state.rows.doubts[out.without[at]]
    values = [np.array([idea.reads[0] if idea.reads else np.nan for idea in ideas]) for ideas in (ones, others)]
    scores = out.evidence[at][:, None, None] + _against(out, at, doubts, values[0], values[1])
    scores = scores + np.array([idea.extra for idea in ones])[:, None] + np.array([idea.extra for idea in others])
    best = scores.min(axis=0)
    for index in np.argsort(best, axis=None)[:_EACH].tolist():
        one, other = np.unravel_index(index, best.shape)
        place = out.places[at, scores[:, one, other].argmin()]
        yield (ones[one], others[other]), float(best[one, other]), place


def _against(out: LeftOut, at: int, doubts: Array, ones: Array, others: Array) -> Array:
    """-2 log of how likely values of both rows are to all others (P, one, other).

    A value that is no number, of a row that says nothing, is always as likely.
    """
    spread = out.known_to[at] / (doubts[:, None] * doubts) + np.eye(2)
    first = (ones - out.predicted[at][:, :1]) / doubts[0]
    second = (others - out.predicted[at][:, 1:]) / doubts[1]
    own = np.nan_to_num(first**2 / spread[:, :1, 0] + np.log(spread[:, :1, 0]))[:, :, None]
    # The second as it is known once the first is: its mean and variance given the first (formula).
    known = np.isfinite(first)[:, :, None]
    pull = (spread[:, 0, 1] / spread[:, 0, 0])[:, None, None]
    expected = np.where(known, pull * np.nan_to_num(first)[:, :, None], 0.0)
    less = np.where(known, pull * spread[:, 0, 1][:, None, None], 0.0)
    variance = spread[:, 1, 1][:, None, None] - less
    given = (second[:, None, :] - expected) ** 2 / variance + np.log(variance)
    return np.asarray(own + np.nan_to_num(given))
