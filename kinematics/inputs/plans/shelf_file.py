"""A shelf file: springs and bars at hand, and what is wanted of them."""

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field

from kinematics.car.car import Car
from kinematics.car.lengths import UNITS
from kinematics.car.units import Units
from kinematics.inputs.car.loads_file import BarTable, bar_from
from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.inputs.reading.file_fields import Number, PositiveLength, PositiveNumber, Table, validated
from kinematics.inputs.reading.sizes import MOST_COMBINATIONS
from kinematics.inputs.reading.toml_file import read_toml
from kinematics.loads.shelf import AS_FITTED, BarChoice, Shelf, SpringChoice, Want
from kinematics.sweeps.arguments import refuse_no_car

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


class WantTable(Table):
    """What is wanted: roll gradient in degrees per g, front share of the load moved, ride height kept within."""

    roll_gradient: RangeTable = RangeTable()
    front_share: RangeTable = RangeTable()
    ride_height: PositiveLength | None = None


class ShelfTable(Table):
    """The whole file."""

    units: Literal["mm", "in"] = Field(description='"mm" or "in"')
    want: WantTable = WantTable()
    front_spring: tuple[SpringChoiceTable, ...] = ()
    rear_spring: tuple[SpringChoiceTable, ...] = ()
    front_bar: tuple[BarChoiceTable, ...] = ()
    rear_bar: tuple[BarChoiceTable, ...] = ()


def read_shelf(path: str | Path, car: Car) -> Shelf:
    """Read a shelf file for a car. InputFaultError names every fault."""
    refuse_no_car(car, "read_shelf")
    return shelf_from(read_toml(path), str(path), car)


def shelf_from(written: Mapping[str, Any], source: str, car: Car) -> Shelf:
    """Make a shelf of a file's content; `source` names the file in messages."""
    table, faults = validated(ShelfTable, written)
    if table is None:
        raise InputFaultError(source, faults)
    units = Units(UNITS[table.units])
    if len(car.axles) < 2:
        raise InputFaultError(source, [Fault("", "a shelf is for a car whose file has both axles")])
    springs, bars = [], []
    for axle in car.axles:
        shelf = getattr(table, f"{axle.name}_spring")
        springs.append(tuple(_spring(one, units) for one in shelf))
        for number, one in enumerate(shelf, start=1):
            key = f"{axle.name}_spring {number}"
            if one.name == AS_FITTED:
                faults.append(Fault(f"{key}.name", "means what is on the car; give it another name"))
            by_ratio = axle.loads is not None and axle.loads.spring.line.ratio is not None
            if by_ratio and one.free_length is not None:
                text = "means nothing on springs by motion_ratio alone: the car file does not tell how long they are"
                faults.append(Fault(f"{key}.free_length", text))
        own = axle.loads.bar if axle.loads is not None else None
        choices = []
        for number, one in enumerate(getattr(table, f"{axle.name}_bar"), start=1):
            key = f"{axle.name}_bar {number}"
            if own is None:
                text = f"the car has no [{axle.name}.bar]: give one with its mounts, so that another can stand there"
                faults.append(Fault(key, text))
                continue
            if one.rate == 0.0:
                choices.append(BarChoice(one.name, 0.0))
                continue
            sizes = one.model_dump(exclude={"name"})
            made = bar_from(BarTable(**sizes, motion_ratio=1.0), axle.suspension, units, key, faults)
            choices.append(BarChoice(one.name, made.rate))
        bars.append(tuple(choices))
    wanted = {}
    for name in ("roll_gradient", "front_share"):
        one = getattr(table.want, name)
        low, high = (-math.inf if one.low is None else one.low), (math.inf if one.high is None else one.high)
        if name == "front_share" and any(math.isfinite(end) and not 0.0 <= end <= 1.0 for end in (low, high)):
            faults.append(
                Fault("want.front_share", "is a part of one: 0 to 1 is allowed, like { from = 0.5, to = 0.58 }")
            )
        if low >= high:
            faults.append(Fault(f"want.{name}", f"read from {low:g} to {high:g}; `from` must lie below `to`"))
        wanted[name] = (low, high)
    count = math.prod(len(one) + 1 for one in (*springs, *bars))
    if count == 1 and not faults:
        faults.append(Fault("", "there is nothing on the shelf: give [[front_spring]], [[front_bar]] or the like"))
    if count > MOST_COMBINATIONS:
        faults.append(Fault("", f"{count} combinations; at most {MOST_COMBINATIONS} are allowed"))
    if faults:
        raise InputFaultError(source, faults)
    height = math.inf if table.want.ride_height is None else units.length.to_mm(table.want.ride_height)
    want = Want(wanted["roll_gradient"], wanted["front_share"], height)
    return Shelf(springs[0], springs[1], bars[0], bars[1], want)


def _spring(one: SpringChoiceTable, units: Units) -> SpringChoice:
    free = None if one.free_length is None else units.length.to_mm(one.free_length)
    return SpringChoice(one.name, one.rate * units.rate, free)
