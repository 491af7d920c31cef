"""The plans that are kept: listed with their changes, ranked, added to, taken away and put back."""

from typing import Annotated

from pydantic import Field

from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.inputs.reading.file_fields import Table
from kinematics.inputs.reading.plain_text import escaped
from kinematics.planning.comparison import compare
from reports.documents.amounts import Record
from reports.page.bench import Bench, OpenCar
from reports.page.file_version import Seen
from reports.page.plan_store import KeptPlans, forget, keep, read_kept, restore
from reports.page.removed_plans import Removed
from reports.page.rules_held import rules_held
from reports.page.trial import Asked, entries_of, plan_of
from reports.words.compared import decides_words, held_words, roll_centre
from reports.words.headline import height_words
from reports.words.plans import changes_words


class Kept(Asked):
    """A plan to keep: its name, its owner's words, and the version of the plan file that the page showed."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    why: Annotated[str, Field(max_length=400)] = ""
    seen: str


class Named(Table):
    """A plan of the file, by its name."""

    name: str
    seen: str


def listed(bench: Bench, opened: OpenCar) -> Record:
    """All plans of a file, as the page's sliders hold them."""
    return _listed(bench, opened, read_kept(bench.plans, opened.car))


def _listed(bench: Bench, opened: OpenCar, kept: KeptPlans) -> Record:
    unit = opened.car.unit
    plans = [
        {
            "name": plan.name,
            "why": plan.why,
            "words": changes_words(plan, unit) or "alignment only",
            **entries_of(plan, unit),
        }
        for plan in kept.file.plans
    ]
    rules = [rule.words for rule in rules_held(kept.file, bench.means, opened.car)]
    last = bench.removed.last
    told = {"file": escaped(bench.plans.name), "seen": kept.version, "plans": plans, "rules": rules}
    return {**told, "removed": "" if last is None else last.plan.name}


def keep_plan(bench: Bench, opened: OpenCar, asked: Kept) -> Record:
    """Keep what is tried; the list after it."""
    keep(bench.plans, opened.car, plan_of(opened, asked, asked.name, asked.why), asked.seen)
    return listed(bench, opened)


def forget_plan(bench: Bench, opened: OpenCar, asked: Named) -> Record:
    """Take a plan away; the list after it."""
    before = read_kept(bench.plans, opened.car)
    forget(bench.plans, opened.car, asked.name, asked.seen)
    plan = next(one for one in before.file.plans if one.name == asked.name)
    bench.removed.add(Removed(plan, before.text, read_kept(bench.plans, opened.car).version))
    return listed(bench, opened)


def put_plan_back(bench: Bench, opened: OpenCar, asked: Seen) -> Record:
    """Put the plan back that was taken away last; the list after it.

    To the letter where the file is as that left it, else at its end. InputFaultError where a plan of that name is there
    by now, which is left alone.
    """
    last = bench.removed.last
    if last is None:
        raise InputFaultError(str(bench.plans), [Fault("plan", "none was removed here that could be put back")])
    if asked.seen == last.version:
        restore(bench.plans, opened.car, last.before, asked.seen)
    else:
        keep(bench.plans, opened.car, last.plan, asked.seen)
    bench.removed.put_back()
    return listed(bench, opened)


def ranked(bench: Bench, opened: OpenCar) -> Record:
    """Every plan carried out and judged, the best first, the car as measured among them."""
    kept, unit = read_kept(bench.plans, opened.car), opened.car.unit
    rules = rules_held(kept.file, bench.means, opened.car)
    compared = compare(opened.car, kept.file.plans, opened.limits, rules)
    axle = opened.car.axles[0].name
    rows = [
        {
            "name": one.plan.name,
            "roll_centre": height_words(roll_centre(one, axle), unit) if one.numbers else "",
            "held": held_words(one) if one.numbers else "",
            "holds": one.buildable and one.holding == len(one.findings),
            "decides": decides_words(one, unit),
        }
        for one in compared.ranked
    ]
    return {**_listed(bench, opened, kept), "ranked": rows}
