"""The files of a car under load: every number at every part of each manoeuvre, and both axles seen at its end."""

from typing import BinaryIO

import numpy as np

from kinematics.car.car import Car
from kinematics.loads.load_numbers import load_columns
from kinematics.loads.under_load import UnderLoad
from reports.outputs.csv_files import write_columns
from reports.outputs.output import Output, drawn
from reports.result_figures import under_load_figure
from reports.words.under_load import manoeuvre_words, row_notes


def under_load_outputs(car: Car, drawing: str) -> list[Output[UnderLoad]]:
    """Every file of a car under load; drawing: the figure's ending."""

    def write(found: UnderLoad, file: BinaryIO) -> None:
        names = np.repeat([manoeuvre_words(one) for one in found.manoeuvres], found.parts.size)
        write_columns(load_columns(found, car.unit), row_notes(found), file, ("manoeuvre", names.tolist()))

    return [
        Output("under_load.csv", write),
        Output(f"under_load.{drawing}", drawn(lambda found: under_load_figure(found, car), drawing)),
    ]
