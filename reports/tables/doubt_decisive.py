"""How far to trust a car, on one screen: the headline, how likely each limit holds, what to measure again."""

from collections.abc import Iterator, Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import COMMON_PRACTICE, ROLL_CENTRE, STATED, Limits
from kinematics.doubt.agreement import partings
from kinematics.doubt.assessment import Assessment
from kinematics.judging.verdict import Finding
from kinematics.numbers.registry import QUANTITIES
from reports.tables.doubt_table import chance_words
from reports.tables.terminal import show_headline
from reports.words.doubted import doubt_headline, reading_name, weakest_sources
from reports.words.headline import WHAT_IT_DOES
from reports.words.numbers import HOW_HALF_WIDTH_95, PLUS_MINUS, told
from reports.words.on_paper import as_it_is, paper_words
from reports.words.verdict import check_name, ranges_words, short_range, worst_short
from reports.words.wrapped import wrapped

_MOST_CHECKS = 10  # the least likely first
_MOST_SOURCES = 5  # of one axle, 3 of each of two
_MORE = "Every number with its doubt, and what else to measure again: --all."


def show_doubt_decisive(
    out: Console,
    assessments: Sequence[Assessment],
    findings: Sequence[Finding],
    limits: Limits,
    car: Car,
    files: Sequence[str],
    means: str,
    *,
    everything: bool = False,
) -> None:
    """Print how far a car is to be trusted. findings: as measured; files, means: words of the next command."""
    unit = car.unit
    show_headline(doubt_headline(assessments, findings, unit, files, means))
    rows = _judged(assessments, findings)
    if rows:
        out.print(_chances(rows, car, len(assessments) > 1))
    if not everything:
        sources = _sources(assessments, unit)
        if sources.row_count:
            out.print(sources)
    for line in (*paper_words(car), *_remarks(assessments, findings, limits, unit, len(rows))):
        out.print(Text(line))
    if not everything:
        out.print(Text(_MORE))


def _judged(assessments: Sequence[Assessment], findings: Sequence[Finding]) -> list[tuple[float, int, Finding]]:
    """Each check with the chance that it holds and the number of cars drawn, the least likely first."""
    drawn = {one.axle.name: one.chances for one in assessments if one.chances is not None}
    rows = [
        (drawn[one.axle].holding[one.limit.key, one.over], drawn[one.axle].draws, one)
        for one in findings
        if one.axle in drawn
    ]
    return sorted(rows, key=lambda row: (row[2].holds, row[0]))


def _chances(rows: Sequence[tuple[float, int, Finding]], car: Car, both: bool) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("")
    table.add_column("check", ratio=1)
    for title in (as_it_is(car), "allowed", "chance"):
        table.add_column(title, no_wrap=True, justify="left" if title == "allowed" else "right")
    for chance, draws, one in rows[:_MOST_CHECKS]:
        mark = Text("ok", style="green") if one.holds else Text("OUT", style="bold red")
        name = f"{f'{one.axle} ' if both else ''}{check_name(one)}, {one.over}"
        table.add_row(
            mark, name, worst_short(one, car.unit), short_range(one.limit, car.unit), chance_words(chance, draws)
        )
    return table


def _sources(assessments: Sequence[Assessment], unit: LengthUnit) -> Table:
    """What the doubt comes from of each axle's least likely limit, or of its roll centre where all are sure."""
    found = [weakest_sources(one) for one in assessments]
    numbers = list(dict.fromkeys(source.number for own in found for source in own))
    what = (
        "roll centre" if numbers in ([], [ROLL_CENTRE.key]) else " or ".join(QUANTITIES[key].title for key in numbers)
    )
    table = Table(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column(f"what to measure again, for the {what}")
    table.add_column("its share", justify="right", no_wrap=True)
    table.add_column(f"{PLUS_MINUS} if twice as good", justify="right", no_wrap=True)
    for own in found:
        for source in own[: _MOST_SOURCES if len(assessments) == 1 else 3]:
            left = told(source.halved, source.dimension, unit, sign=False)
            table.add_row(reading_name(source), f"{100.0 * source.share:.0f} %", left)
    return table


def _remarks(
    assessments: Sequence[Assessment], findings: Sequence[Finding], limits: Limits, unit: LengthUnit, rows: int
) -> Iterator[str]:
    if rows > _MOST_CHECKS:
        yield f"{rows - _MOST_CHECKS} more checks are surer to hold than these."
    drawn = [one.chances for one in assessments if one.chances is not None]
    if drawn and findings:
        cars = f"Chances are of {drawn[0].draws} cars drawn at random."
        yield from wrapped(f"{cars} {ranges_words(limits.working, unit)}")
    yield WHAT_IT_DOES
    if any(one.limit.source != STATED for one in findings):
        yield f"* not in the file, but {COMMON_PRACTICE}."
    yield from wrapped(HOW_HALF_WIDTH_95)
    shown = {ROLL_CENTRE.key, *(one.limit.key for one in findings)}  # what is judged or told here
    parted = dict.fromkeys(QUANTITIES[p.key].title for one in assessments for p in partings(one) if p.key in shown)
    if parted:
        which = ", ".join(parted)
        yield from wrapped(f"{PLUS_MINUS} is too simple for {which}: trust the cars drawn at random (--all).")
