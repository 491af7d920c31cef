"""How well a car file says that its springs, bars, tyres, weights and body are known: one standard deviation each."""

import math
from collections.abc import Iterator

from kinematics.car.springs_and_bars import Bar, Part, Spring
from kinematics.car.units import Units
from kinematics.inputs.car.loads_tables import LoadTables
from kinematics.inputs.reading.faults import Fault

_MOST = 1.0 / 3.0  # of the number itself: three times that would be nothing at all


def parts_known_to(
    tables: LoadTables, units: Units, axle: str, spring: Spring, bar: Bar | None
) -> tuple[dict[Part, float], list[Fault]]:
    """Standard deviation of each part that has one told, and what is wrong with them."""
    known: dict[Part, float] = {}
    faults: list[Fault] = []
    for part, key, known_to, value, scale in _told(tables, units, spring, bar):
        if known_to is None:
            continue
        faults += known_to_faults(f"{axle}.{key}", known_to, value)
        known[part] = known_to * scale
    return known, faults


_Told = tuple[Part, str, float | None, float | None, float]


def _told(tables: LoadTables, units: Units, spring: Spring, bar: Bar | None) -> Iterator[_Told]:
    """Each part, its key, how well it is known and what it is, in the file's units, and that unit."""
    if tables.weights is not None:
        one = tables.weights
        yield Part.LEFT_WEIGHT, "weights", one.known_to, min(one.left, one.right), units.mass
        yield Part.RIGHT_WEIGHT, "weights", one.known_to, math.inf, units.mass
        yield Part.UNSPRUNG, "weights.unsprung", one.unsprung_known_to, one.unsprung, units.mass
    if tables.spring is not None:
        rate = float(spring.rate.mean()) / units.rate
        yield Part.SPRING_RATE, "spring.rate", tables.spring.rate_known_to, rate, units.rate
        ratio = tables.spring.motion_ratio
        yield Part.SPRING_RATIO, "spring.motion_ratio", tables.spring.motion_ratio_known_to, ratio, 1.0
    if tables.bar is not None and bar is not None:
        yield Part.BAR_RATE, "bar.rate", tables.bar.rate_known_to, bar.rate / units.rate, units.rate
        yield Part.BAR_RATIO, "bar.motion_ratio", tables.bar.motion_ratio_known_to, tables.bar.motion_ratio, 1.0
    if tables.tyre is not None:
        yield Part.TYRE_RATE, "tyre.rate", tables.tyre.rate_known_to, tables.tyre.rate, units.rate
    if tables.damper is not None:
        yield Part.DAMPER_RATE, "damper.rate", tables.damper.rate_known_to, tables.damper.rate, units.rate


def known_to_faults(key: str, known_to: float | None, value: float | None) -> list[Fault]:
    """What is wrong with how well a number is known, both in the file's unit; value: None where there is none."""
    if known_to is None:
        return []
    at = f"{key}.known_to" if key.endswith("weights") else f"{key}_known_to"
    if value is None:
        return [Fault(at, f"means nothing: the file tells no {key.rpartition('.')[2]} there")]
    if known_to > _MOST * value:
        most = f"up to a third of it, {_MOST * value:.3g}, is allowed"
        return [Fault(at, f"read {known_to:g}, one standard deviation of a number that is {value:g}; {most}")]
    return []
