"""Where a plan lets the car sit: other springs, packing, coils and ballast decide the ride height, not the planner.

The measured car calibrates what is not known: its weights and rates tell the springs' free lengths. A plan's parts
then settle in balance, and its geometry is solved at the height that follows.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.springs_and_bars import Attachment, AxleLoads, BarEnds, Line
from kinematics.car.suspension_type import CHASSIS
from kinematics.loads.equilibrium import WholeCar, balance
from kinematics.loads.movements import length_of
from kinematics.loads.readiness import refuse_unready
from kinematics.loads.setup import REACH, AxleSetup, calibrated
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


def fits_loads(changes: Sequence[Change]) -> bool:
    """Whether a plan fits springs, packing, bars or ballast."""
    return any(change.what in LOAD_CHANGES for change in changes)


@dataclass(frozen=True)
class Rigged:
    """A car of changed axles with the plan's springs and bars on it, and its ballast at the wheels (4, 1) [kg]."""

    car: WholeCar
    ballast: Array


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
    setups, ballast = [], []
    for measured in (springs or MeasuredSprings(car)).setups:
        own = fitted(changes, measured.axle.name)
        setup = _on_changed(measured, axles[measured.axle.name], own)
        setups.append(setup)
        ballast.append(own.ballast)
    body = axles["front"].axle.body
    assert body.centre_of_gravity is not None  # a car that is ready tells them
    assert body.wheelbase is not None
    whole = WholeCar(setups[0], setups[1], float(body.centre_of_gravity), body.wheelbase)
    return Rigged(whole, np.concatenate(ballast)[:, None])


def settle(found: Rigged) -> tuple[float, float] | None:
    """How far the body rises at the front and at the rear from where the axles stand now [mm].

    None where the springs hold the car up nowhere within their travel.
    """
    rest = balance(found.car, np.zeros(1), ballast=found.ballast)
    if not rest.solved.all():
        return None
    return float(rest.heave[0, 0]), float(rest.heave[1, 0])


def _on_changed(setup: AxleSetup, changed: ChangedAxle, own: Fitted) -> AxleSetup:
    """The calibrated springs on a changed axle: free lengths and packing stay or are the plan's, lengths are new."""
    loads = _carried(setup.loads, setup.axle, changed)
    axle = replace(changed.axle, loads=loads)
    ready = moving(axle, -REACH, REACH)
    measured = now = length_of(loads.spring.line, ready.at(np.zeros((2, 1)))).value[:, 0]
    ratio_only = loads.spring.line.ratio is not None
    # With a ratio alone a spring's length is known as a change only: the body's rise is what its wheel's travel was.
    if ratio_only:
        now = now + float(loads.spring.line.ratio or 0.0) * changed.raised
    rate = setup.rate if own.rate is None else np.full(2, own.rate)
    free = setup.free_length + own.longer
    gap = setup.stop_gap + float((now - setup.measured).mean())
    bar = setup.bar if own.bar is None else np.asarray(own.bar)
    return replace(
        setup,
        moving=ready,
        loads=loads,
        rate=rate,
        preload=rate * (free - now),
        bar=bar,
        stop_gap=gap,
        measured=measured,
    )


def _carried(loads: AxleLoads, before: Axle, after: ChangedAxle) -> AxleLoads:
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


def _with_body(place: Array, after: ChangedAxle) -> Array:
    """Where a place on the chassis (..., 3) is after a plan [mm]."""
    return np.asarray(pitched(place, np.asarray(after.pitch)) + np.array([0.0, 0.0, after.raised]))


def _moved(attachment: Attachment, before: Axle, after: ChangedAxle) -> Array:
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
