"""Curves judged beside readings that are suspect: with those set aside, or not before they are put right.

A reading that is wrong makes a sound curve disagree. A curve is not accused of what goes away with the reading.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.survey.curve_misfit import CurveMisfit, judged_curves
from kinematics.survey.explanations import Cause, Culprit
from kinematics.survey.fit import SurveyFit, curves_model, solve


@dataclass(frozen=True)
class CurvesStanding:
    """How curves stand beside the readings.

    aside: indices of readings that were set aside to judge them. chances: how likely each is so far off, or farther;
    None where that cannot be said before the readings agree. misfits: what does not agree.
    """

    aside: tuple[int, ...]
    chances: tuple[float | None, ...]
    misfits: tuple[CurveMisfit, ...]


def curves_standing(found: SurveyFit, blamed: Sequence[Culprit]) -> CurvesStanding:
    """How the curves of a survey stand, of whose readings some are blamed."""
    if found.curved is None:
        return CurvesStanding((), (None,) * len(found.survey.curves), ())
    if not blamed:
        return CurvesStanding((), found.curved.chances, found.curved.misfits)
    wait = CurvesStanding((), (None,) * len(found.survey.curves), ())
    if any(one.explanations[0].slip.cause is Cause.SCATTER for one in blamed):
        return wait
    aside = tuple(sorted({index for one in blamed for index in one.readings}))
    doubts = np.where(np.isin(found.rows.of, aside), np.inf, found.rows.doubts)
    others = replace(found.rows, doubts=doubts)
    alone = solve(others, found.solved.parameters)
    model = curves_model(found.survey, alone.parameters)
    if alone.null_space.size or not np.isfinite(model.centred(alone.parameters)).all():
        return wait
    told = judged_curves(others, model, alone)
    return CurvesStanding(aside, told.chances, told.misfits)
