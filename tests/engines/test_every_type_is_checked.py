"""No suspension type goes without an independent check."""

from kinematics.car.suspensions import SUSPENSIONS
from tests.engines.corner_linkages import CORNERS
from tests.engines.live_axle_linkages import LIVE_AXLES


def test_the_engines_are_told_of_every_type() -> None:
    whole_axle = {name for name, kind in SUSPENSIONS.items() if kind.whole_axle}
    assert {name for name, _ in LIVE_AXLES} == whole_axle
    assert {name for name, _ in CORNERS} == set(SUSPENSIONS) - whole_axle
