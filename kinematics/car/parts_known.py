"""How well an owner knows what points do not tell: springs, bars, tyres, weights, and the body between the axles."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from kinematics.car.car import Axle, Car, weighed
from kinematics.car.springs_and_bars import AxleLoads, Line, Part


class OfTheBody(Enum):
    """What is known of the whole car."""

    CENTRE_OF_GRAVITY = "centre of gravity's height"
    WHEELBASE = "wheelbase"


@dataclass(frozen=True)
class KnownPart:
    """Something with a doubt of its own: of which axle, empty for the whole car's.

    known_to: one standard deviation [N/mm, N s/mm, kg, mm, or a plain ratio]; None where nobody says.
    """

    axle: str
    what: Part | OfTheBody
    known_to: float | None

    def __str__(self) -> str:
        """In words: `front spring rate`, `wheelbase`."""
        return f"{self.axle} {self.what.value}".strip()


def parts_of(car: Car) -> tuple[KnownPart, ...]:
    """All that a car has of this, told or not, in the order of its file."""
    return (*_of_body(car), *(one for axle in car.axles for one in _of_axle(axle)))


def parts_told(car: Car) -> tuple[tuple[KnownPart, float], ...]:
    """Those of which the owner says how well he knows them, and how well."""
    return tuple((one, one.known_to) for one in parts_of(car) if one.known_to is not None)


def _of_body(car: Car) -> Iterator[KnownPart]:
    body = car.body
    if body.centre_of_gravity is not None:
        yield KnownPart("", OfTheBody.CENTRE_OF_GRAVITY, body.centre_of_gravity_known_to)
    if body.wheelbase is not None:
        yield KnownPart("", OfTheBody.WHEELBASE, body.wheelbase_known_to)


def _of_axle(axle: Axle) -> Iterator[KnownPart]:
    loads = axle.loads
    if loads is None:
        return
    there = {
        Part.LEFT_WEIGHT: True,
        Part.RIGHT_WEIGHT: True,
        Part.UNSPRUNG: True,
        Part.SPRING_RATE: True,
        Part.SPRING_RATIO: loads.spring.line.ratio is not None,
        Part.BAR_RATE: loads.bar is not None and loads.bar.rate > 0.0,
        Part.BAR_RATIO: loads.bar is not None and loads.bar.ratio is not None,
        Part.TYRE_RATE: loads.tyre_rate is not None,
        Part.DAMPER_RATE: loads.damper is not None,
    }
    yield from (KnownPart(axle.name, what, loads.known_to.get(what)) for what, has in there.items() if has)


def shifted(car: Car, part: KnownPart, by: float) -> Car:
    """The car with one part otherwise, by an amount in the unit of its `known_to`; both springs of an axle alike."""
    if isinstance(part.what, OfTheBody):
        body = car.body
        if part.what is OfTheBody.WHEELBASE:
            assert body.wheelbase is not None  # only what a car has is shifted
            body = replace(body, wheelbase=body.wheelbase + by)
        else:
            body = body.raised(by)
        return replace(car, axles=tuple(replace(axle, body=body) for axle in car.axles))
    axles = [_shifted_axle(axle, part.what, by) if axle.name == part.axle else axle for axle in car.axles]
    return replace(car, axles=weighed(axles))


def _shifted_axle(axle: Axle, what: Part, by: float) -> Axle:
    assert axle.loads is not None  # only what a car has is shifted
    return replace(axle, loads=_shifted_loads(axle.loads, what, by))


def _shifted_loads(loads: AxleLoads, what: Part, by: float) -> AxleLoads:
    spring, bar = loads.spring, loads.bar
    if what in (Part.LEFT_WEIGHT, Part.RIGHT_WEIGHT):
        return replace(loads, corner_mass=loads.corner_mass + by * np.eye(2)[int(what is Part.RIGHT_WEIGHT)])
    if what is Part.UNSPRUNG:
        return replace(loads, unsprung=loads.unsprung + by)
    if what is Part.SPRING_RATE:
        return replace(loads, spring=replace(spring, rate=spring.rate + by))
    if what is Part.SPRING_RATIO:
        line = _shifted_line(spring.line, by)
        damper = loads.damper
        # A damper on the spring's line goes with it.
        if damper is not None and damper[0].ratio is not None and damper[0].ratio == spring.line.ratio:
            damper = (line, damper[1])
        return replace(loads, spring=replace(spring, line=line), damper=damper)
    if what is Part.TYRE_RATE:
        assert loads.tyre_rate is not None  # only what a car has is shifted
        return replace(loads, tyre_rate=loads.tyre_rate + by)
    if what is Part.DAMPER_RATE:
        assert loads.damper is not None  # only what a car has is shifted
        return replace(loads, damper=(loads.damper[0], loads.damper[1] + by))
    assert bar is not None  # only what a car has is shifted
    if what is Part.BAR_RATE:
        return replace(loads, bar=replace(bar, rate=bar.rate + by))
    assert bar.ratio is not None  # only what a car has is shifted
    return replace(loads, bar=replace(bar, ratio=bar.ratio + by))


def _shifted_line(line: Line, by: float) -> Line:
    assert line.ratio is not None  # only what a car has is shifted
    return replace(line, ratio=line.ratio + by)
