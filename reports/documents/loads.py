"""The documents of `lean` and `shelf`: springs, ride, roll and loads, and what each combination of a shelf would do."""

from collections.abc import Iterable, Sequence

import numpy as np

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.doubt.lean_doubt import LeanDoubt
from kinematics.loads.axle_numbers import AT_RIDE_HEIGHT
from kinematics.loads.axle_sheet import AxleSheet
from kinematics.loads.lean import Transfer, in_g
from kinematics.loads.load_numbers import UNDER_LOAD
from kinematics.loads.notes import Note
from kinematics.loads.report import LeanSheet
from kinematics.loads.sheet_numbers import Placed
from kinematics.loads.shelf import Ranking
from kinematics.loads.under_load import UnderLoad
from kinematics.numbers.quantity import Dimension
from kinematics.planning.shelf_travel import NearestEnd, ShelfTravel
from reports.documents.amounts import MISSING, NO_BALANCE, NOT_TOLD, Record, amount, column, number, plain
from reports.documents.lean_doubt import lean_doubt_document
from reports.documents.plans import refusals
from reports.outputs.shelf_files import PLACES
from reports.words.lean import note_words
from reports.words.under_load import manoeuvre_words
from solvers.vectors import Array, Flags

_PER_G, _G = "deg/g", Dimension.ACCELERATION


def lean_document(car: Car, sheet: LeanSheet, loaded: UnderLoad | None, doubt: LeanDoubt | None) -> Record:
    """Springs at ride height, roll and loads over lateral acceleration, rates over travel, and under load if asked.

    doubt: how far to trust it, None where the car does not say how well anything is known.
    """
    unit, lift = car.unit, sheet.lift
    lifts = None
    if lift is not None:
        lifts = {"axle": lift.axle, "side": lift.side, "at": amount(float(in_g(lift.acceleration)), _G, unit)}
    return {
        "axles": [_axle(name, one, unit) for name, one in (("front", sheet.front), ("rear", sheet.rear))],
        "roll_gradient": {"unit": _PER_G, "value": plain(sheet.gradient)},
        "front_share": amount(sheet.front_share, Dimension.PER_CENT, unit),
        "load_moved_at_1_g": [_moved(name, one, unit) for name, one in _textbook(sheet)],
        "first_wheel_to_lift": lifts,
        "over_lateral_acceleration": {
            "columns": _table(sheet.placed(), unit),
            "missing": _missing(sheet.balance.solved, [values for _, _, values in sheet.placed()]),
        },
        "over_travel": {"columns": _table(sheet.wheel_rates.placed(), unit)},
        "notes": [_note(one, unit) for one in sheet.notes],
        "under_load": None if loaded is None else _under_load(loaded, unit),
        "doubt": None if doubt is None else lean_doubt_document(doubt, unit),
    }


def _axle(name: str, one: AxleSheet, unit: LengthUnit) -> Record:
    """Numbers of an axle's springs; of those that are a range, low and high end."""
    told = []
    for known in AT_RIDE_HEIGHT:
        read = known.read(one)
        ends = ("low_end", "high_end") if len(read) == 2 else (None,)
        told += [number(known, value, unit, end=end) for end, value in zip(ends, read, strict=False)]
        if not read:
            told.append(number(known, np.nan, unit, NOT_TOLD))
    return {"axle": name, "numbers": told}


def _textbook(sheet: LeanSheet) -> Sequence[tuple[str, Transfer]]:
    return ("front", sheet.textbook.front), ("rear", sheet.textbook.rear)


def _moved(axle: str, one: Transfer, unit: LengthUnit) -> Record:
    """Load moved to an axle's outer wheel by the textbook, and its parts."""
    parts = {"geometric": one.geometric, "elastic": one.elastic, "unsprung": one.unsprung, "total": one.total}
    return {"axle": axle, **{name: amount(value, Dimension.FORCE, unit) for name, value in parts.items()}}


def _table(placed: Iterable[Placed], unit: LengthUnit) -> list[Record]:
    return [column(known, values, unit, place=place.replace("_", " ") or None) for known, place, values in placed]


def _missing(solved: Flags, columns: Sequence[Array]) -> list[str | None]:
    """The code of what is missing in each state: the balance, or a number alone, such as a share of no load at all."""
    whole = np.isfinite(np.stack([one.reshape(-1) for one in columns])).all(axis=0)
    codes = np.where(solved.reshape(-1), MISSING, NO_BALANCE).astype(object)
    codes[whole] = None
    return list(codes.tolist())


def _note(one: Note, unit: LengthUnit) -> Record:
    return {"code": one.noticed.name.lower(), "axle": one.axle or None, "words": note_words(one, unit)}


def _under_load(found: UnderLoad, unit: LengthUnit) -> Record:
    """Every part of each manoeuvre, one behind the other, from rest to what was asked."""
    placed = [
        (known, place, np.where(found.solved, values, np.nan).reshape(-1))
        for known in UNDER_LOAD
        for place, values in known.by_place(found).items()
    ]
    columns = [column(known, values, unit, place=place or None) for known, place, values in placed]
    names = [manoeuvre_words(one) for one in found.manoeuvres for _ in found.parts]
    return {"manoeuvre": names, "columns": columns, "missing": _missing(found.solved, [one[2] for one in placed])}


def shelf_document(ranking: Ranking, travel: Sequence[ShelfTravel], car: Car) -> Record:
    """Every combination in its order, the car as it is first."""
    return {
        "holds": bool((ranking.outside <= 0.0).any()),
        "combinations": [_combination(ranking, i, travel[i], car.unit) for i in range(len(ranking.names))],
    }


def _combination(ranking: Ranking, i: int, travel: ShelfTravel, unit: LengthUnit) -> Record:
    parts = [
        {"place": place, "name": name, "rate": amount(float(rate), Dimension.RATE, unit)}
        for place, name, rate in zip(PLACES, ranking.names[i], ranking.rates[i], strict=True)
    ]
    if not ranking.solved[i]:
        return {"parts": parts, "balance": False, "reason": NO_BALANCE}
    rises = zip(("front", "rear"), ranking.heave[:, i], strict=True)
    return {
        "parts": parts,
        "balance": True,
        "roll_gradient": {"unit": _PER_G, "value": plain(float(ranking.gradient[i]))},
        "front_share": amount(float(ranking.front_share[i]), Dimension.PER_CENT, unit),
        "rise": {axle: amount(float(value), Dimension.LENGTH, unit) for axle, value in rises},
        "travel_left": {way: _nearest(nearest, unit) for way, nearest in travel.ways()},
        "in_the_way": refusals(travel.refusals, unit),
        "limits_missed_at_rest": int(ranking.missed[i]),
        "missed_by": amount(float(ranking.outside[i]), Dimension.PER_CENT, unit),
    }


def _nearest(nearest: NearestEnd | None, unit: LengthUnit) -> Record | None:
    """What ends a combination's travel first; None where nothing known does."""
    if nearest is None:
        return None
    left = amount(nearest.end.travel, Dimension.LENGTH, unit)
    joints = list(nearest.end.names)
    return {
        "axle": nearest.axle,
        "side": nearest.side,
        "ended_by": nearest.end.kind.value,
        "joints": joints,
        "left": left,
    }
