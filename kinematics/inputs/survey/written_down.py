"""What stands in a survey file for a reading: its entry, its owner's own digits, its number on the sheet."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from kinematics.car.lengths import in_plain_digits
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.survey.survey_entries import table_at
from kinematics.survey.reading_list import SuggestedReading, reading_list
from kinematics.survey.readings import Survey

_ENTRY = re.compile(r"(front|rear)\.readings,? (?:entry )?(\d+)")
_READ = ("reads", "track", "by")


def as_written_down(survey: Survey, written: Mapping[str, Any]) -> Survey:
    """The survey with what its owner wrote for each reading. written: the file's content."""
    return replace(
        survey,
        readings=tuple(replace(one, written=_digits(_value(one.key, written))) for one in survey.readings),
    )


def entry_at(key: str, written: Mapping[str, Any]) -> dict[str, Any]:
    """The entry of the list of readings that a key such as "front.readings 3" names; empty where it names none."""
    place = _ENTRY.match(key)
    readings = table_at(written.get(place[1])).get("readings") if place else None
    known = place is not None and isinstance(readings, list) and 0 < int(place[2]) <= len(readings)
    return table_at(readings[int(place[2]) - 1]) if place and known and isinstance(readings, list) else {}


def number_of(key: str, written: Mapping[str, Any]) -> int | None:
    """The sheet's number of an entry as it is written, also of one that cannot be read; None where there is none."""
    entry = entry_at(key, written)
    for one in _asked(key, written):
        if one.kind in entry and (one.seen_from or "") == entry.get("seen_from", ""):
            of = entry[one.kind]
            named = () if one.kind == "track" else tuple(of) if isinstance(of, list) else (of,)
            if _bare(named) == _bare(one.of):
                return one.number
    return None


def angle_number(key: str, written: Mapping[str, Any]) -> int | None:
    """The sheet's number of a wheel's angle that a key such as "front.left.wheel.camber" names."""
    _, side, *_, angle = key.split(".")
    return next((one.number for one in _asked(key, written) if one.kind == angle and one.of == (side,)), None)


def _asked(key: str, written: Mapping[str, Any]) -> Sequence[SuggestedReading]:
    """What the sheet asks for of the axle that a key begins with."""
    axle = table_at(written.get(key.partition(".")[0]))
    kind = SUSPENSIONS.get(str(axle.get("suspension")))
    return () if kind is None or kind.listed else reading_list(kind)


def _bare(names: tuple[object, ...]) -> frozenset[str]:
    return frozenset(str(one).removeprefix("left ") for one in names)


def _value(key: str, written: Mapping[str, Any]) -> object:
    """What stands for a reading in the list, or for a coordinate of a point."""
    entry = entry_at(key, written)
    if entry:
        return next((entry[name] for name in _READ if name in entry), None)
    *tables, last = key.split(".")
    at: Mapping[str, Any] = written
    for name in tables:
        at = table_at(at.get(name))
    return at.get(last)


def _digits(value: object) -> str:
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        return ""
    return in_plain_digits(value)
