"""Corners swept through bump against MuJoCo, a general-purpose multibody engine that shares no code with ours.

To add a suspension type: one function here that tells the engine its joints, and its name in CORNERS.
"""

from collections.abc import Callable, Mapping

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from kinematics import Axle, sweep_bump
from kinematics.corners import trace_corners
from kinematics.suspensions import SUSPENSIONS
from solvers.vectors import Array
from tests.engines.mujoco_linkage import WORLD, Linkage, Poses

Points = Mapping[str, Array]  # of one corner, (3,) each

SIDES = np.array([1.0, -1.0])  # left, right: outwards along y

TRAVEL = np.linspace(-70.0, 70.0, 15)  # mm

# Both sides solve lengths of a metre in double precision, 1e-13 mm and 1e-15 rad at best; a sweep between
# well-conditioned positions loses few digits of that. Asked for, far above rounding and far below any difference in
# what the joints mean:
POSITION_TO = 1e-6  # mm
ANGLE_TO = 1e-7  # deg


def strut(points: Points) -> Linkage:
    linkage = upright_with_tie_rod(points)
    add_wishbone(linkage, points, "lower")
    linkage.sliding_strut("strut", points["strut_top"], points["strut_low"], to="upright")
    return linkage


def double_wishbone(points: Points) -> Linkage:
    linkage = upright_with_tie_rod(points)
    add_wishbone(linkage, points, "lower")
    add_wishbone(linkage, points, "upper")
    return linkage


def double_wishbone_of_links(points: Points) -> Linkage:
    """The same corner with each wishbone as two plain links and the tie rod as a third kind of joint, a length."""
    linkage = Linkage()
    linkage.free_body("upright", points["wheel_centre"])
    for arm in ("lower", "upper"):
        for end in ("front", "rear"):
            outer, inner = points[f"{arm}_ball_joint"], points[f"{arm}_pivot_{end}"]
            linkage.fixed_length(f"{arm} {end}", "upright", outer, WORLD, inner)
    linkage.fixed_length("tie rod", "upright", points["tie_rod_outer"], WORLD, points["tie_rod_inner"])
    return linkage


def upright_with_tie_rod(points: Points) -> Linkage:
    linkage = Linkage()
    linkage.free_body("upright", points["wheel_centre"])
    linkage.ball_jointed_rod("tie rod", points["tie_rod_inner"], points["tie_rod_outer"], to="upright")
    return linkage


def add_wishbone(linkage: Linkage, points: Points, arm: str) -> None:
    linkage.hinged_body(f"{arm} arm", points[f"{arm}_pivot_front"], points[f"{arm}_pivot_rear"])
    linkage.ball_joint(f"{arm} arm", "upright", points[f"{arm}_ball_joint"])


CORNERS: list[tuple[str, Callable[[Points], Linkage]]] = [
    ("strut", strut),
    ("double wishbone", double_wishbone),
    ("double wishbone", double_wishbone_of_links),
]


def measured(kind: str, car: str) -> Axle:
    """An invented axle: the type's typical points, or these changed as the car's name says."""
    suspension = SUSPENSIONS[kind]
    rng = np.random.default_rng(list(f"{kind}, {car}".encode()))
    points = {point.key: np.array([point.typical] * 2, dtype=float) for point in suspension.points}
    for point in suspension.points:
        if car == "lowered" and point.carrier == "chassis":
            points[point.key][:, 2] -= 45.0
        if car == "anti-dive":
            points[point.key][:, 2] += 20.0 * (point.key.endswith("pivot_front") - point.key.endswith("pivot_rear"))
        if car.startswith("uneven"):
            # Each side by itself: 12 mm either way is far more than two corners of one car differ.
            points[point.key] += rng.uniform(-12.0, 12.0, (2, 3))
        points[point.key][:, 1] *= SIDES
    camber, toe = rng.uniform(-3.0, 0.5, 2), rng.uniform(-0.4, 0.4, 2)
    return Axle("front", suspension, points, np.radians(camber), np.radians(toe))


def degrees_between(first: Array, second: Array) -> Array:
    """Angle between rotations (..., 3, 3) [deg], exact for small ones, unlike an arc cosine."""
    distance = np.linalg.norm(first - second, axis=(-2, -1))
    return np.degrees(2.0 * np.arcsin(np.minimum(1.0, distance / np.sqrt(8.0))))


def wheel_angles(poses: Poses, side: float, camber: float, toe: float) -> tuple[Array, Array]:
    """Camber (S,), top leaning in negative, and toe (S,), toe-in positive [rad], of a wheel that its upright turns."""
    mounted = Rotation.from_euler("xz", [-side * camber, -side * toe])  # about the car's axes: camber, then toe
    axis = poses.rotation @ mounted.apply([0.0, side, 0.0])
    return -np.arcsin(axis[:, 2]), np.arctan2(axis[:, 0], side * axis[:, 1])


@pytest.mark.parametrize(("kind", "build"), CORNERS, ids=[build.__name__ for _, build in CORNERS])
@pytest.mark.parametrize("car", ["typical", "lowered", "anti-dive", *(f"uneven {number}" for number in range(1, 6))])
def test_sweep_agrees_with_mujoco(kind: str, build: Callable[[Points], Linkage], car: str) -> None:
    axle = measured(kind, car)
    states = trace_corners(axle, TRAVEL[0], TRAVEL[-1]).at(np.stack([TRAVEL, TRAVEL]))
    sweep = sweep_bump(axle, TRAVEL)
    assert states.reached.all()
    assert sweep.reached.all()

    for index, side in enumerate(SIDES):
        corner = {key: point[index] for key, point in axle.points.items()}
        engine = build(corner).sweep_height("upright", TRAVEL)
        camber, toe = wheel_angles(engine, side, axle.camber[index], axle.toe[index])

        assert np.abs(states.wheel_centre[index] - engine.position).max() < POSITION_TO
        assert degrees_between(states.positions.rotation[index, :, 0], engine.rotation).max() < ANGLE_TO
        assert np.abs(np.degrees(sweep["camber"][index] - camber)).max() < ANGLE_TO
        assert np.abs(np.degrees(sweep["toe"][index] - toe)).max() < ANGLE_TO
        # The sweep went somewhere: an upright that never turned would agree with one that never turned.
        assert degrees_between(engine.rotation, np.eye(3)).max() > 0.3
