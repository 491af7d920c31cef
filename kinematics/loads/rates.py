"""Motion ratios, wheel rates, roll stiffness, ride frequency and damping of an axle, over its travel.

A wheel rate is the change of the load on the contact point with that point's own vertical travel, the body level:
what a scale under the wheel, raised by a jack, would show. On a short swing arm the contact point goes up by much less,
or more, than the wheel centre.
"""

from dataclasses import dataclass

import numpy as np

from kinematics.car.car import LEFT, RIGHT
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.loads.movements import length_of, of_both_wheels
from kinematics.loads.setup import AxleSetup
from kinematics.motion.ground import Attitude, contact_points
from solvers.vectors import Array

_STEP = 0.25  # mm; fourth-order differences of exact derivatives: an error far below the rounding of a rate shown


@dataclass(frozen=True)
class Rates:
    """Rates at each wheel (2, S), with both wheels going together and, as `..._in_roll`, opposite ways.

    travel: (S,) [mm]. motion_ratio: spring compression per mm of travel, both of the wheel centre. wheel_rate: [N/mm],
    of load per mm that the contact point goes up, of springs, stops and all that changes with travel, without the bar,
    whose part is bar_in_roll. spring_force: [N], compression positive.
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
    bumped = _rate(no_bar, travel, both)
    rolled, with_bar = (_rate(one, travel, np.array([[1.0], [-1.0]])) for one in (no_bar, setup))
    return Rates(travel, -together, -against, bumped, rolled, with_bar - rolled, here.spring)


def _modes(slope: Array) -> tuple[Array, Array]:
    """Derivatives of each side's length (2, S) for both wheels together, and for its own up and the other down."""
    own = np.stack([slope[LEFT, LEFT], slope[RIGHT, RIGHT]])
    other = np.stack([slope[LEFT, RIGHT], slope[RIGHT, LEFT]])
    return own + other, own - other


def _rate(setup: AxleSetup, travel: Array, way: Array) -> Array:
    """Change of the loads per mm that their contact points go up (2, S), as wheels go a way (2, 1) from travel (S,)."""
    steps = _STEP * np.array([-2.0, -1.0, 1.0, 2.0])
    asked = travel[:, None] + way[..., None] * steps
    load, height = (values.reshape(asked.shape) for values in _held(setup, asked.reshape(2, -1)))
    weights = np.array([1.0, -8.0, 8.0, -1.0])
    # Beside the end of an axle's reach there is no slope: not a number.
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray((load @ weights) / (height @ weights))


def _held(setup: AxleSetup, travel: Array) -> tuple[Array, Array]:
    """Loads on the contact points (2, S) [N] that hold the wheels at a travel (2, S), and how high these points are."""
    states = setup.moving.at(travel)
    contact = contact_points(states, Attitude(np.zeros(1), np.zeros(1)).normal)
    # Sides, then the wheel that travels.
    (a, c), (b, d) = of_both_wheels(states, contact)[..., 2]
    hub = of_both_wheels(states, states.wheel_centre)[..., 2]
    weight = setup.loads.unsprung[:, None, None] * GRAVITY
    e, f = (weight * hub).sum(axis=0) - setup.forces(states).along_travel
    return np.stack([d * e - b * f, a * f - c * e]) / (a * d - b * c), contact[..., 2]


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


def axle_roll(setup: AxleSetup, at_rest: Rates | None = None) -> AxleRoll:
    """Roll stiffness of an axle at ride height: wheel rate times half the track squared, both sides.

    at_rest: its rates there alone, where they are known already.
    """
    found = at_rest or rates(setup, np.zeros(1))
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


def ride(setup: AxleSetup, at_rest: Rates | None = None) -> Ride:
    """Ride of one axle, mean of both sides: f = sqrt(k / m) / (2 pi), with the tyre in series.

    at_rest: its rates at ride height alone, where they are known already.
    """
    found = at_rest or rates(setup, np.zeros(1))
    wheel = float(found.wheel_rate.mean())
    tyre = setup.loads.tyre_rate
    whole = in_series(wheel, tyre)
    mass = setup.loads.sprung_mass / 2.0
    damping = None
    if setup.loads.damper is not None and wheel > 0.0:
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
    """Natural frequency [Hz] of a mass [kg] on a rate [N/mm]; not a number where the rate gives way."""
    return float(np.sqrt(rate * 1e3 / mass) / (2.0 * np.pi)) if rate >= 0.0 else float("nan")
