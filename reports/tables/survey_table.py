"""A fitted survey in the terminal: the points and how well they are known, what does not fit, what is missing."""

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
from kinematics.survey.fit import FittedReading, SurveyFit, spread_beyond, widened
from kinematics.survey.reliability import Reliability
from kinematics.survey.snooping import HARDLY_CHECKED
from reports.words.numbers import PLUS_MINUS, shown, told
from reports.words.survey import agreement_words, check_words, error_words, moved_by

_WORST = 5  # readings, by standardised residual
_WEAK = 6  # readings that are weakly checked, at most


def show_survey(out: Console, found: SurveyFit, unit: LengthUnit) -> None:
    """Print the fit as a whole, the points, and the readings that fit worst."""
    axle = found.axle
    count, unknown = len(found.readings), len(found.solved.parameters)
    out.print(Text(f"{axle.name} axle, {axle.suspension.name}: {count} readings for {unknown} unknowns", style="bold"))
    out.print(Text(agreement_words(found)))
    out.print(_points(found, unit))
    worst = sorted(found.readings, key=lambda one: -_size(one))[:_WORST]
    if found.freedoms > 0:
        out.print(_readings(found, worst, unit))
        out.print(Text("Standardised: how many times as far off as a sound reading usually is; 3 is much."))


def _points(found: SurveyFit, unit: LengthUnit) -> Table:
    title = f"fitted points, {PLUS_MINUS} for 95 % of such surveys"
    if spread_beyond(found) > 1.0:
        title += f", {spread_beyond(found):.1f} times as large since the readings do not agree"
    table = Table(title=title, title_justify="left", box=SIMPLE_HEAD)
    table.add_column("point")
    for way in WAYS:
        table.add_column(f"{way} [{unit.symbol}]", justify="right")
    doubt = widened(found)
    deviations = dict(zip(doubt.coordinates, doubt.standard_deviation, strict=True))
    sides = {(one.of, one.sides): None for one in deviations if one.of not in ANGLES}
    axle = found.axle
    for key, on in sides:
        place = axle.points[key][on[0]] * [1.0, -1.0 if on == (1,) else 1.0, 1.0]
        ways = [deviations[Coordinate(key, way, on)] for way in WAYS]
        name = key if len(on) == 2 else f"{SIDE_NAMES[on[0]]} {key}"
        table.add_row(name, *(_cell(float(value), float(way), unit) for value, way in zip(place, ways, strict=True)))
    return table


def _cell(value: float, deviation: float, unit: LengthUnit) -> str:
    text, way = shown(value, Dimension.LENGTH, unit), shown(NORMAL_95 * deviation, Dimension.LENGTH, unit)
    return f"{text} {PLUS_MINUS} {way}" if deviation > 0.0 else text


def _readings(found: SurveyFit, readings: Sequence[FittedReading], unit: LengthUnit) -> Table:
    table = Table(title="readings that fit worst", title_justify="left", box=SIMPLE_HEAD)
    table.add_column("reading")
    for head in ("read", "fitted", "off by", "standardised"):
        table.add_column(head, justify="right")
    for one in readings:
        kind = found.dimension(one)
        cells = [shown(value, kind, unit) for value in (one.read, one.fitted, one.read - one.fitted)]
        standardised = "unchecked" if math.isnan(one.standardised) else f"{one.standardised:+.1f}"
        table.add_row(one.name.replace("_", " "), *cells, standardised)
    return table


def show_weakly_checked(out: Console, checked: Reliability, unit: LengthUnit) -> None:
    """Print the readings of which a large error may pass unseen, those first that would move the roll centre most."""
    weak = (*checked.weak, *checked.hardly)
    if not weak:
        return
    title = "weakly checked: an error up to this size may pass unseen, and move the roll centre by as much"
    table = Table(title=title, title_justify="left", box=SIMPLE_HEAD)
    table.add_column("reading")
    for head in ("error", "moves it by"):
        table.add_column(head, justify="right")
    table.add_column("to check it, read")
    for one in weak[:_WEAK]:
        kind = checked.found.dimension(one.reading)
        cells = (error_words(one, kind, unit), moved_by(one, unit) or "unknown", check_words(one))
        table.add_row(one.reading.name.replace("_", " "), *cells)
    out.print(table)
    sizes = {checked.found.dimension(one.reading): one.most for one in weak[:_WEAK] if one.of_any_size}
    if sizes:
        errors = " or ".join(told(most, kind, unit, sign=False) for kind, most in sizes.items())
        out.print(Text(f"Of any size: then moved by an error of {errors}."))
    more = len(weak) - _WEAK
    if more > 0:
        out.print(Text(f"{more} more: see `detectable` in the table of readings that is written beside a car file."))


def _size(one: FittedReading) -> float:
    return 0.0 if math.isnan(one.standardised) or one.redundancy < HARDLY_CHECKED else abs(one.standardised)
