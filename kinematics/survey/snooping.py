"""Whether a survey is sound, by data snooping: standardised residuals (W. Baarda, 1968, from memory) and chi-square."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.stats import chi2, norm

from kinematics.survey.readings import ReadingRows, Survey, partners
from kinematics.survey.unknowns import start
from solvers.least_squares import Fit
from solvers.many_fits import inverse
from solvers.tangents import derivatives
from solvers.vectors import Array, Flags

LEVEL = 0.01  # chance that a sound survey raises an alarm, by the largest residual or by chi-square:
_BY_CHI_SQUARE = 0.2  # part of it
# Below, an error of a hundred doubts would not show, and what is bent about the geometry hides what would.
HARDLY_CHECKED = 1e-3  # redundancy number
_GROSS = 20.0  # standardised residual beyond which a fit may be bent so far that no straight law holds
_HUBER, _CAUCHY = 1.5, 3.0  # standardised residuals from which a robust fit weighs readings less
_NUDGE = 0.01  # mm, of a start, where what is typical lies exactly level
_TURNS, _STRIDE, _STILL = 20, 100.0, 0.5  # steps of a robust fit, how long they may be and when it ends [mm]
_SAME_PLACE = 5.0  # mm


@dataclass(frozen=True)
class State:
    """A survey as corrected so far, and its fit. Rows without any weight have an infinite doubt."""

    survey: Survey
    rows: ReadingRows
    solved: Fit
    corrected: frozenset[int] = frozenset()

    @cached_property
    def weighed(self) -> Flags:
        """Rows that count."""
        return np.asarray(np.isfinite(self.rows.doubts))

    @property
    def freedoms(self) -> int:
        """Readings more than are needed, among those that count."""
        return self.solved.freedoms - int((~self.weighed).sum())

    @cached_property
    def redundancy(self) -> Array:
        """(m,), zero where a row does not count."""
        return np.asarray(np.where(self.weighed, 1.0 - self.solved.leverage, 0.0))

    @cached_property
    def standardised(self) -> Array:
        """Residuals over their own standard deviations (m,), zero where nothing checks."""
        checked = self.redundancy > HARDLY_CHECKED
        deviation = np.where(checked, self.rows.doubts * np.sqrt(np.where(checked, self.redundancy, 1.0)), np.inf)
        return np.asarray(self.solved.residuals / deviation)

    @cached_property
    def limit(self) -> float:
        """What the largest standardised residual of a sound survey stays below (Sidak)."""
        count = int((self.redundancy > HARDLY_CHECKED).sum())
        return float(norm.isf(0.5 * (1.0 - (1.0 - (1.0 - _BY_CHI_SQUARE) * LEVEL) ** (1.0 / max(count, 1)))))

    @property
    def alarm(self) -> bool:
        """Whether the survey is not sound."""
        if self.freedoms <= 0:
            return False
        unlikely = float(chi2.sf(self.solved.chi_square, self.freedoms)) < _BY_CHI_SQUARE * LEVEL
        return unlikely or float(np.abs(self.standardised).max()) > self.limit

    @property
    def chi_square(self) -> float:
        """Of the rows that count."""
        return self.solved.chi_square

    @property
    def scale(self) -> float:
        """How many times their doubts the readings scatter."""
        return float(np.sqrt(self.chi_square / max(self.freedoms, 1)))

    @property
    def bent(self) -> bool:
        """Whether a reading is so far off that it may bend the fit."""
        return float(np.abs(self.standardised).max()) > _GROSS

    @cached_property
    def nudge(self) -> Array:
        """A little of each parameter (n,), for a place where what is typical lies exactly level or in line."""
        return np.asarray(np.random.default_rng(0).normal(scale=_NUDGE, size=self.solved.parameters.size))

    @cached_property
    def robust_places(self) -> tuple[Array, ...]:
        """Where most readings fit, the best place last; none where no reading is so far off that it bends the fit."""
        if not self.bent:
            return ()
        unknown, suspension = self.survey.unknowns, self.survey.axle.suspension
        together = partners(self.survey.readings)
        typical = start(unknown, suspension, together, np.zeros((0, unknown.count)), np.zeros(0))
        found = [_robust(self.rows, begin) for begin in (self.solved.parameters, typical + self.nudge)]
        if float(np.abs(found[0] - found[1]).max()) < _SAME_PLACE:
            found = found[1:]
        return tuple(sorted(found, key=lambda place: -_robust_cost(self.rows, place)))

    def places(self) -> list[Array]:
        """Where to linearise (n,), the place last where most readings fit: others than the fit if that is bent."""
        return list(self.robust_places) or [self.solved.parameters]


def _robust(every_row: ReadingRows, begin: Array) -> Array:
    """About the parameters of a fit in which readings far off hardly count: steps with weights anew each time."""
    place = begin
    for turn in range(_TURNS):
        off = every_row.residuals(place) / every_row.doubts
        far = np.abs(off)
        weight = np.sqrt(np.minimum(1.0, _HUBER / np.maximum(far, _HUBER)))
        if turn > _TURNS / 2:
            weight = 1.0 / np.hypot(1.0, far / _CAUCHY)
        slopes = np.nan_to_num(derivatives(every_row.predicted, place)) * (weight / every_row.doubts)[:, None]
        normal = slopes.T @ slopes + np.eye(place.size) / _STRIDE**2
        step = inverse(normal) @ (slopes.T @ (off * weight))
        length = float(np.abs(step).max())
        place = place + step * min(1.0, _STRIDE / max(length, _STILL))
        if turn > _TURNS / 2 and length < _STILL:
            break
    return place


def _robust_cost(every_row: ReadingRows, at: Array) -> float:
    return float(np.log1p((every_row.residuals(at) / every_row.doubts / _CAUCHY) ** 2).sum())
