"""Random cars that could stand in a garage, for Hypothesis, and the car as seen in a mirror."""

from dataclasses import replace

import numpy as np
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from kinematics import Axle
from kinematics.suspension import SuspensionType
from kinematics.suspensions import SUSPENSIONS
from solvers.vectors import Array

# The same cars in every run, so that a red test stays red until the code changes. A car that fails is shown as
# drawn: making fifty coordinates simpler one by one takes minutes and tells no more.
REPEATABLE = settings(
    deadline=None, derandomize=True, max_examples=25, phases=(Phase.explicit, Phase.generate), print_blob=False
)

FEWER = settings(REPEATABLE, max_examples=10)  # where each example is many sweeps

KINDS = list(SUSPENSIONS.values())
KIND_NAMES = list(SUSPENSIONS)

APART = 15.0  # mm, in each coordinate, from the typical point of the type
MIRROR = np.array([1.0, -1.0, 1.0])

TRAVELS = np.linspace(-60.0, 60.0, 25)  # mm
ROLLS = np.radians(np.linspace(-3.0, 3.0, 13))


def typical_axle(kind: SuspensionType) -> Axle:
    """The invented car of the blank file, left and right alike, with a little camber and toe-in."""
    points = {point.key: np.array([point.typical, MIRROR * point.typical]) for point in kind.points}
    return Axle("front", kind, points, np.radians([-1.8, -1.8]), np.radians([0.05, 0.05]))


@st.composite
def axles(draw: st.DrawFn, kind: SuspensionType, *, symmetric: bool = False) -> Axle:
    """An axle with every point up to APART off, camber -4..1 deg, toe -0.5..0.5 deg; sides of their own or alike."""
    sides = 1 if symmetric else 2
    offsets = draw(_numbers((len(kind.points), sides, 3), APART))
    angles = draw(_numbers((2, sides), 1.0))
    axle = typical_axle(kind)
    points = {
        key: point + offset * [[1.0, 1.0, 1.0], MIRROR]
        for (key, point), offset in zip(axle.points.items(), offsets, strict=True)
    }
    camber, toe = np.broadcast_to(angles, (2, sides)) * np.radians([[2.5], [0.5]])
    return replace(axle, points=points, camber=np.radians(-1.5) + camber * [1.0, 1.0], toe=toe * [1.0, 1.0])


def mirrored(axle: Axle) -> Axle:
    """The axle in a mirror on the centre plane: what was the left corner is the right one."""
    points = {key: point[..., ::-1, :] * MIRROR for key, point in axle.points.items()}
    return replace(axle, points=points, camber=axle.camber[..., ::-1], toe=axle.toe[..., ::-1])


def stacked(variants: list[Axle]) -> Axle:
    """Axles of one type as variants of one axle, along a leading axis."""
    first = variants[0]
    points = {key: np.stack([variant.points[key] for variant in variants]) for key in first.points}
    camber, toe = (np.stack([getattr(variant, angle) for variant in variants]) for angle in ("camber", "toe"))
    return replace(first, points=points, camber=camber, toe=toe)


def _numbers(shape: tuple[int, ...], size: float) -> st.SearchStrategy[Array]:
    return arrays.arrays(np.float64, shape, elements=st.floats(-size, size, allow_subnormal=False), fill=st.nothing())
