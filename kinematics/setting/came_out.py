"""What was measured after a set-up against what was planned, each with its doubt, and what to turn again."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from kinematics.car.car import LEFT, RIGHT, SIDE_NAMES
from kinematics.doubt.assessment import NORMAL_95
from kinematics.setting.look_again import LookAgain, look_again
from kinematics.setting.perches import cross_weight
from kinematics.setting.set_up import CROSS_TOLERANCE, Adjuster, Entry, Measure, SetUp
from solvers.vectors import Array

# One standard deviation of a reading that does not say its own: common practice, no source.
USUAL_KNOWN_TO: Mapping[Measure, float] = {
    Measure.HEIGHT: 1.5,  # mm, a rule
    Measure.LOAD: 1.0,  # kg, a pad
    Measure.CAMBER: math.radians(0.1),
    Measure.TOE: math.radians(0.05),
    Measure.BUMP_STEER: math.radians(0.03),
}
_SCALES_DISAGREE = 0.02  # part of the car's mass: common practice, no source


class Came(Enum):
    """How a number came out."""

    AS_PLANNED = "within the tolerance"
    IN_DOUBT = "outside the tolerance, but no farther than the doubt of measuring"
    OFF = "off by more than the doubt of measuring"


@dataclass(frozen=True)
class Reading:
    """What was read of one entry [mm, kg, rad]; known_to: one standard deviation."""

    value: float
    known_to: float


@dataclass(frozen=True)
class Outcome:
    """One entry and what was read of it. off: read less planned; either_way_95: half of its 95 % interval, or None.

    again: what is still to be turned, for what an adjuster of its own sets and is off. look: why the reading is to be
    looked at again instead, and then nothing is to be turned by it.
    """

    entry: Entry
    reading: Reading
    off: float
    either_way_95: float
    came: Came
    again: Adjuster | None
    look: LookAgain | None = None


@dataclass(frozen=True)
class OnScales:
    """The four wheel loads together.

    total, planned_total: [kg]. cross: what was read, less planned is off, as parts of one; either_way_95 of it.
    add_up: whether the scales show the mass that the plan's car has, within what the readings' doubt or 2 % allow.
    """

    total: float
    planned_total: float
    cross: float
    off: float
    either_way_95: float
    came: Came
    add_up: bool


@dataclass(frozen=True)
class Apart:
    """How much higher an axle's left height is over its right one than planned [mm], and half its 95 % interval."""

    axle: str
    off: float
    either_way_95: float
    came: Came


@dataclass(frozen=True)
class CameOut:
    """A set-up measured afterwards. scales: where all loads were read; perches: what is still to move (2, 2) [mm].

    apart: of each axle of which both heights were read and neither is off by itself. Perches are not told while a
    height or a load is to be looked at again.
    """

    set_up: SetUp
    outcomes: tuple[Outcome, ...]
    scales: OnScales | None
    perches: Array | None
    apart: tuple[Apart, ...] = ()

    @property
    def look(self) -> tuple[Outcome, ...]:
        """Whose readings are to be looked at again before anything is turned by them."""
        return tuple(one for one in self.outcomes if one.look is not None)

    @property
    def left_blank(self) -> tuple[Entry, ...]:
        """Entries of which nothing was written down."""
        read = {one.entry.number for one in self.outcomes}
        return tuple(one for one in self.set_up.entries if one.number not in read)

    @property
    def as_planned(self) -> bool:
        """Whether nothing that was read is off by more than its doubt."""
        told = [*(one.came for one in self.outcomes), *(one.came for one in self.apart)]
        told += [] if self.scales is None else [self.scales.came]
        return Came.OFF not in told and (self.scales is None or self.scales.add_up)


def came_out(planned: SetUp, readings: Mapping[int, Reading]) -> CameOut:
    """Hold readings, by the numbers of their entries, against a set-up."""
    outcomes = tuple(_outcome(planned, one, readings[one.number]) for one in planned.entries if one.number in readings)
    scales = _on_scales(planned, readings)
    found = CameOut(planned, outcomes, scales, None, tuple(_apart(outcomes)))
    told = {one.entry.measure for one in outcomes if one.came is Came.OFF}
    wrong = Measure.HEIGHT in told or (scales is not None and scales.came is Came.OFF)
    doubted = {one.entry.measure for one in found.look} & {Measure.HEIGHT, Measure.LOAD}
    return replace(found, perches=_perches_again(planned, found)) if wrong and not doubted else found


def _came(off: float, tolerance: float, either_way: float) -> Came:
    if abs(off) <= tolerance:
        return Came.AS_PLANNED
    return Came.IN_DOUBT if abs(off) <= either_way else Came.OFF


def _outcome(planned: SetUp, entry: Entry, reading: Reading) -> Outcome:
    off = reading.value - entry.planned
    either_way = NORMAL_95 * math.hypot(reading.known_to, entry.known_to or 0.0)
    came = _came(off, entry.tolerance, either_way)
    adjuster, again = entry.adjuster, None
    if came is Came.OFF and adjuster is not None and entry.measure in (Measure.CAMBER, Measure.TOE):
        again = replace(adjuster, by=-off / adjuster.effect)
    look = None
    if came is Came.OFF:
        car = planned.car
        look = look_again(entry, reading.value, again, car.axle(entry.axle).fittings.adjusters, car.unit)
    return Outcome(entry, reading, off, either_way, came, again if look is None else None, look)


def _apart(outcomes: Sequence[Outcome]) -> Iterator[Apart]:
    heights = [one for one in outcomes if one.entry.measure is Measure.HEIGHT]
    for axle in dict.fromkeys(one.entry.axle for one in heights):
        own = [one for one in heights if one.entry.axle == axle]
        if len(own) == len(SIDE_NAMES) and all(one.came is not Came.OFF for one in own):
            off = own[LEFT].off - own[RIGHT].off
            either_way = math.hypot(*(one.either_way_95 for one in own))
            yield Apart(axle, off, either_way, _came(off, own[LEFT].entry.tolerance, either_way))


def _on_scales(planned: SetUp, readings: Mapping[int, Reading]) -> OnScales | None:
    """The four loads together, where all were read."""
    entries = [one for one in planned.entries if one.measure is Measure.LOAD]
    if planned.perches is None or not all(one.number in readings for one in entries):
        return None
    read = [readings[one.number] for one in entries]
    load, known_to = (np.array([getattr(one, name) for one in read]).reshape(2, 2) for name in ("value", "known_to"))
    total, due = float(load.sum()), float(planned.perches.load.sum())
    cross = float(cross_weight(load))
    # Each pad's part in the quotient: those on the diagonal raise it, the others lower it.
    on_diagonal = np.array([[0.0, 1.0], [1.0, 0.0]])
    either_way = NORMAL_95 * float(np.linalg.norm((on_diagonal - cross) * known_to)) / total
    off = cross - planned.perches.cross
    allowed = max(_SCALES_DISAGREE * due, NORMAL_95 * float(np.linalg.norm(known_to)))
    came = _came(off, CROSS_TOLERANCE, either_way)
    return OnScales(total, due, cross, off, either_way, came, abs(total - due) <= allowed)


def _perches_again(planned: SetUp, found: CameOut) -> Array | None:
    """How far to move the perches still (2, 2) [mm]; None where it takes more readings, or is not told."""
    if planned.perches is None:
        return None
    heights = [_heights_off(found, axle.name) for axle in planned.car.axles]
    heave = [None if one is None else float(one.mean()) for one in heights]
    contact = [axle.contact[:, 1] for axle in planned.car.axles]
    half = float(np.ptp(contact[0])) / 2.0
    points = [planned.axles[axle.name].axle.points for axle in planned.car.axles]
    rolls = []
    for axle, off, own in zip(planned.car.axles, heights, points, strict=True):
        if off is not None:
            place = own[planned.of(Measure.HEIGHT, axle.name)[0].point][:, 1]
            rolls.append(float(off[LEFT] - off[RIGHT]) / float(place[LEFT] - place[RIGHT]))
    cross = None if found.scales is None or not found.scales.add_up else found.scales.off
    return planned.perches.to_undo(heave, half * float(np.mean(rolls)) if rolls else None, cross)


def _heights_off(found: CameOut, axle: str) -> Array | None:
    """By how much both heights of an axle are off (2,) [mm]; None where one of them was not read."""
    off = [one.off for one in found.outcomes if one.entry.measure is Measure.HEIGHT and one.entry.axle == axle]
    return np.array(off) if len(off) == 2 else None
