"""The springs of a shelf as plans, each on its axle with the other axle as it is: what they leave of the travel."""

from collections.abc import Sequence

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.loads.setup import AxleSetup
from kinematics.loads.shelf import Shelf, SpringChoice
from kinematics.planning.changes import Change
from kinematics.planning.plans import Plan
from kinematics.planning.settling import MeasuredSprings


def shelf_plans(car: Car, shelf: Shelf, springs: MeasuredSprings | None = None) -> list[Plan]:
    """One plan for each spring choice; without a free length it is packed so that the height stays.

    springs: the car's as measured, where they are at hand.
    Raises NotReadyError where the car's own springs cannot be reckoned with.
    """
    front, rear = (springs or MeasuredSprings(car)).setups
    return [*_of_axle(front, shelf.front_springs), *_of_axle(rear, shelf.rear_springs)]


def _of_axle(setup: AxleSetup, choices: Sequence[SpringChoice]) -> list[Plan]:
    axle = setup.axle.name
    return [
        Plan(f"{axle} {one.name}", (Change(axle, "spring rate", one.rate), *_height(setup, one))) for one in choices
    ]


def _height(setup: AxleSetup, choice: SpringChoice) -> list[Change]:
    """What decides the ride height: that it stays, or how much longer the spring is than each side's own."""
    axle = setup.axle.name
    if choice.free_length is None:
        return [Change(axle, "ride height", 0.0)]
    longer = choice.free_length - setup.free_length
    sides = ((1.0, 0.0), (0.0, 1.0))
    return [Change(axle, "spring length", float(longer[i]), sides=sides[i]) for i in range(len(SIDE_NAMES))]
