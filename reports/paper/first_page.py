"""A report's first page: the drawing to scale, the three curves, and what to do."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from kinematics.car.limits import ROLL_CENTRE
from kinematics.doubt.solved_car import SolvedAxle
from reports.cautions import SHORT_CAUTION
from reports.paper.blocks import Block, Caution, Picture, Points, Section, Words
from reports.paper.solved import ReportSolved
from reports.words.not_judged import BUMP_STEER
from reports.words.report import (
    bump_steer_before_and_after,
    measure_again_words,
    rules_words,
    short_travel_words,
    usual_range_words,
    what_comes_next,
)
from reports.words.suspicious import look_again_words

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from kinematics.planning.swept_plans import SweptPlan

_SURE = 0.95
_MOST = 6  # things to do, so that they stay on the page


def first_page(solved: ReportSolved) -> Section:
    """What it shows of the first axle."""
    first = solved.solved.axles[0]
    blocks: list[Block] = [Picture(lambda: _drawing(first, solved), small=True)]
    if "bump" in first.curves:
        blocks.append(Picture(lambda: _curves(first, solved), small=True))
    blocks.append(Points(list(_steps(solved))[:_MOST], numbered=True))
    besides = " ".join(_besides(solved))
    blocks += [Words(besides)] if besides else []
    blocks.append(Caution(SHORT_CAUTION))
    return Section("At a glance, and what to do", blocks)


def _drawing(first: SolvedAxle, solved: ReportSolved) -> "Figure":
    from reports.figures.first_look import first_look
    from reports.figures.style import Sheet
    from reports.words.figure_titles import position_title

    own, unit = solved.limits.of(first.axle), solved.car.unit
    drawn = _after(first, solved)
    if drawn is not None:
        after = position_title(drawn[1].at_ride_height, [], unit)
        title = f'{first.axle.name.capitalize()} with "{drawn[1].name}": {after}'
        sheet = Sheet(title, solved.car.name)
        return first_look(drawn[1].at_ride_height, unit, sheet, own, ghost=drawn[0].at_ride_height)
    title = f"{first.axle.name.capitalize()} axle: {position_title(first.at_ride_height, own, unit)}"
    return first_look(first.at_ride_height, unit, Sheet(title, solved.car.name), own)


def _after(first: SolvedAxle, solved: ReportSolved) -> "tuple[SweptPlan, SweptPlan] | None":
    """The axle as measured and as the chosen plan leaves it, where there is one that fits together."""
    swept = [] if solved.tried is None else list(solved.tried.swept[first.axle.name])
    return (swept[0], swept[1]) if len(swept) == 2 else None


def _curves(first: SolvedAxle, solved: ReportSolved) -> "Figure":
    from reports.figures.curve_panels import NO_BANDS, Bands
    from reports.figures.plans import driver_of
    from reports.figures.style import Sheet
    from reports.figures.three_curves import three_curves
    from reports.words.figure_titles import bump_title

    own, working, unit = solved.limits.of(first.axle), solved.limits.working, solved.car.unit
    sweep, known = first.curves["bump"], first.bands.get("bump")
    bands = NO_BANDS if known is None else Bands(known.at, known.ends, "")
    title = bump_title(sweep, driver_of(sweep), own, working, unit)
    if _after(first, solved) is not None:
        title = f"As measured: {title[0].lower()}{title[1:]}"
    sheet = Sheet(title, solved.car.name)
    return three_curves(sweep, own, unit, sheet, working, bands)


def _steps(solved: ReportSolved) -> Iterator[str]:
    """What to do, the first thing first."""
    car, tried = solved.car, solved.tried
    chosen = None if tried is None or tried.chosen is None else (tried.compared, tried.chosen)
    again = list(measure_again_words(solved.studies[:1], ROLL_CENTRE.key, car.unit, first=not is_sure(solved)))
    yield from look_again_words([one.rest for one in solved.measured.axles], car.unit)
    # What is in doubt is measured before anything is bought for it.
    yield from () if is_sure(solved) else again
    yield from what_comes_next(solved.measured.findings, chosen)
    yield from short_travel_words(list(solved.budgets)[:1], car, solved.limits.working)
    yield from again if is_sure(solved) else ()


def is_sure(solved: ReportSolved) -> bool:
    """Whether it is as good as certain that the chosen plan, or the car as it is, holds its limits."""
    tried = solved.tried
    if tried is not None and tried.chosen is not None:
        found = tried.sure.get(tried.chosen.plan.name)
        chance = None if found is None else found.chance
    else:
        chance = solved.measured.chance
    return chance is None or chance >= _SURE


def _besides(solved: ReportSolved) -> Iterator[str]:
    """What the steps rest on: bump steer, where ranges come from, class rules."""
    tried, axle = solved.tried, solved.car.axles[0]
    if tried is not None and tried.chosen is not None:
        before, after = (one.values(axle.name, BUMP_STEER) for one in (tried.measured, tried.chosen))
        yield from bump_steer_before_and_after(axle.name, before, after, solved.car.unit)
        yield rules_words(len(solved.rules), len([one for one in tried.chosen.breaches if not one.allowed]))
    yield from usual_range_words(solved.limits.of(axle), solved.car.unit)
