"""What a front view shows of a stance: every point, line and outline projected along x, and the frame round them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDES
from kinematics.car.suspension_type import CHASSIS, Arm, SuspensionType
from kinematics.numbers.stance import Stance
from kinematics.numbers.textbook import arm_in_front_view
from reports.figures.far_away import is_far
from solvers.vectors import Array

_TYRE = 150.0  # mm, width drawn; the real one is not measured
_BESIDE = 60.0  # mm shown beside the tyres
_ABOVE, _UNDER = 70.0, 240.0  # mm shown above and below; labels find room under the ground
_DEEP, _HIGH, _ASIDE = -400.0, 900.0, 1000.0  # mm; a roll centre beyond these does not widen the frame
_EDGE = 20.0  # mm; lines that lead out of the frame end this far inside it


@dataclass(frozen=True)
class FrontView:
    """One position as (y, z) in the ground frame [mm], y to the car's left; first axis of arrays: side.

    points: (2, 2) each. arms: inner and outer ends. guides: for each arm, and a strut's normal, a point on
    it and its direction. tyre: corners (2, 4, 2), upper outer and upper inner first. inboard: unit vectors
    along the contact lines (2, 2). one_line: both contact lines are one level line, the roll centre is put
    on the centre plane. Points at infinity, or as good as there, are NaN. frame: lowest y, highest y,
    lowest z, highest z.
    """

    kind: SuspensionType
    points: Mapping[str, Array]
    arms: tuple[tuple[Array, Array], ...]
    guides: tuple[tuple[Array, Array], ...]
    contact: Array
    tyre: Array
    inboard: Array
    roll_centre: Array
    one_line: bool
    instant_centre: Array
    frame: tuple[float, float, float, float]

    @property
    def body(self) -> Array:
        """Outline (P, 2) through what the body carries: arms' inner ends and top mounts, or else all its points."""
        chain = [inner for inner, _ in self.arms]
        if self.kind.strut is not None:
            chain.append(self.points[self.kind.strut.top_mount])
        if not self.arms:
            return _round(self.points[key][side] for key in self.kind.points_on(CHASSIS) for side in (LEFT, RIGHT))
        return np.array([*(at[LEFT] for at in chain), *(at[RIGHT] for at in reversed(chain))])

    @property
    def parts(self) -> list[Array]:
        """Outlines (P, 2) through the points on each moving part; one for both sides on a live axle."""
        outlines = []
        for body in self.kind.bodies:
            keys = self.kind.points_on(body)
            if self.kind.whole_axle:
                outlines.append(_round(self.points[key][side] for key in keys for side in (LEFT, RIGHT)))
            else:
                outlines += [_round(self.points[key][side] for key in keys) for side in (LEFT, RIGHT)]
        return outlines

    @property
    def stiff(self) -> list[tuple[str, tuple[Array, Array]]]:
        """What it is, "arm" or "strut", and both ends (2, 2) each, of everything besides single links."""
        found = [("arm", ends) for ends in self.arms]
        if self.kind.strut is not None:
            found.append(("strut", (self.points[self.kind.strut.low], self.points[self.kind.strut.top_mount])))
        return found

    @property
    def links(self) -> list[tuple[Array, Array]]:
        """Both ends (2,) of each single link, each link once."""
        sides = {link: (LEFT,) if set(link) <= self.kind.single else (LEFT, RIGHT) for link in self.kind.links}
        return [(self.points[on][side], self.points[at][side]) for (on, at), both in sides.items() for side in both]

    def shows(self, point: Array) -> bool:
        """Whether a point lies in the frame; not where it is at infinity."""
        left, right, bottom, top = self.frame
        return bool(left < point[0] < right and bottom < point[1] < top)

    def towards(self, start: Array, point: Array) -> Array:
        """The point itself, or where the way to it from a start inside leaves the frame."""
        left, right, bottom, top = self.frame
        low, high = np.array([left, bottom]) + _EDGE, np.array([right, top]) - _EDGE
        way = point - start
        ends = np.where(way > 0.0, high, low)
        with np.errstate(divide="ignore", invalid="ignore"):
            parts = np.where(way == 0.0, np.inf, (ends - start) / way)
        return np.asarray(start + min(1.0, max(float(parts.min()), 0.0)) * way)


def _round(points: Iterable[Array]) -> Array:
    """Points (2,) joined round their middle, so that the outline never crosses itself: (P, 2)."""
    joints = np.array(list(points))
    spread = joints - joints.mean(axis=0)
    return joints[np.argsort(np.arctan2(spread[:, 1], spread[:, 0]))]


def front_view_of(stance: Stance) -> FrontView:
    """Project the first position of one car's stance."""
    kind = stance.states.axle.suspension
    points = {key: at[:, 0, 1:] for key, at in stance.points.items()}
    arms = tuple(_arm(arm, stance.points, points) for arm in kind.arms)
    guides = [(inner, inner - outer) for inner, outer in arms]
    if kind.strut is not None:
        top = points[kind.strut.top_mount]
        along = top - points[kind.strut.low]
        guides.append((top, np.stack([-along[:, 1], along[:, 0]], axis=-1)))
    slope = stance.lines.slope[:, 0]
    inboard = -SIDES[:, None] * np.stack([np.ones(2), slope], axis=-1) / np.hypot(1.0, slope)[:, None]
    tyre, roll_centre = _tyre(stance), stance.roll_centre[0].copy()
    one_line = bool(np.isnan(roll_centre[0]) and np.isfinite(roll_centre[1]))
    if one_line:
        roll_centre[0] = 0.0
    instant_centre = stance.instant_centre[:, 0].copy()
    for point in (roll_centre, *instant_centre):
        if any(is_far(float(one)) for one in point):
            point[:] = np.nan
    shown = np.concatenate([tyre.reshape(-1, 2), *points.values()])
    return FrontView(
        kind, points, arms, tuple(guides), stance.contact[:, 0, 1:], tyre, inboard, roll_centre, one_line,
        instant_centre, _frame(shown, roll_centre),
    )  # fmt: skip


def _arm(arm: Arm, moved: Mapping[str, Array], points: Mapping[str, Array]) -> tuple[Array, Array]:
    """An arm's ends in front view; its inner end is midway between pivots whose axis lies across the car."""
    inner, outer = (end[:, 0] for end in arm_in_front_view(arm, moved))
    middle = 0.5 * (points[arm.pivot_front] + points[arm.pivot_rear])
    return np.where(np.isfinite(inner), inner, middle), outer


def _tyre(stance: Stance) -> Array:
    """Discs of the loaded radius, seen edge-on, with a width that is not to scale."""
    axis = stance.spin_axis[:, 0, 1:]
    across = axis / np.hypot(axis[:, 0], axis[:, 1])[:, None]
    up = SIDES[:, None] * np.stack([-across[:, 1], across[:, 0]], axis=-1)
    high = stance.states.axle.radius[:, None] * up
    wide = 0.5 * _TYRE * across
    centre = stance.wheel_centre[:, 0, 1:]
    return np.stack([centre + high + wide, centre + high - wide, centre - high - wide, centre - high + wide], axis=1)


def _frame(shown: Array, roll_centre: Array) -> tuple[float, float, float, float]:
    y, z = roll_centre
    if np.isfinite(roll_centre).all() and _DEEP <= z <= _HIGH and abs(y) <= _ASIDE:
        shown = np.concatenate([shown, roll_centre[None]])
    (left, bottom), (right, top) = shown.min(axis=0), shown.max(axis=0)
    # A roll centre under the ground takes up part of the room for labels.
    return left - _BESIDE, right + _BESIDE, min(bottom + 0.3 * _UNDER, 0.0) - _UNDER, top + _ABOVE
