"""What a plan does to bump steer where no limit is stated for it: told, so that nobody buys it unseen."""

from collections.abc import Iterable, Sequence

import numpy as np

from kinematics.car.car import Axle
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limits
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from reports.words.numbers import told
from reports.words.wrapped import wrapped

BUMP_STEER = "bump_steer"
_KIND: Dimension = QUANTITIES[BUMP_STEER].dimension
_MOST = 6  # plans named


def bump_steer_words(
    axle: Axle, limits: Limits, named: Iterable[tuple[str, Sequence[float]]], unit: LengthUnit
) -> list[str]:
    """Bump steer at ride height by name (one value or two sides), of an axle that has no limit of it; else no lines."""
    if any(limit.key == BUMP_STEER for limit in limits.of(axle)):
        return []
    known = [(name, max(values, key=abs)) for name, values in named if len(values) and np.isfinite(values).all()]
    if not known:
        return []
    each = ", ".join(f"{name} {told(value, _KIND, unit)}" for name, value in known[:_MOST])
    more = ", ..." if len(known) > _MOST else ""
    return wrapped(
        f"Not judged, for no limit is stated: {axle.name} bump steer, toe-in in bump positive: {each}{more}."
    )
