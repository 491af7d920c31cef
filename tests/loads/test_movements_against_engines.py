"""Spring lengths and bar arms against positions of a general-purpose multibody engine that shares no code with ours.

Source: MuJoCo, told the joints one by one; its bodies carry the spring seats, and the bar's arm is one more of them.
"""

from collections.abc import Callable

import numpy as np
import pytest

from kinematics import Axle
from kinematics.car.springs_and_bars import Attachment, Bar, BarEnds, Line
from kinematics.car.suspension_type import CHASSIS
from kinematics.loads.movements import arm_end_movement, length_of
from kinematics.motion.moving_axle import moving
from tests.engines import corner_linkages, live_axle_linkages
from tests.engines.corner_linkages import TRAVEL
from tests.engines.invented_axles import invented
from tests.engines.linkage import WORLD, Array, Poses
from tests.engines.live_axle_linkages import AXLE, TRAVELS
from tests.engines.mujoco_linkage import MujocoLinkage
from tests.short_run import at_places

REACH = 50.0  # mm
HEIGHTS = np.linspace(-REACH, REACH, 11)
# Both solve to about 1e-12 mm; far above that, far below any difference in what the parts mean.
LENGTH_TO = 1e-6  # mm
# Fourth-order differences over this step leave (step / 100 mm)^4 / 30, about 1e-11, and roundings of 1e-12 mm.
STEP = 0.5  # mm
SLOPE_TO = 1e-8
WEIGHTS = {-2: 1.0, -1: -8.0, 1: 8.0, 2: -1.0}  # over 12 steps
SHIFTS = (0, *WEIGHTS)
CARS = (pytest.param("typical", marks=pytest.mark.campaign), "uneven 1")


def both(x: float, y: float, z: float) -> Array:
    """A seat on both sides, not quite the same: no car under test is symmetric."""
    return np.array([[x, y, z], [x + 6.0, 4.0 - y, z - 5.0]])


LOWER_SEAT, UPPER_SEAT = both(25, 560, 200), both(10, 470, 560)
INDEPENDENT = [
    pytest.param("double wishbone", Line(Attachment(LOWER_SEAT, "lower arm"), Attachment(UPPER_SEAT, CHASSIS))),
    pytest.param(
        "double wishbone", Line(Attachment(both(-5, 560, 440), "upper arm"), Attachment(both(-15, 500, 760), CHASSIS))
    ),
    pytest.param(
        "double wishbone", Line(Attachment(both(30, 640, 230), "upright"), Attachment(both(20, 520, 620), CHASSIS))
    ),
    pytest.param("strut", Line()),
    pytest.param("strut", Line(Attachment(both(15, 540, 195), "lower arm"), Attachment(both(25, 500, 480), CHASSIS))),
    pytest.param(
        "free linkage", Line(Attachment(both(-10, 300, 560), "rocker"), Attachment(both(-20, 60, 500), CHASSIS))
    ),
    pytest.param(
        "five link", Line(Attachment(both(-30, 640, 250), "upright"), Attachment(both(-20, 520, 600), CHASSIS))
    ),
]
BUILDS = {
    "double wishbone": corner_linkages.double_wishbone,
    "strut": corner_linkages.strut,
    "free linkage": corner_linkages.free_linkage,
    "five link": corner_linkages.five_link,
    "live axle with three links": live_axle_linkages.three_links,
    "live axle with Watt linkage on the axle": live_axle_linkages.watt_on_axle,
}
BARS = [
    pytest.param(
        "double wishbone",
        BarEnds(both(-260, 400, 290), both(-40, 520, 300), Attachment(both(-35, 545, 190), "lower arm")),
        id="arms ahead, to the lower arm",
    ),
    pytest.param(
        "double wishbone",
        BarEnds(both(230, 400, 480), both(20, 545, 500), Attachment(both(-8, 560, 432), "upper arm")),
        id="arms back, to the upper arm",
    ),
    pytest.param(
        "strut",
        BarEnds(both(-250, 400, 180), both(-60, 600, 190), Attachment(both(-20, 625, 400), "upright")),
        id="arms ahead, to the upright",
    ),
    pytest.param(
        "free linkage",
        BarEnds(both(-220, 280, 420), both(-20, 300, 450), Attachment(both(-10, 290, 570), "rocker")),
        id="arms ahead, to the rocker",
    ),
]
BARS_OF_AXLES = [
    pytest.param(BarEnds(both(250, 420, 330), both(20, 470, 420), Attachment(both(10, 450, 290), AXLE)), id="back"),
    pytest.param(BarEnds(both(-260, 420, 330), both(-60, 470, 400), Attachment(both(-50, 480, 280), AXLE)), id="ahead"),
]


@pytest.mark.parametrize("car", CARS)
@pytest.mark.parametrize(("kind", "line"), INDEPENDENT)
def test_springs_of_independent_corners(kind: str, line: Line, car: str) -> None:
    axle = invented(kind, car)
    ends = _ends(axle, line)

    def lengths(side: int, corner: MujocoLinkage, heights: Array) -> Array:
        bodies = corner.solve({TRAVEL: heights})
        return np.linalg.norm(np.subtract(*(_point(bodies, end, side) for end in ends)), axis=-1)

    moved = length_of(line, moving(axle, -REACH - 1.0, REACH + 1.0).at(np.stack([HEIGHTS, HEIGHTS])))
    for side in (0, 1):
        asked, slope = _corner_by_differences(lambda at, side=side: lengths(side, _corner(axle, kind, side), at))
        assert np.abs(moved.value[side] - asked).max() < LENGTH_TO
        assert np.abs(moved.slope[side, side] - slope).max() < SLOPE_TO
        assert np.ptp(asked) > 10.0  # it worked
        assert not moved.slope[side, 1 - side].any()


@pytest.mark.parametrize("car", CARS)
@pytest.mark.parametrize(("kind", "ends"), BARS)
def test_bars_of_independent_corners(kind: str, ends: BarEnds, car: str) -> None:
    axle = invented(kind, car)

    def movement(side: int, heights: Array) -> Array:
        corner = _corner(axle, kind, side)
        _add_bar_arm(corner, ends, side, "bar")
        return _movement(corner.solve({TRAVEL: heights})["bar arm"], ends, side)

    moved = arm_end_movement(Bar(30.0, ends), moving(axle, -REACH - 1.0, REACH + 1.0).at(np.stack([HEIGHTS, HEIGHTS])))
    for side in (0, 1):
        asked, slope = _corner_by_differences(lambda at, side=side: movement(side, at))
        assert np.abs(moved.value[side] - asked).max() < LENGTH_TO
        assert np.abs(moved.slope[side, side] - slope).max() < SLOPE_TO
        assert np.ptp(asked) > 10.0
        assert not moved.slope[side, 1 - side].any()


# Heave, roll, and the left wheel alone.
PATHS = np.stack([np.r_[HEIGHTS, HEIGHTS, HEIGHTS], np.r_[HEIGHTS, -HEIGHTS, 0.0 * HEIGHTS]])


@pytest.mark.parametrize("car", CARS)
@pytest.mark.parametrize("kind", ["live axle with three links", "live axle with Watt linkage on the axle"])
def test_springs_of_live_axles(kind: str, car: str) -> None:
    axle = invented(kind, car)
    line = Line(Attachment(both(20, 505, 300), AXLE), Attachment(both(45, 430, 560), CHASSIS))
    ends = _ends(axle, line)

    def lengths(travel: Array) -> Array:
        linkage = MujocoLinkage()
        BUILDS[kind](linkage, axle.points)
        bodies = linkage.solve(dict(zip(TRAVELS, travel, strict=True)))
        return np.stack(
            [np.linalg.norm(np.subtract(*(_point(bodies, end, side) for end in ends)), axis=-1) for side in (0, 1)]
        )

    moved = length_of(line, moving(axle, -REACH - 1.0, REACH + 1.0).at(PATHS))
    asked, slope = _axle_by_differences(lengths)
    assert np.abs(moved.value - asked).max() < LENGTH_TO
    assert np.abs(moved.slope - slope).max() < SLOPE_TO
    assert np.abs(slope[0, 1]).min() > 1e-3  # either wheel moves both springs


@pytest.mark.campaign
@pytest.mark.parametrize("car", at_places(CARS, 1))
@pytest.mark.parametrize("ends", BARS_OF_AXLES)
def test_bars_of_live_axles(ends: BarEnds, car: str) -> None:
    kind = "live axle with three links"
    axle = invented(kind, car)

    def movement(travel: Array) -> Array:
        linkage = MujocoLinkage()
        BUILDS[kind](linkage, axle.points)
        for side, name in enumerate(("left bar", "right bar")):
            _add_bar_arm(linkage, ends, side, name)
        bodies = linkage.solve(dict(zip(TRAVELS, travel, strict=True)))
        return np.stack(
            [_movement(bodies[f"{name} arm"], ends, side) for side, name in enumerate(("left bar", "right bar"))]
        )

    moved = arm_end_movement(Bar(30.0, ends), moving(axle, -REACH - 1.0, REACH + 1.0).at(PATHS))
    asked, slope = _axle_by_differences(movement)
    assert np.abs(moved.value - asked).max() < LENGTH_TO
    assert np.abs(moved.slope - slope).max() < SLOPE_TO
    assert np.abs(slope[0, 1]).min() > 1e-3


def _ends(axle: Axle, line: Line) -> tuple[Attachment, Attachment]:
    """Both ends of a spring; along the strut, its tube below and its mount above."""
    if line.moving is not None and line.chassis is not None:
        return line.moving, line.chassis
    return Attachment(axle.points["strut_low"], "strut tube"), Attachment(axle.points["strut_top"], "strut rod")


def _point(bodies: dict[str, Poses], end: Attachment, side: int) -> Array:
    return end.place[side] if end.on == CHASSIS else bodies[end.on].point(end.place[side])


def _corner(axle: Axle, kind: str, side: int) -> MujocoLinkage:
    corner = MujocoLinkage()
    BUILDS[kind](corner, {key: point[side] for key, point in axle.points.items()})
    return corner


def _add_bar_arm(linkage: MujocoLinkage, ends: BarEnds, side: int, name: str) -> None:
    pivot = ends.axis[side]
    linkage.hinged_body(f"{name} arm", pivot, pivot + np.array([0.0, 100.0, 0.0]), WORLD)
    link = ends.drop_link
    linkage.rod(f"{name} drop link", ends.arm_end[side], link.place[side], to=link.on, on=f"{name} arm")


def _movement(arm: Poses, ends: BarEnds, side: int) -> Array:
    """Movement of the arm's end along its circle, up positive, from how the engine turned the arm."""
    ahead, _, up = ends.arm_end[side] - ends.axis[side]
    nose_down = np.arctan2(arm.rotation[:, 0, 2], arm.rotation[:, 0, 0])  # about y
    return -np.sign(ahead) * np.hypot(ahead, up) * nose_down


def _corner_by_differences(measure: Callable[[Array], Array]) -> tuple[Array, Array]:
    """A measure at the heights (S,), and its derivative by differences."""
    found = measure(np.concatenate([HEIGHTS + shift * STEP for shift in SHIFTS])).reshape(len(SHIFTS), -1)
    return found[0], _difference(found[1:])


def _axle_by_differences(measure: Callable[[Array], Array]) -> tuple[Array, Array]:
    """A measure of both sides (2, S) along the paths, and its derivatives by either wheel (2 sides, 2 wheels, S)."""
    slopes = []
    for wheel in np.eye(2):
        travel = np.concatenate([PATHS + shift * STEP * wheel[:, None] for shift in SHIFTS], axis=1)
        found = np.moveaxis(measure(travel).reshape(2, len(SHIFTS), -1), 1, 0)
        slopes.append(_difference(found[1:]))
    return found[0], np.stack(slopes, axis=1)


def _difference(shifted: Array) -> Array:
    return np.tensordot(list(WEIGHTS.values()), shifted, axes=1) / (12.0 * STEP)
