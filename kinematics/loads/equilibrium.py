"""Where the car sits and leans, from physics: springs, bars, weights, tyres and moving linkages in balance.

Quasi-static: steady lateral acceleration, to the left positive. The unknowns are the body's height at each axle, its
roll, and the travel of every wheel; pitch turns nothing. Each wheel carrier is in balance along its travel (virtual
work, so links carry what their motion says, jacking included), and so is the whole car in height at each axle and in
roll. Each tyre takes a lateral force in proportion to its load and is a vertical spring, or rigid. A wheel that would
pull on the ground has left it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinematics.car.car import LEFT, RIGHT
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.loads.movements import of_both_wheels
from kinematics.loads.setup import AxleSetup
from kinematics.motion.ground import Attitude
from kinematics.numbers.stance import Stance
from solvers.vectors import Array, Flags

_UNKNOWN = 7  # heave front and rear [mm], roll [mrad], travel of the four wheels [mm]
_PER_MILLE = 1e-3  # of the roll's unit
_PROBE = 1e-3  # mm and mrad
_CLOSE = 1e-8  # mm and mrad: a step this short ends the iteration
_MOST_STEPS = 30
_LONGEST = 25.0  # mm and mrad in one step
_STIFF = 100.0  # N/mm; makes forces about as large as lengths
_LEVEL_TO = 1e-6  # mm; a lifted wheel this far under the ground is on it again
_ACCELERATION_STEP = 3.0  # m/s^2
_MOST_LIFTS = 6


@dataclass(frozen=True)
class Balance:
    """N cars in balance.

    acceleration: (N,) [m/s^2], to the left positive. heave: at front and rear (2, N) [mm]. roll: (N,) [rad]. By axle
    and side (2, 2, N): travel [mm]; load of the tyre [N]; lifted: the wheel is off the ground; loose: its spring
    carries nothing; stop_force: of its bump stop [N]. solved: (N,), False where no balance was found.
    """

    acceleration: Array
    heave: Array
    roll: Array
    travel: Array
    load: Array
    lifted: Flags
    solved: Flags
    loose: Flags
    stop_force: Array

    @property
    def transfer(self) -> Array:
        """Load moved to the outer wheel, by axle (2, N) [N]: half of outer less inner."""
        outwards = np.where(self.acceleration >= 0.0, 1.0, -1.0)
        return np.asarray(0.5 * (self.load[:, RIGHT] - self.load[:, LEFT]) * outwards)


@dataclass(frozen=True)
class WholeCar:
    """Both axles with their springs and the body on them.

    centre_of_gravity: of the sprung mass, height over the ground as measured [mm]; wheelbase: [mm].
    """

    front: AxleSetup
    rear: AxleSetup
    centre_of_gravity: float
    wheelbase: float

    @property
    def axles(self) -> tuple[AxleSetup, AxleSetup]:
        """Front and rear."""
        return self.front, self.rear

    @property
    def rear_share(self) -> float:
        """Part of the sprung mass that the rear axle carries, 0 to 1."""
        front, rear = (axle.loads.sprung_mass for axle in self.axles)
        return rear / (front + rear)


@dataclass(frozen=True)
class _Case:
    """The case of each of N cars: acceleration, variant, ballast, and which wheels are off the ground (4, N)."""

    car: WholeCar
    acceleration: Array
    variants: NDArray[np.intp] | None
    ballast: Array
    lifted: Flags

    def repeated(self, times: int) -> "_Case":
        """All cars, several times over."""
        variants = None if self.variants is None else np.tile(self.variants, times)
        return _Case(
            self.car,
            np.tile(self.acceleration, times),
            variants,
            np.tile(self.ballast, times),
            np.tile(self.lifted, times),
        )


@dataclass(frozen=True)
class _Found:
    """Residuals (7, N), wheel loads [N] and heights of the contact points (4, N), spring and stop forces (4, N)."""

    residual: Array
    load: Array
    height: Array
    spring: Array
    stop: Array


def balance(
    car: WholeCar,
    acceleration: Array,
    variants: NDArray[np.intp] | None = None,
    ballast: Array | None = None,
) -> Balance:
    """Find the balance at lateral accelerations (N,) [m/s^2], to the left positive.

    variants: for each one, which of the setups' variants is meant (N,). ballast: mass added on each wheel's scale,
    front left, front right, rear left, rear right (4, N) [kg], at the height of the sprung centre of gravity.
    """
    count = acceleration.size
    unknown = np.zeros((_UNKNOWN, count))
    lifted = np.zeros((4, count), dtype=bool)
    more = np.zeros((4, count)) if ballast is None else ballast
    # The acceleration is raised in steps, so that each start is near its solution.
    steps = max(1, int(np.ceil(np.abs(acceleration).max(initial=0.0) / _ACCELERATION_STEP)))
    for step in range(1, steps + 1):
        for _ in range(_MOST_LIFTS):
            case = _Case(car, acceleration * (step / steps), variants, more, lifted)
            unknown, solved = _solved(case, unknown)
            found = _evaluate(case, unknown)
            changed = np.where(lifted, found.height < -_LEVEL_TO, found.load < 0.0) & solved
            if not changed.any():
                break
            lifted = lifted ^ changed
        else:
            solved = solved & ~changed.any(axis=0)
    for index, setup in enumerate(car.axles):
        # Beyond the linkage's reach the nearest position stands in, and that is no balance.
        reached = setup.moving.at(unknown[3 + 2 * index : 5 + 2 * index]).reached
        solved = solved & reached.all(axis=0)
    by_axle = (2, 2, count)
    return Balance(
        acceleration,
        unknown[:2],
        unknown[2] * _PER_MILLE,
        unknown[3:].reshape(by_axle),
        np.where(lifted, 0.0, found.load).reshape(by_axle),
        lifted.reshape(by_axle),
        solved,
        (found.spring <= 0.0).reshape(by_axle),
        found.stop.reshape(by_axle),
    )


def _solved(case: _Case, unknown: Array) -> tuple[Array, Flags]:
    """Newton's iteration from a start (7, N), with derivatives from probes; also which cars converged (N,)."""
    count = case.acceleration.size
    probes = np.concatenate([np.zeros((_UNKNOWN, 1)), _PROBE * np.eye(_UNKNOWN)], axis=1)
    many = case.repeated(_UNKNOWN + 1)
    solved = np.zeros(count, dtype=bool)
    for _ in range(_MOST_STEPS):
        tried = (unknown[:, None, :] + probes[:, :, None]).reshape(_UNKNOWN, -1)
        residual = _evaluate(many, tried).residual.reshape(_UNKNOWN, _UNKNOWN + 1, count)
        here = residual[:, 0]
        jacobian = np.moveaxis((residual[:, 1:] - here[:, None]) / _PROBE, -1, 0)
        sound = np.asarray(np.isfinite(jacobian).all(axis=(-2, -1)) & np.isfinite(here).all(axis=0))
        # Nothing holds a wheel that hangs on a loose spring.
        sound &= np.linalg.slogdet(np.where(sound[:, None, None], jacobian, 0.0))[0] != 0.0
        step = np.zeros((count, _UNKNOWN))
        step[sound] = _steps(jacobian[sound], here.T[sound])
        most = np.abs(step).max(axis=1, initial=0.0)
        unknown = unknown + (step * np.minimum(1.0, _LONGEST / np.maximum(most, _LONGEST))[:, None]).T
        solved = sound & (most < _CLOSE)
        if solved.all():
            break
    return unknown, solved


def _steps(jacobian: Array, residual: Array) -> Array:
    return -np.asarray(np.linalg.solve(jacobian, residual[..., None]))[..., 0]


def _evaluate(case: _Case, unknown: Array) -> _Found:
    loads, heights, springs, stops, balances = [], [], [], [], []
    moment = np.zeros(case.acceleration.size)
    roll = unknown[2] * _PER_MILLE
    lateral = case.acceleration / GRAVITY
    for index, setup in enumerate(case.car.axles):
        on_axle = slice(2 * index, 2 * index + 2)
        travel, heave, ballast = unknown[3:][on_axle], unknown[index], case.ballast[on_axle]
        stance = Stance(setup.moving.at(travel), Attitude(heave, roll))
        forces = setup.forces(stance.states, case.variants)
        load = _wheel_loads(stance, setup, forces.along_travel, lateral)
        weight = setup.loads.weight + ballast.sum(axis=0) * GRAVITY
        balances.append((load.sum(axis=0) - weight) / _STIFF)
        moment += _roll_moment(stance, setup, load, lateral)
        tyre = setup.loads.tyre_rate
        rest = setup.loads.corner_mass[:, None] * GRAVITY
        squashed = 0.0 if tyre is None else (load - rest) / tyre
        loads.append(load)
        heights.append(stance.contact[..., 2] + squashed)
        springs.append(forces.spring)
        stops.append(forces.stop)
    moment -= _body_moment(case, unknown)
    load, height = np.concatenate(loads), np.concatenate(heights)
    ground = np.where(case.lifted, load / _STIFF, height)
    mean_track = sum(float(np.ptp(setup.axle.contact[:, 1])) for setup in case.car.axles) / 2.0
    residual = np.concatenate([np.stack([*balances, moment / (_STIFF * mean_track)]), ground])
    return _Found(residual, load, height, np.concatenate(springs), np.concatenate(stops))


def _wheel_loads(stance: Stance, setup: AxleSetup, along_travel: Array, lateral: Array) -> Array:
    """Vertical loads on both tyres (2, N) [N] that hold each wheel carrier in balance along its travel.

    lateral: lateral force of a tyre for each newton of its load, to the left positive (N,).
    """
    states = stance.states
    # The disc of a squashed tyre reaches under the ground; the forces act on the ground.
    on_ground = stance.contact_on_body - stance.contact[..., 2, None] * stance.attitude.normal
    places = (on_ground, states.wheel_centre)
    # Motion (2 sides, 2 wheels, N, 3), then wheel by wheel in the ground frame.
    rates = [of_both_wheels(states, place) for place in places]
    contact, hub = ([stance.attitude.in_ground_axes(rate[:, wheel]) for wheel in (LEFT, RIGHT)] for rate in rates)
    unsprung = setup.loads.unsprung[:, None] * GRAVITY
    # Rows: travel of the left and of the right wheel; columns: load on the left and on the right tyre.
    matrix = np.stack([rate[..., 2] + lateral * rate[..., 1] for rate in contact])
    right = np.stack([(unsprung * (rate[..., 2] + lateral * rate[..., 1])).sum(axis=0) for rate in hub])
    (a, b), (c, d) = matrix
    e, f = right - along_travel
    spread = a * d - b * c
    return np.stack([(d * e - b * f) / spread, (a * f - c * e) / spread])


def _roll_moment(stance: Stance, setup: AxleSetup, load: Array, lateral: Array) -> Array:
    """Moment about the x axis on the ground of an axle's tyres and unsprung masses (N,) [N mm]."""
    contact, hub = stance.contact, stance.wheel_centre
    weight = setup.loads.unsprung[:, None] * GRAVITY
    tyres = load * contact[..., 1]
    masses = weight * (hub[..., 1] - lateral * hub[..., 2])
    return np.asarray((tyres - masses).sum(axis=0))


def _body_moment(case: _Case, unknown: Array) -> Array:
    """The same moment of the sprung mass, which is where the scales say, and of ballast (N,) [N mm]."""
    car, lateral = case.car, case.acceleration / GRAVITY
    roll = unknown[2] * _PER_MILLE
    moments, carried = [], []
    for index, setup in enumerate(car.axles):
        contact, hub = setup.axle.contact[:, 1], setup.axle.points["wheel_centre"][:, 1]
        masses = setup.loads.corner_mass[:, None] + case.ballast[2 * index : 2 * index + 2]
        sprung = masses.sum(axis=0) - setup.loads.unsprung.sum()
        carried.append(sprung)
        # The scales say where the weight is: what they carry, less the wheels' own.
        aside = ((masses * contact[:, None]).sum(axis=0) - float(setup.loads.unsprung @ hub)) / sprung
        y = np.cos(roll) * aside - np.sin(roll) * car.centre_of_gravity
        z = np.sin(roll) * aside + np.cos(roll) * car.centre_of_gravity
        moments.append(sprung * GRAVITY * (y - lateral * z))
    heave = (carried[0] * unknown[0] + carried[1] * unknown[1]) / (carried[0] + carried[1])
    return np.asarray(moments[0] + moments[1] - (carried[0] + carried[1]) * GRAVITY * lateral * heave)
