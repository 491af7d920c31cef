"""What decides among plans, on one screen: the headline, plans as rows, and what the best one is made of."""

from collections.abc import Iterator, Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.limits import Limits
from kinematics.planning.comparison import Comparison, Outcome
from reports.tables.terminal import show_headline
from reports.words.compared import (
    NOT_ROOM,
    RANKED_BY,
    Sure,
    best_plan,
    comparison_headline,
    decides_words,
    held_of,
    holds_all,
    roll_centre_words,
)
from reports.words.headline import WHAT_IT_DOES
from reports.words.not_checked import not_checked_words
from reports.words.not_judged import BUMP_STEER, bump_steer_words
from reports.words.numbers import per_cent
from reports.words.plan_cautions import before_it_is_driven
from reports.words.plans import aligned_words, changes_words
from reports.words.tyre_size import tyre_size_words
from reports.words.verdict import combined_words, ranges_words
from reports.words.wrapped import WIDTH, wrapped

_MOST_PLANS = 6  # besides the car as measured, the best first
_MANY = 5  # with the car as measured
_MOST_LINES = 3  # of what the best plan is made of
_PLAN, _DECIDES = 15, 36  # columns of characters; the second gets less where the others leave less of a line
_BETWEEN = 2  # spaces between columns
_MORE = "Every number, adjusters, and what each change does: --all."


def show_compared_decisive(
    out: Console, comparison: Comparison, limits: Limits, sure: Sure, then: str, *, everything: bool = False
) -> None:
    """Print which plan does best, and each plan in a row. sure: how sure plans that hold all are, by name."""
    show_plans(out, comparison, sure, comparison_headline(comparison, sure, then))
    for line in _remarks(comparison, limits):
        out.print(Text(line))
    if not everything:
        out.print(Text(_MORE))


def show_plans(out: Console, comparison: Comparison, sure: Sure, head: Sequence[str]) -> None:
    """Print what is to be said first, and each plan in a row."""
    show_headline(head)
    shown, left = _shown(comparison)
    out.print(_plans(comparison, shown, sure))
    if left:
        out.print(f"{left} more plan{'s are' if left > 1 else ' is'} not shown here, none better than these.")


def _shown(comparison: Comparison) -> tuple[Sequence[Outcome], int]:
    """The car as measured, then plans, best first, as many as the screen holds; how many are left."""
    measured = comparison.outcomes[0]
    plans = [one for one in comparison.ranked if one is not measured]
    return [measured, *plans[:_MOST_PLANS]], max(len(plans) - _MOST_PLANS, 0)


def _plans(comparison: Comparison, shown: Sequence[Outcome], sure: Sure) -> Table:
    unit, axle = comparison.car.unit, comparison.car.axles[0].name
    table = Table(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    plan = min(max(len(one.plan.name) for one in shown), _PLAN)
    table.add_column("plan", width=plan)
    table.add_column(f"{axle}\nroll centre", no_wrap=True)
    table.add_column("holds", no_wrap=True)
    standing = [(roll_centre_words(one, axle, unit).removesuffix(" ground"), held_of(one)) for one in shown]
    chances = any(one.plan.name in sure and sure[one.plan.name].chance is not None for one in shown)
    if chances:
        table.add_column("chance", justify="right", no_wrap=True)
    table.add_column("what limits it", no_wrap=True)
    sureness = [_chance(one, sure) for one in shown]
    columns = [
        [axle, "roll centre", *(where for where, _ in standing)],
        ["holds", *(held for _, held in standing)],
    ]
    columns += [["chance", *sureness]] if chances else []
    left = WIDTH - 1 - plan - _BETWEEN - sum(max(map(len, column)) + _BETWEEN for column in columns) - 1
    for one, where, chance in zip(shown, standing, sureness, strict=True):
        decides = wrapped(decides_words(one, unit, sure.get(one.plan.name)), min(left, _DECIDES))
        cells: list[Text | str] = [
            Text(one.plan.name),
            *where,
            *([chance] if chances else []),
            Text("\n".join(decides)),
        ]
        table.add_row(*cells, style="green" if holds_all(one) else "")
    return table


def _chance(one: Outcome, sure: Sure) -> str:
    """How likely a plan holds all; nothing where that is not known."""
    found = sure.get(one.plan.name)
    return "" if found is None or found.chance is None else per_cent(found.chance)


def _remarks(comparison: Comparison, limits: Limits) -> Iterator[str]:
    unit, best = comparison.car.unit, best_plan(comparison)
    if len(comparison.outcomes) < _MANY:  # of many plans the screen is full without it
        yield WHAT_IT_DOES
    told = best or comparison.outcomes[-1 if len(comparison.outcomes) == 2 else 0]
    if told is not comparison.outcomes[0]:
        yield from wrapped(f'"{told.plan.name}": {changes_words(told.plan, unit) or "alignment alone"}.')[:_MOST_LINES]
        for line in aligned_words(comparison.car, told):
            yield from wrapped(f"Adjusters afterwards: {line}.")
        yield from tyre_size_words(told.plan, comparison.car)
        yield from before_it_is_driven(told.plan)
    first, shown = comparison.car.axles[0], _shown(comparison)[0]
    named = [(one.plan.name, one.values(first.name, BUMP_STEER)) for one in shown]
    yield from bump_steer_words(first, limits, named, unit)
    if told.combined is not None:
        yield from wrapped(combined_words(told.combined, unit))
    if any(one.findings for one in comparison.outcomes):
        yield from wrapped(ranges_words(limits.working, unit))
    if sum(map(holds_all, comparison.outcomes)) > 1:  # room is what tells these apart
        yield from [*wrapped(f"Ranked by {RANKED_BY}."), *wrapped(NOT_ROOM)]
    if best is not None:
        yield from not_checked_words(comparison.car)
