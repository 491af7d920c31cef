"""The joints of each independent corner, told to an engine: one function for each type, and its name in CORNERS.

Every corner has the driver "travel"; one that steers has the driver "rack" too, to the left positive. Parts that
carry measured points have the names that the type gives them.
"""

from collections.abc import Callable, Mapping

import numpy as np

from tests.engines.linkage import WORLD, Array, Linkage

Points = Mapping[str, Array]  # of one corner, (3,) each
Build = Callable[[Linkage, Points], None]

TRAVEL, RACK = "travel", "rack"
LEFTWARD = np.array([0.0, 1.0, 0.0])


def strut(linkage: Linkage, points: Points) -> None:
    _add_upright(linkage, points)
    _add_wishbone(linkage, points, "lower")
    linkage.sliding_strut("strut", points["strut_top"], points["strut_low"], to="upright")
    _add_steering(linkage, points)


def double_wishbone(linkage: Linkage, points: Points) -> None:
    _add_upright(linkage, points)
    _add_wishbone(linkage, points, "lower")
    _add_wishbone(linkage, points, "upper")
    _add_steering(linkage, points)


def double_wishbone_of_links(linkage: Linkage, points: Points) -> None:
    """The same corner with each wishbone as two plain links, and a length for the tie rod too."""
    _add_upright(linkage, points)
    for arm in ("lower", "upper"):
        for end in ("front", "rear"):
            outer, inner = points[f"{arm}_ball_joint"], points[f"{arm}_pivot_{end}"]
            linkage.fixed_length(f"{arm} {end}", "upright", outer, WORLD, inner)
    _add_driven_link(linkage, points, "tie_rod")


def strut_with_toe_link(linkage: Linkage, points: Points) -> None:
    _add_upright(linkage, points)
    _add_wishbone(linkage, points, "lower")
    linkage.sliding_strut("strut", points["strut_top"], points["strut_low"], to="upright")
    linkage.rod("toe link", points["toe_link_inner"], points["toe_link_outer"], to="upright")


def double_wishbone_with_toe_link(linkage: Linkage, points: Points) -> None:
    _add_upright(linkage, points)
    _add_wishbone(linkage, points, "lower")
    _add_wishbone(linkage, points, "upper")
    linkage.rod("toe link", points["toe_link_inner"], points["toe_link_outer"], to="upright")


def five_link(linkage: Linkage, points: Points) -> None:
    """Two of the links as rods with ball joints, three as plain lengths; "rack" moves the toe link's inner end."""
    _add_upright(linkage, points)
    for link in ("upper_front_link", "lower_rear_link"):
        linkage.rod(link, points[f"{link}_inner"], points[f"{link}_outer"], to="upright")
    for link in ("upper_rear_link", "lower_front_link"):
        linkage.fixed_length(link, "upright", points[f"{link}_outer"], WORLD, points[f"{link}_inner"])
    _add_driven_link(linkage, points, "toe_link")


def semi_trailing_arm(linkage: Linkage, points: Points) -> None:
    linkage.hinged_body("arm", points["pivot_outer"], points["pivot_inner"])
    linkage.held_height(TRAVEL, "arm", points["wheel_centre"], driven=True)


def h_arm(linkage: Linkage, points: Points) -> None:
    """The upright hangs on the lower arm's outer hinge."""
    linkage.hinged_body("lower arm", points["lower_pivot_front"], points["lower_pivot_rear"])
    linkage.hinged_body("upright", points["lower_outer_front"], points["lower_outer_rear"], on="lower arm")
    linkage.held_height(TRAVEL, "upright", points["wheel_centre"], driven=True)
    linkage.rod("upper link", points["upper_link_inner"], points["upper_link_outer"], to="upright")


def control_blade(linkage: Linkage, points: Points) -> None:
    linkage.ball_jointed_body("upright", points["blade_front"])
    linkage.held_height(TRAVEL, "upright", points["wheel_centre"], driven=True)
    linkage.rod("upper link", points["upper_link_inner"], points["upper_link_outer"], to="upright")
    linkage.fixed_length("toe link", "upright", points["toe_link_outer"], WORLD, points["toe_link_inner"])


def swing_axle(linkage: Linkage, points: Points) -> None:
    linkage.hinged_body("half-shaft", points["pivot_rear"], points["pivot_front"])
    linkage.held_height(TRAVEL, "half-shaft", points["wheel_centre"], driven=True)


def free_linkage(linkage: Linkage, points: Points) -> None:
    """The blank file's: a double wishbone, its upper arm of two links, with a pushrod and a rocker."""
    _add_upright(linkage, points)
    _add_wishbone(linkage, points, "lower")
    for end in ("front", "rear"):
        outer, inner = points["upper_ball_joint"], points[f"upper_pivot_{end}"]
        linkage.fixed_length(f"upper {end}", "upright", outer, WORLD, inner)
    _add_steering(linkage, points)
    linkage.hinged_body("rocker", points["rocker_pivot_front"], points["rocker_pivot_rear"])
    linkage.rod("pushrod", points["pushrod_outer"], points["pushrod_inner"], to="rocker", on="lower arm")


CORNERS: list[tuple[str, Build]] = [
    ("strut", strut),
    ("double wishbone", double_wishbone),
    ("double wishbone", double_wishbone_of_links),
    ("strut with toe link", strut_with_toe_link),
    ("double wishbone with toe link", double_wishbone_with_toe_link),
    ("five link", five_link),
    ("semi-trailing arm", semi_trailing_arm),
    ("trailing arm", semi_trailing_arm),
    ("H-arm", h_arm),
    ("control blade", control_blade),
    ("swing axle", swing_axle),
    ("free linkage", free_linkage),
]


def _add_upright(linkage: Linkage, points: Points) -> None:
    linkage.free_body("upright", points["wheel_centre"])
    linkage.held_height(TRAVEL, "upright", points["wheel_centre"], driven=True)


def _add_wishbone(linkage: Linkage, points: Points, arm: str) -> None:
    linkage.hinged_body(f"{arm} arm", points[f"{arm}_pivot_front"], points[f"{arm}_pivot_rear"])
    linkage.ball_joint(f"{arm} arm", "upright", points[f"{arm}_ball_joint"])


def _add_steering(linkage: Linkage, points: Points) -> None:
    linkage.driven_slide(RACK, points["tie_rod_inner"], LEFTWARD)
    linkage.rod("tie rod", points["tie_rod_inner"], points["tie_rod_outer"], to="upright", on=RACK)


def _add_driven_link(linkage: Linkage, points: Points, link: str) -> None:
    """A plain length whose inner end the rack moves."""
    linkage.driven_slide(RACK, points[f"{link}_inner"], LEFTWARD)
    linkage.fixed_length(link, "upright", points[f"{link}_outer"], RACK, points[f"{link}_inner"])
