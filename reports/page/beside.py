"""Kept plans set beside what is shown: drawn with it at every move, and their margins in one table."""

from collections.abc import Sequence

from pydantic import Field

from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.inputs.reading.file_fields import Table
from kinematics.judging.verdict import Finding
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.comparison import Outcome, compare
from kinematics.planning.plan import Plan
from reports.documents.amounts import Record
from reports.page.bench import Bench, OpenCar
from reports.page.plan_store import KeptPlans, read_kept
from reports.page.rules_held import rules_held
from reports.page.verdict_words import checks_shown
from reports.words.compared import held_words
from reports.words.plans import refusal_words

MOST_BESIDE = 2


class Names(Table):
    """The plans that are set beside."""

    names: tuple[str, ...] = Field(max_length=MOST_BESIDE)


def plans_named(kept: KeptPlans, names: Sequence[str]) -> list[Plan]:
    """Plans of the file by name; InputFaultError where one is not there any more."""
    by_name = {plan.name: plan for plan in kept.file.plans}
    gone = [Fault("plan", f"there is no plan {name!r} any more") for name in names if name not in by_name]
    if gone:
        raise InputFaultError("the page", gone)
    return [by_name[name] for name in names]


def margins(bench: Bench, opened: OpenCar, asked: Names) -> Record:
    """What every limit has left as measured and after each plan, one row for each check."""
    kept = read_kept(bench.plans, opened.car)
    rules = rules_held(kept.file, bench.means, opened.car)
    outcomes = compare(opened.car, plans_named(kept, asked.names), opened.limits, rules).outcomes
    columns = [_column(one, opened) for one in outcomes]
    return {"columns": columns}


def _column(outcome: Outcome, opened: OpenCar) -> Record:
    unit = opened.car.unit
    return {
        "name": outcome.plan.name,
        "held": held_words(outcome) if outcome.findings else "",
        "in_the_way": refusal_words(outcome.troubles, unit),
        "checks": [
            {**shown, "key": f"{one.axle}/{one.limit.key}/{one.over}", "row": _row(one)}
            for one, shown in zip(outcome.findings, checks_shown(outcome.findings, unit), strict=True)
        ],
    }


def _row(found: Finding) -> str:
    """A check by what it asks; which side is worst may be another one in every column."""
    over = {"ride height": "at ride height", "working range": "over the working range"}.get(
        found.over, f"over {found.over}"
    )
    return f"{found.axle} {QUANTITIES[found.limit.key].title}, {over}"
