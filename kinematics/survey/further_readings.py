"""What could still be read of a surveyed axle: what the sheet asks for, other tapes, and what was read once more.

A plumb line, a straight line and an offset give several rows at once, and share their marks with other readings: they
are not among what is read again.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.uncertainty import Coordinate
from kinematics.survey.reading_list import SuggestedReading, reading_list
from kinematics.survey.readings import Reading, Survey
from kinematics.survey.unknowns import WHEEL

_SEVERAL_ROWS = ("plumb", "in_line", "offset")
_ANGLE_OF = {"camber": "camber", "toe_in": "toe"}
_SHORTEST = 40.0  # mm: on shorter parts a tape tells little, as the sheet has it
PlaceKey = tuple[str, frozenset[str], str]


@dataclass(frozen=True)
class FurtherReading:
    """A reading that could be taken, or taken again, and one standard deviation of it [mm, rad].

    reading: None where it is a wheel's angle, which `wheel_angle` then names. on_sheet: the entry of the measuring
    sheet that asks for it, of the side in `side` where each side is read by itself; None where the sheet does not.
    """

    doubt: float
    again: bool
    reading: Reading | None = None
    wheel_angle: Coordinate | None = None
    on_sheet: SuggestedReading | None = None
    side: str = ""

    def __str__(self) -> str:
        """In words, like `up lower_ball_joint again`."""
        name = str(self.reading or self.wheel_angle)
        return f"{name} again" if self.again else name

    @property
    def is_angle(self) -> bool:
        """Whether it is read in degrees, or else in the owner's unit of length."""
        return self.reading is None or self.reading.kind == "angle"

    @property
    def number(self) -> int | None:
        """Its number on the measuring sheet, from 1."""
        return None if self.on_sheet is None else self.on_sheet.number


def further_readings(survey: Survey) -> tuple[FurtherReading, ...]:
    """All that could still be read, each once: what was read, again; what the sheet asks besides; other tapes."""
    asked = {place_key(one.reading): one for one in asked_by_sheet(survey) if one.reading is not None}
    found: dict[PlaceKey, FurtherReading] = {}
    for reading in survey.readings:
        if reading.kind in _SEVERAL_ROWS:
            continue
        key = place_key(reading)
        before, on_sheet = found.get(key), asked.get(key)
        doubt = reading.doubt if before is None else min(before.doubt, reading.doubt)
        own = replace(reading, reads=None, doubt=doubt)
        if on_sheet is None:
            found[key] = FurtherReading(doubt, True, own)
        else:
            found[key] = replace(on_sheet, doubt=doubt, again=True, reading=own)
    for one in (*asked.values(), *_tapes(survey)):
        assert one.reading is not None  # of angles there are none among them
        found.setdefault(place_key(one.reading), one)
    return (*found.values(), *_wheel_angles(survey))


def place_key(reading: Reading) -> PlaceKey:
    """Alike for readings of the same place in the car, however its ends are named."""
    return reading.kind, frozenset(name.removeprefix("left ") for name in reading.of), reading.seen_from or ""


def asked_by_sheet(survey: Survey) -> Iterator[FurtherReading]:
    """The sheet's readings that this survey can hold, as its names have them."""
    for entry in _entries(survey.axle.suspension):
        if entry.kind == "note" or entry.kind == "camber" or entry.kind == "toe_in":
            continue
        for of, side in _named(survey, entry.of):
            reading = Reading(entry.kind, of, None, survey.good_for[entry.kind], seen_from=entry.seen_from)
            yield FurtherReading(reading.doubt, False, reading, on_sheet=entry, side=side)


def _entries(kind: SuspensionType) -> tuple[SuggestedReading, ...]:
    return () if kind.listed else reading_list(kind)


def _named(survey: Survey, names: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    """Names as the survey has them: where each side is read by itself, once for each, with the side."""
    known = survey.unknowns.names
    if all(name in known for name in names):
        yield names, ""
        return
    for side in SIDE_NAMES:
        own = tuple(name if name in known else f"{side} {name}" for name in names)
        if all(name in known for name in own):
            yield own, side


def _tapes(survey: Survey) -> Iterator[FurtherReading]:
    """Between any two points of a side that a tape reaches; a wheel's centre lies inside the wheel."""
    spots = [spot for spot in survey.unknowns.spots if not spot.helper and spot.key != WHEEL]
    for one, other in combinations(spots, 2):
        shared = set(one.sides) & set(other.sides)
        if not shared:
            continue
        side = min(shared)
        apart = survey.axle.points[one.key][side] - survey.axle.points[other.key][side]
        if float(np.sqrt((apart**2).sum())) > _SHORTEST:
            reading = Reading("tape", (one.name, other.name), None, survey.good_for["tape"])
            yield FurtherReading(reading.doubt, False, reading)


def _wheel_angles(survey: Survey) -> Iterator[FurtherReading]:
    """Camber and toe once more, each as well as the file says."""
    entries = [entry for entry in _entries(survey.axle.suspension) if entry.kind in _ANGLE_OF]
    for coordinate, doubt in survey.angle_doubts:
        side = SIDE_NAMES[coordinate.sides[0]]
        asked = (one for one in entries if _ANGLE_OF[one.kind] == coordinate.of and one.of == (side,))
        if doubt > 0.0:
            yield FurtherReading(doubt, True, wheel_angle=coordinate, on_sheet=next(asked, None))
