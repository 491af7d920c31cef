"""The plans that are kept: listed with their changes, ranked, added to and taken away."""

from pathlib import Path
from typing import Annotated

from pydantic import Field

from kinematics.inputs.reading.file_fields import Table
from kinematics.inputs.reading.plain_text import escaped
from kinematics.planning.comparison import compare
from reports.documents.amounts import Record
from reports.page.bench import OpenCar
from reports.page.plan_store import KeptPlans, forget, keep, read_kept
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


def listed(opened: OpenCar, path: Path, means: Path) -> Record:
    """All plans of a file, as the page's sliders hold them."""
    return _listed(opened, path, means, read_kept(path, opened.car))


def _listed(opened: OpenCar, path: Path, means: Path, kept: KeptPlans) -> Record:
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
    rules = [rule.words for rule in rules_held(kept.file, means, opened.car)]
    return {"file": escaped(path.name), "seen": kept.version, "plans": plans, "rules": rules}


def keep_plan(opened: OpenCar, path: Path, means: Path, asked: Kept) -> Record:
    """Keep what is tried; the list after it."""
    keep(path, opened.car, plan_of(opened, asked, asked.name, asked.why), asked.seen)
    return listed(opened, path, means)


def forget_plan(opened: OpenCar, path: Path, means: Path, asked: Named) -> Record:
    """Take a plan away; the list after it."""
    forget(path, opened.car, asked.name, asked.seen)
    return listed(opened, path, means)


def ranked(opened: OpenCar, path: Path, means: Path) -> Record:
    """Every plan carried out and judged, the best first, the car as measured among them."""
    kept, unit = read_kept(path, opened.car), opened.car.unit
    rules = rules_held(kept.file, means, opened.car)
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
    return {**_listed(opened, path, means, kept), "ranked": rows}
