"""An axle with springs and bar: forces at any travel, calibrated by the weights on its wheels at rest."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from kinematics.car.car import LEFT, RIGHT, Axle
from kinematics.car.springs_and_bars import GRAVITY, AxleLoads, BumpStop
from kinematics.loads.movements import WithSlope, arm_end_movement, length_of, of_both_wheels
from kinematics.loads.readiness import Lack, Need, NotReadyError
from kinematics.motion.ground import Attitude, contact_points
from kinematics.motion.moving_axle import MovingAxle, moving
from kinematics.motion.states import CornerStates
from solvers.vectors import Array

_LEAST_RATIO = 0.05  # spring travel over wheel travel; real ratios are several times as large
_SOLID = 1000.0  # N/mm of coils that lie on one another: a choice, some thirty times a spring's rate
REACH = 150.0  # mm of travel either way over which springs are evaluated


@dataclass(frozen=True)
class Forces:
    """Forces at states [N].

    along_travel: generalised, along the left and right wheel's travel (..., 2, S), negative where they push the wheel
    down. spring, stop: compression forces (..., 2, S); solid: more of it where a spring is coil bound. bar: force at
    each arm end (..., S), positive where the left one is pushed up. length: of the springs, with its derivatives.
    """

    along_travel: Array
    spring: Array
    stop: Array
    solid: Array
    bar: Array
    length: WithSlope


@dataclass(frozen=True, repr=False)
class AxleSetup:
    """Springs and bar on an axle; leading axes are variants.

    moving: the axle ready to move as far as balance is looked for, to REACH, which is farther than it is swept.
    rate: (..., 2) [N/mm]. preload: spring force at the measured ride height (..., 2) [N]. measured: spring length there
    (2,) [mm]. bar: rate at the arm end (...) [N/mm]. stop_gap: to the bump stop there [mm].
    """

    moving: MovingAxle
    loads: AxleLoads
    rate: Array
    preload: Array
    bar: Array
    stop_gap: float
    measured: Array

    def __repr__(self) -> str:
        return f"<springs and bar on {self.axle!r}>"

    @property
    def axle(self) -> Axle:
        """The axle."""
        return self.moving.axle

    @property
    def free_length(self) -> Array:
        """Length of each unloaded spring, from the calibration (..., 2) [mm]."""
        return np.asarray(self.measured + self.preload / self.rate)

    def with_springs(self, rate: Array, free_length: Array | None = None, spacer: Array | float = 0.0) -> "AxleSetup":
        """Other springs (..., 2) [N/mm], of the same free length unless one is given, and packing under them [mm].

        When they are coil bound is not known.
        """
        free = self.free_length if free_length is None else free_length
        loads = replace(self.loads, spring=replace(self.loads.spring, block_length=None))
        return replace(self, loads=loads, rate=rate, preload=rate * (free + spacer - self.measured))

    def with_bar(self, bar: Array) -> "AxleSetup":
        """Another bar on the same mounts, rate at the arm end (...) [N/mm]."""
        return replace(self, bar=bar)

    def forces(self, states: CornerStates, variants: NDArray[np.intp] | None = None) -> Forces:
        """Forces at S states; variants: for each state, which of the setup's variants is meant (S,)."""
        rate, preload, bar = self.rate, self.preload, np.asarray(self.bar)
        if variants is not None:
            rate, preload, bar = rate[variants].T, preload[variants].T, bar[variants]
        else:
            rate, preload = rate[..., :, None], preload[..., :, None]
            bar = bar[..., None]
        spring = length_of(self.loads.spring.line, states)
        shorter = self.measured[..., None] - spring.value
        force = np.maximum(preload + rate * shorter, 0.0)
        solid = _solid_force(self.loads.spring.room, force / rate)
        stop = stop_force(self.loads.spring.bump_stop, shorter, self.stop_gap)
        along = ((force + stop + solid)[..., :, None, :] * spring.slope).sum(axis=-3)
        bar_force = np.zeros_like(along[..., LEFT, :])
        if self.loads.bar is not None:
            ends = arm_end_movement(self.loads.bar, states)
            bar_force = -bar * (ends.value[..., LEFT, :] - ends.value[..., RIGHT, :])
            along = along + bar_force[..., None, :] * (ends.slope[..., LEFT, :, :] - ends.slope[..., RIGHT, :, :])
        return Forces(along, force, stop, solid, bar_force, spring)

    def pressed(self, states: CornerStates) -> Array:
        """How far each spring is pressed from its free length (..., 2, S) [mm]; negative where it is loose."""
        shorter = self.measured[..., None] - length_of(self.loads.spring.line, states).value
        return np.asarray(shorter + (self.preload / self.rate)[..., None])


def _solid_force(room: Array | None, pressed: Array) -> Array:
    """Force of coils pressed (..., 2, S) [mm] on one another beyond the room between them, one or (2,)."""
    if room is None:
        return np.zeros_like(pressed)
    return np.asarray(_SOLID * np.maximum(pressed - room.reshape(-1, 1), 0.0))


def stop_force(stop: BumpStop | None, shorter: Array, gap: float) -> Array:
    """Force of a bump stop [N] at spring compressions since measured [mm]; beyond its curve, by its end's slope."""
    if stop is None:
        return np.zeros_like(shorter)
    into, most = np.maximum(shorter - gap, 0.0), stop.compression[-1]
    curve, end = _curve(stop)
    return np.where(into > most, stop.force[-1] + end * (into - most), curve(np.minimum(into, most)))


@lru_cache(maxsize=64)
def _curve(stop: BumpStop) -> tuple[Callable[[Array], Array], float]:
    """A bump stop's force [N] over compression [mm], and its slope where it ends; balance asks for it over and over."""
    # Slow to load, and only a car with bump stops needs it.
    from scipy.interpolate import PchipInterpolator

    curve = PchipInterpolator(stop.compression, stop.force)
    return curve, float(curve.derivative()(stop.compression[-1]))


def calibrated(axle: Axle) -> AxleSetup:
    """Calibrate the springs that the car stands on: their preload carries the weights at the measured ride height.

    A spring's free length that the file does not tell is what the calibration says, between the line's ends.

    Raises NotReadyError where a spring does not get shorter as its wheel goes up, hardly any does in roll, or one is
    coil bound.
    """
    loads = axle.loads
    assert loads is not None  # called only for axles whose loads are known
    spring = loads.spring
    ready = moving(axle, -REACH, REACH)
    at_rest = ready.at(np.zeros((2, 1)))
    length = length_of(spring.line, at_rest)
    own = np.array([length.slope[LEFT, LEFT, 0], length.slope[RIGHT, RIGHT, 0]])
    if not (own < -_LEAST_RATIO).all():
        need = Need.SPRING_MOVED if (own < _LEAST_RATIO).all() else Need.SPRING_SHORTER_IN_BUMP
        raise NotReadyError([Lack(need, axle.name)])
    # Springs near the centre plane carry weight but hold no roll: what little they are apart would be divided by.
    if np.linalg.svd(length.slope[..., 0], compute_uv=False).min() < _LEAST_RATIO:
        raise NotReadyError([Lack(Need.SPRINGS_MOVED_APART, axle.name)])
    gap = 0.0 if spring.bump_stop is None else spring.bump_stop.gap
    preload = preload_that_carries(loads, at_rest, gap)
    if spring.free_length is None and spring.line.ratio is None:
        spring = replace(spring, free_length=length.value[..., 0] + preload / spring.rate)
    if spring.room is not None and (preload / spring.rate >= spring.room).any():
        raise NotReadyError([Lack(Need.SPRING_NOT_SOLID, axle.name)])
    return AxleSetup(
        ready,
        replace(loads, spring=spring),
        np.asarray(spring.rate),
        preload,
        np.asarray(0.0 if loads.bar is None else loads.bar.rate),
        gap,
        length.value[..., 0],
    )


def preload_that_carries(loads: AxleLoads, at_rest: CornerStates, stop_gap: float) -> Array:
    """Force of each spring (2,) [N] that carries the scales' loads where the axle stands; stop_gap: left there [mm]."""
    slope = length_of(loads.spring.line, at_rest).slope[..., 0]
    of_stop = stop_force(loads.spring.bump_stop, np.zeros((2, 1)), stop_gap)
    needed = -(wheel_loads_along_travel(loads, at_rest))[..., 0]
    return np.asarray(np.linalg.solve(slope.T, needed) - of_stop[..., 0])


def wheel_loads_along_travel(loads: AxleLoads, states: CornerStates) -> Array:
    """Generalised force of the scales' loads, less the unsprung weight, along each wheel's travel (2, S) [N].

    At ride height.
    """
    level = Attitude(np.zeros(1), np.zeros(1))
    contact = contact_points(states, level.normal)
    at_contact = of_both_wheels(states, contact)[..., 2]
    at_hub = of_both_wheels(states, states.wheel_centre)[..., 2]
    scale, unsprung = loads.corner_mass[..., None, None] * GRAVITY, loads.unsprung[:, None, None] * GRAVITY
    return np.asarray((scale * at_contact - unsprung * at_hub).sum(axis=-3))
