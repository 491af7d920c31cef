"""Units of mass, force, rate and moment at the edge: kg, N, N/mm and N m; beside inches lb, lb, lb/in and lb ft."""

from dataclasses import dataclass

from kinematics.car.given_numbers import told
from kinematics.car.lengths import LengthUnit

_POUND, _POUND_FORCE = 0.45359237, 4.4482216152605  # kg, N: exact by definition of the international pound


def refuse_no_unit(unit: object) -> None:
    """Raise TypeError unless it is a unit of length."""
    if not isinstance(unit, LengthUnit):
        allowed = "a unit is kinematics.MM or kinematics.INCH, such as car.unit; angles are in degrees beside either"
        raise TypeError(f"{allowed}; read {told(unit)}")


@dataclass(frozen=True)
class Units:
    """Factors of an owner's units to kg, N, N/mm and N mm, and their symbols."""

    length: LengthUnit

    def __post_init__(self) -> None:
        refuse_no_unit(self.length)

    @property
    def _metric(self) -> bool:
        return self.length.symbol == "mm"

    @property
    def mass(self) -> float:
        """One unit of mass, in kg."""
        return 1.0 if self._metric else _POUND

    @property
    def force(self) -> float:
        """One unit of force, in N."""
        return 1.0 if self._metric else _POUND_FORCE

    @property
    def rate(self) -> float:
        """One unit of spring rate, in N/mm."""
        return self.force / self.length.in_mm

    @property
    def moment(self) -> float:
        """Of N mm."""
        return 1e3 if self._metric else self.force * 12.0 * self.length.in_mm

    @property
    def mass_symbol(self) -> str:
        """Symbol of the unit of mass, as on the scales."""
        return "kg" if self._metric else "lb"

    @property
    def rate_symbol(self) -> str:
        """Symbol of the unit of spring rate."""
        return "N/mm" if self._metric else "lb/in"

    @property
    def force_symbol(self) -> str:
        """Symbol of the unit of force, for wheel loads."""
        return "N" if self._metric else "lb"

    @property
    def moment_per_angle_symbol(self) -> str:
        """Of roll stiffness."""
        return "N m/deg" if self._metric else "lb ft/deg"
