"""The car file's entries on weights, springs, bars, dampers and tyres.

In a file in mm: kg, N/mm and N s/mm; in a file in inches: lb, lb/in and lb s/in.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Literal

import numpy as np
from pydantic import BeforeValidator, Field

from kinematics.car.car import SIDES
from kinematics.car.lengths import LengthUnit
from kinematics.car.springs_and_bars import (
    Attachment,
    AxleLoads,
    Bar,
    BarEnds,
    BumpStop,
    Line,
    Spring,
)
from kinematics.car.suspension_type import CHASSIS, SuspensionType
from kinematics.car.units import Units
from kinematics.inputs.car.bar_entries import LinkAngles, link_angles_in, rate_of_sizes
from kinematics.inputs.car.spring_entries import coils_from
from kinematics.inputs.reading.entry_units import EntryUnit
from kinematics.inputs.reading.faults import ONE_OF_TWO, Fault, Remedy, did_you_mean, other_unit, shown
from kinematics.inputs.reading.file_fields import (
    DampingRate,
    Length,
    Mass,
    Modulus,
    Number,
    PositiveLength,
    PositiveNumber,
    Rate,
    Table,
)

_SHORTEST = 20.0  # mm


class EndTable(Table):
    """An attachment point on both sides, and the part that carries it."""

    ahead: Length
    out: Length
    up: Length
    on: str = CHASSIS


class WeightsTable(Table):
    """What the scales show at rest, and the unsprung part of it at each wheel."""

    left: Mass = Field(description="on the left wheel's scale, car at rest, driver aboard")
    right: Mass = Field(description="on the right wheel's scale")
    unsprung: Mass = Field(description="each wheel with what moves with it, part of the above")


class TyreTable(Table):
    """Vertical rate of one tyre."""

    rate: Rate


_Pair = tuple[Length, Annotated[Number, EntryUnit.FORCE]]


def _pairs(value: object) -> object:
    if not isinstance(value, list) or not all(isinstance(pair, list) and len(pair) == 2 for pair in value):
        raise ValueError(f"read {shown(value)}; pairs of compression and force are allowed, like [[5, 300], [10, 900]]")
    return value


class BumpStopTable(Table):
    """A bump stop on the spring's line."""

    gap: Length = Field(description="of the spring's travel, from the measured ride height to the stop")
    force: Annotated[tuple[_Pair, ...], BeforeValidator(_pairs), Field(min_length=1)]


class LineTable(Table):
    """What an element works along."""

    along: Literal["strut"] | None = None
    moving_end: EndTable | None = None
    chassis_end: EndTable | None = None
    motion_ratio: PositiveNumber | None = None


class SpringTable(LineTable):
    """A spring, alike on both sides: its rate, or wire and coils."""

    rate: Rate | None = None
    free_length: PositiveLength | None = None
    block_length: PositiveLength | None = None
    wire: PositiveLength | None = None
    mean_diameter: PositiveLength | None = None
    active_coils: PositiveNumber | None = None
    total_coils: PositiveNumber | None = None
    shear_modulus: Modulus | None = None
    bump_stop: BumpStopTable | None = None


class DamperTable(LineTable):
    """A damper's rate at low speed and its lengths; on the spring's line unless it says its own."""

    rate: DampingRate | None = None
    length: PositiveLength | None = None
    closed: PositiveLength | None = None
    open: PositiveLength | None = None


class AxisTable(Table):
    """Where a bar's axis passes in side view."""

    ahead: Length
    up: Length


class BarTable(Table):
    """An anti-roll bar: rate, or dimensions; geometry, or motion ratio."""

    rate: Rate | None = None
    diameter: PositiveLength | None = None
    inner_diameter: PositiveLength | None = None
    length: PositiveLength | None = None
    arm: PositiveLength | None = None
    arm_length: PositiveLength | None = None
    axis: AxisTable | None = None
    arm_end: EndTable | None = None
    drop_link_end: EndTable | None = None
    link_angle: LinkAngles | None = None
    motion_ratio: PositiveNumber | None = None


@dataclass(frozen=True)
class LoadTables:
    """The tables of one axle that tell of loads."""

    weights: WeightsTable | None
    spring: SpringTable | None
    bar: BarTable | None
    tyre: TyreTable | None
    damper: DamperTable | None


def loads_from(
    tables: LoadTables, kind: SuspensionType, unit: LengthUnit, axle: str
) -> tuple[AxleLoads | None, list[Fault]]:
    """Make an axle's loads of its tables, None where it tells nothing of its springs."""
    if tables.weights is None and tables.spring is None:
        lone = ["bar"] if tables.bar is not None else []
        lone += ["damper"] if tables.damper is not None and tables.damper.rate is not None else []
        text = "means nothing without the springs and weights beside it"
        return None, [Fault(f"{axle}.{name}", text) for name in lone]
    if tables.weights is None or tables.spring is None:
        lacks = "weights" if tables.weights is None else "spring"
        said = {
            "weights": "is missing: what each wheel's scale shows fixes how far the springs are compressed",
            "spring": "is missing: weights alone do not tell how the axle is sprung",
        }
        return None, [Fault(f"{axle}.{lacks}", said[lacks])]
    units = Units(unit)
    faults: list[Fault] = []
    spring = _spring(tables.spring, kind, units, f"{axle}.spring", faults)
    bar = None if tables.bar is None else bar_from(tables.bar, kind, units, f"{axle}.bar", faults)
    damper = None
    if tables.damper is not None and tables.damper.rate is not None:
        line = (
            line_from(tables.damper, kind, units, f"{axle}.damper", faults) if has_line(tables.damper) else spring.line
        )
        damper = (line, tables.damper.rate * units.rate)
    weights = tables.weights
    if weights.unsprung < min(weights.left, weights.right):
        faults += _out_of_range(tables, weights, spring, bar, units, axle)
    else:
        text = f"read {weights.unsprung:g}; it is a part of what each wheel's scale shows, so it must be less"
        faults.append(Fault(f"{axle}.weights.unsprung", text))
    return AxleLoads(
        np.array([weights.left, weights.right]) * units.mass,
        np.full(2, weights.unsprung * units.mass),
        spring,
        bar,
        None if tables.tyre is None else tables.tyre.rate * units.rate,
        damper,
    ), faults


_USUAL = {  # from a kart to a heavy saloon, with room either way
    "weights.left": (20.0, 1200.0),  # kg
    "weights.right": (20.0, 1200.0),
    "weights.unsprung": (3.0, 150.0),
    "spring.rate": (1.0, 1000.0),  # N/mm
    "tyre.rate": (30.0, 1500.0),
    "bar.rate": (0.1, 3000.0),
    "spring.motion_ratio": (0.1, 3.0),
    "bar.motion_ratio": (0.05, 3.0),
}


def _out_of_range(
    tables: LoadTables, weights: WeightsTable, spring: Spring, bar: Bar | None, units: Units, axle: str
) -> list[Fault]:
    """What no car has: most often the unit of another file."""
    read: dict[str, tuple[float | None, float, str]] = {
        "weights.left": (weights.left, units.mass, units.mass_symbol),
        "weights.right": (weights.right, units.mass, units.mass_symbol),
        "weights.unsprung": (weights.unsprung, units.mass, units.mass_symbol),
        "spring.rate": (float(np.mean(spring.rate)) / units.rate, units.rate, units.rate_symbol),
        "tyre.rate": (tables.tyre.rate if tables.tyre else None, units.rate, units.rate_symbol),
        "bar.rate": (bar.rate / units.rate if bar and bar.rate > 0.0 else None, units.rate, units.rate_symbol),
        "spring.motion_ratio": (tables.spring.motion_ratio if tables.spring else None, 1.0, ""),
        "bar.motion_ratio": (tables.bar.motion_ratio if tables.bar else None, 1.0, ""),
    }
    faults = []
    for key, (value, scale, symbol) in read.items():
        low, high = _USUAL[key]
        if value is not None and not low <= value * scale <= high:
            allowed = f"{low / scale:.3g} to {high / scale:.4g} {symbol}".rstrip()
            text = f"makes {value:.6g} {symbol}".rstrip() + f"; {allowed} is allowed"
            faults.append(Fault(f"{axle}.{key}", text, other_unit(units.length.symbol) if symbol else None))
    return faults


def _spring(table: SpringTable, kind: SuspensionType, units: Units, key: str, faults: list[Fault]) -> Spring:
    line = line_from(table, kind, units, key, faults)
    stop = None
    if table.bump_stop is not None:
        pairs = [(0.0, 0.0), *table.bump_stop.force]
        compression = tuple(units.length.to_mm(one) for one, _ in pairs)
        force = tuple(one * units.force for _, one in pairs)
        rising = all(b > a for a, b in pairwise(compression))
        if not rising or any(b < a for a, b in pairwise(force)):
            text = "compressions must rise from above zero, and forces must not fall"
            read = f"read {shown([list(pair) for pair in table.bump_stop.force])}"
            faults.append(Fault(f"{key}.bump_stop.force", "", Remedy(f"{read}; {text}", text)))
            compression, force = (0.0, 1.0), (0.0, 1.0)
        stop = BumpStop(units.length.to_mm(table.bump_stop.gap), compression, force)
    rate, own = coils_from(table, units, key, faults)
    return Spring(line, np.full(2, rate), bump_stop=stop, **own)


def bar_from(table: BarTable, kind: SuspensionType, units: Units, key: str, faults: list[Fault]) -> Bar:
    """Make a bar of its table; what is wrong with it goes to the faults."""
    length = units.length
    rate = 0.0 if table.rate is None else table.rate * units.rate
    sizes = {"diameter": table.diameter, "length": table.length, "arm": table.arm}
    missing = [name for name, value in sizes.items() if value is None]
    given = [name for name, value in sizes.items() if value is not None]
    if table.rate is not None and given:
        faults.append(Fault(key, f"gives both a rate and {', '.join(given)}", ONE_OF_TWO))
    if table.rate is None and missing:
        faults.append(Fault(key, f"give its rate, or diameter, length and arm; missing: {', '.join(missing)}"))
    elif table.rate is None:
        rate = rate_of_sizes(table, length, key, faults)
    parts = (table.axis, table.arm_end, table.drop_link_end)
    if table.link_angle is not None and not all(parts):
        faults.append(Fault(f"{key}.link_angle", "means nothing without axis, arm_end and drop_link_end"))
    if table.motion_ratio is not None and not any(parts):
        return Bar(rate, ratio=table.motion_ratio)
    if table.axis is None or table.arm_end is None or table.drop_link_end is None or table.motion_ratio is not None:
        text = "give axis, arm_end and drop_link_end, or else motion_ratio, the arm end's movement over wheel travel"
        faults.append(Fault(key, text))
        return Bar(rate, ratio=0.0)
    link = _attachment(table.drop_link_end, kind, units, f"{key}.drop_link_end", faults)
    end = _attachment(table.arm_end, kind, units, f"{key}.arm_end", faults, free=True)
    if table.drop_link_end.on == CHASSIS:
        faults.append(Fault(f"{key}.drop_link_end.on", "", _carried(kind)))
    if float(np.linalg.norm(link.place - end.place, axis=-1).min()) < 1.0:
        faults.append(Fault(f"{key}.drop_link_end", "lies on the arm's end: such a drop link has no length"))
    axis = end.place.copy()
    axis[:, 0], axis[:, 2] = length.to_mm(table.axis.ahead), length.to_mm(table.axis.up)
    lever = float(np.hypot(*(end.place - axis)[0, [0, 2]]))
    if table.arm is not None and lever >= 1.0 and abs(length.to_mm(table.arm) - lever) > 0.05 * lever:
        text = f"read {table.arm:g}, but axis and arm_end are {length.from_mm(lever):.4g} {length.symbol} apart"
        faults.append(Fault(f"{key}.arm", text))
    if lever < 1.0:
        faults.append(Fault(f"{key}.arm_end", "lies on the bar's axis: such an arm twists nothing"))
    allowed = (
        None
        if table.link_angle is None
        else link_angles_in(table.link_angle, BarEnds(axis, end.place, link), key, faults)
    )
    return Bar(rate, BarEnds(axis, end.place, link, allowed))


def has_line(table: LineTable) -> bool:
    """Whether a table says what its element works along."""
    return any(getattr(table, field) is not None for field in LineTable.model_fields)


def line_from(table: LineTable, kind: SuspensionType, units: Units, key: str, faults: list[Fault]) -> Line:
    """Make a line of its table; what is wrong with it goes to the faults."""
    ends = table.moving_end is not None or table.chassis_end is not None
    ways = [table.along is not None, ends, table.motion_ratio is not None]
    if sum(ways) != 1:
        faults.append(Fault(key, "", one_way(kind)))
        return Line(ratio=1.0)
    if table.motion_ratio is not None:
        return Line(ratio=table.motion_ratio)
    if table.along is not None:
        if kind.strut is None:
            faults.append(Fault(f"{key}.along", f'read "strut", but a {kind.name} has no strut'))
            return Line(ratio=1.0)
        return Line()
    if table.moving_end is None or table.chassis_end is None:
        lacks = "moving_end" if table.moving_end is None else "chassis_end"
        faults.append(Fault(f"{key}.{lacks}", "is missing"))
        return Line(ratio=1.0)
    moving = _attachment(table.moving_end, kind, units, f"{key}.moving_end", faults)
    chassis = _attachment(table.chassis_end, kind, units, f"{key}.chassis_end", faults)
    if float(np.linalg.norm(moving.place - chassis.place, axis=-1).min()) < _SHORTEST:
        faults.append(Fault(f"{key}.chassis_end", "lies on the moving end: such a spring or damper has no length"))
    if table.moving_end.on == CHASSIS:
        faults.append(Fault(f"{key}.moving_end.on", "", _carried(kind)))
    return Line(moving, chassis)


def one_way(kind: SuspensionType) -> Remedy:
    """How to say what an element works along, on such an axle."""
    others = "moving_end and chassis_end; motion_ratio"
    along = ("", "") if kind.strut is None else ('along = "strut"; ', '"acts along" with strut; ')
    return Remedy(f"give one of: {along[0]}{others}", f"say in one way where it acts: {along[1]}{others}")


def _carried(kind: SuspensionType) -> Remedy:
    one = carriers(kind)[-1]
    return Remedy(f"say what carries it, like on = {shown(one)}", f"say what carries it, such as {one}")


def carriers(kind: SuspensionType) -> list[str]:
    """Parts that an element may stand on."""
    bodies = kind.bodies[:1] if kind.whole_axle else kind.bodies
    return [CHASSIS, *bodies, *(arm.title for arm in kind.arms)]


def _attachment(
    end: EndTable, kind: SuspensionType, units: Units, key: str, faults: list[Fault], *, free: bool = False
) -> Attachment:
    known = carriers(kind)
    if end.on not in known and not free:
        faults.append(Fault(f"{key}.on", f"read {shown(end.on)}{did_you_mean(end.on, known)}"))
    on = end.on if end.on in known else CHASSIS
    ahead, out, up = (units.length.to_mm(value) for value in (end.ahead, end.out, end.up))
    return Attachment(np.array([[ahead, side * out, up] for side in SIDES]), on)
