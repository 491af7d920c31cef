"""Re-alignment: toe set by the tie rod's length, camber by the adjuster the car has."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from kinematics.car.car import SIDES
from kinematics.car.fittings import Adjusters
from kinematics.planning.dismantled import Assembled, AxleParts, Near, assembled, put_together
from kinematics.planning.quick_alignment import QuickAlignment, quickly_aligned
from solvers.tangents import larger_than
from solvers.vectors import Array, Flags, length, vector

_ANGLES_TO = 1e-10  # rad
_MOST_ROUNDS = 25
_LONGEST_STEP = 20.0  # probes' worth of adjustment in one round


@dataclass(frozen=True)
class _Adjuster:
    """One adjuster: the angle it is there for, what turning it by (..., 2) does, and a small amount to probe it."""

    sets: Literal["toe", "camber"]
    turn: Callable[[AxleParts, Array], AxleParts]
    probe: float


@dataclass(frozen=True)
class Alignment:
    """An axle after re-alignment.

    parts, assembled: with the adjusters where they ended. toe_link: change of the tie rod's length (..., 2)
    [mm]; camber: change at the camber adjuster (..., 2) [mm, or rad for bolts], zero without one.
    reached: (..., 2) False where the targets cannot be met.
    """

    parts: AxleParts
    assembled: Assembled
    toe_link: Array
    camber: Array
    reached: Flags


def align(parts: AxleParts, adjusters: Adjusters, toe: Array, camber: Array) -> Alignment:
    """Bring toe and camber to targets (..., 2) [rad], each if the car has an adjuster for it.

    The adjusters' ranges are not looked at here.
    """
    tools, targets = [], []
    if parts.measured.suspension.toe_link is not None:
        tools, targets = [_TOE], [toe]
    if adjusters.camber_by != "none":
        tools, targets = [*tools, _CAMBER[adjusters.camber_by]], [*targets, camber]
    wanted = np.stack(np.broadcast_arrays(*targets), axis=-1) if targets else np.zeros((*toe.shape, 0))
    return _adjusted_to(parts, tools, wanted)


def align_camber(parts: AxleParts, adjusters: Adjusters, camber: Array) -> Alignment:
    """Bring camber alone to its target (..., 2) [rad] by its adjuster, the tie rod left as it is."""
    return _adjusted_to(parts, [_CAMBER[adjusters.camber_by]], camber[..., None])


def _adjusted_to(parts: AxleParts, tools: Sequence[_Adjuster], wanted: Array) -> Alignment:
    """Newton's iteration on the angles (..., 2, tools), each adjuster's effect found by a probe."""
    shape = np.broadcast_shapes(parts.radius.shape, (*parts.heave.shape, 1), wanted.shape[:-1])
    amounts = np.zeros((*shape, len(tools)), np.result_type(parts.radius, wanted))
    if not tools:
        now = put_together(parts)
        return Alignment(parts, now, np.zeros(shape), np.zeros(shape), now.arrived)
    quick = None
    if not parts.measured.suspension.whole_axle:
        quick = _quickly(parts, tools, np.broadcast_to(wanted, amounts.shape))
        amounts[quick.found] = quick.amounts[quick.found]
    if quick is not None and quick.found.all() and not np.iscomplexobj(quick.stood.axis):
        changed = _turned(parts, tools, amounts)
        now, effect = assembled(changed, quick.stood, quick.travel, quick.rise), quick.effect
    else:
        changed, now = _with(parts, tools, amounts, quick)
        effect = _effects(parts, tools, amounts, now)
    for _ in range(_MOST_ROUNDS):
        missing = wanted - _angles(now, tools)
        # Corners whose parts do not fit are left alone; they must not hold up the others.
        off = now.arrived & larger_than(missing, _ANGLES_TO).any(axis=-1)
        if not off.any():
            break
        step = np.linalg.solve(effect[off], missing[off][..., None])[..., 0]
        most = np.array([_LONGEST_STEP * tool.probe for tool in tools])
        amounts[off] += np.clip(step, -most, most)
        changed, now = _with(parts, tools, amounts, now)
    missing = np.abs(wanted - _angles(now, tools)).max(axis=-1)
    by_angle = {tool.sets: amounts[..., i] for i, tool in enumerate(tools)}
    toe_link, camber = (by_angle.get(angle, np.zeros(shape)) for angle in ("toe", "camber"))
    return Alignment(changed, now, toe_link, camber, (missing < 10.0 * _ANGLES_TO) & now.arrived)


def _quickly(parts: AxleParts, tools: Sequence[_Adjuster], wanted: Array) -> QuickAlignment:
    def turned(parts: AxleParts, amounts: Array) -> AxleParts:
        return _turned(parts, tools, amounts)

    which = [("camber", "toe").index(tool.sets) for tool in tools]
    return quickly_aligned(parts, wanted, which, turned, np.array([tool.probe for tool in tools]), _ANGLES_TO)


def with_camber_adjusted(parts: AxleParts, adjusters: Adjusters, amount: Array) -> AxleParts:
    """Return the parts with the camber adjuster turned by an amount (..., 2) [mm, or rad for bolts]."""
    return _CAMBER[adjusters.camber_by].turn(parts, amount)


def _with(
    parts: AxleParts, tools: Sequence[_Adjuster], amounts: Array, near: Near | None = None
) -> tuple[AxleParts, Assembled]:
    changed = _turned(parts, tools, amounts)
    return changed, put_together(changed, near)


def _turned(parts: AxleParts, tools: Sequence[_Adjuster], amounts: Array) -> AxleParts:
    for i, tool in enumerate(tools):
        parts = tool.turn(parts, amounts[..., i])
    return parts


def _effects(parts: AxleParts, tools: Sequence[_Adjuster], amounts: Array, now: Assembled) -> Array:
    """Change of each angle per amount of each adjuster (..., 2, angles, adjusters)."""
    columns = []
    for i, tool in enumerate(tools):
        probed = amounts.copy()
        probed[..., i] += tool.probe
        change = _angles(_with(parts, tools, probed, now)[1], tools) - _angles(now, tools)
        columns.append(change / tool.probe)
    return np.stack(columns, axis=-1)


def _angles(assembled: Assembled, tools: Sequence[_Adjuster]) -> Array:
    """The angles that the adjusters are there for (..., 2, tools) [rad]."""
    angles = {"toe": assembled.axle.toe, "camber": assembled.axle.camber}
    return np.stack([angles[tool.sets] for tool in tools], axis=-1)


def with_toe_link_adjusted(parts: AxleParts, amount: Array) -> AxleParts:
    """Return the parts with the tie rod or toe link longer by an amount (..., 2) [mm]."""
    link = parts.measured.suspension.toe_link
    assert link is not None  # only types with a toe link are aligned by it
    return parts.with_length(link, amount)


def _outward(amount: Array) -> Array:
    return vector(np.zeros_like(amount), SIDES * amount, np.zeros_like(amount))


def _move_strut_top(parts: AxleParts, amount: Array) -> AxleParts:
    strut = parts.measured.suspension.strut
    assert strut is not None  # the car file is checked: this adjuster needs a strut
    return parts.with_point(strut.top_mount, _outward(amount))


def _turn_strut_bolts(parts: AxleParts, amount: Array) -> AxleParts:
    assert parts.strut_direction is not None
    x, y, z = np.moveaxis(parts.strut_direction, -1, 0)
    sine, cosine = np.sin(SIDES * amount), np.cos(amount)
    return replace(parts, strut_direction=vector(x + 0.0 * amount, cosine * y + sine * z, cosine * z - sine * y))


def _lengthen_arm(which: int) -> Callable[[AxleParts, Array], AxleParts]:
    def turn(parts: AxleParts, amount: Array) -> AxleParts:
        arm = parts.measured.suspension.arms[which]
        joint = parts.measured.points[arm.joint]
        for pivot in (arm.pivot_front, arm.pivot_rear):
            place = parts.measured.points[pivot]
            change = length(joint + _outward(amount) - place) - length(joint - place)
            parts = parts.with_length((arm.joint, pivot), change)
        return parts

    return turn


_TOE = _Adjuster("toe", with_toe_link_adjusted, 1.0)
_CAMBER = {
    "strut top": _Adjuster("camber", _move_strut_top, 1.0),
    "strut bolts": _Adjuster("camber", _turn_strut_bolts, 2e-3),
    "lower arm": _Adjuster("camber", _lengthen_arm(0), 1.0),
    "upper arm": _Adjuster("camber", _lengthen_arm(1), 1.0),
}
