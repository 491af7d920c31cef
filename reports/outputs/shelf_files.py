"""The combinations of a shelf as CSV."""

from collections.abc import Iterator, Sequence
from typing import BinaryIO

import numpy as np

from kinematics.car.car import Car
from kinematics.car.units import Units
from kinematics.loads.shelf import Ranking
from kinematics.planning.shelf_travel import ShelfTravel
from reports.outputs.csv_files import write_rows
from reports.words.lean import NO_BALANCE
from reports.words.plans import refusal_words
from reports.words.travel import nearest_words, none_words

PLACES = ("front springs", "rear springs", "front bar", "rear bar")


def write_ranking(ranking: Ranking, travel: Sequence[ShelfTravel], car: Car, file: BinaryIO) -> None:
    """Write every combination as a row, in the order of the ranking; travel: what each leaves of it."""
    units = Units(car.unit)
    per = units.rate_symbol.replace("/", "_per_")
    places = [place.replace(" ", "_") for place in PLACES]
    symbol = units.length.symbol
    head = [
        *places, *(f"{place}_{per}" for place in places), "roll_gradient_deg_per_g", "front_share_percent",
        f"heave_front_{symbol}", f"heave_rear_{symbol}",
        f"bump_to_go_{symbol}", "bump_ended_by", f"droop_to_go_{symbol}", "droop_ended_by",
        "limits_missed_at_rest", "outside_percent", "note",
    ]  # fmt: skip
    rows: list[list[object]] = []
    for i, names in enumerate(ranking.names):
        numbers = [ranking.gradient[i], 100.0 * ranking.front_share[i], *(ranking.heave[:, i] / units.length.in_mm)]
        judged = [ranking.missed[i], 100.0 * ranking.outside[i]]
        good = bool(ranking.solved[i]) and bool(np.isfinite([*numbers, *judged]).all())
        cells, last = ([float(one) if good else "" for one in part] for part in (numbers, judged))
        rates = [float(value) for value in ranking.rates[i] / units.rate]
        to_go = list(_to_go(travel[i], car)) if good else [""] * 4
        notes = [*_notes(travel[i], car)] if good else [NO_BALANCE]
        rows.append([*names, *rates, *cells, *to_go, *last, "; ".join(notes)])
    write_rows(head, rows, file)


def _notes(travel: ShelfTravel, car: Car) -> Iterator[str]:
    """Why nothing is told, or that nothing known ends a way."""
    yield from refusal_words(travel.refusals, car.unit)
    for way, nearest in travel.ways() if not travel.refusals else ():
        if nearest is None:
            yield f"{way}: {none_words(car)}"


def _to_go(travel: ShelfTravel, car: Car) -> Iterator[object]:
    """Bump and droop to what ends them first, and what that is and where."""
    for _, nearest in travel.ways():
        yield "" if nearest is None else car.unit.from_mm(nearest.end.travel)
        yield nearest_words(nearest, travel)
