"""A spring as a part in the car file: its rate or its wire and coils, and how long it is when free and coil bound."""

from typing import Protocol, TypedDict

from kinematics.car.coil_springs import coil_rate, solid_length
from kinematics.car.springs_and_bars import STEEL_SHEAR
from kinematics.car.units import Units
from kinematics.inputs.reading.faults import ONE_OF_TWO, Fault, Remedy

_THINNEST_WIRE = 0.5  # mm
_INDEX = (2.5, 30.0)  # mean diameter over wire: 4 to 12 is usual (Shigley, ch. 10, from memory), with room either way
_SHEAR = (10e3, 150e3)  # N/mm^2: softer and stiffer than any spring's metal
_NO_RATE = 1.0  # N/mm, for what is refused


class CoilEntries(Protocol):
    """What a file says of a spring as a part, in the file's units; None where it does not."""

    rate: float | None
    free_length: float | None
    block_length: float | None
    wire: float | None
    mean_diameter: float | None
    active_coils: float | None
    total_coils: float | None
    shear_modulus: float | None


class OfTheSpring(TypedDict):
    """Lengths [mm] and coils of a spring by itself, as `Spring` names them."""

    block_length: float | None
    free_length: float | None
    wire: float
    active_coils: float


def coils_from(table: CoilEntries, units: Units, key: str, faults: list[Fault]) -> tuple[float, OfTheSpring]:
    """Rate [N/mm] of a spring and what else is told of it; what is wrong goes to the faults."""
    length = units.length
    wire, mean, free, block = (
        None if value is None else length.to_mm(value)
        for value in (table.wire, table.mean_diameter, table.free_length, table.block_length)
    )
    faults += [*_contradictions(table, key), *_misshapen(table, units, key)]
    if block is None and wire is not None and table.active_coils is not None:
        block = solid_length(wire, table.active_coils, table.total_coils)
    if free is not None and block is not None and block >= free:
        faults.append(_too_long_solid(table, units, block, key))
        block = None
    rate = _NO_RATE
    if table.rate is not None:
        rate = table.rate * units.rate
    elif wire is not None and wire >= _THINNEST_WIRE and mean is not None and table.active_coils is not None:
        rate = coil_rate(wire, mean, table.active_coils, _shear(table, units))
    return rate, OfTheSpring(
        block_length=block, free_length=free, wire=wire or 0.0, active_coils=table.active_coils or 0.0
    )


def _shear(table: CoilEntries, units: Units) -> float:
    """Shear modulus [N/mm^2]."""
    return STEEL_SHEAR if table.shear_modulus is None else table.shear_modulus * _stress(units)


def _stress(units: Units) -> float:
    """One unit of a modulus in a file's units, GPa or a million lb/in^2, in N/mm^2."""
    return 1e3 if units.length.symbol == "mm" else 1e6 * units.force / units.length.in_mm**2


def _contradictions(table: CoilEntries, key: str) -> list[Fault]:
    """What is given twice, or not at all."""
    sizes = {"wire": table.wire, "mean_diameter": table.mean_diameter, "active_coils": table.active_coils}
    missing = [name for name, value in sizes.items() if value is None]
    if table.rate is None and len(missing) == 3:
        return [Fault(f"{key}.rate", "is missing: give it, or wire, mean_diameter and active_coils")]
    if table.rate is None and missing:
        return [Fault(key, f"give its rate, or wire, mean_diameter and active_coils; missing: {', '.join(missing)}")]
    if table.rate is not None and table.mean_diameter is not None:
        text = "gives both a rate and mean_diameter, which makes another"
        stay = "wire and active_coils may stay, for cut coils and block length"
        remedy = Remedy(f"{ONE_OF_TWO.in_file} ({stay})", f"{ONE_OF_TWO.in_box} ({stay})")
        return [Fault(key, text, remedy)]
    return []


def _misshapen(table: CoilEntries, units: Units, key: str) -> list[Fault]:
    """Sizes that no spring has."""
    faults = []
    if table.wire is not None and units.length.to_mm(table.wire) < _THINNEST_WIRE:
        least = f"{units.length.from_mm(_THINNEST_WIRE):.2g} {units.length.symbol}"
        faults.append(Fault(f"{key}.wire", f"read {table.wire:g}; at least {least} is allowed"))
    elif table.wire is not None and table.mean_diameter is not None:
        index = table.mean_diameter / table.wire
        if not _INDEX[0] <= index <= _INDEX[1]:
            text = f"read {table.wire:g}, which goes {index:.3g} times into the mean diameter {table.mean_diameter:g}"
            allowed = f"{_INDEX[0]:g} to {_INDEX[1]:g} times is allowed"
            faults.append(Fault(f"{key}.wire", f"{text}; {allowed} (mean_diameter: outside diameter less one wire)"))
    if table.total_coils is not None and table.active_coils is None:
        faults.append(Fault(f"{key}.active_coils", "is missing: total_coils alone do not tell which of them work"))
    elif table.total_coils is not None and table.active_coils is not None and table.total_coils < table.active_coils:
        text = f"read {table.total_coils:g}; it counts every coil, so not fewer than the active {table.active_coils:g}"
        faults.append(Fault(f"{key}.total_coils", text))
    low, high = (one / _stress(units) for one in _SHEAR)
    if table.shear_modulus is not None and not low <= table.shear_modulus <= high:
        unit = "GPa" if units.length.symbol == "mm" else "million lb/in^2"
        text = f"read {table.shear_modulus:g} {unit}; {low:.3g} to {high:.3g} is allowed"
        faults.append(Fault(f"{key}.shear_modulus", text))
    return faults


def _too_long_solid(table: CoilEntries, units: Units, block: float, key: str) -> Fault:
    """A spring that would be longer when coil bound than when free."""
    length = units.length
    if table.block_length is not None:
        text = f"read {table.block_length:g} {length.symbol}; a coil-bound spring is shorter than a free one"
        return Fault(f"{key}.block_length", f"{text}: less than free_length, {table.free_length:g}, is allowed")
    text = f"read {table.free_length:g} {length.symbol}, but its coils alone are {length.from_mm(block):.4g}"
    return Fault(f"{key}.free_length", f"{text} when they touch; are wire, active_coils and total_coils right?")
