"""Plans side by side: each one's numbers, how it fares, what helped or hurt, and which is best."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limits, Over
from kinematics.judging.verdict import Finding, judge, margins
from kinematics.judging.wording import once_for_both_sides, told
from kinematics.loads.report import COMPARED_AT, LeanNumbers, lean_numbers
from kinematics.motion.moving_axle import MovingAxle
from kinematics.numbers.quantity import Dimension
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import Change
from kinematics.planning.plans import AS_MEASURED, Plan, carry_out
from kinematics.planning.rules import Breach, Rule, hold_against
from kinematics.planning.settling import MeasuredSprings, rigged
from kinematics.planning.stops import TravelLeft, joint_angles, look_for_stops, travel_left
from kinematics.sweeps.asked import Asked, made_ready, over_travel, over_working
from kinematics.sweeps.body import sweep_bump
from solvers.vectors import Array

_NEARBY = 1.0  # mm of travel either way for the roll centre's change
_SAMPLES = 33


@dataclass(frozen=True)
class Number:
    """One compared number of an axle: title, kind of unit, and values, one for the axle or left and right."""

    title: str
    dimension: Dimension
    values: tuple[float, ...]


@dataclass(frozen=True)
class Share:
    """What one change does to a limit's margin [mm, rad]: with it less without it, all others made."""

    axle: str
    key: str
    over: Over
    change: Change
    gain: float


@dataclass(frozen=True)
class Outcome:
    """A plan carried out: the axles after it, their numbers, findings, breaches of rules, and other troubles.

    troubles: why it cannot be built or used, in plain words. shares: for plans of two or more changes. ready: the axles
    ready to move over the working range and all that was to be asked of them besides; empty where they do not fit.
    """

    plan: Plan
    axles: Mapping[str, ChangedAxle]
    numbers: Mapping[str, tuple[Number, ...]]
    findings: tuple[Finding, ...]
    breaches: tuple[Breach, ...]
    troubles: tuple[str, ...]
    shares: tuple[Share, ...]
    ready: Mapping[str, MovingAxle] = field(default_factory=dict)

    def values(self, axle: str, title: str) -> tuple[float, ...]:
        """A number of an axle, one value or left and right; none where it has none."""
        return next((number.values for number in self.numbers.get(axle, ()) if number.title == title), ())

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


@dataclass(frozen=True)
class Comparison:
    """The car as measured and every plan, in the order given; `ranked` has the best first."""

    car: Car
    outcomes: tuple[Outcome, ...]

    def titles(self, axle: str) -> dict[str, Dimension]:
        """Every number that any of them has of an axle, in order, with its kind."""
        known = (number for outcome in self.outcomes for number in outcome.numbers.get(axle, ()))
        return {number.title: number.dimension for number in known}

    @property
    def ranked(self) -> list[Outcome]:
        """Buildable plans first, then by how many limits hold, then by margin."""
        return sorted(self.outcomes, key=lambda one: (one.buildable, one.holding, one.margin), reverse=True)


def compare(
    car: Car,
    plans: Sequence[Plan],
    limits: Limits,
    rules: Sequence[Rule],
    *also: Asked,
    ready: Mapping[str, MovingAxle] | None = None,
) -> Comparison:
    """Carry out plans on paper and hold each against limits, rules, stops and joints.

    also: what the axles are going to be asked besides. ready: the axles as measured, where they are ready for all that.
    """
    everything = [AS_MEASURED, *plans]
    asked = (*over_working(limits.working), over_travel(-_NEARBY, _NEARBY), *also)
    measured = _Measured(car, limits, rules, asked, ready or {})
    done = carry_out(car, everything, measured.springs)
    # Nothing is changed in it, so it is not a linkage of its own.
    done[0] = {name: replace(one, axle=car.axle(name)) for name, one in done[0].items()}
    shares = _shares(car, everything, limits, measured.springs)
    outcomes = [
        _outcome(measured, plan, axles, shares[i]) for i, (plan, axles) in enumerate(zip(everything, done, strict=True))
    ]
    return Comparison(car, tuple(outcomes))


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

    def made_ready(self, axle: Axle) -> MovingAxle:
        """An axle ready for all that is asked: one changed by a plan is another linkage, and its path is traced."""
        known = self.ready.get(axle.name)
        return known if known is not None and known.axle is axle else made_ready(axle, *self.asked)

    @cached_property
    def springs(self) -> MeasuredSprings:
        """Its springs."""
        return MeasuredSprings(self.car)

    @cached_property
    def to_stops(self) -> Mapping[str, MovingAxle | None]:
        """Its axles as they move between their stops."""
        return {axle.name: look_for_stops(axle) for axle in self.car.axles}


def _outcome(measured: _Measured, plan: Plan, axles: Mapping[str, ChangedAxle], shares: tuple[Share, ...]) -> Outcome:
    car, limits, rules = measured.car, measured.limits, measured.rules
    troubles = list(dict.fromkeys(text for changed in axles.values() for text in changed.refusals))
    breaches = tuple(hold_against(plan, rules, car))
    if troubles:
        return Outcome(plan, axles, {}, (), breaches, tuple(troubles), ())
    findings: list[Finding] = []
    numbers = {}
    sprung = _sprung(measured, plan, axles)
    readies = {name: measured.made_ready(changed.axle) for name, changed in axles.items()}
    for axle in car.axles:
        changed, ready = axles[axle.name], readies[axle.name]
        left = travel_left(axle, changed, measured.to_stops[axle.name])
        findings += judge(changed.axle, limits, ready)
        numbers[axle.name] = _numbers(car, changed, left, limits, sprung, ready)
        troubles += _stop_troubles(axle, left, limits, car.unit)
        troubles += _joint_troubles(axle, changed, limits, car.unit, ready)
    return Outcome(plan, axles, numbers, tuple(findings), breaches, tuple(troubles), shares, readies)


def _sprung(measured: _Measured, plan: Plan, axles: Mapping[str, ChangedAxle]) -> LeanNumbers | None:
    """Ride and lean of a plan, where the car tells its springs and weights."""
    try:
        found = rigged(measured.car, axles, plan.changes, measured.springs)
    except ValueError:
        return None
    return lean_numbers(found.car, found.ballast)


def _load_numbers(sprung: LeanNumbers, changed: ChangedAxle) -> list[Number]:
    axle = changed.axle.name
    one = sprung.front if axle == "front" else sprung.rear
    corners = changed.raised + sprung.roll_at_rest * changed.axle.points["wheel_centre"][:, 1]
    numbers = [
        Number("corner raised since measured", Dimension.LENGTH, _each_side(corners)),
        Number("wheel load at rest", Dimension.FORCE, _each_side(sprung.load[0 if axle == "front" else 1])),
        Number("lean at rest, not in the other numbers", Dimension.ANGLE, (sprung.roll_at_rest,)),
        Number("spring travel per wheel travel", Dimension.RATIO, (one.motion_ratio,)),
        Number("wheel rate", Dimension.RATE, (one.ride.wheel_rate,)),
        Number("ride frequency, Hz", Dimension.RATIO, (one.ride.frequency,)),
    ]
    held = sprung.held[0 if axle == "front" else 1]
    if np.isfinite(held):
        numbers.append(Number(f"simple tyres hold, as loaded at {COMPARED_AT:g} g, g", Dimension.RATIO, (float(held),)))
    if axle == "front":
        numbers.append(Number("roll gradient of the car, deg/g", Dimension.RATIO, (sprung.gradient,)))
        numbers.append(Number("front share of the load moved", Dimension.PER_CENT, (sprung.front_share,)))
    return numbers


def _numbers(
    car: Car, changed: ChangedAxle, left: TravelLeft, limits: Limits, sprung: LeanNumbers | None, ready: MovingAxle
) -> tuple[Number, ...]:
    axle = changed.axle
    near = sweep_bump(ready, np.array([-_NEARBY, 0.0, _NEARBY]))
    working = sweep_bump(ready, np.linspace(limits.working.travel_low, limits.working.travel_high, _SAMPLES))
    height = near["roll_centre_height"]
    numbers = [
        Number("roll-centre height", Dimension.LENGTH, (float(height[1]),)),
        Number("its change per travel", Dimension.RATIO, (float(height[2] - height[0]) / (2.0 * _NEARBY),)),
    ]
    if axle.body.centre_of_gravity is not None:
        gravity = float(axle.body.centre_of_gravity)
        numbers.append(Number("centre-of-gravity height", Dimension.LENGTH, (gravity,)))
        numbers.append(Number("roll moment arm", Dimension.LENGTH, (gravity - float(height[1]),)))
    for key, title, kind in (
        ("lower_arm_angle", "lower-arm angle", Dimension.ANGLE),
        ("camber", "camber", Dimension.ANGLE),
        ("toe", "toe", Dimension.ANGLE),
        ("camber_gain", "camber gain", Dimension.ANGLE_PER_LENGTH),
        ("bump_steer", "bump steer", Dimension.ANGLE_PER_LENGTH),
        ("scrub_radius", "scrub radius", Dimension.LENGTH),
        ("axle_offset", "axle offset", Dimension.LENGTH),
        ("roll_steer", "roll steer", Dimension.RATIO),
        ("anti_dive", "anti-dive", Dimension.PER_CENT),
        ("anti_lift", "anti-lift", Dimension.PER_CENT),
        ("anti_squat", "anti-squat", Dimension.PER_CENT),
        ("anti_lift_in_drive", "anti-lift in drive", Dimension.PER_CENT),
    ):
        if key in near.values:
            at_rest = near[key][..., 1]
            numbers.append(Number(title, kind, _each_side(at_rest) if at_rest.ndim else (float(at_rest),)))
    if axle.suspension.whole_axle:
        turned = changed.rotation[0]
        numbers.append(
            Number("pinion angle, nose up", Dimension.ANGLE, (float(np.arctan2(-turned[0, 2], turned[2, 2])),))
        )
        behind = car.axle(axle.name).points["wheel_centre"][:, 0] - axle.points["wheel_centre"][:, 0]
        numbers.append(Number("wheels moved back", Dimension.LENGTH, _each_side(behind)))
    numbers.append(Number("toe change, working travel", Dimension.ANGLE, _each_side(np.ptp(working["toe"], axis=-1))))
    numbers.append(Number("track", Dimension.LENGTH, (float(near["contact_y"][0, 1] - near["contact_y"][1, 1]),)))
    for title, travel in (("travel to bump stop", left.bump), ("travel to droop stop", left.droop)):
        if np.isfinite(travel).any():
            numbers.append(Number(title, Dimension.LENGTH, _each_side(travel)))
    if sprung is not None:
        numbers += _load_numbers(sprung, changed)
    lowest = min(float(point[..., 2].min()) for key, point in axle.points.items() if key != "wheel_centre")
    numbers.append(Number("lowest point over ground", Dimension.LENGTH, (lowest,)))
    return tuple(numbers)


def _each_side(values: Array) -> tuple[float, ...]:
    left, right = (float(value) for value in values)
    return (left,) if abs(left - right) < 1e-6 else (left, right)


def _stop_troubles(axle: Axle, left: TravelLeft, limits: Limits, unit: LengthUnit) -> list[str]:
    working = limits.working
    troubles = []
    for stop, travel, needed in (("bump", left.bump, working.travel_high), ("droop", left.droop, -working.travel_low)):
        for side, name in enumerate(SIDE_NAMES):
            if travel[side] < needed:
                has, wants = (told(value, Dimension.LENGTH, unit, sign=False) for value in (travel[side], needed))
                troubles.append(f"{axle.name} {name}: {has} of travel left to the {stop} stop, {wants} is used")
    return once_for_both_sides(troubles)


def _joint_troubles(axle: Axle, changed: ChangedAxle, limits: Limits, unit: LengthUnit, ready: MovingAxle) -> list[str]:
    allowed = axle.fittings.joint_angles
    if not allowed:
        return []
    travel = np.linspace(limits.working.travel_low, limits.working.travel_high, _SAMPLES)
    angles = joint_angles(axle, changed, travel, ready)
    troubles = []
    for key, most in allowed.items():
        for side, name in enumerate(SIDE_NAMES):
            if angles[key][side] > most:
                turned, allows = (told(angle, Dimension.ANGLE, unit, sign=False) for angle in (angles[key][side], most))
                joint = key.replace("_", " ")
                troubles.append(
                    f"{axle.name} {name}: the {joint} turns {turned} from where it was measured, {allows} is allowed"
                )
    return once_for_both_sides(troubles)


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
