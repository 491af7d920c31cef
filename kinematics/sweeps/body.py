"""Sweeps of an axle: bump, roll, and bump by roll, with every reported number at every state.

All may have the body pitched. What one axle knows of pitch is a turn about the level axis across the car through this
axle's own place on the ground, the body point under its wheel centres; heave is that point's. So a car that stands at
two heights is swept axle by axle: each at its own heave, both at the pitch that follows.
"""

import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES, Axle
from kinematics.car.given_numbers import angle, angles, in_a_row, length, lengths
from kinematics.motion.ground import Attitude, Standing, attitude_at, contact_points, expected_travel
from kinematics.motion.moving_axle import MovingAxle, moving
from kinematics.motion.reasons import Gap, Reason, UnreachedError
from kinematics.motion.states import CornerStates
from kinematics.numbers.outer_share import USUAL, OuterShare
from kinematics.numbers.registry import QUANTITIES, quantities_of
from kinematics.numbers.stance import Stance
from kinematics.sweeps.arguments import refuse_no_axle, refuse_other, refuse_other_numbers
from kinematics.sweeps.finite import have_reasons, leave_gaps
from kinematics.sweeps.gaps import Gaps
from kinematics.sweeps.tabled_states import TabledStates
from solvers.read_only import ReadOnly, read_only
from solvers.vectors import Array, Flags

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

Wheels = Literal["both", "left", "right"]
SweepKind = Literal["bump", "roll", "grid", "steer"]

_STATES = 8192  # at a time
_WEIGHTS = {"both": (0.5, 0.5), "left": (0.0, 1.0), "right": (1.0, 0.0)}  # of each side's contact, by what moves


@dataclass(frozen=True, repr=False)
class Sweep(TabledStates, ReadOnly):
    """Every reported number over a sweep's states.

    shape: (S,) or, for a grid, (bumps, rolls). values: key to (..., 2, *shape) for a corner quantity,
    (..., *shape) for an axle quantity; mm and radians; NaN where a state cannot be reached or the number
    does not exist there. reached: (..., *shape). gaps: why something is missing, state by state (..., *shape); of many
    cars only where, and one of them alone, `axle.variant(i)`, swept again, tells what holds it. outer_share: of the
    lateral force on the outer wheel, for the force-weighted height. asked: every state's travel, bump, roll or rack
    travel as it was asked for (*shape) [mm, rad], reached or not.
    """

    axle: Axle
    kind: SweepKind
    shape: tuple[int, ...]
    values: Mapping[str, Array]
    reached: Flags
    gaps: Gaps
    outer_share: OuterShare = USUAL
    asked: Mapping[str, Array] = field(default_factory=dict)
    copies = False

    def __repr__(self) -> str:
        states = " x ".join(map(str, self.shape)) or "one"
        batch = f"{' x '.join(map(str, self.axle.batch_shape))} cars, " if self.axle.batch_shape else ""
        missing = f", {(~self.reached).sum()} not reached" if not self.reached.all() else ""
        where = f"{self.axle.name} {self.axle.suspension.name}"
        return f"<{self.kind} sweep of a {where}: {batch}{states} states{missing}; {self.named()}>"

    @property
    def problems(self) -> tuple[Reason, ...]:
        """What its owner is to be told: every reason once, but of steering only why it ends.

        Some of steering's numbers are missing straight ahead on any car.
        """
        return self.gaps.in_order(~self.reached if self.kind == "steer" else None)

    @property
    def track(self) -> float:
        """Track width [mm], roughly: the mean over its states."""
        return float(np.nanmean(self["contact_y"][LEFT] - self["contact_y"][RIGHT]))

    def _by_key(self) -> Mapping[str, Array]:
        return self.values


def sweep_bump(
    axle: Axle | MovingAxle,
    travel: "ArrayLike",
    wheels: Wheels = "both",
    *,
    pitch: float = 0.0,
    outer_share: OuterShare = USUAL,
    only: Collection[str] | None = None,
) -> Sweep:
    """Move both wheels, or one, by travel (S,) [mm, bump positive] with the body level but for a pitch.

    pitch: [rad, nose down positive], about this axle's own place on the ground; travel is along the body's vertical.
    The ground is level at the contact points (their mean where the sides differ); with one wheel moved, at
    the other wheel's contact point. An axle may come ready to move over all these travels, as may it to the others.
    only: the numbers wanted, by key; all that the axle has where it is None.
    """
    _refuse(axle, "sweep_bump", outer_share, only)
    if wheels not in _WEIGHTS:
        raise ValueError(f'wheels is "both", "left" or "right"; read {wheels!r}')
    moved = np.array([wheels != "right", wheels != "left"], dtype=float)
    asked = moved[:, None] * in_a_row(lengths(travel, "travel"), "travel")
    ends = float(asked.min(initial=0.0)), float(asked.max(initial=0.0))
    corners = moving(axle, *ends) if isinstance(axle, Axle) else axle
    weight, pitch = _WEIGHTS[wheels], angle(pitch, "pitch")
    none = np.zeros(asked.shape[-1])
    turned = attitude_at(none, none, pitch)

    def part(which: slice) -> _Chunk:
        travel = asked[:, which]
        states = corners.at(np.broadcast_to(travel, (*corners.axle.batch_shape, *travel.shape)))
        contact = turned.at(which).to_ground(contact_points(states, turned.at(which).normal))[..., 2]
        level = weight[LEFT] * contact[..., LEFT, :] + weight[RIGHT] * contact[..., RIGHT, :]
        # A whole axle locks as one, whichever of its wheels is moved.
        down = (travel.sum(axis=0) if corners.axle.suspension.whole_axle else travel) < 0.0
        low = ~states.reached & down
        stance = Stance(states, attitude_at(-level, np.zeros_like(level), pitch), outer_share)
        return _Chunk(stance, low, ~states.reached & ~low, np.zeros_like(low))

    driver = {"travel": np.array(asked[RIGHT if wheels == "right" else LEFT])}
    return _sweep("bump", (asked.shape[-1],), corners, part, outer_share, only, driver)


def sweep_roll(
    axle: Axle | MovingAxle,
    roll: "ArrayLike",
    heave: float = 0.0,
    *,
    pitch: float = 0.0,
    outer_share: OuterShare = USUAL,
    only: Collection[str] | None = None,
) -> Sweep:
    """Roll the body to angles (S,) [rad, left side up positive] at a heave [mm], contact points on level ground.

    pitch: of the body [rad, nose down positive], about this axle's own place on the ground, after roll (ISO 8855).
    """
    _refuse(axle, "sweep_roll", outer_share, only)
    rolls = in_a_row(angles(roll, "roll"), "roll")
    attitude = attitude_at(np.full_like(rolls, length(heave, "heave")), rolls, angle(pitch, "pitch"))
    return _stand(axle, "roll", rolls.shape, attitude, outer_share, only, {"roll": np.array(rolls)})


def sweep_grid(
    axle: Axle | MovingAxle,
    bump: "ArrayLike",
    roll: "ArrayLike",
    *,
    pitch: float = 0.0,
    outer_share: OuterShare = USUAL,
    only: Collection[str] | None = None,
) -> Sweep:
    """All of bump (B,) [mm: the body lowered by that much] times roll (R,) [rad]; shape (B, R); pitch as in roll."""
    _refuse(axle, "sweep_grid", outer_share, only)
    bumps, rolls = in_a_row(lengths(bump, "bump"), "bump"), in_a_row(angles(roll, "roll"), "roll")
    lowered, rolled = np.meshgrid(bumps, rolls, indexing="ij")
    attitude = attitude_at(-lowered.reshape(-1), rolled.reshape(-1), angle(pitch, "pitch"))
    return _stand(axle, "grid", lowered.shape, attitude, outer_share, only, {"bump": lowered, "roll": rolled})


def _refuse(axle: object, what: str, outer_share: object, only: object) -> None:
    refuse_no_axle(axle, what)
    refuse_other(outer_share, OuterShare, f"{what} takes an OuterShare as outer_share, such as OuterShare(0.7)")
    refuse_other_numbers(only)


def _stand(
    axle: Axle | MovingAxle,
    kind: SweepKind,
    shape: tuple[int, ...],
    attitude: Attitude,
    outer_share: OuterShare,
    only: Collection[str] | None,
    asked: Mapping[str, Array],
) -> Sweep:
    corners = moving(axle, *expected_travel(axle, attitude)) if isinstance(axle, Axle) else axle

    def part(which: slice) -> _Chunk:
        here = attitude.at(which)
        standing = corners.stand(here)
        stance = Stance(corners.at(standing.travel), here, outer_share)
        return _Chunk(stance, standing.low, standing.high, standing.turned_over)

    return _sweep(kind, shape, corners, part, outer_share, only, asked)


def stances(axle: Axle | MovingAxle, bump: "ArrayLike", roll: "ArrayLike", pitch: float = 0.0) -> Stance:
    """The axle, ready to move or not, standing at bumps (S,) [mm] and rolls (S,) [rad], paired: for drawings.

    pitch: [rad], as in the sweeps.

    Raises UnreachedError, with the reason, where one of them cannot be reached.
    """
    return read_only(stances_of_a_move(axle, bump, roll, pitch))


def stances_of_a_move(axle: Axle | MovingAxle, bump: "ArrayLike", roll: "ArrayLike", pitch: float = 0.0) -> Stance:
    """The same where nobody keeps it, so that it need not be made read-only: for many moves a second."""
    refuse_no_axle(axle, "stances")
    bumps, rolls = in_a_row(lengths(bump, "bump"), "bump"), in_a_row(angles(roll, "roll"), "roll")
    if bumps.shape != rolls.shape:
        raise ValueError(f"bump and roll are paired; read {bumps.size} bumps and {rolls.size} rolls")
    attitude = attitude_at(-bumps, rolls, angle(pitch, "pitch"))
    corners = moving(axle, *expected_travel(axle, attitude)) if isinstance(axle, Axle) else axle
    standing = corners.stand(attitude)
    states = corners.at(standing.travel)
    for side in (LEFT, RIGHT):
        reason = _reason(corners, states, standing, side)
        if reason is not None:
            raise UnreachedError(reason)
    return Stance(states, attitude)


def _reason(corners: MovingAxle, states: CornerStates, standing: Standing, side: int) -> Reason | None:
    if standing.low[..., side, :].any():
        return corners.why_short(states, side, low=True)
    if standing.high[..., side, :].any():
        return corners.why_short(states, side, low=False)
    if standing.turned_over[..., side, :].any():
        return _turned_over(corners.axle, side)
    return None


def _turned_over(axle: Axle, side: int) -> Reason:
    return Reason(Gap.CONTACT_REACHES_NO_FURTHER, axle.name, SIDE_NAMES[side])


@dataclass(frozen=True)
class _Chunk:
    """Some of a sweep's states, and which could not be reached and why (..., 2, S)."""

    stance: Stance
    low: Flags
    high: Flags
    turned_over: Flags


def _sweep(
    kind: SweepKind,
    shape: tuple[int, ...],
    corners: MovingAxle,
    part: Callable[[slice], _Chunk],
    outer_share: OuterShare,
    only: Collection[str] | None,
    asked: Mapping[str, Array],
) -> Sweep:
    """All numbers of a sweep, some states at a time: what these need stays in the processor's cache."""
    count = math.prod(shape)
    batch, rows = corners.axle.batch_shape, _rows(corners.axle, only)
    # One block for all numbers: many small arrays would each be handed out by the system page by page.
    height = sum(2 if isinstance(row, slice) else 1 for row in rows.values())
    block = np.empty((*batch, height, count), complex if corners.axle.has_tangents else float)
    values = {key: block[..., row, :] for key, row in rows.items()}
    whole = np.empty((*batch, count), dtype=bool)
    gaps = []
    for first in range(0, count, _STATES) if count else (0,):
        which = slice(first, min(first + _STATES, count))
        here = part(which)
        reached = np.asarray(~(here.low | here.high | here.turned_over).any(axis=-2))
        whole[..., which] = reached
        with undefined_tangents(corners.axle):
            for key, place in values.items():
                place[..., which] = QUANTITIES[key].read(here.stance)
        if not reached.all():
            np.copyto(block[..., which], np.nan, where=~reached[..., None, :])
        finite = leave_gaps(block[..., which])
        gaps.append(Gaps.none(*reached.shape) if finite is None else _gaps(corners, here, reached, finite, rows))
        assert finite is None or have_reasons(finite, gaps[-1])
    found = Gaps.joined(gaps).reshaped((*batch, *shape))
    shaped = {key: one.reshape((*one.shape[:-1], *shape)) for key, one in values.items()}
    return Sweep(corners.axle, kind, shape, shaped, whole.reshape((*batch, *shape)), found, outer_share, asked)


def _rows(axle: Axle, only: Collection[str] | None) -> dict[str, slice | int]:
    """Where each number of an axle stands in a block of all of them: one row, or one for each side."""
    rows: dict[str, slice | int] = {}
    next_row = 0
    for key, quantity in quantities_of(axle).items():
        if only is not None and key not in only:
            continue
        rows[key] = slice(next_row, next_row + 2) if quantity.per_side else next_row
        next_row += 2 if quantity.per_side else 1
    return rows


def undefined_tangents(axle: Axle) -> np.errstate:
    """While numbers are read: what is at infinity has no tangent, and becomes not a number where one is carried."""
    return np.errstate(invalid="ignore" if axle.has_tangents else "warn")


def _gaps(corners: MovingAxle, here: _Chunk, reached: Flags, there: Flags, rows: Mapping[str, slice | int]) -> Gaps:
    """Why something is missing, state by state; there: which numbers are finite (..., rows, S)."""
    axle, states = corners.axle, here.stance.states
    gaps = Gaps.none(*reached.shape)
    # Numbers that are missing though the state is reached, by row: mostly none.
    some = np.asarray((~there & reached[..., None, :]).any(axis=(*range(reached.ndim - 1), -1)))
    finite = {key: there[..., row, :] for key, row in rows.items() if some[row].any()}
    if "roll_centre_offset" in finite and "roll_centre_height" in rows:
        gone = reached & ~finite["roll_centre_offset"]
        gaps = gaps.put(gone, Reason(Gap.ROLL_CENTRE_AT_INFINITY, axle.name))
        level = there[..., rows["roll_centre_height"], :]
        gaps = gaps.put(gone & level, Reason(Gap.ONE_LEVEL_LINE, axle.name))
    for key, one in finite.items():
        all_there = one.all(axis=-2) if QUANTITIES[key].per_side else one
        gaps = gaps.fill(reached & ~all_there, Reason(Gap.NOT_FINITE, axle.name, number=key))
    if axle.batch_shape:
        return _of_many_cars(axle, here, gaps)
    for side in (RIGHT, LEFT):
        if here.low[side].any():
            gaps = gaps.put(here.low[side], corners.why_short(states, side, low=True))
        if here.high[side].any():
            gaps = gaps.put(here.high[side], corners.why_short(states, side, low=False))
        gaps = gaps.put(here.turned_over[side], _turned_over(axle, side))
    for where, reason in corners.told_apart(states, ~reached) if not reached.all() else ():
        gaps = gaps.put(where, reason)
    return gaps


def _of_many_cars(axle: Axle, here: _Chunk, gaps: Gaps) -> Gaps:
    """The same with each state that one of many cars does not reach: on which side, but not what holds it."""
    for side in (RIGHT, LEFT):
        gaps = gaps.put(here.low[..., side, :], Reason(Gap.NOT_REACHED, axle.name, SIDE_NAMES[side], low=True))
        gaps = gaps.put(here.high[..., side, :], Reason(Gap.NOT_REACHED, axle.name, SIDE_NAMES[side], low=False))
        gaps = gaps.put(here.turned_over[..., side, :], _turned_over(axle, side))
    return gaps
