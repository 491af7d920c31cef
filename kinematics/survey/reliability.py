"""How large an error of each reading could pass unseen, and what it would do to the roll centre.

Reliability theory of geodetic networks (W. Baarda, "A testing procedure for use in geodetic networks", 1968, from
memory): a test that calls one sound reading in a thousand wrong finds, four times in five, an error of 4.13 doubts over
the square root of the reading's redundancy number (internal reliability). What it would shift, passing unseen, is the
external reliability.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from kinematics.car.limits import Limits
from kinematics.doubt.assessment import NORMAL_95, assess
from kinematics.doubt.question import AT_RIDE_HEIGHT, NumberAt
from kinematics.numbers.quantity import Dimension
from kinematics.survey.fit import DETECTED, UNCHECKED, FittedReading, SurveyFit
from kinematics.survey.missing import EASE, candidates
from kinematics.survey.readings import Reading, rows_of
from solvers.tangents import derivatives
from solvers.vectors import Array, Flags

ROLL_CENTRE: NumberAt = ("ride height", "roll_centre_height")
_LARGE = 25.0  # mm: an error that anyone may make, a whole inch; an angle's is told by its redundancy alone
_HARDLY = 0.1  # redundancy number of an angle below which it is weakly checked
_MOST, _MOST_ANGLE = 100.0, np.radians(20.0)  # mm, rad: what could pass but is larger is counted as this
_HELPS = 0.5  # of what reading it again would add to its redundancy number: below, another is no check


@dataclass(frozen=True)
class WeaklyChecked:
    """A reading an error of which may pass unseen: how large [mm, rad], and how far it shifts the roll centre [mm].

    Infinite where no other reading checks it. shifts: that of an error of `most`, 100 mm or 20 degrees, where a larger
    one could pass. check: a further reading that would check it, or `again`, the same taken once more by itself;
    detectable_then: how large an error could then pass.
    """

    reading: FittedReading
    most: float
    shifts: float
    check: Reading
    detectable_then: float
    again: bool

    @property
    def detectable(self) -> float:
        """The smallest error that the other readings would reveal [mm, rad]."""
        return self.reading.detectable

    @property
    def of_any_size(self) -> bool:
        """Whether an error could pass that is larger than anyone would make."""
        return self.detectable > self.most


@dataclass(frozen=True)
class Reliability:
    """How well a survey's readings are checked.

    shifts: how far the roll centre moves by an error of each row that just passes unseen, at most 100 mm or 20 degrees
    (m,) [mm]; not a number where the car has no roll centre. doubt_95: the roll centre's own, 95 % either way.
    """

    found: SurveyFit
    shifts: Array
    doubt_95: float

    @cached_property
    def weak(self) -> tuple[WeaklyChecked, ...]:
        """Readings whose unseen error could shift the roll centre by more than its own doubt, the farthest first."""
        return self._told(self.moves_roll_centre, self.shifts)

    @cached_property
    def hardly(self) -> tuple[WeaklyChecked, ...]:
        """Other readings of which a large error could pass unseen, the least checked first."""
        doubts = np.array([one.doubt for one in self.found.readings])
        angle = np.array([self.found.dimension(one) is Dimension.ANGLE for one in self.found.readings])
        large = large_unseen(self._redundancy, doubts, angle)
        return self._told(large & np.logical_not(self.moves_roll_centre), 1.0 - self._redundancy)

    @property
    def moves_roll_centre(self) -> Flags:
        """Which rows' unseen errors could shift the roll centre by more than its own doubt (m,)."""
        return np.asarray(np.nan_to_num(self.shifts, nan=0.0, posinf=np.inf) > self.doubt_95)

    @cached_property
    def _redundancy(self) -> Array:
        return np.array([one.redundancy for one in self.found.readings])

    def _told(self, chosen: Flags, order: Array) -> tuple[WeaklyChecked, ...]:
        of = np.flatnonzero(chosen)
        return tuple(self._checked(int(row)) for row in of[np.argsort(-order[of], kind="stable")])

    def _checked(self, row: int) -> WeaklyChecked:
        one = self.found.readings[row]
        gains = self._gains[row]
        best = int(np.argmax(gains * self._ease)) if gains.size else -1
        leverage = 1.0 - one.redundancy
        repeated = leverage**2 / (1.0 + leverage)
        again = bool(best < 0 or gains[best] < _HELPS * repeated)
        gain = repeated if again else float(gains[best])
        check = self.found.survey.readings[one.of] if again else self._further[best]
        then = replace(one, redundancy=min(1.0, one.redundancy + gain))
        return WeaklyChecked(one, _most(self.found, one), float(self.shifts[row]), check, then.detectable, again)

    @cached_property
    def _further(self) -> tuple[Reading, ...]:
        """Readings that could be taken, other than those that were."""
        taken = {(one.kind, frozenset(one.of)) for one in self.found.survey.readings}
        possible = candidates(self.found.survey.unknowns)
        return tuple(one for one in possible if (one.kind, frozenset(one.of)) not in taken)

    @cached_property
    def _ease(self) -> Array:
        return np.array([EASE[one.kind] for one in self._further])

    @cached_property
    def _gains(self) -> Array:
        """How far each row's redundancy number grows by each further reading (m, K).

        Formula: a reading with slopes s over its doubt takes (a C s)^2 / (1 + s C s) from the leverage a C a.
        """
        survey, solved = self.found.survey, self.found.best
        every_row = rows_of(self._further, survey.unknowns, survey.axle.camber, survey.axle.toe)
        seen = derivatives(every_row.predicted, solved.parameters) / every_row.doubts[:, None]
        spread = solved.covariance @ seen.T
        return np.asarray((solved.weighted_jacobian @ spread) ** 2 / (1.0 + (seen * spread.T).sum(axis=1)))


def large_unseen(redundancy: Array, doubts: Array, angle: Flags) -> Flags:
    """Of which readings a large error may pass unseen (m,): redundancy numbers, doubts [mm, rad], which are angles."""
    seen = np.maximum(redundancy, 0.0)
    with np.errstate(divide="ignore"):
        detectable = np.where(seen < UNCHECKED, np.inf, DETECTED * doubts / np.sqrt(seen))
    return np.asarray(np.where(angle, redundancy < _HARDLY, detectable > _LARGE))


def reliability(found: SurveyFit) -> Reliability:
    """How well each reading of a fitted survey is checked, and what an unseen error of it would do."""
    count = len(found.readings)
    told = assess(replace(found.axle, doubt=found.doubt), AT_RIDE_HEIGHT, Limits())
    number = None if told is None else told.first.get(ROLL_CENTRE)
    if number is None:
        return Reliability(found, np.full(count, np.nan), np.inf)
    unseen = np.array([min(one.detectable, _most(found, one)) / one.doubt for one in found.readings])
    slopes = np.abs(number.slopes[:count].reshape(count, -1)[:, 0])
    return Reliability(found, slopes * unseen, float(NORMAL_95 * number.standard_deviation.reshape(-1)[0]))


def _most(found: SurveyFit, one: FittedReading) -> float:
    return _MOST_ANGLE if found.dimension(one) is Dimension.ANGLE else _MOST
