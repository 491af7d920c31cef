"""What decides, on one screen: the headline, one table of the checks, and what they were made over."""

from collections.abc import Iterator, Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limits
from kinematics.doubt.solved_car import MeasuredAxle, MeasuredCar
from kinematics.judging.suspicious import suspicious
from kinematics.judging.verdict import Finding
from kinematics.numbers.quantity import Where
from kinematics.numbers.registry import QUANTITIES, keys_shown
from reports.tables.terminal import show_headline
from reports.words.check_remarks import check_remarks
from reports.words.headline import WHAT_IT_DOES, headline
from reports.words.numbers import told
from reports.words.on_paper import paper_words
from reports.words.suspicious import LOOK_AGAIN, oddity_words
from reports.words.verdict import check_name, short_place, short_range, worst_short
from reports.words.wrapped import wrapped

_MOST_CHECKS = 10  # in the table; what is out comes first, then what is nearest to it
_MOST_REMARKS = 3
_LIKE_CHECKS = 8  # numbers shown where nothing is judged
_MORE = "Every number at ride height, and each check in full: --all."


def show_decisive(
    out: Console,
    solved: MeasuredCar,
    limits: Limits,
    files: Sequence[str],
    *,
    everything: bool = False,
    swept: bool = False,
    means: str | None = None,
) -> None:
    """Print where the car stands, its checks and their range. files: words that name car and limits in a command.

    everything: that more is printed after it; swept: that its curves are there already; means: the file of what may be
    done, where it is known.
    """
    unit = solved.car.unit
    show_headline(headline(solved, files, swept=swept, means=means))
    if not everything:
        for line in _oddities(solved, unit):  # what may make the headline wrong stands beside it
            out.print(Text(line, style="yellow"))
    out.print(_checks(solved) if solved.findings else _numbers(solved))
    for line in _remarks(solved, limits):
        out.print(Text(line))
    if not everything:
        out.print(Text(_MORE))


def _table(car: str, *columns: str) -> Table:
    table = Table(title=car, title_justify="left", box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("")
    table.add_column("check", ratio=1)
    for column in columns:
        table.add_column(column, no_wrap=True, justify="right" if column == "worst" else "left")
    return table


def _checks(solved: MeasuredCar) -> Table:
    unit, shown = solved.car.unit, _shown(solved.findings)
    table = _table("", "worst", "at", "allowed")
    table.title = None
    for measured in solved.axles:
        own = [one for one in measured.findings if one in shown]
        if own and len(solved.axles) > 1:
            table.add_row("", Text(f"{measured.axle.name} axle", style="bold"))
        for one in own:
            mark = Text("ok", style="green") if one.holds else Text("OUT", style="bold red")
            table.add_row(
                mark, check_name(one), worst_short(one, unit), short_place(one, unit), short_range(one.limit, unit)
            )
    return table


def _shown(findings: Sequence[Finding]) -> list[Finding]:
    """All, or so many that the screen holds them: what is out first, in order, then what holds."""
    return sorted(findings, key=lambda one: one.holds)[:_MOST_CHECKS]


def _numbers(solved: MeasuredCar) -> Table:
    """The first numbers at ride height, where nothing is judged."""
    unit = solved.car.unit
    table = Table(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("number at ride height")
    for measured in solved.axles:
        table.add_column(f"{measured.axle.name} axle", justify="right", no_wrap=True)
    keys = [key for key in keys_shown(Where.IN_PLANS) if any(key in one.rest.values for one in solved.axles)]
    for key in keys[:_LIKE_CHECKS]:
        table.add_row(QUANTITIES[key].title, *(_value(one, key, unit) for one in solved.axles))
    return table


def _value(measured: MeasuredAxle, key: str, unit: LengthUnit) -> str:
    if key not in measured.rest.values:
        return ""
    values = measured.rest[key].reshape(-1)[: len(SIDE_NAMES)]
    return " / ".join(dict.fromkeys(told(float(value), QUANTITIES[key].dimension, unit) for value in values))


def _remarks(solved: MeasuredCar, limits: Limits) -> Iterator[str]:
    """What the table does not say, and what is left out of it."""
    findings = solved.findings
    yield from paper_words(solved.car)
    yield WHAT_IT_DOES
    for text in check_remarks(solved, limits, _MOST_REMARKS):
        yield from wrapped(text)
    left = len(findings) - _MOST_CHECKS
    if left > 0:
        hidden = sorted(findings, key=lambda one: one.holds)[_MOST_CHECKS:]
        held = "all of them hold" if all(one.holds for one in hidden) else "not all of them hold"
        yield f"{left} more checks are not shown here; {held}."


def _oddities(solved: MeasuredCar, unit: LengthUnit) -> Iterator[str]:
    told_here = oddity_words([oddity for one in solved.axles for oddity in suspicious(one.rest, unit)], unit)
    for text in told_here[:_MOST_REMARKS]:
        yield from wrapped(f"{LOOK_AGAIN}  {text}")
    if len(told_here) > _MOST_REMARKS:
        yield f"{LOOK_AGAIN}  at {len(told_here) - _MOST_REMARKS} more oddities, told with --all"
