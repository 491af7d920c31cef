"""JSON Schemas of the input files: they take every file that comes with the tool, and refuse keys that readers refuse.

Schemas are asked by the reference implementation for Python (`jsonschema`), files by their own readers.
"""

import copy
import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from kinematics.car.car import Car
from kinematics.car.lengths import UNITS
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.blank_file import blank_car_file
from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.demo_cars import DEMO_CARS, demo_car, demo_text
from kinematics.inputs.garage.blank_scales import blank_scales_file
from kinematics.inputs.garage.scales_file import scales_from
from kinematics.inputs.plans.blank_means import blank_means_file
from kinematics.inputs.plans.blank_plans import blank_plan_file
from kinematics.inputs.plans.means_file import means_from
from kinematics.inputs.plans.plan_file import plans_from
from kinematics.inputs.plans.shelf_file import shelf_from
from kinematics.inputs.reading.faults import InputFaultError
from kinematics.inputs.schema import FILES, schema_of
from kinematics.inputs.survey.survey_file import survey_from
from reports.sheet.survey_template import survey_template
from tests.command_line.car_texts import SOUND_CAR, in_inches
from tests.outputs.surveyed import SURVEY
from tests.outputs.two_cars import CAR, PLANS, SHELF
from tests.outputs.two_cars import written as in_unit
from tests.robustness.spoiled_files import SCALES

Reader = Callable[[dict[str, Any], Car], object]
READERS: dict[str, Reader] = {
    "car": lambda content, _: car_from(content, "file"),
    "plans": lambda content, car: plans_from(content, "file", car),
    "means": lambda content, car: means_from(content, "file", car),
    "shelf": lambda content, car: shelf_from(content, "file", car),
    "survey": lambda content, _: survey_from(content, "file"),
    "scales": lambda content, car: scales_from(content, "file", car),
}
SHIPPED = [
    *(("car", name) for name in DEMO_CARS.values()),
    ("plans", "lowered_coupe_plans.toml"),
    ("plans", "hill_climb_hatchback_plans.toml"),
    ("means", "lowered_coupe_means.toml"),
    ("means", "hill_climb_hatchback_means.toml"),
    ("shelf", "rear_drive_saloon_shelf.toml"),
    ("survey", "lowered_coupe_survey.toml"),
]


@cache
def validator(file: str) -> Draft202012Validator:
    made = schema_of(file)
    Draft202012Validator.check_schema(made)
    return Draft202012Validator(made)


def faults(file: str, content: dict[str, Any]) -> list[str]:
    return [f"{'/'.join(map(str, one.absolute_path))}: {one.message}" for one in validator(file).iter_errors(content)]


def test_every_kind_of_file_is_offered() -> None:
    from reports.commands.schema import _KINDS

    assert _KINDS == FILES


@pytest.mark.parametrize(("file", "name"), SHIPPED)
def test_files_that_come_with_the_tool(file: str, name: str) -> None:
    assert faults(file, tomllib.loads(demo_text(name))) == []


@pytest.mark.parametrize("unit", UNITS)
def test_blank_files(unit: str) -> None:
    """What is still to be filled in is no fault: an editor would mark the whole file."""
    for kind in SUSPENSIONS.values():
        axle = "front" if kind.rack else "rear"
        assert faults("car", tomllib.loads(blank_car_file(kind, UNITS[unit], axle))) == [], kind.name
        if not kind.listed:
            assert faults("survey", tomllib.loads(survey_template(kind, UNITS[unit], axle))) == [], kind.name
    assert faults("means", tomllib.loads(blank_means_file(UNITS[unit]))) == []
    assert faults("plans", tomllib.loads(blank_plan_file(UNITS[unit]))) == []
    assert faults("scales", tomllib.loads(blank_scales_file(UNITS[unit]))) == []


def test_files_in_both_units() -> None:
    for file, text in (("car", CAR), ("plans", PLANS), ("shelf", SHELF), ("survey", SURVEY)):
        for unit in UNITS:
            assert faults(file, tomllib.loads(in_unit(text, unit))) == [], (file, unit)


def test_tape_readings() -> None:
    assert faults("car", tomllib.loads(in_inches())) == []
    sound = tomllib.loads(SOUND_CAR)
    for length in ("13 5/8", "-3/4", "13-5/8", "13½", "½", "13.625", "13,6", "0,125", 13, "?"):
        sound["front"]["points"]["strut_top"]["up"] = length
        assert faults("car", sound) == [], length
    for length in ("tall", "13 5/", True, [13], "", "13,625", "1,3,6"):
        sound["front"]["points"]["strut_top"]["up"] = length
        assert faults("car", sound) != [], length


def tables(content: Any) -> Iterator[dict[str, Any]]:
    """Every table of a file, the file itself first."""
    if isinstance(content, dict):
        yield content
    for one in content.values() if isinstance(content, dict) else content if isinstance(content, list) else ():
        yield from tables(one)


def spoiled(content: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """The file with one key more in each table, and with each key in turn misspelt."""
    count = len(list(tables(content)))
    for place in range(count):
        more = copy.deepcopy(content)
        list(tables(more))[place]["nonsense"] = 1
        yield f"table {place}: nonsense", more
        for key in list(list(tables(content))[place]):
            other = copy.deepcopy(content)
            table = list(tables(other))[place]
            table[f"{key}x"] = table.pop(key)
            yield f"table {place}: {key}x", other


SOUND = {
    "car": SOUND_CAR,
    "car of two axles": in_unit(CAR, "mm"),
    "plans": in_unit(PLANS, "mm"),
    "means": demo_text("hill_climb_hatchback_means.toml"),
    "shelf": in_unit(SHELF, "mm"),
    "survey": demo_text("lowered_coupe_survey.toml"),
    "scales": SCALES,
}
LONG = ("car of two axles", "survey")


@pytest.mark.parametrize(
    "name", [pytest.param(one, marks=pytest.mark.campaign if one in LONG else ()) for one in SOUND]
)
def test_keys_that_a_reader_refuses(name: str) -> None:
    file = name.split(maxsplit=1)[0]
    content, car = tomllib.loads(SOUND[name]), demo_car(DEMO_CARS["hill-climb-hatchback"])
    assert faults(file, content) == []
    for what, wrong in spoiled(content):
        assert faults(file, wrong) != [], what
        with pytest.raises(InputFaultError):
            READERS[file](wrong, car)
