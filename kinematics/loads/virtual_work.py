"""What nothing balances yet of a whole car in a tried position: its forces and moments, by virtual work.

Every wheel carrier is in balance along its travel, so links carry what their motion says: jacking by lateral forces,
and anti-dive, anti-lift and anti-squat by longitudinal ones. A tyre's lateral force is proportional to its load within
its axle; between the axles these forces are shared so that they keep the car on its bend, whatever braking and driving
put on either end. The yaw that braking and driving may cause on a car laden aside is left out. Longitudinal forces
are alike on both wheels of an axle, a wheel off the ground takes none, and the other one then takes the axle's whole.
Where the final drive of a live rear axle is told, its propshaft twists it against the body as it drives.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kinematics.car.car import LEFT, RIGHT, Axle
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.loads.movements import of_both_wheels
from kinematics.loads.setup import AxleSetup, Forces
from kinematics.loads.whole_car import WholeCar
from kinematics.motion.ground import Attitude
from kinematics.numbers.propshaft import turns_of_both_wheels, twisted_by_propshaft
from kinematics.numbers.side_view import braked_at_the_hub, driven_at_the_hub
from kinematics.numbers.stance import Stance
from solvers.vectors import Array, Flags, vector

UNKNOWN = 7  # heave front and rear [mm], roll [mrad], travel of the four wheels [mm]
PER_MILLE = 1e-3  # of the roll's unit
STIFF = 100.0  # N/mm; makes forces about as large as lengths
_STEEPEST = 0.9  # sine of pitch
_OVER_GROUND = slice(3, None)


@dataclass(frozen=True)
class Case:
    """The case of each of N cars.

    lateral, forward: acceleration (N,) [m/s^2], to the left and forwards positive. variants: which of the setups' (N,).
    ballast: (4, N) [kg]. lifted: which wheels are off the ground (4, N).
    """

    car: WholeCar
    lateral: Array
    forward: Array
    variants: NDArray[np.intp] | None
    ballast: Array
    lifted: Flags

    def only(self, index: NDArray[np.intp]) -> "Case":
        """Some of the cars."""
        variants = None if self.variants is None else self.variants[index]
        return Case(
            self.car, self.lateral[index], self.forward[index], variants, self.ballast[:, index], self.lifted[:, index]
        )

    def repeated(self, times: int) -> "Case":
        """All cars, several times over."""
        variants = None if self.variants is None else np.tile(self.variants, times)
        lateral, forward, ballast = (np.tile(values, times) for values in (self.lateral, self.forward, self.ballast))
        return Case(self.car, lateral, forward, variants, ballast, np.tile(self.lifted, times))


@dataclass(frozen=True)
class Found:
    """What a tried position comes to, all wheels in one row, front left first.

    residual: (7, N). load: [N]; height: of the contact points [mm]; spring, stop: forces [N]; linked: the part of the
    load that longitudinal forces put on the wheel through the links [N], all (4, N).
    """

    residual: Array
    load: Array
    height: Array
    spring: Array
    stop: Array
    linked: Array


def pitch_of(car: WholeCar, heave: Array) -> Array:
    """Pitch [rad], nose down positive, of a body that stands at heaves of front and rear (2, N) [mm]."""
    return np.asarray(np.arcsin(np.clip((heave[1] - heave[0]) / car.wheelbase, -_STEEPEST, _STEEPEST)))


@dataclass(frozen=True)
class _Masses:
    """Mass (N,) [kg] and its places (N,) [mm], along from under the front wheels, aside and up, over the ground."""

    mass: Array
    along: Array
    aside: Array
    up: Array


@dataclass(frozen=True)
class _Posed:
    """A case in a tried position."""

    case: Case
    unknown: Array

    @cached_property
    def pitch(self) -> Array:
        return pitch_of(self.case.car, self.unknown[:2])

    @cached_property
    def stances(self) -> list[Stance]:
        """Front and rear axle as they stand."""
        travel, roll = self.unknown[_OVER_GROUND], self.unknown[2] * PER_MILLE
        return [
            Stance(setup.moving.at(travel[_wheels(i)]), Attitude(self.unknown[i], roll, self.pitch))
            for i, setup in enumerate(self.case.car.axles)
        ]

    @cached_property
    def behind(self) -> tuple[Array, Array]:
        """How far each axle's frame lies behind the front one's on the ground (N,) [mm]."""
        level = np.cos(self.pitch)
        return np.zeros_like(level), self.case.car.wheelbase * level

    @cached_property
    def masses(self) -> list[_Masses]:
        """The sprung mass, which is where the scales say, with ballast, and each axle's unsprung mass."""
        return [self._sprung, *(self._unsprung(i) for i in (0, 1))]

    @cached_property
    def _sprung(self) -> _Masses:
        car, carried, along, aside = self.case.car, [], [], []
        for i, setup in enumerate(car.axles):
            contact, hub = setup.axle.contact, setup.axle.points["wheel_centre"]
            masses = setup.loads.corner_mass[:, None] + self.case.ballast[_wheels(i)]
            carried.append(masses.sum(axis=0) - setup.loads.unsprung.sum())
            # The scales say where the weight is: what they carry, less the wheels' own.
            own = setup.loads.unsprung @ hub
            along.append((masses * contact[:, :1]).sum(axis=0) - own[0] - carried[i] * i * car.wheelbase)
            aside.append((masses * contact[:, 1:2]).sum(axis=0) - own[1])
        mass = carried[0] + carried[1]
        place = vector(sum(along) / mass, sum(aside) / mass, np.full_like(mass, car.centre_of_gravity))
        x, y, z = np.moveaxis(self.stances[0].attitude.to_ground(place[None])[0], -1, 0)
        return _Masses(mass, x, y, z)

    def _unsprung(self, index: int) -> _Masses:
        masses, hub = self.case.car.axles[index].loads.unsprung, self.stances[index].wheel_centre
        x, y, z = (np.tensordot(masses, hub[..., i], 1) / masses.sum() for i in range(3))
        return _Masses(np.full_like(x, masses.sum()), x - self.behind[index], y, z)

    def friction(self, loads: list[Array] | None = None) -> list[Array]:
        """Lateral force of an axle's tyres for each newton of their load, to the left positive (N,).

        loads: of both axles (2, N), which say where between its contact points each axle carries.
        """
        share, spread = self.case.lateral / GRAVITY, loads or [np.ones((2, 1))] * 2
        if not self.case.forward.any():
            return [share, share]  # what keeps the car on its bend is then in proportion to the load
        mass = sum(one.mass for one in self.masses)
        along = sum(one.mass * one.along for one in self.masses) / mass
        up = sum(one.mass * one.up for one in self.masses) / mass
        with np.errstate(divide="ignore", invalid="ignore"):
            front, rear = (
                (weight * stance.contact[..., 0]).sum(axis=0) / weight.sum(axis=0) - behind
                for weight, stance, behind in zip(spread, self.stances, self.behind, strict=True)
            )
            moved = up * self.case.forward / GRAVITY
            parts = (along - rear) / (along - moved - rear), (front - along) / (front - along + moved)
        # An axle that carries nothing has no lateral force either, and no balance.
        return [share * np.where(part > 0.0, part, np.nan) for part in parts]

    def pushes(self, index: int) -> tuple[Array, Array]:
        """Longitudinal forces of an axle's tyres at the contact points and at the wheel centres (2, N) [N]."""
        car, case = self.case.car, self.case
        axle, held = car.axles[index].axle, ~case.lifted[_wheels(index)]
        braking = case.forward < 0.0
        mass = sum(one.mass for one in self.masses)
        with np.errstate(divide="ignore", invalid="ignore"):
            each = np.where(held, mass * case.forward / held.sum(axis=0), 0.0)
        braked, driven = (
            np.where(where, share * each, 0.0)
            for where, share in ((braking, brake_share(axle)), (~braking, drive_share(axle)))
        )
        at_hub = braked * braked_at_the_hub(axle) + driven * driven_at_the_hub(axle)
        return braked + driven - at_hub, at_hub


def _wheels(axle: int) -> slice:
    return slice(2 * axle, 2 * axle + 2)


def brake_share(axle: Axle) -> float:
    """An axle's part of the braking force; zero where it is not told."""
    return _share(axle, axle.body.front_brakes)


def drive_share(axle: Axle) -> float:
    """An axle's part of the driving force; zero where it is not told."""
    return _share(axle, axle.body.front_drive)


def _share(axle: Axle, front: float | None) -> float:
    if front is None:
        return 0.0
    return front if axle.name == "front" else 1.0 - front


def evaluate(case: Case, unknown: Array) -> Found:
    """Loads, and what is left over, of N cars in tried positions (7, N)."""
    posed = _Posed(case, unknown)
    axles = [_Carrying.of(posed, index) for index in (0, 1)]
    friction = posed.friction()
    if case.forward.any():
        friction = posed.friction([one.loads(its) for one, its in zip(axles, friction, strict=True)])
    loads = [one.loads(its) for one, its in zip(axles, friction, strict=True)]
    heights = [_over_the_ground(*each) for each in zip(case.car.axles, posed.stances, loads, strict=True)]
    linked = [one.linked(its) for one, its in zip(axles, friction, strict=True)]
    ground = np.where(case.lifted, np.concatenate(loads) / STIFF, np.concatenate(heights))
    return Found(
        residual=np.concatenate([_of_the_whole(posed, loads), ground]),
        load=np.concatenate(loads),
        height=np.concatenate(heights),
        spring=np.concatenate([one.forces.spring for one in axles]),
        stop=np.concatenate([one.forces.stop for one in axles]),
        linked=np.concatenate(linked),
    )


def _over_the_ground(setup: AxleSetup, stance: Stance, load: Array) -> Array:
    """Heights of the contact points of tyres that are squashed by their loads (2, N) [mm]."""
    rate, rest = setup.loads.tyre_rate, setup.loads.corner_mass[:, None] * GRAVITY
    return np.asarray(stance.contact[..., 2] + (0.0 if rate is None else (load - rest) / rate))


def _of_the_whole(posed: _Posed, loads: list[Array]) -> Array:
    """What is left of the whole car's vertical force and of its moments in pitch and roll about the ground (3, N)."""
    case, car = posed.case, posed.case.car
    up = pitch = roll = np.zeros(case.lateral.size)
    for load, stance, behind in zip(loads, posed.stances, posed.behind, strict=True):
        up = up + load.sum(axis=0)
        pitch = pitch - (load * (stance.contact[..., 0] - behind)).sum(axis=0)
        roll = roll + (load * stance.contact[..., 1]).sum(axis=0)
    for one in posed.masses:
        up = up - one.mass * GRAVITY
        pitch = pitch + one.mass * (GRAVITY * one.along - case.forward * one.up)
        roll = roll - one.mass * (GRAVITY * one.aside - case.lateral * one.up)
    track = sum(float(np.ptp(setup.axle.contact[:, 1])) for setup in car.axles) / 2.0
    return np.stack([up, 2.0 * pitch / car.wheelbase, roll / track]) / STIFF


@dataclass(frozen=True)
class _Carrying:
    """The work of an axle's forces per mm of each wheel's travel.

    forces: of springs and bar. up, aside: motion of the contact points (2 wheels that travel, 2 points, N); carried,
    pushed: what springs, bar and masses, and what longitudinal forces leave to the loads (2, N) [N].
    """

    forces: Forces
    up: Array
    aside: Array
    carried: Array
    pushed: Array

    @staticmethod
    def of(posed: _Posed, index: int) -> "_Carrying":
        case, stance = posed.case, posed.stances[index]
        setup: AxleSetup = case.car.axles[index]
        forces = setup.forces(stance.states, case.variants)
        # The disc of a squashed tyre reaches under the ground; the forces act on the ground.
        on_ground = stance.contact_on_body - stance.contact[..., 2, None] * stance.attitude.normal
        # Motion (2 sides, 2 wheels, N, 3), then wheel by wheel in the ground frame.
        rates = [of_both_wheels(stance.states, place) for place in (on_ground, stance.states.wheel_centre)]
        contact, hub = (
            np.stack([stance.attitude.in_ground_axes(rate[:, wheel]) for wheel in (LEFT, RIGHT)]) for rate in rates
        )
        weight = setup.loads.unsprung[:, None] * GRAVITY
        along, across = case.forward / GRAVITY, case.lateral / GRAVITY
        carried = (weight * (hub[..., 2] + across * hub[..., 1] + along * hub[..., 0])).sum(axis=1)
        pushed = np.zeros_like(carried)
        if case.forward.any():
            at_contact, at_hub = posed.pushes(index)
            pushed = -(at_contact * contact[..., 0] + at_hub * hub[..., 0]).sum(axis=1)
            if lever := twisted_by_propshaft(setup.axle):
                driving = np.where(case.forward > 0.0, at_contact.sum(axis=0), 0.0)
                pushed = pushed + lever * driving * turns_of_both_wheels(stance)
        return _Carrying(forces, contact[..., 2], contact[..., 1], carried - forces.along_travel, pushed)

    def loads(self, friction: Array) -> Array:
        """Vertical loads on both tyres (2, N) [N] that hold each wheel carrier in balance along its travel."""
        return self._holding(friction, self.carried + self.pushed)

    def linked(self, friction: Array) -> Array:
        """The part of them that longitudinal forces put there through the links."""
        return self._holding(friction, self.pushed)

    def _holding(self, friction: Array, right: Array) -> Array:
        # Rows: travel of the left and of the right wheel; columns: load on the left and on the right tyre.
        (a, b), (c, d) = self.up + friction * self.aside
        e, f = right
        spread = a * d - b * c
        return np.stack([(d * e - b * f) / spread, (a * f - c * e) / spread])
