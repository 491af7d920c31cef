"""A survey as it would read on the type's typical car: to plan the work before there is anything to read."""

from dataclasses import replace

import numpy as np

from kinematics.survey.readings import Survey, partners, rows
from kinematics.survey.unknowns import typical


def on_typical_car(survey: Survey) -> Survey:
    """The survey with each reading as it would be there, without errors."""
    unknown = survey.unknowns
    places = typical(unknown, survey.axle.suspension, partners(survey.readings))
    at = np.linalg.pinv(unknown.spread) @ places.ravel()
    every_row = rows(survey).from_start(at)
    shown = every_row.predicted(at)
    readings = list(survey.readings)
    for index, reading in enumerate(readings):
        own = shown[every_row.of == index]
        # A plumb line's drop comes last; level, in line and offset read what they are.
        if reading.reads is not None and reading.kind not in ("level", "in_line", "offset"):
            readings[index] = replace(reading, reads=float(own[-1]), written="")
    return replace(survey, readings=tuple(readings))
