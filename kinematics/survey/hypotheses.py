"""Slips that may all have happened, tried as a whole adjustment: how likely they are.

Beside slips, or without any, all readings may be known less well than they say.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.survey.explanations import Cause
from kinematics.survey.fit import solve
from kinematics.survey.plausible_links import unlikeliness
from kinematics.survey.readings import rows
from kinematics.survey.slips import Idea
from kinematics.survey.snooping import State
from kinematics.survey.unknowns import USELESS
from kinematics.survey.weighing import in_each_others_place
from solvers.vectors import Array

ANOTHER = 6.0  # of -2 log: that a survey has one slip more than another happens once where that happens twenty times
# Of -2 log: doubts that are too small altogether are a twentieth as frequent as a slip (a guess, no source).
LOOSE = 6.0
_OF_SAME_READINGS = 2  # sets of slips of the same readings that are fitted
_REFITTED, _HOPELESS = 10, 20.0  # sets fitted, and how much worse than the best they may seem (-2 log chance)


@dataclass(frozen=True)
class Slips:
    """Slips that may all have happened, and -2 log of their chance but for a constant."""

    ideas: tuple[Idea, ...]
    score: float

    @property
    def accused(self) -> frozenset[int]:
        """Indices of all readings that they say are wrong."""
        return frozenset(of for idea in self.ideas for of in idea.of)


@dataclass(frozen=True)
class Guess(Slips):
    """Slips before they are fitted, and a place to begin the fit (n,)."""

    place: Array


@dataclass(frozen=True)
class Hypothesis(Slips):
    """Slips, and the survey put right by them. scatter: how many times their doubts all readings may be off."""

    after: State
    scatter: float = 1.0


def scattering(one: Hypothesis) -> Hypothesis:
    """The same slips beside doubts that are too small altogether: by so much as what is left scatters."""
    scale = max(one.after.scale, 1.0)
    # Each reading's likelihood falls with the doubt; so does what the fit leaves of each parameter.
    wider = one.after.chi_square / scale**2 + one.after.freedoms * float(np.log(scale**2)) + LOOSE
    return replace(one, scatter=scale, score=one.score - one.after.chi_square + wider)


def fitted_as_whole(first: State, guesses: Sequence[Guess]) -> tuple[list[Hypothesis], list[Guess]]:
    """The likeliest of some guesses fitted, and all guesses with the chances that were found so, the likeliest first.

    Exchanged points that were only screened are left out.
    """
    each = different(guesses)
    chosen = _worth_fitting(each)
    trials = {at: tried(first, guess) for at, guess in chosen.items()}
    sound = {at: trial for at, trial in trials.items() if np.isfinite(trial.score)}
    weighed_again = [
        replace(guess, score=sound[at].score) if at in sound else guess
        for at, guess in enumerate(each)
        if at in sound or (at not in trials and guess.ideas[-1].slip.cause is not Cause.EXCHANGED)
    ]
    return sorted(sound.values(), key=score_of), sorted(weighed_again, key=score_of)


def score_of(one: Slips) -> float:
    """-2 log of the chance of slips, but for a constant: what they are sorted by."""
    return one.score


def different(guesses: Sequence[Guess]) -> list[Guess]:
    """Each set once, in whichever order its slips were found, the likeliest first."""
    found: dict[frozenset[tuple[object, ...]], Guess] = {}
    for guess in sorted(guesses, key=score_of):
        found.setdefault(frozenset((idea.slip, idea.rows) for idea in guess.ideas), guess)
    return list(found.values())


def _worth_fitting(guesses: Sequence[Guess]) -> dict[int, Guess]:
    """The likeliest, and of each set of readings at most two; points exchanged always: they were only screened."""
    times: dict[frozenset[int], int] = {}
    chosen: dict[int, Guess] = {}
    count = 0
    for at, guess in enumerate(guesses):
        exchanged = guess.ideas[-1].slip.cause is Cause.EXCHANGED
        hopeless = guess.score > guesses[0].score + _HOPELESS or count >= _REFITTED
        if exchanged or (not hopeless and times.get(guess.accused, 0) < _OF_SAME_READINGS):
            times[guess.accused] = times.get(guess.accused, 0) + 1
            count += not exchanged
            chosen[at] = guess
    return chosen


def tried(first: State, guess: Guess) -> Hypothesis:
    """A set of slips fitted; where two points were taken for each other, also from the other way round."""
    done = fitted(first, guess.ideas, guess.place)
    pair = _points_exchanged(first, guess.ideas[-1])
    if pair and done.after.bent:
        other_way = in_each_others_place(first.survey.unknowns, guess.place, pair)
        done = min(done, fitted(first, guess.ideas, other_way), key=score_of)
    return done


def fitted(first: State, ideas: Sequence[Idea], begin: Array) -> Hypothesis:
    """A survey with slips put right, fitted from a place (n,)."""
    state = first
    for idea in ideas:
        state = put_right(state, idea, begin)
    solved = solve(state.rows, begin)
    slopes = solved.weighted_jacobian
    log_det = float(np.linalg.slogdet(slopes.T @ slopes + np.eye(begin.size) / USELESS**2)[1])
    score = solved.chi_square + log_det + sum(idea.extra for idea in ideas) + ANOTHER * max(len(ideas) - 1, 0)
    score += float(unlikeliness(solved.parameters, state.survey.unknowns, state.survey.axle.suspension))
    return Hypothesis(tuple(ideas), score, replace(state, solved=solved))


def put_right(state: State, idea: Idea, begin: Array) -> State:
    """A state with what an idea says put right, not fitted yet."""
    survey, every_row = state.survey, state.rows
    if not idea.rows:
        readings = list(survey.readings)
        for at, of in enumerate(idea.of):
            readings[of] = idea.new[at] if idea.new else replace(readings[of], reads=idea.reads[at])
        survey = replace(survey, readings=tuple(readings))
        every_row = replace(rows(survey).from_start(begin), doubts=every_row.doubts)
    else:
        every_row = replace(every_row, doubts=with_doubts(every_row.doubts, idea.rows, idea.doubts))
    return State(survey, every_row, state.solved, state.corrected | frozenset(idea.of))


def with_doubts(doubts: Array, chosen: Sequence[int], own: Sequence[float]) -> Array:
    """Doubts of rows, some of which have others."""
    doubts = doubts.copy()
    doubts[list(chosen)] = own
    return doubts


def _points_exchanged(state: State, idea: Idea) -> tuple[str, str] | None:
    """The two points that were taken for each other, if an idea says so."""
    if idea.slip.cause is Cause.EXCHANGED:
        return idea.slip.points[0], idea.slip.points[1]
    if idea.slip.cause is Cause.SWAPPED:
        one, other = (state.survey.readings[of].of for of in idea.of)
        differing = [pair for pair in zip(one, other, strict=False) if pair[0] != pair[1]]
        if len(one) == len(other) and len(differing) == 1:
            return differing[0]
    return None
