"""The files that a person writes, each kind sound, with what reads it and which command takes it."""

import functools
import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from kinematics.car.car import Car
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.car_file import read_car, read_limits
from kinematics.inputs.demo_cars import DEMO_CARS, DEMO_SHELVES, demo_car, demo_text
from kinematics.inputs.garage.scales_file import read_scales
from kinematics.inputs.plans.plan_file import read_plans
from kinematics.inputs.plans.shelf_file import read_shelf
from kinematics.inputs.survey.survey_file import read_survey
from kinematics.inputs.tables.doubt_file import doubt_text, read_doubts
from kinematics.inputs.tables.point_table import Convention, axes_from, read_points
from tests.command_line.free_linkage_text import as_free_linkage
from tests.robustness.spoiled_text import slipped, spoiled_bytes, spoiled_table
from tests.robustness.spoiled_trees import spoiled_tree

COUPE, SALOON = "lowered_coupe.toml", "rear_drive_saloon.toml"


SCALES = """
units = "mm"
name = "scales"
aboard = "driver"
known_to = 0.5
lengths_known_to = 3
[level]
front_left = 290
front_right = 285
rear_left = 265
rear_right = 260
total = 1100
[raised]
end = "rear"
by = 400
known_to = 2
front_left = 300
front_right = 295
[[add]]
what = "fuel"
mass = 20
ahead = -2400
out = 0
up = 400
"""


@dataclass(frozen=True)
class FileKind:
    """A kind of file. text: a sound one; read: the function that reads it; command: the words that take it."""

    text: str
    read: Callable[[Path], object]
    command: Callable[[str], list[str]]
    ending: str = ".toml"

    def spoiled(self, random: Random) -> bytes:
        """The sound file, spoiled by grammar, by bytes, or by slips of a person."""
        way = random.random()
        if way < 0.25:
            return slipped(random, self.text.encode())
        if way < 0.5:
            return spoiled_bytes(random, self.text.encode())
        if self.ending == ".csv":
            return spoiled_table(random, self.text.encode())
        return spoiled_tree(random, _tree(self.text))


@functools.cache
def _tree(text: str) -> dict[str, Any]:
    return tomllib.loads(text)


@functools.cache
def coupe() -> Car:
    return demo_car(DEMO_CARS["lowered-coupe"])


@functools.cache
def saloon() -> Car:
    return demo_car(DEMO_CARS["rear-drive-saloon"])


def _points() -> str:
    rows = ["name,ahead,out,up [mm]"]
    for key, place in coupe().front.points.items():
        rows.append(",".join([key, *(f"{value:.1f}" for value in np.asarray(place)[0])]))
    return "\n".join(rows) + "\n"


def _doubts() -> str:
    return doubt_text({axle.name: axle.doubt for axle in coupe().axles if axle.doubt is not None}, coupe().unit)


def _read_points(path: Path) -> object:
    kind = SUSPENSIONS["strut"]
    try:
        return read_points(path, kind, Convention(None, "mm", 0.0), {"LBJ": "lower_ball_joint"})
    finally:
        # A table with x, y and z wants to be told its axes, so such a mutant is read in another way as well.
        if b"x" in path.read_bytes()[:20]:
            read_points(path, kind, Convention(axes_from("-x", "+y", None), None, None))


def furnished(folder: Path) -> Path:
    """A folder with the sound files that the commands need beside the spoiled one."""
    for name in (COUPE, SALOON):
        (folder / name).write_text(demo_text(name), encoding="utf-8")
    stated = re.compile(r", (\w+_)?known_to = [\d.]+|^measured_to.*", re.MULTILINE)
    car = 'doubt = "spoiled.csv"\n' + stated.sub("", demo_text(COUPE))
    (folder / "with_doubts.toml").write_text(car, encoding="utf-8")
    return folder


def _show(name: str) -> list[str]:
    return ["show", name]


def _import(name: str) -> list[str]:
    return ["import", name, "out.toml", "--suspension", "strut", "--ground", "0", "--camber", "-1", "--toe", "0"]


@functools.cache
def kinds() -> dict[str, FileKind]:
    """Every kind of file by name."""
    limits = 'units = "mm"\n[limits]' + demo_text(SALOON).split("[limits]")[1]
    free = as_free_linkage(SUSPENSIONS["live axle with Watt linkage on the body"])
    shelf = demo_text(DEMO_SHELVES["rear-drive-saloon"])
    return {
        "car": FileKind(demo_text(COUPE), read_car, _show),
        "car with springs": FileKind(demo_text(SALOON), read_car, lambda name: ["lean", name]),
        "car on five links": FileKind(demo_text("five_link_tourer.toml"), read_car, _show),
        "free linkage": FileKind(free, read_car, _show),
        "plans": FileKind(
            demo_text("lowered_coupe_plans.toml"),
            lambda path: read_plans([path], coupe()),
            lambda name: ["compare", COUPE, name],
        ),
        "shelf": FileKind(
            shelf, lambda path: read_shelf(path, saloon()), lambda name: ["shelf", SALOON, name, "out.csv"]
        ),
        "survey": FileKind(
            demo_text("lowered_coupe_survey.toml"), read_survey, lambda name: ["survey", name, "out.toml"]
        ),
        "limits": FileKind(limits, read_limits, lambda name: ["show", COUPE, "--limits", name]),
        "doubts": FileKind(
            _doubts(),
            lambda path: read_doubts(path, coupe().axles, coupe().unit),
            lambda _: ["show", "with_doubts.toml"],
            ".csv",
        ),
        "points": FileKind(_points(), _read_points, _import, ".csv"),
        "scales": FileKind(SCALES, lambda path: read_scales(path, saloon()), lambda name: ["weigh", name, SALOON]),
    }
