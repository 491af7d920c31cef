"""The combinations of a shelf as CSV."""

from typing import BinaryIO

import numpy as np

from kinematics.car.car import Car
from kinematics.car.units import Units
from kinematics.loads.shelf import Ranking
from reports.outputs.csv_files import write_rows
from reports.words.lean import NO_BALANCE

PLACES = ("front springs", "rear springs", "front bar", "rear bar")


def write_ranking(ranking: Ranking, car: Car, file: BinaryIO) -> None:
    """Write every combination as a row, in the order of the ranking."""
    units = Units(car.unit)
    per = units.rate_symbol.replace("/", "_per_")
    places = [place.replace(" ", "_") for place in PLACES]
    symbol = units.length.symbol
    head = [
        *places, *(f"{place}_{per}" for place in places), "roll_gradient_deg_per_g", "front_share_percent",
        f"heave_front_{symbol}", f"heave_rear_{symbol}", "limits_missed_at_rest", "outside_percent", "note",
    ]  # fmt: skip
    rows: list[list[object]] = []
    for i, names in enumerate(ranking.names):
        numbers = [ranking.gradient[i], 100.0 * ranking.front_share[i], *(ranking.heave[:, i] / units.length.in_mm)]
        numbers += [ranking.missed[i], 100.0 * ranking.outside[i]]
        good = bool(ranking.solved[i]) and bool(np.isfinite(numbers).all())
        cells = [float(value) for value in numbers] if good else [""] * len(numbers)
        rates = [float(value) for value in ranking.rates[i] / units.rate]
        rows.append([*names, *rates, *cells, "" if good else NO_BALANCE])
    write_rows(head, rows, file)
