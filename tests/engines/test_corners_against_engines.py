"""Independent corners swept through bump against two general-purpose multibody engines that share no code with ours."""

from collections.abc import Callable

import numpy as np
import pytest

from kinematics import sweep_bump
from kinematics.car.suspension_type import CHASSIS
from kinematics.motion.corners import trace_corners
from tests.engines.agreement import ANGLE_TO, POSITION_TO, camber_and_toe, degrees_between
from tests.engines.corner_linkages import CORNERS, TRAVEL, Build
from tests.engines.engines import ENGINES
from tests.engines.invented_axles import SIDES, cars, checked, invented
from tests.engines.linkage import Linkage

REACH = 70.0  # mm
# A short rocker goes over centre: with one of the uneven cars at 61 mm, and so does the car in MuJoCo.
SHORTER_REACH = {"free linkage": 50.0}
CHECKS = [
    pytest.param(kind, build, car, id=f"{kind}, {build.__name__}, {car}".replace(" ", "-"), marks=checked(car))
    for kind, build in CORNERS
    for car in cars(kind)
]


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize(("kind", "build", "car"), CHECKS)
def test_sweep_agrees(engine: Callable[[], Linkage], kind: str, build: Build, car: str) -> None:
    axle = invented(kind, car)
    reach = SHORTER_REACH.get(kind, REACH)
    heights = np.linspace(-reach, reach, 15)
    states = trace_corners(axle, -reach, reach).at(np.stack([heights, heights]))
    sweep = sweep_bump(axle, heights)
    assert states.reached.all()
    assert sweep.reached.all()

    wheel_part = axle.suspension.bodies[0]
    for index, side in enumerate(SIDES):
        linkage = engine()
        corner = {key: point[index] for key, point in axle.points.items()}
        build(linkage, corner)
        bodies = linkage.solve({TRAVEL: heights})
        wheel = bodies[wheel_part]
        camber, toe = camber_and_toe(wheel.rotation, side, axle.camber[index], axle.toe[index])

        for key, part in axle.suspension.carriers.items():
            if part != CHASSIS:
                assert np.abs(states.point(key)[index] - bodies[part].point(corner[key])).max() < POSITION_TO
        assert degrees_between(states.rotation[index], wheel.rotation).max() < ANGLE_TO
        assert np.abs(np.degrees(sweep["camber"][index]) - camber).max() < ANGLE_TO
        assert np.abs(np.degrees(sweep["toe"][index]) - toe).max() < ANGLE_TO
        # The sweep went somewhere: an upright that never turned would agree with one that never turned.
        assert degrees_between(wheel.rotation, np.eye(3)).max() > 0.3
