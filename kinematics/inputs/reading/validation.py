"""A data model's complaints in the words of the garage."""

from collections.abc import Sequence
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from kinematics.inputs.reading.faults import Fault, did_you_mean, shown


def from_validation(error: ValidationError, model: type[BaseModel]) -> list[Fault]:
    """Faults from what a data model complains of."""
    return [_fault(item, model) for item in error.errors()]


def _fault(item: Any, model: type[BaseModel]) -> Fault:
    place = [part for part in item["loc"] if not str(part).startswith(("function-", "tuple[", "[key]"))]
    return Fault(_key(place), _message(item, model, place))


def _key(place: Sequence[str | int]) -> str:
    """Where an entry is, for a person, who counts from one: `plan 1.change 2.by`, `limits.travel, entry 2`."""
    key = ""
    for part in place:
        if isinstance(part, int):
            key += f" {part + 1}"
        else:
            key += f".{part}" if key else part
    last = place[-1] if place else ""
    return f"{key.removesuffix(f' {last + 1}')}, entry {last + 1}" if isinstance(last, int) else key


def _message(item: Any, model: type[BaseModel], place: Sequence[str | int]) -> str:
    kind, context = item["type"], item.get("ctx", {})
    read = f"read {shown(item.get('input'))}"
    if kind == "missing":
        about = _table_at(model, place[:-1]).model_fields[str(place[-1])].description
        return f"is missing ({about})" if about else "is missing"
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
    if kind in ("string_type", "list_type", "tuple_type"):
        return f"{read}; {'text in quotes' if kind == 'string_type' else 'a list in [ ]'} is allowed"
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
        model = (None if field is None else _table_in(field.annotation)) or model
    return model


def _table_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((table for part in get_args(annotation) if (table := _table_in(part))), None)


def _like(table: type[BaseModel], place: Sequence[str | int]) -> str:
    """How a table is written: a section if it holds tables itself, else in one line."""
    fields = table.model_fields
    if any(_table_in(field.annotation) for field in fields.values()):
        name = ".".join(part for part in place if isinstance(part, str))
        return f"a section [[{name}]]" if any(isinstance(part, int) for part in place) else f"a section [{name}]"
    needed = [name for name, field in fields.items() if field.is_required()]
    return "a table { " + ", ".join(f"{fields[name].alias or name} = ..." for name in needed or fields) + " }"
