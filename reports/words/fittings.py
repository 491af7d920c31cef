"""Springs and bars that `find` chose, in words: what is fitted, how it is packed, how the car leans."""

from collections.abc import Iterator

import numpy as np

from kinematics.car.car import SIDE_NAMES, Car
from kinematics.car.lengths import LengthUnit
from kinematics.finding.found_plans import FoundPlan, Search
from kinematics.finding.pieces import Fitting, Piece, place_name
from kinematics.inputs.reading.plain_text import shortened
from kinematics.numbers.quantity import Dimension
from reports.words.numbers import per_cent, shown, shows

_MOST_OF_A_NAME = 30


def piece_words(piece: Piece) -> str:
    """What is fitted, without its axle."""
    kind = "springs" if piece.change.what == "spring rate" else "bar"
    return f'{kind} "{shortened(piece.name, _MOST_OF_A_NAME)}"'


def fitting_words(fitting: Fitting) -> str:
    """A combination, with its axles."""
    return ", ".join(f"{one.change.axle} {piece_words(one)}" for one in fitting.pieces) or "what is fitted"


def none_leans_words(nearest: Fitting | None) -> str:
    """That no combination leans the car as wanted, and which comes nearest."""
    if nearest is None or nearest.gradient is None or nearest.front_share is None:
        return "no combination of springs and bars holds the car up"
    lean = _lean(nearest.gradient, nearest.front_share)
    return f"no combination of springs and bars leans so; nearest is {fitting_words(nearest)}: {lean}"


def lean_words(search: Search) -> Iterator[str]:
    """How the car leans on what the best plan fits, and whether its geometry takes it out of what is wanted."""
    best, before = search.best.on_springs, search.as_measured.on_springs
    if best is None:
        return
    was = f" (as measured {_lean(before.gradient, before.front_share)})" if before and search.best.parts else ""
    yield f"The car then leans {_lean(best.gradient, best.front_share)}{was}."
    if not search.means.lean.leans_so(best.gradient, best.front_share):
        own = search.best.fitting
        alone = "" if own.gradient is None or own.front_share is None else f": {_lean(own.gradient, own.front_share)}"
        yield (
            f"That is outside what [lean] asks: it is asked of springs and bars before the geometry is changed{alone}."
        )


def packing_words(one: FoundPlan, car: Car) -> str:
    """How much packing keeps the ride height on other springs."""
    stands = one.on_springs
    if stands is None or not any(piece.change.what == "spring rate" for piece in one.fitting.pieces):
        return ""
    said = [
        f"{axle.name} {words}"
        for axle, own in zip(car.axles, stands.packing, strict=True)
        if (words := _packed(own, car.unit))
    ]
    lower = " (negative: a lower seat or a shorter spring)" if (stands.packing < 0.0).any() else ""
    return f"Packing under the springs that keeps its ride height: {'; '.join(said)}{lower}." if said else ""


def _packed(own: np.ndarray, unit: LengthUnit) -> str:
    """Packing of an axle's springs (2,) [mm]; none where it shows as nothing."""
    if not any(shows(float(one), Dimension.LENGTH, unit) for one in own):
        return ""
    left, right = (shown(float(one), Dimension.LENGTH, unit, sign=True) for one in own)
    both = f"{left} {unit.symbol}"
    apart = ", ".join(f"{side} {one} {unit.symbol}" for side, one in zip(SIDE_NAMES, (left, right), strict=True))
    return both if left == right else apart


def tried_words(search: Search) -> str:
    """How many combinations there were, and what became of them."""
    tried = search.fittings
    if tried is None:
        return ""
    told = [f"{tried.searched} searched"]
    told += [f"{tried.outside} lean otherwise than wanted"] if tried.outside else []
    told += [f"{tried.without_balance} cannot carry the car"] if tried.without_balance else []
    rest = tried.count - tried.searched - tried.outside - tried.without_balance
    reason = "not reached" if search.stopped else "could not be better"
    told += [f"{rest} {reason}"] if rest else []
    return f"{tried.count:,} combinations of springs and bars: {', '.join(told)}."


def place_title(place: tuple[str, str]) -> str:
    """A place of springs or a bar, as a column is headed."""
    return place_name(place).replace("_", " ")


def _lean(gradient: float, front_share: float) -> str:
    return f"{gradient:.2f} deg/g, {per_cent(front_share)} of the load moved in front"
