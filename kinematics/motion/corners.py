"""Independent corners: each wheel moves by itself, and its path is solved once and read at any travel."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle
from kinematics.car.suspension_type import Pair
from kinematics.motion.ground import LEVEL_TO, Attitude, Standing, brought_down, on_the_ground
from kinematics.motion.linkage import UPRIGHT, axle_linkage, link_name
from kinematics.motion.reasons import Gap, Reason
from kinematics.motion.states import CornerStates, Motion
from solvers.chebyshev import Series
from solvers.mechanism import Mechanism
from solvers.path import Path
from solvers.positions import motion_of_row, with_tangents
from solvers.rotations import matrix, rotate
from solvers.tangents import has_tangents, without_tangents
from solvers.tracing import trace
from solvers.vectors import Array, Flags, components_last

_DISC_LEFT_OUT = np.array([1e-11, 1e-14, 1e-14])  # mm and parts of one, of what puts the wheel on the ground to 1e-9
_FLAT = 1e-6  # square of the part of its radius that a wheel stands upright
_STANDS_TO = 1e-7  # mm; where rounding near a lock lets no step get nearer


@dataclass(frozen=True)
class Corners:
    """Both corners of an axle with the path of each upright traced over a range of travel."""

    axle: Axle
    path: Path

    @property
    def reach(self) -> tuple[Array, Array]:
        """Lowest and highest travel (..., 2) [mm] of what was traced."""
        return self.path.low, self.path.high

    def at(self, travel: Array) -> "CornerStates":
        """States at wheel travel (..., 2, S) [mm], bump positive."""
        path, rows, linkage = self.path, self.path.rows, self.path.mechanism
        carried = self.axle.has_tangents or has_tangents(travel)
        found = path.at(without_tangents(travel) if carried else travel)
        if carried:
            linkage = self._with_tangents
            found, rows = with_tangents(linkage.with_state_axis(), found, travel)

        def released(link: Pair) -> Motion:
            row = linkage.row_names.index(link_name(link))
            twist = None if carried else path.row_motion(row, travel)
            upright = (motion_of_row(rows, found, row) if twist is None else twist)[UPRIGHT]
            return Motion(components_last(upright[:3]), components_last(upright[3:]))

        return CornerStates(self.axle, travel, found, linkage.start.position, released=released)

    def stand(self, attitude: Attitude) -> Standing:
        """Find the travel of each corner at which its contact point lies on level ground."""
        if self.axle.has_tangents:
            bare = Corners(without_tangents(self.axle), self.path)
            return on_the_ground(self, bare.stand(attitude), attitude)
        path, disc = self.path, self.disc
        low, high = path.low[..., None], path.high[..., None]
        radius = self.axle.radius[..., None]
        centre_z = self.axle.points["wheel_centre"][..., 2, None]
        sine, cosine, heave = attitude.sine, attitude.cosine, attitude.heave[..., None, :]
        half_track = self.axle.points["wheel_centre"][..., 1, None]
        travel = np.clip(-(heave + half_track * sine), low, high)
        before: Array | float = 0.0
        for _ in range(12):
            values, slopes = disc.with_slopes(travel)
            lean = sine * values[..., 1, :] + cosine * values[..., 2, :]
            lean_slope = sine * slopes[..., 1, :] + cosine * slopes[..., 2, :]
            # Polynomials that are not quite good, near a lock, may lay a wheel down flat.
            upright = np.sqrt(np.maximum(1.0 - lean * lean, _FLAT))
            height = sine * values[..., 0, :] + cosine * (centre_z + travel) - radius * upright + heave
            slope = sine * slopes[..., 0, :] + cosine + radius * lean * lean_slope / upright
            step = height / slope
            wanted = travel - step
            travel = np.clip(wanted, low, high)
            inside = travel == wanted
            # Each step of Newton's is about the square of the one before times the same factor: so is the next. About,
            # as the factor changes on the way: a tenth is asked for.
            square = step * step
            done = (square <= LEVEL_TO**2) | (square * np.abs(step) <= 0.1 * LEVEL_TO * before)
            before = square
            if not (inside & ~done).any():
                break
        if not self.path.smooth or attitude.pitch is not None:
            return self._settled(travel, attitude)
        missed = ~(inside & done)
        above = height > 0.0
        return Standing(travel, missed & above & ~inside, missed & ~above & ~inside, missed & inside)

    def _settled(self, travel: Array, attitude: Attitude) -> Standing:
        """Travels found from polynomials that are not quite good, near a lock, brought to the ground by solving."""
        low, high = (end[..., None] for end in self.reach)
        travel, states, height = brought_down(self, travel, attitude, low, high)
        within = (travel > low) & (travel < high)
        off = ~states.reached | ~(np.abs(height) <= _STANDS_TO)
        above = height > 0.0
        at_low, at_high = ~within & above, ~within & ~above
        return Standing(travel, off & at_low, off & at_high, off & ~at_low & ~at_high)

    @cached_property
    def _with_tangents(self) -> Mechanism:
        """The linkage whose points carry tangents: the path is traced without."""
        return axle_linkage(self.axle)

    @cached_property
    def disc(self) -> Series:
        """Wheel-centre y, spin-axis y and z as polynomials of travel (..., 2, 3, nodes)."""
        pose = self.path.node_pose
        rotation = matrix(np.moveaxis(pose.quaternion[..., UPRIGHT, :], -1, 0))
        axis = rotate(rotation, np.moveaxis(self.axle.spin_axis[..., None, :], -1, 0))
        lateral = pose.position[..., UPRIGHT, 1]
        whole = self.path.fit(np.stack([lateral, axis[1], axis[2]], axis=-2))
        return whole.shortened(_DISC_LEFT_OUT) if self.path.smooth else whole

    def told_apart(self, states: CornerStates, lost: Flags) -> Iterator[tuple[Flags, Reason]]:
        """None: a corner has one path, and where that ends is its reason."""
        del states, lost
        yield from ()

    def why_short(self, _: CornerStates, side: int, *, low: bool) -> Reason:
        """Why a corner's path ends: at what travel it locks and which links hold it."""
        lock, travel = (self.path.lock_low, self.path.low) if low else (self.path.lock_high, self.path.high)
        share = lock.share.reshape(-1, 2, lock.share.shape[-1])[0, side]
        names = self.path.mechanism.row_names
        blamed = tuple(names[i] for i in np.argsort(-share) if share[i] > 0.5)[:3]
        where = (float(travel.reshape(-1, 2)[0, side]),)
        gap = Gap.LOCKED if blamed else Gap.FOLLOWED_NO_FARTHER
        return Reason(gap, self.axle.name, SIDE_NAMES[side], low, where, joints=blamed)


def trace_corners(axle: Axle, low: float, high: float) -> Corners:
    """Trace both corners of an axle over wheel travel low..high [mm], as far as the linkage goes."""
    bare = without_tangents(axle) if axle.has_tangents else axle
    return Corners(axle, trace(axle_linkage(bare), min(low, -1.0), max(high, 1.0)))
