"""Springs and bars of a means file: what may be fitted, at what price, and how the car is to lean."""

from collections.abc import Sequence
from typing import Annotated

from pydantic import Field

from kinematics.car.car import Axle, Car
from kinematics.car.units import Units
from kinematics.finding.pieces import MOST_FITTINGS, Piece, fittings_of
from kinematics.inputs.plans.spring_and_bar_choices import (
    BarChoiceTable,
    LeanTable,
    SpringChoiceTable,
    bar_choices,
    spring_choices,
    wanted_ranges,
)
from kinematics.inputs.reading.faults import LEAVE_OUT, Fault
from kinematics.inputs.reading.file_fields import Number, Table
from kinematics.loads.readiness import Need, lacking
from kinematics.loads.shelf import Want
from kinematics.planning.changes import Change

_NotNegative = Annotated[Number, Field(ge=0.0)]
_IN_THE_FILE = {
    Need.BOTH_AXLES: "both axles",
    Need.SPRINGS_AND_WEIGHTS: "[{axle}.spring] and [{axle}.weights]",
    Need.WHEELBASE: "wheelbase under [body]",
    Need.CENTRE_OF_GRAVITY: "centre_of_gravity under [body]",
}


class SpringAtHandTable(SpringChoiceTable):
    """A pair of springs that may be fitted."""

    price: _NotNegative = 0.0
    hours: _NotNegative = 0.0


class BarAtHandTable(BarChoiceTable):
    """A bar that may be fitted."""

    price: _NotNegative = 0.0
    hours: _NotNegative = 0.0


class SpringsAtHandTable(Table):
    """What a means file says of springs and bars."""

    front_spring: tuple[SpringAtHandTable, ...] = ()
    rear_spring: tuple[SpringAtHandTable, ...] = ()
    front_bar: tuple[BarAtHandTable, ...] = ()
    rear_bar: tuple[BarAtHandTable, ...] = ()
    lean: LeanTable | None = None

    @property
    def said(self) -> list[str]:
        """The lists of springs and bars that there are, by their names in the file."""
        return [name for name in SpringsAtHandTable.model_fields if name != "lean" and getattr(self, name)]


def pieces_from(table: SpringsAtHandTable, car: Car, units: Units) -> tuple[tuple[Piece, ...], Want, list[Fault]]:
    """Springs and bars, how the car is to lean with them, and what is wrong with either."""
    faults: list[Fault] = []
    wanted = Want() if table.lean is None else Want(*wanted_ranges(table.lean, "lean", faults))
    if not table.said:
        if table.lean is not None:
            text = "asks for what only springs and bars change: give [[front_spring]], [[front_bar]] or the like"
            faults.append(Fault("lean", text))
        return (), wanted, faults
    lacks = [_IN_THE_FILE[one.need].format(axle=one.axle) for one in lacking(car)]
    if lacks:
        text = f"what these do is not known: the car file lacks {'; '.join(lacks)}"
        return (), wanted, [*faults, *(Fault(name, text) for name in table.said)]
    pieces = tuple(one for axle in car.axles for one in _of_axle(table, axle, units, faults))
    count = fittings_of(pieces)
    if count > MOST_FITTINGS:
        text = f"{count:,} combinations with what is fitted; up to {MOST_FITTINGS} are allowed: take fewer"
        faults.append(Fault(", ".join(table.said), text))
    return pieces, wanted, faults


def _of_axle(table: SpringsAtHandTable, axle: Axle, units: Units, faults: list[Fault]) -> list[Piece]:
    springs: Sequence[SpringAtHandTable] = getattr(table, f"{axle.name}_spring")
    bars: Sequence[BarAtHandTable] = getattr(table, f"{axle.name}_bar")
    for number, one in enumerate(springs, start=1):
        if one.free_length is not None:
            text = "is not for a means file: springs are packed here, so that the car stands as high as each plan says"
            faults.append(Fault(f"{axle.name}_spring {number}.free_length", text, LEAVE_OUT))
    sold = spring_choices([one.model_copy(update={"free_length": None}) for one in springs], axle, units, faults)
    made = bar_choices(bars, axle, units, faults)
    fitted = [
        Piece(of.name, Change(axle.name, "spring rate", one.rate, part=of.name), of.price, of.hours)
        for one, of in zip(sold, springs, strict=True)
    ]
    # Where bars are at fault there are none.
    return fitted + [
        Piece(of.name, Change(axle.name, "bar rate", one.rate, part=of.name), of.price, of.hours)
        for one, of in zip(made, bars, strict=False)
    ]
