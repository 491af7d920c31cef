"""Plans side by side: each one's numbers, how it fares, what helped or hurt, and which is best."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.lengths import MM, LengthUnit
from kinematics.car.limits import Limits, Over
from kinematics.judging.verdict import Finding, judge, margins, worst_combined
from kinematics.loads.readiness import NotReadyError
from kinematics.loads.report import lean_numbers
from kinematics.motion.moving_axle import MovingAxle
from kinematics.numbers.quantity import ReportedNumber
from kinematics.numbers.result import number_of
from kinematics.numbers.rows import Rows
from kinematics.numbers.tables import in_columns
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import Change
from kinematics.planning.compared_numbers import COMPARED_NUMBERS, NEARBY, Values, compared_values, tried_axle
from kinematics.planning.other_springs import limits_after
from kinematics.planning.plan_arguments import refuse_no_plans, refuse_no_rules
from kinematics.planning.plans import AS_MEASURED, Plan, carry_out
from kinematics.planning.refusal import Refusal, each_once
from kinematics.planning.rules import Breach, Rule, hold_against
from kinematics.planning.settling import MeasuredSprings, Rigged, kept_height, rigged
from kinematics.planning.spring_room import spring_refusals
from kinematics.planning.stops import joint_refusals, look_for_stops, stop_refusals, travel_left
from kinematics.planning.travel_budget import further_refusals
from kinematics.sweeps.arguments import refuse_no_limits
from kinematics.sweeps.asked import Asked, made_ready, over_travel, over_working
from solvers.read_only import read_only
from solvers.vectors import Column

_SAMPLES = 33


@dataclass(frozen=True)
class Share:
    """What one change does to a limit's margin [mm, rad]: with it less without it, all others made."""

    axle: str
    key: str
    over: Over
    change: Change
    gain: float


@dataclass(frozen=True, repr=False)
class Outcome:
    """A plan carried out: the axles after it, their numbers, findings, breaches of rules, and other troubles.

    numbers: by axle and key, as `COMPARED_NUMBERS` has them; none of a plan that is refused. troubles: why it cannot be
    built or used. shares: for plans of two or more changes. ready: the axles ready to move over the working range and
    all that was to be asked of them besides; empty where they do not fit. combined: the front axle's limited
    height where it is worst over travel and roll at once; None where there is none.
    """

    plan: Plan
    axles: Mapping[str, ChangedAxle]
    numbers: Mapping[str, Mapping[str, Values]]
    findings: tuple[Finding, ...]
    breaches: tuple[Breach, ...]
    troubles: tuple[Refusal, ...]
    shares: tuple[Share, ...]
    ready: Mapping[str, MovingAxle] = field(default_factory=dict)
    combined: Finding | None = None

    def __repr__(self) -> str:
        if not self.numbers:
            return f"<plan {self.plan.name!r}: cannot be built>"
        cannot = "" if self.buildable else "cannot be built or used; "
        return f"<plan {self.plan.name!r}: {cannot}{self.holding} of {len(self.findings)} findings hold>"

    def values(self, axle: str, key: str) -> Values:
        """A number of an axle, one value or left and right; none where it has none."""
        return self.numbers.get(axle, {}).get(key, ())

    @property
    def buildable(self) -> bool:
        """Whether it fits together, stays within stops and joints, and breaks no rule."""
        return not self.troubles and all(breach.allowed for breach in self.breaches)

    @property
    def holding(self) -> int:
        """How many limits hold."""
        return sum(finding.holds for finding in self.findings)

    @property
    def margin(self) -> float:
        """Worst margin of all limits, as a part of each limit's range (of its size where it is one-sided)."""
        return min((_relative(finding) for finding in self.findings), default=math.inf)

    @property
    def tightest(self) -> Finding:
        """The check with the worst margin, of those that do not hold if there are such; there must be a check."""
        return min(self.findings, key=lambda one: (one.holds, _relative(one)))


@dataclass(frozen=True, repr=False)
class Comparison(Rows[Outcome]):
    """The car as measured and every plan, in the order given, looked up by name; `ranked` has the best first."""

    car: Car
    outcomes: tuple[Outcome, ...]
    what = "plan"

    def __repr__(self) -> str:
        return f"<comparison of {self.car.name!r}: {', '.join(self.keys())}>"

    def _records(self) -> tuple[Outcome, ...]:
        return self.outcomes

    def keys(self) -> list[str]:
        """Names of all plans, what was measured first."""
        return [one.plan.name for one in self.outcomes]

    def about(self, key: str) -> ReportedNumber:
        """What is known of a compared number: title, meaning, dimension, and which way is positive."""
        return number_of(key, COMPARED_NUMBERS)

    def columns(self, unit: LengthUnit = MM) -> dict[str, Column]:
        """One row for each axle, number and side, with its unit, and a column for each plan; NaN where one has none."""
        return in_columns(
            row
            for axle in self.car.axles
            for number in self.numbers(axle.name)
            for row in self._rows(axle.name, number, unit)
        )

    def _rows(self, axle: str, number: ReportedNumber, unit: LengthUnit) -> Iterator[dict[str, Any]]:
        every = [outcome.values(axle, number.key) for outcome in self.outcomes]
        scale = number.dimension.scale(unit)
        sides = SIDE_NAMES if any(len(values) == len(SIDE_NAMES) for values in every) else ("",)
        for place, side in enumerate(sides):
            known = [values[place % len(values)] * scale if values else math.nan for values in every]
            told = zip((one.plan.name for one in self.outcomes), known, strict=True)
            head = {"axle": axle, "number": number.key, "side": side, "unit": number.dimension.unit(unit)}
            yield {**head, **dict(told)}

    def numbers(self, axle: str) -> list[ReportedNumber]:
        """Every number that any of them has of an axle, in order."""
        known = dict.fromkeys(key for outcome in self.outcomes for key in outcome.numbers.get(axle, ()))
        return [COMPARED_NUMBERS[key] for key in known]

    @property
    def ranked(self) -> list[Outcome]:
        """Buildable plans first, then by how many limits hold, then by margin."""
        return sorted(self.outcomes, key=lambda one: (one.buildable, one.holding, one.margin), reverse=True)


def compare(
    car: Car,
    plans: Sequence[Plan],
    limits: Limits,
    rules: Sequence[Rule] = (),
    *also: Asked,
    ready: Mapping[str, MovingAxle] | None = None,
) -> Comparison:
    """Carry out plans on paper and hold each against limits, rules, stops and joints.

    Limits that the car's balance decides are found anew for a plan that fits other springs or bars.

    also: what the axles are going to be asked besides. ready: the axles as measured, where they are ready for all that.
    """
    refuse_no_plans(car, plans, "compare")
    refuse_no_limits(limits, "compare")
    refuse_no_rules(rules, "compare")
    everything = [AS_MEASURED, *plans]
    asked = (*over_working(limits.working), over_travel(-NEARBY, NEARBY), *also)
    measured = _Measured(car, limits, rules, asked, ready or {})
    done = carry_out(car, everything, measured.springs)
    # Nothing is changed in it, so it is not a linkage of its own.
    done[0] = {name: replace(one, axle=car.axle(name)) for name, one in done[0].items()}
    shares = _shares(car, everything, limits, measured.springs)
    outcomes = [
        _outcome(measured, plan, axles, shares[i]) for i, (plan, axles) in enumerate(zip(everything, done, strict=True))
    ]
    return read_only(Comparison(car, tuple(outcomes)))


@dataclass(frozen=True)
class _Measured:
    """What all plans are held against, and what the car as measured tells of them, found once.

    asked: what each axle is made ready for; ready: those as measured that are already.
    """

    car: Car
    limits: Limits
    rules: Sequence[Rule]
    asked: Sequence[Asked]
    ready: Mapping[str, MovingAxle]

    def made_ready(self, axle: Axle, *also: Asked) -> MovingAxle:
        """An axle ready for all that is asked: one changed by a plan is another linkage, and its path is traced."""
        known = self.ready.get(axle.name)
        return known if known is not None and known.axle is axle else made_ready(axle, *self.asked, *also)

    @cached_property
    def springs(self) -> MeasuredSprings:
        """Its springs."""
        return MeasuredSprings(self.car)

    @cached_property
    def to_stops(self) -> Mapping[str, MovingAxle | None]:
        """Its axles as they move between their stops."""
        return {axle.name: look_for_stops(axle) for axle in self.car.axles}


def _outcome(measured: _Measured, plan: Plan, axles: Mapping[str, ChangedAxle], shares: tuple[Share, ...]) -> Outcome:
    car, rules = measured.car, measured.rules
    limits = limits_after(measured.limits, car, plan.changes, measured.springs)
    first = car.axles[0]
    troubles = list(each_once(refusal for changed in axles.values() for refusal in changed.refusals))
    breaches = tuple(hold_against(plan, rules, car))
    if troubles:
        return Outcome(plan, axles, {}, (), breaches, tuple(troubles), ())
    findings: list[Finding] = []
    numbers = {}
    used = np.linspace(limits.working.travel_low, limits.working.travel_high, _SAMPLES)
    on_springs = _on_springs(measured, plan, axles)
    sprung = None if on_springs is None else lean_numbers(on_springs.car, on_springs.ballast)
    kept = None if on_springs is None else kept_height(on_springs, plan.changes)
    troubles += [] if on_springs is None or plan is AS_MEASURED else spring_refusals(on_springs, limits.working)
    also = over_working(limits.working) if limits is not measured.limits else ()
    readies = {name: measured.made_ready(changed.axle, *also) for name, changed in axles.items()}
    for axle in car.axles:
        changed, ready = axles[axle.name], readies[axle.name]
        left = travel_left(axle, changed, measured.to_stops[axle.name])
        findings += judge(changed.axle, limits, ready)
        numbers[axle.name] = compared_values(tried_axle(axle, changed, left, limits, sprung, kept, ready))
        joints = joint_refusals(axle, changed, used, ready)
        troubles += [*stop_refusals(axle, left, limits.working), *joints]
        troubles += further_refusals(axle, changed, ready, limits.working, joints)
    combined = worst_combined(axles[first.name].axle, limits, readies[first.name])
    return Outcome(plan, axles, numbers, tuple(findings), breaches, tuple(troubles), shares, readies, combined)


def _on_springs(measured: _Measured, plan: Plan, axles: Mapping[str, ChangedAxle]) -> Rigged | None:
    """The car that a plan leaves, on its springs; None where it does not tell its springs and weights."""
    try:
        return rigged(measured.car, axles, plan.changes, measured.springs)
    except NotReadyError:
        return None


def _shares(car: Car, plans: Sequence[Plan], limits: Limits, springs: MeasuredSprings) -> list[tuple[Share, ...]]:
    """Shares of each plan's changes, found by leaving one out at a time; all variants are solved together."""
    variants: list[Plan] = []
    places: list[list[int]] = []
    for plan in plans:
        places.append([])
        if len(plan.changes) > 1:
            places[-1] = list(range(len(variants), len(variants) + len(plan.changes) + 1))
            variants += [plan, *(_without(plan, i) for i in range(len(plan.changes)))]
    if not variants:
        return [() for _ in plans]
    done = carry_out(car, variants, springs)
    shares: list[list[Share]] = [[] for _ in plans]
    for axle in car.axles:
        fits = np.array([not axles[axle.name].refusals for axles in done])
        inside = margins(_batched([axles[axle.name].axle for axles in done]), limits)
        for (key, over), margin in inside.items():
            for plan, place, found in zip(plans, places, shares, strict=True):
                for change, without in zip(plan.changes, place[1:], strict=False):
                    known = fits[place[0]] and fits[without] and np.isfinite(margin[[place[0], without]]).all()
                    if known and change.axle == axle.name:
                        found.append(Share(axle.name, key, over, change, float(margin[place[0]] - margin[without])))
    return [tuple(found) for found in shares]


def _without(plan: Plan, index: int) -> Plan:
    return replace(plan, changes=plan.changes[:index] + plan.changes[index + 1 :])


def _batched(axles: Sequence[Axle]) -> Axle:
    first = axles[0]
    points = {key: np.stack([axle.points[key] for axle in axles]) for key in first.points}
    camber, toe = np.stack([axle.camber for axle in axles]), np.stack([axle.toe for axle in axles])
    height = first.body.centre_of_gravity
    if height is not None:
        height = np.array([axle.body.centre_of_gravity for axle in axles], dtype=float)
    return replace(first, points=points, camber=camber, toe=toe, body=replace(first.body, centre_of_gravity=height))


def _relative(finding: Finding) -> float:
    width = finding.limit.high - finding.limit.low
    if not math.isfinite(width):
        width = abs(finding.limit.low if math.isfinite(finding.limit.low) else finding.limit.high) or 1.0
    return finding.margin / width
