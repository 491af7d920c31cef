"""What the demo tells: how far a car may be lowered, as it is and with which parts."""

from collections.abc import Iterator, Sequence

from kinematics.car.lengths import LengthUnit
from kinematics.finding.found_plans import Search
from kinematics.planning.comparison import Comparison
from reports.words.compared import roll_centre
from reports.words.finding import plan_words
from reports.words.headline import height_words, in_two_lines
from reports.words.numbers import per_cent, told_planned
from reports.words.plan_cautions import before_it_is_driven
from reports.words.verdict import ranges_words
from reports.words.wrapped import wrapped

_NEXT = "Next: cornersweep sheet strut sheet.pdf (a sheet to measure your own car by)"


def story_headline(comparison: Comparison, planned: str, now: Search, parts: Search) -> list[str]:
    """The answer in three lines. planned: name of the owner's plan; now, parts: searches without and with parts."""
    unit, axle = comparison.car.unit, comparison.car.axles[0].name
    measured = comparison.outcomes[0]
    (plan,) = (one for one in comparison.outcomes if one.plan.name == planned)
    before, after = (height_words(roll_centre(one, axle), unit) for one in (measured, plan))
    held = "still in range" if plan.holding == len(plan.findings) else "out of range"
    text = f"{axle.capitalize()} roll centre {before}; {planned} it is {after}, {held}."
    low = f"All limits hold {_lowered(now, unit)} as it is, {_lowered(parts, unit)} with parts."
    return [*in_two_lines([f"{text} {low}"]), _NEXT]


def _lowered(search: Search, unit: LengthUnit) -> str:
    return f"{told_planned(-search.best.raised, unit)} lower" if search.found else "nowhere"


def story_words(comparison: Comparison, now: Search, parts: Search) -> Iterator[str]:
    """Who asks, and what was found."""
    unit = comparison.car.unit
    yield from wrapped(
        "The car is invented: a front-drive hatchback for hill climbs, still at standard height, whose owner wants it "
        "low and has bought nothing yet."
    )
    yield from wrapped(ranges_words(comparison.outcomes[0].findings[0].working, unit))
    said: Sequence[tuple[str, Search]] = (("As it is", now), ("With parts", parts))
    for title, search in said:
        chance = "" if search.best.chance is None else f"; chance that all limits hold {per_cent(search.best.chance)}"
        yield from wrapped(f"{title}: {plan_words(search, search.best, unit) or 'nothing'}{chance}.")
    yield from before_it_is_driven(parts.best.plan)
