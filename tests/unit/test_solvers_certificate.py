"""The certificate of a step: folds lie between two poses or not; and planar linkages fold where closed forms say."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose
from numpy.typing import NDArray

from solvers.certificate import continuous, no_fold_between
from solvers.mechanism import FIXED, Links, Mechanism, Planes, Pose, held_along, hinge, in_plane
from solvers.moving import move
from solvers.rotations import IDENTITY

Array = NDArray[np.float64]
LAST_STEP = 0.01  # mm: so near a lock has to be met; steps are quartered until they are far shorter
ACROSS = np.array([0.0, 100.0, 0.0])  # along the hinges, which lie across the plane of the linkage
UP = np.array([0.0, 0.0, 1.0])
AHEAD = np.array([1.0, 0.0, 0.0])


def ratio(*eigenvalues: float) -> Array:
    """A matrix (6, 6, 1) with these eigenvalues, mixed by a rotation, and ones."""
    values = np.ones(6)
    values[: len(eigenvalues)] = eigenvalues
    turn = np.linalg.qr(np.random.default_rng(3).normal(size=(6, 6)))[0]
    return (turn @ np.diag(values) @ turn.T)[..., None]


# An eigenvalue of zero itself comes out on either side of it, as the matrix product rounds.
@pytest.mark.parametrize("values", [(-0.5,), (-0.01, -0.01), (-3.0, -3.0), (-1e-12,), (math.nan,)])
def test_a_fold_between_is_seen_also_where_the_determinant_keeps_its_sign(values: tuple[float, ...]) -> None:
    assert not no_fold_between(ratio(*values)).any()


@pytest.mark.parametrize("values", [(0.5, 0.5), (1.6,), (0.2, 1.3)])
def test_a_moderate_change_is_no_fold(values: tuple[float, ...]) -> None:
    assert no_fold_between(ratio(*values)).all()


def test_velocities_at_both_ends_tell_a_step_along_from_one_across_a_fold() -> None:
    """On x = sqrt(t), from 1 to 2 the mean velocity times the step is right to 3 %; to -sqrt(2) it is not."""
    still = np.array([0.0, 0.0, 0.0, 1.0])[None, :, None]
    before, along, across = (np.array([[[x], [0.0], [0.0]]]) for x in (1.0, math.sqrt(2.0), -math.sqrt(2.0)))

    def speed(x: float) -> Array:
        return np.array([[0.5 / x], *[[0.0]] * 5])

    reach = np.ones(1)
    assert continuous((before, still), (along, still), (speed(1.0), speed(math.sqrt(2.0))), reach).all()
    assert not continuous((before, still), (across, still), (speed(1.0), speed(-math.sqrt(2.0))), reach).any()


def arm(length: float, angle: float) -> Array:
    return length * np.array([math.cos(angle), 0.0, math.sin(angle)])


def two_bars(elbow: Array, links: tuple[Links, ...], planes: tuple[Planes, ...], driver: Planes) -> Mechanism:
    """A crank hinged on the ground at the origin and a coupler hinged to its end, in the x-z plane, and what else."""
    zero = np.zeros(3)
    start = Pose(np.stack([zero, elbow]), np.stack([IDENTITY, IDENTITY]))
    ground = hinge(0, zero, ACROSS, FIXED, zero, ACROSS, "crank")
    joint = hinge(1, zero, ACROSS, 0, elbow, ACROSS, "elbow")
    return Mechanism(("crank", "coupler"), start, links, (ground, joint, *planes), (driver,))


def build_slider_crank(crank: float, coupler: float, turn: float) -> tuple[Mechanism, float]:
    """The mechanism driven by its slider, and where that is."""
    elbow, far = arm(crank, turn), arm(coupler, -math.asin(crank * math.sin(turn) / coupler))
    slide = in_plane(1, far, elbow + far, UP, "slide")
    return two_bars(elbow, (), (slide,), held_along(1, far, AHEAD, "slider")), float((elbow + far)[0])


@pytest.mark.parametrize(("crank", "coupler", "turn"), [(80.0, 230.0, 0.9), (150.0, 170.0, 0.4), (60.0, 400.0, -0.7)])
def test_slider_crank_gets_as_far_as_crank_and_rod_in_line(crank: float, coupler: float, turn: float) -> None:
    """Dead centres of the slider: crank and rod stretched out, r + l, and folded over each other, l - r."""
    mechanism, at = build_slider_crank(crank, coupler, turn)
    out, back = crank + coupler - at, at - (coupler - crank)
    found = move(mechanism, np.array([[2.0 * out], [-2.0 * back], [out - 0.05], [-(back - 0.05)]]))
    assert found.arrived.tolist() == [False, False, True, True]
    assert out - LAST_STEP <= 2.0 * out * found.reached[0] <= out
    assert back - LAST_STEP <= 2.0 * back * found.reached[1] <= back
    # Short of them the crank stands where the law of cosines has it, on the side where it began.
    for index, slider in ((2, crank + coupler - 0.05), (3, coupler - crank + 0.05)):
        angle = math.acos((crank**2 + slider**2 - coupler**2) / (2.0 * crank * slider))
        elbow = arm(crank, math.copysign(angle, turn))
        assert_allclose(found.pose.position[index, 1], elbow, rtol=0.0, atol=1e-6)


def four_bar(crank: float, coupler: float, rocker: float, turn: float, pivot: Array, *, up: bool) -> Mechanism:
    """A crank driven by the height of its end, a coupler, and a rocker on a second pivot.

    up: whether the coupler's far end lies above the line from the crank's end to the second pivot.
    """
    elbow = arm(crank, turn)
    apart = pivot - elbow
    distance = math.hypot(apart[0], apart[2])
    along = (coupler**2 - rocker**2 + distance**2) / (2.0 * distance)
    side = math.sqrt(coupler**2 - along**2) * (1.0 if up else -1.0)
    far = (along * apart + side * np.array([-apart[2], 0.0, apart[0]])) / distance
    link = Links(1, far[None], FIXED, pivot[None], np.array([rocker]), ("rocker",))
    return two_bars(elbow, (link,), (), held_along(0, elbow, UP, "crank end"))


@pytest.mark.parametrize("up", [True, False])
@pytest.mark.parametrize(
    ("crank", "coupler", "rocker", "turn", "pivot"),
    [
        (140.0, 100.0, 140.0, 0.1, (280.0, 60.0)),  # a Watt linkage: two equal rods on a short bar
        (200.0, 70.0, 200.0, -0.05, (400.0, -60.0)),
        (120.0, 150.0, 180.0, 0.2, (300.0, 0.0)),
    ],
)
def test_four_bar_and_watt_linkage_lock_with_coupler_and_rod_in_line(
    crank: float, coupler: float, rocker: float, turn: float, pivot: tuple[float, float], *, up: bool
) -> None:
    """The crank gets on until bar and far rod are in line, a + b from the far pivot (law of cosines)."""
    at = np.array([pivot[0], 0.0, pivot[1]])
    mechanism = four_bar(crank, coupler, rocker, turn, at, up=up)
    base = math.hypot(*pivot)
    opening = math.acos((crank**2 + base**2 - (coupler + rocker) ** 2) / (2.0 * crank * base))
    slope = math.atan2(pivot[1], pivot[0])
    for sign in (1.0, -1.0):
        limit = crank * (math.sin(slope + sign * opening) - math.sin(turn))
        if abs(slope + sign * opening) > 0.5 * math.pi - 0.01:
            continue  # its end turns over at the top before that
        found = move(mechanism, np.array([[1.5 * limit], [limit - sign * 0.05]]))
        assert found.arrived.tolist() == [False, True]
        assert abs(limit) - LAST_STEP <= 1.5 * abs(limit) * found.reached[0] <= abs(limit)
