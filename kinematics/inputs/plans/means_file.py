"""Means files: what may be done to a car, in which sizes or steps, at what price, and what is wanted most."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import BeforeValidator, Field

from kinematics.car.car import Car
from kinematics.car.lengths import UNITS, LengthUnit, writes_fractions
from kinematics.car.units import Units
from kinematics.finding.means import MOST_COMBINATIONS, Aim, Amount, Means
from kinematics.finding.pieces import fittings_of
from kinematics.inputs.plans.change_entries import AxleName, ChangeTable, change_from
from kinematics.inputs.plans.plan_file import RuleTable, rule_from
from kinematics.inputs.plans.springs_at_hand import SpringsAtHandTable, pieces_from
from kinematics.inputs.reading.faults import LEAVE_OUT, Fault, InputFaultError, Remedy, did_you_mean
from kinematics.inputs.reading.file_fields import Length, Number, Table, validated
from kinematics.inputs.reading.file_kinds import FileKind, refuse_other_kind
from kinematics.inputs.reading.toml_file import read_toml
from kinematics.planning.changes import CHANGES, LOAD_CHANGES, Change
from kinematics.sweeps.arguments import refuse_no_car
from solvers.read_only import read_only

_MOST_VALUES = 500  # of one change
_ROUNDING = 1e-6  # of a step
_WAYS = ("ahead", "out", "up")
_PACKED = "springs are packed here, so that the car stands as high as each plan says"
_IN_LISTS = {
    "spring rate": "springs that lie there have lists of their own: [[front_spring]], [[rear_spring]]",
    "bar rate": "bars that lie there have lists of their own: [[front_bar]], [[rear_bar]]",
}
_NOT_HERE = {"ballast": "ballast is for `cornersweep compare` to try"}


def _one_or_more(value: object) -> object:
    """Let a single number stand for a list of one."""
    return value if isinstance(value, list) else [value]


Numbers = Annotated[
    tuple[Annotated[Number, Field(ge=0.0)], ...],
    BeforeValidator(_one_or_more, json_schema_input_type=Number | list[Number]),
]


class MayTable(Table):
    """One thing that may be changed: a range in steps, or the sizes that there are."""

    what: str = Field(description="one of: " + ", ".join(CHANGES))
    axle: AxleName = "front"
    low: Length | None = Field(default=None, alias="from")
    high: Length | None = Field(default=None, alias="to")
    step: Annotated[Length, Field(gt=0.0)] | None = None
    sizes: tuple[Length, ...] | None = None
    way: Literal["ahead", "out", "up"] | None = None
    point: str | None = None
    side: Literal["left", "right"] | None = None
    price: Numbers = (0.0,)
    hours: Numbers = (0.0,)


class MeansFileTable(SpringsAtHandTable):
    """A means file."""

    units: Literal["mm", "in"] = Field(description='"mm" or "in"')
    want: Literal["fewest parts", "least change", "price", "lowest"] = "fewest parts"
    chance: Annotated[Number, Field(gt=0.0, lt=1.0)] | None = None
    most_parts: Annotated[int, Field(ge=1, le=20)] | None = None
    may: tuple[MayTable, ...] = ()
    rule: tuple[RuleTable, ...] = ()


def read_means(path: str | Path, car: Car) -> Means:
    """Read what may be done to a car; InputFaultError names every fault."""
    refuse_no_car(car, "read_means")
    return means_from(read_toml(path), str(path), car)


def means_from(written: Mapping[str, Any], source: str, car: Car) -> Means:
    """Make means of a file's content."""
    refuse_other_kind(written, FileKind.MEANS, source)
    table, faults = validated(MeansFileTable, written)
    if table is None:
        raise InputFaultError(source, faults)
    if not table.may and not table.said:
        text = "is missing: what may be changed"
        faults.append(Fault("may", "", Remedy(f"{text}, one [[may]] for each thing", text)))
    unit = UNITS[table.units]
    amounts, rules = [], []
    for number, one in enumerate(table.may, start=1):
        amount, more = _amount(one, f"may {number} ({one.what})", car, unit)
        faults += more
        amounts += [] if amount is None else [amount]
    for number, rule in enumerate(table.rule, start=1):
        made, more = rule_from(rule, f"rule {number}", car, unit)
        faults += more
        rules.append(made)
    faults += _repeated(table.may)
    pieces, lean, more = pieces_from(table, car, Units(unit))
    faults += more
    if table.want == "lowest" and not any(one.what == "ride height" for one in table.may):
        faults.append(Fault("want", 'read "lowest"; it needs a [[may]] with what = "ride height"'))
    at_hand = [one for name in table.said for one in getattr(table, name)]
    costs = [*(price for one in table.may for price in one.price), *(one.price for one in at_hand)]
    if table.want == "price" and not any(costs):
        faults.append(Fault("want", 'read "price"; give a `price` to what costs something'))
    fractions = writes_fractions(written)
    means = Means(tuple(amounts), tuple(rules), Aim(table.want), table.most_parts, table.chance, fractions)
    means = replace(means, pieces=pieces, lean=lean)
    count = means.combinations * fittings_of(pieces)
    if not faults and count > MOST_COMBINATIONS:
        with_pieces = " with all springs and bars" if pieces else ""
        text = f"these make {count:,} plans{with_pieces}; up to {MOST_COMBINATIONS:,} are allowed"
        faults.append(Fault("may", f"{text}: take longer steps, fewer sizes, or set most_parts"))
    if faults:
        raise InputFaultError(source, faults)
    return read_only(means)


def _amount(table: MayTable, key: str, car: Car, unit: LengthUnit) -> tuple[Amount | None, list[Fault]]:
    kind = CHANGES.get(table.what)
    if kind is None:
        return None, [Fault(f"{key}.what", f"read {table.what!r}{did_you_mean(table.what, CHANGES)}")]
    if kind.what in LOAD_CHANGES:
        if kind.what in _IN_LISTS:
            return None, [Fault(f"{key}.what", _IN_LISTS[kind.what])]
        return None, [Fault(f"{key}.what", _NOT_HERE.get(kind.what, _PACKED), LEAVE_OUT)]
    faults = []
    if kind.takes == "shift" and table.way is None:
        faults.append(Fault(f"{key}.way", f'is missing: "{kind.what}" goes "ahead", "out" or "up"'))
    if kind.takes == "by" and table.way is not None:
        faults.append(Fault(f"{key}.way", f'"{kind.what}" goes one way only; leave `way` out'))
    values, more = _values(table, key, unit)
    faults += more
    if faults:
        return None, faults
    way = table.way or "by"

    def judged(by: float) -> tuple[Change | None, list[Fault]]:
        made = ChangeTable(axle=table.axle, what=table.what, point=table.point, side=table.side, part="", **{way: by})
        return change_from(made, key, car, unit)

    for value, written, name in _to_judge(table, values, unit):
        made, more = judged(value)
        if any(one.key == f"{key}.{way}" for one in more):
            _, more = judged(written)
        told = [replace(one, key=f"{key}.{name}") if one.key == f"{key}.{way}" else one for one in more]
        faults += [fault for fault in told if fault not in faults]
    if faults or made is None:
        return None, faults
    own = {"prices": table.price, "hours": table.hours}
    for name, given in own.items():
        if len(given) not in (1, len(values)):
            text = f"has {len(given)} entries; one for all, or one for each of the {len(values)} amounts but zero"
            faults.append(Fault(f"{key}.{name.removesuffix('s') if name == 'prices' else name}", text))
    if faults:
        return None, faults
    ahead, out, up = (float(table.way == way) for way in _WAYS)
    one = replace(made, by=float(table.way is None), shift=(ahead, out, up))
    order = np.argsort(values)
    prices, hours = (np.broadcast_to(np.array(given, dtype=float), len(values))[order] for given in own.values())
    return Amount(one, np.array(values)[order], prices, hours), []


def _values(table: MayTable, key: str, unit: LengthUnit) -> tuple[list[float], list[Fault]]:
    """Amounts [mm] other than zero."""
    ranged = (table.low, table.high, table.step)
    if table.sizes is not None:
        if any(one is not None for one in ranged):
            return [], [Fault(key, "give either `sizes`, or `from`, `to` and `step`")]
        values = [unit.to_mm(one) for one in table.sizes]
        doubled = {one for one in table.sizes if table.sizes.count(one) > 1}
        if doubled:
            return [], [Fault(f"{key}.sizes", f"{min(doubled):g} stands there twice")]
    elif table.low is None or table.high is None or table.step is None:
        lacking = [name for name, one in zip(("from", "to", "step"), ranged, strict=True) if one is None]
        return [], [Fault(f"{key}.{lacking[0]}", "is missing: give `from`, `to` and `step`, or the `sizes` there are")]
    elif table.low > table.high:
        text = f"read {table.low:g}, which lies above `to`, {table.high:g}; the lower end comes first"
        return [], [Fault(f"{key}.from", text)]
    else:
        count = math.floor((table.high - table.low) / table.step + _ROUNDING)
        if count >= _MOST_VALUES:
            text = f"read {table.step:g}, which makes {count + 1} amounts; up to {_MOST_VALUES} are allowed"
            return [], [Fault(f"{key}.step", text)]
        # Amounts are whole steps from zero where zero lies between the ends: what the shelf has.
        around_zero = table.low <= 0.0 <= table.high
        start = -math.floor(-table.low / table.step + _ROUNDING) * table.step if around_zero else table.low
        values = [unit.to_mm(start + i * table.step) for i in range(count + 1)]
        values = [one for one in values if one <= unit.to_mm(table.high) + _ROUNDING]
    values = [one for one in values if abs(one) > 1e-9]
    if not values:
        return [], [Fault(key, "leaves nothing to choose: every amount is zero")]
    return values, []


def _to_judge(table: MayTable, values: Sequence[float], unit: LengthUnit) -> list[tuple[float, float, str]]:
    """Amounts that are judged as a plan's would be, in the file's unit: each, what is written, and under which key.

    Steps may stop short of an end that is too far; an amount that is too far lies within an end that is.
    """
    if table.sizes is not None:
        sizes = enumerate(table.sizes, start=1)
        return [(one, one, f"sizes, entry {number}") for number, one in sizes if one != 0.0]
    low, high = unit.from_mm(min(values)), unit.from_mm(max(values))
    ends = (low if table.low is None else table.low), (high if table.high is None else table.high)
    return [(low, ends[0], "from"), (high, ends[1], "to")]


def _repeated(tables: Sequence[MayTable]) -> list[Fault]:
    """The same change twice would add up to amounts that nobody asked for."""
    seen: dict[tuple[object, ...], int] = {}
    faults = []
    for number, one in enumerate(tables, start=1):
        same = (one.axle, one.what, one.way, one.point, one.side)
        if same in seen:
            faults.append(Fault(f"may {number} ({one.what})", f"stands there already, as may {seen[same]}"))
        seen.setdefault(same, number)
    return faults
