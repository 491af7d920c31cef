"""Toe that a gauge should show with the wheels moved up and down from ride height, on an axle as a plan leaves it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import Axle
from kinematics.doubt.assessment import perturbed_axles
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.plans import Plan, axle_after
from kinematics.sweeps.body import sweep_bump
from solvers.spread import slopes
from solvers.tangents import seeded
from solvers.vectors import Array

_TOE = frozenset({"toe"})


@dataclass(frozen=True)
class ToeChange:
    """Change of each wheel's toe since ride height (2, T) [rad] at travels (T,) [mm, bump positive].

    known_to: one standard deviation of what is planned, None where the car file does not say how well it was measured.
    """

    travel: Array
    planned: Array
    as_measured: Array
    known_to: Array | None


def toe_change(
    measured: Axle, plan: Plan, base: float | None, changed: ChangedAxle, travels: Sequence[float]
) -> ToeChange:
    """What a gauge shows on an axle after a settled plan, both wheels moved, where all that is compared is reached."""
    travel = np.array([0.0, *travels])
    planned, before = (_since_rest(axle, travel) for axle in (changed.axle, measured))
    there = np.isfinite(planned).all(axis=0) & np.isfinite(before).all(axis=0)
    known_to = None
    if measured.doubt is not None:
        sources = seeded(np.zeros(len(measured.doubt.sources)))
        cars, _ = axle_after(perturbed_axles(measured, measured.doubt, sources), plan, base)
        known_to = slopes({"toe": _since_rest(cars, travel)})["toe"].standard_deviation
        there &= np.isfinite(known_to).all(axis=0)
        known_to = known_to[:, there]
    return ToeChange(travel[1:][there], planned[:, there], before[:, there], known_to)


def _since_rest(axle: Axle, travel: Array) -> Array:
    """Toe at travels (T + 1,), the first of them none, less that at rest (..., 2, T) [rad]."""
    toe = sweep_bump(axle, travel, only=_TOE)["toe"]
    return np.asarray(toe[..., 1:] - toe[..., :1])
