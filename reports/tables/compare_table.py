"""Plans side by side in the terminal: numbers, adjusters, rules, verdicts, what helped, and the ranking."""

import math
from collections.abc import Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import Axle
from kinematics.car.lengths import LengthUnit
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.alignment import camber_words
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import CHANGES, Change, amount_words
from kinematics.planning.comparison import Comparison, Outcome, Share
from reports.words.numbers import shown, shows, told
from reports.words.verdict import sentence, summary
from solvers.vectors import Array

_PLANS_BESIDE = 3  # and the car as measured: what 80 columns hold
_SMALL = 1e-9
_CAMBER_SHOWS = math.radians(0.005)
_FAR_OUTSIDE = -10.0  # of a limit's range
_RUN_OFF = 2000.0  # mm of margin; beyond it a roll centre is on its way to infinity


def show_comparison(out: Console, comparison: Comparison) -> None:
    """Print everything about all plans."""
    measured, *plans = comparison.outcomes
    for axle in comparison.car.axles:
        for first in range(0, max(len(plans), 1), _PLANS_BESIDE):
            beside = [measured, *(plan for plan in plans[first : first + _PLANS_BESIDE] if plan.numbers)]
            out.print(_numbers(comparison, axle, beside))
    for outcome in comparison.outcomes:
        _show_outcome(out, comparison, outcome)
    _show_ranking(out, comparison)


def _numbers(comparison: Comparison, axle: Axle, outcomes: Sequence[Outcome]) -> Table:
    unit = comparison.car.unit
    title = f"{comparison.car.name}: {axle.name} axle at ride height"
    table = Table(title=title, title_justify="left", pad_edge=False, box=SIMPLE_HEAD, padding=(0, 1, 0, 0))
    table.add_column("number", no_wrap=True)
    for outcome in outcomes:
        table.add_column(outcome.plan.name, justify="right", overflow="fold", max_width=11)
    table.add_column("unit", no_wrap=True)
    for number in comparison.numbers(axle.name):
        # Sides that show the same are told once.
        values, kind = [each.values(axle.name, number.key) for each in outcomes], number.dimension
        sides = (dict.fromkeys(shown(one, kind, unit) for one in each) for each in values)
        table.add_row(number.title, *map(" / ".join, sides), kind.unit(unit))
    return table


def _show_outcome(out: Console, comparison: Comparison, outcome: Outcome) -> None:
    unit = comparison.car.unit
    out.print(Text(f"\n{outcome.plan.name}", style="bold"), Text(f"  {outcome.plan.why}"), sep="")
    for trouble in outcome.troubles:
        _line(out, "CANNOT BE", trouble)
    for breach in outcome.breaches:
        _line(out, "costs" if breach.allowed else "RULE BROKEN", breach.sentence(unit))
    for changed in outcome.axles.values():
        words = _adjusted(comparison.car.axle(changed.axle.name), changed, unit) if not changed.refusals else ""
        if words:
            _line(out, "aligned", words)
    for axle in outcome.numbers if outcome is not comparison.outcomes[0] else ():
        _line(out, "changes", f"{axle}: {_differences(comparison, outcome, axle)}")
    outside = [finding for finding in outcome.findings if not finding.holds]
    for finding in outside:
        _line(out, "OUTSIDE", sentence(finding, unit))
    if len(outside) < len(outcome.findings):
        count = len(outcome.findings) - len(outside)
        _line(out, "ok", f"{count} of {len(outcome.findings)} checks hold")
    if outcome.shares:
        out.print(_shares(outcome.shares, unit))


def _differences(comparison: Comparison, outcome: Outcome, axle: str) -> str:
    """Say what differs from the car as measured, number by number, where it shows."""
    measured, unit = comparison.outcomes[0], comparison.car.unit
    words = []
    for number in comparison.numbers(axle):
        kind = number.dimension
        then, now = (one.values(axle, number.key) for one in (measured, outcome))
        sides = max(len(then), len(now)) if then and now else 0
        both = [(then[side % len(then)], now[side % len(now)]) for side in range(sides)]
        # What is nowhere, before or after, has no step to tell.
        steps = [after - before for before, after in both if math.isfinite(after - before)]
        if any(shows(step, kind, unit) for step in steps):
            words.append(f"{number.title} {' / '.join(dict.fromkeys(told(step, kind, unit) for step in steps))}")
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
        cells = [_gain(gains[change], kind, unit) if change in gains else "" for change in changes]
        table.add_row(f"{axle} {QUANTITIES[key].title}, {over}", *cells, kind.unit(unit))
    return table


def _gain(gain: float, kind: Dimension, unit: LengthUnit) -> str:
    if kind is Dimension.LENGTH and abs(gain) > _RUN_OFF:
        return "runs off"
    return shown(gain, kind, unit, sign=True)


def _line(out: Console, mark: str, text: str) -> None:
    grid = Table.grid(padding=(0, 1))
    grid.add_column(width=11)
    style = "green" if mark == "ok" else "bold red" if mark.isupper() else ""
    grid.add_row(Text(mark, style=style), Text(text))
    out.print(grid)


def _adjusted(measured: Axle, changed: ChangedAxle, unit: LengthUnit) -> str:
    """Say how far the adjusters went, where they went at all."""
    words = []
    if abs(changed.toe_link).max() > _SMALL:
        words.append(f"toe link {_both(changed.toe_link, Dimension.LENGTH, unit)} (longer positive)")
    adjusters = measured.fittings.adjusters
    if abs(changed.camber).max() > _SMALL:
        kind, way = camber_words(adjusters)
        words.append(f"{adjusters.camber_by} {_both(changed.camber, kind, unit)} ({way} positive)")
    if adjusters.camber_by == "none" and abs(changed.axle.camber - measured.camber).max() > _CAMBER_SHOWS:
        words.append("camber left as it falls: the car file names no adjuster for it")
    return f"{measured.name}: {', '.join(words)}" if words else ""


def _both(values: Array, kind: Dimension, unit: LengthUnit) -> str:
    left, right = (told(value, kind, unit) for value in values)
    return left if left == right else f"{left} (left), {right} (right)"


def change_words(change: Change, unit: LengthUnit) -> str:
    """Say a change in few words."""
    side = {(1.0, 0.0): " left", (0.0, 1.0): " right"}.get(change.sides, "")
    what = " ".join(part for part in (f"{change.axle}{side}", change.what, change.point) if part)
    if change.by:
        by_length = CHANGES[change.what].takes == "by"
        return f"{what} {told(change.by, Dimension.LENGTH, unit) if by_length else amount_words(change, unit)}"
    ways = zip(("ahead", "out", "up"), change.shift, strict=True)
    return f"{what} " + ", ".join(f"{told(value, Dimension.LENGTH, unit)} {way}" for way, value in ways if value)


def _show_ranking(out: Console, comparison: Comparison) -> None:
    out.print(Text("\nRanking (what can be built first, then by limits that hold, then by margin)", style="bold"))
    for place, outcome in enumerate(comparison.ranked, start=1):
        state = "" if outcome.buildable else ", not to be built so"
        held = f"{outcome.holding} of {len(outcome.findings)} checks hold" if outcome.findings else "no numbers"
        margin = f", worst margin {_percent(outcome.margin)} of its range" if outcome.findings else ""
        out.print(Text(f"  {place}. {outcome.plan.name}: {held}{margin}{state}"))
    out.print(Text(f"\nVerdict: {_verdict(comparison)}", style="bold"))


def _percent(margin: float) -> str:
    """Write a relative margin; where a number runs off, how far is of no interest."""
    return f"{100 * margin:+.0f} %" if margin > _FAR_OUTSIDE else f"beyond {100 * _FAR_OUTSIDE:.0f} %"


def _verdict(comparison: Comparison) -> str:
    """One sentence on the car as measured and one on the best plan."""
    measured, best = comparison.outcomes[0], comparison.ranked[0]
    now = f"the car as measured is {summary(measured.findings)}."
    if best is measured:
        return f"{now} No plan that can be built does better."
    if not best.buildable:
        return f"{now} No plan can be built."
    held = f'"{best.plan.name}" holds {best.holding} of {len(best.findings)} checks'
    if best.holding == len(best.findings):
        return f"{now} Best plan that can be built: {held}."
    return f"{now} No plan that can be built holds all limits; {held}: look at what it spoils before you take it."
