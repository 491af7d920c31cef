"""The car file: TOML written by hand in a garage, read and checked, all its faults told at once."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle, Car, weighed
from kinematics.car.fittings import Body
from kinematics.car.lengths import UNITS, LengthUnit, as_written, writes_fractions
from kinematics.car.limits import STATED, Accelerations, Limit, Limits, Origin, WorkingRange, usual_over
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.car_tables import AxleTable, CarTable, LimitsFileTable, LimitsTable
from kinematics.inputs.car.damper_entries import damper_travel_from
from kinematics.inputs.car.fittings_file import (
    body_from,
    fittings_from,
)
from kinematics.inputs.car.free_linkage_file import LinkageTable, free_linkage_from
from kinematics.inputs.car.known_to import stated_doubt
from kinematics.inputs.car.loads_file import loads_from
from kinematics.inputs.car.loads_tables import LoadTables
from kinematics.inputs.car.plausibility import implausible
from kinematics.inputs.reading.faults import LEAVE_OUT, ONE_OF_TWO, Fault, InputFaultError, did_you_mean, shown
from kinematics.inputs.reading.file_fields import validated
from kinematics.inputs.reading.file_kinds import FileKind, refuse_other_kind
from kinematics.inputs.reading.toml_file import read_toml
from kinematics.inputs.tables.doubt_file import read_doubts
from kinematics.numbers.registry import QUANTITIES
from solvers.read_only import read_only
from solvers.vectors import Array


def read_car(path: str | Path) -> Car:
    """Read a car file. InputFaultError names every fault: key, what was read, what is allowed."""
    written = read_toml(path)
    return car_from(written, str(path), Path(path).parent)


def read_limits(path: str | Path) -> Limits:
    """Read `units` and the `[limits]` table of a file that holds them alone, or of a car file or a survey."""
    written = read_toml(path)
    refuse_other_kind(written, FileKind.LIMITS, str(path))
    if _axles_in(written):
        written = {key: written[key] for key in LimitsFileTable.model_fields if key in written}
    table, faults = validated(LimitsFileTable, written)
    if table is None:
        raise InputFaultError(str(path), faults)
    limits, more = limits_from(table.limits, UNITS[table.units])
    if faults or more:
        raise InputFaultError(str(path), [*faults, *more])
    return read_only(replace(limits, fractions=writes_fractions(written)))


def car_from(written: Mapping[str, Any], source: str, folder: Path | None = None) -> Car:
    """Make a car of a file's content; `source` names the file in messages, `doubt` a file in its folder."""
    if not written:
        raise InputFaultError(source, [Fault("", "the file is empty; `cornersweep new strut` writes one to fill in")])
    if any("readings" in axle for _, axle in _axles_in(written)):
        text = "this is a survey; `cornersweep survey` makes a car file of it"
        raise InputFaultError(source, [Fault("", text)])
    refuse_other_kind(written, FileKind.CAR, source)
    table, faults = validated(CarTable, written)
    kinds, more = kinds_in(written)
    faults += more + point_faults(written, kinds)
    if table is None:
        raise InputFaultError(source, faults)
    if table.front is None and table.rear is None:
        raise InputFaultError(source, [Fault("", "there is no axle: give a [front] table, a [rear] table, or both")])
    unit = UNITS[table.units]
    axles: list[Axle] = []
    body, body_faults = body_from(table.body, unit)
    faults += body_faults
    if not faults:
        for name, axle_table in (("front", table.front), ("rear", table.rear)):
            if axle_table is not None:
                axle, missing = axle_from(name, axle_table, kinds[name], unit, table.measured_to, body)
                faults += missing or implausible(axle, unit, radii_written(axle_table, unit))
                axles.append(axle)
    faults += final_drive_unused(body, axles)
    limits, limit_faults = limits_from(table.limits, unit)
    faults += limit_faults or limits_not_there(limits, axles)
    if table.doubt is not None:
        faults += _doubt_twice(table, axles)
    if faults:
        raise InputFaultError(source, faults)
    if table.doubt is not None:
        axles = _with_doubts(axles, (folder or Path()) / table.doubt, unit, written)
    car = Car(table.name, as_written(unit, written), weighed(axles), limits, table.on_paper)
    return read_only(car)


def _doubt_twice(table: CarTable, axles: Sequence[Axle]) -> list[Fault]:
    stated = ["measured_to"] if table.measured_to is not None else []
    stated += [f"{axle.name}.{axle.doubt.coordinates[0].of}: known_to" for axle in axles if axle.doubt is not None]
    text = "the file named in `doubt` says how well each coordinate is known"
    return [Fault(stated[0], text, ONE_OF_TWO)] if stated else []


def _with_doubts(axles: Sequence[Axle], path: Path, unit: LengthUnit, written: Mapping[str, Any]) -> list[Axle]:
    doubts = read_doubts(path, axles, unit, written)
    return [replace(axle, doubt=doubts.get(axle.name)) for axle in axles]


def final_drive_unused(body: Body, axles: Sequence[Axle]) -> list[Fault]:
    """A final drive that turns no live rear axle, where the rear axle is told."""
    if body.final_drive is None:
        return []
    driven = body.front_drive != 1.0
    live = [axle.suspension.whole_axle for axle in axles if axle.name == "rear"]
    if all(live) and driven:
        return []
    why = "front_drive = 1 drives no rear axle" if not driven else "the rear axle is no live axle"
    text = f"read {body.final_drive:g}; it twists a driven live rear axle, and {why}, so it would count for nothing"
    return [Fault("body.final_drive", text, LEAVE_OUT)]


def limits_not_there(limits: Limits, axles: Sequence[Axle]) -> list[Fault]:
    """Limits on numbers that an axle does not have."""
    return [
        Fault(
            f"limits.{axle.name}.{limit.key}",
            f"this axle has no such number: it needs {QUANTITIES[limit.key].only.what}",
        )
        for axle in axles
        for limit in limits.by_axle.get(axle.name, ())
        if not QUANTITIES[limit.key].only.on(axle)
    ]


def _axles_in(written: Mapping[str, Any]) -> list[tuple[str, Mapping[str, Any]]]:
    return [(name, written[name]) for name in ("front", "rear") if isinstance(written.get(name), dict)]


def kinds_in(written: Mapping[str, Any]) -> tuple[dict[str, SuspensionType], list[Fault]]:
    """The suspension type of each axle that names one, or lists one; and what is wrong with that."""
    kinds, faults = {}, []
    for name, axle in _axles_in(written):
        kind, linkage = axle.get("suspension"), axle.get("linkage")
        if isinstance(kind, str) and kind not in SUSPENSIONS:
            faults.append(Fault(f"{name}.suspension", f"read {shown(kind)}{did_you_mean(kind, SUSPENSIONS)}"))
        elif isinstance(kind, str) and SUSPENSIONS[kind].listed:
            listed, _ = validated(LinkageTable, linkage) if isinstance(linkage, dict) else (None, [])
            tables = [table for _, table in reversed(_point_tables(name, axle)) if isinstance(table, dict)]
            points = {key: point for table in tables for key, point in table.items() if isinstance(point, dict)}
            if linkage is None:
                text = f"is missing: a {kind} lists its joints in [[{name}.linkage.joint]]"
                faults.append(Fault(f"{name}.linkage", text))
            elif listed is not None:
                kinds[name], more = free_linkage_from(listed, points, name)
                faults += more
                if more:
                    del kinds[name]
        elif isinstance(kind, str):
            kinds[name] = SUSPENSIONS[kind]
            if linkage is not None:
                faults.append(Fault(f"{name}.linkage", f"a {kind} has its own joints; only a free linkage lists them"))
    return kinds, faults


def point_faults(written: Mapping[str, Any], kinds: Mapping[str, SuspensionType]) -> list[Fault]:
    """Points that the suspension type does not have, and points missing on either side."""
    faults = []
    for name, axle in _axles_in(written):
        kind = kinds.get(name)
        if kind is None:
            continue
        if not kind.listed:
            faults += [
                Fault(f"{place}.{key}.{field}", f"a {kind.name} knows this by itself; only a free linkage says it")
                for place, table in _point_tables(name, axle)
                for key in _keys(table)
                for field in ("on", "single")
                if isinstance(table[key], dict) and field in table[key]
            ]
        given = {place: _keys(table) for place, table in _point_tables(name, axle)}
        for place, keys in given.items():
            for key in keys:
                if key not in kind.keys:
                    unknown = f"a {kind.name} has no such point{did_you_mean(key, kind.keys)}"
                    faults.append(Fault(f"{place}.{key}", unknown))
        for place, keys in given.items():
            for key in keys:
                if key in kind.single and place != f"{name}.points":
                    text = f"both sides share this point: give it under [{name}.points], `out` to the left positive"
                    faults.append(Fault(f"{place}.{key}", text))
        if set(axle) - set(AxleTable.model_fields):
            # A misspelt `points` makes every point missing; its own fault is enough.
            continue
        common = given[f"{name}.points"]
        for key in kind.keys:
            sides = [side for side in SIDE_NAMES if key not in given[f"{name}.{side}.points"]]
            if key not in common and sides:
                where = f"{name}.points.{key}" if len(sides) == 2 else f"{name}.{sides[0]}.points.{key}"
                faults.append(Fault(where, f"is missing ({_where(kind, key)})"))
    return faults


def _point_tables(name: str, axle: Mapping[str, Any]) -> list[tuple[str, Any]]:
    tables = [(f"{name}.points", axle.get("points"))]
    for side in SIDE_NAMES:
        part = axle.get(side)
        tables.append((f"{name}.{side}.points", part.get("points") if isinstance(part, dict) else None))
    return tables


def _keys(table: object) -> list[str]:
    return list(table) if isinstance(table, dict) else []


def _where(kind: SuspensionType, key: str) -> str:
    return next(point.where for point in kind.points if point.key == key)


def axle_from(
    name: str, table: AxleTable, kind: SuspensionType, unit: LengthUnit, measured_to: float | None, body: Body
) -> tuple[Axle, list[Fault]]:
    """An axle of its table, whose points are all there, and what is wrong with the rest of it."""
    sides = (table.left, table.right)
    points = {key: _both_sides(key, table, unit, single=key in kind.single) for key in kind.keys}
    faults = []
    angles = {}
    for angle in ("camber", "toe_in"):
        values = [_first(getattr(side.wheel, angle), getattr(table.wheel, angle)) for side in sides]
        if None in values:
            faults.append(Fault(f"{name}.wheel.{angle}", "is missing (degrees, as the gauge reads it, each wheel)"))
        angles[angle] = np.radians([value or 0.0 for value in values])
    fittings, more = fittings_from(table.adjusters, table.stops, table.joint_angles, kind, unit, name)
    if table.brakes == "inboard" and kind.whole_axle:
        faults.append(Fault(f"{name}.brakes", 'read "inboard"; a live axle carries its brakes: "outboard" is allowed'))
    if table.steering is not None and not kind.rack:
        faults.append(Fault(f"{name}.steering", f"a {kind.name} has no steering rack"))
    rack = None if table.steering is None else unit.to_mm(table.steering.rack_travel)
    tables = LoadTables(table.weights, table.spring, table.bar, table.tyre, table.damper)
    loads, unloadable = loads_from(tables, kind, unit, name)
    faults += unloadable
    damper, misfits = damper_travel_from(table.damper, table.spring, kind, unit, name)
    faults += [one for one in misfits if one not in unloadable]
    fittings = replace(fittings, inboard_brakes=table.brakes == "inboard", rack_travel=rack, damper=damper)
    doubt = stated_doubt(table, kind, unit, measured_to)
    return Axle(name, kind, points, angles["camber"], angles["toe_in"], doubt, fittings, body, loads), faults + more


def _both_sides(key: str, table: AxleTable, unit: LengthUnit, *, single: bool) -> Array:
    """A point's coordinates on both sides (2, 3) [mm]; twice the same for one that both sides share."""
    rows = []
    for side, sign in ((table.left, 1.0), (table.right, 1.0 if single else -1.0)):
        point = side.points.get(key) or table.points[key]
        rows.append([unit.to_mm(point.ahead), sign * unit.to_mm(point.out), unit.to_mm(point.up)])
    return np.array(rows)


def radii_written(table: AxleTable, unit: LengthUnit) -> tuple[float | None, float | None]:
    """Loaded radii as written, left and right [mm]."""
    values = [_first(side.wheel.radius, table.wheel.radius) for side in (table.left, table.right)]
    left, right = (None if value is None else unit.to_mm(value) for value in values)
    return left, right


def _first(own: float | None, common: float | None) -> float | None:
    return common if own is None else own


def limits_from(table: LimitsTable, unit: LengthUnit) -> tuple[Limits, list[Fault]]:
    """Working range and limits of their table, and what is wrong with it."""
    faults: list[Fault] = []
    working = WorkingRange()
    if table.roll is not None:
        working = replace(working, roll=math.radians(table.roll), roll_from=Origin.STATED)
    if table.travel is not None:
        low, high = (unit.to_mm(value) for value in table.travel)
        if not low < 0.0 < high:
            text = f"read {shown(table.travel)}; droop below zero, then bump above zero, is allowed"
            faults.append(Fault("limits.travel", text))
        working = replace(working, travel_low=low, travel_high=high, travel_from=Origin.STATED)
    accelerations = Accelerations(table.cornering, table.braking, table.driving)
    if table.roll is not None and table.travel is not None:
        text = "travel and roll are stated, so this would count for nothing; leave out either those or this"
        faults += [Fault(f"limits.{name}", text) for name in accelerations.said]
    elif table.travel is not None and table.cornering is None:
        text = "travel is stated and no cornering, so this would count for nothing; leave out either travel or this"
        faults += [Fault(f"limits.{name}", text) for name in accelerations.said]
    by_axle = {}
    for axle, written in (("front", table.front), ("rear", table.rear)):
        limits = []
        for key, limit in written.items():
            if key not in QUANTITIES:
                begun = [known for known in QUANTITIES if key.startswith(known)]
                hint = (
                    f"; write {max(begun, key=len)}, without side and unit" if begun else did_you_mean(key, QUANTITIES)
                )
                unknown = f"this is not a reported quantity{hint}"
                faults.append(Fault(f"limits.{axle}.{key}", unknown))
                continue
            scale = QUANTITIES[key].dimension.scale(unit)
            low = -math.inf if limit.low is None else limit.low / scale
            high = math.inf if limit.high is None else limit.high / scale
            if limit.low is None and limit.high is None:
                faults.append(Fault(f"limits.{axle}.{key}", "is empty; give `from`, `to`, or both"))
                continue
            if not low < high:
                text = f"read from {limit.low:g} to {limit.high:g}; `from` must lie below `to`"
                faults.append(Fault(f"limits.{axle}.{key}", text))
                continue
            limits.append(Limit(key, low, high, limit.over or usual_over(key), STATED))
        by_axle[axle] = tuple(limits)
    return Limits(working, by_axle, accelerations=accelerations), faults
