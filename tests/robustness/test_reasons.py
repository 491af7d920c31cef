"""Whatever a sweep lacks has a reason of the right kind, and no number told is nan: random cars of every type.

Three of every type, in the campaign; `python -m tests.robustness.reasons` takes any number.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from kinematics import judge
from kinematics.car.car import Axle
from kinematics.car.lengths import MM
from kinematics.car.limits import ROLL_CENTRE, Limits, WorkingRange
from kinematics.motion.reasons import Gap
from kinematics.sweeps.asked import made_ready, over_attitudes
from reports.words.gaps import gap_words
from reports.words.verdict import sentence
from tests.robustness.reasons import scan
from tests.robustness.wild_cars import KINDS, kept_car, read

SEED = 38


@pytest.mark.campaign
def test_whatever_is_missing_has_a_reason() -> None:
    seen = scan(3, SEED)
    assert len(seen.cars) > len(KINDS) // 2
    assert {Gap.LOCKED, Gap.OVER_CENTRE, Gap.STRAIGHT_AHEAD} <= set(seen.gaps)
    assert seen.gaps
    assert seen.troubled
    assert not seen.wrong, "\n".join(seen.lines())


def trailing_arm() -> Axle:
    made = read(kept_car("trailing_arm_in_far_roll"))
    assert not isinstance(made, list)
    assert made.axles[0].suspension.name == "trailing arm"
    return made.axles[0]


def test_roll_beyond_what_was_followed_is_not_called_infinite() -> None:
    """Fifteen degrees of roll ask more travel than is followed: that much is not judged, and the rest is in numbers."""
    axle = trailing_arm()
    asked = {axle.name: (replace(ROLL_CENTRE, over=("roll",)),)}
    working = WorkingRange(roll=math.radians(15.0))
    # Followed for roll at ride height alone; a verdict asks farther, for it may be told of travel and roll at once.
    ready = made_ready(axle, over_attitudes(np.zeros(1), np.array([-working.roll, working.roll])))
    (*_, found) = judge(axle, Limits(working, asked), ready)
    assert found.over == "roll"
    assert {reason.gap for reason in found.trouble} == {Gap.FOLLOWED_NO_FARTHER}
    assert not found.holds
    assert math.isfinite(found.worst)
    assert abs(found.at) < math.radians(15.0)
    told = sentence(found, MM)
    assert "infinity" not in told
    assert "nan" not in told
    assert all(gap_words(reason) in told for reason in found.trouble)
