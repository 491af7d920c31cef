"""How far to trust an axle's numbers, in the terminal: intervals, chances that limits hold, what to measure again."""

from collections.abc import Sequence

import numpy as np
from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limits
from kinematics.car.uncertainty import ANGLES
from kinematics.doubt.agreement import Parting, parted_states, partings
from kinematics.doubt.assessment import ALL_LIMITS, NORMAL_95, Assessment, worse_side
from kinematics.doubt.question import DRAWN, Place
from kinematics.numbers.registry import QUANTITIES
from reports.tables.terminal import STATIC
from reports.words.numbers import HOW_HALF_WIDTH_95, PLUS_MINUS, shown, told
from reports.words.on_paper import as_it_is
from reports.words.verdict import OVER, judged_range, told_range

_MOST_SOURCES = 8  # that are worth a line
_WORTH_TELLING = 0.005  # of the variance


def show_doubt(out: Console, car: Car, assessment: Assessment, limits: Limits) -> None:
    """Print everything about an axle's doubt."""
    out.print(_numbers(car, assessment))
    for line in _assumed(assessment):
        out.print(Text(line))
    _show_partings(out, car.unit, partings(assessment))
    _show_parted_curves(out, assessment)
    _show_chances(out, car.unit, assessment, limits)


def _numbers(car: Car, assessment: Assessment) -> Table:
    """Each number at ride height with its doubt; sides that show the same are told once."""
    chances, axle = assessment.chances, assessment.axle
    table = Table(title=f"{car.name}: {axle.name} axle at ride height", title_justify="left")
    table.add_column("number")
    table.add_column(as_it_is(car), justify="right")
    table.add_column(f"{PLUS_MINUS} (95 %)", justify="right")
    if chances is not None:
        table.add_column(f"95 % of {chances.draws} cars", justify="right")
    table.add_column("unit")
    for key in (one for one in STATIC if one in assessment.sweeps["ride height"].values):
        quantity = QUANTITIES[key]
        columns = [assessment.first["ride height", key].value, assessment.half_width_95(("ride height", key))]
        columns += [] if chances is None else assessment.band(("ride height", key))
        rows = []
        for side in range(2 if quantity.per_side else 1):
            value, way, *ends = (shown(one.reshape(-1)[side], quantity.dimension, car.unit) for one in columns)
            rows.append([value, way, *([f"{ends[0]} to {ends[1]}"] if ends else [])])
        if len(rows) == 2 and rows[0] == rows[1]:
            rows.pop()
        for side, row in enumerate(rows):
            title = quantity.title if len(rows) == 1 else f"{quantity.title}, {SIDE_NAMES[side]}"
            table.add_row(title, *row, quantity.dimension.unit(car.unit))
    return table


def _assumed(assessment: Assessment) -> list[str]:
    """What the doubt rests on, and what counts as exact."""
    doubtful = {one.of for one in assessment.doubt.coordinates}
    exact = [key for key in assessment.axle.suspension.keys if key not in doubtful]
    lines = [HOW_HALF_WIDTH_95]
    if exact:
        lines.append(f"Taken as exact, since the file gives no doubt for them: {', '.join(exact)}.")
    angles = [f"{'toe_in' if angle == 'toe' else angle}_known_to" for angle in ANGLES if angle not in doubtful]
    if angles:
        lines.append(
            f"Wheel angles are taken as exact where {' and '.join(angles)} (degrees, in `wheel`) are not given."
        )
    return lines


def _show_partings(out: Console, unit: LengthUnit, found: Sequence[Parting]) -> None:
    told_here = [one for one in found if one.key in STATIC]
    for one in told_here:
        out.print(Text(f"WARNING  {_parting_words(one, unit)}", style="yellow"))
    if len(told_here) < len(found):
        more = ", ".join(dict.fromkeys(QUANTITIES[one.key].title for one in found if one.key not in STATIC))
        out.print(
            Text(f"{PLUS_MINUS}, to first order, is too simple for these; take the drawn intervals (CSV): {more}.")
        )


def _show_parted_curves(out: Console, assessment: Assessment) -> None:
    """Say which drawn curves first order does not tell rightly all along."""
    if assessment.chances is None:
        return
    places: tuple[Place, ...] = ("bump", "roll")
    for place in places:
        for key in DRAWN:
            parted = parted_states(assessment, (place, key))
            states = parted.reshape(-1, parted.shape[-1]).any(axis=0)
            if states.any():
                text = (
                    f"{QUANTITIES[key].title} in {place}: first order does not hold at {states.sum()} of {states.size}"
                )
                out.print(Text(f"{text} states; the band drawn is that of the drawn cars."))


def _parting_words(one: Parting, unit: LengthUnit) -> str:
    quantity = QUANTITIES[one.key]
    side = "" if one.side is None else f" {SIDE_NAMES[one.side]}"
    first, drawn = (
        f"{shown(low, quantity.dimension, unit)} to {told(high, quantity.dimension, unit, sign=False)}"
        for low, high in (one.first, one.drawn)
    )
    text = f"{quantity.title}{side}: first order says {first}, the drawn cars {drawn}; trust the drawn ones"
    if one.flat:
        return f"{text}. The number lies near an extremum: errors either way move it the same way."
    if one.lost > 0.0:
        return f"{text}. In {100 * one.lost:.1f} % of the cars it does not exist or is infinite."
    return f"{text}. It does not follow its points in a straight line."


def _show_chances(out: Console, unit: LengthUnit, assessment: Assessment, limits: Limits) -> None:
    chances = assessment.chances
    if chances is None:
        return
    name = assessment.axle.name
    out.print(Text(f"\nChance that each limit really holds ({chances.draws} drawn cars)", style="bold"))
    for limit in limits.of(assessment.axle):
        for over in limit.over:
            held = chances.holding[limit.key, over]
            judged = "" if over == "ride height" else f" ({judged_range(limits.working, over, unit)})"
            title = f"{name} {QUANTITIES[limit.key].title} {OVER[over]}{judged}, allowed {told_range(limit, unit)}"
            grid = Table.grid(padding=(0, 1))
            grid.add_column(width=13)
            grid.add_row(Text(chance_words(held, chances.draws)), Text(title))
            out.print(grid)
    if ALL_LIMITS in chances.holding:
        text = chance_words(chances.holding[ALL_LIMITS], chances.draws)
        out.print(Text(f"Chance that the {name} axle really holds all its limits: {text}", style="bold"))


def chance_words(chance: float, draws: int) -> str:
    """Write a chance no finer than so many draws can tell it."""
    least = max(100.0 / draws, 0.1)
    per_cent = 100.0 * chance
    if per_cent <= 0.0:
        return f"under {least:.1f} %"
    if per_cent >= 100.0:
        return f"over {100.0 - least:.1f} %"
    # What is neither none nor all must not be rounded to either.
    return f"{per_cent:.1f} %" if per_cent < 1.0 or per_cent > 99.0 else f"{per_cent:.0f} %"


def show_sources(out: Console, unit: LengthUnit, assessment: Assessment, key: str) -> None:
    """Print what a number's doubt comes from, most first, and what halving it would give."""
    quantity, first = QUANTITIES[key], assessment.first["ride height", key]
    side, whose = worse_side(first.standard_deviation)
    shares = first.shares.reshape(len(first.slopes), -1)[:, side]
    halved = NORMAL_95 * first.halved().reshape(len(first.slopes), -1)[:, side]
    now = told(
        float(assessment.half_width_95(("ride height", key)).reshape(-1)[side]), quantity.dimension, unit, sign=False
    )
    out.print(Text(f"\n{quantity.title}{whose} ({PLUS_MINUS} {now}): which measurement to do again", style="bold"))
    table = Table(box=SIMPLE_HEAD, pad_edge=False)
    table.add_column("measurement")
    table.add_column("its share", justify="right")
    table.add_column(f"{PLUS_MINUS} if twice as good", justify="right")
    for source in [int(i) for i in np.argsort(-shares) if shares[i] > _WORTH_TELLING][:_MOST_SOURCES]:
        after = told(float(halved[source]), quantity.dimension, unit, sign=False)
        table.add_row(assessment.doubt.sources[source].replace("_", " "), f"{100.0 * shares[source]:.0f} %", after)
    out.print(table)
