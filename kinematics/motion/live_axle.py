"""A live axle: one beam carries both wheels, and where one goes the other is told of it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDES, Axle
from kinematics.motion.ground import LEVEL_TO, Attitude, Standing, brought_down, on_the_ground
from kinematics.motion.linkage import UPRIGHT, axle_linkage
from kinematics.motion.reasons import Gap, Reason
from kinematics.motion.states import CornerStates, Motion
from solvers.equations import Equations, equations
from solvers.mechanism import Mechanism
from solvers.moving import Reached, move
from solvers.positions import positions, row_twist
from solvers.routes import other_ways
from solvers.tangents import without_tangents
from solvers.vectors import Array, Flags, components_last, cross


@dataclass(frozen=True)
class LiveAxle:
    """A live axle as a mechanism of two freedoms, moved from where it was measured to every position asked for."""

    axle: Axle
    low: float = -100.0
    high: float = 100.0

    @cached_property
    def reach(self) -> tuple[Array, Array]:
        """Lowest and highest travel (..., 2) [mm] within low..high, both wheels moved together."""
        ends = np.broadcast_to([self.low, self.high], (*self.axle.batch_shape, 2, 2))
        reached = self._moved(ends).reached[..., None, :] * ends
        return reached[..., 0], reached[..., 1]

    @cached_property
    def mechanism(self) -> Mechanism:
        """Its joints, with an axis for positions."""
        return axle_linkage(self.axle).with_state_axis()

    @cached_property
    def rows(self) -> Equations:
        """Its equations."""
        return equations(self.mechanism)

    def at(self, travel: Array) -> CornerStates:
        """States at wheel travel (..., 2, S) [mm], bump positive."""
        asked = np.broadcast_to(travel, (*self.axle.batch_shape, *travel.shape[-2:]))
        return self.states(asked, *self._certain(asked))

    def stand(self, attitude: Attitude) -> Standing:
        """Find the travel of both wheels at which their contact points lie on level ground."""
        if self.axle.has_tangents:
            bare = LiveAxle(without_tangents(self.axle), self.low, self.high)
            return on_the_ground(self, bare.stand(attitude), attitude)
        half_track = self.axle.points["wheel_centre"][..., 1, None]
        heave = attitude.heave[..., None, :]
        expected = -(heave + half_track * attitude.sine)
        travel = np.broadcast_to(expected, (*self.axle.batch_shape, *expected.shape[-2:]))
        travel, states, height = brought_down(_Straight(self), travel, attitude)
        lost = ~np.stack([self._certain(travel)[1]] * 2, axis=-2)
        low = lost & (travel[..., [LEFT], :] + travel[..., [RIGHT], :] < 0.0)
        return Standing(travel, low, lost & ~low, states.reached & (np.abs(height) > LEVEL_TO))

    def told_apart(self, states: CornerStates, lost: Flags) -> Iterator[tuple[Flags, Reason]]:
        """States (S,) of those lost that have a reason of their own, with it: other ways lead there than the straight.

        For one axle.
        """
        travel = np.broadcast_to(states.travel, states.reached.shape)[..., lost]
        straight = self._moved(travel)
        ways = other_ways(self.mechanism, np.moveaxis(travel, -2, -1), straight, np.ones(travel.shape[-1], dtype=bool))
        for some, gap in ((ways.round_a_corner, Gap.ROUND_A_CORNER), (ways.forked, Gap.TWO_ASSEMBLIES)):
            where = np.zeros_like(lost)
            where[lost] = some
            yield where, Reason(gap, self.axle.name)

    def why_short(self, states: CornerStates, side: int, *, low: bool) -> Reason:
        """Where the linkage locks and which joints hold it there."""
        del side
        both = states.travel[..., LEFT, :] + states.travel[..., RIGHT, :]
        lost = ~states.reached[..., LEFT, :]
        if (lost & ((both < 0.0) == low)).any():
            lost &= (both < 0.0) == low
        asked = np.moveaxis(np.moveaxis(states.travel, -2, -1)[lost], -1, 0)
        chosen = asked[:, [np.argmin(np.abs(asked).max(axis=0))]]
        found = self._moved(chosen)
        share = found.share.reshape(-1, found.share.shape[-1])[0]
        blamed = tuple(self.mechanism.row_names[i] for i in np.argsort(-share) if share[i] > 0.5)[:3]
        left, right = (float(found.reached.reshape(-1)[0]) * chosen)[:, 0].tolist()
        gap = Gap.LOCKED if blamed else Gap.FOLLOWED_NO_FARTHER
        return Reason(gap, self.axle.name, low=low, travel=(left, right), joints=blamed)

    def straight(self, travel: Array) -> CornerStates:
        """The same as `at`, without a look at other ways to get there."""
        found = self._moved(travel)
        return self.states(travel, found, found.arrived)

    def _moved(self, travel: Array) -> Reached:
        return move(self.mechanism, np.moveaxis(travel, -2, -1))

    def _certain(self, travel: Array) -> tuple[Reached, Flags]:
        """Where the straight way leads (..., S), and where it arrived and no other way leads to another assembly.

        Other ways are asked for near a lock only. What was asked last is kept: standing on the ground asks twice.
        """
        key = travel.tobytes()
        if key not in self._last:
            found = self._moved(travel)
            doubtful, reached = found.arrived & found.hindered, found.arrived
            if doubtful.any():
                reached &= ~other_ways(self.mechanism, np.moveaxis(travel, -2, -1), found, doubtful).forked
            self._last.clear()
            self._last[key] = found, reached
        return self._last[key]

    @cached_property
    def _last(self) -> dict[bytes, tuple[Reached, Flags]]:
        return {}

    def states(self, travel: Array, found: Reached, reached: Flags) -> CornerStates:
        """States of poses found at wheel travel (..., 2, S), those reached being (..., S)."""
        rows, axle = self.rows, self.axle
        place, quaternion = (
            np.moveaxis(part, (-2, -1), (0, 1)) for part in (found.pose.position, found.pose.quaternion)
        )
        residual, jacobian = rows.evaluate(place, quaternion, np.moveaxis(travel, -2, 0))
        left, right = (row_twist(rows, jacobian, rows.guide_rows + side) for side in (LEFT, RIGHT))
        beam = positions(place, quaternion, left + right, reached, np.abs(residual).max(axis=0))
        both = replace(
            beam,
            position=_by_side(beam.position, 3),
            velocity=_by_side(beam.velocity, 3),
            spin=_by_side(beam.spin, 3),
            rotation=_by_side(beam.rotation, 4),
            quaternion=_by_side(beam.quaternion, 3),
            reached=np.stack([beam.reached] * 2, axis=-2),
            error=_by_side(beam.error, 1),
        )
        # Each side sees the beam by its own wheel centre.
        start = _by_side(self.mechanism.start.position[..., 0, :, :], 2)
        arm = axle.points["wheel_centre"] - start[..., UPRIGHT, :]
        start[..., UPRIGHT, :] += arm
        arm = (both.rotation[..., UPRIGHT, :, :] @ arm[..., None, :, None])[..., 0]
        both.position[..., UPRIGHT, :] += arm
        both.velocity[..., UPRIGHT, :] += cross(both.spin[..., UPRIGHT, :], arm)
        against = left[UPRIGHT] - right[UPRIGHT]
        speed, spin = (_by_side(components_last(part), 2) for part in (against[:3], against[3:]))
        side = SIDES[:, None, None]
        opposite = Motion(side * (speed + cross(spin, arm)), side * spin)
        return CornerStates(axle, travel, both, start, opposite)


@dataclass(frozen=True)
class _Straight:
    """A live axle moved without a look at other ways, while its travel is still sought."""

    live: LiveAxle

    def at(self, travel: Array) -> CornerStates:
        """States at wheel travel (..., 2, S)."""
        return self.live.straight(travel)


def _by_side(values: Array, behind: int) -> Array:
    """The same for both sides, on a new axis with that many axes behind it; a copy."""
    return np.stack([values, values], axis=-1 - behind)
