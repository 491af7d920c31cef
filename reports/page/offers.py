"""The sliders that change an axle: one for each kind of change that fits it, and each way it can go."""

from collections.abc import Iterator

from kinematics.car.car import Axle, Car
from kinematics.car.coil_springs import can_be_cut
from kinematics.car.lengths import LengthUnit
from kinematics.car.units import Units
from kinematics.planning.changes import CHANGES, LOAD_CHANGES, ChangeKind, can_be_made
from reports.documents.amounts import Record, plain

_WAYS = ("ahead", "out", "up")
_LENGTHS = {  # mm either way; others 40
    "ride height": 80.0,
    "tie-rod shim": 30.0,
    "rack raised": 30.0,
    "link length": 20.0,
    "spring length": 80.0,
    "tyre radius": 25.0,
}
_USUAL = 40.0  # mm
_SOFTEST, _STIFFEST = 0.4, 3.0  # of the rate there is
_MOST_MASS, _MOST_COILS = 100.0, 3.0  # kg


def offers(car: Car, axle: Axle) -> list[Record]:
    """Every slider: the entries of a plan file that it fills, its words, range, step, and where nothing is changed."""
    return [one for kind in CHANGES.values() for one in _of_kind(car, axle, kind)]


def _of_kind(car: Car, axle: Axle, kind: ChangeKind) -> Iterator[Record]:
    for point in _points(axle, kind):
        if not can_be_made(kind, point, axle.suspension):
            continue
        if kind.what in LOAD_CHANGES:
            yield from _of_loads(car, axle, kind)
            continue
        most = _LENGTHS.get(kind.what, _USUAL)
        for way in _WAYS if kind.takes == "shift" else ("by",):
            yield _offer(axle, kind, point, way, car.unit.symbol, **_length(most, car.unit))


def _points(axle: Axle, kind: ChangeKind) -> list[str]:
    """The points that a kind of change may name, each its own slider; one without a name for other kinds."""
    if kind.what == "link length":
        return [on for on, at in axle.suspension.links if (on, at) != axle.suspension.toe_link]
    return list(axle.suspension.keys) if kind.names_point else [""]


def _of_loads(car: Car, axle: Axle, kind: ChangeKind) -> Iterator[Record]:
    """Springs, bar and ballast, where the car file tells what they act on."""
    loads, units = axle.loads, Units(car.unit)
    if loads is None or any(one.loads is None for one in car.axles) or len(car.axles) < 2:
        return
    if kind.takes == "rate":
        bar = "bar" in kind.what
        if bar and loads.bar is None:
            return
        rate = loads.bar.rate if bar and loads.bar is not None else float(loads.spring.rate.mean())
        low, rest, high = (0.0 if bar else _SOFTEST * rate, rate, _STIFFEST * rate)
        told = {"low": plain(low / units.rate), "high": plain(high / units.rate), "rest": plain(rest / units.rate)}
        yield _offer(axle, kind, "", "rate", units.rate_symbol, **told, step="any")
    elif kind.takes == "mass":
        yield _offer(axle, kind, "", "mass", units.mass_symbol, low=0.0, high=_MOST_MASS, rest=0.0, step=1.0)
    elif kind.takes == "coils":
        if can_be_cut(loads.spring):
            yield _offer(axle, kind, "", "coils", "coils", low=0.0, high=_MOST_COILS, rest=0.0, step=0.25)
    else:
        yield _offer(axle, kind, "", "by", car.unit.symbol, **_length(_LENGTHS.get(kind.what, _USUAL), car.unit))


def _length(most: float, unit: LengthUnit) -> Record:
    inches = unit.symbol == "in"
    end = round(unit.from_mm(most) * 4) / 4 if inches else most
    return {"low": -end, "high": end, "rest": 0.0, "step": 1 / 16 if inches else 1.0, "fractions": inches}


def _offer(axle: Axle, kind: ChangeKind, point: str, way: str, unit: str, **ends: object) -> Record:
    words = " ".join(filter(None, (kind.what, point.replace("_", " "), way if way in _WAYS else "")))
    return {
        "key": f"{axle.name}/{kind.what}/{point}/{way}",
        "entry": {"axle": axle.name, "what": kind.what, **({"point": point} if point else {})},
        "way": way,
        "title": words,
        "sign": kind.meaning,
        "unit": unit,
        "of_a_point": kind.what == "point",
        **ends,
    }
