"""The car file's tables of weights, springs, bars, dampers and tyres.

In a file in mm: kg, N/mm and N s/mm; in a file in inches: lb, lb/in and lb s/in.
"""

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from kinematics.car.suspension_type import CHASSIS
from kinematics.inputs.car.bar_entries import LinkAngles
from kinematics.inputs.reading.entry_units import EntryUnit
from kinematics.inputs.reading.faults import shown
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
    known_to: Mass | None = None
    unsprung_known_to: Mass | None = None


class TyreTable(Table):
    """Vertical rate of one tyre."""

    rate: Rate
    rate_known_to: Rate | None = None


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
    rate_known_to: Rate | None = None
    motion_ratio_known_to: PositiveNumber | None = None


class DamperTable(LineTable):
    """A damper's rate at low speed and its lengths; on the spring's line unless it says its own."""

    rate: DampingRate | None = None
    length: PositiveLength | None = None
    closed: PositiveLength | None = None
    open: PositiveLength | None = None
    rate_known_to: DampingRate | None = None


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
    rate_known_to: Rate | None = None
    motion_ratio_known_to: PositiveNumber | None = None


@dataclass(frozen=True)
class LoadTables:
    """The tables of one axle that tell of loads."""

    weights: WeightsTable | None
    spring: SpringTable | None
    bar: BarTable | None
    tyre: TyreTable | None
    damper: DamperTable | None
