"""The file on the doubt of a car's lean: every number with how far either way it lies, one a row."""

from collections.abc import Iterator, Mapping
from typing import BinaryIO

import numpy as np

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.lengths import LengthUnit
from kinematics.doubt.lean_doubt import LeanDoubt
from kinematics.doubt.lean_sources import counted
from kinematics.loads.lean import in_g
from kinematics.loads.load_numbers import UNDER_LOAD
from kinematics.loads.sheet_numbers import LATERAL_ACCELERATION, TRAVEL
from reports.outputs.csv_files import write_rows
from reports.outputs.output import Output
from reports.words.under_load import manoeuvre_words
from solvers.vectors import Array, Column

_CURVES = {"lean": LATERAL_ACCELERATION, "rates": TRAVEL}
_AXLES = ("front", "rear")
_PLACES: dict[int, list[tuple[str, tuple[int, ...]]]] = {
    1: [("", ())],
    2: [(axle, (i,)) for i, axle in enumerate(_AXLES)],
    3: [(f"{axle} {side}", (i, k)) for i, axle in enumerate(_AXLES) for k, side in enumerate(SIDE_NAMES)],
}
NO_BALANCE_NEAR = "no balance was found here, or not with one of its sources a standard deviation off"


def lean_doubt_outputs(car: Car) -> list[Output[LeanDoubt]]:
    """The file of a car that says how well something of it is known; none of any other."""

    def write(doubt: LeanDoubt, file: BinaryIO) -> None:
        columns = doubt_columns(doubt, car.unit)
        notes = np.where(np.isfinite(columns["either_way_95"]), "", NO_BALANCE_NEAR)
        rows = zip(*(column.tolist() for column in columns.values()), notes.tolist(), strict=True)
        write_rows([*columns, "note"], map(list, rows), file)

    return [Output("lean_doubt.csv", write)] if counted(car).sources else []


def doubt_columns(doubt: LeanDoubt, unit: LengthUnit) -> dict[str, Column]:
    """One row for each number over lateral acceleration, over travel and in manoeuvres, its place and state.

    at: the acceleration, the travel, or the part of a manoeuvre's acceleration.
    """
    parts = [*_parts(doubt, unit), *_under_load(doubt, unit)]
    return {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}


def _parts(doubt: LeanDoubt, unit: LengthUnit) -> Iterator[dict[str, Column]]:
    for (where, key), first in doubt.first.items():
        driver = _CURVES.get(where)
        if driver is None or key == driver.key:
            continue
        along = in_g(doubt.sheet.balance.acceleration) if where == "lean" else doubt.sheet.wheel_rates[TRAVEL.key]
        number = (doubt.sheet if where == "lean" else doubt.sheet.wheel_rates).about(key)
        scale, way = number.dimension.scale(unit), doubt.half_width_95(where, key)
        for place, index in _PLACES[first.value.ndim]:
            texts = {"over": driver.key, "number": key, "place": place, "unit": number.dimension.unit(unit)}
            at = np.asarray(along * driver.dimension.scale(unit))
            yield _rows(texts, at, first.value[index] * scale, way[index] * scale)


def _under_load(doubt: LeanDoubt, unit: LengthUnit) -> Iterator[dict[str, Column]]:
    loaded = doubt.loaded
    for number in UNDER_LOAD if loaded is not None else ():
        assert loaded is not None  # else there is no number
        value, way = doubt.first["load", number.key].value, doubt.half_width_95("load", number.key)
        scale = number.dimension.scale(unit)
        for place, index in _PLACES[value.ndim - 1]:
            for i, one in enumerate(loaded.manoeuvres):
                told = {"over": manoeuvre_words(one), "number": number.key, "place": place}
                told["unit"] = number.dimension.unit(unit)
                yield _rows(told, loaded.parts, value[(*index, i)] * scale, way[(*index, i)] * scale)


def _rows(texts: Mapping[str, str], at: Array, value: Array, way: Array) -> dict[str, Column]:
    over, *named = ({name: np.full(at.size, text)} for name, text in texts.items())
    columns: dict[str, Column] = {**over, "at": at}
    for one in named:
        columns |= one
    return columns | {"value": value, "either_way_95": way, "low_95": value - way, "high_95": value + way}
