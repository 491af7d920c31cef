"""A data model's complaints in the words of the garage."""

import reprlib
from typing import Any

from pydantic import ValidationError

from kinematics.faults import Fault


def from_validation(error: ValidationError) -> list[Fault]:
    """Faults from a data model's complaints."""
    return [_fault(item) for item in error.errors()]


def _fault(item: Any) -> Fault:
    key = ".".join(str(part) for part in item["loc"] if not str(part).startswith(("function-", "tuple[")))
    kind, read, context = item["type"], item.get("input"), item.get("ctx", {})
    if kind == "missing":
        return Fault(key, "is missing")
    if kind == "extra_forbidden":
        return Fault(key, "this key is not known here" + str(context.get("meant", "")))
    if kind == "literal_error":
        return Fault(key, f"read {_shown(read)}; allowed: {context['expected']}")
    if kind == "value_error":
        return Fault(key, str(context["error"]))
    if kind in ("model_type", "dict_type", "model_attributes_type"):
        return Fault(key, f"read {_shown(read)}; a table is allowed here, like {{ ahead = 0, out = 742, up = 298 }}")
    message = str(item["msg"]).replace("Input should", "it must").replace("Tuple", "list").replace("Field", "key")
    return Fault(key, f"read {_shown(read)}; {message[0].lower()}{message[1:]}")


def _shown(value: object) -> str:
    return reprlib.repr(value)
