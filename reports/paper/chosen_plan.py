"""A report's part on plans: the chosen one beside the car as measured, what each change did, and the others."""

from collections.abc import Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from kinematics.car.car import Axle
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.comparison import Outcome
from reports.outputs.compare_files import ComparedAxle, plan_curves, plan_views
from reports.paper.blocks import Block, Picture, Points, Row, Section, Table, Words
from reports.paper.judged import checks_table
from reports.paper.solved import PlansTried, ReportSolved
from reports.words.compared import (
    NOT_ROOM,
    RANKED_BY,
    decides_words,
    held_of,
    held_words,
    roll_centre_words,
    wanted_words,
)
from reports.words.not_checked import not_checked_words
from reports.words.numbers import per_cent, shown, shows
from reports.words.on_paper import as_it_is
from reports.words.plans import (
    aligned_words,
    breach_words,
    change_words,
    gain_words,
    none_better_words,
    refusal_words,
    steps,
)
from reports.words.tyre_size import tyre_size_words
from reports.words.verdict import combined_words

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def plan_section(solved: ReportSolved) -> Section | None:
    """The plan that was chosen beside the car as measured; no section where no plans were named."""
    tried = solved.tried
    if tried is None:
        return None
    blocks: list[Block] = []
    chosen = tried.chosen
    if chosen is None:
        blocks.append(Words(wanted_words(tried.compared) if tried.asked.wanted else none_better_words(tried.compared)))
    else:
        blocks += _about(solved, tried, chosen)
    blocks += [_plans(solved, tried)] if len(tried.compared.outcomes) > 2 or chosen is None else []
    blocks.append(Words(NOT_ROOM))
    heading = "Plans" if chosen is None else f'Plan: "{chosen.plan.name}"'
    return Section(heading, blocks, new_page=chosen is not None)


def _about(solved: ReportSolved, tried: PlansTried, chosen: Outcome) -> Iterator[Block]:
    car, unit = solved.car, solved.car.unit
    if chosen.plan.why:
        yield Words(f"Why: {chosen.plan.why.rstrip('.')}.")
    changes = [change_words(change, unit) for change in chosen.plan.changes] or ["alignment alone"]
    yield Points(changes)
    yield from (Words(f"Cannot be built: {text}.") for text in refusal_words(chosen.troubles, unit))
    for breach in chosen.breaches:
        said = breach_words(breach, unit)
        yield Words(said if breach.allowed else f"Breaks a rule: {said}")
    yield from (Words(f"Adjusters afterwards: {words}.") for words in aligned_words(car, chosen))
    yield from (Words(text) for text in [" ".join(tyre_size_words(chosen.plan, car))] if text)
    if not chosen.numbers:
        return
    if chosen.findings:
        sure = tried.sure.get(chosen.plan.name)
        each = {} if sure is None else sure.each
        caption = f'Limits with "{chosen.plan.name}": {held_words(chosen)}'
        if sure is not None and sure.chance is not None:
            caption += f"; chance that all hold {per_cent(sure.chance)}"
        yield checks_table(caption, chosen.findings, unit, lambda one: each.get((one.axle, one.limit.key, one.over)))
    if chosen.combined is not None:
        yield Words(combined_words(chosen.combined, unit))
    yield from (_shares(chosen, axle, solved) for axle in car.axles if _has_shares(chosen, axle))
    yield from (_numbers(solved, tried, chosen, axle) for axle in car.axles)
    yield from (Words(text) for text in [" ".join(not_checked_words(car))] if text)
    for axle in (one for one in car.axles if _touched(chosen, one)):
        yield Words(f"{axle.name.capitalize()} axle, as measured and with the plan", strong=True)
        yield from _pictures(solved, tried, chosen, axle)


def _touched(chosen: Outcome, axle: Axle) -> bool:
    return any(change.axle == axle.name for change in chosen.plan.changes) or not chosen.plan.changes


def _pictures(solved: ReportSolved, tried: PlansTried, chosen: Outcome, axle: Axle) -> Iterator[Picture]:
    swept = tried.swept[axle.name]
    compared = ComparedAxle(tried.compared, swept, chosen.plan.name)

    def curves(kind: str) -> "Figure":
        return plan_curves(compared, [(one.name, getattr(one, kind)) for one in swept], axle, solved.limits)

    if axle is not solved.car.axles[0]:  # the first page has its drawing
        yield Picture(partial(plan_views, compared, axle, solved.limits, upright=True))
    yield Picture(partial(curves, "bump"))
    yield Picture(partial(curves, "roll"))


def _has_shares(chosen: Outcome, axle: Axle) -> bool:
    return any(share.axle == axle.name for share in chosen.shares)


def _shares(chosen: Outcome, axle: Axle, solved: ReportSolved) -> Table:
    """What each change adds to each margin, the others made."""
    unit = solved.car.unit
    own = [share for share in chosen.shares if share.axle == axle.name]
    changes = list(dict.fromkeys(share.change for share in own))
    rows = []
    for key, over in dict.fromkeys((share.key, share.over) for share in own):
        kind = QUANTITIES[key].dimension
        gains = {share.change: share.gain for share in own if (share.key, share.over) == (key, over)}
        cells = [gain_words(gains[change], kind, unit) if change in gains else "" for change in changes]
        rows.append(Row([f"{QUANTITIES[key].title}, {over}", *cells, kind.unit(unit)]))
    caption = (
        f"{axle.name.capitalize()} axle: what each change adds to each margin, the others made (negative: it hurts)"
    )
    heads = ["limit", *(change_words(change, unit) for change in changes), "unit"]
    return Table(caption, heads, rows, frozenset(range(1, 1 + len(changes))))


def _numbers(solved: ReportSolved, tried: PlansTried, chosen: Outcome, axle: Axle) -> Table:
    """The axle's numbers before and after, what is alike on both sides once."""
    unit, rows = solved.car.unit, []
    for number in tried.compared.numbers(axle.name):
        kind = number.dimension
        before, after = (one.values(axle.name, number.key) for one in (tried.measured, chosen))
        cells = [" / ".join(dict.fromkeys(shown(one, kind, unit) for one in each)) for each in (before, after)]
        rows.append(Row([number.title, *cells, _step(before, after, kind, solved), kind.unit(unit)]))
    heads = ["number at ride height", as_it_is(solved.car), "with the plan", "change", "unit"]
    return Table(f"{axle.name.capitalize()} axle, before and after", heads, rows, frozenset({1, 2, 3}))


def _step(before: Sequence[float], after: Sequence[float], kind: Dimension, solved: ReportSolved) -> str:
    """What a number changes by; nothing where that does not show, or has no value."""
    unit, each = solved.car.unit, steps(before, after)
    if not any(np.isfinite(step) and shows(step, kind, unit) for step in each):
        return ""
    return " / ".join(dict.fromkeys(shown(step, kind, unit, sign=True) if np.isfinite(step) else "-" for step in each))


def _plans(solved: ReportSolved, tried: PlansTried) -> Table:
    """All plans in rows, the car as measured first, then the best; the chosen one is marked."""
    unit, axle = solved.car.unit, solved.car.axles[0].name
    rows = []
    for one in [tried.measured, *(each for each in tried.in_order if each is not tried.measured)]:
        where, decides = roll_centre_words(one, axle, unit), decides_words(one, unit, tried.sure.get(one.plan.name))
        name = f"{one.plan.name} (told of here)" if one is tried.chosen else one.plan.name
        rows.append(Row([name, where, held_of(one), decides]))
    return Table(_order_words(tried), ["plan", f"{axle} roll centre", "holds", "what limits it"], rows)


def _order_words(tried: PlansTried) -> str:
    """In which order plans stand below the car as measured, and whether that comes before them all."""
    order = "the most wanted of the means first" if tried.asked.wanted else f"by {RANKED_BY}"
    car = f"the car {as_it_is(tried.compared.car)}"
    return (
        f"{car.capitalize()} leads, then all plans, {order}"
        if _leads(tried)
        else f"{car.capitalize()}; below it all plans, {order}"
    )


def _leads(tried: PlansTried) -> bool:
    return tried.in_order[0] is tried.measured
