"""Follow a mechanism from its start to asked driver values, never leaving its own assembly.

Every position is reached along a straight ray of driver values from the start: by equal strides where the end and the
start certify that no fold lies between them (see `certificate`), which is everywhere but near a lock. There it goes by
steps as short as it takes, each of which counts only if Newton converges close to its prediction, the determinant of
the Jacobian keeps its sign, and both ends of the step certify the same.
Where steps shrink to nothing the linkage locks; the position there and its singular Jacobian are kept.

Tangents that a mechanism or its driver values carry (see `tangents`) ride along: the way is found without them,
and they are carried over to the pose at its end.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from solvers.certificate import continuous, no_fold_between, reach_of, same_branch
from solvers.elimination import PivotOrder, shared_order, solve_many
from solvers.equations import Equations, equations, start_pose
from solvers.mechanism import Mechanism, Pose
from solvers.newton import Solved, moved, newton
from solvers.reference import solve_by_scipy
from solvers.tangents import has_tangents, without_tangents
from solvers.vectors import Array, Flags, Index

_LONGEST = 30.0  # mm of driver displacement in one step
_SHORTEST = 2e-4  # mm; where steps must be shorter than this the linkage counts as locked
# A linkage measured beside a lock leaves it by steps no longer than its distance from there.
_SHORTEST_OF_WAY = 0.1  # part of the way gone
_SHORTEST_AT_START = 1e-8  # mm
_MOST_ROUNDS = 500  # of steps; what creeps on after so many counts as locked where it stands
_MOST_ITERATIONS = 5  # of Newton's in a step that may still be made shorter
_MOST_EVALUATIONS = 25  # by SciPy: as near as it is asked it gets there in a dozen, or the linkage locks
_OFF_COURSE = 0.25  # a correction longer than this part of the step is not trusted
_NEAR = 1e-3  # rad, and mm per mm of reach: corrections below it are never off course


@dataclass(frozen=True)
class Reached:
    """Where a mechanism got to, in the batch shape asked for.

    reached: part of the way to the asked driver values (...), 1 where it arrived.
    pose: there. share: where it did not arrive, the force in each guiding row that holds against the
    drivers (..., rows), the largest being 1: it names the links to blame; zeros where it arrived. Where
    there are no guides, the same for the drivers. hindered: where a step had to be shortened on the way (...), as near
    a lock.
    """

    pose: Pose
    reached: Array
    share: Array
    hindered: Flags

    @property
    def arrived(self) -> Flags:
        """Whether the asked values were reached (...)."""
        return self.reached >= 1.0


def move(mechanism: Mechanism, values: Array) -> Reached:
    """Move a mechanism to driver values (..., drivers), displacements from its start.

    The leading axes must broadcast with the mechanism's own batch axes.
    """
    if mechanism.has_tangents or has_tangents(values):
        found = move(without_tangents(mechanism), without_tangents(values))
        return replace(found, pose=with_tangents(mechanism, found.pose, values))
    shape = np.broadcast_shapes(mechanism.batch_shape, values.shape[:-1])
    driven = np.broadcast_to(values, (*shape, values.shape[-1])).reshape(-1, values.shape[-1]).T
    rows = equations(mechanism).flattened(shape)
    start, turned = (part.reshape(*part.shape[:2], -1) for part in start_pose(mechanism, shape))
    position, quaternion, reached, hindered = follow(rows, start, turned, driven)
    pose = Pose(
        np.moveaxis(position, -1, 0).reshape(*shape, len(position), 3),
        np.moveaxis(quaternion, -1, 0).reshape(*shape, len(quaternion), 4),
    )
    counted = rows.guide_rows or rows.rows  # where every row drives, the drivers hold each other
    share = np.zeros((reached.size, counted))
    short = reached < 1.0
    if short.any():
        _, jacobian = rows.take(short).evaluate(position[..., short], quaternion[..., short], driven[:, short])
        share[short] = _shares(jacobian, rows.guide_rows, driven[:, short])
    return Reached(pose, reached.reshape(shape), share.reshape(*shape, counted), hindered.reshape(shape))


def with_tangents(mechanism: Mechanism, pose: Pose, values: Array) -> Pose:
    """Give a pose reached with driver values (..., drivers) the tangents that the mechanism and these values carry.

    The implicit function theorem: one linear solve with the Jacobian there. Nearer a lock they grow without bound.
    """
    position, quaternion = (np.moveaxis(part, (-2, -1), (0, 1)) for part in (pose.position, pose.quaternion))
    shape = position.shape[2:]
    rows = equations(mechanism).flattened(shape)
    driven = np.broadcast_to(values, (*shape, values.shape[-1])).reshape(-1, values.shape[-1]).T
    position, quaternion = (part.reshape(*part.shape[:2], -1) for part in (position, quaternion))
    residual, jacobian = rows.evaluate(position, quaternion, driven)
    step: Any = solve_many(jacobian, -residual[:, None]).solution[:, 0]
    position, quaternion = moved(position, quaternion, 1j * step.imag)
    return Pose(
        np.moveaxis(position, -1, 0).reshape(*shape, len(position), 3),
        np.moveaxis(quaternion, -1, 0).reshape(*shape, len(quaternion), 4),
    )


def follow(
    rows: Equations, position: Array, quaternion: Array, driven: Array, origin: Array | float = 0.0
) -> tuple[Array, Array, Array, Flags]:
    """Flattened form of `move`: poses at the N asked positions, the part of the way reached (N,), and where hindered.

    driven: displacements (drivers, N) from the drivers' values at the poses to begin with, `origin`.
    """
    origin = np.broadcast_to(origin, driven.shape)
    ends = _by_strides(rows, position, quaternion, driven, origin)
    hindered = ~ends.certain
    reached = np.ones(driven.shape[-1])
    if hindered.any():
        some = position[..., hindered], quaternion[..., hindered], driven[:, hindered], origin[:, hindered]
        placed = _by_certain_steps(rows.take(hindered), *some)
        ends.position[..., hindered], ends.quaternion[..., hindered], reached[hindered] = placed
    return ends.position, ends.quaternion, reached, hindered


@dataclass(frozen=True)
class _Ends:
    """Poses at the end of a way, and where they are certain to be on the branch that was begun on (N,)."""

    position: Array
    quaternion: Array
    certain: Flags


def _by_strides(rows: Equations, position: Array, quaternion: Array, driven: Array, origin: Array) -> _Ends:
    """Go by equal strides, and hold the end against the start: enough where no lock is near.

    Where a stride fails, or the end does not certify that no fold lies between it and the start, nothing is certain.
    """
    farthest = np.abs(driven).max(axis=0, initial=0.0)
    strides = np.maximum(1, np.ceil(farthest / _LONGEST)).astype(int)
    ends = _Ends(position.copy(), quaternion.copy(), np.zeros(len(strides), dtype=bool))
    active = np.arange(len(strides))
    walk = _Walk.begin(rows, position, quaternion, driven, origin)
    done = 0
    while active.size:
        part, done = 1.0 / strides[active], done + 1
        last = strides[active] == done
        good, jacobian = walk.stride(done * part, part, last)
        end = last & good
        arrived = active[end]
        ends.position[..., arrived], ends.quaternion[..., arrived] = walk.position[..., end], walk.quaternion[..., end]
        if end.any():
            start = walk.jacobian[..., end], walk.sign[end]
            ends.certain[arrived] = same_branch(jacobian[..., end], *start, walk.order)
        active, walk = active[good & ~last], walk.take(good & ~last)
    return ends


def _by_certain_steps(
    rows: Equations, position: Array, quaternion: Array, driven: Array, origin: Array
) -> tuple[Array, Array, Array]:
    """Go by steps each of which certifies itself, as short as it takes: poses and the part of the way reached."""
    count = driven.shape[-1]
    position, quaternion = position.copy(), quaternion.copy()
    reached = np.zeros(count)
    farthest = np.maximum(np.abs(driven).max(axis=0, initial=0.0), 1e-300)
    longest = np.minimum(1.0, _LONGEST / farthest)
    part = 1.0 / np.ceil(1.0 / longest)
    active = np.arange(count)
    walk = _Walk.begin(rows, position, quaternion, driven, origin)
    for _ in range(_MOST_ROUNDS):
        if not active.size:
            break
        part_now = np.minimum(part[active], 1.0 - reached[active])
        gone = _SHORTEST_OF_WAY * reached[active] * farthest[active]
        shortest = np.clip(gone, _SHORTEST_AT_START, _SHORTEST) / farthest[active]
        good = walk.step(reached[active], part_now, part_now < 4.0 * shortest)
        # Stepping with equal parts may end a rounding short of one.
        ahead = reached[active] + part_now
        reached[active] = np.where(good, np.where(ahead > 1.0 - 1e-12, 1.0, ahead), reached[active])
        position[..., active], quaternion[..., active] = walk.position, walk.quaternion
        part[active] = np.where(good, np.minimum(2.0 * part_now, longest[active]), 0.25 * part_now)
        still = (reached[active] < 1.0) & (part[active] >= shortest)
        if not still.all():
            active = active[still]
            walk = walk.take(still)
    return position, quaternion, reached


@dataclass
class _Walk:
    """The positions still under way: pose, exact twist per part of the ray, and the one before.

    jacobian: what the next step is held against.
    """

    rows: Equations
    position: Array
    quaternion: Array
    driven: Array
    origin: Array
    twist: Array
    earlier_twist: Array
    earlier_part: Array
    sign: Array
    jacobian: Array
    reach: Array
    order: PivotOrder | None

    @classmethod
    def begin(cls, rows: Equations, position: Array, quaternion: Array, driven: Array, origin: Array) -> "_Walk":
        _, jacobian = rows.evaluate(position, quaternion, np.zeros_like(driven))
        order = shared_order(jacobian)
        twist, sign = twist_of(rows, jacobian, driven, order)
        reach, none = reach_of(jacobian), np.ones(driven.shape[-1])
        return cls(rows, position, quaternion, driven, origin, twist, twist, none, sign, jacobian, reach, order)

    def take(self, chosen: Index) -> "_Walk":
        return _Walk(
            self.rows.take(chosen),
            self.position[..., chosen],
            self.quaternion[..., chosen],
            self.driven[:, chosen],
            self.origin[:, chosen],
            self.twist[:, chosen],
            self.earlier_twist[:, chosen],
            self.earlier_part[chosen],
            self.sign[chosen],
            self.jacobian[..., chosen],
            self.reach[chosen],
            self.order,
        )

    def stride(self, ahead: Array, part: Array, last: Flags) -> tuple[Flags, Array]:
        """Advance each position by a part of the ray, to `ahead` of it; return where that went well, and Jacobians.

        last: where no twist is needed any more.
        """
        guess, length = self._guess(part)
        solved = newton(self.rows, *guess, self.origin + self.driven * ahead, order=self.order)
        good = solved.converged & _on_course(guess, solved, length)
        self.position, self.quaternion = solved.position, solved.quaternion
        self.earlier_twist, self.earlier_part = self.twist, part
        if not last.all():
            self.twist, sign = twist_of(self.rows, solved.jacobian, self.driven, self.order)
            good &= sign == self.sign
        return good, solved.jacobian

    def _guess(self, part: Array) -> tuple[tuple[Array, Array], Array]:
        """Poses a part of the ray further on, and the motion to there."""
        bend = (self.twist - self.earlier_twist) * (0.5 * part**2 / self.earlier_part)
        length = self.twist * part + bend
        return moved(self.position, self.quaternion, length), length

    def step(self, reached: Array, part: Array, short: Flags) -> Flags:
        """Advance each position by its part of the ray where that can be trusted; return where it was.

        short: where a shorter step would not help any more (N,).
        """
        guess, stride = self._guess(part)
        target = self.origin + self.driven * (reached + part)
        solved = newton(self.rows, *guess, target, order=self.order, most_iterations=_MOST_ITERATIONS)
        # SciPy is asked only where a shorter step would not help any more, and where there may be something to find.
        last_try = ~solved.converged & short
        chosen = np.flatnonzero(last_try)
        chosen = chosen[~self._folds(chosen, part)]
        if chosen.size:
            solved = self._rescued(solved, guess, target, chosen)
        twist, sign, ratio = _twist_and_ratio(self.rows, solved.jacobian, self.driven, self.jacobian, self.order)
        good = solved.converged & (sign == self.sign) & _on_course(guess, solved, stride)
        here, there = (self.position, self.quaternion), (solved.position, solved.quaternion)
        good &= continuous(here, there, (part * self.twist, part * twist), self.reach)
        good &= no_fold_between(ratio)
        self.position = np.where(good, solved.position, self.position)
        self.quaternion = np.where(good, solved.quaternion, self.quaternion)
        self.earlier_twist = np.where(good, self.twist, self.earlier_twist)
        self.earlier_part = np.where(good, part, self.earlier_part)
        self.twist = np.where(good, twist, self.twist)
        self.jacobian = np.where(good, solved.jacobian, self.jacobian)
        return np.asarray(good)

    def _folds(self, chosen: Index, part: Array) -> Flags:
        """Whether a path turns back within a part of its ray: there the twist grows as one over a square root."""
        now, before = (1.0 / (twist[:, chosen] ** 2).sum(axis=0) for twist in (self.twist, self.earlier_twist))
        return np.asarray(now + (now - before) * part[chosen] / self.earlier_part[chosen] < 0.0)

    def _rescued(self, solved: Solved, guess: tuple[Array, Array], target: Array, chosen: Index) -> Solved:
        for one in chosen:
            here = np.array([one])
            begin = guess[0][..., here], guess[1][..., here]
            by_scipy = solve_by_scipy(self.rows.take(here), *begin, target[:, here], _MOST_EVALUATIONS)
            if by_scipy.converged[0]:
                solved.position[..., one] = by_scipy.position[..., 0]
                solved.quaternion[..., one] = by_scipy.quaternion[..., 0]
                solved.jacobian[..., one] = by_scipy.jacobian[..., 0]
                solved.converged[one] = True
        return solved


def twist_of(rows: Equations, jacobian: Array, driven: Array, order: PivotOrder | None) -> tuple[Array, Array]:
    """Motion of all bodies per part of the ray (6 * bodies, N) and the determinant's sign (N,)."""
    right = np.zeros((rows.rows, 1, driven.shape[-1]))
    right[rows.guide_rows :, 0] = driven
    solved = solve_many(jacobian, right, order)
    return solved.solution[:, 0], solved.sign


def _twist_and_ratio(
    rows: Equations, jacobian: Array, driven: Array, before: Array, order: PivotOrder | None
) -> tuple[Array, Array, Array]:
    """Twist and sign, and the inverse of this Jacobian times the one before it (rows, 6 bodies, N)."""
    right = np.zeros((rows.rows, 1 + rows.rows, driven.shape[-1]))
    right[rows.guide_rows :, 0] = driven
    right[:, 1:] = before
    solved = solve_many(jacobian, right, order)
    return solved.solution[:, 0], solved.sign, solved.solution[:, 1:]


def _on_course(guess: tuple[Array, Array], solved: Solved, stride: Array) -> Flags:
    by_body = stride.reshape(len(solved.position), 6, -1)
    travelled = np.sqrt((by_body[:, :3] ** 2).sum(axis=1))
    turned = np.sqrt((by_body[:, 3:] ** 2).sum(axis=1))
    shift = np.sqrt(((solved.position - guess[0]) ** 2).sum(axis=1))
    # |q - q'| is half the angle between two nearby orientations.
    turn = 2.0 * np.sqrt(((solved.quaternion - guess[1]) ** 2).sum(axis=1))
    near = (shift < _OFF_COURSE * travelled + 1e3 * _NEAR) & (turn < _OFF_COURSE * turned + _NEAR)
    return np.asarray(near.all(axis=0))


def _shares(jacobian: Array, guide_rows: int, driven: Array) -> Array:
    """Relative force in each guiding row that holds against a push along the drivers (N, guide rows), largest 1.

    At a lock the guides alone can balance that push. Where every row drives, the drivers hold each other: their
    forces are then the left null vector, (N, rows).
    """
    stacked = np.moveaxis(jacobian, -1, 0)
    # Moments in units of a typical arm, so that they weigh no more than the forces.
    by_kind = stacked.reshape(*stacked.shape[:2], -1, 2, 3)
    by_kind = by_kind / np.sqrt((by_kind**2).mean(axis=(1, 2, 4), keepdims=True))
    lines = by_kind.reshape(stacked.shape)
    if guide_rows:
        push = np.swapaxes(lines[:, guide_rows:], 1, 2) @ driven.T[..., None]
        forces = np.abs(np.linalg.pinv(np.swapaxes(lines[:, :guide_rows], 1, 2)) @ push)[..., 0]
    else:
        forces = np.abs(np.linalg.svd(lines)[0][..., -1])
    return np.asarray(forces / np.maximum(forces.max(axis=1, keepdims=True), 1e-300))
