"""A report's other parts: travel, springs and lean, what each point does, doubt, further curves, words in short."""

from collections.abc import Iterator
from functools import partial

from kinematics.car.car import Car
from kinematics.car.units import Units
from kinematics.doubt.assessment import Assessment
from kinematics.doubt.lean_doubt import LeanDoubt
from kinematics.doubt.solved_car import SolvedAxle
from kinematics.finding.influence import Influence
from kinematics.loads.axle_numbers import AT_RIDE_HEIGHT
from kinematics.loads.report import LeanSheet
from kinematics.numbers.quantity import Where
from kinematics.numbers.registry import QUANTITIES, keys_shown
from kinematics.planning.travel_budget import TravelBudget
from kinematics.sweeps.sweep_job import is_steered
from reports.cautions import CAUTION
from reports.outputs.sweep_files import AxlePen, roll_axis_figure, side_view_figure
from reports.paper.blocks import Beside, Block, Caution, Picture, Points, Row, Section, Table, Terms, Words
from reports.paper.solved import ReportSolved
from reports.result_figures import lean_figure, travel_figure, wheel_rates_figure
from reports.tables.lean_doubt_table import trusted_rows, trusted_words
from reports.tables.lean_table import TRANSFERS, cell, transferred
from reports.tables.terminal import STATIC
from reports.tables.travel_table import corner_words, travel_remarks
from reports.words.doubted import short_reading, sources_of
from reports.words.influence import answer_words, deciding, effects, step_note, step_of
from reports.words.lean import lean_words, note_words
from reports.words.lean_doubt import NOTHING_TOLD
from reports.words.numbers import PLUS_MINUS, told
from reports.words.plan_cautions import full_cautions
from reports.words.report import meanings
from reports.words.travel import finding_words

_MOST_EFFECTS = 8  # on one number
_MOST_SOURCES = 6  # of one number
_WORTH_TELLING = 0.005  # of the variance


def travel_section(solved: ReportSolved) -> Section:
    """How far each corner can go and what ends it, as measured and after the chosen plan."""
    car, working = solved.car, solved.limits.working
    symbol = car.unit.symbol
    rows: list[Row] = []
    for budget in solved.budgets:
        rows += _corners(budget, solved)
    heads = ["corner", f"bump [{symbol}]", "ended by", f"droop [{symbol}]", "ended by"]
    # The picture's title says it of the car as measured.
    drawn = any(ends for one in solved.budgets for corner in one.corners for _, ends in corner.ways())
    told = list(solved.budgets)[1 if drawn else 0 :]
    blocks: list[Block] = [Words(f"{finding_words(one, car, working)}.") for one in told]
    blocks.append(Table("Travel of each corner from ride height", heads, rows, frozenset({1, 3})))
    blocks += [Words(text) for text in travel_remarks(solved.budgets.budgets, car, working)]
    if drawn:
        blocks.append(Picture(lambda: travel_figure(solved.budgets, car)))
    return Section("Travel", blocks)


def _corners(budget: TravelBudget, solved: ReportSolved) -> Iterator[Row]:
    yield Row([budget.plan.name], "group")
    for corner in budget.corners:
        cells, short = corner_words(corner, solved.car, solved.limits.working)
        yield Row([f"{corner.axle} {corner.side}", *cells], "out" if short else "plain")


def springs_section(solved: ReportSolved) -> Section | None:
    """Springs and lean, where the file tells enough of them."""
    sheet, car = solved.lean, solved.car
    if sheet is None:
        return None
    blocks: list[Block] = [_springs(sheet, solved), _transfers(sheet, solved)]
    blocks += [Words(text) for text in lean_words(sheet, Units(car.unit))]
    blocks += [Points([f"Note: {note_words(note, car.unit)}." for note in sheet.notes])] if sheet.notes else []
    doubt = solved.lean_doubt
    blocks += [Words(NOTHING_TOLD)] if doubt is None else list(_trusted(doubt, car))
    blocks += [Picture(lambda: lean_figure(sheet, car, doubt)), Picture(lambda: wheel_rates_figure(sheet, car, doubt))]
    return Section("Springs, bars and lean", blocks)


def _trusted(doubt: LeanDoubt, car: Car) -> Iterator[Block]:
    """How far to trust springs and lean, as `lean` tells it."""
    rows = [Row(row) for row in trusted_rows(doubt, car)]
    heads = ["number", "front", "rear", "unit"]
    yield Table("How far to trust springs and lean", heads, rows, frozenset({1, 2}))
    yield from (Words(text) for text in trusted_words(doubt, car))


def _springs(sheet: LeanSheet, solved: ReportSolved) -> Table:
    unit = solved.car.unit
    rows = [
        Row(
            [number.title, *(cell(number, one, unit) for one in (sheet.front, sheet.rear)), number.dimension.unit(unit)]
        )
        for number in AT_RIDE_HEIGHT
    ]
    return Table("Springs at ride height", ["number", "front", "rear", "unit"], rows, frozenset({1, 2}))


def _transfers(sheet: LeanSheet, solved: ReportSolved) -> Table:
    units = Units(solved.car.unit)
    rows = [
        Row([title, *(f"{value / units.force:.0f}" for value in transferred(sheet, key)), units.force_symbol])
        for key, title in TRANSFERS
    ]
    return Table("Load moved to the outer wheel at 1 g", ["part", "front", "rear", "unit"], rows, frozenset({1, 2}))


def points_section(solved: ReportSolved) -> Section:
    """What the deciding numbers change by as each point moves."""
    unit = solved.car.unit
    blocks: list[Block] = []
    for found in solved.moved:
        blocks.append(Words(f"{answer_words(found, unit)}."))
        tables = [_effects(found, key, solved) for key in deciding(found)]
        known = [table for table in tables if table.rows]
        blocks += [Beside(known)] if known else []
    blocks.append(Words(step_note(unit, all_points=True)))
    return Section("What each point does", blocks)


def _effects(found: Influence, key: str, solved: ReportSolved) -> Table:
    unit = solved.car.unit
    rows = [Row([one.place, one.change, one.reached_by]) for one in effects(found, key, unit, _MOST_EFFECTS)]
    heads = ["point moved", f"per {step_of(unit).words}", "reached by"]
    return Table(f"{found.axle.name.capitalize()} {QUANTITIES[key].label(unit)}", heads, rows, frozenset({1}))


def doubt_section(solved: ReportSolved) -> Section | None:
    """What the doubt comes from, and what to measure again."""
    ranked = keys_shown(Where.SOURCES_RANKED)
    known = [
        _sources(study, key, solved)
        for study in solved.studies
        for key in ranked
        if ("ride height", key) in study.first and sources_of(study, key)
    ]
    return Section("How far to trust it, and what to measure again", [Beside(known)]) if known else None


def _sources(study: Assessment, key: str, solved: ReportSolved) -> Table:
    unit, kind = solved.car.unit, QUANTITIES[key].dimension
    now = told(float(study.half_width_95(("ride height", key)).reshape(-1)[0]), kind, unit, sign=False)
    rows = [
        Row([short_reading(one), f"{100.0 * one.share:.0f} %", told(one.halved, kind, unit, sign=False)])
        for one in sources_of(study, key)[:_MOST_SOURCES]
        if one.share >= _WORTH_TELLING
    ]
    heads = ["measurement", "its share", f"{PLUS_MINUS} if twice as good"]
    caption = f"{study.axle.name.capitalize()} {QUANTITIES[key].title}, {PLUS_MINUS} {now}"
    return Table(caption, heads, rows, frozenset({1, 2}))


def curves_sections(solved: ReportSolved) -> Iterator[Section]:
    """The figures that the first page has no room for: each axle, then the car."""
    for place, one in enumerate(solved.solved.axles):
        heading = f"Curves of the {one.axle.name} axle, {one.axle.suspension.name}"
        yield Section(heading, list(_of_axle(one, place, solved)))
    whole = list(_of_car(solved))
    if whole:
        yield Section("The whole car", whole)


def _of_axle(one: SolvedAxle, place: int, solved: ReportSolved) -> Iterator[Picture]:
    pen = AxlePen(solved.car, one.axle, solved.job, solved.limits)
    wanted = [pen.front_view, pen.bump, pen.roll] if place else [pen.bump, pen.roll]
    if not one.curves:
        wanted = [pen.front_view]
    elif is_steered(one.axle) and "steer" in one.curves:
        wanted.append(pen.steer)
    yield from (Picture(partial(draw, one)) for draw in wanted)


def _of_car(solved: ReportSolved) -> Iterator[Picture]:
    # Of one axle alone there is little to see from the side.
    if solved.solved.roll_axis is not None:
        yield Picture(partial(roll_axis_figure, solved.solved))
        yield Picture(partial(side_view_figure, solved.solved))


def words_section(solved: ReportSolved) -> Section:
    """What the words mean, in short."""
    keys = [key for key in STATIC if any(key in one.rest.values for one in solved.measured.axles)]
    return Section("What the words mean", [Terms(meanings(keys, solved.car.unit))])


def cautions_section(solved: ReportSolved) -> Section:
    """What to take care of, with the chosen plan."""
    chosen = None if solved.tried is None else solved.tried.chosen
    own = full_cautions(chosen.plan) if chosen is not None else []
    blocks: list[Block] = [Caution(CAUTION)]
    blocks += [Words("Before this is driven:", strong=True), Points(own)] if own else []
    return Section("Cautions", blocks)
