"""How sure plans' numbers are, and what they change, as CSV."""

import math
from collections.abc import Sequence
from typing import BinaryIO

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.doubt.assessment import ALL_LIMITS
from kinematics.doubt.differences import PlanDoubt
from kinematics.numbers.registry import QUANTITIES
from reports.outputs.csv_files import write_rows


def write_plan_doubts(car: Car, found: Sequence[PlanDoubt], file: BinaryIO) -> None:
    """Write one row for each plan, number and side: value, its 95 % way, change, its 95 % way, drawn interval of it."""
    rows: list[list[object]] = []
    for one in found[1:]:
        for key, value in one.value.items():
            quantity, ways = QUANTITIES[key], one.half_width_95(key)
            columns = (value.value, ways[0], one.change[key].value, ways[1], *one.spread[key].interval())
            for side in range(value.value.size):
                scaled = [float(column.reshape(-1)[side]) * quantity.dimension.scale(car.unit) for column in columns]
                name = SIDE_NAMES[side] if quantity.per_side else ""
                note = "infinite, or the plan cannot be put together" if not all(map(math.isfinite, scaled)) else ""
                chance = one.holding.get(ALL_LIMITS, "")
                rows.append(
                    [one.plan.name, quantity.title, name, quantity.dimension.unit(car.unit), *scaled, chance, note]
                )
    ways_of = ("value", "value_either_way_95_percent", "change", "change_either_way_95_percent")
    drawn = ("change_drawn_low", "change_drawn_high", "all_limits_hold")
    write_rows(["plan", "number", "side", "unit", *ways_of, *drawn, "note"], rows, file)
