"""A damper's lengths in the car file: closed, open, and as the car stands."""

from kinematics.car.fittings import DamperTravel
from kinematics.car.lengths import LengthUnit
from kinematics.car.springs_and_bars import Line
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.units import Units
from kinematics.inputs.car.loads_file import has_line, line_from, one_way
from kinematics.inputs.car.loads_tables import DamperTable, SpringTable
from kinematics.inputs.reading.faults import Fault


def damper_travel_from(
    damper: DamperTable | None, spring: SpringTable | None, kind: SuspensionType, unit: LengthUnit, axle: str
) -> tuple[DamperTravel | None, list[Fault]]:
    """A damper's lengths, None where the file tells none, and what is wrong with them."""
    if damper is None:
        return None, []
    key = f"{axle}.damper"
    ends = {"closed": damper.closed, "open": damper.open}
    if damper.closed is None and damper.open is None:
        said = "means nothing without closed or open beside it"
        return None, [] if damper.length is None else [Fault(f"{key}.length", said)]
    on = damper if has_line(damper) else spring
    if on is None or not has_line(on):
        return None, [Fault(key, "", one_way(kind))]
    faults: list[Fault] = []
    line = line_from(on, kind, Units(unit), key if on is damper else f"{axle}.spring", faults)
    faults += _impossible(damper, unit, key)
    if damper.length is None and line.moving is None:
        text = "is missing: as the car stands, measured as closed and open are; here no two ends tell it"
        faults.append(Fault(f"{key}.length", text))
    elif damper.length is None:
        faults += _out_of_stroke(line, ends, unit, key)
    closed, opened, length = (
        None if value is None else unit.to_mm(value) for value in (damper.closed, damper.open, damper.length)
    )
    return DamperTravel(line, closed, opened, length), faults


def _impossible(damper: DamperTable, unit: LengthUnit, key: str) -> list[Fault]:
    """Lengths that contradict each other."""
    closed, opened, now = damper.closed, damper.open, damper.length
    if closed is not None and opened is not None and closed >= opened:
        text = f"read {closed:g} {unit.symbol}; a closed damper is shorter than an open one: less than {opened:g}"
        return [Fault(f"{key}.closed", f"{text} is allowed")]
    return _beyond(now, {"closed": closed, "open": opened}, unit, f"{key}.length", "read")


def _out_of_stroke(line: Line, ends: dict[str, float | None], unit: LengthUnit, key: str) -> list[Fault]:
    """A damper whose ends are farther apart, or nearer, than it can be."""
    assert line.moving is not None  # it has two ends
    assert line.chassis is not None
    apart = ((line.moving.place - line.chassis.place) ** 2).sum(axis=-1) ** 0.5
    return _beyond(unit.from_mm(float(apart[0])), ends, unit, key, "its ends are apart by")


def _beyond(now: float | None, ends: dict[str, float | None], unit: LengthUnit, key: str, read: str) -> list[Fault]:
    closed, opened = ends["closed"], ends["open"]
    if now is not None and closed is not None and now <= closed:
        text = f"{read} {now:.4g} {unit.symbol} as the car stands; more than closed, {closed:g}, is allowed"
    elif now is not None and opened is not None and now >= opened:
        text = f"{read} {now:.4g} {unit.symbol} as the car stands; less than open, {opened:g}, is allowed"
    else:
        return []
    return [Fault(key, f"{text} (all measured between the same two places)")]
