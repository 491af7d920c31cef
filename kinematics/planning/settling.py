"""Where a plan lets the car sit: other springs, packing, coils and ballast decide the ride height, not the planner.

The measured car calibrates what is not known: its weights and rates tell the springs' free lengths. A plan's parts
then settle in balance, and its geometry is solved at the height that follows. A plan that fits neither springs nor
packing, or asks for a ride height, is packed to stand as high as it says; how much packing that takes is found here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Protocol

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.springs_and_bars import Attachment, AxleLoads, BarEnds, Line
from kinematics.car.suspension_type import CHASSIS
from kinematics.loads.equilibrium import WholeCar, balance
from kinematics.loads.movements import length_of
from kinematics.loads.readiness import refuse_unready
from kinematics.loads.setup import REACH, AxleSetup, calibrated, preload_that_carries
from kinematics.motion.moving_axle import moving
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import LOAD_CHANGES, Change
from kinematics.planning.dismantled import pitched
from solvers.vectors import Array, cross, dot, unit


@dataclass(frozen=True)
class Fitted:
    """What a plan fits to one axle.

    rate, bar: of the springs and the bar [N/mm], None as they are; longer: free length and packing more (2,) [mm];
    ballast: (2,) [kg].
    """

    rate: float | None = None
    bar: float | None = None
    longer: Array = field(default_factory=lambda: np.zeros(2))
    ballast: Array = field(default_factory=lambda: np.zeros(2))


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
        elif change.what in ("spring spacer", "spring length"):
            found = replace(found, longer=found.longer + change.by * sides)
        elif change.what == "ballast":
            found = replace(found, ballast=found.ballast + change.by * sides / max(float(sides.sum()), 1.0))
    return found


_NO_PACKING = 0.005  # mm
_SET_HEIGHT = ("spring length", "spring spacer")  # changes that say how long the springs are, and so the ride height


def is_held(changes: Sequence[Change]) -> bool:
    """Whether a plan's ride height is given, by itself or as measured, and the springs are packed to keep it."""
    return not fits_loads(changes) or any(change.what == "ride height" for change in changes)


def says_height_twice(changes: Sequence[Change]) -> bool:
    """Whether a plan gives both a ride height and the springs' length that decides it."""
    what = {change.what for change in changes}
    return "ride height" in what and not what.isdisjoint(_SET_HEIGHT)


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
    setups, ballast, packing = [], [], []
    for measured in (springs or MeasuredSprings(car)).setups:
        own = fitted(changes, measured.axle.name)
        setup, packed = _on_changed(measured, axles[measured.axle.name], own, held=is_held(changes))
        setups.append(setup)
        ballast.append(own.ballast)
        packing.append(packed)
    body = axles["front"].axle.body
    assert body.centre_of_gravity is not None  # a car that is ready tells them
    assert body.wheelbase is not None
    whole = WholeCar(setups[0], setups[1], float(body.centre_of_gravity), body.wheelbase)
    return Rigged(whole, np.concatenate(ballast)[:, None], np.stack(packing))


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


def _on_changed(setup: AxleSetup, changed: ChangedAxle, own: Fitted, *, held: bool) -> tuple[AxleSetup, Array]:
    """The calibrated springs on a changed axle, and how much more they are packed than measured (2,) [mm].

    Lengths are new; free lengths and packing stay or are the plan's.

    held: they are packed to carry the weights where the axle stands.
    """
    loads = carried(setup.loads, setup.axle, changed)
    axle = replace(changed.axle, loads=loads)
    ready = moving(axle, -REACH, REACH)
    at_rest = ready.at(np.zeros((2, 1)))
    measured = now = length_of(loads.spring.line, at_rest).value[:, 0]
    ratio_only = loads.spring.line.ratio is not None
    # With a ratio alone a spring's length is known as a change only: the body's rise is what its wheel's travel was.
    if ratio_only:
        now = now + float(loads.spring.line.ratio or 0.0) * changed.raised
    rate = setup.rate if own.rate is None else np.full(2, own.rate)
    free = setup.free_length + own.longer
    gap = setup.stop_gap + float((now - setup.measured).mean())
    preload = rate * (free - now)
    if held:
        laden = replace(loads, corner_mass=loads.corner_mass + own.ballast)
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
    return fitted_up, now + preload / rate - setup.free_length


class Moved(Protocol):
    """What an axle's attachments move with: a changed axle, or a batch (...) of them, as in `ChangedAxle`."""

    @property
    def axle(self) -> Axle:
        """The axle."""

    @property
    def rotation(self) -> Array:
        """Of each upright since measured (..., 2, 3, 3)."""

    @property
    def raised(self) -> float | Array:
        """The body's rise (...) [mm]."""

    @property
    def pitch(self) -> float | Array:
        """The body's turn, nose down positive (...) [rad]."""


def carried(loads: AxleLoads, before: Axle, after: Moved) -> AxleLoads:
    """Loads with their attachments where the changed axle's parts have them; what is on the chassis only rises."""

    def moved(attachment: Attachment) -> Attachment:
        return replace(attachment, place=_moved(attachment, before, after))

    def line(one: Line) -> Line:
        if one.moving is None or one.chassis is None:
            return one
        return replace(one, moving=moved(one.moving), chassis=moved(one.chassis))

    bar = loads.bar
    if bar is not None and bar.ends is not None:
        axis, arm_end = (_with_body(place, after) for place in (bar.ends.axis, bar.ends.arm_end))
        bar = replace(bar, ends=BarEnds(axis, arm_end, moved(bar.ends.drop_link)))
    damper = None if loads.damper is None else (line(loads.damper[0]), loads.damper[1])
    return replace(loads, spring=replace(loads.spring, line=line(loads.spring.line)), bar=bar, damper=damper)


def _with_body(place: Array, after: Moved) -> Array:
    """Where a place on the chassis, of both sides (2, 3), is after a plan, or each of a batch (..., 2, 3) [mm]."""
    turned = pitched(place, np.asarray(after.pitch)[..., None])
    return np.asarray(turned + np.multiply.outer(after.raised, np.array([0.0, 0.0, 1.0]))[..., None, :])


def _moved(attachment: Attachment, before: Axle, after: Moved) -> Array:
    place = attachment.place
    if attachment.on == CHASSIS:
        return _with_body(place, after)
    arm = next((arm for arm in before.suspension.arms if arm.title == attachment.on), None)
    if arm is None:
        arms = place - before.points["wheel_centre"]
        return np.asarray(after.axle.points["wheel_centre"] + (after.rotation @ arms[..., None])[..., 0])
    frames = []
    for axle in (before, after.axle):
        front, rear, joint = (axle.points[key] for key in (arm.pivot_front, arm.pivot_rear, arm.joint))
        along = unit(rear - front)
        out = unit(joint - front - dot(joint - front, along)[..., None] * along)
        frames.append((front, along, out, cross(along, out)))
    origin, *was = frames[0]
    start, *now = frames[1]
    return np.asarray(start + sum(dot(place - origin, a)[..., None] * b for a, b in zip(was, now, strict=True)))
