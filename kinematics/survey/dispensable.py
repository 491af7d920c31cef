"""Which readings of the sheet could be left out at little loss for one number: exact covariance without each.

One after the other, always the one without which the number is known best, as long as that costs little and all that
is left is still checked: a reading that nothing checks hides a slip, so that it is no gain to save its check.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kinematics.doubt.assessment import EXACT, NORMAL_95
from kinematics.numbers.quantity import Dimension
from kinematics.survey.fit import SurveyFit, turned_by_angles
from kinematics.survey.further_readings import FurtherReading, asked_by_sheet, place_key
from kinematics.survey.next_readings import NextReadings, gradient
from kinematics.survey.reliability import large_unseen
from solvers.read_only import read_only
from solvers.tangents import derivatives
from solvers.vectors import Array, Flags

LITTLE = 0.05  # of the number's doubt, for all that is left out together
MOST = 8


@dataclass(frozen=True)
class Dispensable:
    """A reading that could be left out, and the number's 95 % either way without it and those before it.

    what: as the sheet asks for it. without: of the worse side.
    """

    what: FurtherReading
    without: float


def dispensable(answer: NextReadings) -> tuple[Dispensable, ...]:
    """Readings that could be left out, in that order; none where the number is not known at all, or exactly."""
    if not np.isfinite(answer.now) or answer.now <= EXACT:
        return ()
    return read_only(tuple(_one_by_one(answer)))


def _one_by_one(answer: NextReadings) -> Iterator[Dispensable]:
    found = answer.found
    without = _Without(found, answer.number.key)
    asked = {place_key(one.reading): one for one in asked_by_sheet(found.survey) if one.reading is not None}
    left = {at: asked[key] for at, one in enumerate(found.survey.readings) if (key := place_key(one)) in asked}
    kept = np.ones(len(found.rows.reads), dtype=bool)
    for _ in range(MOST):
        tried = {at: kept & (found.rows.of != at) for at in left}
        doubts = {at: without.either_way(own) for at, own in tried.items() if without.still_checked(own)}
        best = min(doubts, key=lambda at: doubts[at], default=None)
        if best is None or doubts[best] > (1.0 + LITTLE) * answer.now:
            return
        kept = tried[best]
        yield Dispensable(left.pop(best), doubts[best])


class _Without:
    """What some rows (m,) of a survey would do without the others."""

    def __init__(self, found: SurveyFit, number: str) -> None:
        survey, at = found.survey, found.best.parameters
        self._doubts = found.rows.doubts
        self._slopes = derivatives(found.rows.predicted, at) / self._doubts[:, None]
        self._turned = turned_by_angles(survey, found.rows, at) / self._doubts[:, None]
        self._known_to = np.array([doubt for _, doubt in survey.angle_doubts])
        self._of_points, self._of_angles = np.split(gradient(found, number).slopes, [at.size])
        self._angle = np.array([found.dimension(one) is Dimension.ANGLE for one in found.readings])
        self._seen_now = np.logical_not(self._large(np.ones(self._doubts.size, dtype=bool)))

    def either_way(self, kept: Flags) -> float:
        """95 % either way of the number, of the worse side."""
        covariance = self._covariance(kept)
        by_angle = covariance @ self._slopes[kept].T @ self._turned[kept]
        leaning = self._of_angles - by_angle.T @ self._of_points
        variance = ((self._of_points.T @ covariance) * self._of_points.T).sum(axis=1)
        variance = variance + (leaning.T**2 * self._known_to**2).sum(axis=1)
        return float(NORMAL_95 * np.sqrt(variance.max()))

    def still_checked(self, kept: Flags) -> bool:
        """Whether all is determined, and a large error shows in each of them wherever it does with all."""
        return self._determined(kept) and not bool((self._large(kept) & self._seen_now & kept).any())

    def _determined(self, kept: Flags) -> bool:
        own = self._slopes[kept]
        return len(own) >= own.shape[1] and bool(np.linalg.matrix_rank(own) == own.shape[1])

    def _large(self, kept: Flags) -> Flags:
        leverage = ((self._slopes @ self._covariance(kept)) * self._slopes).sum(axis=1)
        return large_unseen(1.0 - leverage, self._doubts, self._angle)

    def _covariance(self, kept: Flags) -> Array:
        return np.asarray(np.linalg.inv(self._slopes[kept].T @ self._slopes[kept]))
