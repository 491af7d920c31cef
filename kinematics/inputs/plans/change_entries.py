"""Changes as plans and means write them: read into changes, or told what is wrong with them."""

from typing import Annotated, Literal

from pydantic import Field

from kinematics.car.car import Car
from kinematics.car.coil_springs import can_be_cut
from kinematics.car.lengths import LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.units import Units
from kinematics.inputs.plans.ballast_place import place_faults
from kinematics.inputs.reading.faults import Fault, did_you_mean, shown
from kinematics.inputs.reading.file_fields import Length, Number, PositiveLength, Table
from kinematics.planning.changes import CHANGES, LOAD_CHANGES, Change, ChangeKind, can_be_made, link_ends

AxleName = Literal["front", "rear"]

_FARTHEST_CHANGE = 150.0  # mm


class ChangeTable(Table):
    """One change: what, on which axle, by how much."""

    axle: AxleName = "front"
    what: str = Field(description="one of: " + ", ".join(CHANGES))
    by: Length | None = None
    ahead: Length | None = None
    out: Length | None = None
    up: Length | None = None
    rate: Annotated[Number, Field(ge=0.0)] | None = None
    mass: Number | None = None
    coils: Annotated[Number, Field(gt=0.0)] | None = None
    point: str | None = None
    side: Literal["left", "right"] | None = None
    known_to: PositiveLength | None = None
    part: Annotated[str, Field(max_length=80, description="what you call the part that is fitted")] = ""


def change_from(table: ChangeTable, key: str, car: Car, unit: LengthUnit) -> tuple[Change | None, list[Fault]]:
    """A change as written, or what is wrong with it; key: where it stands in the file."""
    kind = CHANGES.get(table.what)
    if kind is None:
        return None, [Fault(f"{key}.what", f"read {shown(table.what)}{did_you_mean(table.what, CHANGES)}")]
    axles = {axle.name: axle for axle in car.axles}
    if table.axle not in axles:
        return None, [Fault(f"{key}.axle", f"the car has no {table.axle} axle; it has: {', '.join(axles)}")]
    faults = _amount_faults(table, key, kind.takes, unit)
    suspension = axles[table.axle].suspension
    if kind.names_point and table.point not in suspension.keys:
        hint = did_you_mean(table.point or "", suspension.keys)
        faults.append(Fault(f"{key}.point", f"name one of the {suspension.name}'s points{hint}"))
    if not kind.names_point and table.point is not None:
        faults.append(Fault(f"{key}.point", f'"{kind.what}" names no point; use "point" to move a named one'))
    if kind.whole_axle and table.side is not None:
        faults.append(Fault(f"{key}.side", f'"{kind.what}" is made on the whole axle; leave `side` out'))
    if not can_be_made(kind, table.point or "", suspension):
        faults.append(Fault(f"{key}.{'point' if kind.names_point else 'what'}", _misfit(kind, suspension)))
    loads = axles[table.axle].loads
    if kind.what in LOAD_CHANGES and (
        loads is None or (kind.takes == "rate" and "bar" in kind.what and loads.bar is None)
    ):
        lacks = "bar" if loads is not None else "spring"
        text = f"the car file has no [{table.axle}.{lacks}], so what this does is not known"
        faults.append(Fault(f"{key}.what", text))
    elif kind.what == "cut coils" and loads is not None and not can_be_cut(loads.spring):
        text = f"it takes wire, active_coils and free_length under [{table.axle}.spring] in the car file"
        faults.append(Fault(f"{key}.what", text))
    if kind.what == "spring rate" and table.rate == 0.0:
        faults.append(Fault(f"{key}.rate", "read 0; a car without springs stands nowhere"))
    if faults:
        return None, faults
    ahead, out, up = (unit.to_mm(value or 0.0) for value in (table.ahead, table.out, table.up))
    sides = (float(table.side != "right"), float(table.side != "left"))
    units = Units(unit)
    by = {
        "rate": (table.rate or 0.0) * units.rate,
        "mass": (table.mass or 0.0) * units.mass,
        "coils": table.coils or 0.0,
    }.get(kind.takes, unit.to_mm(table.by or 0.0))
    scale = {"rate": units.rate, "mass": units.mass, "coils": 1.0}.get(kind.takes, unit.in_mm)
    known_to = (table.known_to or 0.0) * scale
    if kind.takes != "mass":
        shift = (ahead, out, up)
        point = table.point or ""
        return Change(table.axle, kind.what, by, shift, point, sides, known_to=known_to, part=table.part), []
    place = None if table.up is None else (ahead, out, up)
    return Change(table.axle, kind.what, by, sides=sides, place=place, known_to=known_to, part=table.part), []


def _misfit(kind: ChangeKind, suspension: SuspensionType) -> str:
    if kind.what == "link length":
        ends = ", ".join(link_ends(suspension)) or "none"
        return f"name an end of one of the {suspension.name}'s single links: {ends}"
    return f"a {suspension.name} has no {'strut' if kind.what == 'strut top' else 'point that this moves'}"


def _amount_faults(table: ChangeTable, key: str, takes: str, unit: LengthUnit) -> list[Fault]:
    shifts = {"ahead": table.ahead, "out": table.out, "up": table.up}
    every = {"by": table.by, "rate": table.rate, "mass": table.mass, "coils": table.coils}
    every |= {} if takes == "mass" else shifts
    given = {name: value for name, value in every.items() if value is not None}
    wanted = set(shifts) if takes == "shift" else {takes}
    units = Units(unit)
    allowed = {
        "by": "`by`, a length",
        "shift": "`ahead`, `out` or `up`, lengths",
        "rate": f"`rate`, in {units.rate_symbol}",
        "mass": f"`mass`, in {units.mass_symbol}",
        "coils": "`coils`, how many",
    }[takes]
    faults = []
    if not wanted & given.keys():
        faults.append(Fault(key, f'"{table.what}" takes {allowed}'))
    for name, value in given.items():
        if name not in wanted:
            instead = "`ahead`, `out`, `up`" if takes == "shift" else f"`{takes}`"
            faults.append(Fault(f"{key}.{name}", f'"{table.what}" takes {instead} instead'))
        elif takes in ("by", "shift") and abs(unit.to_mm(value)) > _FARTHEST_CHANGE:
            most = f"{unit.from_mm(_FARTHEST_CHANGE):.4g} {unit.symbol}"
            faults.append(Fault(f"{key}.{name}", f"read {value:g} {unit.symbol}; up to {most} either way is allowed"))
    if table.known_to is not None and takes in ("by", "shift") and unit.to_mm(table.known_to) > _FARTHEST_CHANGE / 3.0:
        most = f"{unit.from_mm(_FARTHEST_CHANGE / 3.0):.4g} {unit.symbol}"
        faults.append(Fault(f"{key}.known_to", f"read {table.known_to:g} {unit.symbol}; up to {most} is allowed"))
    return faults + (place_faults(shifts, table.side, key, unit) if takes == "mass" else [])
