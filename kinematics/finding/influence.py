"""What each point does: how every number at ride height changes as a point moves in the part that carries it."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.uncertainty import WAYS
from kinematics.finding.means import Amount
from kinematics.finding.variants import variants
from kinematics.motion.moving_axle import moving
from kinematics.planning.changes import CHANGES, Change, points_moved
from kinematics.sweeps.body import sweep_bump
from solvers.tangents import seeded, tangent
from solvers.vectors import Array

_NONE = np.zeros(0)
_ROUNDING = 1e-15  # per mm; what no point moves comes out far below


@dataclass(frozen=True)
class Influence:
    """Slopes of every number of an axle at ride height, exact: by key (points, ways, [2]) [per mm].

    Both sides' points move alike, `out` outward on each; links keep their lengths, the ride height is kept, and toe and
    camber are put back by the adjusters that the car has. reached_by: for each point the kinds of change that move it.
    NaN where a number, or a way, does not exist.
    """

    axle: Axle
    points: tuple[str, ...]
    slopes: Mapping[str, Array]
    reached_by: Mapping[str, tuple[str, ...]]

    def ranked(self, key: str) -> list[tuple[str, str, float]]:
        """(point, way, slope) of one number, the largest first; of two sides the one that changes more."""
        slopes = self.slopes[key]
        if slopes.ndim == 3:
            larger = np.abs(slopes).argmax(axis=2)[..., None]
            slopes = np.take_along_axis(slopes, larger, axis=2)[..., 0]
        found = [(point, way, float(slopes[i, j])) for i, point in enumerate(self.points) for j, way in enumerate(WAYS)]
        return sorted((one for one in found if np.isfinite(one[2])), key=lambda one: -abs(one[2]))


def influence(axle: Axle) -> Influence:
    """Move every point of an axle ahead, out and up by an infinitesimal amount, all in one batch."""
    points = axle.suspension.keys
    ways = [(point, way) for point in points for way in np.eye(3)]
    amounts = [
        Amount(Change(axle.name, "point", shift=(float(a), float(o), float(u)), point=point), _NONE, _NONE, _NONE)
        for point, (a, o, u) in ways
    ]
    done = variants(axle, amounts, seeded(np.zeros(len(amounts))))
    sweep = sweep_bump(moving(done.axle, -1.0, 1.0), np.zeros(1))
    slopes = {}
    for key, values in sweep.values.items():
        own = tangent(values[..., 0])
        own = np.where(done.fits.all(axis=-1).reshape(-1, *[1] * (own.ndim - 1)), own, np.nan)
        own = np.where(np.abs(own) < _ROUNDING, 0.0, own)
        slopes[key] = own.reshape(len(points), 3, *own.shape[1:])
    return Influence(axle, tuple(points), slopes, _reached_by(axle.suspension))


def _reached_by(kind: SuspensionType) -> dict[str, tuple[str, ...]]:
    """Which kinds of change move which point, the general one last."""
    found: dict[str, tuple[str, ...]] = {}
    for point in kind.keys:
        kinds = [
            one.what
            for one in CHANGES.values()
            if not one.names_point and point in points_moved(Change("", one.what), kind)
        ]
        found[point] = (*kinds, "point")
    return found
