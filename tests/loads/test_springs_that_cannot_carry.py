"""A spring that its wheel does not shorten carries no weight: said for either side, and only there (property).

A spring that stands upright between the wheel's carrier and the body gets shorter in bump if its body end lies above
the other, and longer if it lies below.
"""

from dataclasses import replace

import numpy as np
import pytest

from kinematics.car.springs_and_bars import Attachment, Line
from kinematics.car.suspension_type import CHASSIS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.loads.readiness import Lack, Need, NotReadyError
from kinematics.loads.setup import calibrated
from tests.loads.invented_loads import loads, symmetric


def line(left_up: float, right_up: float) -> Line:
    """Springs whose body ends lie so far above their lower ends [mm]."""
    low = np.array([[0.0, 560.0, 450.0], [0.0, -560.0, 450.0]])
    top = low + np.array([[0.0, 0.0, left_up], [0.0, 0.0, right_up]])
    return Line(Attachment(low, "upright"), Attachment(top, CHASSIS))


@pytest.mark.parametrize("below", [0, 1], ids=["left", "right"])
def test_a_spring_of_one_side_that_gets_longer_in_bump(below: int) -> None:
    axle = symmetric(SUSPENSIONS["double wishbone"])
    sound = replace(axle, loads=loads(line(300.0, 300.0)))
    assert calibrated(sound).preload.min() > 0.0
    ups = [300.0, 300.0]
    ups[below] = -300.0
    with pytest.raises(NotReadyError) as caught:
        calibrated(replace(axle, loads=loads(line(*ups))))
    assert caught.value.lacks == (Lack(Need.SPRING_SHORTER_IN_BUMP, "front"),)
