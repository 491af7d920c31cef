"""Springs and bars that lie there, as shelf files and means files write them, and how the car is to lean with them."""

import math
from collections.abc import Sequence
from typing import Annotated

from pydantic import Field

from kinematics.car.car import Axle
from kinematics.car.units import Units
from kinematics.inputs.car.loads_file import bar_from
from kinematics.inputs.car.loads_tables import BarTable
from kinematics.inputs.reading.faults import Fault, shown
from kinematics.inputs.reading.file_fields import Number, PositiveLength, PositiveNumber, Table
from kinematics.loads.shelf import AS_FITTED, BarChoice, SpringChoice

_Name = Annotated[str, Field(min_length=1, max_length=80)]


class SpringChoiceTable(Table):
    """A pair of springs on the shelf."""

    name: _Name
    rate: PositiveNumber
    free_length: PositiveLength | None = None


class BarChoiceTable(Table):
    """A bar on the shelf, for the mounts that the car has; rate 0: no bar."""

    name: _Name
    rate: Annotated[Number, Field(ge=0.0)] | None = None
    diameter: PositiveLength | None = None
    inner_diameter: PositiveLength | None = None
    length: PositiveLength | None = None
    arm: PositiveLength | None = None
    arm_length: PositiveLength | None = None


class RangeTable(Table):
    """A range wanted, open where an end is left out."""

    low: Number | None = Field(default=None, alias="from")
    high: Number | None = Field(default=None, alias="to")


class LeanTable(Table):
    """How the car is to lean: roll gradient in degrees per g, front share of the load moved."""

    roll_gradient: RangeTable = RangeTable()
    front_share: RangeTable = RangeTable()


def spring_choices(
    tables: Sequence[SpringChoiceTable], axle: Axle, units: Units, faults: list[Fault]
) -> tuple[SpringChoice, ...]:
    """Springs for an axle; what is wrong with them goes to the faults."""
    by_ratio = axle.loads is not None and axle.loads.spring.line.ratio is not None
    for number, one in enumerate(tables, start=1):
        key = f"{axle.name}_spring {number}"
        faults += _name_faults(tables, number, key, "springs")
        if by_ratio and one.free_length is not None:
            text = "means nothing on springs by motion_ratio alone: the car file does not tell how long they are"
            faults.append(Fault(f"{key}.free_length", text))
    return tuple(_spring(one, units) for one in tables)


def bar_choices(
    tables: Sequence[BarChoiceTable], axle: Axle, units: Units, faults: list[Fault]
) -> tuple[BarChoice, ...]:
    """Bars for an axle that has one; what is wrong with them goes to the faults."""
    has_one = axle.loads is not None and axle.loads.bar is not None
    choices = []
    for number, one in enumerate(tables, start=1):
        key = f"{axle.name}_bar {number}"
        faults += _name_faults(tables, number, key, "bars")
        if not has_one:
            text = f"the car has no [{axle.name}.bar]: give one with its mounts, so that another can stand there"
            faults.append(Fault(key, text))
        elif one.rate == 0.0:
            choices.append(BarChoice(one.name, 0.0))
        else:
            sizes = one.model_dump(include=set(BarChoiceTable.model_fields) - {"name"})
            made = bar_from(BarTable(**sizes, motion_ratio=1.0), axle.suspension, units, key, faults)
            choices.append(BarChoice(one.name, made.rate))
    return tuple(choices)


def wanted_ranges(table: LeanTable, key: str, faults: list[Fault]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Roll gradient and front share that are wanted, infinite where open; what is wrong goes to the faults."""
    gradient, share = (
        (-math.inf if one.low is None else one.low, math.inf if one.high is None else one.high)
        for one in (table.roll_gradient, table.front_share)
    )
    if any(math.isfinite(end) and not 0.0 <= end <= 1.0 for end in share):
        text = "is a part of one: 0 to 1 is allowed, like { from = 0.5, to = 0.58 }"
        faults.append(Fault(f"{key}.front_share", text))
    for name, (low, high) in (("roll_gradient", gradient), ("front_share", share)):
        if low >= high:
            faults.append(Fault(f"{key}.{name}", f"read from {low:g} to {high:g}; `from` must lie below `to`"))
    return gradient, share


def _name_faults(tables: Sequence[SpringChoiceTable | BarChoiceTable], number: int, key: str, what: str) -> list[Fault]:
    name = tables[number - 1].name
    if name == AS_FITTED:
        return [Fault(f"{key}.name", "means what is on the car; give it another name")]
    if name in (one.name for one in tables[: number - 1]):
        return [
            Fault(f"{key}.name", f"read {shown(name)}, which stands there already; give each of the {what} its own")
        ]
    return []


def _spring(one: SpringChoiceTable, units: Units) -> SpringChoice:
    free = None if one.free_length is None else units.length.to_mm(one.free_length)
    return SpringChoice(one.name, one.rate * units.rate, free)
