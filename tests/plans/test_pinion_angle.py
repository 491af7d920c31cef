"""The pinion angle that a plan leaves, against points of the axle before and after it.

Where two points a metre apart along the axle have gone is told by its joints, of which they are weighted means: the
rise over the metre is the pinion's angle (formula). No rotation is used.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import Car
from kinematics.car.limits import Limits
from kinematics.car.suspension_type import SuspensionType
from kinematics.planning.changes import Change
from kinematics.planning.comparison import Outcome, compare
from kinematics.planning.plans import Plan
from tests.plans.garage import LEFT_ONLY
from tests.properties.carried_points import ALONG, APART, carried
from tests.properties.plausible_cars import LIVE_AXLES, named, typical_axle

TO = 1e-11  # rad; joints are solved to 1e-11 mm and lie some 100 mm apart or more

# A longer link yaws the axle, a larger wheel rolls it and a lower body pitches it.
ALL_THREE_TURNS = (
    Change("rear", "link length", by=12.0, point="lower_link_axle", sides=LEFT_ONLY),
    Change("rear", "tyre radius", by=25.0, sides=LEFT_ONLY),
    Change("rear", "ride height", by=-30.0),
)


def tried(kind: SuspensionType) -> Outcome:
    car = Car("tried", axles=(replace(typical_axle(kind), name="rear"),))
    return compare(car, [Plan("tried", ALL_THREE_TURNS)], Limits(), ()).outcomes[1]


@pytest.mark.parametrize("kind", LIVE_AXLES, ids=named)
def test_rise_of_a_point_ahead_on_the_axle(kind: SuspensionType) -> None:
    found = tried(kind)
    after = found.axles["rear"].axle
    along = carried(typical_axle(kind), after.points, ALONG)
    (nose_up,) = found.values("rear", "pinion_angle")

    assert_allclose(np.linalg.norm(along), APART, rtol=0.0, atol=APART * TO)
    assert_allclose(nose_up, np.arcsin(along[2] / APART), rtol=0.0, atol=TO)
    # Yaw and roll of the axle are such that its vertical axis would tell another angle.
    hubs = after.points["wheel_centre"]
    yaw, roll = (hubs[0] - hubs[1])[[0, 2]] / (hubs[0] - hubs[1])[1]
    assert abs(yaw * roll) > 1e-5
