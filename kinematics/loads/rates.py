"""Motion ratios, wheel rates, roll stiffness, ride frequency and damping of an axle, over its travel."""

from dataclasses import dataclass

import numpy as np

from kinematics.car.car import LEFT, RIGHT
from kinematics.loads.movements import length_of
from kinematics.loads.setup import AxleSetup, Forces
from solvers.vectors import Array

_STEP = 0.25  # mm; fourth-order differences of exact derivatives: an error far below the rounding of a rate shown


@dataclass(frozen=True)
class Rates:
    """Rates at each wheel (2, S), with both wheels going together and, as `..._in_roll`, opposite ways.

    travel: (S,) [mm]. motion_ratio: spring compression per mm of travel. wheel_rate: [N/mm], of springs, stops and the
    ratio's change with travel, without the bar, whose part is bar_in_roll. spring_force: [N], compression positive.
    """

    travel: Array
    motion_ratio: Array
    motion_ratio_in_roll: Array
    wheel_rate: Array
    wheel_rate_in_roll: Array
    bar_in_roll: Array
    spring_force: Array


def rates(setup: AxleSetup, travel: Array) -> Rates:
    """Rates at travel of both wheels (S,) [mm], bump positive."""
    both = np.ones((2, 1))
    here = setup.forces(setup.moving.at(both * travel))
    slope = here.length.slope
    together, against = _modes(slope)
    no_bar = setup.with_bar(np.zeros_like(setup.bar))
    bumped = -_difference(no_bar, travel, both)
    rolled = -_difference(no_bar, travel, np.array([[1.0], [-1.0]])) * [[1.0], [-1.0]]
    with_bar = -_difference(setup, travel, np.array([[1.0], [-1.0]])) * [[1.0], [-1.0]]
    return Rates(travel, -together, -against, bumped, rolled, with_bar - rolled, here.spring)


def _modes(slope: Array) -> tuple[Array, Array]:
    """Derivatives of each side's length (2, S) for both wheels together, and for its own up and the other down."""
    own = np.stack([slope[LEFT, LEFT], slope[RIGHT, RIGHT]])
    other = np.stack([slope[LEFT, RIGHT], slope[RIGHT, LEFT]])
    return own + other, own - other


def _difference(setup: AxleSetup, travel: Array, way: Array) -> Array:
    """Change of the forces along travel (2, S) per mm, as the wheels go a way (2, 1) from travel (S,)."""

    def force(steps: float) -> Array:
        found: Forces = setup.forces(setup.moving.at(travel + way * (steps * _STEP)))
        return found.along_travel

    return np.asarray((force(-2.0) - 8.0 * force(-1.0) + 8.0 * force(1.0) - force(2.0)) / (12.0 * _STEP))


@dataclass(frozen=True)
class AxleRoll:
    """Roll stiffness of springs, bar and tyres (None if rigid) at ride height [N mm/rad], and track [mm]."""

    springs: float
    bar: float
    tyres: float | None
    track: float

    @property
    def stiffness(self) -> float:
        """Springs and bar in parallel, in series with the tyres [N mm/rad]."""
        suspension = self.springs + self.bar
        return suspension if self.tyres is None else 1.0 / (1.0 / suspension + 1.0 / self.tyres)


def axle_roll(setup: AxleSetup) -> AxleRoll:
    """Roll stiffness of an axle at ride height: wheel rate times half the track squared, both sides."""
    found = rates(setup, np.zeros(1))
    contact = setup.axle.contact[..., 1]
    track = float(contact[LEFT] - contact[RIGHT])
    half_squared = track**2 / 4.0
    springs = float(found.wheel_rate_in_roll.sum()) * half_squared
    bar = float(found.bar_in_roll.sum()) * half_squared
    tyre = setup.loads.tyre_rate
    return AxleRoll(springs, bar, None if tyre is None else 2.0 * tyre * half_squared, track)


@dataclass(frozen=True)
class Ride:
    """Wheel rate and ride rate [N/mm], frequency [Hz] of the sprung mass, damping ratio (None without a damper)."""

    wheel_rate: float
    ride_rate: float
    frequency: float
    damping: float | None


def ride(setup: AxleSetup) -> Ride:
    """Ride of one axle, mean of both sides: f = sqrt(k / m) / (2 pi), with the tyre in series."""
    found = rates(setup, np.zeros(1))
    wheel = float(found.wheel_rate.mean())
    tyre = setup.loads.tyre_rate
    whole = in_series(wheel, tyre)
    mass = setup.loads.sprung_mass / 2.0
    damping = None
    if setup.loads.damper is not None:
        line, rate = setup.loads.damper
        states = setup.moving.at(np.zeros((2, 1)))
        ratio, _ = _modes(length_of(line, states).slope)
        # N s/mm to N s/m, and the wheel rate from N/mm to N/m.
        damping = float((ratio**2).mean()) * rate * 1e3 / (2.0 * np.sqrt(wheel * 1e3 * mass))
    return Ride(wheel, whole, frequency(whole, mass), damping)


def in_series(one: float, other: float | None) -> float:
    """Two rates [N/mm] in series; None stands for rigid."""
    return one if other is None else one * other / (one + other)


def frequency(rate: float, mass: float) -> float:
    """Natural frequency [Hz] of a mass [kg] on a rate [N/mm]."""
    return float(np.sqrt(rate * 1e3 / mass) / (2.0 * np.pi))
