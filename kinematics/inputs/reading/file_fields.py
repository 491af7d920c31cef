"""The kinds of entry that the files share: lengths, numbers, angles, tables that know their keys."""

import math
from collections.abc import Callable, Mapping
from typing import Annotated, Any, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationError,
    ValidationInfo,
    WithJsonSchema,
)

from kinematics.car.decimal_commas import UNSIGNED, comma_words
from kinematics.car.lengths import IS_BLANK, STILL_BLANK, UNITS, read_length
from kinematics.inputs.reading.entry_units import EntryUnit
from kinematics.inputs.reading.faults import EntryError, Fault, Remedy, shown
from kinematics.inputs.reading.validation import from_validation

_FARTHEST = 1e5  # in the file's unit: far beyond any car, close enough to keep arithmetic sound
_UNIT = "unit"  # of the file, for whatever reads a length in it
_NOTHING = 1e-9  # of any unit in a file


def _length(value: object, info: ValidationInfo) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        allowed = Remedy("a number or a tape reading in quotes is allowed", "a number or a tape reading is allowed")
        raise EntryError(f"read {shown(value)}", allowed)
    try:
        return _finite(read_length(value, (info.context or {}).get(_UNIT)), value)
    except OverflowError:
        return _finite(math.inf, value)


def _number(value: object) -> float:
    if value == STILL_BLANK:
        raise ValueError(IS_BLANK)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        allowed = Remedy("a number without quotes is allowed, like 12.5", "a number is allowed, like 12.5")
        raise EntryError(f"read {shown(value)}", allowed)
    try:
        return _finite(float(value), value)
    except OverflowError:
        return _finite(math.inf, value)


def _angle(value: object) -> float:
    if not isinstance(value, str) or value == STILL_BLANK:
        return _number(value)
    try:
        return _finite(read_length(value), value)
    except ValueError:
        if comma := comma_words(value):
            raise ValueError(f"read {shown(value)}; {comma}") from None
        in_file = 'a number, or a fraction in quotes such as "-1 3/4", is allowed'
        allowed = Remedy(in_file, "a number, or a fraction such as -1 3/4, is allowed")
        raise EntryError(f"read {shown(value)}", allowed) from None


def _finite(value: float, written: object) -> float:
    if not abs(value) <= _FARTHEST:
        raise ValueError(f"read {shown(written)}; a number from -{_FARTHEST:.0f} to {_FARTHEST:.0f} is allowed")
    # What a spreadsheet leaves of a zero, and what is too small to be divided by, is zero.
    return value if abs(value) >= _NOTHING else 0.0


def several(value: object) -> object:
    """Let a single word stand for a list of one."""
    return [value] if isinstance(value, str) else value


ONE_OR_MORE_NAMES = BeforeValidator(several, json_schema_input_type=str | list[str])


def two_of(what: str, example: str, of: str = "lengths") -> Callable[[object], object]:
    """Return a check that a value is a list of two, with words for what they are."""

    def check(value: object) -> object:
        if not isinstance(value, list) or len(value) != 2:
            raise ValueError(f"read {shown(value)}; two {of} are allowed, {what}, like {example}")
        return value

    return check


def within(low: float, high: float, unit: str = "degrees", *, open_low: bool = False) -> AfterValidator:
    """Return a check that a number lies between two values, in degrees or another unit; open_low: above the lower."""

    def check(value: float) -> float:
        if not low <= value <= high or (open_low and value == low):
            raise ValueError(f"read {value:g}; {'above ' if open_low else ''}{low:g} to {high:g} {unit} are allowed")
        return value

    return AfterValidator(check)


# How these entries are written, for an editor that helps to write them; what is still blank is no fault there.
_FRACTION = "([0-9]{1,400} */ *[0-9]{1,400}|[\u00bd\u00bc\u00be\u215b\u215c\u215d\u215e])"
_TAPE = f"^ *-? *([0-9]{{1,400}}[ -]*)?{_FRACTION} *$"
_INCHES = f"(([0-9]{{1,400}} +)?{_FRACTION}|[0-9]{{1,400}}[.]?[0-9]*) *(\"|'')"
_UNCLOSED = "([0-9]|1[01]) +[0-9]{1,3} */ *[0-9]{1,3}"  # after feet, inches without their mark
_MARKED = f"^ *-? *({_INCHES}|[0-9]{{1,3}} *'[ -]*({_INCHES}|{_UNCLOSED})?) *$"
_DECIMAL = f"^ *[+-]?(([0-9]+[.]?[0-9]*|[.][0-9]+)([eE][+-]?[0-9]+)?|{UNSIGNED}) *$"
_BLANK: dict[str, Any] = {"const": STILL_BLANK}
_BOUNDED: dict[str, Any] = {"type": "number", "minimum": -_FARTHEST, "maximum": _FARTHEST}
_ABOVE_ZERO: dict[str, Any] = {"type": "number", "exclusiveMinimum": 0.0, "maximum": _FARTHEST}
_PLAIN: list[dict[str, Any]] = [
    {"type": "string", "pattern": _TAPE, "description": 'a tape reading, such as "13 5/8"'},
    {"type": "string", "pattern": _DECIMAL},
]
_ON_A_TAPE: list[dict[str, Any]] = [
    *_PLAIN,
    {"type": "string", "pattern": _MARKED, "description": "feet and inches with their marks, in a file in inches"},
]


def _written_as(*ways: dict[str, Any]) -> WithJsonSchema:
    return WithJsonSchema({"anyOf": [*ways, _BLANK]})


Length = Annotated[float, EntryUnit.LENGTH, BeforeValidator(_length), _written_as(_BOUNDED, *_ON_A_TAPE)]
Angle = Annotated[float, EntryUnit.ANGLE, BeforeValidator(_angle), _written_as(_BOUNDED, *_PLAIN)]
Number = Annotated[float, BeforeValidator(_number), _written_as(_BOUNDED)]
PositiveLength = Annotated[
    float, EntryUnit.LENGTH, BeforeValidator(_length), Field(gt=0.0), _written_as(_ABOVE_ZERO, *_ON_A_TAPE)
]
PositiveNumber = Annotated[float, BeforeValidator(_number), Field(gt=0.0), _written_as(_ABOVE_ZERO)]
Mass = Annotated[PositiveNumber, EntryUnit.MASS]
Rate = Annotated[PositiveNumber, EntryUnit.RATE]
DampingRate = Annotated[PositiveNumber, EntryUnit.DAMPING]
Modulus = Annotated[PositiveNumber, EntryUnit.MODULUS]


class Table(BaseModel):
    """A table of a file: unknown keys are faults."""

    model_config = ConfigDict(extra="forbid", frozen=True)


_T = TypeVar("_T", bound=Table)


def validated(model: type[_T], written: Mapping[str, Any]) -> tuple[_T | None, list[Fault]]:
    """Read a file's content into a table, or tell all that is wrong with it."""
    unit = UNITS.get(str(written.get("units")))
    try:
        return model.model_validate(written, context={_UNIT: unit}), []
    except ValidationError as error:
        return None, from_validation(error, model)
