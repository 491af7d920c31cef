"""What callers hand over, held against what a function takes: told in plain words before anything is solved."""

from collections.abc import Collection

from kinematics.car.car import Axle, Car
from kinematics.car.given_numbers import angles, lengths, told
from kinematics.car.limits import Limits, WorkingRange
from kinematics.car.nearest_names import hint
from kinematics.numbers.registry import QUANTITIES


def refuse_no_axle(axle: object, what: str) -> None:
    """Raise TypeError unless it is an axle, or one made ready to move; what: who asks."""
    if isinstance(axle, Axle) or hasattr(axle, "stand"):
        return
    if isinstance(axle, Car):
        names = " or ".join(f"car.{one.name}" for one in axle.axles)
        raise TypeError(f"{what} takes one axle, not a car: {names}")
    raise TypeError(f"{what} takes an axle, such as car.front; read {told(axle)}")


def refuse_no_car(car: object, what: str) -> None:
    """Raise TypeError unless it is a car, ValueError where it is many at once; what: who asks."""
    if isinstance(car, Axle):
        raise TypeError(f"{what} takes a car, not one axle of it: the car whose {car.name} axle this is")
    if not isinstance(car, Car):
        raise TypeError(f"{what} takes a car, such as read_car(...) gives; read {told(car)}")
    for axle in car.axles:
        refuse_many_cars(axle, what)


def refuse_many_cars(axle: object, what: str) -> None:
    """Raise TypeError unless it is an axle, ValueError where it is that of many cars at once."""
    refuse_no_axle(axle, what)
    shape = axle.batch_shape if isinstance(axle, Axle) else ()
    if shape:
        many = f"this {axle.name} axle is of {' x '.join(map(str, shape))} cars"  # type: ignore[attr-defined]
        raise ValueError(f"{what} takes one car at a time, and {many}: axle.variant(i) is that of one")


def refuse_other(value: object, kind: type | tuple[type, ...], takes: str) -> None:
    """Raise TypeError unless it is of a kind; takes: who takes what, in words."""
    if not isinstance(value, kind):
        raise TypeError(f"{takes}; read {told(value)}")


def refuse_no_list(values: object, kind: type, takes: str) -> None:
    """Raise TypeError unless it is a list, tuple or result of such; takes: who takes a list of what, in words."""
    if isinstance(values, kind):
        raise TypeError(f"{takes}: put it into brackets, [...]")
    if isinstance(values, str | bytes | dict) or not isinstance(values, Collection):
        raise TypeError(f"{takes}; read {told(values)}")
    for one in values:
        if not isinstance(one, kind):
            raise TypeError(f"{takes}; one of them is {told(one)}")


def refuse_no_limits(limits: object, what: str) -> None:
    """Raise TypeError unless they are limits, ValueError where they ask of no known number, or have no range."""
    refuse_other(limits, Limits, f"{what} takes limits, such as car.limits")
    assert isinstance(limits, Limits)
    refuse_no_working(limits.working, what)
    for one in (limit for own in limits.by_axle.values() for limit in own):
        if one.key not in QUANTITIES:
            raise ValueError(f"{one.key!r} is no number that can be limited{hint(one.key, QUANTITIES)}")
        if not one.low <= one.high:
            raise ValueError(f"the limit on {one.key} goes from {one.low:g} to {one.high:g}: the first must be lower")


def refuse_no_working(working: object, what: str) -> None:
    """Raise TypeError unless it is a working range, ValueError where it is none that a car can use."""
    refuse_other(working, WorkingRange, f"{what} takes a working range, such as car.limits.working")
    assert isinstance(working, WorkingRange)
    lengths([working.travel_low, working.travel_high], "the working travel")
    angles(working.roll, "the working roll")
    low, high = working.travel_low, working.travel_high
    if not low <= 0.0 <= high:
        raise ValueError(f"a working range has droop, zero and bump: travel {low:g} to {high:g} mm does not")
    if working.roll <= 0.0:
        raise ValueError(f"a working range has some roll either way, above zero; read {working.roll:g} rad")


def refuse_other_numbers(only: object) -> None:
    """Raise unless it is a list of keys of numbers, or None for all: ValueError names the nearest."""
    if only is None:
        return
    refuse_no_list(only, str, "only takes a list of keys of numbers")
    for key in only:  # type: ignore[attr-defined]
        if key not in QUANTITIES:
            raise ValueError(f"{key!r} is no number of an axle{hint(key, QUANTITIES)}")


def refuse_no_executor(executor: object) -> None:
    """Raise TypeError unless work can be handed to it, or it is None."""
    if executor is not None and not hasattr(executor, "submit"):
        raise TypeError(f"executor takes a pool, such as ProcessPoolExecutor(2); read {told(executor)}")
