"""One dated state of a car: what it was, what its driver noted, and what its doubt goes back to."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.uncertainty import ANGLES, WAYS, Coordinate, Doubt
from solvers.vectors import Array

_SAME = 1e-9  # mm, rad: the same number written twice


@dataclass(frozen=True, repr=False)
class State:
    """A state. key: the name of its file without ending; date: as it begins, 2026-03-14; title: the rest in words.

    readings: what was read, by axle and name of the source of doubt, where a survey's readings lie beside the file.
    """

    key: str
    date: str
    title: str
    car: Car
    readings: Mapping[tuple[str, str], float] = field(default_factory=dict)
    notes: str = ""

    def __repr__(self) -> str:
        return f"<state of {self.car.name!r} on {self.date}: {self.title}>"


def common_sources(before: tuple[State, Axle], after: tuple[State, Axle]) -> list[tuple[int, int]]:
    """Sources of doubt that go back to the same readings, as places in both axles' doubts: their errors cancel.

    A survey's reading is the same where it has the same name and value. Without a survey it is where the coordinates
    that it shifts are the same numbers; a car on paper has all readings of the car that it
    was made from. before, after: each with the axle.
    """
    one, other = before[1].doubt, after[1].doubt
    if one is None or other is None:
        return []
    places = {name: place for place, name in enumerate(other.sources)}
    return [
        (place, places[name])
        for place, name in enumerate(one.sources)
        if name in places and _is_same(before, after, name, (place, places[name]))
    ]


def _is_same(before: tuple[State, Axle], after: tuple[State, Axle], name: str, places: tuple[int, int]) -> bool:
    if before[0].car.on_paper or after[0].car.on_paper:
        return True
    read = [state.readings.get((axle.name, name)) for state, axle in (before, after)]
    if None not in read:
        return read[0] == read[1]
    axles = before[1], after[1]
    shifted = [_shifted(one.doubt, place) for one, place in zip(axles, places, strict=True) if one.doubt is not None]
    if shifted[0] != shifted[1]:
        return False
    return all(abs(coordinate_value(axles[0], one) - coordinate_value(axles[1], one)) < _SAME for one in shifted[0])


def _shifted(doubt: Doubt, place: int) -> list[Coordinate]:
    """What a source was read of: the coordinate that it is named after, or else all that it shifts."""
    own = [one for one in doubt.coordinates if str(one) == doubt.sources[place]]
    if own:
        return own
    return [one for one, by in zip(doubt.coordinates, doubt.influence[:, place], strict=True) if by]


def coordinate_value(axle: Axle, coordinate: Coordinate) -> float:
    """A coordinate [mm], `out` positive on each side, or an angle [rad], of the first side that has it."""
    side = coordinate.sides[0]
    if coordinate.of in ANGLES:
        return float({"camber": axle.camber, "toe": axle.toe}[coordinate.of][side])
    return float(places_out(axle, coordinate.of)[side, WAYS.index(coordinate.way)])


def places_out(axle: Axle, key: str) -> Array:
    """A point on both sides (2, 3) [mm] as an owner counts: ahead, out (of a single point to the left), up."""
    mirrored = np.array([[1.0, 1.0, 1.0], [1.0, 1.0 if key in axle.suspension.single else -1.0, 1.0]])
    return np.asarray(axle.points[key] * mirrored)
