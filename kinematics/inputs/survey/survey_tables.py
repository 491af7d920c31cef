"""What may stand in a survey file, beside what may stand in a car file."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from kinematics.car.uncertainty import WAYS
from kinematics.inputs.car.car_tables import AxleTable, CarTable
from kinematics.inputs.car.free_linkage_file import PairOfNames
from kinematics.inputs.reading.faults import EntryError, Remedy, shown
from kinematics.inputs.reading.file_fields import Length, Number, PositiveLength, PositiveNumber, Table
from kinematics.survey.curves import CurveOf, CurveOver
from kinematics.survey.readings import ReadingKind


def _one_or_two(value: object) -> object:
    if isinstance(value, str):
        return (value,)
    if not isinstance(value, list) or len(value) != 2 or not all(isinstance(one, str) for one in value):
        allowed = Remedy('a name in quotes is allowed, or two, like ["a", "b"]', "one name or two are allowed")
        raise EntryError(f"read {shown(value)}", allowed)
    return tuple(value)


def _three(value: object) -> object:
    if not isinstance(value, list) or len(value) != 3 or not all(isinstance(one, str) for one in value):
        raise ValueError(f'read {shown(value)}; three names are allowed, the middle one second, like ["a", "b", "c"]')
    return tuple(value)


def _direction(value: object) -> object:
    if value in WAYS:
        return value
    if not isinstance(value, list) or len(value) != 2 or not all(isinstance(one, str) for one in value):
        raise ValueError(f'read {shown(value)}; "ahead", "out", "up" or two names, like ["a", "b"], are allowed')
    return tuple(value)


_Names = Annotated[tuple[str, ...], BeforeValidator(_one_or_two, json_schema_input_type=str | tuple[str, str])]
_Line = Annotated[tuple[str, ...], BeforeValidator(_three, json_schema_input_type=tuple[str, str, str])]
_Along = Annotated[str | tuple[str, str], BeforeValidator(_direction)]


class InstrumentsTable(Table):
    """One standard deviation of what each instrument reads, in the file's unit; the level in degrees."""

    tape: PositiveLength | None = None
    rule: PositiveLength | None = None
    plumb: PositiveLength | None = None
    straight: PositiveLength | None = None
    level: Annotated[Number, Field(gt=0.0)] = 0.2


class ReadingTable(Table):
    """One reading: exactly one of its kinds, and what goes with it."""

    up: _Names | None = None
    out: _Names | None = None
    ahead: _Names | None = None
    tape: PairOfNames | None = None
    plumb: PairOfNames | None = None
    angle: PairOfNames | None = None
    level: PairOfNames | None = None
    in_line: _Line | None = None
    offset: PairOfNames | None = None
    track: PositiveLength | None = None
    reads: Length | None = None
    known_to: PositiveLength | None = None
    seen_from: Literal["front", "side"] | None = None
    along: _Along | None = None
    by: Length | None = None
    note: str = ""

    @property
    def kinds(self) -> list[ReadingKind]:
        """The kinds of reading that are given."""
        return [kind for kind in READING_KINDS if getattr(self, kind) is not None]

    def names(self, kind: ReadingKind) -> tuple[str, ...]:
        """The names that a reading is taken of."""
        return () if kind == "track" else tuple(getattr(self, kind))


# What goes with each kind of reading: what must be there, and what may.
READING_KINDS: dict[ReadingKind, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "up": (("reads",), ()),
    "out": (("reads",), ()),
    "ahead": (("reads",), ()),
    "tape": (("reads",), ()),
    "plumb": ((), ("reads",)),
    "angle": (("reads",), ("seen_from",)),
    "level": ((), ()),
    "in_line": ((), ()),
    "offset": (("along", "by"), ()),
    "track": ((), ()),
}


class CurveTable(Table):
    """A curve read with a gauge, as a table of travels and readings or in a file of its own."""

    of: CurveOf
    over: CurveOver = "travel"
    side: Literal["left", "right"] = "left"
    known_to: PositiveNumber
    table: tuple[tuple[Number, Number], ...] | None = None
    file: Annotated[str, Field(min_length=1)] | None = None
    note: str = ""


class SurveyAxleTable(AxleTable):
    """One axle, with its readings if it is surveyed."""

    sides: Literal["alike", "apart"] = "alike"
    helpers: tuple[Annotated[str, Field(min_length=1)], ...] = ()
    readings: tuple[ReadingTable, ...] | None = None
    curves: tuple[CurveTable, ...] = ()


class SurveyTable(CarTable):
    """The whole file."""

    instruments: InstrumentsTable = InstrumentsTable()
    front: SurveyAxleTable | None = None
    rear: SurveyAxleTable | None = None
