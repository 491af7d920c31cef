"""What a weighing says of a car file: weights on each wheel, and where its sprung mass has its centre of gravity."""

from dataclasses import dataclass

import numpy as np

from kinematics.car.car import Car
from kinematics.weighing.centre_of_gravity import HEIGHT, Weighed
from solvers.vectors import Array


@dataclass(frozen=True)
class SprungMass:
    """Where the sprung mass has its centre of gravity: behind the front wheel centres, up from the ground [mm].

    up: None where no axle was raised.
    """

    behind_front: float
    up: float | None


def sprung_mass(found: Weighed, car: Car) -> SprungMass | None:
    """The sprung mass of a weighed car; None where the car file does not tell how much of it is unsprung."""
    loads = [axle.loads for axle in car.axles]
    if len(loads) < 2 or car.body.wheelbase is None:
        return None
    unsprung: list[Array] = [one.unsprung for one in loads if one is not None]
    if len(unsprung) < 2:
        return None
    total = found.values["total"].value
    behind = total * found.values["behind_front"].value - car.body.wheelbase * float(unsprung[1].sum())
    hubs = [axle.points["wheel_centre"][:, 2] for axle in car.axles]
    carried = total - float(np.sum(unsprung))
    up = None
    if HEIGHT in found.values:
        of_hubs = sum(float(mass @ hub) for mass, hub in zip(unsprung, hubs, strict=True))
        up = (total * found.values[HEIGHT].value - of_hubs) / carried
    return SprungMass(behind / carried, up)
