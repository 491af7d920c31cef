"""The part of `lean`'s document that says how far to trust it."""

from collections.abc import Iterator

import numpy as np

from kinematics.car.car import SIDE_NAMES
from kinematics.car.lengths import LengthUnit
from kinematics.doubt.lean_doubt import LeanDoubt
from kinematics.loads.axle_numbers import AT_RIDE_HEIGHT
from kinematics.loads.load_numbers import UNDER_LOAD
from kinematics.loads.under_load import UnderLoad
from kinematics.numbers.quantity import Dimension
from reports.documents.amounts import Record, amount, plain, plain_list
from reports.words.lean_doubt import part_words, source_words

_AXLES = ("front", "rear")
_WHOLE = {
    "roll_gradient": ("gradient", None),
    "front_share": ("front_share", Dimension.PER_CENT),
    "textbook_roll_gradient": ("textbook_gradient", None),
    "textbook_front_share": ("textbook_front_share", Dimension.PER_CENT),
    "roll_axis_inclination": ("axis_inclination", Dimension.ANGLE),
    "sprung_mass_over_roll_axis": ("arm", Dimension.LENGTH),
}


def lean_doubt_document(doubt: LeanDoubt, unit: LengthUnit) -> Record:
    """95 % either way of numbers at ride height, of the car's, of load moved at 1 g, and along both curves."""
    told = doubt.counted
    return {
        "counted": [source_words(doubt, i) for i in range(len(told.sources))],
        "not_counted": [*(f"{axle} points" for axle in told.without), *map(part_words, told.untold)],
        "car": {name: _whole(doubt, key, kind, unit) for name, (key, kind) in _WHOLE.items()},
        "axles": [{"axle": name, "numbers": list(_axle(doubt, i, unit))} for i, name in enumerate(_AXLES)],
        "load_moved_at_1_g": [{"axle": name, **_moved(doubt, i, unit)} for i, name in enumerate(_AXLES)],
        "over_lateral_acceleration": list(_curves(doubt, "lean", unit)),
        "over_travel": list(_curves(doubt, "rates", unit)),
        "under_load": None if doubt.loaded is None else list(_under_load(doubt, doubt.loaded, unit)),
    }


def _whole(doubt: LeanDoubt, key: str, kind: Dimension | None, unit: LengthUnit) -> Record:
    way = float(doubt.half_width_95("car", key))
    return {"unit": "deg/g", "value": plain(way)} if kind is None else amount(way, kind, unit)


def _axle(doubt: LeanDoubt, axle: int, unit: LengthUnit) -> Iterator[Record]:
    for number in AT_RIDE_HEIGHT:
        value, way = doubt.first["springs", number.key].value[axle], doubt.half_width_95("springs", number.key)[axle]
        ends = ("low_end", "high_end") if value[0] != value[1] and np.isfinite(value).all() else (None,)
        for i, end in enumerate(ends):
            told = {"key": number.key, "title": number.title, "end": end}
            yield told | amount(float(way[-i]), number.dimension, unit)


def _moved(doubt: LeanDoubt, axle: int, unit: LengthUnit) -> Record:
    parts = ("geometric", "elastic", "unsprung", "total", "in_balance")
    return {
        name: amount(float(doubt.half_width_95("car", f"moved_{name}")[axle]), Dimension.FORCE, unit) for name in parts
    }


def _curves(doubt: LeanDoubt, where: str, unit: LengthUnit) -> Iterator[Record]:
    """Ways along a curve, state by state, in the order of its table's columns."""
    of = doubt.sheet if where == "lean" else doubt.sheet.wheel_rates
    for at, key in doubt.first:
        if at != where or key in ("lateral_acceleration",) or (where == "rates" and key == "travel"):
            continue
        number, way = of.about(key), doubt.half_width_95(where, key)
        for index in np.ndindex(way.shape[:-1]):
            place = " ".join(names[i] for names, i in zip((_AXLES, SIDE_NAMES), index, strict=False))
            values = plain_list(way[index] * number.dimension.scale(unit))
            head = {"place": place or None, "key": key, "title": number.title, "unit": number.dimension.unit(unit)}
            yield head | {"either_way_95": values}


def _under_load(doubt: LeanDoubt, loaded: UnderLoad, unit: LengthUnit) -> Iterator[Record]:
    """Ways in manoeuvres, in the order of the document's own rows: every part of each, one behind the other."""
    for number in UNDER_LOAD:
        ways = doubt.half_width_95("load", number.key)
        for place in number.by_place(loaded):
            index = tuple((*_AXLES, *SIDE_NAMES).index(one) % 2 for one in place.split())
            values = plain_list(ways[index].reshape(-1) * number.dimension.scale(unit))
            head = {"place": place or None, "key": number.key, "title": number.title}
            yield {**head, "unit": number.dimension.unit(unit), "either_way_95": values}
