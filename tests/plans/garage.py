"""Short words for building cars, plans and changes in tests of plans."""

from dataclasses import replace
from typing import Any

import numpy as np

from kinematics import Axle, Car
from kinematics.car.fittings import Adjusters, Body
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.planning.alignment import align
from kinematics.planning.changes import Change, apply_change
from kinematics.planning.dismantled import Assembled, AxleParts, put_together, take_apart
from kinematics.planning.plans import Plan
from tests.properties.plausible_cars import typical_axle

LEFT_ONLY, RIGHT_ONLY = (1.0, 0.0), (0.0, 1.0)

# Every kind of change that a strut axle can take, none of them round, all at once possible.
EVERY_KIND = (
    ("ride height", {"by": -11.0}),
    ("longer ball joint", {"by": 17.0}),
    ("inner pivots", {"shift": (3.0, -4.0, 12.0)}),
    ("tie-rod shim", {"by": 9.0}),
    ("tie-rod inner", {"shift": (-5.0, 2.0, 6.0)}),
    ("rack raised", {"by": 8.0}),
    ("strut top", {"shift": (-6.0, -5.0, 4.0)}),
    ("tyre radius", {"by": -7.0}),
    ("wheel spacer", {"by": 5.0}),
    ("point", {"point": "tie_rod_outer", "shift": (4.0, -3.0, 2.0)}),
)


def change(what: str, **how: Any) -> Change:
    return Change("front", what, **how)


def plan(*changes: Change, name: str = "tried", **more: Any) -> Plan:
    return Plan(name, changes, **more)


def changed_parts(axle: Axle, *changes: Change) -> AxleParts:
    parts = take_apart(axle)
    for one in changes:
        parts = apply_change(one, parts)
    return parts


def assembled(axle: Axle, *changes: Change) -> Assembled:
    return put_together(changed_parts(axle, *changes))


def toe_set_back(axle: Axle, *changes: Change) -> Any:
    return align(changed_parts(axle, *changes), Adjusters(), axle.toe, axle.camber)


def front_only(axle: Axle, car: Car) -> Car:
    return replace(car, axles=(replace(axle, body=car.body),))


def typical(kind: str, camber: float = -1.8, toe: float = 0.05) -> Axle:
    """The invented car of the blank file [deg]."""
    axle = typical_axle(SUSPENSIONS[kind])
    return replace(axle, name="front", camber=np.radians([camber] * 2), toe=np.radians([toe] * 2), body=Body())


def uneven(kind: str) -> Axle:
    """The same, every point of every side some millimetres off, sides unlike."""
    axle = typical(kind)
    off = np.random.default_rng(7).uniform(-6.0, 6.0, (len(axle.points), 2, 3))
    points = {key: point + off[i] for i, (key, point) in enumerate(axle.points.items())}
    return replace(axle, points=points, camber=np.radians([-2.1, -1.2]), toe=np.radians([0.1, -0.05]))
