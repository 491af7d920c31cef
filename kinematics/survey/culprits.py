"""Readings of a survey that do not fit the others, and what may have gone wrong with them.

An alarm is raised by the largest standardised residual (W. Baarda, "A testing procedure for use in geodetic networks",
1968, from memory) or by chi-square. Then every slip that could have happened is tried: its chi-square, and how exactly
it had to be guessed (Bayes' rule, each kind of slip with a share beforehand), first all on the linearised fit, then the
best by fits of their own. The best is corrected, and what is left is searched again.

Two points exchanged in every reading fit as well as before: no statistics can tell that, but where they lie may be
implausible.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.uncertainty import WAYS
from kinematics.survey.explanations import Cause, Culprit, Explanation, Slip, SuspectReading
from kinematics.survey.fit import USELESS, FittedReading, SurveyFit, solve
from kinematics.survey.readings import ReadingRows, Survey, rows, rows_of
from kinematics.survey.screening import Alternatives, linearised, unknown_scores, value_scores
from kinematics.survey.slips import Idea, checked_rows, exchanged_points, misread_values, other_points, unknown_errors
from kinematics.survey.snooping import HARDLY_CHECKED, State
from kinematics.survey.unknowns import Unknowns
from solvers.tangents import derivatives
from solvers.vectors import Array

MOST = 3  # culprits that are looked for
NEARLY = 0.05  # of the best explanation's chance: below, another is not told
TOLD = 4  # explanations of one culprit at most
_REFITTED, _HOPELESS = 5, 15.0  # explanations, and how much worse than the best one they may seem (-2 log chance)
_WITHOUT_LARGEST = 0.7  # so far readings still scatter without the three largest of some 30 residuals to spare
_CLEAR = 3.0  # standard deviations that an explanation takes away


def unchecked(found: SurveyFit) -> tuple[FittedReading, ...]:
    """Readings that no other checks to speak of: an error in one of them would not show, so none is ever a culprit."""
    return tuple(reading for reading in found.readings if reading.redundancy < HARDLY_CHECKED)


def culprits(found: SurveyFit, unit: LengthUnit = MM) -> tuple[Culprit, ...]:
    """Blunders in a survey, the most likely first; none for a sound one but at LEVEL. unit: of the instruments."""
    first = State(found.survey, found.rows, found.solved)
    state, trials = first, list[_Trial]()
    told: list[Culprit] = []
    while state.alarm and len(told) < MOST:
        explained = _best(state, unit)
        if not explained or not _helps(state, explained[0]):
            break
        told.append(_culprit(state, explained, found.survey))
        trials.append(explained[0])
        state = trials[-1].after
    if len(told) > 1:
        told, state = _again(first, trials, unit)
    if not state.alarm:
        return tuple(told)
    # Where all scatter more than their doubts say, the largest error need not be a slip.
    scale = state.scale
    large = (state.limit * scale / _WITHOUT_LARGEST) ** 2
    clear = [one for one in told if one.chi_square - one.chi_square_after > large]
    scatter = Explanation(Slip(Cause.SCATTER, factor=scale), (), chance=1.0)
    return (*clear, Culprit((scatter,), state.chi_square, state.chi_square))


def _helps(state: State, trial: "_Trial") -> bool:
    """Whether an explanation takes away more of chi-square than chance lets one reading add."""
    return state.chi_square - trial.after.chi_square > _CLEAR**2


def _again(first: "State", trials: Sequence["_Trial"], unit: LengthUnit) -> tuple[list[Culprit], "State"]:
    """Each culprit explained again with the others put right: what was found first was seen through the others."""
    ideas = [trial.idea for trial in trials]
    place = trials[-1].after.solved.parameters
    told: list[Culprit] = []
    at = 0
    while at < len(ideas):
        state = first
        for idea in (*ideas[:at], *ideas[at + 1 :]):
            state = _tried(state, idea, place).after
        explained = _best(state, unit) if state.alarm else []
        if explained:
            told.append(_culprit(state, explained, first.survey))
            ideas[at] = explained[0].idea
            at += 1
        else:
            del ideas[at]
    state = first
    for idea in ideas:
        state = _tried(state, idea, place).after
    return told, state


@dataclass(frozen=True)
class _Trial:
    """An idea, the survey put right by it, and -2 log of its chance but for a constant."""

    idea: Idea
    after: State
    score: float


def _best(state: State, unit: LengthUnit) -> list[_Trial]:
    """The likeliest explanations, screened as seen from each place and refitted, best first."""
    row_of = checked_rows(state)
    values = list(misread_values(state, row_of, unit))
    unknown = list(unknown_errors(state))
    moved = list(other_points(state, row_of))
    exchanged = list(exchanged_points(state))
    ideas = [*values, *unknown, *moved, *exchanged]
    extra = np.array([idea.extra for idea in ideas])
    others = {(of, new.of): new for idea in (*moved, *exchanged) for of, new in zip(idea.of, idea.new, strict=True)}
    index_of = {key: index for index, key in enumerate(others)}
    axle = state.survey.axle
    other_rows = rows_of(tuple(others.values()), state.survey.unknowns, axle.camber, axle.toe)
    trials: dict[int, _Trial] = {}
    places = state.places()
    look_again = state.bent
    while places:
        linear = linearised(state, places.pop())
        alternatives = Alternatives.at(index_of, other_rows, linear)
        scores = [
            value_scores(values, linear, state, row_of),
            unknown_scores(unknown, linear),
            alternatives.moved_scores(moved, linear, row_of),
            alternatives.exchanged_scores(exchanged, linear, state),
        ]
        told = np.concatenate(scores) + extra
        order = np.argsort(told)[:_REFITTED]
        for index in order[told[order] < told[order[0]] + _HOPELESS].tolist():
            trial = _tried(state, ideas[index], linear.at)
            if index not in trials or trial.score < trials[index].score:
                trials[index] = trial
        if look_again and not places:
            # The other way round, two points lie in each other's place, and it is the other readings that are wrong.
            look_again = False
            pair = _points_exchanged(state, min(trials.values(), key=lambda one: one.score).idea)
            if pair:
                places.append(_in_each_others_place(state.survey.unknowns, linear.at, pair))
    return sorted(trials.values(), key=lambda one: one.score)


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


def _in_each_others_place(unknown: Unknowns, at: Array, pair: tuple[str, str]) -> Array:
    places = (unknown.spread @ at).reshape(-1, 3)
    one, other = (unknown.names[name][0] for name in pair)
    places[[one, other]] = places[[other, one]]
    return np.asarray(np.linalg.pinv(unknown.spread) @ places.ravel())


def _tried(state: State, idea: Idea, begin: Array) -> _Trial:
    """An idea fitted for itself."""
    survey, every_row = state.survey, state.rows
    if idea.row < 0:
        readings = list(survey.readings)
        for at, of in enumerate(idea.of):
            readings[of] = idea.new[at] if idea.new else replace(readings[of], reads=idea.reads[at])
        survey = replace(survey, readings=tuple(readings))
        every_row = replace(rows(survey).from_start(begin), doubts=every_row.doubts)
    else:
        every_row = replace(every_row, doubts=_without(every_row.doubts, [idea.row]))
    solved = solve(every_row, begin)
    slopes = solved.weighted_jacobian
    log_det = float(np.linalg.slogdet(slopes.T @ slopes + np.eye(begin.size) / USELESS**2)[1])
    after = State(survey, every_row, solved, state.corrected | frozenset(idea.of))
    return _Trial(idea, after, solved.chi_square + log_det + idea.extra)


def _without(doubts: Array, chosen: Sequence[int]) -> Array:
    doubts = doubts.copy()
    doubts[list(chosen)] = np.inf
    return doubts


def _culprit(state: State, trials: Sequence[_Trial], survey: Survey) -> Culprit:
    """What is told of the likeliest explanations."""
    weights = np.exp(-0.5 * (np.array([trial.score for trial in trials]) - trials[0].score))
    chances = weights / weights.sum()
    told: list[Explanation] = []
    for trial, chance in zip(trials, chances.tolist(), strict=True):
        slip = trial.idea.slip
        if chance < NEARLY * chances[0] or len(told) == TOLD:
            break
        # That something is off says nothing beside what it may be.
        known = [one.slip for one in told if one.slip.of == slip.of]
        if any(one.cause is slip.cause for one in known) and slip.cause is not Cause.OTHER_POINT:
            continue
        if slip.cause is Cause.UNKNOWN and known:
            continue
        told.append(_explanation(state, trial, chance, survey))
    known_causes = {one.slip.of for one in told if one.slip.cause is not Cause.UNKNOWN}
    told = [one for one in told if one.slip.cause is not Cause.UNKNOWN or one.slip.of not in known_causes]
    return Culprit(tuple(told), state.chi_square, trials[0].after.chi_square)


def _explanation(state: State, trial: _Trial, chance: float, survey: Survey) -> Explanation:
    idea = trial.idea
    rows_here = [_shown_row(state.rows, of, survey) for of in idea.of] if idea.row < 0 else [idea.row]
    others = trial.after.solved
    if len(rows_here) == 1 and idea.row < 0:
        others = solve(replace(state.rows, doubts=_without(state.rows.doubts, rows_here)), others.parameters)
    predicted = state.rows.predicted(others.parameters)[rows_here]
    slopes = derivatives(state.rows.predicted, others.parameters)[rows_here]
    known_to = np.sqrt(((slopes @ others.covariance) * slopes).sum(axis=1))
    suspect = tuple(
        SuspectReading(
            name=state.rows.names[row],
            of=of,
            read=float(state.rows.reads[row]),
            others=float(predicted[at]),
            known_to=float(known_to[at]),
            would_read=idea.reads[at] if idea.reads else float(predicted[at]),
            is_angle=survey.readings[of].kind == "angle",
        )
        for at, (row, of) in enumerate(zip(rows_here, idea.of, strict=True))
    )
    slip = idea.slip
    if slip.cause is Cause.UNKNOWN:
        slip = replace(slip, off=suspect[0].read - suspect[0].others)
    return Explanation(slip, suspect, chance)


def _shown_row(every_row: ReadingRows, of: int, survey: Survey) -> int:
    own = np.flatnonzero(every_row.of == of)
    along = survey.readings[of].along
    return int(own[WAYS.index(along)] if along in WAYS else own[-1])
