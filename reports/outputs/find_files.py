"""The files of a search: plans for `compare`, the trade-off as table and figure, and the best plan as a car file."""

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, BinaryIO

from kinematics.car.car import Car
from kinematics.finding.found_plans import FoundPlan, Search
from kinematics.inputs.plans.changed_car import changed_car_text
from kinematics.inputs.plans.plan_text import in_file, plan_text
from kinematics.inputs.tables.doubt_file import doubt_text
from kinematics.numbers.quantity import Dimension
from reports.outputs.csv_files import write_rows
from reports.outputs.find_names import BEST_CAR, BEST_DOUBT, PLANS
from reports.outputs.output import Output, drawn
from reports.result_figures import trade_off_figure
from reports.words.finding import amount_name, check_words, dimension, plan_names, plan_words
from reports.words.fittings import place_title


@dataclass(frozen=True)
class Found:
    """A search, and the files that it was asked with: written is the car file's content."""

    search: Search
    car: Car
    car_file: Path
    means_file: Path
    written: Mapping[str, Any]


def find_outputs(written: Mapping[str, Any], drawing: str) -> list[Output[Found]]:
    """Every file of a search; drawing: the figure's ending."""
    return [
        Output(PLANS, lambda found, file: _put(_plans_text(found), file)),
        Output("find_trade_off.csv", _write_trade_off),
        Output(f"find_trade_off.{drawing}", drawn(lambda found: trade_off_figure(found.search, found.car), drawing)),
        Output(BEST_CAR, lambda found, file: _put(_best_car_text(found), file)),
        *([Output(BEST_DOUBT, lambda found, file: _put(_doubt_text(found), file))] if "doubt" in written else []),
    ]


def _put(text: str, file: BinaryIO) -> None:
    file.write(text.encode("utf-8"))


def _plans_text(found: Found) -> str:
    search, unit = found.search, found.car.unit
    # Changes tell themselves, with their parts' names: why tells only where they come from.
    plans = [
        replace(one.plan, name=name, why=f"found by cornersweep with {found.means_file.name}")
        for name, one in zip(plan_names(search), [search.best, *search.alternatives], strict=True)
        if one.parts
    ]
    head = [f"Found by `cornersweep find {found.car_file.name} {found.means_file.name}`, best first."]
    return plan_text(plans, search.means.rules, unit, head)


def _best_car_text(found: Found) -> str:
    search, best = found.search, found.search.best
    what = plan_words(search, best, found.car.unit) or "nothing changed"
    holds = "holds everything" if best.holds else "comes nearest, and does not hold everything"
    head = [
        f"{found.car_file.name} after the plan that `cornersweep find` found with {found.means_file.name}: {what}.",
        f"On paper: it {holds}. Measure the car again once it is built.",
    ]
    return changed_car_text(found.written, found.car, replace(best.plan, name="best"), head, BEST_DOUBT)


def _doubt_text(found: Found) -> str:
    doubts = {axle.name: axle.doubt for axle in found.car.axles if axle.doubt is not None}
    return doubt_text(doubts, found.car.unit, tomllib.loads(_best_car_text(found)))


def _write_trade_off(found: Found, file: BinaryIO) -> None:
    """Write one row for each plan: what it is, its amounts, what it costs, its margins."""
    search, unit = found.search, found.car.unit
    shown = [("as measured", search.as_measured)]
    shown += zip(plan_names(search), [search.best, *search.alternatives], strict=True)
    shown += [("best at this height or with so many changes", one) for one in search.trade_off]
    amounts = [f"{one.change.axle} {amount_name(one)} [{unit.symbol}]" for one in search.means.amounts]
    checks = [_margin_column(found, i) for i in range(len(search.checks))]
    costs = [f"ride height [{unit.symbol}]", "price", "hours", "chance", "worst margin [% of the range]", "holds"]
    fitted = [place_title(one) for one in search.places]
    fitted += ["roll gradient [deg/g]", "front share of the load moved [%]"] if fitted else []
    rows = [_row(found, name, one) for name, one in shown]
    write_rows(["plan", *amounts, *fitted, *costs, *(f"margin: {one}" for one in checks), "note"], rows, file)


def _margin_column(found: Found, index: int) -> str:
    check = found.search.checks[index]
    symbol = dimension(check).unit(found.car.unit)
    return f"{check_words(check)} [{symbol}]" if symbol else check_words(check)


def _fitted(search: Search, one: FoundPlan) -> list[object]:
    """What stands at each place for which something lies there, and how the car leans, where that is told."""
    if not search.places:
        return []
    stands = one.on_springs
    lean: list[object] = ["", ""] if stands is None else [stands.gradient, 100.0 * stands.front_share]
    return [*(one.fitting.at(place) for place in search.places), *lean]


def _row(found: Found, name: str, one: FoundPlan) -> list[object]:
    search, unit = found.search, found.car.unit
    margins = [
        float(margin) * check.scale * dimension(check).scale(unit)
        for check, margin in zip(search.checks, one.margins, strict=True)
    ]
    all_there = all(map(math.isfinite, margins))
    lacking = "" if all_there else "a margin that is not there: the number runs to infinity, or the parts do not fit"
    return [
        name,
        *(in_file(float(value), unit) for value in one.amounts),
        *_fitted(search, one),
        one.raised * Dimension.LENGTH.scale(unit),
        one.price,
        one.hours,
        "" if one.chance is None else one.chance,
        100.0 * one.worst,
        "yes" if one.holds else "no",
        *margins,
        lacking,
    ]
