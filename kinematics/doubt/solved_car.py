"""A car solved: each axle's numbers as measured and over its sweeps, their doubt and the verdict, all from one path.

Everything that is shown or written of a car is read from these records; nothing of it is solved again.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.limits import Limits
from kinematics.doubt.assessment import Bands, bands_95, doubtful_cars, half_widths_95
from kinematics.doubt.first_order_chance import first_order_chance
from kinematics.doubt.question import DRAWN
from kinematics.judging.verdict import Finding, judge, worst_combined
from kinematics.motion.moving_axle import MovingAxle
from kinematics.numbers.side_view import BY_BODY
from kinematics.numbers.stance import Stance
from kinematics.sweeps.asked import Asked, made_ready, over_attitudes, over_working
from kinematics.sweeps.body import Sweep, stances, sweep_bump
from kinematics.sweeps.roll_axis import RollAxis, half_wheelbase_down, has_roll_axis, roll_axis
from kinematics.sweeps.sweep_job import BANDED, FEW, FINE, SweepJob, Table, between, reaching
from solvers.vectors import Array

_REST = np.zeros(1)


@dataclass(frozen=True)
class MeasuredAxle:
    """An axle as measured: its one state at ride height, how well each number is known, and the verdict on it.

    ready: the axle ready to move over all that was asked; cars: so are those that it might be, if it states a doubt.
    half_width: 95 % way either way, by quantity; empty where it states none. combined: the worst of travel and roll at
    once, as `judging.verdict.worst_combined` has it.
    """

    ready: MovingAxle
    cars: MovingAxle | None
    rest: Sweep
    half_width: Mapping[str, Array]
    findings: tuple[Finding, ...]
    combined: Finding | None = None

    @property
    def axle(self) -> Axle:
        """The axle."""
        return self.ready.axle


@dataclass(frozen=True)
class MeasuredCar:
    """A car at ride height, held against limits.

    roll_axis: of that one state, None where too little is known. chance: that all limits really hold, to first order;
    None unless all hold as measured, every axle that is judged says how well it was measured, and no readings disagree.
    """

    car: Car
    axles: tuple[MeasuredAxle, ...]
    roll_axis: RollAxis | None
    chance: float | None = None

    @property
    def findings(self) -> list[Finding]:
        """The verdict on all axles."""
        return [finding for one in self.axles for finding in one.findings]


@dataclass(frozen=True)
class SolvedAxle:
    """An axle as measured and swept.

    sweeps: by kind of table, in the order of `SweepJob.tables`; curves: the same finely, as `SweepJob.curves` has them.
    bands: around the curves in bump and roll, those of anti-dive and the like where wheelbase and centre of gravity
    state a doubt too; empty where the axle states none. Where a sweep in bump or in roll
    reaches nothing, there are neither curves nor bands, nor sweeps along the rack.
    """

    measured: MeasuredAxle
    at_ride_height: Stance
    sweeps: Mapping[Table, Sweep]
    curves: Mapping[Table, Sweep]
    bands: Mapping[Table, Bands]

    @property
    def axle(self) -> Axle:
        """The axle."""
        return self.measured.axle


@dataclass(frozen=True)
class SolvedRollAxis:
    """The roll axis at ride height, over few bumps and all rolls; finely over bumps without roll, and over rolls."""

    at_rest: RollAxis
    over_all: RollAxis
    in_heave: RollAxis
    in_roll: RollAxis


@dataclass(frozen=True)
class SolvedCar:
    """A car as measured and swept; roll_axis is None where too little is known of it."""

    car: Car
    axles: tuple[SolvedAxle, ...]
    roll_axis: SolvedRollAxis | None

    @property
    def measured(self) -> list[MeasuredAxle]:
        """Its axles as measured."""
        return [one.measured for one in self.axles]

    @property
    def findings(self) -> list[Finding]:
        """The verdict on all axles."""
        return [finding for one in self.axles for finding in one.measured.findings]

    def as_measured(self, limits: Limits) -> MeasuredCar:
        """The car at ride height, with the chance that the limits it was solved for hold."""
        axles, axis = tuple(self.measured), None if self.roll_axis is None else self.roll_axis.at_rest
        return MeasuredCar(self.car, axles, axis, _chance(axles, limits))


def measure(car: Car, limits: Limits) -> MeasuredCar:
    """Solve a car at ride height and hold it against limits."""
    axles = tuple(_measured_axle(axle, limits) for axle in car.axles)
    axis = roll_axis(car, _REST, _REST, [one.ready for one in axles]) if has_roll_axis(car) else None
    return MeasuredCar(car, axles, axis, _chance(axles, limits))


def _chance(axles: Sequence[MeasuredAxle], limits: Limits) -> float | None:
    judged = [one for one in axles if one.findings]
    known = [one.cars for one in judged if one.cars is not None]
    if any(one.axle.readings_disagree for one in axles):
        return None
    if not judged or len(known) < len(judged) or not all(finding.holds for one in judged for finding in one.findings):
        return None
    return math.prod(first_order_chance(cars, limits).together for cars in known)


def solve(car: Car, job: SweepJob, limits: Limits, *also: Asked) -> SolvedCar:
    """Solve all that a sweep job shows of a car; also: what else its axles are going to be asked."""
    axles = tuple(_solved_axle(axle, job, limits, (*also, *_at_axle(car, axle, job))) for axle in car.axles)
    ready = [one.measured.ready for one in axles]
    return SolvedCar(car, axles, _roll_axes(car, job, ready) if has_roll_axis(car) else None)


def _measured_axle(axle: Axle, limits: Limits, asked: Sequence[Asked] = ()) -> MeasuredAxle:
    working = over_working(limits.working)
    ready = made_ready(axle, *working, *asked)
    cars = None if axle.doubt is None else doubtful_cars(axle, *working, *asked, limits=limits)
    half_width = {} if cars is None else half_widths_95(sweep_bump(cars, _REST).values)
    findings, combined = tuple(judge(axle, limits, ready)), worst_combined(axle, limits, ready)
    return MeasuredAxle(ready, cars, sweep_bump(ready, _REST), half_width, findings, combined)


def _solved_axle(axle: Axle, job: SweepJob, limits: Limits, also: Sequence[Asked]) -> SolvedAxle:
    measured = _measured_axle(axle, limits, (*job.everywhere, *also))
    ready, cars = measured.ready, measured.cars
    rest, sweeps = stances(ready, _REST, _REST), job.sweeps(ready)
    if not reaching(sweeps):
        return SolvedAxle(measured, rest, sweeps, {}, {})
    return SolvedAxle(measured, rest, sweeps, job.curves(ready), {} if cars is None else _bands(cars, job))


def _bands(cars: MovingAxle, job: SweepJob) -> dict[Table, Bands]:
    travel, roll = (between(span.samples(), BANDED) for span in (job.travel, job.roll))
    drawn = (*DRAWN, *(BY_BODY if _tells_body(cars.axle) else ()))
    return {
        "bump": bands_95(travel, job.bump(cars, BANDED, drawn).values),
        "roll": bands_95(roll, job.in_roll(cars, BANDED, DRAWN).values),
    }


def _tells_body(axle: Axle) -> bool:
    """Whether it is told how well all is known that anti-dive and the like follow from."""
    return None not in (axle.body.centre_of_gravity_known_to, axle.body.wheelbase_known_to)


def _at_axle(car: Car, axle: Axle, job: SweepJob) -> list[Asked]:
    """What the roll axis of a pitched body asks of an axle besides: it stands lower in front, higher behind."""
    if not job.pitch or not has_roll_axis(car):
        return []
    down = half_wheelbase_down(car, job.pitch) * (1.0 if axle.name == "front" else -1.0)
    return [over_attitudes(-job.travel.ends - down, np.append(job.roll.ends, 0.0), job.pitch)]


def _roll_axes(car: Car, job: SweepJob, ready: list[MovingAxle]) -> SolvedRollAxis:
    def swept(bump: Array, roll: Array) -> RollAxis:
        return roll_axis(car, bump, roll, ready, pitch=job.pitch, outer_shares=job.outer_shares)

    bump, roll = (between(span.samples(), FINE) for span in (job.travel, job.roll))
    everywhere = swept(job.travel.few(FEW), job.roll.samples())
    at_rest = roll_axis(car, _REST, _REST, ready, outer_shares=job.outer_shares)
    return SolvedRollAxis(at_rest, everywhere, swept(bump, _REST), swept(_REST, roll))
