"""Paths read from their polynomials against positions solved one by one, and their rates against differences."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.linkage import axle_linkage, link_name
from solvers.mechanism import FIXED, Links, Mechanism, Pose, held_along, hinge
from solvers.moving import move
from solvers.path import Path
from solvers.positions import carried, motion_of_row
from solvers.rotations import IDENTITY
from solvers.tracing import trace
from tests.properties.plausible_cars import APART, INDEPENDENT, named, typical_axle

VARIANTS = 12
# Read values hold every length to 2e-10 mm, moved ones to 1e-11 mm; poses are some ten times less sharp.
POSITION, ROTATION = 2e-9, 1e-11


def some_corners(kind: SuspensionType) -> Mechanism:
    rng = np.random.default_rng(21)
    axle = typical_axle(kind)
    points = {key: point + rng.uniform(-APART, APART, (VARIANTS, 2, 3)) for key, point in axle.points.items()}
    return axle_linkage(replace(axle, points=points))


@pytest.mark.parametrize(
    "reach",
    [
        pytest.param((-60.0, 60.0), marks=pytest.mark.campaign),
        (-20.0, 85.0),
        pytest.param((-150.0, 150.0), marks=pytest.mark.campaign),
    ],
)
@pytest.mark.parametrize("kind", INDEPENDENT, ids=named)
def test_read_and_moved_are_the_same(kind: SuspensionType, reach: tuple[float, float]) -> None:
    """Random travels of each corner, out to where some of them come near their locks."""
    mechanism = some_corners(kind)
    path = trace(mechanism, *reach)
    travel = np.random.default_rng(1).uniform(path.low[..., None], path.high[..., None], (VARIANTS, 2, 30))

    read = path.at(travel)
    solved = move(mechanism.with_state_axis(), travel[..., None])

    assert read.reached.all()
    assert solved.arrived.all()
    assert read.error.max() < 2e-10
    assert_allclose(read.position, solved.pose.position, rtol=0.0, atol=POSITION)
    expected = Rotation.from_quat(solved.pose.quaternion.reshape(-1, 4)).as_matrix()
    assert_allclose(read.rotation.reshape(-1, 3, 3), expected, rtol=0.0, atol=ROTATION)


@pytest.mark.parametrize("kind", INDEPENDENT, ids=named)
def test_limits_of_each_variant(kind: SuspensionType) -> None:
    """Ranges may differ from corner to corner, and so may what can be reached of them."""
    mechanism = some_corners(kind)
    low = np.random.default_rng(5).uniform(-80.0, -10.0, (VARIANTS, 2))
    path = trace(mechanism, low, 40.0)
    assert_allclose(path.low, low)
    assert_allclose(path.high, 40.0)
    travel = np.array([-45.0, 0.0, 39.0]) + np.zeros((VARIANTS, 2, 1))
    found = path.at(travel)
    assert (found.reached[..., 0] == (low <= -45.0)).all()
    assert found.reached[..., 1:].all()
    assert_allclose(found.position[..., 1, :, :], mechanism.start.position, rtol=0.0, atol=POSITION)


# A slider-crank of two moving bodies: crank on the ground, rod on the crank, its end on a far link, nearly a slide.
CRANK, ROD = 0, 1
O2, PIN, END = np.array([0.0, 0.0, 0.0]), np.array([0.0, 80.0, 30.0]), np.array([0.0, 400.0, 10.0])
FAR = np.array([0.0, 400.0, -900.0])


def crank_and_rod() -> Path:
    axis = np.array([60.0, 0.0, 0.0])
    length = np.array([np.linalg.norm(END - FAR)])
    mechanism = Mechanism(
        bodies=("crank", "rod"),
        start=Pose(np.stack([O2, PIN]), np.tile(IDENTITY, (2, 1))),
        links=(Links(ROD, (END - PIN)[None], FIXED, FAR[None], length, ("far",)),),
        planes=(
            hinge(CRANK, O2, axis, FIXED, O2, axis, "o2"),
            hinge(ROD, np.zeros(3), axis, CRANK, PIN, axis, "pin"),
        ),
        drivers=(held_along(CRANK, PIN, np.array([0.0, 0.0, 1.0]), "pin height"),),
    )
    return trace(mechanism, -60.0, 30.0)


def test_rates_of_two_bodies() -> None:
    """The crank by hand, the rod's by central differences of eighth order (B. Fornberg 1988, from memory).

    Steps of 1 mm on a crank of 85 mm: the formula misses about 576 / 30**8 of a radian, rounding is 1e-13.
    """
    weights = np.array([1 / 280, -4 / 105, 1 / 5, -4 / 5, 0.0, 4 / 5, -1 / 5, 4 / 105, -1 / 280])
    height = np.linspace(-50.0, 20.0, 15)
    path = crank_and_rod()
    around = path.at((height[:, None] + np.arange(-4, 5)).ravel())
    here = path.at(height)

    # Height of the pin = 85.4 sin(angle), so the crank turns by 1 / (its reach to the side) per mm.
    to_the_side = np.sqrt(80.0**2 + 30.0**2 - (30.0 + height) ** 2)
    zero = np.zeros_like(height)
    assert_allclose(here.spin[:, CRANK], np.stack([1.0 / to_the_side, zero, zero], axis=-1), rtol=0.0, atol=1e-12)
    rod = around.position[:, ROD].reshape(-1, 9, 3)
    assert_allclose(here.velocity[:, ROD], np.einsum("skx,k->sx", rod, weights), rtol=0.0, atol=1e-8)
    turn = Rotation.from_matrix(around.rotation[:, ROD]).as_rotvec()[:, 0].reshape(-1, 9)
    assert_allclose(here.spin[:, ROD, 0], turn @ weights, rtol=0.0, atol=1e-9)
    assert_allclose(here.velocity[:, ROD, 2], 1.0, rtol=0.0, atol=1e-12)


def test_carried_points_are_rotated_and_moved() -> None:
    rng = np.random.default_rng(0)
    rotation, position = Rotation.random(10, random_state=1), rng.normal(size=(10, 3))
    arm = np.array([[3.0, -4.0, 5.0]])
    found = carried(rotation.as_matrix().reshape(2, 5, 3, 3), position.reshape(2, 5, 3), np.stack([arm, arm]))
    assert_allclose(found.reshape(10, 3), rotation.apply(arm[0]) + position, rtol=0.0, atol=1e-14)


@pytest.mark.parametrize("name", ["strut", "double wishbone", "five link", "semi-trailing arm", "H-arm"])
def test_poses_read_from_the_polynomials_hold_within_their_bound(name: str) -> None:
    """Against the same positions solved one by one, at random places on random cars' paths."""
    rng = np.random.default_rng(3)
    axle = typical_axle(SUSPENSIONS[name])
    points = {key: point + rng.uniform(-10.0, 10.0, (12, 2, 3)) for key, point in axle.points.items()}
    mechanism = axle_linkage(replace(axle, points=points))
    path = trace(mechanism, -70.0, 70.0)
    driver = rng.uniform(path.low[..., None], path.high[..., None], (12, 2, 90))
    solved = move(mechanism.with_state_axis(), driver[..., None]).pose
    assert 0.0 < path.bound.max() < 1e-9
    pose = path.poses(driver)
    apart = np.abs(pose.position - solved.position).max(axis=(-2, -1))
    # What lengths are off is what points are off, but for levers of the linkage: tenfold is allowed for.
    assert (apart <= 10.0 * path.bound[..., None] + 1e-11).all()


@pytest.mark.parametrize("name", ["strut", "double wishbone", "five link", "semi-trailing arm", "H-arm"])
def test_many_positions_move_as_few_do(name: str) -> None:
    """Where many are asked for, motion is read from polynomials too: held against motion solved for at each."""
    path = trace(axle_linkage(typical_axle(SUSPENSIONS[name])), -70.0, 70.0)
    driver = np.broadcast_to(np.linspace(-70.0, 70.0, 1000), (2, 1000))
    assert path.motion_and_twist is not None
    many = path.at(driver)
    few = [path.at(driver[:, first : first + 100]) for first in range(0, 1000, 100)]
    for part, most in (("position", 1e-9), ("rotation", 1e-12), ("velocity", 1e-12), ("spin", 1e-14)):
        one_by_one = np.concatenate([getattr(one, part) for one in few], axis=1)
        np.testing.assert_allclose(getattr(many, part), one_by_one, rtol=0.0, atol=most, err_msg=part)


def test_many_positions_move_as_any_link_grows() -> None:
    """The toe link's motion, read from polynomials: it grows, the other links and the wheel centre's height stay."""
    axle = typical_axle(SUSPENSIONS["five link"])
    path = trace(axle_linkage(axle), -70.0, 70.0)
    toe_link = axle.suspension.toe_link
    assert toe_link is not None
    row = path.mechanism.row_names.index(link_name(toe_link))
    driver = np.broadcast_to(np.linspace(-70.0, 70.0, 1000), (2, 1000))
    found = path.at(driver)
    read = path.row_motion(row, driver)
    assert read is not None
    assert path.row_motion(row, driver[:, :100]) is None  # so few are solved for one by one
    assert_allclose(read[0], motion_of_row(path.rows, found, row)[0], rtol=0.0, atol=2e-12)

    velocity, spin = np.moveaxis(read[0].reshape(2, 3, *driver.shape), 1, -1)
    centre = found.position[..., 0, :]
    assert_allclose(velocity[..., 2], 0.0, rtol=0.0, atol=1e-12)
    for link in axle.suspension.links:
        inner, outer = sorted(link, key=lambda key: key in axle.suspension.on_upright)
        arm = axle.points[outer] - axle.points["wheel_centre"]
        place = carried(found.rotation[..., 0, :, :], centre, arm[:, None])
        along = place - axle.points[inner][:, None]
        along /= np.linalg.norm(along, axis=-1, keepdims=True)
        growth = (along * (velocity + np.cross(spin, place - centre))).sum(axis=-1)
        assert_allclose(growth, float(link == toe_link), rtol=0.0, atol=1e-11, err_msg=str(link))


def test_motion_near_a_lock_is_solved_for() -> None:
    """There polynomials bend like a square root and prove no good."""
    axle = typical_axle(SUSPENSIONS["double wishbone"])
    path = trace(axle_linkage(axle), -600.0, 600.0)
    assert (path.lock_low.locked | path.lock_high.locked).any()
    assert path.motion_and_twist is None
