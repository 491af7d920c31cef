"""The car under load: braking, driving and cornering at stated accelerations, alone and together, in balance.

Each manoeuvre is raised from rest in equal parts, so that what comes first (a wheel that lifts, a stop that is reached,
the end of all balance) is found with its acceleration, and what holds up to there is kept.
"""

from dataclasses import dataclass
from enum import Enum
from functools import cached_property

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES, Car
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.loads.balanced_share import squash
from kinematics.loads.equilibrium import Balance, balance
from kinematics.loads.readiness import Lack, Need, NotReadyError
from kinematics.loads.report import whole_car
from kinematics.loads.whole_car import WholeCar
from kinematics.motion.ground import Attitude
from kinematics.numbers import roll_centre as rolling
from kinematics.numbers import wheel_angles
from kinematics.numbers.stance import Stance
from solvers.vectors import Array, Flags

_PARTS = 12  # of each manoeuvre
_LOADED = 1e-3  # of the weight; less load moved than that has no shares


@dataclass(frozen=True)
class Manoeuvre:
    """Accelerations [g]: lateral, to the left positive, and forward, braking negative."""

    lateral: float = 0.0
    forward: float = 0.0


class Event(Enum):
    """What happens to a wheel under load."""

    LIFTS = "a wheel leaves the ground"
    ON_STOP = "a bump stop is reached"
    LOOSE = "a spring gets loose"


@dataclass(frozen=True)
class FirstTime:
    """An event of one wheel in a manoeuvre, and the part of its acceleration at which it first is so, 0 to 1."""

    event: Event
    axle: str
    side: str
    part: float


@dataclass(frozen=True)
class UnderLoad:
    """A car in manoeuvres (N,), each raised from rest in parts (P,): arrays (N, P), axle and side before them.

    parts: (P,), from 0 to 1. found: the balances, flat, manoeuvre by manoeuvre.
    """

    car: WholeCar
    manoeuvres: tuple[Manoeuvre, ...]
    parts: Array
    found: Balance

    def shaped(self, values: np.ndarray) -> np.ndarray:
        """Values of the flat states (..., N P) as (..., N, P)."""
        return np.asarray(values.reshape(*values.shape[:-1], len(self.manoeuvres), self.parts.size))

    @cached_property
    def solved(self) -> Flags:
        """Where there is a balance all the way from rest (N, P)."""
        return np.logical_and.accumulate(self.shaped(self.found.solved), axis=-1)

    @cached_property
    def last(self) -> list[int]:
        """The last part of each manoeuvre at which there is a balance."""
        return [int(np.flatnonzero(solved)[-1]) if solved.any() else 0 for solved in self.solved]

    @cached_property
    def _stances(self) -> list[Stance]:
        found = self.found
        return [
            Stance(setup.moving.at(found.travel[i]), Attitude(found.heave[i], found.roll, found.pitch))
            for i, setup in enumerate(self.car.axles)
        ]

    def stance(self, axle: int, manoeuvre: int, part: int) -> Stance:
        """Where one axle stands at one part of a manoeuvre, a batch of one; axle: 0 front, 1 rear."""
        flat = manoeuvre * self.parts.size + part
        one, found = slice(flat, flat + 1), self.found
        attitude = Attitude(found.heave[axle, one], found.roll[one], found.pitch[one])
        return Stance(self.car.axles[axle].moving.at(found.travel[axle, :, one]), attitude)

    @cached_property
    def camber(self) -> Array:
        """To the ground (2, 2, N, P) [rad]."""
        return self.shaped(np.stack([stance.camber for stance in self._stances]))

    @cached_property
    def toe(self) -> Array:
        """To the car's heading (2, 2, N, P) [rad]."""
        return self.shaped(np.stack([wheel_angles.toe(stance.spin_axis) for stance in self._stances]))

    @cached_property
    def in_tyres(self) -> Array:
        """Roll that each axle's tyres have added by their squash since rest, left side up positive (2, N, P) [rad]."""
        load = self.found.load
        moved = [squash(setup, load[i, RIGHT] - load[i, LEFT]) for i, setup in enumerate(self.car.axles)]
        since = self.shaped(np.stack(moved))
        return np.asarray(since - since[..., :1])

    @cached_property
    def in_springs(self) -> Array:
        """Roll of the body over each axle's hubs: without what the tyres add (2, N, P) [rad]."""
        return np.asarray(self.shaped(self.found.roll) - self.in_tyres)

    @cached_property
    def force_weighted_height(self) -> Array:
        """Height at the centre plane of each axle's lateral forces, by the wheels' own loads (2, N, P) [mm]."""
        return self.shaped(np.stack([self._height(i) for i in (0, 1)]))

    def _height(self, index: int) -> Array:
        stance, load = self._stances[index], self.found.load[index]
        if stance.states.opposite is not None:
            return rolling.rigid_axle_height(stance.roll_centre, stance.lines_together)
        with np.errstate(divide="ignore", invalid="ignore"):
            return rolling.force_weighted_height(stance.lines, load[RIGHT] / load.sum(axis=0))

    @cached_property
    def axis_inclination(self) -> Array:
        """Slope of the line through both heights in side view, higher at the rear positive (N, P) [rad]."""
        front, rear = self.force_weighted_height
        return np.asarray(np.arctan2(rear - front, self.car.wheelbase))

    @cached_property
    def load_gained(self) -> Array:
        """Load that each axle has gained since rest (2, N, P) [N]."""
        load = self.shaped(self.found.load).sum(axis=1)
        return np.asarray(load - load[..., :1])

    @cached_property
    def linked(self) -> Array:
        """The part of it that the links carry past the springs (2, N, P) [N]."""
        return np.asarray(self.shaped(self.found.linked).sum(axis=1))

    @cached_property
    def linked_share(self) -> Array:
        """The same as a part of what each axle has gained; NaN where that is next to nothing (2, N, P)."""
        weight = self.found.load[..., 0].sum()
        with np.errstate(divide="ignore", invalid="ignore"):
            share = self.linked / self.load_gained
        return np.where(np.abs(self.load_gained) > _LOADED * weight, share, np.nan)

    @cached_property
    def front_share(self) -> Array:
        """The front axle's part of all load moved to the outer wheels since rest; NaN on the straight (N, P)."""
        moved = self.shaped(self.found.transfer)
        moved = moved - moved[..., :1]
        whole = moved.sum(axis=0)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(np.abs(whole) > _LOADED * self.found.load[..., 0].sum(), moved[0] / whole, np.nan)

    def first_times(self, manoeuvre: int) -> list[FirstTime]:
        """What happens on the way, in order: wheels that lift, stops reached, springs loose, none of it so at rest."""
        solved = self.solved[manoeuvre]
        flags = {
            Event.LIFTS: self.found.lifted,
            Event.ON_STOP: self.found.stop_force > 0.0,
            Event.LOOSE: self.found.loose & ~self.found.lifted,
        }
        told = []
        for event, where in flags.items():
            there = np.asarray(self.shaped(where))[..., manoeuvre, :] & solved
            for axle, side in np.ndindex(2, 2):
                states = np.flatnonzero(there[axle, side])
                if states.size and states[0] > 0:
                    told.append(FirstTime(event, ("front", "rear")[axle], SIDE_NAMES[side], self.parts[states[0]]))
        return sorted(told, key=lambda one: one.part)


def manoeuvres(braking: float | None, driving: float | None, cornering: float | None) -> tuple[Manoeuvre, ...]:
    """Each of the accelerations asked for [g] by itself, and braking and driving in the corner."""
    ahead = [sign * one for sign, one in ((-1.0, braking), (1.0, driving)) if one]
    alone = [Manoeuvre(forward=one) for one in ahead]
    if not cornering:
        return tuple(alone)
    return (*alone, Manoeuvre(cornering), *(Manoeuvre(cornering, one) for one in ahead))


def under_load(car: Car, asked: tuple[Manoeuvre, ...]) -> UnderLoad:
    """Find a car's balance in manoeuvres. NotReadyError says what it lacks."""
    lacks = []
    if any(one.forward < 0.0 for one in asked) and car.body.front_brakes is None:
        lacks.append(Lack(Need.FRONT_BRAKES))
    if any(one.forward > 0.0 for one in asked) and car.body.front_drive is None:
        lacks.append(Lack(Need.FRONT_DRIVE))
    whole = whole_car(car)
    if lacks:
        raise NotReadyError(lacks)
    return raised_from_rest(whole, asked)


def raised_from_rest(whole: WholeCar, asked: tuple[Manoeuvre, ...], ballast: Array | None = None) -> UnderLoad:
    """The same of a car that is ready; ballast: (4, 1) [kg], at the wheels."""
    parts = np.linspace(0.0, 1.0, _PARTS + 1)
    lateral, forward = (
        (np.array(values)[:, None] * parts).reshape(-1) * GRAVITY
        for values in ([one.lateral for one in asked], [one.forward for one in asked])
    )
    carried = None if ballast is None else np.repeat(ballast, lateral.size, axis=1)
    return UnderLoad(whole, asked, parts, balance(whole, lateral, ballast=carried, forward=forward))
