"""How far to move each spring's perch so that a car stands as planned and its wheels carry what is wanted.

Bars hold nothing meanwhile: a drop link is unhooked before weights are set, and goes back without force.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from kinematics.car.car import LEFT, RIGHT
from kinematics.car.springs_and_bars import GRAVITY
from kinematics.loads.equilibrium import Balance, balance
from kinematics.loads.setup import AxleSetup
from kinematics.loads.whole_car import WholeCar
from kinematics.planning.settling import Rigged
from solvers.vectors import Array

Places: TypeAlias = NDArray[np.intp]

FRONT, REAR = 0, 1
_CROSS = 3  # its place in a state
_PROBE = 0.5  # mm of a perch
_CLOSE = 1e-9  # mm of a perch: a step this short ends the iteration
_MOST_STEPS = 10
_LONGEST = 20.0  # mm in one step
_SCALE = 1e3  # cross-weight in parts of a thousand, so that all that is to vanish is of one size


class NotReachedError(ValueError):
    """No perches that the car has bring the wheel loads that are wanted."""


@dataclass(frozen=True)
class Perches:
    """Perches moved towards their springs, by axle and side (2, 2).

    packed: what the plan's ride height or its packing takes [mm]; crossed: what the cross-weight takes besides [mm].
    load: on each wheel then [kg]. heave: of the body over each axle (2,) [mm], roll
    [rad], where it then stands. slopes: of front heave, rear heave, roll over half a track [mm] and cross-weight
    [thousandths] for each mm of one perch alone, front left first (4 perches, 4). movable: whether front and rear
    perches can be moved.
    """

    packed: Array
    crossed: Array
    load: Array
    heave: Array
    roll: float
    slopes: Array
    movable: tuple[bool, bool]

    @property
    def cross(self) -> float:
        """Cross-weight then, as a part of one."""
        return float(cross_weight(self.load))

    @property
    def cross_per_mm(self) -> Array:
        """Change of cross-weight for each mm of one perch alone, by axle and side (2, 2)."""
        return np.asarray(self.slopes[:, _CROSS].reshape(2, 2) / _SCALE)

    def to_undo(self, heave: Sequence[float | None], roll: float | None, cross: float | None) -> Array | None:
        """How far to move each perch (2, 2) [mm] to undo what came out too high, first order; None if it is not told.

        heave: of the body over each axle [mm], roll over half a track [mm], cross-weight as a part of one: None where
        it was not measured.
        """
        free = free_perches(self.movable)
        off = [*heave, roll, None if cross is None else _SCALE * cross]
        counted = [one for one in _counted(free) if off[one] is not None]
        if len(counted) < len(free):
            return None
        slopes = self.slopes[[2 * axle + side for axle, side in free]][:, counted]
        moved = np.zeros((2, 2))
        moved[free[:, 0], free[:, 1]] = -np.linalg.solve(slopes.T, np.array([off[one] for one in counted], dtype=float))
        return moved


def cross_weight(load: Array) -> Array:
    """What the front right and the rear left wheel carry of loads by axle and side (2, 2, ...), as a part of all."""
    return np.asarray((load[FRONT, RIGHT] + load[REAR, LEFT]) / load.sum(axis=(0, 1)))


def set_on_perches(rigged: Rigged, cross: float | None, movable: tuple[bool, bool]) -> Perches:
    """Find perches for a cross-weight (a part of one), the body level and as high as without it; None leaves it alone.

    movable: whether front and rear perches can be moved. With one axle's alone its height is kept, and the other end
    goes where the springs let it. Raises NotReachedError where no balance has that cross-weight.
    """
    car = rigged.car
    free, moved = free_perches(movable), np.zeros((2, 2))
    _, slopes = _state_and_slopes(car, rigged, moved)
    if cross is not None:
        moved = _moved_to(car, rigged, cross, free)
    found = _tried(car, rigged, moved[None])
    return Perches(
        packed=rigged.packing,
        crossed=moved,
        load=found.load[..., 0] / GRAVITY,
        heave=found.heave[:, 0],
        roll=float(found.roll[0]),
        slopes=slopes,
        movable=movable,
    )


def free_perches(movable: tuple[bool, bool]) -> Places:
    """Axle and side of each perch that can be moved (n, 2)."""
    return np.array([(axle, side) for axle in (FRONT, REAR) if movable[axle] for side in (LEFT, RIGHT)])


def _moved_to(car: WholeCar, rigged: Rigged, cross: float, free: Places) -> Array:
    """Newton's iteration on the free perches (n, 2 indices); the move of all of them (2, 2) [mm]."""
    moved = np.zeros((2, 2))
    counted = _counted(free)
    for _ in range(_MOST_STEPS):
        state, slopes = _state_and_slopes(car, rigged, moved)
        missing = (state - [0.0, 0.0, 0.0, _SCALE * cross])[counted]
        own = slopes[[2 * axle + side for axle, side in free]][:, counted]
        step = -np.linalg.lstsq(own.T, missing, rcond=None)[0]
        step *= min(1.0, _LONGEST / max(float(np.abs(step).max()), _LONGEST))
        moved[free[:, 0], free[:, 1]] += step
        if np.abs(step).max() < _CLOSE:
            return moved
    raise NotReachedError


def _counted(free: Places) -> list[int]:
    """Which of front heave, rear heave, roll and cross-weight so many perches can bring about."""
    axles = sorted({int(axle) for axle, _ in free})
    return [*axles, *([2] if len(axles) > 1 else []), _CROSS]


def _state_and_slopes(car: WholeCar, rigged: Rigged, moved: Array) -> tuple[Array, Array]:
    """The state (4,) on perches moved so far (2, 2), and its change for each mm of each perch (4 perches, 4)."""
    probes = np.concatenate([moved[None], moved + _PROBE * np.eye(4).reshape(4, 2, 2)])
    found = _tried(car, rigged, probes)
    if not found.solved.all():
        raise NotReachedError
    state = _state(car, found)
    return state[0], np.asarray((state[1:] - state[0]) / _PROBE)


def _state(car: WholeCar, found: Balance) -> Array:
    """Heave at front and rear, roll over half a track [mm], cross-weight in thousandths (N, 4)."""
    half = float(np.ptp(car.front.axle.contact[:, 1])) / 2.0
    return np.stack([found.heave[0], found.heave[1], found.roll * half, _SCALE * cross_weight(found.load)], axis=-1)


def _tried(car: WholeCar, rigged: Rigged, moved: Array) -> Balance:
    """The car at rest on perches moved so far (N, 2, 2) [mm]."""
    count = len(moved)
    front, rear = (_moved(setup, moved[:, i]) for i, setup in enumerate(car.axles))
    every = replace(car, front=front, rear=rear)
    ballast = np.repeat(rigged.ballast, count, axis=1)
    return balance(every, np.zeros(count), np.arange(count), ballast)


def _moved(setup: AxleSetup, by: Array) -> AxleSetup:
    """Variants of an axle's springs with their perches moved (N, 2) [mm], its bar unhooked."""
    rate = np.broadcast_to(setup.rate, by.shape)
    return replace(setup, rate=rate, preload=setup.preload + rate * by, bar=np.zeros(len(by)))
