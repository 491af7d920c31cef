"""A shelf file: springs and bars at hand, and what is wanted of them."""

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from pydantic import Field

from kinematics.car.car import Car
from kinematics.car.lengths import UNITS
from kinematics.car.units import Units
from kinematics.inputs.plans.spring_and_bar_choices import (
    BarChoiceTable,
    LeanTable,
    SpringChoiceTable,
    bar_choices,
    spring_choices,
    wanted_ranges,
)
from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.inputs.reading.file_fields import PositiveLength, Table, validated
from kinematics.inputs.reading.file_kinds import FileKind, refuse_other_kind
from kinematics.inputs.reading.sizes import MOST_COMBINATIONS
from kinematics.inputs.reading.toml_file import read_toml
from kinematics.loads.shelf import Shelf, Want
from kinematics.sweeps.arguments import refuse_no_car


class WantTable(LeanTable):
    """What is wanted: how the car leans, and its ride height kept within."""

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
    refuse_other_kind(written, FileKind.SHELF, source)
    table, faults = validated(ShelfTable, written)
    if table is None:
        raise InputFaultError(source, faults)
    units = Units(UNITS[table.units])
    if len(car.axles) < 2:
        raise InputFaultError(source, [Fault("", "a shelf is for a car whose file has both axles")])
    springs, bars = [], []
    for axle in car.axles:
        springs.append(spring_choices(getattr(table, f"{axle.name}_spring"), axle, units, faults))
        bars.append(bar_choices(getattr(table, f"{axle.name}_bar"), axle, units, faults))
    wanted = wanted_ranges(table.want, "want", faults)
    count = math.prod(len(one) + 1 for one in (*springs, *bars))
    if count == 1 and not faults:
        faults.append(Fault("", "there is nothing on the shelf: give [[front_spring]], [[front_bar]] or the like"))
    if count > MOST_COMBINATIONS:
        faults.append(Fault("", f"{count} combinations; at most {MOST_COMBINATIONS} are allowed"))
    if faults:
        raise InputFaultError(source, faults)
    height = math.inf if table.want.ride_height is None else units.length.to_mm(table.want.ride_height)
    want = Want(wanted[0], wanted[1], height)
    return Shelf(springs[0], springs[1], bars[0], bars[1], want)
