"""The same axle written with other joints: arms as bodies, hinges and ball joints as links that meet in points.

Every rewriting gives a suspension type of its own, made here, for the same measured car.
"""

from dataclasses import replace

import numpy as np

from kinematics import Axle
from kinematics.car.fittings import Body
from kinematics.car.suspension_type import CHASSIS, BallJoint, Hinge, Point, SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from solvers.vectors import Array, cross, unit

MIRROR = np.array([1.0, -1.0, 1.0])

# Anything but one plane will do; lengths like those of real links [mm].
_THREE_WAYS = np.array([[240.0, 60.0, -30.0], [-50.0, 260.0, 40.0], [30.0, -70.0, 280.0]])

_PLACE = (0.0, 0.0, 0.0)  # the typical place of a point that only exists in these tests

BODY = Body(centre_of_gravity=520.0, wheelbase=2480.0, front_brakes=0.6, front_drive=0.0)


def typical_axle(kind: SuspensionType | str, name: str = "rear", *, lopsided: bool = True) -> Axle:
    """The invented car of the blank file with camber and toe; lopsided: its right side is measured otherwise."""
    kind = SUSPENSIONS[kind] if isinstance(kind, str) else kind
    points = {
        point.key: np.array([point.typical, MIRROR * (point.other_side or point.typical)], dtype=float)
        for point in kind.points
    }
    for point in kind.points:
        if point.single:
            points[point.key][1] = points[point.key][0]
    if lopsided:
        for number, point in enumerate(kind.points):
            if not point.single:
                points[point.key][1] += 3.0 * np.sin([number, 2.0 * number, 3.0 * number])
    return Axle(name, kind, points, np.radians([-1.8, -1.5]), np.radians([0.05, 0.1]), body=BODY)


def with_arms_as_bodies(axle: Axle) -> Axle:
    """Each control arm a part of its own: hinged to the chassis, with a ball joint on the upright."""
    kind = axle.suspension
    hinges = tuple(Hinge(arm.title, CHASSIS, arm.pivot_front, arm.pivot_rear) for arm in kind.arms)
    balls = tuple(BallJoint(arm.title, "upright", arm.joint) for arm in kind.arms)
    return replace(axle, suspension=replace(kind, arms=(), hinges=kind.hinges + hinges, balls=kind.balls + balls))


def with_joints_as_links(axle: Axle) -> Axle:
    """Each ball joint three links that meet in its centre; each hinge three at one bearing and two at the other."""
    kind = axle.suspension
    points, places, links = list(kind.points), dict(axle.points), list(kind.links)

    def add(key: str, carrier: str, place: Array, single: bool) -> str:
        points.append(Point(key, carrier, "", _PLACE, single=single))
        places[key] = place
        return key

    def held(part: str, on: str, at: str, ways: list[Array]) -> None:
        single = at in kind.single
        place = axle.points[at]
        joint = add(f"{at} of the {part}", part, place, single)
        for number, way in enumerate(ways):
            # Mirrored with the side; a point that both sides share has one place.
            both = way if single else way * np.array([[1.0, 1.0, 1.0], MIRROR])
            links.append((joint, add(f"{at} of the {part}, end {number}", on, place + both, single)))

    for ball in kind.balls:
        held(ball.part, ball.on, ball.at, list(_THREE_WAYS))
    for hinge in kind.hinges:
        held(hinge.part, hinge.on, hinge.first, list(_THREE_WAYS))
        along = unit(axle.points[hinge.second] - axle.points[hinge.first])[0]
        across = [250.0 * unit(cross(along, way)) for way in _THREE_WAYS[:2]]
        held(hinge.part, hinge.on, hinge.second, across)
    as_links = replace(kind, points=tuple(points), links=tuple(links), hinges=(), balls=())
    return replace(axle, suspension=as_links, points=places)


def with_keys(axle: Axle, kind: SuspensionType, names: dict[str, str]) -> Axle:
    """The axle as another type; names: the new type's key to the old one's, for the same place."""
    return replace(axle, suspension=kind, points={key: axle.points[names.get(key, key)] for key in kind.keys})
