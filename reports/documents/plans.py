"""The document of `compare`: every plan with its changes, numbers, checks, and what is in its way."""

import math
from collections.abc import Iterator, Mapping, Sequence

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.lengths import LengthUnit
from kinematics.doubt.assessment import ALL_LIMITS
from kinematics.doubt.differences import PlanDoubt
from kinematics.doubt.planned import PlanSureness
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.changes import CHANGES, Change
from kinematics.planning.comparison import Comparison, Outcome, Share
from kinematics.planning.plans import Plan
from kinematics.planning.refusal import Refusal
from kinematics.planning.rules import Breach
from reports.documents.amounts import NOT_PUT_TOGETHER, Record, amount, number, plain
from reports.documents.checks import verdict
from reports.words.compared import best_plan, holds_all
from reports.words.plans import breach_words, change_words, refusal_words

_AMOUNTS = {"rate": Dimension.RATE, "mass": Dimension.MASS, "coils": Dimension.RATIO}


def compared_document(
    compared: Comparison, sure: Mapping[str, PlanSureness], doubts: Sequence[Sequence[PlanDoubt]] = ()
) -> Record:
    """Every plan, the car as measured first. best: the plan to take, null where none can be built."""
    best = best_plan(compared)
    return {
        "holds": any(holds_all(one) for one in compared.outcomes[1:]),
        "best": None if best is None else best.plan.name,
        "plans": [_plan(compared, one, sure.get(one.plan.name)) for one in compared.outcomes],
        "doubts": [_doubt(compared.car, one) for axle in doubts for one in axle[1:]],
    }


def _plan(compared: Comparison, outcome: Outcome, sure: PlanSureness | None) -> Record:
    unit = compared.car.unit
    return {
        "plan": outcome.plan.name,
        "changes": changes(outcome.plan, unit),
        "buildable": outcome.buildable,
        "rank": compared.ranked.index(outcome) + 1,
        "chance": None if sure is None else sure.chance,
        **verdict(outcome.findings, unit, [] if outcome.combined is None else [outcome.combined]),
        "in_the_way": refusals(outcome.troubles, unit),
        "rules": [_breach(one, unit) for one in outcome.breaches],
        "numbers": list(_numbers(compared, outcome)),
        "shares": [_share(one, unit) for one in outcome.shares],
    }


def _numbers(compared: Comparison, outcome: Outcome) -> Iterator[Record]:
    """Numbers after a plan that fits together; null where it has not what another has, such as packing that is kept."""
    for axle in compared.car.axles if outcome.numbers else ():
        for known in compared.numbers(axle.name):
            most = max(len(one.values(axle.name, known.key)) for one in compared.outcomes)
            values = outcome.values(axle.name, known.key) or most * (math.nan,)
            for value, side in zip(values, SIDE_NAMES if len(values) == 2 else (None,), strict=True):
                yield number(known, value, compared.car.unit, axle=axle.name, side=side)


def changes(plan: Plan, unit: LengthUnit) -> list[Record]:
    """A plan's changes, in words and as amounts."""
    return [_change(one, unit) for one in plan.changes]


def _change(one: Change, unit: LengthUnit) -> Record:
    takes = CHANGES[one.what].takes
    told: Record = {"axle": one.axle, "what": one.what, "point": one.point or None, "sides": list(one.sides)}
    if takes == "shift":
        shift = zip(("ahead", "out", "up"), one.shift, strict=True)
        told["shift"] = {way: amount(value, Dimension.LENGTH, unit) for way, value in shift}
    else:
        told["by"] = amount(one.by, _AMOUNTS.get(takes, Dimension.LENGTH), unit)
    return {**told, "words": change_words(one, unit)}


def refusals(found: Sequence[Refusal], unit: LengthUnit) -> list[Record]:
    """Why a plan cannot be built or used: a code, where, and the words for it."""
    return [
        {
            "code": one.cause.name.lower(),
            "axle": one.axle or None,
            "side": one.side or None,
            "names": list(one.names),
            "words": "; ".join(refusal_words([one], unit)),
        }
        for one in found
    ]


def _breach(one: Breach, unit: LengthUnit) -> Record:
    told: Record = {"rule": one.rule.words, "allowed": one.allowed, "change": _change(one.change, unit)}
    return {**told, "words": breach_words(one, unit)}


def _share(one: Share, unit: LengthUnit) -> Record:
    """What one change does to a check's margin: with it less without it."""
    known = QUANTITIES[one.key]
    told = number(known, one.gain, unit, axle=one.axle)
    return {**told, "over": one.over, "change": _change(one.change, unit)}


def _doubt(car: Car, found: PlanDoubt) -> Record:
    """How sure a plan's numbers and changes are; of the drawn cars, in how many it fits and holds all limits."""
    return {
        "plan": found.plan.name,
        "possible": found.possible,
        "all_limits_hold": found.holding.get(ALL_LIMITS),
        "numbers": list(_doubtful(car.unit, found)),
    }


def _doubtful(unit: LengthUnit, found: PlanDoubt) -> Iterator[Record]:
    for key, value in found.value.items():
        known = QUANTITIES[key]
        own, changed = found.half_width_95(key)
        parts = {
            "either_way_95": own,
            "change": found.change[key].value,
            "change_either_way_95": changed,
            **dict(zip(("change_drawn_low", "change_drawn_high"), found.spread[key].interval(), strict=True)),
        }
        for place, side in enumerate(SIDE_NAMES if known.per_side else (None,)):
            told = number(known, float(value.value.reshape(-1)[place]), unit, NOT_PUT_TOGETHER, side=side)
            scale = known.dimension.scale(unit)
            yield told | {name: plain(float(values.reshape(-1)[place]), scale) for name, values in parts.items()}
