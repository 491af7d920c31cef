"""Every slip that could have happened, weighed by how well all else agrees once it is put right.

Bayes' rule: how likely the readings are with the slip put right, times how often such a slip happens. Values that were
misread, and readings of other points, are weighed by a whole adjustment without the reading, which says what it should
show and how closely. Pairs of values and points exchanged in many readings are screened on linear fits first.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.car.lengths import LengthUnit
from kinematics.survey.left_out import LeftOut, left_out
from kinematics.survey.readings import rows_of
from kinematics.survey.screening import Alternatives, linearised, taken_away, value_scores
from kinematics.survey.slips import (
    Idea,
    exchanged_points,
    misread_values,
    other_holes,
    other_points,
    read_row,
    signs_of_both_sides,
    swapped_values,
    unknown_errors,
)
from kinematics.survey.snooping import HARDLY_CHECKED, State
from kinematics.survey.unknowns import Unknowns
from solvers.many_fits import inverse
from solvers.tangents import STEP, tangent
from solvers.vectors import Array

_PAIRS, _EXCHANGES = 12, 6  # that are adjusted as a whole, of those that seem likeliest on a linear fit


@dataclass(frozen=True)
class Weighed:
    """An idea, -2 log of its chance but for a constant, and a place to begin a fit with it put right (n,)."""

    idea: Idea
    score: float
    place: Array


def weighed(state: State, unit: LengthUnit) -> list[Weighed]:
    """All slips that may have happened, in units of the instruments' scales, the likeliest first."""
    single = Singles.of(state)
    told = list(single.weighed(unit))
    told += _two_values(state, single)
    told += _other_holes(state, single)
    told += _exchanged(state)
    return sorted((one for one in told if np.isfinite(one.score)), key=lambda one: one.score)


@dataclass(frozen=True)
class Singles:
    """A state without each of its rows, and the row that shows what was read of each reading that others check."""

    out: LeftOut
    set_of: Mapping[int, int]
    row_of: Mapping[int, int]

    @classmethod
    def of(cls, state: State) -> "Singles":
        """Every row that counts and was not corrected, left out by itself."""
        chosen = [
            row for row in np.flatnonzero(state.weighed).tolist() if int(state.rows.of[row]) not in state.corrected
        ]
        out = left_out(state, [[row] for row in chosen])
        best = out.evidence.argmin(axis=1)
        spread = out.known_to[np.arange(len(chosen)), best, 0, 0] / state.rows.doubts[chosen] ** 2
        checked = {row: at for at, row in enumerate(chosen) if spread[at] < 1.0 / HARDLY_CHECKED}
        read = ((of, read_row(state, of)) for of in range(len(state.survey.readings)))
        return cls(out, checked, {of: row for of, row in read if row in checked})

    def weighed(self, unit: LengthUnit) -> Iterator[Weighed]:
        """Slips of one reading each."""
        state = self.out.state
        for idea in (*misread_values(state, self.row_of, unit), *unknown_errors(state, list(self.set_of))):
            yield self._value(idea)
        yield from self._other_points()

    def _value(self, idea: Idea) -> Weighed:
        row = idea.rows[0] if idea.rows else self.row_of[idea.of[0]]
        at = self.set_of[row]
        scores = self.out.evidence[at]
        if idea.reads:
            scores = scores + self._against(row, idea.reads[0])
        best = int(np.argmin(scores))
        return Weighed(idea, float(scores[best]) + idea.extra, self.out.places[at, best])

    def _against(self, row: int, value: float) -> Array:
        """-2 log of how likely a value of a row is to all others, but for a constant (P,)."""
        at = self.set_of[row]
        doubt = self.out.state.rows.doubts[row]
        variance = 1.0 + self.out.known_to[at, :, 0, 0] / doubt**2
        off = (value - self.out.predicted[at, :, 0]) / doubt
        return np.asarray(off**2 / variance + np.log(variance))

    def _other_points(self) -> Iterator[Weighed]:
        state = self.out.state
        ideas = list(other_points(state, self.row_of))
        if not ideas:
            return
        axle = state.survey.axle
        every_row = rows_of([idea.new[0] for idea in ideas], state.survey.unknowns, axle.camber, axle.toe)
        for of in dict.fromkeys(idea.of[0] for idea in ideas):
            at = self.set_of[self.row_of[of]]
            chosen = [number for number, idea in enumerate(ideas) if idea.of[0] == of]
            places, doubts = self.out.places[at], every_row.doubts[chosen]
            seeds = places[:, None, :] + 1j * STEP * np.eye(places.shape[-1])
            slopes = np.nan_to_num(tangent(every_row.predicted(seeds))).mT[:, chosen]
            off = (every_row.reads - every_row.predicted(places))[:, chosen] / doubts
            variance = 1.0 + np.einsum("pki,pij,pkj->pk", slopes, self.out.covariance[at], slopes) / doubts**2
            scores = self.out.evidence[at][:, None] + off**2 / variance + np.log(variance)
            for number, own in zip(chosen, np.nan_to_num(scores, nan=np.inf).T, strict=True):
                best = int(np.argmin(own))
                yield Weighed(ideas[number], float(own[best]) + ideas[number].extra, places[best])


def _other_holes(state: State, single: Singles) -> Iterator[Weighed]:
    """All that was read of a point by rule, of another place near it."""
    ideas = list(other_holes(state, single.row_of))
    if not ideas:
        return
    out = left_out(state, [idea.rows for idea in ideas])
    for at, idea in enumerate(ideas):
        scores = out.evidence[at] + _jointly(out, at, state.rows.reads[list(idea.rows)], np.array(idea.doubts))
        best = int(np.argmin(scores))
        yield Weighed(idea, float(scores[best]) + idea.extra, out.places[at, best])


def _jointly(out: LeftOut, at: int, values: Array, doubts: Array) -> Array:
    """-2 log of how likely values (k,) of a set's rows, of these doubts, are to all others, but for a constant (P,)."""
    count = len(values)
    spread = out.known_to[at][:, :count, :count] / (doubts[:, None] * doubts) + np.eye(count)
    off = (values - out.predicted[at][:, :count]) / doubts
    sign, size = np.linalg.slogdet(spread)
    squares = np.einsum("pi,pij,pj->p", off, inverse(spread), off)
    return np.asarray(squares + np.where(sign > 0.0, size, np.inf))


def _two_values(state: State, single: Singles) -> Iterator[Weighed]:
    """Two values, each written in the other's line; and the sign of a value on both sides."""
    ideas = _likeliest_swaps(state, single) + signs_of_both_sides(state, single.row_of)
    if not ideas:
        return
    out = left_out(state, [[single.row_of[of] for of in idea.of] for idea in ideas])
    for at, idea in enumerate(ideas):
        scores = out.evidence[at] + _jointly(out, at, np.array(idea.reads), state.rows.doubts[out.without[at]])
        best = int(np.argmin(scores))
        yield Weighed(idea, float(scores[best]) + idea.extra, out.places[at, best])


def _likeliest_swaps(state: State, single: Singles) -> list[Idea]:
    """Those that seem likeliest on a linear fit, with the values swapped or without them."""
    ideas = list(swapped_values(state, single.row_of))
    if not ideas:
        return []
    chosen: set[int] = set()
    pairs = np.array([[single.row_of[of] for of in idea.of] for idea in ideas])
    for place in state.places():
        linear = linearised(state, place)
        chosen |= set(np.argsort(value_scores(ideas, linear, state, single.row_of))[:_PAIRS].tolist())
        chosen |= set(np.argsort(-taken_away(linear, pairs))[:_PAIRS].tolist())
    return [ideas[at] for at in sorted(chosen)]


def _exchanged(state: State) -> Iterator[Weighed]:
    """Two points taken for each other in all readings of some kinds: screened, for the fit that follows."""
    ideas = list(exchanged_points(state))
    if not ideas:
        return
    others = {(of, new.of): new for idea in ideas for of, new in zip(idea.of, idea.new, strict=True)}
    index_of = {key: index for index, key in enumerate(others)}
    axle = state.survey.axle
    every_row = rows_of(tuple(others.values()), state.survey.unknowns, axle.camber, axle.toe)
    best: dict[int, Weighed] = {}
    places = state.places()
    look_again = state.bent
    while places:
        linear = linearised(state, places.pop())
        scores = Alternatives.at(index_of, every_row, linear).exchanged_scores(ideas, linear, state)
        for at in np.argsort(scores)[:_EXCHANGES].tolist():
            told = Weighed(ideas[at], float(scores[at]) + ideas[at].extra, linear.at)
            if at not in best or told.score < best[at].score:
                best[at] = told
        if look_again and not places:
            # The other way round, two points lie in each other's place, and it is the other readings that are wrong.
            look_again = False
            likeliest = min(best.values(), key=lambda one: one.score)
            places.append(in_each_others_place(state.survey.unknowns, linear.at, likeliest.idea.slip.points))
    yield from best.values()


def in_each_others_place(unknown: Unknowns, at: Array, pair: Sequence[str]) -> Array:
    """Parameters (n,) with two points in each other's place."""
    places = (unknown.spread @ at).reshape(-1, 3)
    one, other = (unknown.names[name][0] for name in pair)
    places[[one, other]] = places[[other, one]]
    return np.asarray(np.linalg.pinv(unknown.spread) @ places.ravel())
