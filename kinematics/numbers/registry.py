"""Every number that is read from a stance, in the order of its columns."""

from collections.abc import Mapping

from kinematics.car.car import Axle
from kinematics.car.nearest_names import Named
from kinematics.numbers.front_view import FRONT_VIEW, ROLL_CENTRE
from kinematics.numbers.quantity import Quantity, Where, in_order
from kinematics.numbers.side_view import SIDE_VIEW
from kinematics.numbers.steering import STEERING
from kinematics.numbers.wheels import BODY, LEFT_LESS_RIGHT, PLACES, STEERING_AXES, WHEELS

_ALL = (*BODY, *ROLL_CENTRE, *PLACES, *WHEELS, *STEERING_AXES, *FRONT_VIEW, *LEFT_LESS_RIGHT, *SIDE_VIEW, *STEERING)


class Quantities(Named[Quantity]):
    """Numbers by key; a wrong key gets the nearest."""

    what = "number"


QUANTITIES: Mapping[str, Quantity] = Quantities({quantity.key: quantity for quantity in _ALL})


def quantities_of(axle: Axle) -> Mapping[str, Quantity]:
    """The numbers that an axle has, with its suspension type and with what is known of its car."""
    return {key: quantity for key, quantity in QUANTITIES.items() if quantity.only.on(axle)}


def keys_shown(where: Where) -> tuple[str, ...]:
    """Keys of the numbers that are shown somewhere, in that place's order."""
    return tuple(quantity.key for quantity in in_order(QUANTITIES.values(), where))
