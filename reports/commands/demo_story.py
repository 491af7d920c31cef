"""The demo's story: how far an invented car may be lowered, before any part is bought."""

import argparse
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from reports.commands.car_and_limits import WITHIN, as_the_car_moves
from reports.commands.compare import CompareFiles, show_compared, sure_of_plans, swept_comparison, write_comparison
from reports.commands.sweep import sweep_job

if TYPE_CHECKING:
    from kinematics.car.car import Car
    from kinematics.doubt.planned import PlanSureness
    from kinematics.finding.found_plans import Search
    from kinematics.finding.means import Means
    from kinematics.inputs.plans.plan_file import PlanFile
    from kinematics.planning.comparison import Comparison

_NOW, _PARTS = "lowest as it is", "lowest with parts"
_FOUND, _LOWEST = "found_plans.toml", "lowest_with_parts.toml"


@dataclass(frozen=True)
class _Told:
    """What the story is made of: the car, the owner's plans, and the lowest it may go without and with parts."""

    car: "Car"
    read: "PlanFile"
    now: "Search"
    parts: "Search"
    comparison: "Comparison"


def tell_story(options: argparse.Namespace, sources: Mapping[str, str], car: "Car") -> int:
    """Tell it and write its files. sources: the texts of car, plans and means file, by name, in that order."""
    from reports.outputs.safe_write import write_content
    from reports.outputs.staged import refuse_changed, staged
    from reports.tables.compare_decisive import show_plans
    from reports.tables.terminal import console, show_caution, show_lines, show_written, working
    from reports.words.story import story_headline, story_words

    folder = Path(options.folder)
    car = replace(car, limits=as_the_car_moves(car.limits, car, options))
    files = CompareFiles.of(car, sweep_job(options, car), car.limits, options.drawing)
    files = replace(files, axles=files.axles[:1])  # nothing changes behind
    own = [folder / name for name in (*sources, _FOUND, _LOWEST)]
    targets = [*own, *files.paths(folder)]
    refuse_changed({folder / name: text for name, text in sources.items()}, targets, replace=options.replace)
    told = _solved(car, list(sources.values()), files)
    with working("sweeping plans"):
        drawn = [replace(one, about=_PARTS) for one in swept_comparison(told.comparison, files.job)[:1]]
        sure = _sure(told)
    texts = [*sources.values(), _found_text(told), _lowest_text(told, next(iter(sources.values())))]

    out = console()
    head = story_headline(told.comparison, told.read.plans[0].name, told.now, told.parts)
    show_plans(out, told.comparison, sure, head)
    show_lines(out, story_words(told.comparison, told.now, told.parts))
    if options.all:
        show_compared(told.comparison)
    with staged(folder, replace=options.replace) as place:
        for path, text in zip(own, texts, strict=True):
            write_content(place / path.name, text)
        write_comparison(drawn, files, place, replace=False, quiet=True)
    out.print(f"Look at {files.paths(folder)[1]}.", soft_wrap=True)
    show_written(out, folder, targets)
    show_caution(out)
    return WITHIN


def _solved(car: "Car", sources: list[str], files: CompareFiles) -> _Told:
    import tomllib

    from kinematics.finding.search import find
    from kinematics.inputs.plans.means_file import means_from
    from kinematics.inputs.plans.plan_file import plans_from
    from kinematics.planning.comparison import compare
    from reports.tables.terminal import working

    _, plans, wanted = (tomllib.loads(text) for text in sources)
    read, means = plans_from(plans, "built-in plans", car), means_from(wanted, "built-in means", car)
    with working("finding how low the car may go"):
        now, parts = (find(car, one, car.limits) for one in (_height_alone(means), means))
        found = [replace(one.best.plan, name=name) for one, name in ((now, _NOW), (parts, _PARTS))]
        tried = [*read.plans, *found]
        return _Told(car, read, now, parts, compare(car, tried, car.limits, read.rules, *files.job.along_curves))


def _height_alone(means: "Means") -> "Means":
    return replace(means, amounts=tuple(one for one in means.amounts if one.change.what == "ride height"))


def _sure(told: _Told) -> "dict[str, PlanSureness]":
    """How sure the plans are; of those that were found, with the chance that the search tried them for."""
    sure = sure_of_plans(told.comparison, told.car.limits)
    for name, search in ((_NOW, told.now), (_PARTS, told.parts)):
        if name in sure and search.best.chance is not None:
            sure[name] = replace(sure[name], chance=search.best.chance)
    return sure


def _found_text(told: _Told) -> str:
    from kinematics.inputs.plans.plan_text import plan_text

    plans = [one.plan for one in told.comparison.outcomes if one.plan.name in (_NOW, _PARTS)]
    head = ["INVENTED, like the car they are for: the lowest that holds all limits, as it is and with parts."]
    return plan_text(plans, told.read.rules, told.car.unit, head)


def _lowest_text(told: _Told, written: str) -> str:
    import tomllib

    from kinematics.inputs.plans.changed_car import changed_car_text

    head = ["INVENTED: the hatchback as low as it may go with parts, on paper."]
    return changed_car_text(tomllib.loads(written), told.car, replace(told.parts.best.plan, name=_PARTS), head)
