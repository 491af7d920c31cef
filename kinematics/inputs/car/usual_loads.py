"""What springs, tyres, bars and weights of any car are: what no car has is most often in the unit of another file."""

import numpy as np

from kinematics.car.springs_and_bars import Bar, Spring
from kinematics.car.units import Units
from kinematics.inputs.car.loads_tables import LoadTables, WeightsTable
from kinematics.inputs.reading.faults import Fault, other_unit

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


def out_of_range(
    tables: LoadTables, weights: WeightsTable, spring: Spring, bar: Bar | None, units: Units, axle: str
) -> list[Fault]:
    """What of them no car has."""
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
