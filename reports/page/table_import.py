"""A table of points, chosen or pasted into the page, made a car file as the command `import` makes it."""

import argparse
import re
import tempfile
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from kinematics.inputs.plans.change_entries import AxleName
from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.inputs.reading.file_fields import Table
from reports.commands.import_points import import_points

_AXIS = Annotated[str, Field(pattern=r"^[+-]?[xyzXYZ]$")]
_NUMBER = Annotated[float, Field(allow_inf_nan=False)]
_MOST_LETTERS = 500_000
_BOXES = {"--camber": "Camber", "--toe": "Toe-in", "--ground": "Ground lies at"}  # what the page calls the options


class PointTable(Table):
    """A table's text and name, and what it does not say itself; axes as the command has them."""

    text: Annotated[str, Field(max_length=_MOST_LETTERS)]
    name: Annotated[str, Field(max_length=80)] = "table.csv"
    which: str
    axle: AxleName | None = None
    unit: Literal["mm", "cm", "m", "in"] | None = None
    forward: _AXIS | None = None
    left: _AXIS | None = None
    up: _AXIS | None = None
    ground: _NUMBER | None = None
    centre: _NUMBER | None = None
    camber: _NUMBER | None = None
    toe: _NUMBER | None = None


def imported(asked: PointTable, path: Path) -> None:
    """Write a new car file; InputFaultError in the command's own words, by the page's boxes."""
    with tempfile.TemporaryDirectory() as folder:
        table = Path(folder) / (re.sub(r"[^\w.-]+", "_", asked.name).strip("._") or "table.csv")
        table.write_text(asked.text, encoding="utf-8", newline="")
        options = argparse.Namespace(
            points=str(table), file=str(path), suspension=asked.which, axle=asked.axle, forward=asked.forward,
            left=asked.left, up=asked.up, unit=asked.unit, ground=asked.ground, centre=asked.centre,
            camber=asked.camber, toe=asked.toe, name=[], known_to=None, replace=False,
        )  # fmt: skip
        try:
            import_points(options)
        except InputFaultError as found:
            # The folder is none of the reader's.
            source = found.source.replace(f"{folder}/", "")
            told = [
                Fault(_BOXES.get(one.key, one.key), str(one.message).replace(f"{folder}/", "")) for one in found.faults
            ]
            raise InputFaultError(source, told) from None
