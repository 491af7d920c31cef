"""Live axles in heave, in roll and on one wheel against two general-purpose multibody engines."""

from collections.abc import Callable

import numpy as np
import pytest

from kinematics.car.suspension_type import CHASSIS
from kinematics.motion.live_axle import LiveAxle
from kinematics.numbers.wheel_angles import camber, toe
from tests.engines.agreement import ANGLE_TO, POSITION_TO, camber_and_toe, degrees_between
from tests.engines.engines import ENGINES, exudyn
from tests.engines.invented_axles import SIDES, cars, checked, invented
from tests.engines.linkage import Linkage
from tests.engines.live_axle_linkages import AXLE, LIVE_AXLES, TRAVELS, Build, four_links

HEIGHTS = np.linspace(-70.0, 70.0, 15)  # mm
LEVEL = np.zeros_like(HEIGHTS)
# Heave, roll, the left wheel alone, the right wheel alone.
TRAVEL = np.stack([np.r_[HEIGHTS, HEIGHTS, HEIGHTS, LEVEL], np.r_[HEIGHTS, -HEIGHTS, LEVEL, HEIGHTS]])
# Exudyn has no constraint on a sum of lengths, which four bushed links ask for.
CHECKS = [
    pytest.param(engine, kind, build, car, id=f"{engine.__name__}, {kind}, {car}".replace(" ", "-"), marks=checked(car))
    for engine in ENGINES
    for kind, build in LIVE_AXLES
    if engine is not exudyn or build is not four_links
    for car in cars(kind)
]


@pytest.mark.parametrize(("engine", "kind", "build", "car"), CHECKS)
def test_positions_agree(engine: Callable[[], Linkage], kind: str, build: Build, car: str) -> None:
    axle = invented(kind, car)
    states = LiveAxle(axle).at(TRAVEL)
    assert states.reached.all()
    found_camber, found_toe = np.degrees(camber(states.spin_axis)), np.degrees(toe(states.spin_axis))

    linkage = engine()
    build(linkage, axle.points)
    bodies = linkage.solve(dict(zip(TRAVELS, TRAVEL, strict=True)))
    beam = bodies[AXLE]

    for index, side in enumerate(SIDES):
        for key, part in axle.suspension.carriers.items():
            if part != CHASSIS:
                asked = bodies[part].point(axle.points[key][index])
                assert np.abs(states.point(key)[index] - asked).max() < POSITION_TO
        leaning, steering = camber_and_toe(beam.rotation, side, axle.camber[index], axle.toe[index])
        assert degrees_between(states.rotation[index], beam.rotation).max() < ANGLE_TO
        assert np.abs(found_camber[index] - leaning).max() < ANGLE_TO
        assert np.abs(found_toe[index] - steering).max() < ANGLE_TO
    # The axle rolled: 140 mm between the wheels over a track of 1.4 m is 5.6 deg.
    assert degrees_between(beam.rotation, np.eye(3)).max() > 5.0
