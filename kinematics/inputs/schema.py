"""JSON Schemas of the files that people write, so that an editor can complete their keys and mark what is not known.

They are made of the tables that read the files, and refuse the same keys. What is still blank ("?") is no fault in
them, and what only the reader can tell, such as points that no car could have, is left to it.
"""

from collections.abc import Callable, Mapping
from typing import Any

from pydantic import BaseModel

from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.car_tables import CarTable, LimitsFileTable
from kinematics.inputs.garage.scales_file import ScalesTable
from kinematics.inputs.plans.means_file import MeansFileTable
from kinematics.inputs.plans.plan_file import PlanFileTable
from kinematics.inputs.plans.shelf_file import ShelfTable
from kinematics.inputs.survey.survey_tables import SurveyTable
from kinematics.numbers.registry import QUANTITIES
from kinematics.planning.changes import CHANGES, LOAD_CHANGES

Schema = dict[str, Any]

_FILES: Mapping[str, tuple[type[BaseModel], str]] = {
    "car": (CarTable, "a car file"),
    "limits": (LimitsFileTable, "a file of limits alone"),
    "means": (MeansFileTable, "a means file"),
    "plans": (PlanFileTable, "a plan file, or a file of class rules"),
    "scales": (ScalesTable, "a scales file"),
    "shelf": (ShelfTable, "a shelf file"),
    "survey": (SurveyTable, "a survey file"),
}
FILES = tuple(_FILES)
_DRAFT = "https://json-schema.org/draft/2020-12/schema"


def schema_of(file: str) -> Schema:
    """The JSON Schema of one of `FILES`."""
    model, title = _FILES[file]
    made = _without_null(model.model_json_schema(mode="validation"))
    for name, table in {"": made, **made.get("$defs", {})}.items():
        for beginning, add in _BESIDES.items():
            if name.endswith(beginning):
                add(table)
    return {"$schema": _DRAFT, **made, "title": f"cornersweep: {title}"}


def _without_null(part: Any) -> Any:
    """TOML has no null: what may be left out is left out, and no default stands in for it."""
    if isinstance(part, list):
        return [_without_null(one) for one in part if one != {"type": "null"}]
    if not isinstance(part, dict):
        return part
    return {key: _without_null(value) for key, value in part.items() if (key, value) != ("default", None)}


def _limits(table: Schema) -> None:
    for axle in ("front", "rear"):
        table["properties"][axle]["propertyNames"] = {"enum": list(QUANTITIES)}


def _change(table: Schema) -> None:
    table["properties"]["what"] = {"enum": list(CHANGES)}


def _may(table: Schema) -> None:
    table["properties"]["what"] = {"enum": [what for what in CHANGES if what not in LOAD_CHANGES]}


def _axle(table: Schema) -> None:
    """What each suspension type has: its points, its joints, and joints of its own only where it lists them."""
    table["properties"]["suspension"] = {"enum": list(SUSPENSIONS)}
    table["allOf"] = [
        {"if": {"properties": {"suspension": {"const": name}}}, "then": {"properties": _of_type(kind)}}
        for name, kind in SUSPENSIONS.items()
        if not kind.listed
    ]


def _of_type(kind: SuspensionType) -> Schema:
    points = {"propertyNames": {"enum": list(kind.keys)}, "additionalProperties": _NO_JOINTS}
    own = {"propertyNames": {"enum": [key for key in kind.keys if key not in kind.single]}}
    side = {"properties": {"points": {**points, **own}}}
    turning = sorted({arm.joint for arm in kind.arms} | {end for link in kind.links_to_chassis for end in link})
    angles = {"propertyNames": {"enum": turning}}
    return {"points": points, "left": side, "right": side, "joint_angles": angles, "linkage": False}


_NO_JOINTS = {"properties": {"on": False, "single": False}}
# Words that tables take and only the reader knows, by how the table's name ends.
_BESIDES: Mapping[str, Callable[[Schema], None]] = {
    "LimitsTable": _limits,
    "ChangeTable": _change,
    "MayTable": _may,
    "AxleTable": _axle,
}
