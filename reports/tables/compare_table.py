"""Plans side by side in the terminal: numbers, adjusters, rules, verdicts, what helped, and the ranking."""

import math
import textwrap
from collections.abc import Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import Axle
from kinematics.car.lengths import LengthUnit
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.comparison import Comparison, Outcome, Share
from reports.words.numbers import shows, sides_shown, told
from reports.words.plan_cautions import full_cautions
from reports.words.plans import (
    aligned_words,
    breach_words,
    change_words,
    gain_words,
    rank_words,
    refusal_words,
    steps,
    verdict_words,
)
from reports.words.verdict import combined_words, sentence

_PLANS_BESIDE = 3  # and the car as measured: what 80 columns hold
_NAME = 11  # characters in a line of a plan's column


def show_comparison(out: Console, comparison: Comparison) -> None:
    """Print everything about all plans."""
    measured, *plans = comparison.outcomes
    for axle in comparison.car.axles:
        for first in range(0, max(len(plans), 1), _PLANS_BESIDE):
            beside = [measured, *(plan for plan in plans[first : first + _PLANS_BESIDE] if plan.numbers)]
            out.print(_numbers(comparison, axle, beside))
    for outcome in comparison.outcomes:
        _show_outcome(out, comparison, outcome)
    _show_cautions(out, plans)
    _show_ranking(out, comparison)


def _numbers(comparison: Comparison, axle: Axle, outcomes: Sequence[Outcome]) -> Table:
    unit = comparison.car.unit
    title = f"{comparison.car.name}: {axle.name} axle at ride height"
    table = Table(title=title, title_justify="left", pad_edge=False, box=SIMPLE_HEAD, padding=(0, 1, 0, 0))
    table.add_column("number")
    for outcome in outcomes:
        head = textwrap.wrap(outcome.plan.name, _NAME) or [""]
        table.add_column(Text("\n".join(head)), justify="right", no_wrap=True)
    table.add_column("unit", no_wrap=True)
    for number in comparison.numbers(axle.name):
        kind = number.dimension
        sides = (sides_shown(each.values(axle.name, number.key), kind, unit) for each in outcomes)
        cells = [textwrap.fill(" / ".join(one), _NAME) for one in sides]
        table.add_row(number.title, *cells, kind.unit(unit))
    return table


def _show_outcome(out: Console, comparison: Comparison, outcome: Outcome) -> None:
    unit = comparison.car.unit
    out.print(Text(f"\n{outcome.plan.name}", style="bold"), Text(f"  {outcome.plan.why}"), sep="")
    for trouble in refusal_words(outcome.troubles, unit):
        _line(out, "CANNOT BE", trouble)
    for breach in outcome.breaches:
        _line(out, "costs" if breach.allowed else "RULE BROKEN", breach_words(breach, unit))
    for words in aligned_words(comparison.car, outcome):
        _line(out, "aligned", words)
    for axle in outcome.numbers if outcome is not comparison.outcomes[0] else ():
        _line(out, "changes", f"{axle}: {_differences(comparison, outcome, axle)}")
    outside = [finding for finding in outcome.findings if not finding.holds]
    for finding in outside:
        _line(out, "OUTSIDE", sentence(finding, unit))
    if len(outside) < len(outcome.findings):
        count = len(outcome.findings) - len(outside)
        _line(out, "ok", f"{count} of {len(outcome.findings)} checks hold")
    if outcome.combined is not None:
        _line(out, "besides", combined_words(outcome.combined, unit))
    if outcome.shares:
        out.print(_shares(outcome.shares, unit))


def _show_cautions(out: Console, outcomes: Sequence[Outcome]) -> None:
    """What the plans ask to be looked at, each caution once."""
    cautions = dict.fromkeys(text for one in outcomes for text in full_cautions(one.plan))
    if cautions:
        out.print(Text("\nBefore any of these is driven", style="bold"))
    for text in cautions:
        _line(out, "caution", text)


def _differences(comparison: Comparison, outcome: Outcome, axle: str) -> str:
    """Say what differs from the car as measured, number by number, where it shows."""
    measured, unit = comparison.outcomes[0], comparison.car.unit
    words = []
    for number in comparison.numbers(axle):
        kind = number.dimension
        then, now = (one.values(axle, number.key) for one in (measured, outcome))
        # What is nowhere, before or after, has no step to tell.
        known = [step for step in steps(then, now) if math.isfinite(step)]
        if any(shows(step, kind, unit) for step in known):
            words.append(f"{number.title} {' / '.join(dict.fromkeys(told(step, kind, unit) for step in known))}")
    return ", ".join(words) if words else "nothing that shows"


def _shares(shares: Sequence[Share], unit: LengthUnit) -> Table:
    """What each change does to each limit's margin, the others made: positive helps."""
    changes = list(dict.fromkeys(share.change for share in shares))
    title = "what each change adds to each margin, the others made (negative: it hurts)"
    table = Table(title=title, title_justify="left", pad_edge=False, box=SIMPLE_HEAD, padding=(0, 1, 0, 0))
    table.add_column("limit")
    for change in changes:
        table.add_column(change_words(change, unit), justify="right", overflow="fold", max_width=14)
    table.add_column("unit", no_wrap=True)
    for axle, key, over in dict.fromkeys((share.axle, share.key, share.over) for share in shares):
        kind = QUANTITIES[key].dimension
        gains = {
            share.change: share.gain for share in shares if (share.axle, share.key, share.over) == (axle, key, over)
        }
        cells = [gain_words(gains[change], kind, unit) if change in gains else "" for change in changes]
        table.add_row(f"{axle} {QUANTITIES[key].title}, {over}", *cells, kind.unit(unit))
    return table


def _line(out: Console, mark: str, text: str) -> None:
    grid = Table.grid(padding=(0, 1))
    grid.add_column(width=11)
    style = "green" if mark == "ok" else "bold red" if mark.isupper() else ""
    grid.add_row(Text(mark, style=style), Text(text))
    out.print(grid)


def _show_ranking(out: Console, comparison: Comparison) -> None:
    out.print(Text("\nRanking (what can be built first, then by limits that hold, then by margin)", style="bold"))
    for place, outcome in enumerate(comparison.ranked, start=1):
        out.print(Text(f"  {place}. {rank_words(outcome)}"))
    out.print(Text(f"\nVerdict: {verdict_words(comparison)}", style="bold"))
