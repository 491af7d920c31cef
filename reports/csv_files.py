"""Sweeps as CSV (RFC 4180): one header row, units in the column names, full precision, a note for each gap."""

import csv
import io
from typing import BinaryIO

import numpy as np

from kinematics.lengths import LengthUnit
from kinematics.sweeps import Sweep


def write_csv(sweep: Sweep, unit: LengthUnit, file: BinaryIO) -> None:
    """Write one row for each state. A number that does not exist is an empty field; `note` says why."""
    columns = sweep.columns(unit)
    text = io.TextIOWrapper(file, encoding="utf-8", newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([*columns, "note"])
    stacked = np.stack(list(columns.values()), axis=1).astype(object)
    stacked[~np.isfinite(stacked.astype(float))] = ""
    # The csv module writes a float with repr: every digit it has.
    writer.writerows([*row, note] for row, note in zip(stacked.tolist(), sweep.notes.reshape(-1), strict=True))
    text.flush()
    text.detach()
