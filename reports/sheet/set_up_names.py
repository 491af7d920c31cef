"""How a set-up sheet says in its file which sheet it is, and what its blanks are called."""

import re
import zlib

from kinematics.car.lengths import UNITS, LengthUnit
from kinematics.setting.set_up import SetUp
from reports.words.set_up_numbers import fine_words

NOTE, MECHANIC = "note", "mechanic"
_SHEET = re.compile(
    r"cornersweep set-up sheet; units: (mm|in); list: (\w+); cross: (\d+(?:\.\d+)?|none); plan: (.*)", re.S
)


def list_of(planned: SetUp) -> str:
    """Another for every other list of numbers, so that none is taken for another's."""
    unit = planned.car.unit
    entries = ";".join(
        f"{one.number} {one.measure.value} {one.axle} {one.side} {fine_words(one.planned, one.measure, unit)}"
        for one in planned.entries
    )
    return f"{zlib.crc32(entries.encode()):08x}"


def set_up_keywords(planned: SetUp, cross: float | None) -> str:
    """What stands among the document's properties; cross: the cross-weight asked for in per cent."""
    asked = "none" if cross is None else f"{cross:g}"
    unit = planned.car.unit.symbol
    return (
        f"cornersweep set-up sheet; units: {unit}; list: {list_of(planned)}; cross: {asked}; plan: {planned.plan.name}"
    )


def read_set_up_keywords(written: str) -> tuple[LengthUnit, str, float | None, str] | None:
    """Unit, list, cross-weight and plan of a sheet; None if it is no such sheet."""
    read = _SHEET.fullmatch(written.strip())
    if read is None:
        return None
    return UNITS[read[1]], read[2], None if read[3] == "none" else float(read[3]), read[4]
