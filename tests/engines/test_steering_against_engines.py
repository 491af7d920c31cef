"""Steered corners, with the wheel up and down, against two general-purpose multibody engines."""

from collections.abc import Callable

import numpy as np
import pytest

from kinematics.car.suspension_type import CHASSIS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.corners import trace_corners
from kinematics.numbers.wheel_angles import camber, toe
from kinematics.sweeps.rack import steered
from tests.engines.agreement import ANGLE_TO, POSITION_TO, camber_and_toe, degrees_between
from tests.engines.corner_linkages import CORNERS, RACK, TRAVEL, Build, five_link
from tests.engines.engines import ENGINES
from tests.engines.invented_axles import SIDES, cars, checked, invented
from tests.engines.linkage import Linkage

RACKS = np.linspace(-60.0, 60.0, 7)  # mm, to the left positive
HEIGHTS = np.array([-40.0, 0.0, 40.0])  # mm
STRAIGHT_AHEAD, AT_REST = 3, 1
CHECKS = [
    pytest.param(kind, build, car, id=f"{kind}, {build.__name__}, {car}".replace(" ", "-"), marks=checked(car))
    for kind, build in CORNERS
    if SUSPENSIONS[kind].rack
    for car in cars(kind)
]
# Slopes at zero by central differences of fourth order, B. Fornberg, Generation of finite difference formulas on
# arbitrarily spaced grids, Math. Comp. 51 (1988), table 1. From memory.
STEP = 0.2  # mm
STEPS, WEIGHTS = STEP * np.array([-2.0, -1.0, 1.0, 2.0]), np.array([1.0, -8.0, 8.0, -1.0]) / (12.0 * STEP)
# The formula misses STEP**4 / 30 of the fifth derivative: of a point on levers of some 300 mm whose next lock is
# 60 mm away, about 300 * 5! / 60**5, that is 2e-9. Rounding in the engine, of 1e-11 mm over the step, is less.
SLOPE_TO = 1e-8  # mm/mm


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize(("kind", "build", "car"), CHECKS)
def test_steered_positions_agree(engine: Callable[[], Linkage], kind: str, build: Build, car: str) -> None:
    axle = invented(kind, car)
    turned = steered(axle, RACKS)
    grid = len(RACKS), len(HEIGHTS)
    travel = np.broadcast_to(HEIGHTS, (len(RACKS), 2, len(HEIGHTS)))
    states = trace_corners(turned, HEIGHTS[0], HEIGHTS[-1]).at(travel)
    assert states.reached.all()
    found_camber, found_toe = np.degrees(camber(states.spin_axis)), np.degrees(toe(states.spin_axis))

    for index, side in enumerate(SIDES):
        linkage = engine()
        corner = {key: point[index] for key, point in axle.points.items()}
        build(linkage, corner)
        rack, height = (values.ravel() for values in np.meshgrid(RACKS, HEIGHTS, indexing="ij"))
        bodies = linkage.solve({RACK: rack, TRAVEL: height})
        wheel = bodies[axle.suspension.bodies[0]]
        rotation = wheel.rotation.reshape(*grid, 3, 3)
        leaning, steering = camber_and_toe(wheel.rotation, side, axle.camber[index], axle.toe[index])

        parts = {key: part for key, part in axle.suspension.carriers.items() if part != CHASSIS}
        for key, part in (parts | dict.fromkeys(axle.suspension.rack, RACK)).items():
            asked = bodies[part].point(corner[key]).reshape(*grid, 3)
            assert np.abs(states.point(key)[:, index] - asked).max() < POSITION_TO
        # The steered axle counts as measured where its wheels stand at rest.
        since_rest = rotation @ np.swapaxes(rotation[:, [AT_REST]], -1, -2)
        assert degrees_between(states.rotation[:, index], since_rest).max() < ANGLE_TO
        assert np.abs(found_camber[:, index] - leaning.reshape(grid)).max() < ANGLE_TO
        assert np.abs(found_toe[:, index] - steering.reshape(grid)).max() < ANGLE_TO
        assert degrees_between(rotation[[0, -1]], rotation[STRAIGHT_AHEAD]).min() > 10.0


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("car", [pytest.param(car, marks=checked(car)) for car in cars("five link")])
def test_axis_that_a_five_link_wheel_steers_about(engine: Callable[[], Linkage], car: str) -> None:
    """The engine pushes the toe link: points of the axis move along it at most, and others do not."""
    axle = invented("five link", car)
    states = trace_corners(axle, -1.0, 1.0).at(np.zeros((2, 1)))
    assert states.steering_axis is not None
    lower, upper = states.steering_axis
    for index in range(2):
        linkage = engine()
        five_link(linkage, {key: point[index] for key, point in axle.points.items()})
        wheel = linkage.solve({RACK: STEPS})["upright"]
        along = upper[index, 0] - lower[index, 0]
        for at, on_axis in (
            (lower[index, 0], True),
            (upper[index, 0], True),
            (axle.points["toe_link_outer"][index], False),
        ):
            sideways = np.linalg.norm(np.cross(WEIGHTS @ wheel.point(at), along)) / np.linalg.norm(along)
            assert sideways < SLOPE_TO if on_axis else sideways > 0.1
