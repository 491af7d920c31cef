"""Where a plan lets the car sit: other springs, packing, coils and ballast decide the ride height, not the planner.

The measured car calibrates what is not known: its weights and rates tell the springs' free lengths. A plan's parts
then settle in balance, and its geometry is solved at the height that follows. A plan that fits neither springs nor
packing, or asks for a ride height, is packed to stand as high as it says; how much packing that takes is found here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from kinematics.car.car import Car
from kinematics.car.coil_springs import cut_coils
from kinematics.car.springs_and_bars import Spring
from kinematics.loads.equilibrium import balance
from kinematics.loads.movements import length_of
from kinematics.loads.readiness import refuse_unready
from kinematics.loads.setup import REACH, AxleSetup, calibrated, preload_that_carries
from kinematics.loads.whole_car import WholeCar
from kinematics.motion.moving_axle import moving
from kinematics.planning.ballast import ballast_on_wheels, laden_height
from kinematics.planning.carried_ends import loads_after
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import LOAD_CHANGES, Change
from kinematics.planning.weights import weights_after
from solvers.vectors import Array


@dataclass(frozen=True)
class Fitted:
    """What a plan fits to one axle.

    rate, bar: of the springs and the bar [N/mm], None as they are; longer: free length more, packed: packing more (2,)
    [mm]; cut: active coils fewer (2,).
    """

    rate: float | None = None
    bar: float | None = None
    longer: Array = field(default_factory=lambda: np.zeros(2))
    packed: Array = field(default_factory=lambda: np.zeros(2))
    cut: Array = field(default_factory=lambda: np.zeros(2))


def fitted(changes: Sequence[Change], axle: str) -> Fitted:
    """Collect what a plan's changes fit to one axle; of several rates the last counts."""
    found = Fitted()
    for change in changes:
        if change.axle != axle:
            continue
        sides = np.asarray(change.sides)
        if change.what == "spring rate":
            found = replace(found, rate=change.by)
        elif change.what == "bar rate":
            found = replace(found, bar=change.by)
        elif change.what == "spring length":
            found = replace(found, longer=found.longer + change.by * sides)
        elif change.what == "spring spacer":
            found = replace(found, packed=found.packed + change.by * sides)
        elif change.what == "cut coils":
            found = replace(found, cut=found.cut + change.by * sides)
    return found


_NO_PACKING = 0.005  # mm
SET_HEIGHT = ("spring length", "cut coils", "spring spacer")  # changes that decide the ride height


def is_held(changes: Sequence[Change]) -> bool:
    """Whether a plan's ride height is given, by itself or as measured, and the springs are packed to keep it."""
    return not fits_loads(changes) or any(change.what == "ride height" for change in changes)


def says_height_twice(changes: Sequence[Change]) -> bool:
    """Whether a plan gives both a ride height and the springs' length that decides it."""
    what = {change.what for change in changes}
    return "ride height" in what and not what.isdisjoint(SET_HEIGHT)


def fits_loads(changes: Sequence[Change]) -> bool:
    """Whether a plan fits springs, packing, bars or ballast."""
    return any(change.what in LOAD_CHANGES for change in changes)


@dataclass(frozen=True)
class Rigged:
    """A car of changed axles with the plan's springs and bars on it, and its ballast at the wheels (4, 1) [kg].

    packing: by how much more than as measured each spring is packed, by axle and side (2, 2) [mm]; what the plan fits,
    or what its ride height takes.
    """

    car: WholeCar
    ballast: Array
    packing: Array

    def unpacked(self) -> "Rigged":
        """The same car with all that packing taken out again."""
        front, rear = (
            replace(setup, preload=setup.preload - setup.rate * packed)
            for setup, packed in zip(self.car.axles, self.packing, strict=True)
        )
        return Rigged(replace(self.car, front=front, rear=rear), self.ballast, np.zeros((2, 2)))


@dataclass(frozen=True)
class MeasuredSprings:
    """The springs of a car as measured, calibrated once however many plans are tried."""

    car: Car

    @cached_property
    def setups(self) -> tuple[AxleSetup, AxleSetup]:
        """Of the front and the rear axle; NotReadyError where they cannot carry the car."""
        return calibrated(self.car.front), calibrated(self.car.rear)


def rigged(
    car: Car, axles: Mapping[str, ChangedAxle], changes: Sequence[Change], springs: MeasuredSprings | None = None
) -> Rigged:
    """Put a plan's springs and bars on its axles; springs: the car's as measured, where they are at hand.

    NotReadyError says what the car lacks.
    """
    refuse_unready(car)
    ballast = ballast_on_wheels(car, changes)
    setups, packing = [], []
    calibration = (springs or MeasuredSprings(car)).setups
    weights = weights_after(car, calibration, [axles[one.axle.name] for one in calibration])
    for as_was, part, more in zip(calibration, weights, ballast, strict=True):
        own = fitted(changes, as_was.axle.name)
        measured = replace(as_was, loads=replace(as_was.loads, corner_mass=as_was.loads.corner_mass * part))
        setup, packed = on_changed(measured, axles[measured.axle.name], own, more if is_held(changes) else None)
        setups.append(setup)
        packing.append(packed)
    body = axles["front"].axle.body
    assert body.centre_of_gravity is not None  # a car that is ready tells them
    assert body.wheelbase is not None
    # What lies level between the wheels of a body that has pitched.
    base = body.wheelbase * float(np.cos(axles["front"].pitch))
    height = laden_height(car, axles, changes, float(body.centre_of_gravity))
    return Rigged(WholeCar(setups[0], setups[1], height, base), ballast.reshape(4, 1), np.stack(packing))


def settle(found: Rigged) -> tuple[float, float] | None:
    """How far the body rises at the front and at the rear from where the axles stand now [mm].

    None where the springs hold the car up nowhere within their travel.
    """
    rest = balance(found.car, np.zeros(1), ballast=found.ballast)
    if not rest.solved.all():
        return None
    return float(rest.heave[0, 0]), float(rest.heave[1, 0])


@dataclass(frozen=True)
class KeptHeight:
    """What keeps a ride height: packing of each spring more than measured, by axle and side (2, 2) [mm].

    left_alone: how far the body would rise at the front and at the rear from there without it (2,) [mm]; None where
    the springs as they are hold the car up nowhere.
    """

    packing: Array
    left_alone: tuple[float, float] | None


def kept_height(found: Rigged, changes: Sequence[Change]) -> KeptHeight | None:
    """What packing keeps a plan's ride height; None where its springs decide that."""
    if not is_held(changes):
        return None
    if np.abs(found.packing).max() < _NO_PACKING:
        return KeptHeight(np.zeros((2, 2)), (0.0, 0.0))
    return KeptHeight(found.packing, settle(found.unpacked()))


def on_changed(setup: AxleSetup, changed: ChangedAxle, own: Fitted, held_with: Array | None) -> tuple[AxleSetup, Array]:
    """The calibrated springs on a changed axle, and how much more they are packed than measured (2,) [mm].

    Lengths are new; free lengths and packing stay or are the plan's.

    held_with: ballast on its wheels (2,) [kg] where they are packed to carry the car as high as the axle stands.
    """
    spring = _fitted_spring(setup, own)
    loads = loads_after(replace(setup.loads, spring=spring), setup.axle, changed)
    axle = replace(changed.axle, loads=loads)
    ready = moving(axle, -REACH, REACH)
    at_rest = ready.at(np.zeros((2, 1)))
    measured = now = length_of(loads.spring.line, at_rest).value[:, 0]
    ratio_only = loads.spring.line.ratio is not None
    # With a ratio alone a spring's length is known as a change only: the body's rise is what its wheel's travel was.
    if ratio_only:
        now = now + float(loads.spring.line.ratio or 0.0) * changed.raised
    rate = np.asarray(spring.rate)
    free = setup.free_length + _longer(setup.loads.spring, spring, own)
    gap = setup.stop_gap + float((now - setup.measured).mean())
    preload = rate * (free + own.packed - now)
    if held_with is not None:
        laden = replace(loads, corner_mass=loads.corner_mass + held_with)
        preload = preload_that_carries(laden, at_rest, gap)
    bar = setup.bar if own.bar is None else np.asarray(own.bar)
    fitted_up = replace(
        setup,
        moving=ready,
        loads=loads,
        rate=rate,
        preload=preload,
        bar=bar,
        stop_gap=gap,
        measured=measured,
    )
    return fitted_up, now + preload / rate - free


def _fitted_spring(setup: AxleSetup, own: Fitted) -> Spring:
    """The measured spring as a plan's parts leave it, by itself."""
    spring = setup.loads.spring
    if own.rate is not None:
        spring = replace(spring, rate=np.full(2, own.rate))
    if own.cut.any():
        spring = cut_coils(spring, own.cut)
    return spring if spring.free_length is None else replace(spring, free_length=spring.free_length + own.longer)


def _longer(before: Spring, after: Spring, own: Fitted) -> Array:
    """By how much a spring is longer when free than before (2,) [mm]."""
    if before.free_length is None or after.free_length is None:
        return own.longer
    return np.asarray(after.free_length) - before.free_length
