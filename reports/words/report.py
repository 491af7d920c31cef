"""Sentences of a report: what to do next, what its chances and bands are, and what its words mean in short."""

from collections.abc import Iterator, Sequence

import numpy as np

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import COMMON_PRACTICE, ROLL_CENTRE, STATED, Limit, WorkingRange
from kinematics.doubt.assessment import Assessment
from kinematics.judging.verdict import Finding
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.comparison import Comparison, Outcome
from kinematics.planning.travel_budget import TravelBudget
from reports.words.compared import held_words, holds_all
from reports.words.doubted import reading_name, sources_of
from reports.words.not_judged import BUMP_STEER
from reports.words.numbers import PLUS_MINUS, limit_end, told
from reports.words.plan_cautions import before_it_is_driven
from reports.words.plans import aligned_words, changes_words, refusal_words
from reports.words.travel import finding_words, what_to_do

CHANCES = (
    "Chances are to first order, from how well the car file says the car was measured; `cornersweep doubt` draws cars "
    "at random besides."
)
_IN_SHORT = (
    ("as measured", "The car as it stood when its points were measured; every change counts from there."),
    ("travel", "How far a wheel centre goes up (bump, positive) or down (droop) against the body."),
    ("roll", "How far the body leans; positive: left side up, as in a left-hand corner."),
    ("working range", "The travel and roll that the car really uses. Limits are judged over it."),
    ("margin", "How far a number may still go before it leaves its range, where it is worst."),
    (
        f"{PLUS_MINUS}, give or take, band",
        "Where 95 of 100 such measurements lie: what the errors of measuring leave open.",
    ),
    (
        "chance",
        "How likely a limit really holds, as well as the car was measured. What a plan changes is surer than where the "
        "car stands.",
    ),
)


def what_comes_next(findings: Sequence[Finding], tried: tuple[Comparison, Outcome] | None) -> Iterator[str]:
    """The first thing to do: fit the plan that was chosen, or look for one."""
    if tried is not None:
        yield from plan_steps(*tried)
    elif any(not one.holds for one in findings):
        yield "Look for a plan that holds all limits: write what may be done into a means file, and let `find` look."
    elif findings:
        yield "All limits hold as it is: nothing has to be changed."
    else:
        yield "State limits in the car file, so that the car can be judged."


def plan_steps(comparison: Comparison, chosen: Outcome) -> Iterator[str]:
    """What a plan asks for: its changes, what the adjusters do, what to look at before the car is driven."""
    car = comparison.car
    what = changes_words(chosen.plan, car.unit) or "alignment alone"
    if chosen.troubles:
        yield f'"{chosen.plan.name}" ({what}) cannot be built: {"; ".join(refusal_words(chosen.troubles, car.unit))}.'
        return
    if holds_all(chosen) or not chosen.findings:
        yield f'Make the changes of "{chosen.plan.name}": {what}.'
    else:
        held = f'"{chosen.plan.name}" does not hold all limits ({held_words(chosen)})'
        yield f"{held}: look for a better plan before you fit anything. It asks for: {what}."
    aligned = aligned_words(car, chosen)
    if aligned:
        yield f"Set the wheels: {'; '.join(aligned)}."
    yield from (" ".join(lines) for lines in [before_it_is_driven(chosen.plan)] if lines)


def measure_again_words(
    studies: Sequence[Assessment], key: str, unit: LengthUnit, *, first: bool = True
) -> Iterator[str]:
    """What to measure again, of each axle, for a number; first: before all else. Nothing where none is in doubt."""
    start = "Measure again first" if first else "To be surer still, measure again"
    for one in studies:
        source = next(iter(sources_of(one, key)), None)
        if source is None:
            continue
        quantity = QUANTITIES[key]
        now = told(float(one.half_width_95(("ride height", key)).reshape(-1)[0]), quantity.dimension, unit, sign=False)
        left = told(source.halved, quantity.dimension, unit, sign=False)
        yield (
            f"{start}: {reading_name(source)}. {100.0 * source.share:.0f} % of the doubt of the "
            f"{quantity.title} comes from it; twice as good, it leaves {PLUS_MINUS} {left} of {PLUS_MINUS} {now}."
        )


def bump_steer_before_and_after(
    axle: str, before: Sequence[float], after: Sequence[float], unit: LengthUnit
) -> Iterator[str]:
    """What a plan does to an axle's bump steer, of the worse wheel; nothing where it has none."""
    quantity = QUANTITIES[BUMP_STEER]
    if before and after and np.isfinite([*before, *after]).all():
        was, now = (told(max(one, key=abs), quantity.dimension, unit) for one in (before, after))
        yield f"{axle.capitalize()} bump steer (toe-in in bump positive): as measured {was}, with the plan {now}."


def rules_words(count: int, broken: int) -> str:
    """Whether class rules were looked at, and kept."""
    if not count:
        return "Class rules: none are named, so hold the plan against yours."
    told_of = "the one that is named" if count == 1 else f"of the {count} that are named"
    if count == 1:
        return f"Class rules: {told_of} is {'broken' if broken else 'kept'}."
    return f"Class rules: {told_of} {f'{broken} broken' if broken else 'none is broken'}."


def usual_range_words(limits: Sequence[Limit], unit: LengthUnit) -> Iterator[str]:
    """That the range of the roll centre is a custom, where the car's owner states none."""
    usual = next((one for one in limits if one.key == ROLL_CENTRE.key and one.source != STATED), None)
    if usual is not None:
        low, high = (limit_end(end, Dimension.LENGTH, unit) for end in (usual.low, usual.high))
        yield f"The roll centre's range, {low} to {high} {unit.symbol}, is {COMMON_PRACTICE}."


def short_travel_words(budgets: Sequence[TravelBudget], car: Car, working: WorkingRange) -> Iterator[str]:
    """Where a corner has less travel than the car uses, and what to do about that."""
    for budget in budgets:
        tightest = budget.tightest(working)
        if tightest is not None and budget.short(working):
            do = what_to_do(tightest[2])
            yield f"{finding_words(budget, car, working)}: {do}."


def meanings(keys: Sequence[str], unit: LengthUnit) -> list[tuple[str, str]]:
    """Words of a report and what they mean, numbers by their keys."""
    own = []
    for key in keys:
        quantity = QUANTITIES[key]
        if quantity.meaning:
            said = f"{quantity.meaning[0].upper()}{quantity.meaning[1:]}"
            sign = f" ({quantity.sign})" if quantity.sign else ""
            own.append((quantity.label(unit), f"{said}{sign}."))
    return [*_IN_SHORT, *own]
