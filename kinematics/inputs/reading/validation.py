"""A data model's complaints in the words of the garage."""

from collections.abc import Sequence
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from kinematics.car.lengths import InchMarkError
from kinematics.inputs.reading.faults import EntryError, Fault, Remedy, did_you_mean, key_of, shown

_MOST_WORDED = 200  # complaints that are put into words, more than are told; each may be compared with all known keys
_A_TEXT = Remedy("text in quotes is allowed", "text is allowed")


def from_validation(error: ValidationError, model: type[BaseModel]) -> list[Fault]:
    """Faults from what a data model complains of."""
    found = error.errors()
    told = [_fault(item, model) for item in found[:_MOST_WORDED]]
    return told + [Fault("", "is wrong too") for _ in found[_MOST_WORDED:]]


def _fault(item: Any, model: type[BaseModel]) -> Fault:
    place = [part for part in item["loc"] if not str(part).startswith(("function-", "tuple[", "[key]"))]
    key, error = key_of(place), item.get("ctx", {}).get("error")
    if isinstance(error, EntryError):
        return Fault(key, error.wrong, error.remedy)
    if isinstance(error, InchMarkError):
        return Fault(key, str(error), inch_mark=error)
    if item["type"] == "missing":
        field = _table_at(model, place[:-1]).model_fields[str(place[-1])]
        if field.description is None:
            return Fault(key, "is missing")
        told = f"is missing ({field.description})"
        # Of a table it says how it is written.
        return Fault(key, told) if table_in(field.annotation) is None else Fault(key, "", Remedy(told, "is missing"))
    if item["type"] == "string_type":
        return Fault(key, f"read {shown(item['input'])}", _A_TEXT)
    return Fault(key, _message(item, model, place))


def _message(item: Any, model: type[BaseModel], place: Sequence[str | int]) -> str:
    kind, context = item["type"], item.get("ctx", {})
    read = f"read {shown(item.get('input'))}"
    if kind == "extra_forbidden":
        known = [field.alias or name for name, field in _table_at(model, place[:-1]).model_fields.items()]
        return f"this key is not known here{did_you_mean(str(place[-1]), known)}"
    if kind == "literal_error":
        return f"{read}; allowed: {context['expected']}".replace("'", '"')
    if kind == "value_error":
        return str(context["error"])
    if kind in ("model_type", "dict_type", "model_attributes_type"):
        return f"{read}; {_like(_table_at(model, place), place)} is allowed"
    if kind in ("list_type", "tuple_type") and isinstance(item.get("input"), dict):
        return f"{read}; a section [[{place[-1]}]] is allowed"
    if kind in ("list_type", "tuple_type"):
        return f"{read}; a list in [ ] is allowed"
    if kind in ("string_too_short", "too_short"):
        return "is empty"
    if kind == "greater_than":
        return f"{read}; a number above {context['gt']:g} is allowed"
    return f"{read}; {item['msg']}"


def _table_at(model: type[BaseModel], place: Sequence[str | int]) -> type[BaseModel]:
    """The table that a data model expects at a place in the file."""
    for part in place:
        # What is no field is a key that the owner chose, in a table of tables.
        field = model.model_fields.get(str(part))
        model = (None if field is None else table_in(field.annotation)) or model
    return model


def table_in(annotation: Any) -> type[BaseModel] | None:
    """The table that an entry's annotation names; None where it names none."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((table for part in get_args(annotation) if (table := table_in(part))), None)


def _like(table: type[BaseModel], place: Sequence[str | int]) -> str:
    """How a table is written: a section if it holds tables itself, else in one line."""
    fields = table.model_fields
    if any(table_in(field.annotation) for field in fields.values()):
        name = ".".join(part for part in place if isinstance(part, str))
        return f"a section [[{name}]]" if any(isinstance(part, int) for part in place) else f"a section [{name}]"
    needed = [name for name, field in fields.items() if field.is_required()]
    return "a table { " + ", ".join(f"{fields[name].alias or name} = ..." for name in needed or fields) + " }"
