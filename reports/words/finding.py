"""What `find` found, in words: plans, what is tightest or binds, windows, rules, and what to do next."""

import math
import shlex
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limit
from kinematics.doubt.assessment import NORMAL_95
from kinematics.finding.check import Check, CheckKind
from kinematics.finding.found_plans import Forbidden, FoundPlan, Search
from kinematics.finding.likely import CARS
from kinematics.finding.means import Aim, Amount
from kinematics.inputs.reading.plain_text import shortened
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from reports.words.fittings import piece_words
from reports.words.headline import beyond_words, height_words, in_two_lines
from reports.words.numbers import per_cent, told, told_planned
from reports.words.verdict import OVER

_MOST_OF_A_RULE = 60
_RUN_OFF = 2000.0  # mm; beyond it a roll centre is on its way to infinity
_RUNS_OFF = "runs to infinity"
_WAYS = ("ahead", "out", "up")
_AIMS = {
    Aim.FEWEST_PARTS: ("fewest parts",),
    Aim.LEAST_CHANGE: ("least change",),
    Aim.PRICE: ("lowest price", "fewest parts"),
    Aim.LOWEST: ("lowest ride height", "fewest parts"),
}


@dataclass(frozen=True)
class Heights:
    """An axle's roll centre over the ground as measured and after the best plan [mm], and its range if it has one.

    after: None where the parts do not fit together. bump_steer: of both wheels, as measured and after each plan that
    is listed, in order [rad/mm]; none of a plan whose parts do not fit.
    """

    axle: str
    measured: float
    after: float | None
    limit: Limit | None
    bump_steer: tuple[tuple[float, ...], ...] = ()


def headline(search: Search, car: Car, heights: Heights, then: str) -> list[str]:
    """Say first what was found, in at most three lines of 80 columns; then: the next command."""
    found: Callable[[Search, LengthUnit, str], Iterator[str]]
    found = _found_words if search.found else _unsure_words if search.best.holds else _nearest_words
    if search.forbidden and not search.means.amounts and not search.means.pieces:
        found = _none_left_words
    head = "Stopped early. " if search.stopped else ""
    befores = [f"{head}{_standing(heights, car.unit, limited)}" for limited in (True, False)]
    changed = heights.after is not None and bool(search.best.parts)
    after = f"roll centre {height_words(heights.after or 0.0, car.unit)}" if changed else ""
    tries = [f"{before} {words}" for words in found(search, car.unit, after) for before in befores]
    return [*in_two_lines(tries), f"Next: {then}"]


def _standing(heights: Heights, unit: LengthUnit, limited: bool) -> str:
    """Where the roll centre is as measured."""
    text = f"{heights.axle.capitalize()} roll centre {height_words(heights.measured, unit)}"
    limit = heights.limit if limited else None
    if limit is None or not math.isfinite(heights.measured):
        return f"{text}."
    outside = -float(limit.margin(np.asarray(heights.measured)))
    if outside <= 0.0:
        return f"{text}, within the range allowed."
    return f"{text}, {beyond_words(outside, unit, low=heights.measured < limit.low)}."


def _found_words(search: Search, unit: LengthUnit, after: str) -> Iterator[str]:
    """What was found, in all words and then in fewer."""
    best = search.best
    chance = "" if best.chance is None else f"; chance {per_cent(best.chance)}"
    plan, few = _capital(_plan(search, unit)), _capital(_few(best))
    where = f" ({after})" if after else ""
    for what in (f"{plan}{where}", plan, f"{few}{where}", few):
        yield f"{what} holds {_count(search)}{chance}."


def _none_left_words(search: Search, _unit: LengthUnit, _after: str) -> Iterator[str]:
    """Where nothing that the means list is allowed."""
    left = f"The class rules forbid every change listed; the car as measured {{}} {_count(search)}."
    yield left.format("holds" if search.best.holds else "does not hold")


def _unsure_words(search: Search, unit: LengthUnit, after: str) -> Iterator[str]:
    best, asked = search.best, search.means.chance or 0.0
    likely = "no chance was computed" if best.chance is None else f"the surest tried has {per_cent(best.chance)}"
    where = f" ({after})" if after else ""
    plan, few = _plan(search, unit), _few(best)
    costs = "" if search.cost is None else f"; {check_words(search.checks[search.cost.checks[0]])} costs most of it"
    for cost in (costs, "") if costs else ("",):
        for what in (f"{plan}{where}", plan, few):
            yield f"No plan holds {_count(search)} with a chance of {per_cent(asked)}; {likely}: {what}{cost}."


def _nearest_words(search: Search, unit: LengthUnit, after: str) -> Iterator[str]:
    best = search.best
    binding = next(binding_words(search, unit))
    rule = "; a class rule is in the way" if any(one.would_help for one in search.forbidden) else ""
    where = f" ({after})" if after else ""
    plan, few = _plan(search, unit), _few(best)
    for what in (f"{plan}{where}", plan, few):
        yield f"No plan holds {_count(search)}. Nearest: {what}; {binding}{rule}."
    yield f"No plan holds {_count(search)}. Nearest: {few}; {binding}."
    yield f"No plan holds {_count(search)}; {binding}."


def _plan(search: Search, unit: LengthUnit) -> str:
    return plan_words(search, search.best, unit) or "the car as measured"


def _few(best: FoundPlan) -> str:
    """A plan in few words."""
    if not best.parts:
        return "the car as measured"
    return f"a plan of {best.parts} change{'s' if best.parts > 1 else ''}"


def _count(search: Search) -> str:
    count = sum(one.kind is CheckKind.LIMIT for one in search.checks)
    return f"all {count} limits" if count > 2 else "both limits" if count == 2 else "the one limit"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def plan_words(search: Search, one: FoundPlan, unit: LengthUnit) -> str:
    """Say a plan's changes axle by axle, amounts in the owner's unit."""
    said: dict[str, list[str]] = {}
    for amount, value in zip(search.means.amounts, one.amounts, strict=True):
        if value:
            words = f"{amount_name(amount)} {amount_words(amount, float(value), unit)}"
            said.setdefault(amount.change.axle, []).append(words)
    for piece in one.fitting.pieces:
        said.setdefault(piece.change.axle, []).append(piece_words(piece))
    return "; ".join(f"{axle}: {', '.join(words)}" for axle, words in said.items())


def amount_name(amount: Amount) -> str:
    """What is changed, without axle and amount."""
    change = amount.change
    side = {(1.0, 0.0): "left", (0.0, 1.0): "right"}.get(change.sides, "")
    way = next((way for way, part in zip(_WAYS, change.shift, strict=True) if part), "")
    return " ".join(part for part in (side, change.what, change.point.replace("_", " "), way) if part)


def amount_words(amount: Amount, value: float, unit: LengthUnit) -> str:
    """An amount as it was found, in the owner's unit; with a sign where it may go either way."""
    sign = bool((amount.values < 0.0).any()) or amount.change.what == "ride height"
    return told_planned(value, unit, sign=sign)


def margin_words(check: Check, margin: float, unit: LengthUnit, *, sign: bool = False) -> str:
    """A margin in the check's own unit."""
    if not math.isfinite(margin) or abs(margin * check.scale) > _RUN_OFF:
        return _RUNS_OFF
    return told(margin * check.scale, dimension(check), unit, sign=sign)


def dimension(check: Check) -> Dimension:
    """What a check is measured in."""
    if check.kind is CheckKind.LIMIT:
        return QUANTITIES[check.key].dimension
    in_degrees = check.kind is CheckKind.JOINT or check.key == "strut bolts"
    return Dimension.ANGLE if in_degrees else Dimension.LENGTH


def check_words(check: Check) -> str:
    """Which check it is."""
    match check.kind:
        case CheckKind.LIMIT:
            return f"{check.axle} {QUANTITIES[check.key].title} {OVER[check.over]}"
        case CheckKind.TOE_LINK:
            return f"{check.axle} toe link's range"
        case CheckKind.CAMBER:
            return f"{check.axle} camber adjuster's range"
        case CheckKind.JOINT:
            return f"{check.axle} {check.key.replace('_', ' ')}'s angle"
        case CheckKind.GROUND:
            return f"{check.axle} points' room above the ground"
        case CheckKind.SPRING_SOLID:
            return f"{check.axle} springs' room before coil bind"
        case CheckKind.SPRING_LOOSE:
            return f"{check.axle} springs' hold in droop"
        case CheckKind.ON_STOP:
            return f"{check.axle} gap to the bump stop at rest"
        case _:
            return f"{check.axle} travel to the {check.key}"


def binding_words(search: Search, unit: LengthUnit) -> Iterator[str]:
    """What keeps the nearest plan from holding, the worst first, and by how much it would have to give way."""
    best = search.best
    for i in best.margins.argsort(kind="stable"):
        if best.margins[i] < 0.0:
            check = search.checks[i]
            lacking = -float(best.margins[i])
            if margin_words(check, lacking, unit) == _RUNS_OFF:
                yield f"{check_words(check)} runs to infinity"
            else:
                yield f"{check_words(check)} must give way by {margin_words(check, lacking, unit)}"


def cost_words(search: Search, unit: LengthUnit) -> str:
    """What costs the best plan the chance asked for, and by how much it would have to give way."""
    cost, asked = search.cost, search.means.chance
    if cost is None or asked is None:
        return ""
    first, *more = [check_words(search.checks[one]) for one in cost.checks]
    chance, *chances = map(per_cent, cost.without)
    by = _RUNS_OFF if cost.gives is None else margin_words(search.checks[cost.checks[0]], cost.gives, unit)
    if by != _RUNS_OFF:
        return f"What costs most of the chance: {first}; it must give way by {by} for {per_cent(asked)}."
    others = "".join(f", without {one} as well {per}" for one, per in zip(more, chances, strict=True))
    return f"What costs most of the chance: {first}; without it the chance would be {chance}{others}."


def chance_words(search: Search) -> str:
    """Of what the chances are, and how far those of other commands may be from them; empty where none is told."""
    chance = search.best.chance
    if chance is None:
        return ""
    # Both ends of what a binomial share of so many cars leaves open (formula).
    part = min(max(chance, 1.0 / CARS), 1.0 - 1.0 / CARS)
    good_to = math.ceil(100.0 * NORMAL_95 * math.sqrt(part * (1.0 - part) / CARS))
    return (
        f"Chances are of {CARS} cars drawn at random, stops and adjusters held too: good to {good_to} in 100. "
        "`compare` and `report` tell them to first order, and may differ by that."
    )


def measure_words(search: Search, car_file: str) -> str:
    """What to do where a plan holds everything on paper, and only the doubt of measuring stands in the way."""
    if search.found or not search.best.holds:
        return ""
    command = shlex.join(["cornersweep", "doubt", car_file])
    return (
        f"On the car as measured this plan holds {_count(search)}: the doubt of measuring is in the way. Measure again "
        f"what `{command}` names, or choose a plan with more room."
    )


def unbuildable_words(search: Search, one: FoundPlan, unit: LengthUnit) -> Iterator[str]:
    """Why a plan cannot be built: which adjuster, stop or joint it asks too much of, and by how much."""
    for check, margin in zip(search.checks, one.margins.tolist(), strict=True):
        if check.kind is not CheckKind.LIMIT and margin < 0.0:
            yield f"{check_words(check)} is exceeded by {margin_words(check, -margin, unit)}"


def ends_words(search: Search, unit: LengthUnit) -> str:
    """Which amounts of the nearest plan are as far as the means go."""
    at_end = [
        f"{amount.change.axle} {amount_name(amount)} ({amount_words(amount, float(value), unit)})"
        for amount, value in zip(search.means.amounts, search.best.amounts, strict=True)
        if value and value in (amount.values[0], amount.values[-1])
    ]
    return f"As far as the means go: {', '.join(at_end)}." if at_end else ""


def window_words(search: Search, unit: LengthUnit) -> str:
    """How far each amount of the best plan may go, the others unchanged."""
    said = []
    for amount, window in zip(search.means.amounts, search.windows, strict=True):
        if window is not None:
            low, high = (amount_words(amount, end, unit) for end in window)
            one = f"{low} only" if low == high else f"{low.removesuffix(f' {unit.symbol}')} to {high}"
            said.append(f"{amount_name(amount)} {one}")
    return f"Range of each amount, the others unchanged: {'; '.join(said)}." if said else ""


def rule_words(search: Search) -> Iterator[str]:
    """What class rules took away, and whether lifting one would help."""
    for one in search.forbidden:
        size = f"{one.count} amounts" if one.count > 1 else "1 amount"
        text = shortened(one.rule.words, _MOST_OF_A_RULE)
        what = f"{one.amount.change.axle} {amount_name(one.amount)}"
        why = ": it states no at_most, so it forbids them" if one.rule.at_most is None else ""
        yield f'Rule "{text}" takes away {size} of {what}{why}.{_lifted_words(search, one)}'


def _lifted_words(search: Search, one: Forbidden) -> str:
    """What lifting a rule would bring."""
    if one.would_help is None:
        return ""
    if one.would_help:
        return " Without it a plan holds all."
    if one.chance is None or search.means.chance is None or one.chance <= (search.best.chance or 0.0):
        return " Lifting it alone would not help."
    return f" Lifting it alone reaches {per_cent(one.chance)} of the {per_cent(search.means.chance)} asked."


def effort_words(search: Search) -> str:
    """How many plans were looked at, and what was left out."""
    count = f"{search.looked_at:,} plan{'s' if search.looked_at != 1 else ''} looked at, {search.verified:,} solved"
    lost = f"; {search.lost:,} of them cannot be put together" if search.lost else ""
    untried = f"; {search.untried:,} that may hold were not tried: take fewer or longer steps" if search.untried else ""
    return f"{count}{lost}{untried}. Wanted: {_aim_words(search)}."


def _aim_words(search: Search) -> str:
    """In which order plans that hold are wanted."""
    said = list(_AIMS[search.means.aim])
    if search.means.aim is Aim.LEAST_CHANGE:
        return said[0]
    if search.best.chance is not None and search.means.chance is None:
        said.append("best chance")
    return ", then ".join([*said, "least change"])


def plan_names(search: Search) -> Sequence[str]:
    """Names of the best plan and of its alternatives."""
    return ["best", *(f"other {i}" for i in range(1, len(search.alternatives) + 1))]
