"""The files of what each point does: every number, point and way as CSV, and a figure of the largest effects."""

import math
from collections.abc import Iterator
from typing import BinaryIO

import numpy as np

from kinematics.car.car import SIDE_NAMES, Axle, Car
from kinematics.car.uncertainty import WAYS
from kinematics.finding.influence import Influence
from kinematics.numbers.registry import QUANTITIES
from reports.outputs.csv_files import write_rows
from reports.outputs.output import Output, drawn
from reports.result_figures import influence_figure
from reports.words.influence import reached_words, step_of, unit_words

_NOTE = "no such number here, or this point cannot be moved this way"


def influence_outputs(car: Car, axle: Axle, drawing: str) -> list[Output[Influence]]:
    """Every file of one axle; drawing: the figure's ending."""
    return [
        Output(f"{axle.name}_influence.csv", lambda found, file: _write(found, car, file)),
        Output(f"{axle.name}_influence.{drawing}", drawn(lambda found: influence_figure(found, car), drawing)),
    ]


def _write(found: Influence, car: Car, file: BinaryIO) -> None:
    """Write one row for each number, side, point and way."""
    head = ["number", "side", "point", "way", f"change per {step_of(car.unit).words}", "unit", "reached by", "note"]
    write_rows(head, _rows(found, car), file)


def _rows(found: Influence, car: Car) -> Iterator[list[object]]:
    step = step_of(car.unit).size
    for key, slopes in found.slopes.items():
        number = QUANTITIES[key]
        scaled = np.asarray(slopes) * number.dimension.scale(car.unit) * step
        sides = SIDE_NAMES if number.per_side else ("",)
        for i, point in enumerate(found.points):
            for j, way in enumerate(WAYS):
                for side, value in zip(sides, scaled[i, j].reshape(-1), strict=True):
                    there = math.isfinite(value)
                    reached = reached_words(found, point, way)
                    unit = unit_words(key, car.unit).strip()
                    yield [number.title, side, point, way, float(value), unit, reached, "" if there else _NOTE]
