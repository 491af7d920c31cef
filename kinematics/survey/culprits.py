"""Readings of a survey that do not fit the others, and what may have gone wrong with them.

An alarm is raised by the largest standardised residual (W. Baarda, "A testing procedure for use in geodetic networks",
1968, from memory) or by chi-square. Then every slip that could have happened, and sets of two or three, are tried as
whole adjustments (`hypotheses`), and each is told with its chance. A reading is said to be wrong only where nothing
else explains the survey nearly as well; else the reading that tells the explanations apart is named.

Two points exchanged in every reading fit as well as before: no statistics can tell that, but where they lie may be
implausible.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.uncertainty import WAYS
from kinematics.survey.explanations import SURE, Cause, Culprit, Decides, Explanation, Slip, SuspectReading
from kinematics.survey.fit import FittedReading, SurveyFit, solve
from kinematics.survey.hypotheses import (
    Guess,
    Hypothesis,
    fitted_as_whole,
    scattering,
    tried,
    with_doubts,
)
from kinematics.survey.readings import ReadingRows, Survey, written_of
from kinematics.survey.sets_of_slips import MOST, OfOneSize, explained
from kinematics.survey.sheet_numbers import SheetNumbers
from kinematics.survey.slips import Idea
from kinematics.survey.snooping import HARDLY_CHECKED, State
from solvers.tangents import derivatives
from solvers.vectors import Array

NEARLY = 0.05  # of the best explanation's chance: below, another of the same readings is not told
TOLD = 4  # explanations of one culprit at most
_CLOUDED = 0.95  # chance at most of what may not be the whole of it
_PLACES = (Cause.EXCHANGED, Cause.OTHER_HOLE)  # where places were taken for each other
_PARTS = 3.0  # doubts by which a reading must differ between two explanations to tell them apart


def unchecked(found: SurveyFit) -> tuple[FittedReading, ...]:
    """Readings that no other checks to speak of: an error in one of them would not show, so none is ever a culprit."""
    return tuple(reading for reading in found.readings if reading.redundancy < HARDLY_CHECKED)


def culprits(found: SurveyFit, unit: LengthUnit = MM) -> tuple[Culprit, ...]:
    """Blunders in a survey, the most likely first; none for a sound one but at LEVEL. unit: of the instruments."""
    first = State(found.survey, found.rows, found.solved)
    if not first.alarm:
        return ()
    sizes = explained(first, unit)
    # The slips that leave no alarm; or fewer, or none, where all readings seem to be known less well than they say.
    loose = [scattering(one.best) for one in sizes]
    chosen = min([sizes[-1].best, *(one for one in loose if one.scatter > 1.0)], key=lambda one: one.score)
    told = _each(first, next(one for one in sizes if one.best.ideas is chosen.ideas))
    unsound = chosen.scatter > 1.0 or chosen.after.alarm
    if unsound or len(chosen.ideas) == MOST:
        # What leaves the survey unsound is not the whole of it, and may be none of it; and of so many slips other sets
        # were not all tried.
        told = [replace(one, chance=min(one.chance, _CLOUDED)) for one in told]
    return (*told, _scattered(chosen.after)) if unsound else tuple(told)


def _scattered(state: State) -> Culprit:
    scatter = Explanation(Slip(Cause.SCATTER, factor=state.scale), (), 1.0, 1.0)
    return Culprit((scatter,), state.chi_square, state.chi_square, 1.0)


def _each(first: State, found: OfOneSize) -> list[Culprit]:
    """Each slip of the likeliest set, and what else it may have been with the others put right."""
    told: list[Culprit] = []
    for at, idea in enumerate(found.best.ideas):
        state, ranked = first, found.guesses
        if at in found.anew:
            state = found.anew[at].others.after
            single = [Guess((one.idea,), one.score, one.place) for one in found.anew[at].every]
            ranked = fitted_as_whole(state, single)[1]
        told.append(_culprit(state, ranked, _mass_accusing(found.guesses, idea)))
    return sorted(told, key=lambda one: one.chi_square_after)


def _chances(scores: Sequence[float]) -> Array:
    weights = np.exp(-0.5 * (np.array(scores) - min(scores)))
    return np.asarray(weights / weights.sum())


def _mass_accusing(guesses: Sequence[Guess], idea: Idea) -> float:
    """The chance, among all sets of slips, of those that accuse the readings that an idea accuses."""
    chances = _chances([one.score for one in guesses])
    return float(sum(chance for chance, one in zip(chances, guesses, strict=True) if set(idea.of) <= one.accused))


def _culprit(state: State, ranked: Sequence[Guess], among_sets: float) -> Culprit:
    """What is told of the likeliest explanations: of one set of readings after another until SURE."""
    chances = _chances([one.score for one in ranked]).tolist()
    of_readings: dict[frozenset[int], float] = {}
    for one, chance in zip(ranked, chances, strict=True):
        of_readings[one.accused] = of_readings.get(one.accused, 0.0) + chance
    groups = sorted(of_readings, key=lambda accused: -of_readings[accused])
    # Those of the same readings stand together.
    told: list[tuple[Explanation, Hypothesis]] = []
    so_far = 0.0
    for accused in groups:
        own = [(one, chance) for one, chance in zip(ranked, chances, strict=True) if one.accused == accused]
        told += _explanations(state, own, of_readings[accused], TOLD - len(told))
        so_far += of_readings[accused]
        if so_far >= SURE or len(told) >= TOLD:
            break
    first = told[0][1]
    rival = next((one for _, one in told if one.accused != first.accused), None)
    return Culprit(
        tuple(one for one, _ in told),
        state.chi_square,
        first.after.chi_square,
        min(of_readings[groups[0]], among_sets),
        None if rival is None else _decides(state, first, rival, _places_confused(told)),
    )


def _explanations(
    state: State, ranked: Sequence[tuple[Guess, float]], of_any: float, most: int
) -> list[tuple[Explanation, Hypothesis]]:
    """What may have gone wrong with one set of readings. That something is off says nothing beside what it may be."""
    told: list[tuple[Explanation, Hypothesis]] = []
    known: list[Slip] = []
    for guess, chance in ranked:
        slip = guess.ideas[0].slip
        if chance < NEARLY * ranked[0][1] or len(told) == most:
            break
        if any(one.cause is slip.cause for one in known) and slip.cause is not Cause.OTHER_POINT:
            continue
        if slip.cause is Cause.UNKNOWN and known:
            continue
        known.append(slip)
        trial = tried(state, guess)
        told.append((_explanation(state, trial, chance, of_any), trial))
    if any(one.slip.cause is not Cause.UNKNOWN for one, _ in told):
        told = [one for one in told if one[0].slip.cause is not Cause.UNKNOWN]
    return told


def _places_confused(told: Sequence[tuple[Explanation, Hypothesis]]) -> list[int]:
    """Readings of places that may have been taken for each other: who did so does it again."""
    return [of for one, _ in told if one.slip.cause in _PLACES for of in one.slip.of]


def _decides(state: State, first: Hypothesis, rival: Hypothesis, but: Sequence[int]) -> Decides | None:
    """The reading that, taken again, differs most between two explanations; None where none does, but for some."""
    shown = [state.rows.predicted(one.after.solved.parameters) for one in (first, rival)]
    apart = np.where(state.weighed, np.abs(shown[0] - shown[1]) / state.rows.doubts, 0.0)
    apart[np.isin(state.rows.of, but)] = 0.0
    row = int(np.argmax(apart))
    if apart[row] < _PARTS:
        return None
    reading = state.survey.readings[int(state.rows.of[row])]
    would_show = (float(shown[0][row]), float(shown[1][row]))
    number = SheetNumbers(state.survey).of(reading)
    return Decides(state.rows.names[row], *would_show, reading.kind == "angle", number, reading.written)


def _explanation(state: State, trial: Hypothesis, chance: float, of_any: float) -> Explanation:
    idea, survey = trial.ideas[0], state.survey
    rows_here = [_shown_row(state.rows, of, survey) for of in idea.of] if not idea.rows else list(idea.rows)
    others = trial.after.solved
    if len(rows_here) == 1 and not idea.rows:
        others = solve(
            replace(state.rows, doubts=with_doubts(state.rows.doubts, rows_here, [np.inf])), others.parameters
        )
    predicted = state.rows.predicted(others.parameters)[rows_here]
    slopes = derivatives(state.rows.predicted, others.parameters)[rows_here]
    known_to = np.sqrt(((slopes @ others.covariance) * slopes).sum(axis=1))
    numbers = SheetNumbers(survey)
    suspect = tuple(
        SuspectReading(
            name=state.rows.names[row],
            of=of,
            read=float(state.rows.reads[row]),
            others=float(predicted[at]),
            known_to=float(known_to[at]),
            would_read=idea.reads[at] if idea.reads else float(predicted[at]),
            is_angle=survey.readings[of].kind == "angle",
            number=numbers.of(survey.readings[of]),
            written=written_of(survey.readings[of], float(state.rows.reads[row])),
        )
        for at, (row, of) in enumerate(zip(rows_here, idea.of, strict=True))
    )
    slip = idea.slip
    if slip.cause is Cause.UNKNOWN:
        slip = replace(slip, off=suspect[0].read - suspect[0].others)
    return Explanation(slip, suspect, chance, of_any)


def _shown_row(every_row: ReadingRows, of: int, survey: Survey) -> int:
    own = np.flatnonzero(every_row.of == of)
    along = survey.readings[of].along
    return int(own[WAYS.index(along)] if along in WAYS else own[-1])
