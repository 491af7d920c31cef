"""How a measuring sheet says in its file which sheet it is, and what its blanks are called."""

import re
import zlib

from kinematics.car.lengths import UNITS, LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.survey.reading_list import reading_list

CAR, DATE, BY = "car", "date", "measured by"
DOUBT, REMARKS = " doubt", " remarks"  # after an entry's number

_SHEET = re.compile(
    r"cornersweep measuring sheet; suspension: ([^;]+); units: (mm|in); axle: (front|rear); list: (\w+)"
)


def blanks_of(kind: SuspensionType) -> tuple[str, ...]:
    """The names of all blanks of a sheet."""
    names = [CAR, DATE, BY]
    for entry in reading_list(kind):
        names += [f"{entry.number}{after}" for after in (("",) if entry.measure == "words" else ("", DOUBT, REMARKS))]
    return tuple(names)


def keywords(kind: SuspensionType, unit: LengthUnit, axle: str) -> str:
    """What stands among the document's properties."""
    return (
        f"cornersweep measuring sheet; suspension: {kind.name}; units: {unit.symbol}; axle: {axle}; list: {_list(kind)}"
    )


def read_keywords(written: str) -> tuple[SuspensionType, LengthUnit, str, bool] | None:
    """Type, unit and axle of a sheet, and whether its list of readings is today's; None if it is no such sheet."""
    read = _SHEET.fullmatch(written.strip())
    if read is None or read[1] not in SUSPENSIONS or SUSPENSIONS[read[1]].listed:
        return None
    kind = SUSPENSIONS[read[1]]
    return kind, UNITS[read[2]], read[3], read[4] == _list(kind)


def _list(kind: SuspensionType) -> str:
    """Another for every other list, so that no number is taken for another's."""
    entries = ";".join(f"{entry.number} {entry.kind} {entry.of} {entry.seen_from}" for entry in reading_list(kind))
    return f"{zlib.crc32(entries.encode()):08x}"
