"""What `find` found, in the terminal: the answer, then plans as rows, windows, and what is in the way."""

from itertools import islice

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import Car
from kinematics.car.limits import Limits
from kinematics.finding.found_plans import FoundPlan, Search
from reports.tables.terminal import show_headline
from reports.words.finding import (
    Heights,
    binding_words,
    chance_words,
    check_words,
    cost_words,
    effort_words,
    ends_words,
    headline,
    margin_words,
    measure_words,
    plan_names,
    plan_words,
    rule_words,
    window_words,
)
from reports.words.fittings import lean_words, packing_words, tried_words
from reports.words.headline import WHAT_IT_DOES
from reports.words.lean_doubt import in_chances_words
from reports.words.not_checked import LEFT_TO_COMPARE, not_checked_words
from reports.words.not_judged import bump_steer_words
from reports.words.numbers import per_cent
from reports.words.plan_cautions import before_it_is_driven
from reports.words.wrapped import WIDTH

_MOST_BINDING = 3
_MOST_RULES = 4


def show_search(
    out: Console, search: Search, car: Car, limits: Limits, heights: Heights, then: str, car_file: str
) -> None:
    """Print a search: the answer first."""
    show_headline(headline(search, car, heights, then))
    out.print(_plans(search, car))
    names = ["as measured", *plan_names(search)]
    named = zip(names, heights.bump_steer, strict=False)
    lines = [WHAT_IT_DOES, packing_words(search.best, car), *lean_words(search), tried_words(search)]
    lines += [window_words(search, car.unit), *bump_steer_words(car.axles[0], limits, named, car.unit)]
    if not search.best.holds:
        binding = list(islice(binding_words(search, car.unit), _MOST_BINDING))
        lines += [f"In the way: {'; '.join(binding)}.", ends_words(search, car.unit)]
    lines += [chance_words(search), in_chances_words(car) if search.best.chance is not None else ""]
    lines += [cost_words(search, car.unit), measure_words(search, car_file)]
    rules = list(rule_words(search))
    lines += rules[:_MOST_RULES]
    lines += [f"{len(rules) - _MOST_RULES} more amounts are forbidden."] if len(rules) > _MOST_RULES else []
    lines += [*before_it_is_driven(search.best.plan), *not_checked_words(car, LEFT_TO_COMPARE), effort_words(search)]
    for line in filter(None, lines):
        out.print(Text(line), width=min(WIDTH, out.width))


def _plans(search: Search, car: Car) -> Table:
    shown = dict(zip(plan_names(search), [search.best, *search.alternatives], strict=True))
    if search.best.parts:
        shown = {"as measured": search.as_measured, **shown}
    table = Table(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0), width=WIDTH)
    table.add_column("plan", no_wrap=True)
    table.add_column("changes", ratio=5)
    table.add_column("worst margin", ratio=4)
    optional = {
        "chance": any(one.chance is not None for one in shown.values()),
        "price": any(one.price for one in shown.values()),
        "hours": any(one.hours for one in shown.values()),
    }
    columns = [name for name, there in optional.items() if there]
    for name in columns:
        table.add_column(name, justify="right", no_wrap=True)
    for name, one in shown.items():
        cells = {
            "chance": "" if one.chance is None else per_cent(one.chance),
            "price": f"{one.price:.6g}",
            "hours": f"{one.hours:.4g}",
        }
        words = plan_words(search, one, car.unit) or "nothing"
        table.add_row(name, Text(words), _worst(search, one, car), *(cells[column] for column in columns))
    return table


def _worst(search: Search, one: FoundPlan, car: Car) -> Text:
    check = search.checks[int(one.margins.argmin())]
    return Text(f"{margin_words(check, one.worst, car.unit, sign=True)}, {check_words(check)}")
