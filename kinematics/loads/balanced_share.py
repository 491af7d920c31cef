"""Each axle's outer share of the lateral force as springs, bars and weights make it, where a car tells them."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from kinematics.car.car import LEFT, RIGHT, Car
from kinematics.car.limits import Limits
from kinematics.car.parts_known import parts_told, shifted
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.loads.equilibrium import Answer, Balance, answer_of, balance, balance_beside
from kinematics.loads.readiness import NotReadyError, lacking
from kinematics.loads.report import whole_car
from kinematics.loads.setup import AxleSetup, calibrated
from kinematics.loads.whole_car import WholeCar
from solvers.vectors import Array, Flags

_TRIED = 0.4 * GRAVITY  # m/s^2; the first cornering looked at, from which the one that leans as far as asked is told
_HARDEST = 1.2 * GRAVITY
_NO_SHIFT = 1e-9  # of a share: rounding


def with_balanced_shares(limits: Limits, car: Car) -> Limits:
    """Limits whose outer shares come from the car's balance; as they are where a car does not tell enough for it."""
    if lacking(car):
        return limits
    try:
        whole = whole_car(car)
    except NotReadyError:
        return limits
    shares = balanced_shares(whole, limits.working.roll)
    known_to = shares_known_to(car, whole, limits.working.roll) if shares else {}
    return replace(limits, outer_share_by_axle=shares, outer_share_known_to=known_to)


def balanced_shares(car: WholeCar, roll: float) -> Mapping[str, float]:
    """The outer wheel's part of each axle's lateral force with its springs leaning by `roll` [rad], by axle name.

    Tyres take lateral force in proportion to load, so the part is that of the load; mean of both ways to lean. `roll`
    is between body and hubs, as in a roll sweep: the tyres' own squash is no part of it. A car that leans less at the
    hardest cornering tried has its share carried on in a straight line; at most 1. Axles without a balance are left
    out.
    """
    share = _shares(car, _leaning(car, roll, lambda acceleration, _: balance(car, acceleration)), roll)
    return {setup.axle.name: float(one) for setup, one in zip(car.axles, share, strict=True) if np.isfinite(one)}


def shares_known_to(car: Car, whole: WholeCar, roll: float) -> Mapping[str, Mapping[str, float]]:
    """How far a standard deviation of each part that the owner says it of shifts the balanced shares, by axle.

    To first order: half of what the shares with it more and less differ by, each one step of Newton's from a balance
    that is known. Parts without influence are left out. The doubt of points is not in it.
    """
    told = parts_told(car)
    if not told:
        return {}
    known: list[tuple[Balance, Answer]] = []

    def balanced(acceleration: Array, _: int) -> Balance:
        found = balance(whole, acceleration)
        known.append((found, answer_of(whole, found)))
        return found

    _leaning(whole, roll, balanced)

    def shares(other: Car) -> Array:
        near = _near(whole, other)

        def beside(acceleration: Array, step: int) -> Balance:
            found, answer = known[step]
            return balance_beside(near, replace(found, acceleration=acceleration), answer)

        return _shares(near, _leaning(near, roll, beside), roll)

    shifts: dict[str, dict[str, float]] = {setup.axle.name: {} for setup in whole.axles}
    for part, known_to in told:
        more, less = (shares(shifted(car, part, sign * known_to)) for sign in (1.0, -1.0))
        for name, by in zip(shifts, (more - less) / 2.0, strict=True):
            if abs(by) > _NO_SHIFT:
                shifts[name][str(part)] = float(by)
    return shifts


def _near(whole: WholeCar, other: Car) -> WholeCar:
    """Another car whose axles are calibrated anew where their loads are not those of this one."""
    front, rear = (
        own if axle.loads is own.axle.loads else calibrated(axle)
        for axle, own in zip(other.axles, whole.axles, strict=True)
    )
    body = other.body
    assert body.centre_of_gravity is not None  # a car that is ready tells them
    assert body.wheelbase is not None
    return WholeCar(front, rear, float(body.centre_of_gravity), body.wheelbase)


def _leaning(car: WholeCar, roll: float, balanced: Callable[[Array, int], Balance]) -> tuple[Balance, Flags]:
    """The car in balance where each axle's springs lean by `roll`, both ways; and whether each has led there (2,).

    balanced: finds it at accelerations (4,) [m/s^2], in a first and in a second step.
    """
    trying = np.full(2, _TRIED)
    tried, _, whether = _leant(car, balanced(np.concatenate([trying, -trying]), 0))
    with np.errstate(divide="ignore", invalid="ignore"):
        needed = np.clip(np.nan_to_num(_TRIED * roll / tried, nan=_TRIED), 0.0, _HARDEST)
    return balanced(np.concatenate([needed, -needed]), 1), whether


def _shares(car: WholeCar, leaning: tuple[Balance, Flags], roll: float) -> Array:
    """Each axle's outer share (2,), NaN without a balance."""
    found, whether = leaning
    leant, excess, balanced = _leant(car, found)
    known = whether & balanced & (leant > 0.0)
    return np.where(known, np.clip(0.5 + excess * roll / np.where(known, leant, 1.0), 0.5, 1.0), np.nan)


def _leant(car: WholeCar, found: Balance) -> tuple[Array, Array, Flags]:
    """Lean of each axle's springs [rad] and its outer wheel's excess over one half, and where there is a balance (2,).

    found: the car in balance, front and rear axle looked at in cornering one way, then the other (4,).
    """
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
