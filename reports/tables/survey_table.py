"""A fitted survey in the terminal: what speaks against it, the points and how well they are known, the readings."""

import math
from collections.abc import Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.car.uncertainty import ANGLES, WAYS, Coordinate
from kinematics.doubt.assessment import NORMAL_95
from kinematics.numbers.quantity import Dimension
from kinematics.survey.explanations import Cause
from kinematics.survey.fit import FittedReading, SurveyFit, scattered_beyond, spread_beyond, widened
from kinematics.survey.judged import JudgedFit
from kinematics.survey.readings import written_of
from kinematics.survey.reliability import Reliability
from kinematics.survey.sheet_numbers import SheetNumbers
from kinematics.survey.snooping import HARDLY_CHECKED
from reports.tables.terminal import console
from reports.words.numbers import PLUS_MINUS, shown, told
from reports.words.readings import HOW_NUMBERED, digits_read
from reports.words.survey import (
    agree_too_well,
    agreement_words,
    check_words,
    error_words,
    exact_agreement_words,
    moved_by,
)
from reports.words.survey_curves import curve_lines
from reports.words.survey_told import SUSPECT, WARNING, told_lines
from reports.words.suspicious import LOOK_AGAIN
from reports.words.wrapped import wrapped

_WORST, _WORST_FIRST = 5, 4  # readings, by standardised residual; on the first screen
_WEAK, _WEAK_FIRST = 6, 4  # readings that are weakly checked, at most; on the first screen
_STYLES = {LOOK_AGAIN: "yellow", SUSPECT: "bold red", WARNING: "yellow"}
_HOW_OFF = "Times usual: how many times as far off as a sound reading usually is; 3 is much."
_EXACT = "It is the standardised residual, `standardised` in the table of readings beside a car file."
_READ_AGAIN = "Correct the line that was misread; a repeat goes in as a line of its own."
_MORE = "More tables: --all."


def show_told(judged: JudgedFit, unit: LengthUnit) -> None:
    """Print what to look at again, which readings and curves are to be suspected, and the warnings."""
    out = console(headline=True)
    for head, text in told_lines(judged, unit):
        _show(out, f"{head}  {text}", style=_STYLES[head])


def show_survey(
    out: Console,
    judged: JudgedFit,
    checked: Reliability,
    unit: LengthUnit,
    *,
    everything: bool = False,
    sound: bool = True,
    axles: int = 1,
) -> None:
    """Print the points, and the readings that fit worst or are weakly checked; everything: with exact terms.

    sound: whether no reading of the whole survey is suspect; else what is weakly checked can wait. axles: how many of
    them the first screen has to hold.
    """
    found = judged.fit
    axle = found.axle
    if everything:
        count, unknown = len(found.readings), len(found.solved.parameters)
        head = f"{axle.name} axle, {axle.suspension.name}: {count} readings for {unknown} unknowns"
        out.print(Text(head, style="bold"))
        _show(out, exact_agreement_words(found))
    else:
        more = f": {found.freedoms} reading{'s' if found.freedoms > 1 else ''} more than needed"
        head = f"{axle.name} axle, {axle.suspension.name}{more if found.freedoms > 0 else ''}"
        out.print(Text(head, style="bold"))
        if agree_too_well(found):
            _show(out, agreement_words(found))
    _show_points(out, found, unit)
    for line in curve_lines(judged, unit, everything=everything):
        _show(out, line)
    numbers = judged.numbers
    # A slip that is named has told which readings are off; what fits worst is mostly what it has pulled along.
    named = any(one.explanations[0].slip.cause is not Cause.SCATTER for one in judged.culprits)
    if found.freedoms > 0 and (everything or ((judged.culprits or judged.places) and not named and axles == 1)):
        worst = sorted(found.readings, key=lambda one: -_size(one))[: _WORST if everything else _WORST_FIRST]
        _show(out, f"readings that fit worst [{unit.symbol}; angles in deg]")
        out.print(_readings(found, worst, numbers, unit))
        _show(out, f"{_HOW_OFF} {_EXACT}" if everything else _HOW_OFF)
    if everything or sound:
        _show_weakly_checked(out, checked, numbers, unit, everything=everything, axles=axles)


def show_notes(out: Console, *, everything: bool = False, suspect: bool = False) -> None:
    """Print what the tables' numbers are, and where the rest stands; suspect: and where to write what is read again."""
    if suspect:
        _show(out, _READ_AGAIN)
    _show(out, HOW_NUMBERED if everything else f"{HOW_NUMBERED} {_MORE}")


def _show(out: Console, text: str, style: str = "") -> None:
    out.print(Text("\n".join(wrapped(text, out.width)), style=style))


def _table() -> Table:
    return Table(box=SIMPLE_HEAD, show_edge=False, pad_edge=False)


def _show_points(out: Console, found: SurveyFit, unit: LengthUnit) -> None:
    title = f"fitted points, {PLUS_MINUS} for 95 % of such surveys"
    if spread_beyond(found) > 1.0:
        title = f"fitted points, {PLUS_MINUS} for 95 %"
        said = "the readings" if scattered_beyond(found) > 1.0 else "readings and curve"
        title += f", {spread_beyond(found):.1f} times as large since {said} do not agree"
    _show(out, title)
    table = _table()
    table.add_column("point")
    for way in WAYS:
        table.add_column(f"{way} [{unit.symbol}]", justify="right", no_wrap=True)
    doubt = widened(found)
    deviations = dict(zip(doubt.coordinates, doubt.standard_deviation, strict=True))
    sides = {(one.of, one.sides): None for one in deviations if one.of not in ANGLES}
    axle = found.axle
    for key, on in sides:
        place = axle.points[key][on[0]] * [1.0, -1.0 if on == (1,) else 1.0, 1.0]
        ways = [deviations[Coordinate(key, way, on)] for way in WAYS]
        name = key if len(on) == 2 else f"{SIDE_NAMES[on[0]]} {key}"
        table.add_row(name, *(_cell(float(value), float(way), unit) for value, way in zip(place, ways, strict=True)))
    out.print(table)


def _cell(value: float, deviation: float, unit: LengthUnit) -> str:
    text, way = shown(value, Dimension.LENGTH, unit), shown(NORMAL_95 * deviation, Dimension.LENGTH, unit)
    return f"{text} {PLUS_MINUS} {way}" if deviation > 0.0 else text


def _readings(found: SurveyFit, readings: Sequence[FittedReading], numbers: SheetNumbers, unit: LengthUnit) -> Table:
    table = _table()
    table.add_column("no.", justify="right", no_wrap=True)
    table.add_column("reading")
    for head in ("read", "fitted", "off by", "times usual"):
        table.add_column(head, justify="right", no_wrap=True)
    for one in readings:
        kind, own = found.dimension(one), found.survey.readings[one.of]
        cells = [shown(value, kind, unit) for value in (one.fitted, one.read - one.fitted)]
        off = "unchecked" if math.isnan(one.standardised) else f"{one.standardised:+z.1f}"
        read = digits_read(one.read, kind, unit, written_of(own, one.read))
        table.add_row(_number(numbers, found, one), one.name.replace("_", " "), read, *cells, off)
    return table


def _number(numbers: SheetNumbers, found: SurveyFit, one: FittedReading) -> str:
    number = numbers.of(found.survey.readings[one.of])
    return "" if number is None else str(number)


def _show_weakly_checked(
    out: Console, checked: Reliability, numbers: SheetNumbers, unit: LengthUnit, *, everything: bool, axles: int
) -> None:
    """Print the readings of which a large error may pass unseen, those first that would move the roll centre most."""
    weak = (*checked.weak, *checked.hardly)
    if not weak:
        return
    most = _WEAK if everything else _WEAK_FIRST
    if axles > 1 and not everything:
        # Two tables of them would fill the screen.
        first = ", ".join(_called(numbers, checked.found, one.reading) for one in weak[:most])
        others = f" and {len(weak) - most} more" if len(weak) > most else ""
        _show(out, f"weakly checked: {first}{others}; what an error of them would do: --all")
        return
    _show(out, "weakly checked: such an error may pass unseen and move the roll centre")
    table = _table()
    table.add_column("no.", justify="right", no_wrap=True)
    table.add_column("reading")
    for head in ("error", "moves it by"):
        table.add_column(head, justify="right", no_wrap=True)
    table.add_column("to check it, read")
    for one in weak[:most]:
        kind = checked.found.dimension(one.reading)
        cells = (error_words(one, kind, unit), moved_by(one, unit) or "unknown", check_words(one, numbers))
        table.add_row(_number(numbers, checked.found, one.reading), one.reading.name.replace("_", " "), *cells)
    out.print(table)
    sizes = {checked.found.dimension(one.reading): one.most for one in weak[:most] if one.of_any_size}
    if sizes:
        errors = " or ".join(told(size, kind, unit, sign=False) for kind, size in sizes.items())
        _show(out, f"Of any size: then moved by an error of {errors}.")
    more = len(weak) - most
    if more > 0 and not everything:
        _show(out, f"{more} more {'is' if more == 1 else 'are'} weakly checked: --all.")
    elif more > 0:
        _show(out, f"{more} more: see `detectable` in the table of readings that is written beside a car file.")


def _called(numbers: SheetNumbers, found: SurveyFit, one: FittedReading) -> str:
    """A reading in few words."""
    number = _number(numbers, found, one)
    return f"no. {number}" if number else one.name.replace("_", " ")


def _size(one: FittedReading) -> float:
    return 0.0 if math.isnan(one.standardised) or one.redundancy < HARDLY_CHECKED else abs(one.standardised)
