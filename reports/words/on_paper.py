"""Words for a car that was measured, and for one that a plan made of it on paper."""

from collections.abc import Iterator

from kinematics.car.car import Car
from reports.words.wrapped import wrapped


def as_it_is(car: Car) -> str:
    """How a car's numbers came to be."""
    return "on paper" if car.on_paper else "as measured"


def paper_words(car: Car) -> Iterator[str]:
    """That a car is not there yet; no lines for one that was measured."""
    if car.on_paper:
        yield from wrapped(f"{car.name}: nothing here was measured; measure the car again once it is built.")
