"""Whether a car tells enough of itself for its springs and weights to be reckoned with, and what it lacks."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from kinematics.car.car import Car


class Need(Enum):
    """What lean, a shelf, and plans with springs need: first what a car file has to tell, then what has to be sound."""

    BOTH_AXLES = "both axles"
    SPRINGS_AND_WEIGHTS = "springs and weights"
    WHEELBASE = "wheelbase"
    CENTRE_OF_GRAVITY = "centre of gravity"
    FRONT_BRAKES = "the front axle's part of the braking"
    FRONT_DRIVE = "the front axle's part of the driving"
    SPRING_MOVED = "springs that their wheels move"
    SPRING_SHORTER_IN_BUMP = "springs that get shorter in bump"
    SPRING_NOT_SOLID = "springs that are not coil bound at rest"
    SPRINGS_MOVED_APART = "springs that roll moves"
    DROP_LINK_IN_REACH = "drop links that reach over the working travel"
    ROLL_STIFFNESS = "springs and bars that hold the body up"
    BALANCE_UNDER_LOAD = "a balance at a small part of what is asked"


@dataclass(frozen=True)
class Lack:
    """Something that is needed and is not there. axle: on which; empty where it is the whole car's."""

    need: Need
    axle: str = ""


class NotReadyError(ValueError):
    """A car's springs and weights cannot be reckoned with; `lacks` says why."""

    def __init__(self, lacks: Sequence[Lack]) -> None:
        super().__init__(", ".join(f"{one.axle} {one.need.value}".lstrip() for one in lacks))
        self.lacks = tuple(lacks)


def lacking(car: Car) -> tuple[Lack, ...]:
    """What a car does not tell that its loads need: empty if it tells all."""
    lacks = [] if len(car.axles) == 2 else [Lack(Need.BOTH_AXLES)]
    lacks += [Lack(Need.SPRINGS_AND_WEIGHTS, axle.name) for axle in car.axles if axle.loads is None]
    if car.body.wheelbase is None:
        lacks.append(Lack(Need.WHEELBASE))
    if car.body.centre_of_gravity is None:
        lacks.append(Lack(Need.CENTRE_OF_GRAVITY))
    return tuple(lacks)


def refuse_unready(car: Car) -> None:
    """Raise NotReadyError where a car lacks something."""
    lacks = lacking(car)
    if lacks:
        raise NotReadyError(lacks)
