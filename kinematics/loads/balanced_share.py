"""Each axle's outer share of the lateral force as springs, bars and weights make it, where a car tells them."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from kinematics.car.car import LEFT, RIGHT, Car
from kinematics.car.limits import Limits
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.loads.equilibrium import balance
from kinematics.loads.readiness import NotReadyError, lacking
from kinematics.loads.report import whole_car
from kinematics.loads.setup import AxleSetup
from kinematics.loads.whole_car import WholeCar
from solvers.vectors import Array, Flags

_TRIED = 0.4 * GRAVITY  # m/s^2; the first cornering looked at, from which the one that leans as far as asked is told
_HARDEST = 1.2 * GRAVITY


def with_balanced_shares(limits: Limits, car: Car) -> Limits:
    """Limits whose outer shares come from the car's balance; as they are where a car does not tell enough for it."""
    if lacking(car):
        return limits
    try:
        whole = whole_car(car)
    except NotReadyError:
        return limits
    return replace(limits, outer_share_by_axle=balanced_shares(whole, limits.working.roll))


def balanced_shares(car: WholeCar, roll: float) -> Mapping[str, float]:
    """The outer wheel's part of each axle's lateral force with its springs leaning by `roll` [rad], by axle name.

    Tyres take lateral force in proportion to load, so the part is that of the load; mean of both ways to lean. `roll`
    is between body and hubs, as in a roll sweep: the tyres' own squash is no part of it. A car that leans less at the
    hardest cornering tried has its share carried on in a straight line; at most 1. Axles without a balance are left
    out.
    """
    tried, _, whether = _leant(car, np.full(2, _TRIED))
    with np.errstate(divide="ignore", invalid="ignore"):
        needed = np.clip(np.nan_to_num(_TRIED * roll / tried, nan=_TRIED), 0.0, _HARDEST)
    leant, excess, balanced = _leant(car, needed)
    known = whether & balanced & (leant > 0.0)
    share = np.clip(0.5 + excess * roll / np.where(known, leant, 1.0), 0.5, 1.0)
    return {setup.axle.name: float(share[index]) for index, setup in enumerate(car.axles) if known[index]}


def _leant(car: WholeCar, acceleration: Array) -> tuple[Array, Array, Flags]:
    """Lean of each axle's springs [rad] and its outer wheel's excess over one half, and where there is a balance (2,).

    acceleration: at which each axle is looked at (2,) [m/s^2].
    """
    found = balance(car, np.concatenate([acceleration, -acceleration]))
    left, right = found.load[:, LEFT], found.load[:, RIGHT]
    outwards = np.where(found.acceleration >= 0.0, 1.0, -1.0)
    excess = _own(0.5 * (right - left) / (right + left) * outwards).mean(axis=0)
    in_tyres = np.stack([squash(setup, right[axle] - left[axle]) for axle, setup in enumerate(car.axles)])
    leant = _own((found.roll - in_tyres) * outwards).mean(axis=0)
    return leant, excess, np.asarray(_own(np.broadcast_to(found.solved, left.shape)).all(axis=0))


def _own(values: np.ndarray) -> np.ndarray:
    """Each axle's values (2 axles, 2 ways and 2 axles looked at) in its own cornering, (2 ways, 2 axles)."""
    return np.diagonal(values.reshape(2, 2, 2), axis1=0, axis2=2)


def squash(setup: AxleSetup, moved: Array) -> Array:
    """Roll [rad] that an axle's tyres add by their squash, by the load of the right wheel less the left's (...) [N]."""
    if setup.loads.tyre_rate is None:
        return np.zeros_like(moved)
    contact = setup.axle.contact[..., 1]
    return np.asarray(moved / (setup.loads.tyre_rate * (contact[LEFT] - contact[RIGHT])))
