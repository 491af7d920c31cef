"""A report's first page: the drawing to scale, the three curves, and what to do."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from kinematics.car.limits import ROLL_CENTRE
from kinematics.doubt.solved_car import SolvedAxle
from reports.paper.blocks import Block, Picture, Points, Section
from reports.paper.solved import ReportSolved
from reports.words.report import look_again_words, measure_again_words, short_travel_words, what_comes_next

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_MOST = 6  # things to do, so that they stay on the page


def first_page(solved: ReportSolved) -> Section:
    """What it shows of the first axle."""
    first = solved.solved.axles[0]
    blocks: list[Block] = [Picture(lambda: _drawing(first, solved), small=True)]
    if "bump" in first.curves:
        blocks.append(Picture(lambda: _curves(first, solved), small=True))
    blocks.append(Points(list(_steps(solved))[:_MOST], numbered=True))
    return Section("At a glance, and what to do", blocks)


def _drawing(first: SolvedAxle, solved: ReportSolved) -> "Figure":
    from reports.figures.first_look import first_look
    from reports.figures.style import Sheet
    from reports.words.figure_titles import position_title

    own, unit = solved.limits.of(first.axle), solved.car.unit
    title = f"{first.axle.name.capitalize()} axle: {position_title(first.at_ride_height, own, unit)}"
    return first_look(first.at_ride_height, unit, Sheet(title, solved.car.name), own)


def _curves(first: SolvedAxle, solved: ReportSolved) -> "Figure":
    from reports.figures.curve_panels import NO_BANDS, Bands
    from reports.figures.plans import driver_of
    from reports.figures.style import Sheet
    from reports.figures.three_curves import three_curves
    from reports.words.figure_titles import bump_title

    own, working, unit = solved.limits.of(first.axle), solved.limits.working, solved.car.unit
    sweep, known = first.curves["bump"], first.bands.get("bump")
    bands = NO_BANDS if known is None else Bands(known.at, known.ends, "")
    sheet = Sheet(bump_title(sweep, driver_of(sweep), own, working, unit), solved.car.name)
    return three_curves(sweep, own, unit, sheet, working, bands)


def _steps(solved: ReportSolved) -> Iterator[str]:
    """What to do, the first thing first."""
    car, tried = solved.car, solved.tried
    chosen = None if tried is None or tried.chosen is None else (tried.compared, tried.chosen)
    yield from what_comes_next(solved.measured.findings, chosen)
    yield from look_again_words([one.rest for one in solved.measured.axles], car.unit)
    yield from short_travel_words(list(solved.budgets)[:1], car, solved.limits.working)
    yield from measure_again_words(solved.studies[:1], ROLL_CENTRE.key, car.unit)
