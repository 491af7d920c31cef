"""Whatever a sweep lacks has a reason of the right kind, and no number told is nan: random cars of every type.

CORNERSWEEP_CARS=100 in the environment takes so many of every type; `python -m tests.robustness.reasons` counts them.
"""

import math
import os

from kinematics import judge
from kinematics.car.car import Axle
from kinematics.car.lengths import MM
from kinematics.car.limits import Limits, WorkingRange
from kinematics.motion.reasons import Gap
from reports.words.gaps import gap_words
from reports.words.verdict import sentence
from tests.robustness.reasons import scan
from tests.robustness.wild_cars import KINDS, read, wild_car

CARS = int(os.environ.get("CORNERSWEEP_CARS", "1"))  # of every type
SEED = 38


def test_whatever_is_missing_has_a_reason() -> None:
    seen = scan(CARS * len(KINDS), SEED)
    assert len(seen.cars) > len(KINDS) // 2
    assert {Gap.LOCKED, Gap.OVER_CENTRE, Gap.STRAIGHT_AHEAD} <= set(seen.gaps)
    assert seen.troubled
    assert not seen.wrong, "\n".join(seen.lines())


def trailing_arm(number: int) -> Axle:
    """The axle of a car of seed 1 that has a trailing arm."""
    made = read(wild_car(1, number))
    assert not isinstance(made, list)
    assert made.axles[0].suspension.name == "trailing arm"
    return made.axles[0]


def test_roll_beyond_what_was_followed_is_not_called_infinite() -> None:
    """Fifteen degrees of roll ask more travel than is followed: that much is not judged, and the rest is in numbers."""
    axle = trailing_arm(528)
    (*_, found) = judge(axle, Limits(WorkingRange(roll=math.radians(15.0))))
    assert found.over == "roll"
    assert {reason.gap for reason in found.trouble} == {Gap.FOLLOWED_NO_FARTHER}
    assert not found.holds
    assert math.isfinite(found.worst)
    assert abs(found.at) < math.radians(15.0)
    told = sentence(found, MM)
    assert "infinity" not in told
    assert "nan" not in told
    assert all(gap_words(reason) in told for reason in found.trouble)
