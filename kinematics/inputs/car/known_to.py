"""What a car file says of its own doubt: how well the whole of it was measured, and single points and angles."""

import math
from collections.abc import Mapping
from typing import Any

from kinematics.car.lengths import LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.uncertainty import WAYS, Coordinate, Doubt, independent
from kinematics.inputs.car.car_tables import AxleTable

_NO_POINTS = ("weights", "spring", "bar", "tyre", "damper", "body")  # no doubt file tells of these
_BOTH = (0, 1)
_EACH = ((0,), (1,))


def stated_doubt(table: AxleTable, kind: SuspensionType, unit: LengthUnit, measured_to: float | None) -> Doubt | None:
    """Doubt of an axle's coordinates as its file states it, None where it states none.

    What is given once for both sides was measured once: one doubt, mirrored. `ahead` of such a wheel centre has none,
    for all others are measured from it.
    """
    coordinates: list[Coordinate] = []
    sizes: list[float] = []
    for key in kind.keys:
        apart = any(key in side.points for side in (table.left, table.right))
        for sides in _EACH if apart else (_BOTH,):
            own = (table.left, table.right)[sides[0]].points.get(key) if apart else None
            point = own or table.points[key]
            known_to = point.known_to or measured_to
            for way in WAYS if known_to is not None else ():
                if (key, way, sides) != ("wheel_centre", "ahead", _BOTH):
                    coordinates.append(Coordinate(key, way, sides))
                    sizes.append(unit.to_mm(known_to))  # type: ignore[arg-type]
    for angle, written in (("camber", "camber"), ("toe", "toe_in")):
        apart = any(getattr(side.wheel, written) is not None for side in (table.left, table.right))
        for sides in _EACH if apart else (_BOTH,):
            wheel = (table.left, table.right)[sides[0]].wheel
            known_to = getattr(wheel, f"{written}_known_to") if apart else None
            known_to = known_to or getattr(table.wheel, f"{written}_known_to")
            if known_to is not None:
                coordinates.append(Coordinate(angle, "", sides))
                sizes.append(math.radians(known_to))
    return independent(coordinates, sizes) if coordinates else None


def without_stated_doubt(written: Mapping[str, Any]) -> dict[str, Any]:
    """A car file's content without what it says of its points' doubt, for one that names a doubt file instead."""
    kept = {key: value for key, value in written.items() if key != "measured_to" and not key.endswith("known_to")}
    return {
        key: without_stated_doubt(value) if isinstance(value, dict) and key not in _NO_POINTS else value
        for key, value in kept.items()
    }
