"""How sure a plan's numbers are, and how sure what it changes, in the terminal."""

from collections.abc import Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.limits import ROLL_CENTRE
from kinematics.doubt.assessment import ALL_LIMITS, EXACT
from kinematics.doubt.differences import PlanDoubt
from kinematics.numbers.registry import QUANTITIES
from reports.tables.doubt_table import chance_words
from reports.words.numbers import PLUS_MINUS, shown
from solvers.vectors import Array

_SUREST = 1000  # times; beyond it the change does not depend on what was measured
_MOST_PLANS = 3
_CANCELS = (
    "A change is often far surer than the number itself: errors of measuring that the car before and after have in "
    "common cancel."
)


def show_plan_doubts(out: Console, car: Car, axle: Axle, found: Sequence[PlanDoubt], draws: int) -> None:
    """Print each plan's numbers and changes with their doubt, and the chance that all limits hold."""
    out.print(
        Text(f"\nHow sure: {axle.name} axle at ride height, {PLUS_MINUS} for 95 % of such measurements", style="bold")
    )
    for one in found[1:]:
        out.print(_plan(car, one))
    out.print(Text(_CANCELS))
    for one in found:
        if ALL_LIMITS in one.holding:
            chance = chance_words(one.holding[ALL_LIMITS], draws)
            out.print(Text(f'"{one.plan.name}": chance that all limits of the {axle.name} axle really hold: {chance}'))
        if one.possible < 1.0:
            lost = chance_words(1.0 - one.possible, draws)
            out.print(Text(f'"{one.plan.name}" cannot be put together, or aligned, in {lost} of the drawn cars.'))


def show_sure_changes(out: Console, car: Car, axle: Axle, found: Sequence[PlanDoubt], best: Sequence[str]) -> None:
    """Print the best plans' roll-centre heights, and by how much they change them, with their doubt. best: by name."""
    key, unit = ROLL_CENTRE.key, QUANTITIES[ROLL_CENTRE.key].dimension.unit(car.unit)
    by_name = {one.plan.name: one for one in found[1:] if key in one.value}
    plans = [one for one in (by_name[name] for name in best if name in by_name) if _changes(one, key)][:_MOST_PLANS]
    if not plans:
        return
    table = Table(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column(f"{axle.name} roll centre, {PLUS_MINUS} for 95 %")
    for title in (f"after it, {unit}", f"change, {unit}"):
        table.add_column(title, justify="right", no_wrap=True)
    table.add_column("surer", justify="right", no_wrap=True)
    for one in plans:
        value, change = one.half_width_95(key)
        cells = [
            _with_way(one.value[key].value, value, 0, key, car, sign=True),
            _with_way(one.change[key].value, change, 0, key, car, sign=True),
        ]
        table.add_row(Text(one.plan.name), *cells, _surer(one, key))
    out.print(table)


def _plan(car: Car, one: PlanDoubt) -> Table:
    table = Table(title=one.plan.name, title_justify="left", box=SIMPLE_HEAD, pad_edge=False)
    table.add_column("number")
    table.add_column("after it", justify="right")
    table.add_column("change", justify="right")
    table.add_column("surer", justify="right")
    table.add_column("unit")
    for key in one.value:
        quantity = QUANTITIES[key]
        ways = one.half_width_95(key)
        rows = []
        for side in range(one.value[key].value.size):
            pairs = ((one.value[key].value, ways[0], False), (one.change[key].value, ways[1], True))
            rows.append([_with_way(value, way, side, key, car, sign=sign) for value, way, sign in pairs])
        rows = rows[:1] if len(rows) == 2 and rows[0] == rows[1] else rows
        words = _surer(one, key)
        for side, row in enumerate(rows):
            title = quantity.title if len(rows) == 1 else f"{quantity.title}, {SIDE_NAMES[side]}"
            table.add_row(title, *row, words, quantity.dimension.unit(car.unit))
    return table


def _changes(one: PlanDoubt, key: str) -> bool:
    return bool(abs(one.change[key].value).max() > EXACT)


def _surer(one: PlanDoubt, key: str) -> str:
    surer = one.surer(key)
    return f"{surer:.0f} times" if 1.5 <= surer < _SUREST else f"over {_SUREST} times" if surer >= _SUREST else ""


def _with_way(value: Array, way: Array, side: int, key: str, car: Car, *, sign: bool) -> str:
    kind = QUANTITIES[key].dimension
    here, either = (float(one.reshape(-1)[side]) for one in (value, way))
    return f"{shown(here, kind, car.unit, sign=sign)} {PLUS_MINUS} {shown(either, kind, car.unit)}"
