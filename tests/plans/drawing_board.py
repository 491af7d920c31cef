"""Planar cars reassembled on the drawing board: the front view alone, solved by SciPy, side by side in one plane.

Arms whose pivots lie ahead of and behind one transverse plane that holds everything else, and a tie rod that is the
lower arm over again further back: such an upright can only move in that plane, so the front view is all there is.
"""

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy.optimize import root

from kinematics import Axle
from kinematics.car.suspensions import SUSPENSIONS
from solvers import planar
from solvers.vectors import Array


@dataclass(frozen=True)
class FrontView:
    """A left corner, (out, up) [mm]; upper: pivot and joint of an upper arm, strut: low and top; camber [rad]."""

    pivot: Array
    joint: Array
    centre: Array
    camber: float
    upper: tuple[Array, Array] | None = None
    strut: tuple[Array, Array] | None = None

    @property
    def radius(self) -> float:
        return float(self.centre[1] / math.cos(self.camber))


def at(out: float, up: float) -> Array:
    return np.array([out, up])


CAMBER = math.radians(-1.5)
STRUT = FrontView(
    at(358.0, 176.0), at(694.0, 188.0), at(744.0, 301.0), CAMBER, strut=(at(640.0, 410.0), at(565.0, 790.0))
)
WISHBONES = FrontView(
    at(340.0, 188.0), at(690.0, 176.0), at(744.0, 301.0), CAMBER, upper=(at(415.0, 420.0), at(650.0, 441.0))
)
VIEWS = {"strut": STRUT, "double wishbone": WISHBONES}
TIE_ROD_BEHIND = -120.0


def whole_car(view: FrontView) -> Axle:
    def pair(ahead: float, place: Array) -> Array:
        return np.array([[ahead, side * place[0], place[1]] for side in (1.0, -1.0)])

    points = {
        "wheel_centre": pair(0.0, view.centre),
        "lower_ball_joint": pair(0.0, view.joint),
        "lower_pivot_front": pair(130.0, view.pivot),
        "lower_pivot_rear": pair(-130.0, view.pivot),
        "tie_rod_outer": pair(TIE_ROD_BEHIND, view.joint),
        "tie_rod_inner": pair(TIE_ROD_BEHIND, view.pivot),
    }
    if view.strut is not None:
        points |= {"strut_low": pair(0.0, view.strut[0]), "strut_top": pair(0.0, view.strut[1])}
    if view.upper is not None:
        pivot, joint = view.upper
        points |= {
            "upper_ball_joint": pair(0.0, joint),
            "upper_pivot_front": pair(110.0, pivot),
            "upper_pivot_rear": pair(-110.0, pivot),
        }
    kind = SUSPENSIONS["strut" if view.strut is not None else "double wishbone"]
    return Axle("front", kind, points, np.full(2, view.camber), np.zeros(2))


@dataclass(frozen=True)
class Reassembled:
    """Front view over the ground after a change; turn: of the upright, anticlockwise in (out, up) [rad]."""

    view: FrontView
    turn: float
    contact: Array
    roll_centre: float


def reassemble(
    measured: FrontView,
    *,
    raised: float = 0.0,
    joint: Any = (0.0, 0.0),
    pivot: Any = (0.0, 0.0),
    top: Any = (0.0, 0.0),
    spacer: float = 0.0,
    radius: float = 0.0,
    lower_out: float = 0.0,
    upper_out: float = 0.0,
    bolts: float = 0.0,
) -> Reassembled:
    """Move points by (out, up) in the part that has them, keep the arms' lengths, and stand the wheel on the ground.

    lower_out, upper_out: an arm made as long as if its joint as measured were drawn that far out. bolts: the strut's
    top leaned out in the upright [rad].
    """
    axis = at(math.cos(measured.camber), -math.sin(measured.camber))
    now_radius = measured.radius + radius
    hub = measured.centre + spacer * axis
    on_upright = {"joint": measured.joint + joint}
    fixed = measured.pivot + pivot
    arm = math.dist(measured.joint + at(lower_out, 0.0), measured.pivot)
    if measured.strut is not None:
        low, fixed_top = measured.strut
        along = rotation(-bolts) @ (fixed_top - low) / math.dist(fixed_top, low)
        fixed_top = fixed_top + top
        on_upright["second"] = low
    else:
        assert measured.upper is not None
        upper_pivot, on_upright["second"] = measured.upper
        upper_arm = math.dist(on_upright["second"] + at(upper_out, 0.0), upper_pivot)

    def placed(unknown: Array) -> dict[str, Array]:
        turned = rotation(unknown[2])
        return {key: unknown[:2] + turned @ (point - hub) for key, point in on_upright.items()}

    def misfit(unknown: Array) -> list[float]:
        now = placed(unknown)
        lean = (rotation(unknown[2]) @ axis)[1]
        if measured.strut is not None:
            to_top = fixed_top - now["second"]
            turned = rotation(unknown[2]) @ along
            second = turned[0] * to_top[1] - turned[1] * to_top[0]
        else:
            second = math.dist(now["second"], upper_pivot) - upper_arm
        on_ground = unknown[1] + raised - now_radius * math.sqrt(1.0 - lean**2)
        return [math.dist(now["joint"], fixed) - arm, second, on_ground]

    solved = root(misfit, [*(hub - at(0.0, raised)), 0.0], tol=1e-14)
    assert np.abs(solved.fun).max() < 1e-10
    unknown, lift = solved.x, at(0.0, raised)
    now = placed(unknown)
    turned = rotation(unknown[2]) @ axis
    foot = unknown[0] + now_radius * turned[0] * turned[1] / math.sqrt(1.0 - turned[1] ** 2)
    contact = at(foot, 0.0)
    view = FrontView(fixed + lift, now["joint"] + lift, unknown[:2] + lift, -math.asin(turned[1]))
    if measured.strut is not None:
        low = now["second"] + lift
        view = replace(view, strut=(low, fixed_top + lift))
        slope = planar.strut_line_slope(view.pivot, view.joint, rotation(unknown[2]) @ along, fixed_top + lift, contact)
    else:
        view = replace(view, upper=(upper_pivot + lift, now["second"] + lift))
        slope = planar.wishbone_line_slope(view.pivot, view.joint, upper_pivot + lift, now["second"] + lift, contact)
    return Reassembled(view, float(unknown[2]), contact, float(-slope * contact[0]))


def rotation(angle: float) -> Array:
    return np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
