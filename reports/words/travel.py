"""The travel of each corner in words: what ends it first, how much is left, and what to do."""

import math
from collections.abc import Iterator, Sequence

from kinematics.car.car import Car
from kinematics.car.limits import WorkingRange
from kinematics.numbers.quantity import Dimension
from kinematics.planning.plans import AS_MEASURED
from kinematics.planning.shelf_travel import NearestEnd, ShelfTravel, short_of
from kinematics.planning.travel_budget import CornerTravel, TravelBudget, TravelEnd, first_end, not_told, used_travel
from kinematics.planning.travel_ends import LOOK, USUAL_LINK_ANGLE, EndKind
from reports.words.numbers import shown, told
from reports.words.plans import refusal_words
from reports.words.wrapped import wrapped

SHELF_NOTE = (
    "Springs of the shelf are tried one axle at a time, the other as it is, and taken to be coil bound at the length "
    "of those on the car: measure theirs before you trust that."
)
_DO = {
    EndKind.BUMP_STOP: "raise the car, or fit a shorter stop if damper and spring leave room for it",
    EndKind.DROOP_STOP: "lower the car, or let it droop farther if damper and joints leave room for it",
    EndKind.SPRING_SOLID: "fit a spring with more room between its coils, or let a stop end the travel before it",
    EndKind.SPRING_LOOSE: "fit longer or softer springs, a helper spring, or let a stop end the droop before it",
    EndKind.DAMPER_CLOSED: "raise the car, fit shorter dampers, or let a stop end the travel before them",
    EndKind.DAMPER_OPEN: "lower the car, fit longer dampers, or let a stop end the droop before them",
    EndKind.JOINT: "set the joint so that its middle is where the car stands, or let a stop end the travel before it",
    EndKind.TYRE_ON_ARCH: "raise the car, make room for the tyre, or let a stop end the travel before it",
    EndKind.BODY_ON_GROUND: "raise the car, or let a stop end the travel before it",
    EndKind.BAR_LINK: "fit a drop link of another length, or let a stop end the travel before it",
    EndKind.BAR_LINK_OVER: "fit a drop link of another length, or let a stop end the travel before it",
    EndKind.LINKAGE: "let a stop end the travel before the linkage locks",
}
_MEASURE = {
    EndKind.BUMP_STOP: "bump stop",
    EndKind.DROOP_STOP: "droop stop",
    EndKind.SPRING_LOOSE: "springs and weights",
    EndKind.SPRING_SOLID: "the springs' block length",
    EndKind.DAMPER_CLOSED: "the dampers closed",
    EndKind.DAMPER_OPEN: "the dampers open",
    EndKind.JOINT: "joint angles",
    EndKind.TYRE_ON_ARCH: "tyre to arch",
    EndKind.BODY_ON_GROUND: "ground clearance",
    EndKind.BAR_LINK: "where the bar's axis, arm and drop link are",
}


def end_words(end: TravelEnd) -> str:
    """What ends a travel, in few words."""
    if end.kind is EndKind.JOINT:
        return f"{end.names[0].replace('_', ' ')} angle"
    return str(end.kind.value)


def nearest_words(nearest: NearestEnd | None, travel: ShelfTravel) -> str:
    """What ends a combination's travel first, and at which corner."""
    if nearest is None:
        return "" if travel.refusals else "nothing known"
    return f"{nearest.axle} {nearest.side}: {end_words(nearest.end)}"


def shelf_travel_words(found: Sequence[ShelfTravel], car: Car, working: WorkingRange) -> str:
    """What the columns of bump and droop are, and which combinations leave less than the car uses."""
    used = (told(used_travel(working, way), Dimension.LENGTH, car.unit, sign=False) for way in ("bump", "droop"))
    text = "Bump, droop to go: wheel travel to what ends it first, at the corner that has least; the car uses"
    text = f"{text} {' and '.join(used)}"
    if any(short_of(nearest, way, working) for one in found for way, nearest in one.ways()):
        text += " (! where less remains)"
    return f"{text}. What ends it: the file, or travel --shelf. {SHELF_NOTE}"


def none_words(car: Car) -> str:
    """That nothing the file tells ends a travel, and how far was looked."""
    return f"nothing known ends it within {told(LOOK, Dimension.LENGTH, car.unit, sign=False)}"


def travel_headline(budgets: Sequence[TravelBudget], car: Car, working: WorkingRange, then: str) -> list[str]:
    """Which corner runs out first, as measured and in the worst plan, and what to do; then: the next command."""
    measured, *plans = budgets
    lines = wrapped(f"{finding_words(measured, car, working)}.")
    if plans:
        least = min(plans, key=lambda one: one.spare(working))
        lines += wrapped(f"{finding_words(least, car, working)}.")
    return [*lines, *wrapped(f"Next: {_next(budgets, car, working, then)}")]


def finding_words(budget: TravelBudget, car: Car, working: WorkingRange, begun: str = "") -> str:
    """Which corner of a car runs out first; without a full stop. begun: what it says first, if not the plan's name."""
    name = begun or ("As measured" if budget.plan is AS_MEASURED else f'With "{budget.plan.name}"')
    if not budget.corners:
        return f"{name}: {refusal_words(budget.refusals, car.unit)[0]}"
    tightest = budget.tightest(working)
    if tightest is None:
        return f"{name}, nothing that the car file tells ends the travel of any corner"
    corner, way, end = tightest
    where, after = _where(budget, corner, way, end, car), told(end.travel, Dimension.LENGTH, car.unit, sign=False)
    used = told(used_travel(working, way), Dimension.LENGTH, car.unit, sign=False)
    if end.travel <= 0.0:
        return f"{name}, {where} is past the end of its {way} at ride height already: {end_words(end)}, {used} is used"
    if end.travel < used_travel(working, way):
        return f"{name}, {where} runs out of {way} first: {end_words(end)} after {after}, {used} is used"
    return f"{name}, {where} has least to spare, in {way}: {end_words(end)} after {after}, {used} is used"


def _where(budget: TravelBudget, corner: CornerTravel, way: str, end: TravelEnd, car: Car) -> str:
    """The corner, or its axle where both sides show the same."""

    def shows(other: TravelEnd | None) -> bool:
        return other is not None and other.kind is end.kind and _travel(other, car) == _travel(end, car)

    both = [dict(one.ways())[way] for one in budget.corners if one.axle == corner.axle]
    alike = all(shows(first_end(ends)) for ends in both)
    return f"the {corner.axle} axle" if alike else f"{corner.axle} {corner.side}"


def _told(end: TravelEnd, car: Car) -> str:
    return told(end.travel, Dimension.LENGTH, car.unit, sign=False)


def _travel(end: TravelEnd, car: Car) -> str:
    return shown(end.travel, Dimension.LENGTH, car.unit)


def _next(budgets: Sequence[TravelBudget], car: Car, working: WorkingRange, then: str) -> str:
    """What to do: about what runs out as measured, or in a plan; else what to measure; else the next command."""
    for budget in (budgets[0], *sorted(budgets[1:], key=lambda one: one.spare(working))):
        tightest = budget.tightest(working)
        if tightest is not None and budget.short(working):
            return f"{what_to_do(tightest[2])}; then run this again."
    lacking = dict.fromkeys(kind for axle in car.axles for kind in not_told(axle))
    if lacking:
        return f"measure {', '.join(_MEASURE[kind] for kind in list(lacking)[:3])}, and write them into the car file."
    return then


def what_to_do(end: TravelEnd) -> str:
    """What to do about an end that comes too early; without a full stop."""
    return _DO[end.kind]


def not_told_words(car: Car) -> Iterator[str]:
    """What each axle's file does not tell, so that nobody looked at it."""
    for axle in car.axles:
        lacks = [_MEASURE[kind] for kind in not_told(axle)]
        if axle.suspension.rack and axle.fittings.joint_angles and axle.fittings.rack_travel is None:
            lacks.append("rack travel, so joints are looked at straight ahead only")
        if lacks:
            yield f"Not told of the {axle.name} axle, so not looked at: {', '.join(lacks)}."


def budget_remarks(budget: TravelBudget, car: Car) -> Iterator[str]:
    """Of each corner and way all ends in the order in which they come."""
    for corner in budget.corners:
        for way, ends in corner.ways():
            listed = ", ".join(f"{end_words(one)} {_travel(one, car)}" for one in ends)
            yield f"{corner.axle} {corner.side}, {way}: {listed or none_words(car)}"


def measured_gap_words(budget: TravelBudget, car: Car) -> Iterator[str]:
    """Why a tyre meets its arch, or the body the ground, at another travel than the gap that was measured."""
    for axle in car.axles:
        gaps = {EndKind.TYRE_ON_ARCH: axle.fittings.tyre_to_arch, EndKind.BODY_ON_GROUND: axle.fittings.clearance}
        ends = [end for one in budget.corners if one.axle == axle.name for end in one.bump]
        found = {one.kind: gap for one in ends if (gap := gaps.get(one.kind)) is not None and _apart(one, gap, car)}
        if found:
            gap_words = " and ".join(
                f"{_MEASURE[kind]} ({told(gap, Dimension.LENGTH, car.unit, sign=False)} in the file)"
                for kind, gap in found.items()
            )
            yield (
                f"{axle.name.capitalize()} {gap_words}: travel is told of the wheel's centre, and as the wheel leans "
                "with its camber, its top and its contact point rise a little more or less than that."
            )


def _apart(end: TravelEnd, gap: float, car: Car) -> bool:
    """Whether it is told as another length than what the file has."""
    return _travel(end, car) != shown(gap, Dimension.LENGTH, car.unit)


def link_words(budget: TravelBudget, car: Car, working: WorkingRange) -> Iterator[str]:
    """Where a bar's drop link comes near its dead centre within the travel that the car uses."""
    least = math.degrees(USUAL_LINK_ANGLE[0])
    plan = "" if budget.plan is AS_MEASURED else f'With "{budget.plan.name}", '
    for corner in budget.corners:
        for way, ends in corner.ways():
            for end in ends:
                if end.kind is EndKind.BAR_LINK_NEAR and end.travel < used_travel(working, way):
                    after = "at ride height already" if end.travel <= 0.0 else f"after {_told(end, car)} of {way}"
                    text = f"{plan}{corner.axle} {corner.side}: the bar's drop link is within {least:g} degrees of its"
                    text = f"{text} dead centre {after}, seen from the side (common practice, no source)."
                    yield text[0].upper() + text[1:]


def order_words(budget: TravelBudget, car: Car) -> Iterator[str]:
    """Where a stop that the file tells is not what ends the travel first: something dearer does."""
    stops = {"bump": EndKind.BUMP_STOP, "droop": EndKind.DROOP_STOP}
    for corner in budget.corners:
        for way, ends in corner.ways():
            first = first_end(ends)
            stop = next((one for one in ends if one.kind is stops[way]), None)
            if stop is not None and first is not None and first.kind is not stops[way]:
                early, late = (f"{end_words(one)} at {_travel(one, car)}" for one in (first, stop))
                where = f"{corner.axle.capitalize()} {corner.side}"
                yield f"{where}: {early} comes before the {late}, which ought to end the {way}."
