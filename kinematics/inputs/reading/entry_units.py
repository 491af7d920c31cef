"""What an entry of a file is measured in: a mark on its kind, for whoever asks a person for it."""

from enum import Enum

from kinematics.car.lengths import LengthUnit
from kinematics.car.units import Units


class EntryUnit(Enum):
    """What a number in a file is measured in; one that has no such mark is a plain number."""

    LENGTH = "length"
    ANGLE = "angle"
    MASS = "mass"
    FORCE = "force"
    RATE = "rate"
    DAMPING = "damping"
    MODULUS = "modulus"

    def symbol(self, length: LengthUnit) -> str:
        """As a person reads it, in a file whose lengths are in that unit."""
        units = Units(length)
        metric = length.symbol == "mm"
        return {
            EntryUnit.LENGTH: length.symbol,
            EntryUnit.ANGLE: "deg",
            EntryUnit.MASS: units.mass_symbol,
            EntryUnit.FORCE: units.force_symbol,
            EntryUnit.RATE: units.rate_symbol,
            EntryUnit.DAMPING: "N s/mm" if metric else "lb s/in",
            EntryUnit.MODULUS: "GPa" if metric else "million lb/in^2",
        }[self]
