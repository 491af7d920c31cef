"""What `compare` tells of each kept plan first, as one table: heights, bump steer and camber with their limits."""

from collections.abc import Sequence

from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import FORCE_WEIGHTED, ROLL_CENTRE, Over
from kinematics.judging.verdict import Finding
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.comparison import Comparison, Outcome, compare
from reports.commands.car_and_limits import written_so
from reports.commands.compare import sure_of_plans
from reports.documents.amounts import Record
from reports.page.bench import Bench, OpenCar
from reports.page.plan_store import read_kept
from reports.page.rules_held import rules_held
from reports.words.compared import Sure, decides_words, held_words, holds_all
from reports.words.numbers import per_cent, sides_shown
from reports.words.verdict import sentence, short_range, worst_short

_SAID = "Numbers at ride height, as compare tells them; where travel or roll stands, the worst over the working range."
_KEYS = (ROLL_CENTRE.key, FORCE_WEIGHTED.key, "bump_steer", "camber")


def plans_told(bench: Bench, opened: OpenCar) -> Record:
    """Every kept plan beside the car as measured, axle by axle; no rows where none is kept."""
    kept = read_kept(bench.plans, opened.car)
    if not kept.file.plans:
        return {"said": "", "axles": []}
    car = written_so(opened.car, fractions=kept.file.fractions)
    rules = rules_held(kept.file, bench.means, opened.car)
    compared = compare(car, kept.file.plans, opened.limits, rules)
    sure = sure_of_plans(compared, opened.limits)
    return {"said": _SAID, "axles": [_axle(compared, axle.name, sure) for axle in car.axles]}


def _axle(compared: Comparison, axle: str, sure: Sure) -> Record:
    unit = compared.car.unit
    known = {number.key for number in compared.numbers(axle)}
    judged = {one.limit.key for outcome in compared.outcomes for one in _of(outcome, axle)}
    keys = [key for key in _KEYS if key in known | judged]
    rows = [
        {
            "name": one.plan.name,
            "holds": holds_all(one),
            "held": _held(one, sure),
            "decides": decides_words(one, unit, sure.get(one.plan.name)),
            "cells": [_cell(one, axle, key, unit) for key in keys],
        }
        for one in compared.outcomes
    ]
    return {"axle": axle, "heads": [_head(compared, axle, key) for key in keys], "rows": rows}


def _of(outcome: Outcome, axle: str, key: str | None = None) -> list[Finding]:
    return [one for one in outcome.findings if one.axle == axle and key in (None, one.limit.key)]


def _held(outcome: Outcome, sure: Sure) -> str:
    found = sure.get(outcome.plan.name)
    chance = None if found is None else found.chance
    return held_words(outcome) + ("" if chance is None else f", chance {per_cent(chance)}")


def _head(compared: Comparison, axle: str, key: str) -> Record:
    """A number's title and unit, and each range that it is held to with where."""
    quantity, unit = QUANTITIES[key], compared.car.unit
    first: Sequence[Finding] = next((found for one in compared.outcomes if (found := _of(one, axle, key))), [])
    ranges: dict[str, dict[Over, None]] = {}
    for one in first:  # a range of both sides, or of two stretches, is told once
        ranges.setdefault(short_range(one.limit, unit), {})[one.over] = None
    told = {"title": quantity.short or quantity.title, "unit": quantity.dimension.unit(unit)}
    return {**told, "allowed": [f"{', '.join(over)}: {words}" for words, over in ranges.items()]}


def _cell(outcome: Outcome, axle: str, key: str, unit: LengthUnit) -> list[Record]:
    """A number at ride height, where it is one that plans are compared by, and the worst of each check of it.

    Without units, which stand in the head; sentence: the whole finding.
    """
    found, symbol = _of(outcome, axle, key), f" {QUANTITIES[key].dimension.unit(unit)}"
    words = " / ".join(sides_shown(outcome.values(axle, key), QUANTITIES[key].dimension, unit))
    at_rest = [one for one in found if one.over == "ride height"]
    told: list[Record] = [{"words": words, "holds": _all_hold(at_rest), "sentence": _sentences(at_rest, unit)}]
    for over in dict.fromkeys(one.over for one in found if one not in at_rest):
        both = [one for one in found if one.over == over]
        worst = " / ".join(worst_short(one, unit).removesuffix(symbol) for one in both)
        told.append({"words": f"{over} {worst}", "holds": _all_hold(both), "sentence": _sentences(both, unit)})
    return [one for one in told if one["words"]]


def _all_hold(found: Sequence[Finding]) -> bool | None:
    return all(one.holds for one in found) if found else None


def _sentences(found: Sequence[Finding], unit: LengthUnit) -> str:
    return "; ".join(sentence(one, unit) for one in found)
