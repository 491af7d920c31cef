"""An axle as it stands, seen from the front, from its left and from above: shapes to scale, in mm over the ground."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Literal

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES, SIDES, Axle
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import ROLL_CENTRE, Limit
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.stance import Stance
from reports.documents.amounts import Record
from reports.figures.far_away import is_far
from reports.figures.front_view_geometry import FrontView, front_view_of
from reports.page.shapes import Shapes, frame_round
from reports.words.headline import height_words
from reports.words.numbers import told
from solvers.vectors import Array

View = Literal["front", "side", "top"]
ALL_VIEWS: tuple[View, ...] = ("front", "side", "top")
_ONWARD = 20_000.0  # mm; a line towards what is at infinity leads out of every drawing
_TYRE = 75.0  # mm, half of the width drawn; the real one is not measured
_BESIDE, _BELOW, _ABOVE = 90.0, 170.0, 110.0  # mm shown round an axle


def views(
    stance: Stance, limits: Sequence[Limit], unit: LengthUnit, asked: Sequence[View] = ALL_VIEWS
) -> dict[View, Shapes]:
    """The views that are asked for of the first position of one car's stance."""
    return {name: _VIEWS[name](stance, limits, unit) for name in asked}


def frames(stance: Stance, other: Stance | None = None, ahead: float = 0.0) -> Record:
    """What each view shows: the axle at ride height with room to move; the same for all positions.

    other: the other axle, so far ahead [mm], which the view from the side shows too.
    """
    places = _filled(stance)
    along = places if other is None else np.concatenate([places, _filled(other) + np.array([ahead, 0.0, 0.0])])
    return {
        "front": frame_round(_from_front(places), _BESIDE, _BELOW, _ABOVE),
        "side": frame_round(seen_from_left(along), _BESIDE, _BELOW, _ABOVE),
        "top": frame_round(_from_above(places), _BESIDE, _BESIDE, _BESIDE),
    }


def _filled(stance: Stance) -> Array:
    """Places (N, 3) round everything of an axle at ride height."""
    every = [stance.points, {"contact": stance.contact}]
    places = np.concatenate([at[:, 0] for points in every for at in points.values()])
    radius = float(stance.states.axle.radius.max())
    wheel = stance.wheel_centre[:, 0]
    ends = np.array([[-radius, 0.0, 0.0], [radius, 0.0, 0.0], [0.0, _TYRE, radius], [0.0, -_TYRE, radius]])
    return np.concatenate([places, *(at + ends for at in wheel)])


def _from_front(points: Array) -> Array:
    """Places (..., 3) in a view from the front: the car's left is on the right."""
    return points[..., [1, 2]]


def seen_from_left(points: Array) -> Array:
    """In a view from the left: the car faces left."""
    return points[..., [0, 2]] * [-1.0, 1.0]


def _from_above(points: Array) -> Array:
    """In a view from above: the car faces up."""
    return points[..., [1, 0]] * [-1.0, 1.0]


def _front(stance: Stance, limits: Sequence[Limit], unit: LengthUnit) -> Shapes:
    view, shapes = front_view_of(stance), Shapes()
    for limit in (one for one in limits if one.key == ROLL_CENTRE.key and "ride height" in one.over):
        low, high = (float(np.clip(end, -_ONWARD, _ONWARD)) for end in (limit.low, limit.high))
        beside = [-_ONWARD, _ONWARD]
        corners = [(beside[0], low), (beside[1], low), (beside[1], high), (beside[0], high)]
        shapes.outline("allowed", map(np.array, corners))
    shapes.line("ground", np.array([[-_ONWARD, 0.0], [_ONWARD, 0.0]]))
    shapes.line("middle", np.array([[0.0, -_ONWARD], [0.0, _ONWARD]]))
    for corners in view.tyre:
        shapes.outline("tyre", corners)
    shapes.outline("body", view.body)
    for part in view.parts:
        shapes.outline("part", part)
    _guides(shapes, view)
    for look, ends in view.stiff:
        for side in (LEFT, RIGHT):
            shapes.line(look, [end[side] for end in ends])
    for ends in view.links:
        shapes.line("link", ends)
    _joints(shapes, stance, _from_front)
    _contact_lines(shapes, view, unit)
    return shapes


def _guides(shapes: Shapes, view: FrontView) -> None:
    """Arm lines and strut normals, as far as the instant centre where it is near."""
    for points, along in view.guides:
        for side in (LEFT, RIGHT):
            size = float(np.hypot(*along[side]))
            centre = view.instant_centre[side]
            far = points[side] + (_ONWARD / size) * along[side] if size else points[side]
            shapes.line("guide", [points[side], centre if np.isfinite(centre).all() else far])


def _contact_lines(shapes: Shapes, view: FrontView, unit: LengthUnit) -> None:
    """Lines from the contact points to the roll centre, on to the instant centres, and these with their words."""
    for side, name in enumerate(SIDE_NAMES):
        start, centre = view.contact[side], view.instant_centre[side]
        ahead = start + _ONWARD * view.inboard[side]
        known = np.isfinite(view.roll_centre).all()
        shapes.line("onward", [start, centre if np.isfinite(centre).all() else ahead])
        shapes.line("contact", [start, view.roll_centre if known else ahead])
        across = told(abs(float(centre[0])), Dimension.LENGTH, unit, sign=False)
        place = f"{across} to the {SIDE_NAMES[LEFT if centre[0] > 0.0 else RIGHT]}"
        shapes.mark(
            "instant-centre", centre, words=f"{name} instant centre {place}, {height_words(float(centre[1]), unit)}"
        )
    words = f"roll centre {height_words(float(view.roll_centre[1]), unit)}"
    shapes.mark("roll-centre", view.roll_centre, words=words)


def _joints(shapes: Shapes, stance: Stance, seen: Callable[[Array], Array], sides: Sequence[int] = (0, 1)) -> None:
    for key, at in stance.points.items():
        for side in sides:
            name = SIDE_NAMES[side]
            shapes.mark("joint", seen(at[side, 0]), point=key, side=name)


def _side(stance: Stance, limits: Sequence[Limit], unit: LengthUnit) -> Shapes:
    """The left side: wheel, links, and the line to the side-view instant centre."""
    del limits
    shapes, axle = Shapes(), stance.states.axle
    shapes.line("ground", np.array([[-_ONWARD, 0.0], [_ONWARD, 0.0]]))
    wheel = stance.wheel_centre[LEFT, 0]
    shapes.circle("tyre", seen_from_left(wheel), float(axle.radius[LEFT]))
    for look, line in links_of(axle, stance.points, (LEFT,)):
        shapes.line(look, seen_from_left(line))
    _joints(shapes, stance, seen_from_left, (LEFT,))
    x, z = stance.side_view_centre[LEFT, 0]
    if not (is_far(float(x)) or is_far(float(z))):
        centre, contact = np.array([-x, z]), seen_from_left(stance.contact[LEFT, 0])
        shapes.line("contact", [contact, centre])
        way = told(abs(float(x)), Dimension.LENGTH, unit, sign=False)
        place = f"{way} {'ahead of' if x > 0.0 else 'behind'} the axle, {height_words(float(z), unit)}"
        shapes.mark("instant-centre", centre, words=f"left side-view instant centre {place}")
    return shapes


def _top(stance: Stance, limits: Sequence[Limit], unit: LengthUnit) -> Shapes:
    """Both sides from above: wheels as they point, links."""
    del limits, unit
    shapes, axle = Shapes(), stance.states.axle
    for side in (LEFT, RIGHT):
        shapes.outline("tyre", _from_above(_tread(stance, side)))
    for look, line in links_of(axle, stance.points, (LEFT, RIGHT)):
        shapes.line(look, _from_above(line))
    _joints(shapes, stance, _from_above)
    return shapes


def _tread(stance: Stance, side: int) -> Array:
    """A tyre's outline from above, corners (4, 3)."""
    axis = stance.spin_axis[side, 0]
    ahead = np.array([axis[1], -axis[0], 0.0]) * SIDES[side] / np.hypot(axis[0], axis[1])
    half = float(stance.states.axle.radius[side])
    wheel = stance.wheel_centre[side, 0]
    ways = [(1.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (-1.0, 1.0)]
    return np.array([wheel + along * half * ahead + across * _TYRE * axis for along, across in ways])


def links_of(axle: Axle, points: Mapping[str, Array], sides: Sequence[int]) -> Iterator[tuple[str, Array]]:
    """What holds the moving parts, as lines (2, 3): arms' legs, strut, single links."""
    kind = axle.suspension
    arms = [(arm.joint, pivot) for arm in kind.arms for pivot in (arm.pivot_front, arm.pivot_rear)]
    strut = [] if kind.strut is None else [(kind.strut.low, kind.strut.top_mount)]
    for look, pairs in (("arm", arms), ("strut", strut), ("link", kind.links)):
        for first, second in pairs:
            for side in sides:
                yield look, np.array([points[first][side, 0], points[second][side, 0]])


_VIEWS: Mapping[View, Callable[[Stance, Sequence[Limit], LengthUnit], Shapes]] = {
    "front": _front,
    "side": _side,
    "top": _top,
}
