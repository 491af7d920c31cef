"""Where a plan's ballast lies, held against what a car has room for."""

from collections.abc import Mapping

from kinematics.car.lengths import LengthUnit
from kinematics.inputs.reading.faults import Fault

_ROOM = {"ahead": (-6000.0, 6000.0), "out": (0.0, 1200.0), "up": (0.0, 2500.0)}  # mm
_NEEDED = ("ahead", "up")


def place_faults(place: Mapping[str, float | None], side: str | None, key: str, unit: LengthUnit) -> list[Fault]:
    """What is wrong with where a mass lies; place: `ahead`, `out` and `up` in the file's unit, none given: no place.

    key: where the change stands in the file.
    """
    if all(value is None for value in place.values()):
        return []
    faults = []
    for name, (low, high) in _ROOM.items():
        value = place[name]
        if value is None and name in _NEEDED:
            text = "is missing: where ballast lies is told by `ahead` of its axle's wheels and `up` from the ground"
            faults.append(Fault(f"{key}.{name}", text))
        elif value is not None and not low <= unit.to_mm(value) <= high:
            ends = f"{unit.from_mm(low):.4g} to {unit.from_mm(high):.4g} {unit.symbol}"
            faults.append(Fault(f"{key}.{name}", f"read {value:g} {unit.symbol}; {ends} is allowed"))
    if place["out"] and side is None:
        faults.append(Fault(f"{key}.side", 'is missing: `out` is to the "left" or to the "right"'))
    return faults
