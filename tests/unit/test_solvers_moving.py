"""Following a linkage: never on another assembly, as far as its geometry goes, and with the right parts to blame."""

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from kinematics import Axle
from kinematics.car.suspensions.double_wishbone import DOUBLE_WISHBONE
from kinematics.motion.linkage import axle_linkage
from solvers.equations import Equations, equations, start_pose
from solvers.mechanism import FIXED, Links, Mechanism, Pose, held_along
from solvers.moving import move
from solvers.newton import newton
from solvers.planar import wishbone_positions
from solvers.rotations import IDENTITY
from solvers.tracing import trace
from tests.properties.plausible_cars import MIRROR, typical_axle
from tests.short_run import at_places

Array = NDArray[np.float64]
LAST_STEP = 0.01  # mm: steps are quartered until they are shorter than 0.002 mm, so a lock is met within 0.008 mm


# --- other assemblies ---

# Invented corners with a short steering arm and tie rod, so that the mirrored way to assemble them is near.
NEAR_MIRROR = {
    "in droop": (
        -80.0,
        {
            "wheel_centre": (-1, 741, 291),
            "lower_ball_joint": (16, 676, 173),
            "lower_pivot_front": (125, 350, 203),
            "lower_pivot_rear": (-162, 345, 184),
            "upper_ball_joint": (-12, 660, 446),
            "upper_pivot_front": (97, 479, 425),
            "upper_pivot_rear": (-119, 479, 396),
            "tie_rod_outer": (-17, 720, 229),
            "tie_rod_inner": (41, 550, 224),
        },
    ),
    "in bump": (
        80.0,
        {
            "wheel_centre": (2, 742, 304),
            "lower_ball_joint": (9, 692, 179),
            "lower_pivot_front": (132, 354, 203),
            "lower_pivot_rear": (-150, 353, 193),
            "upper_ball_joint": (-15, 656, 435),
            "upper_pivot_front": (99, 467, 402),
            "upper_pivot_rear": (-103, 467, 408),
            "tie_rod_outer": (-28, 782, 184),
            "tie_rod_inner": (28, 567, 209),
        },
    ),
}


def one_corner(points: dict[str, tuple[int, int, int]]) -> Mechanism:
    both = {key: np.array([point, MIRROR * point]) for key, point in points.items()}
    return axle_linkage(Axle("front", DOUBLE_WISHBONE, both, np.zeros(2), np.zeros(2)))


def laid_out(mechanism: Mechanism, shape: tuple[int, ...]) -> tuple[Equations, Array, Array]:
    """Rows and start poses with their batch axes made one."""
    position, quaternion = (part.reshape(*part.shape[:2], -1) for part in start_pose(mechanism, shape))
    return equations(mechanism).flattened(shape), position, quaternion


def determinant_signs(rows: Equations, position: Array, quaternion: Array) -> Array:
    _, jacobian = rows.evaluate(position, quaternion, np.zeros((1, position.shape[-1])))
    return np.linalg.slogdet(np.moveaxis(jacobian, -1, 0)).sign


def plain_newton(rows: Equations, position: Array, quaternion: Array, travel: float) -> tuple[Array, Array]:
    """The textbook's iteration, straight to the travel in full steps, until it rests."""
    for _ in range(100):
        residual, jacobian = rows.evaluate(position, quaternion, np.full((1, 2), travel))
        step = np.linalg.solve(np.moveaxis(jacobian, -1, 0), -residual.T[..., None])[..., 0]
        position = position + step[:, :3].T[None]
        quaternion = (Rotation.from_rotvec(step[:, 3:]) * Rotation.from_quat(quaternion[0].T)).as_quat().T[None]
    assert np.abs(rows.evaluate(position, quaternion, np.full((1, 2), travel))[0]).max() < 1e-9
    return position, quaternion


def steer(quaternion: Array) -> Array:
    """Turn of the left and right upright about the vertical [deg], (2,) of quaternions (2, 4)."""
    return Rotation.from_quat(quaternion).as_euler("ZXY", degrees=True)[:, 0]


@pytest.mark.campaign
@pytest.mark.parametrize("case", NEAR_MIRROR)
def test_residual_of_zero_is_not_yet_the_car(case: str) -> None:
    """One jump lands, with all lengths right, on the mirrored assembly; following the path stays on the car."""
    travel, points = NEAR_MIRROR[case]
    mechanism = one_corner(points)
    rows, position, quaternion = laid_out(mechanism, (2,))
    measured = determinant_signs(rows, position, quaternion)

    jumped = plain_newton(rows, position, quaternion, travel)
    found = move(mechanism, np.full((2, 1), travel))

    assert found.arrived.all()
    followed = np.moveaxis(found.pose.position, 0, -1), np.moveaxis(found.pose.quaternion, 0, -1)
    residual, _ = rows.evaluate(*followed, np.full((1, 2), travel))
    assert np.abs(residual).max() < 1e-10
    assert (determinant_signs(rows, *followed) == measured).all()
    assert (determinant_signs(rows, *jumped) == -measured).all()
    apart = np.abs(steer(jumped[1][0].T) - steer(found.pose.quaternion[:, 0]))
    assert (apart > 40.0).all()
    # Small steps, each from the one before, tell which of the two the car is.
    small = walked(rows, position, quaternion, travel)
    assert small.reached.min() == 1.0
    assert_allclose(followed[0], small.position, rtol=0.0, atol=1e-8)
    assert_allclose(followed[1], small.quaternion, rtol=0.0, atol=1e-10)


@dataclass(frozen=True)
class Walk:
    """Where many corners got to (1, 3, N), (1, 4, N), and the part of the travel each was taken along (N,)."""

    position: Array
    quaternion: Array
    reached: Array


EVEN = np.linspace(0.0, 1.0, 321)[1:]  # parts of the way; a quarter of a millimetre each on 80 mm
GROWING = EVEN**2  # from a thousandth of a millimetre on, for corners that start next to a fold


def walked(rows: Equations, position: Array, quaternion: Array, travel: float, parts: Array = EVEN) -> Walk:
    """Take corners along in many small steps, each corner as far as it goes without a jump or a fold."""
    reached = np.zeros(position.shape[-1])
    measured = determinant_signs(rows, position, quaternion)
    going = np.ones(reached.size, dtype=bool)
    for part in parts:
        solved = newton(rows, position, quaternion, np.full((1, going.size), travel * part))
        turn = 2.0 * np.linalg.norm((solved.quaternion - quaternion)[0], axis=0)
        same_side = determinant_signs(rows, solved.position, solved.quaternion) == measured
        going &= solved.converged & same_side & (turn < 0.09)
        position = np.where(going, solved.position, position)
        quaternion = np.where(going, solved.quaternion, quaternion)
        reached[going] = part
    return Walk(position, quaternion, reached)


def steep_steering(count: int) -> Axle:
    """Axles whose tie rods leave their steering arms at any angle: many near a fold, some that lock on the way."""
    rng = np.random.default_rng(3)
    axle = typical_axle(DOUBLE_WISHBONE)
    points = {key: point + rng.uniform(-15.0, 15.0, (count, 2, 3)) for key, point in axle.points.items()}

    def spread(*ranges: tuple[float, float]) -> Array:
        return np.stack([rng.uniform(*limits, (count, 2)) for limits in ranges], axis=-1) * [[1, 1, 1], MIRROR]

    outer = points["lower_ball_joint"] + spread((-130.0, -30.0), (-100.0, 100.0), (0.0, 60.0))
    inner = outer - spread((-60.0, 60.0), (150.0, 340.0), (-30.0, 10.0))
    return replace(axle, points={**points, "tie_rod_outer": outer, "tie_rod_inner": inner})


# Invented corners that were measured close to a fold of their tie rods, the mirrored assembly just behind it: a step
# of a few centimetres, well converged, may land there.
NEAR_FOLD = {
    "in droop": (
        -70.0,
        {
            "wheel_centre": (-15, 742, 306),
            "lower_ball_joint": (20, 672, 190),
            "lower_pivot_front": (140, 356, 177),
            "lower_pivot_rear": (-145, 362, 191),
            "upper_ball_joint": (-6, 644, 443),
            "upper_pivot_front": (96, 434, 405),
            "upper_pivot_rear": (-95, 429, 407),
            "tie_rod_outer": (-10, 745, 237),
            "tie_rod_inner": (44, 576, 243),
        },
    ),
    "in bump": (
        70.0,
        {
            "wheel_centre": (11, 729, 309),
            "lower_ball_joint": (5, 674, 183),
            "lower_pivot_front": (116, 361, 178),
            "lower_pivot_rear": (-146, 342, 185),
            "upper_ball_joint": (-22, 665, 423),
            "upper_pivot_front": (95, 428, 416),
            "upper_pivot_rear": (-93, 408, 396),
            "tie_rod_outer": (-26, 588, 242),
            "tie_rod_inner": (-81, 408, 269),
        },
    ),
}


def around_a_fold(points: dict[str, tuple[int, int, int]], count: int) -> Axle:
    """That many axles, every coordinate of theirs up to 2 mm off."""
    rng = np.random.default_rng(0)
    both = {
        key: np.array([point, MIRROR * point]) + rng.integers(-2, 3, (count, 2, 3)) for key, point in points.items()
    }
    return Axle("front", DOUBLE_WISHBONE, both, np.zeros(2), np.zeros(2))


@pytest.mark.parametrize("travel", [pytest.param(-80.0, marks=pytest.mark.campaign), 80.0])
def test_moves_as_small_steps_do(travel: float) -> None:
    """240 corners: where they arrive, where they get to if they do not, on which assembly."""
    lost = assert_moves_as_small_steps_do(steep_steering(120), travel)
    assert 0.0 < lost < 0.2


@pytest.mark.parametrize("case", at_places(NEAR_FOLD, 0))
def test_no_step_leaps_over_a_fold_nearby(case: str) -> None:
    travel, points = NEAR_FOLD[case]
    assert_moves_as_small_steps_do(around_a_fold(points, 40), travel, GROWING)


def assert_moves_as_small_steps_do(axle: Axle, travel: float, parts: Array = EVEN) -> float:
    """Return the share of the corners that lock on the way."""
    count = len(axle.points["wheel_centre"])
    mechanism = axle_linkage(axle)
    rows, position, quaternion = laid_out(mechanism, (count, 2))
    small = walked(rows, position, quaternion, travel, parts)

    found = move(mechanism, np.full((count, 2, 1), travel))

    arrived = found.arrived.ravel()
    assert (arrived == (small.reached == 1.0)).all()
    # Small steps may end just before the lock or a whole step before it.
    ahead = (found.reached.ravel() - small.reached) * abs(travel)
    assert (ahead[~arrived] > -LAST_STEP).all()
    assert (ahead[~arrived] < np.diff(parts).max() * abs(travel) + LAST_STEP).all()
    followed = found.pose.position.reshape(-1, 1, 3).transpose(1, 2, 0), found.pose.quaternion.reshape(-1, 1, 4)
    there = followed[1].transpose(1, 2, 0)
    assert_allclose(followed[0][..., arrived], small.position[..., arrived], rtol=0.0, atol=1e-7)
    assert_allclose(there[..., arrived], small.quaternion[..., arrived], rtol=0.0, atol=1e-9)
    measured = determinant_signs(rows, position, quaternion)
    assert (determinant_signs(rows, followed[0], there) == measured).all()
    return float((~arrived).mean())


# --- locks of a planar linkage, by hand ---

LOWER_PIVOT, LOWER_JOINT = np.array([350.0, 190.0]), np.array([690.0, 180.0])
UPPER_PIVOT, UPPER_JOINT = np.array([420.0, 410.0]), np.array([650.0, 430.0])
LOWER = math.dist(LOWER_PIVOT, LOWER_JOINT)
UPPER = math.dist(UPPER_PIVOT, UPPER_JOINT)
UPRIGHT = math.dist(LOWER_JOINT, UPPER_JOINT)
SPREAD = 140.0  # mm that each arm's two pivots lie ahead of and behind the plane


def planar_corner(driven: Array = LOWER_JOINT) -> Mechanism:
    """Two wishbones in the plane x = 0 and a tie rod that copies the lower arm; the driver lifts a point of it."""

    def at(x: float, point: Array) -> Array:
        return np.array([x, *point])

    outer = np.array([at(0.0, LOWER_JOINT)] * 2 + [at(0.0, UPPER_JOINT)] * 2 + [at(-120.0, LOWER_JOINT)])
    pivots = [at(x, pivot) for pivot in (LOWER_PIVOT, UPPER_PIVOT) for x in (SPREAD, -SPREAD)]
    inner = np.array([*pivots, at(-120.0, LOWER_PIVOT)])
    reference = at(0.0, driven)
    links = Links(
        0,
        outer - reference,
        FIXED,
        inner,
        np.linalg.norm(outer - inner, axis=-1),
        ("lower front", "lower rear", "upper front", "upper rear", "tie rod"),
    )
    driver = held_along(0, np.zeros(3), np.array([0.0, 0.0, 1.0]), "height")
    return Mechanism(("upright",), Pose(reference[None], IDENTITY[None]), (links,), (), (driver,))


def stretched() -> Array:
    """The lower joint where upright and upper arm are one straight line: below, on two circles."""
    base = LOWER_PIVOT - UPPER_PIVOT
    far = math.hypot(*base)
    along = ((UPPER + UPRIGHT) ** 2 - LOWER**2 + far**2) / (2.0 * far)
    across = math.sqrt((UPPER + UPRIGHT) ** 2 - along**2)
    return UPPER_PIVOT + (along * base + across * np.array([-base[1], base[0]])) / far


def test_upright_and_upper_arm_stretched_in_line() -> None:
    """In droop the lower joint gets no farther than upper arm and upright can reach from the upper pivot."""
    joint = stretched()
    assert math.dist(joint, UPPER_PIVOT) == pytest.approx(UPPER + UPRIGHT)
    assert math.dist(joint, LOWER_PIVOT) == pytest.approx(LOWER)
    limit = joint[1] - LOWER_JOINT[1]

    found = move(planar_corner(), np.array([[-300.0], [limit + 0.5]]))

    assert found.arrived.tolist() == [False, True]
    assert limit <= -300.0 * found.reached[0] <= limit + LAST_STEP


def test_stretched_line_is_to_blame() -> None:
    """Statics at the lower joint: a downward push is held by the lower arm and by the stretched line.

    Each arm is two links that spread, so each takes half of the arm's force over the cosine of its angle to the plane.
    """
    joint = stretched()
    found = move(planar_corner(), np.array([[-300.0]]))
    lower, line = (joint - LOWER_PIVOT) / LOWER, (joint - UPPER_PIVOT) / (UPPER + UPRIGHT)
    forces = np.abs(np.linalg.solve(np.stack([lower, line], axis=-1), [0.0, 1.0]))
    in_links = forces * [math.hypot(LOWER, SPREAD) / LOWER, math.hypot(UPPER, SPREAD) / UPPER]
    expected = np.append(np.repeat(in_links, 2), 0.0) / in_links.max()
    # 0.008 mm before the lock the line is still bent by sqrt(2 * 0.008 / 120) = 0.012 rad.
    assert_allclose(found.share[0], expected, rtol=0.0, atol=0.03)
    assert expected[2] == 1.0  # the upper arm, in line with the upright, is the first to blame


def test_lower_arm_upright_over_its_pivot() -> None:
    """In bump the joint gets as high as its arm is long; there the arm alone holds the driver."""
    limit = LOWER_PIVOT[1] + LOWER - LOWER_JOINT[1]
    found = move(planar_corner(), np.array([[600.0], [limit - 0.5]]))
    assert found.arrived.tolist() == [False, True]
    assert limit - LAST_STEP <= 600.0 * found.reached[0] <= limit
    # Bent by sqrt(2 * 0.008 / 340) = 0.007 rad.
    assert_allclose(found.share[0], [1.0, 1.0, 0.0, 0.0, 0.0], rtol=0.0, atol=0.02)


def test_path_ends_at_the_same_locks_and_holds_up_to_them() -> None:
    """Close to the lock the upright swings like a square root; closed form and traced path agree all the way."""
    low, high = stretched()[1] - LOWER_JOINT[1], LOWER_PIVOT[1] + LOWER - LOWER_JOINT[1]
    path = trace(planar_corner(), -300.0, 600.0)
    assert low <= path.low <= low + LAST_STEP
    assert high - LAST_STEP <= path.high <= high
    assert path.lock_low.locked
    assert path.lock_high.locked

    before = np.geomspace(0.02, 100.0, 40)  # mm before either lock
    height = np.concatenate([low + before, high - before])
    positions = path.at(height)

    assert positions.reached.all()
    assert positions.error.max() < 2e-10
    sine = (LOWER_JOINT[1] + height - LOWER_PIVOT[1]) / LOWER
    turn = np.arcsin(sine) - math.asin((LOWER_JOINT[1] - LOWER_PIVOT[1]) / LOWER)
    closed = wishbone_positions(LOWER_PIVOT, LOWER_JOINT, UPPER_PIVOT, UPPER_JOINT, turn)
    rotation = Rotation.from_matrix(positions.rotation[:, 0]).as_rotvec()
    # Lengths hold to 2e-10 mm on levers of 100 mm; next to the lock the angle is that over the bend of 0.02 rad.
    assert_allclose(rotation, closed.upright_turn[:, None] * [1.0, 0.0, 0.0], rtol=0.0, atol=1e-10)
    joint = np.concatenate([np.zeros((height.size, 1)), closed.lower_joint], axis=-1)
    assert_allclose(positions.position[:, 0], joint, rtol=0.0, atol=1e-7)


def test_beyond_the_lock_nothing_is_made_up() -> None:
    path = trace(planar_corner(), -300.0, 100.0)
    positions = path.at(np.array([-280.0, -240.0, path.low.item(), 0.0, 100.0, 101.0]))
    assert positions.reached.tolist() == [False, False, True, True, True, False]
    # What is there instead is the nearest that was reached.
    assert_allclose(positions.position[:2, 0], positions.position[[2, 2], 0], rtol=0.0, atol=1e-9)
    assert_allclose(positions.position[5, 0], positions.position[4, 0], rtol=0.0, atol=1e-9)
    assert not path.lock_high.locked
    assert (path.lock_high.share == 0.0).all()


def test_each_of_a_batch_goes_its_own_way() -> None:
    """Different travels, some out of reach, moved at once and alone."""
    mechanism = planar_corner()
    travels = np.array([[-500.0, -100.0, 0.0], [30.0, 200.0, 900.0]])
    together = move(mechanism, travels[..., None])
    assert together.reached.shape == (2, 3)
    for index, travel in np.ndenumerate(travels):
        alone = move(mechanism, np.array([travel]))
        assert together.reached[index] == pytest.approx(float(alone.reached), abs=2.0 * LAST_STEP / 500.0)
        if alone.arrived:
            assert_allclose(together.pose.position[index], alone.pose.position, rtol=0.0, atol=1e-9)


def test_not_moving_is_arriving() -> None:
    mechanism = planar_corner()
    found = move(mechanism, np.zeros((1, 1)))
    assert found.arrived.all()
    assert_allclose(found.pose.position[0], mechanism.start.position, rtol=0.0, atol=1e-11)
