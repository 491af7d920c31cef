"""What to set, measure and turn for a plan: numbered entries, each with what is planned and how near it should come."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.fittings import Adjusters
from kinematics.car.limits import WorkingRange
from kinematics.car.suspension_type import CHASSIS
from kinematics.judging.verdict import Finding
from kinematics.loads.readiness import Lack, NotReadyError
from kinematics.planning.alignment import with_camber_adjusted, with_toe_link_adjusted
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import LOAD_CHANGES, points_moved
from kinematics.planning.dismantled import AxleParts, put_together, take_apart
from kinematics.planning.plans import Plan, axle_before_aligning, settled
from kinematics.planning.rake import rake_base
from kinematics.planning.settling import rigged
from kinematics.setting.bump_steer import toe_change
from kinematics.setting.perches import Perches, set_on_perches
from solvers.vectors import Array


class Measure(Enum):
    """What is set and measured, at one wheel each."""

    HEIGHT = "ride height"
    LOAD = "wheel load"
    CAMBER = "camber"
    TOE = "toe-in"
    BUMP_STEER = "toe change"


# How near it should come, farther than the usual doubt of a reading (`came_out`): common practice, no source.
TOLERANCE: Mapping[Measure, float] = {
    Measure.HEIGHT: 2.0,  # mm
    Measure.LOAD: 3.0,  # kg
    Measure.CAMBER: math.radians(0.15),
    Measure.TOE: math.radians(0.08),
    Measure.BUMP_STEER: math.radians(0.05),
}
CROSS_TOLERANCE = 0.003  # common practice, no source


@dataclass(frozen=True)
class Adjuster:
    """What is turned for an entry.

    what: "toe link", "perch", or as `Adjusters.camber_by` has it. by: how far from where it was measured [mm, rad];
    longer, outward and towards the spring positive. a_turn: what one turn goes [same], None where the file does not
    tell it. effect: of one unit of it on the entry's own number.
    """

    what: str
    by: float
    a_turn: float | None
    effect: float

    @property
    def turns(self) -> float | None:
        """How many turns that is."""
        return None if self.a_turn is None else self.by / self.a_turn

    @property
    def effect_of_a_turn(self) -> float | None:
        """What one turn does to the entry's own number."""
        return None if self.a_turn is None else self.effect * self.a_turn


@dataclass(frozen=True)
class Entry:
    """A number to set and to measure at one wheel [mm, kg, rad].

    number: on the sheet. point: from where a height is taken to the floor. known_to: one standard deviation of what is
    planned, None where nothing says it. adjuster: None where the car file names none that sets it. before_turning: what
    the gauge should show with all fitted and the height set, before any adjuster is turned; None where none is. over:
    what toe is shown over as a length, the tyre's diameter at its loaded radius [mm], so that it is over * sin(toe).
    travel: of the wheel from ride height, bump positive [mm], where the toe's change since is measured.
    """

    number: int
    measure: Measure
    axle: str
    side: str
    planned: float
    as_measured: float
    point: str = ""
    known_to: float | None = 0.0
    adjuster: Adjuster | None = None
    before_turning: float | None = None
    over: float | None = None
    travel: float | None = None

    @property
    def tolerance(self) -> float:
        """How near it should come."""
        return TOLERANCE[self.measure]


@dataclass(frozen=True, repr=False)
class SetUp:
    """A plan on its way to the garage.

    entries: in the order of their numbers. perches: with the wheel loads; None where the car does not tell enough, for
    which lacks says what. outside: limits that do not hold with the plan, where it was judged.
    """

    car: Car
    plan: Plan
    axles: Mapping[str, ChangedAxle]
    entries: tuple[Entry, ...]
    perches: Perches | None
    lacks: tuple[Lack, ...]
    outside: tuple[Finding, ...] = ()

    def __repr__(self) -> str:
        return f"<set-up of {self.car.name!r} for {self.plan.name!r}: {len(self.entries)} numbers to measure>"

    def of(self, measure: Measure, axle: str) -> tuple[Entry, ...]:
        """Left and right of one axle; none where it is not measured."""
        return tuple(one for one in self.entries if one.measure is measure and one.axle == axle)


def set_up(
    car: Car,
    plan: Plan,
    axles: Mapping[str, ChangedAxle],
    cross: float | None = None,
    working: WorkingRange | None = None,
) -> SetUp:
    """Work out what to set and turn for a plan that was carried out; cross: cross-weight wanted, a part of one.

    working: over whose travel bump steer is to be checked, where not over that of the car's own limits.

    Raises NotReadyError where a cross-weight is wanted of a car that does not tell enough, NotReachedError where its
    perches cannot bring it.
    """
    perches, lacks = _perches(car, plan, axles, cross)
    done = settled(car, plan)
    drafts = [one for axle in car.axles for one in _of_axle(car, done, axles[axle.name], axle, perches)]
    used = working or car.limits.working
    travels = [one for one in (used.travel_low, used.travel_high) if one]
    drafts += [one for axle in car.axles for one in _bump_steer(car, done, axles[axle.name], axle, travels)]
    entries = tuple(_numbered(drafts))
    return SetUp(car, plan, axles, entries, perches, lacks)


def _numbered(drafts: Sequence[Entry]) -> Iterator[Entry]:
    for number, one in enumerate(drafts, start=1):
        yield replace(one, number=number)


def _perches(
    car: Car, plan: Plan, axles: Mapping[str, ChangedAxle], cross: float | None
) -> tuple[Perches | None, tuple[Lack, ...]]:
    try:
        on_springs = rigged(car, axles, plan.changes)
    except NotReadyError as found:
        if cross is not None:
            raise
        return None, found.lacks
    return set_on_perches(on_springs, cross, _movable(car)), ()


def _movable(car: Car) -> tuple[bool, bool]:
    """Which axles' perches can be moved: those that tell a thread, or all, by packing, where none does."""
    front, rear = (axle.fittings.adjusters.perch_thread is not None for axle in car.axles)
    return (front, rear) if front or rear else (True, True)


def _of_axle(car: Car, plan: Plan, changed: ChangedAxle, measured: Axle, perches: Perches | None) -> Iterator[Entry]:
    index = [axle.name for axle in car.axles].index(measured.name)
    yield from _heights(plan, changed, measured, perches, index)
    if perches is not None:
        yield from _loads(measured, perches, index)
    yield from _angles(changed, measured, _before_aligning(car, plan, measured))


def _heights(plan: Plan, changed: ChangedAxle, measured: Axle, perches: Perches | None, index: int) -> Iterator[Entry]:
    point = height_point(measured, plan)
    place = changed.axle.points[point]
    up = place[:, 2] if perches is None else place[:, 2] + perches.heave[index] + np.sin(perches.roll) * place[:, 1]
    thread = measured.fittings.adjusters.perch_thread
    for i, side in enumerate(SIDE_NAMES):
        perch = None if perches is None else Adjuster("perch", float(perches.packed[index, i]), thread, 1.0)
        before = float(measured.points[point][i, 2])
        known_to = _known_to(measured, point, "up", i)
        yield Entry(0, Measure.HEIGHT, measured.name, side, float(up[i]), before, point, known_to, perch)


def _loads(measured: Axle, perches: Perches, index: int) -> Iterator[Entry]:
    assert measured.loads is not None  # there are no perches of a car that does not tell its weights
    thread = measured.fittings.adjusters.perch_thread
    for i, side in enumerate(SIDE_NAMES):
        perch = Adjuster("perch", float(perches.crossed[index, i]), thread, float(perches.cross_per_mm[index, i]))
        load, before = float(perches.load[index, i]), float(measured.loads.corner_mass[i])
        yield Entry(0, Measure.LOAD, measured.name, side, load, before, adjuster=perch)


def _before_aligning(car: Car, plan: Plan, measured: Axle) -> Axle | None:
    """The axle with all fitted and its height set, no adjuster turned; None where parts do not fit without that."""
    fitted, fits = axle_before_aligning(measured, plan, rake_base(car))
    return fitted if fits.all() else None


def _angles(changed: ChangedAxle, measured: Axle, fitted: Axle | None) -> Iterator[Entry]:
    adjusters, axle = measured.fittings.adjusters, changed.axle
    effects = angle_effects(axle, adjusters)
    ways = (
        (Measure.CAMBER, axle.camber, measured.camber, adjusters.camber_by, changed.camber, adjusters.camber_turn),
        (Measure.TOE, axle.toe, measured.toe, "toe link", changed.toe_link, adjusters.toe_thread),
    )
    for measure, planned, before, what, by, a_turn in ways:
        for i, side in enumerate(SIDE_NAMES):
            effect = effects.get(measure)
            turned = None if effect is None else Adjuster(what, float(by[i]), a_turn, float(effect[i]))
            # What an adjuster sets is set to the number itself; what nothing sets is as sure as it was measured.
            sure = 0.0 if turned else _known_to(measured, measure.name.lower(), "", i)
            first = None if turned is None or fitted is None else float(getattr(fitted, measure.name.lower())[i])
            over = 2.0 * float(axle.radius[i]) if measure is Measure.TOE else None
            values = float(planned[i]), float(before[i])
            yield Entry(0, measure, measured.name, side, *values, "", sure, turned, first, over)


def _bump_steer(
    car: Car, plan: Plan, changed: ChangedAxle, measured: Axle, travels: Sequence[float]
) -> Iterator[Entry]:
    """Toe over travel of an axle that the plan changes, where a link sets its toe."""
    kind = measured.suspension
    if kind.toe_link is None or kind.whole_axle or not is_changed(plan, changed):
        return
    found = toe_change(measured, plan, rake_base(car), changed, travels)
    for at, travel in enumerate(found.travel):
        for i, side in enumerate(SIDE_NAMES):
            known_to = None if found.known_to is None else float(found.known_to[i, at])
            values = float(found.planned[i, at]), float(found.as_measured[i, at])
            over = 2.0 * float(changed.axle.radius[i])
            wheel = Measure.BUMP_STEER, measured.name, side
            yield Entry(0, *wheel, *values, known_to=known_to, over=over, travel=float(travel))


def is_changed(plan: Plan, changed: ChangedAxle) -> bool:
    """Whether a settled plan moves anything of an axle's geometry."""
    name = changed.axle.name
    fitted = any(one.axle == name and one.size and one.what not in LOAD_CHANGES for one in plan.changes)
    return fitted or name in plan.targets or bool(changed.raised or changed.pitch)


_TRIED = {"strut bolts": 1e-3}  # rad; other adjusters go by mm
_TRIED_MM = 0.5


def angle_effects(axle: Axle, adjusters: Adjusters) -> dict[Measure, Array]:
    """Change of camber and of toe for each unit of what sets it (2,) [rad/mm; rad/rad], ride height kept.

    Only of what the axle has. Half of the difference between as much either way.
    """
    parts = take_apart(axle)
    found = {}
    if axle.suspension.toe_link is not None:
        found[Measure.TOE] = _slope(lambda by: with_toe_link_adjusted(parts, by), _TRIED_MM, "toe")
    if adjusters.camber_by != "none":
        tried = _TRIED.get(adjusters.camber_by, _TRIED_MM)
        found[Measure.CAMBER] = _slope(lambda by: with_camber_adjusted(parts, adjusters, by), tried, "camber")
    return found


def _slope(turned: Callable[[Array], AxleParts], by: float, angle: str) -> Array:
    more, less = (getattr(put_together(turned(np.full(2, way * by))).axle, angle) for way in (1.0, -1.0))
    return np.asarray((more - less) / (2.0 * by))


def height_point(axle: Axle, plan: Plan) -> str:
    """The point on the body from which ride height is taken: an arm's front pivot, or else the lowest on the chassis.

    A point that the plan moves in the body is taken only where there is no other.
    """
    kind = axle.suspension
    moved = {key for one in plan.changes if one.axle == axle.name for key in points_moved(one, kind)}
    on_body = [key for key, carrier in kind.carriers.items() if carrier == CHASSIS and key not in kind.single]
    still = [key for key in on_body if key not in moved] or on_body
    pivots = [arm.pivot_front for arm in kind.arms if arm.pivot_front in still]
    return pivots[0] if pivots else min(still, key=lambda key: float(axle.points[key][:, 2].mean()))


def _known_to(axle: Axle, of: str, way: str, side: int) -> float | None:
    """How well a coordinate or an angle is known, one standard deviation [mm, rad]; None where the file is silent."""
    if axle.doubt is None:
        return None
    for one, known_to in zip(axle.doubt.coordinates, axle.doubt.standard_deviation, strict=True):
        if (one.of, one.way) == (of, way) and side in one.sides:
            return float(known_to)
    return None
