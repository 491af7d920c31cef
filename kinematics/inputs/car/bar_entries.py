"""A bar's sizes in the car file, and the angle that its drop links may stand at."""

import math
from typing import Annotated, Protocol

import numpy as np
from pydantic import BeforeValidator

from kinematics.car.lengths import LengthUnit
from kinematics.car.springs_and_bars import BarEnds, bar_rate
from kinematics.inputs.reading.entry_units import EntryUnit
from kinematics.inputs.reading.faults import Fault
from kinematics.inputs.reading.file_fields import Number, two_of, within
from solvers.vectors import Array

_SMALLEST_BAR, _THINNEST_WALL = 1.0, 0.01  # mm
_Angle = Annotated[Number, EntryUnit.ANGLE, within(0.0, 180.0)]
LinkAngles = Annotated[tuple[_Angle, _Angle], BeforeValidator(two_of("least and most", "[20, 160]", of="angles"))]


class Sizes(Protocol):
    """A bar's dimensions as a file tells them, in its unit."""

    diameter: float | None
    inner_diameter: float | None
    length: float | None
    arm: float | None
    arm_length: float | None


def rate_of_sizes(table: Sizes, unit: LengthUnit, key: str, faults: list[Fault]) -> float:
    """A bar's rate by its sizes; zero, and a fault, where it would be a hair or its wall none."""
    diameter, long, arm = table.diameter, table.length, table.arm
    if diameter is None or long is None or arm is None:
        return 0.0
    inner = table.inner_diameter or 0.0
    sizes = {"diameter": diameter, "length": long, "arm": arm, "arm_length": table.arm_length}
    small = {name: size for name, size in sizes.items() if size is not None and unit.to_mm(size) < _SMALLEST_BAR}
    if small:
        least = f"at least {unit.from_mm(_SMALLEST_BAR):.2g} {unit.symbol} is allowed"
        faults += [Fault(f"{key}.{name}", f"read {size:g}; {least}") for name, size in small.items()]
        return 0.0
    if unit.to_mm(diameter - inner) < _THINNEST_WALL:
        text = f"read {inner:g}; it must be less than the diameter {diameter:g}"
        faults.append(Fault(f"{key}.inner_diameter", text))
        return 0.0
    arm_length = None if table.arm_length is None else unit.to_mm(table.arm_length)
    lengths = unit.to_mm(diameter), unit.to_mm(long), unit.to_mm(arm)
    return bar_rate(*lengths, inner=unit.to_mm(inner), arm_length=arm_length)


def link_angles_in(degrees: tuple[float, float], ends: BarEnds, key: str, faults: list[Fault]) -> tuple[float, float]:
    """What a drop link's angle may be [rad]; faults where that is no range, or the link stands outside of it."""
    low, high = degrees
    now = np.degrees(_link_angle(ends))
    if low >= high:
        faults.append(Fault(f"{key}.link_angle", f"read [{low:g}, {high:g}]; the least comes first"))
    elif not ((low < now) & (now < high)).all():
        text = f"read [{low:g}, {high:g}], but as measured drop link and arm stand at {now[0]:.1f} degrees"
        faults.append(Fault(f"{key}.link_angle", text))
    return math.radians(low), math.radians(high)


def _link_angle(ends: BarEnds) -> Array:
    """Angle between drop link and arm in side view as measured (2,) [rad]."""
    arm, link = ((one - ends.arm_end)[:, [0, 2]] for one in (ends.axis, ends.drop_link.place))
    cosine = (arm * link).sum(axis=-1) / np.maximum(np.linalg.norm(arm, axis=-1) * np.linalg.norm(link, axis=-1), 1e-9)
    return np.asarray(np.arccos(np.clip(cosine, -1.0, 1.0)))
