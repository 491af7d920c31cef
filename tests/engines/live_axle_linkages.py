"""The joints of each live axle, told to an engine: one function for each type, and its name in LIVE_AXLES.

Every axle is the body "axle" with the drivers "left travel" and "right travel"; a Watt linkage's crank is "crank".
"""

from collections.abc import Callable, Mapping

from tests.engines.linkage import WORLD, Array, Linkage

Points = Mapping[str, Array]  # of both sides, (2, 3) each, left first; both rows alike where there is one point
Build = Callable[[Linkage, Points], None]

AXLE, CRANK = "axle", "crank"
SIDE_NAMES = ("left", "right")
TRAVELS = tuple(f"{side} travel" for side in SIDE_NAMES)
UPPER, LOWER, PANHARD = "upper_link", "lower_link", "panhard"


def three_links(linkage: Linkage, points: Points) -> None:
    _add_axle(linkage, points)
    _add_pair(linkage, points, LOWER)
    _add_single(linkage, points, UPPER)
    _add_single(linkage, points, PANHARD)


def four_links(linkage: Linkage, points: Points) -> None:
    """Bushes that give way by the same amount: what one link of a pair gains, the other loses."""
    _add_axle(linkage, points)
    left_upper, right_upper = _pair(points, UPPER)
    left_lower, right_lower = _pair(points, LOWER)
    linkage.fixed_sum("upper links", [left_upper, right_upper])
    linkage.fixed_sum("lower links", [left_lower, right_lower])
    linkage.fixed_sum("left links", [left_upper, left_lower])
    _add_single(linkage, points, PANHARD)


def triangulated_links(linkage: Linkage, points: Points) -> None:
    """The lower links as rods with ball joints, the upper ones as plain lengths."""
    _add_axle(linkage, points)
    _add_pair(linkage, points, LOWER)
    for side, link in zip(SIDE_NAMES, _pair(points, UPPER), strict=True):
        linkage.fixed_length(f"{side} {UPPER}", *link)


def a_frame(linkage: Linkage, points: Points) -> None:
    """The A-frame as an arm hinged on the chassis, its ball on the axle."""
    _add_axle(linkage, points)
    _add_pair(linkage, points, LOWER)
    linkage.hinged_body("A-frame", *points["a_frame_pivot"], WORLD)
    linkage.ball_joint("A-frame", AXLE, points["a_frame_ball"][0])


def watt_on_axle(linkage: Linkage, points: Points) -> None:
    _add_axle(linkage, points)
    _add_pair(linkage, points, LOWER)
    _add_single(linkage, points, UPPER)
    _add_crank(linkage, points, on=AXLE)
    for side, name in enumerate(SIDE_NAMES):
        end, fixed = points["watt_crank_end"][side], points["watt_rod_chassis"][side]
        linkage.fixed_length(f"{name} Watt rod", CRANK, end, WORLD, fixed)


def watt_on_body(linkage: Linkage, points: Points) -> None:
    _add_axle(linkage, points)
    _add_pair(linkage, points, LOWER)
    _add_single(linkage, points, UPPER)
    _add_crank(linkage, points, on=WORLD)
    for side, name in enumerate(SIDE_NAMES):
        end, moving = points["watt_crank_end"][side], points["watt_rod_axle"][side]
        linkage.rod(f"{name} Watt rod", end, moving, to=AXLE, on=CRANK)


def torque_arm(linkage: Linkage, points: Points) -> None:
    _add_axle(linkage, points)
    _add_pair(linkage, points, LOWER)
    _add_single(linkage, points, PANHARD)
    linkage.held_height("torque arm", AXLE, points["torque_arm_front"][0], driven=False)


LIVE_AXLES: list[tuple[str, Build]] = [
    ("live axle with three links", three_links),
    ("live axle with four links", four_links),
    ("live axle with triangulated links", triangulated_links),
    ("live axle with A-frame", a_frame),
    ("live axle with Watt linkage on the axle", watt_on_axle),
    ("live axle with Watt linkage on the body", watt_on_body),
    ("live axle with torque arm", torque_arm),
]


def _add_axle(linkage: Linkage, points: Points) -> None:
    linkage.free_body(AXLE, points["wheel_centre"].mean(axis=0))
    for name, centre in zip(TRAVELS, points["wheel_centre"], strict=True):
        linkage.held_height(name, AXLE, centre, driven=True)


def _add_pair(linkage: Linkage, points: Points, link: str) -> None:
    for side, name in enumerate(SIDE_NAMES):
        linkage.rod(f"{name} {link}", points[f"{link}_chassis"][side], points[f"{link}_axle"][side], to=AXLE)


def _add_single(linkage: Linkage, points: Points, link: str) -> None:
    linkage.rod(link, points[f"{link}_chassis"][0], points[f"{link}_axle"][0], to=AXLE)


def _add_crank(linkage: Linkage, points: Points, on: str) -> None:
    linkage.hinged_body(CRANK, points["watt_pivot_front"][0], points["watt_pivot_rear"][0], on)


def _pair(points: Points, link: str) -> list[tuple[str, Array, str, Array]]:
    ends = zip(points[f"{link}_axle"], points[f"{link}_chassis"], strict=True)
    return [(AXLE, on_axle, WORLD, on_chassis) for on_axle, on_chassis in ends]
