"""Random cars that could stand in a garage, for Hypothesis, and the car as seen in a mirror."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from kinematics import Axle
from kinematics.car.fittings import Body, Fittings
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from solvers.vectors import Array

# How many, and whether the same in every run, says tests/conftest.py.
REPEATABLE = settings()
# Where nothing but a car is drawn a short run has one: its first is as random as any other.
ONE_OR_MANY = settings(REPEATABLE, max_examples=REPEATABLE.max_examples if REPEATABLE.max_examples > 2 else 1)
# Where each example is many sweeps, or an axle solved as a whole.
FEWER = settings(REPEATABLE, max_examples=-(-REPEATABLE.max_examples // 4))

KINDS = list(SUSPENSIONS.values())
# Far from a lock over all travels: differences over some millimetres have a meaning to twelve digits.
FREE_TO_MOVE = [kind for kind in KINDS if not kind.listed]
INDEPENDENT = [kind for kind in KINDS if not kind.whole_axle]
LIVE_AXLES = [kind for kind in KINDS if kind.whole_axle]
# Built alike on both sides: nothing across the car that one side has and the other has not.
ALIKE = [kind for kind in KINDS if not any(point.single or point.other_side for point in kind.points)]

APART = 15.0  # mm, in each coordinate, from the typical point of the type
# A Watt linkage's crank is small and its bolt short, and a rocker soon locks: as much there would be another linkage.
_APART_IF_SMALL = 4.0
MIRROR = np.array([1.0, -1.0, 1.0])

TRAVELS = np.linspace(-60.0, 60.0, 25)  # mm
ROLLS = np.radians(np.linspace(-3.0, 3.0, 13))

# An invented car's: all that the numbers of the side view ask for, with both axles braked and driven.
BODY = Body(
    centre_of_gravity=510.0,
    behind_front=1300.0,
    wheelbase=2480.0,
    front_brakes=0.62,
    front_drive=0.35,
    unsprung=(0.13, 305.0),
)


def named(kind: SuspensionType) -> str:
    """A type in the name of a test."""
    return kind.name.replace(" ", "-")


# For what takes long with each type: a short run has one that arms guide, one that links guide, and a live axle.
SHORT_RUN = ("strut", "five link", "live axle with A-frame")


def three_and_all(kinds: list[SuspensionType]) -> list[object]:
    """What to parametrize a test with: these types, of which a short run has three."""
    return [
        pytest.param(kind, id=named(kind), marks=() if kind.name in SHORT_RUN else pytest.mark.campaign)
        for kind in kinds
    ]


def typical_axle(kind: SuspensionType) -> Axle:
    """The invented car of the blank file, with a little camber and toe-in where wheels have any."""
    points = {}
    for point in kind.points:
        left = np.array(point.typical, dtype=float)
        right = left if point.single else MIRROR * (point.other_side or point.typical)
        points[point.key] = np.array([left, right])
    camber, toe = (0.0, 0.0) if kind.whole_axle else (-1.8, 0.05)
    name = "front" if kind.rack else "rear"
    return Axle(name, kind, points, np.radians([camber, camber]), np.radians([toe, toe]), body=BODY)


def square_to_the_car(axle: Axle) -> bool:
    """Whether a wheel turns about an axis that has no part along the car: then it does not turn in front view.

    To 0.001 mm between the pivots, beyond which its front-view centre lies more than a hundred kilometres off.
    """
    hinge = axle.suspension.wheel_hinge
    if hinge is None:
        return False
    along = axle.points[hinge.first] - axle.points[hinge.second]
    return bool((np.abs(along[..., 0]) < 1e-3).any())


@st.composite
def axles(draw: st.DrawFn, kind: SuspensionType, *, symmetric: bool = False) -> Axle:
    """An axle with every point up to APART off, camber -4..1 deg, toe -0.5..0.5 deg; sides of their own or alike.

    A live axle's wheels lean and point up to 0.5 deg either way, as a bent one's do. Symmetric: for types of `ALIKE`.
    """
    sides = 1 if symmetric else 2
    offsets = _wrapped(draw(_numbers((len(kind.points), sides, 3), 1.0)), kind)
    angles = _wrapped(draw(_numbers((2, sides), 1.0)), kind)
    inboard = draw(st.booleans())
    axle = typical_axle(kind)
    points = {}
    for (key, point), offset in zip(axle.points.items(), offsets, strict=True):
        shift = offset[:1] if key in kind.single else offset * [[1.0, 1.0, 1.0], MIRROR]
        points[key] = point + (_APART_IF_SMALL if key.startswith("watt") or kind.listed else APART) * shift
    middle, spread = (0.0, 0.5) if kind.whole_axle else (-1.5, 2.5)
    camber, toe = np.broadcast_to(angles, (2, sides)) * np.radians([[spread], [0.5]])
    camber, toe = np.radians(middle) + camber * [1.0, 1.0], toe * [1.0, 1.0]
    return replace(axle, points=points, camber=camber, toe=toe, fittings=Fittings(inboard_brakes=inboard))


def upright_wheels(axle: Axle) -> Axle:
    """The axle with both wheels upright, straight ahead, and opposite each other.

    Only then do both wheels of a beam travel as much in roll, and is its turn about the vertical their steer.
    """
    ahead, out, up = axle.points["wheel_centre"][0]
    centre = np.array([[ahead, out, up], [ahead, -out, up]])
    return replace(axle, points={**axle.points, "wheel_centre": centre}, camber=np.zeros(2), toe=np.zeros(2))


def mirrored(axle: Axle) -> Axle:
    """The axle in a mirror on the centre plane: what was the left corner is the right one."""
    points = {key: point[..., ::-1, :] * MIRROR for key, point in axle.points.items()}
    return replace(axle, points=points, camber=axle.camber[..., ::-1], toe=axle.toe[..., ::-1])


def stacked(variants: list[Axle]) -> Axle:
    """Axles of one type as variants of one axle, along a leading axis; with the first one's brakes."""
    first = variants[0]
    points = {key: np.stack([variant.points[key] for variant in variants]) for key in first.points}
    camber, toe = (np.stack([getattr(variant, angle) for variant in variants]) for angle in ("camber", "toe"))
    return replace(first, points=points, camber=camber, toe=toe)


def _wrapped(drawn: Array, kind: SuspensionType) -> Array:
    """Numbers from -1 to 1, begun at a random place of the type's own.

    Hypothesis tries all noughts first, which would be the typical car, alike on both sides.
    """
    start = np.random.default_rng(list(kind.name.encode())).uniform(-1.0, 1.0, drawn.shape)
    return (drawn + start + 1.0) % 2.0 - 1.0


def _numbers(shape: tuple[int, ...], size: float) -> st.SearchStrategy[Array]:
    return arrays.arrays(np.float64, shape, elements=st.floats(-size, size, allow_subnormal=False), fill=st.nothing())
