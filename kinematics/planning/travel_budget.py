"""How far each corner of a car can go in bump and droop, and what ends it, as measured and after each plan."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.limits import WorkingRange
from kinematics.car.units import refuse_no_unit
from kinematics.loads.readiness import NotReadyError
from kinematics.loads.setup import AxleSetup, calibrated
from kinematics.motion.moving_axle import MovingAxle, moving
from kinematics.numbers.rows import Rows
from kinematics.numbers.tables import in_columns
from kinematics.planning.ballast import ballast_on_wheels
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.plan_arguments import refuse_no_plans
from kinematics.planning.plans import AS_MEASURED, Plan, carry_out
from kinematics.planning.refusal import Cause, Refusal, each_once
from kinematics.planning.settling import MeasuredSprings, fitted, is_held, on_changed, rigged
from kinematics.planning.stops import travel_left
from kinematics.planning.travel_ends import BOTH, BUMP, DROOP, LOOK, SOFT, Corner, EndKind, Room, rooms
from kinematics.sweeps.arguments import refuse_no_working
from solvers.read_only import read_only
from solvers.vectors import Column

_SAMPLES = 31  # of the travel in one way
_WITHIN = 9  # of the step between two of them in which an end lies, and of each step within that
_ROUNDS = 3
_LOOKED_AT = 9  # of the travel that is used: what shrinks over it is smallest near its ends
_AT_THE_EDGE = 1e-6  # mm


@dataclass(frozen=True)
class TravelEnd:
    """One end of a corner's travel.

    travel: how far from the present ride height [mm], in bump or droop; negative where it has been passed already.
    names: of the joint, or of those that hold a linkage that locks.
    """

    kind: EndKind
    travel: float
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class CornerTravel:
    """What ends one corner's travel in bump and in droop, the nearest first."""

    axle: str
    side: str
    bump: tuple[TravelEnd, ...]
    droop: tuple[TravelEnd, ...]

    def ways(self) -> tuple[tuple[str, tuple[TravelEnd, ...]], ...]:
        """Both ways by name."""
        return ("bump", self.bump), ("droop", self.droop)


def first_end(ends: Sequence[TravelEnd]) -> TravelEnd | None:
    """What ends a travel first, of what does more than begin to resist."""
    return next((one for one in ends if one.kind not in SOFT), None)


def told_end(ends: Sequence[TravelEnd]) -> TravelEnd | None:
    """What to tell of a travel: what ends it first, or else what begins to resist."""
    return first_end(ends) or next(iter(ends), None)


@dataclass(frozen=True, repr=False)
class TravelBudget:
    """The corners of a car after a plan; none where it cannot be put together, for which there are refusals then."""

    plan: Plan
    corners: tuple[CornerTravel, ...]
    refusals: tuple[Refusal, ...] = ()

    def __repr__(self) -> str:
        told = f"{len(self.corners)} corners" if self.corners else "cannot be built"
        return f"<travel with plan {self.plan.name!r}: {told}>"

    def tightest(self, working: WorkingRange) -> tuple[CornerTravel, str, TravelEnd] | None:
        """The corner, the way and the end that leave least beyond what the car uses; None where no end is known."""
        found = [
            (end.travel - used_travel(working, way), corner, way, end)
            for corner in self.corners
            for way, ends in corner.ways()
            if (end := first_end(ends)) is not None
        ]
        return min(found, key=lambda one: one[0])[1:] if found else None

    def spare(self, working: WorkingRange) -> float:
        """The least travel left beyond what the car uses [mm]; infinite where no end is known, or none can be left."""
        tightest = self.tightest(working)
        if not self.corners:
            return -math.inf
        return math.inf if tightest is None else tightest[2].travel - used_travel(working, tightest[1])

    def short(self, working: WorkingRange) -> bool:
        """Whether a corner has less travel than the car uses, or the car cannot be put together."""
        return self.spare(working) < 0.0


def used_travel(working: WorkingRange, way: str) -> float:
    """How far a car goes in bump or in droop [mm]."""
    return working.travel_high if way == "bump" else -working.travel_low


@dataclass(frozen=True, repr=False)
class TravelBudgets(Rows[TravelBudget]):
    """The budgets of a car as measured and after each plan, looked up by the plans' names.

    working: the travel that the car uses.
    """

    budgets: tuple[TravelBudget, ...]
    working: WorkingRange
    what = "plan"

    def __repr__(self) -> str:
        return f"<travel of a car: {', '.join(self.keys())}>"

    def _records(self) -> tuple[TravelBudget, ...]:
        return self.budgets

    def keys(self) -> list[str]:
        """Names of all plans, what was measured first."""
        return [one.plan.name for one in self.budgets]

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """One row for each end of each corner's travel, the nearest first: how far off, how much of it is used."""
        refuse_no_unit(unit)
        return in_columns(row for budget in self for row in self._rows(budget, unit))

    def _rows(self, budget: TravelBudget, unit: LengthUnit) -> Iterator[dict[str, Any]]:
        for corner in budget.corners:
            for way, ends in corner.ways():
                used = used_travel(self.working, way)
                for end in ends:
                    yield {
                        "plan": budget.plan.name,
                        "axle": corner.axle,
                        "side": corner.side,
                        "way": way,
                        "ended_by": end.kind.value,
                        "joints": "; ".join(end.names),
                        f"travel_{unit.symbol}": unit.from_mm(end.travel),
                        f"used_{unit.symbol}": unit.from_mm(used),
                        f"spare_{unit.symbol}": unit.from_mm(end.travel - used),
                    }


def not_told(axle: Axle) -> tuple[EndKind, ...]:
    """Ends that a car file could tell of an axle, and does not."""
    fittings, spring = axle.fittings, None if axle.loads is None else axle.loads.spring
    damper, bar = fittings.damper, None if axle.loads is None else axle.loads.bar
    block = spring is not None and spring.block_length is not None
    lone = spring is not None and spring.free_length is None and spring.line.ratio is not None
    missing = {
        EndKind.BUMP_STOP: fittings.bump_stop is None and (spring is None or spring.bump_stop is None),
        EndKind.DROOP_STOP: fittings.droop_stop is None,
        EndKind.SPRING_LOOSE: spring is None,
        EndKind.SPRING_SOLID: not block or lone,
        EndKind.DAMPER_CLOSED: damper is None or damper.closed is None,
        EndKind.DAMPER_OPEN: damper is None or damper.opened is None,
        EndKind.JOINT: not fittings.joint_angles,
        EndKind.TYRE_ON_ARCH: fittings.tyre_to_arch is None,
        EndKind.BODY_ON_GROUND: fittings.clearance is None,
        EndKind.BAR_LINK: bar is not None and bar.ends is None,
    }
    return tuple(kind for kind, lacks in missing.items() if lacks)


def travel_budgets(
    car: Car, plans: Sequence[Plan], working: WorkingRange, springs: MeasuredSprings | None = None
) -> TravelBudgets:
    """The budget of a car as measured and after each plan; refusals where less is left than the car uses.

    working: the travel that it uses, such as `car.limits.working`. springs: the car's as measured, where at hand.
    """
    refuse_no_plans(car, plans, "travel_budgets")
    refuse_no_working(working, "travel_budgets")
    springs = springs or MeasuredSprings(car)
    everything = [AS_MEASURED, *plans]
    done = carry_out(car, everything, springs)
    done[0] = {axle.name: _as_measured(axle) for axle in car.axles}
    found = (_budget(car, plan, axles, working, springs) for plan, axles in zip(everything, done, strict=True))
    return read_only(TravelBudgets(tuple(found), working))


def _as_measured(axle: Axle) -> ChangedAxle:
    whole = np.broadcast_to(np.eye(3), (2, 3, 3))
    return ChangedAxle(axle, whole, np.zeros(2), np.zeros(2), 0.0, 0.0, ())


def _budget(
    car: Car, plan: Plan, axles: Mapping[str, ChangedAxle], working: WorkingRange, springs: MeasuredSprings
) -> TravelBudget:
    troubles = each_once(refusal for one in axles.values() for refusal in one.refusals)
    if troubles:
        return TravelBudget(plan, (), troubles)
    setups = setups_after(car, axles, plan, springs)
    corners = [one for axle in car.axles for one in corners_travel(axle, axles[axle.name], setups.get(axle.name))]
    return TravelBudget(plan, tuple(corners), tuple(travel_refusals(corners, working)))


def setups_after(
    car: Car, axles: Mapping[str, ChangedAxle], plan: Plan, springs: MeasuredSprings
) -> dict[str, AxleSetup]:
    """Axles on their springs after a plan, by name: those whose springs are known."""
    try:
        return {setup.axle.name: setup for setup in rigged(car, axles, plan.changes, springs).car.axles}
    except NotReadyError:
        pass
    found = {}
    # Where ballast with a place presses is known only of a car whose two axles are.
    alone = is_held(plan.changes) and all(change.place is None for change in plan.changes)
    for axle in car.axles if alone else ():
        if axle.loads is None:
            continue
        try:
            own, more = fitted(plan.changes, axle.name), ballast_on_wheels(car, plan.changes)
            held_with = more[("front", "rear").index(axle.name)]
            found[axle.name] = on_changed(calibrated(axle), axles[axle.name], own, held_with)[0]
        except NotReadyError:
            continue
    return found


def corners_travel(measured: Axle, changed: ChangedAxle, setup: AxleSetup | None) -> list[CornerTravel]:
    """What ends the travel of both corners of one axle, left first."""
    ready = moving(changed.axle, -LOOK, LOOK)
    ends: dict[float, list[list[TravelEnd]]] = {BUMP: [[], []], DROOP: [[], []]}
    for way, side, end in _all_ends(Corner(measured, changed, ready, setup)):
        ends[way][side].append(end)
    in_order = {way: [tuple(sorted(own, key=lambda end: end.travel)) for own in both] for way, both in ends.items()}
    return [
        CornerTravel(measured.name, name, in_order[BUMP][side], in_order[DROOP][side])
        for side, name in enumerate(SIDE_NAMES)
    ]


def _all_ends(corner: Corner) -> Iterator[tuple[float, int, TravelEnd]]:
    left = travel_left(corner.measured, corner.changed)
    for kind, way, travel in ((EndKind.BUMP_STOP, BUMP, left.bump), (EndKind.DROOP_STOP, DROOP, left.droop)):
        yield from ((way, side, TravelEnd(kind, float(travel[side]))) for side in range(2) if np.isfinite(travel[side]))
    yield from _locks(corner.ready)
    for room in rooms(corner):
        for way in room.ways:
            names = (room.name,) if room.name else ()
            for side in range(2):
                found = _reached(room, way, corner.ready, side)
                if math.isfinite(found):
                    yield way, side, TravelEnd(room.kind, found, names)


def _locks(ready: MovingAxle) -> Iterator[tuple[float, int, TravelEnd]]:
    """Where the linkage itself goes no further, short of how far it is followed."""
    for way, reach in ((DROOP, ready.reach[0]), (BUMP, ready.reach[1])):
        for side in range(2):
            travel = float(reach[side])
            if abs(travel) < LOOK - _AT_THE_EDGE:
                states = ready.at(np.full((2, 1), way * LOOK))
                reason = ready.why_short(states, side, low=way < 0.0)
                yield way, side, TravelEnd(EndKind.LINKAGE, abs(travel), reason.joints)


def _reached(room: Room, way: float, ready: MovingAxle, side: int) -> float:
    """Travel of one corner to an end in one way [mm]; negative where it has been passed, NaN where it is not reached.

    What is looked for both ways, an angle, has no travel left in either where it is beyond its end already.
    """
    low, high = (float(end[side]) for end in ready.reach)
    ahead, behind = (high, low) if way > 0.0 else (low, high)
    if float(room.left(np.zeros((2, 1)))[side, 0]) > 0.0:
        return way * _first_at_zero(room, ahead, side)
    return 0.0 if room.ways is BOTH else way * _first_at_zero(room, behind, side)


def _first_at_zero(room: Room, end: float, side: int) -> float:
    """Travel from zero towards an end [mm] at which a corner's room first changes sign; NaN where it never does.

    Both wheels go together: a live axle's would roll it otherwise.
    """
    start, stop = 0.0, end
    for samples in (_SAMPLES, *[_WITHIN] * _ROUNDS):
        travel = np.linspace(start, stop, samples)
        left = room.left(np.ones((2, 1)) * travel)[side]
        changed = np.isfinite(left[1:]) & ((left[1:] > 0.0) != (left[0] > 0.0))
        if not changed.any():
            return math.nan
        step = int(changed.argmax())
        start, stop = float(travel[step]), float(travel[step + 1])
    before, after = float(left[step]), float(left[step + 1])
    return start + (stop - start) * before / (before - after)


def travel_refusals(corners: Sequence[CornerTravel], working: WorkingRange) -> Iterator[Refusal]:
    """What ends a corner's travel before the car has used it; that the linkage locks is told where it is swept."""
    for corner in corners:
        for way, ends in corner.ways():
            used = used_travel(working, way)
            for end in ends:
                if end.kind not in (*SOFT, EndKind.LINKAGE) and end.travel < used:
                    names = (end.kind.value, way, *end.names)
                    yield Refusal(Cause.TRAVEL_ENDS, corner.axle, corner.side, names, end.travel, (used, math.inf))


def further_refusals(
    measured: Axle, changed: ChangedAxle, ready: MovingAxle, working: WorkingRange, told: Sequence[Refusal]
) -> Iterator[Refusal]:
    """What else than stops and springs ends the working travel: dampers, arches, the ground, joints at either lock.

    ready: the changed axle over the working travel. told: refusals of joints that turn too far without steering.
    """
    low, high = working.travel_low, working.travel_high
    known = {(one.side, *one.names) for one in told}
    used = np.ones((2, 1)) * np.linspace(low, high, _LOOKED_AT)
    hard = (room for room in rooms(Corner(measured, changed, ready, None, low, high)) if room.kind not in SOFT)
    for room in hard:
        enough = np.asarray((room.left(used) > 0.0).all(axis=-1))
        for side, name in enumerate(SIDE_NAMES):
            if not enough[side] and (name, room.name) not in known:
                yield from _short_of(room, measured.name, side, {BUMP: ("bump", high), DROOP: ("droop", low)})


def _short_of(room: Room, axle: str, side: int, ends: Mapping[float, tuple[str, float]]) -> Iterator[Refusal]:
    """Where a corner runs out within what is used, whose ends each way are given."""
    past = float(room.left(np.zeros((2, 1)))[side, 0]) <= 0.0
    for way in room.ways:
        name, end = ends[way]
        travel = 0.0 if past else way * _first_at_zero(room, end, side)
        if math.isfinite(travel):
            names = (room.kind.value, name, *([room.name] if room.name else []))
            yield Refusal(Cause.TRAVEL_ENDS, axle, SIDE_NAMES[side], names, travel, (way * end, math.inf))
