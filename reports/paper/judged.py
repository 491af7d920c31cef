"""A report's tables of checks and numbers at ride height."""

from collections.abc import Callable, Sequence

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.doubt.solved_car import MeasuredAxle
from kinematics.judging.verdict import Finding
from kinematics.numbers.registry import QUANTITIES
from reports.paper.blocks import Block, Row, Section, Table, Words
from reports.paper.solved import ReportSolved
from reports.tables.terminal import STATIC
from reports.words.check_remarks import check_remarks
from reports.words.numbers import HOW_HALF_WIDTH_95, PLUS_MINUS, per_cent, shown
from reports.words.on_paper import as_it_is
from reports.words.report import CHANCES
from reports.words.roll_axis import roll_axis_words
from reports.words.side_view import side_view_terms
from reports.words.verdict import check_name, margin_words, short_place, short_range, summary, worst_short

Chance = Callable[[Finding], float | None]


def checks_section(solved: ReportSolved) -> Section:
    """Every limit of the car as measured, with what is left to it."""
    car, findings = solved.car, solved.measured.findings
    blocks: list[Block] = [Words(f"{as_it_is(car).capitalize()}: {summary(findings)}.")]
    if findings:
        blocks.append(checks_table(f"Limits, {as_it_is(car)}", findings, car.unit, solved.chance))
    blocks += [Words(text) for text in check_remarks(solved.measured, solved.limits)]
    blocks += [Words(CHANCES)] if solved.chances else []
    return Section("Limits", blocks)


def checks_table(caption: str, findings: Sequence[Finding], unit: LengthUnit, chance: Chance) -> Table:
    """Each check in a row: its worst value and where, what is allowed, what is left, and the chance that it holds."""
    chances = any(chance(one) is not None for one in findings)
    heads = ["check", "verdict", "worst", "at", "allowed", "margin", *(["chance"] if chances else [])]
    rows: list[Row] = []
    axles = list(dict.fromkeys(one.axle for one in findings))
    for axle in axles:
        if len(axles) > 1:
            rows.append(Row([f"{axle} axle"], "group"))
        for one in (each for each in findings if each.axle == axle):
            found = chance(one)
            cells = [check_name(one), "ok" if one.holds else "OUT", worst_short(one, unit), short_place(one, unit)]
            cells += [short_range(one.limit, unit), margin_words(one, unit)]
            cells += ["" if found is None else per_cent(found)] if chances else []
            rows.append(Row(cells, "plain" if one.holds else "out"))
    return Table(caption, heads, rows, frozenset({2, 6} if chances else {2}))


def numbers_section(solved: ReportSolved) -> Section:
    """Every number of each axle at ride height, with its doubt where that is known."""
    blocks: list[Block] = []
    for one in solved.measured.axles:
        blocks.append(_numbers(one, solved))
        used = side_view_terms(one.axle, solved.car.unit)
        blocks += [Words(used)] if used else []
    if any(one.half_width for one in solved.measured.axles):
        blocks.append(Words(HOW_HALF_WIDTH_95))
    axis = solved.measured.roll_axis
    blocks += [Words(roll_axis_words(axis, solved.car.unit))] if axis is not None else []
    return Section("Numbers at ride height", blocks)


def _numbers(measured: MeasuredAxle, solved: ReportSolved) -> Table:
    unit, around = solved.car.unit, measured.half_width
    heads = ["number", as_it_is(solved.car), *([PLUS_MINUS] if around else []), "unit"]
    rows = []
    for key in (one for one in STATIC if one in measured.rest.values):
        quantity = QUANTITIES[key]
        values, ways = measured.rest[key].reshape(-1), around.get(key)
        sides = []
        for side in range(2 if quantity.per_side else 1):
            cells = [shown(float(values[side]), quantity.dimension, unit)]
            if around:
                way = np.nan if ways is None else float(ways.reshape(-1)[side])
                cells.append(shown(way, quantity.dimension, unit) if np.isfinite(way) else "")
            sides.append(cells)
        alike = len(sides) == 1 or sides[0] == sides[1]
        for cells, name in zip(sides[: 1 if alike else 2], SIDE_NAMES, strict=False):
            title = quantity.title if alike else f"{quantity.title}, {name}"
            rows.append(Row([title, *cells, quantity.dimension.unit(unit)]))
    right = frozenset({1, 2} if around else {1})
    return Table(f"{measured.axle.name.capitalize()} axle, {measured.axle.suspension.name}", heads, rows, right)
