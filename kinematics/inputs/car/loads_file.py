"""The car file's entries on weights, springs, bars, dampers and tyres, made of its tables."""

from itertools import pairwise

import numpy as np

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
from kinematics.inputs.car.bar_entries import link_angles_in, rate_of_sizes
from kinematics.inputs.car.loads_tables import BarTable, EndTable, LineTable, LoadTables, SpringTable
from kinematics.inputs.car.parts_known_to import parts_known_to
from kinematics.inputs.car.spring_entries import coils_from
from kinematics.inputs.car.usual_loads import out_of_range
from kinematics.inputs.reading.faults import ONE_OF_TWO, Fault, Remedy, did_you_mean, shown

_SHORTEST = 20.0  # mm


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
    known_to, untrue = parts_known_to(tables, units, axle, spring, bar)
    faults += untrue
    if weights.unsprung < min(weights.left, weights.right):
        faults += out_of_range(tables, weights, spring, bar, units, axle)
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
        known_to,
    ), faults


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
