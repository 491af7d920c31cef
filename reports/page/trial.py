"""Changes tried on paper: carried out for the drawing at once, and judged like any plan."""

import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from pydantic import Field

from kinematics.car.car import Axle
from kinematics.car.lengths import UNITS, LengthUnit
from kinematics.car.limits import ROLL_CENTRE
from kinematics.inputs.plans.change_entries import AxleName
from kinematics.inputs.plans.plan_file import plans_from
from kinematics.inputs.plans.plan_text import plan_lines
from kinematics.inputs.reading.file_fields import Table
from kinematics.judging.verdict import Finding
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.changes import Change
from kinematics.planning.comparison import Outcome, compare
from kinematics.planning.plans import Plan
from kinematics.planning.refusal import Cause
from kinematics.planning.rules import Breach, Rule
from reports.documents.amounts import Record
from reports.page.bench import Bench, OpenCar
from reports.page.verdict_words import checks_shown
from reports.words.headline import sure_words
from reports.words.numbers import told
from reports.words.plan_cautions import caution_of
from reports.words.plans import adjusted_words, breach_words, refusal_words
from reports.words.tried import tried_words
from reports.words.verdict import check_name

TRIED = "tried"
_APART = (Cause.DO_NOT_FIT, Cause.NOT_ALIGNED)
_MOST_ENTRIES = 100
Entries = tuple[dict[str, Any], ...]


class Asked(Table):
    """Changes as a plan file has them, in the car's unit, and the alignment wanted after them."""

    changes: Entries = Field(default=(), max_length=_MOST_ENTRIES)
    align: dict[AxleName, dict[str, Any]] = Field(default_factory=dict)


def plan_of(opened: OpenCar, asked: Asked, name: str = TRIED, why: str = "") -> Plan:
    """The plan that the page asks for; InputFaultError in the words of a plan file where it is none."""
    written = {"name": name, "why": why, "change": list(asked.changes), "align": asked.align}
    units = opened.car.unit.symbol
    return plans_from({"units": units, "plan": [written]}, "the page", opened.car).plans[0]


def tried_axles(bench: Bench, opened: OpenCar, asked: Asked) -> dict[str, Axle]:
    """The axles after what is tried; as measured where nothing is changed, or where they cannot be put together."""
    if not asked.changes and not asked.align:
        return {axle.name: axle for axle in opened.car.axles}
    return axles_after(bench, opened, plan_of(opened, asked))[0]


def axles_after(bench: Bench, opened: OpenCar, plan: Plan) -> tuple[dict[str, Axle], list[str]]:
    """The axles after a plan, and why they cannot be put together; then they are as measured."""
    done = bench.carried_out(opened, plan)
    apart = [one for changed in done.values() for one in changed.refusals if one.cause in _APART]
    after = {axle.name: axle if apart else done[axle.name].axle for axle in opened.car.axles}
    return after, refusal_words(apart, opened.car.unit)


def judged(opened: OpenCar, asked: Asked, rules: Sequence[Rule]) -> Record:
    """What is tried, held against limits, rules, stops and joints, as `compare` does; what each change causes."""
    plan = plan_of(opened, asked)
    unit = opened.car.unit
    outcome = compare(opened.car, [plan], opened.limits, rules).outcomes[1]
    return {
        "headline": tried_words(outcome, opened.car.axles[0].name, unit),
        "sure": _sure(opened),
        "holds": outcome.buildable and outcome.holding == len(outcome.findings),
        "buildable": outcome.buildable,
        "checks": checks_shown(outcome.findings, unit),
        "in_the_way": refusal_words(outcome.troubles, unit),
        "adjusted": _adjusted(opened, outcome.axles) if outcome.numbers else [],
        "beside": [_beside(outcome, one, unit) for one in plan.changes],
    }


def _sure(opened: OpenCar) -> str:
    """How well the roll centre of the car as measured is known, which what is tried starts from."""
    around = opened.measured.axles[0].half_width.get(ROLL_CENTRE.key)
    if around is None or not np.isfinite(around).all():
        return ""
    return f"As measured: {sure_words(float(around.reshape(-1)[0]), opened.car.unit)}."


def _adjusted(opened: OpenCar, axles: Mapping[str, ChangedAxle]) -> list[str]:
    """How far the adjusters went to set toe and camber back."""
    words = (adjusted_words(axle, axles[axle.name], opened.car.unit) for axle in opened.car.axles)
    return [one for one in words if one]


def _beside(outcome: Outcome, change: Change, unit: LengthUnit) -> Record:
    """What stands beside a change's sliders: rules that it breaks, what it does to the tightest check, its caution."""
    breaches = [one for one in outcome.breaches if _is_of(one, change)]
    caution = caution_of(change)
    return {
        "entry": {"axle": change.axle, "what": change.what, "point": change.point},
        "broken": [breach_words(one, unit) for one in breaches if not one.allowed],
        "costs": [breach_words(one, unit) for one in breaches if one.allowed],
        "does": _share(outcome, change, unit),
        "caution": caution.short,
        "caution_in_full": caution.full,
    }


def _is_of(breach: Breach, change: Change) -> bool:
    other = breach.change
    return (other.axle, other.what, other.point) == (change.axle, change.what, change.point)


def _share(outcome: Outcome, change: Change, unit: LengthUnit) -> str:
    """What it alone does to the margin of the tightest check."""
    if not outcome.findings:
        return ""
    tight: Finding = outcome.tightest
    for share in outcome.shares:
        if share.change == change and (share.axle, share.key, share.over) == (tight.axle, tight.limit.key, tight.over):
            gain = told(share.gain, QUANTITIES[share.key].dimension, unit)
            return f"{gain} of margin to {tight.axle} {check_name(tight)}"
    return ""


def entries_of(plan: Plan, unit: LengthUnit) -> Record:
    """A plan's `changes` and `align`, as a plan file in the car's unit and the page's sliders hold them: numbers."""
    (written,) = tomllib.loads("\n".join(plan_lines(plan, UNITS[unit.symbol])))["plan"]
    return {"changes": written.get("change", []), "align": written.get("align", {})}
