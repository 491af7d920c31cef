"""The file of a car under load: every number at every part of each manoeuvre."""

from typing import BinaryIO

import numpy as np

from kinematics.car.car import Car
from kinematics.loads.load_numbers import load_columns
from kinematics.loads.under_load import UnderLoad
from reports.outputs.csv_files import write_columns
from reports.outputs.output import Output
from reports.words.under_load import manoeuvre_words, row_notes


def under_load_outputs(car: Car) -> list[Output[UnderLoad]]:
    """The table of a car under load."""

    def write(found: UnderLoad, file: BinaryIO) -> None:
        names = np.repeat([manoeuvre_words(one) for one in found.manoeuvres], found.parts.size)
        write_columns(load_columns(found, car.unit), row_notes(found), file, ("manoeuvre", names.tolist()))

    return [Output("under_load.csv", write)]
