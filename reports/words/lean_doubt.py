"""How far to trust a car's lean, in words: what is counted, what is not, and how far either way its numbers lie."""

from collections.abc import Iterable, Iterator

import numpy as np

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.car.parts_known import KnownPart, parts_told
from kinematics.car.springs_and_bars import Part
from kinematics.doubt.lean_doubt import LeanDoubt
from kinematics.doubt.lean_sources import Counted
from kinematics.loads.lean import in_g
from kinematics.loads.report import LeanSheet
from kinematics.numbers.quantity import Dimension
from reports.words.figure_titles import lean_title
from reports.words.numbers import PLUS_MINUS, shown
from reports.words.under_load import manoeuvre_words
from reports.words.wrapped import wrapped
from solvers.vectors import Array

_SCALES = (Part.LEFT_WEIGHT, Part.RIGHT_WEIGHT)
NOT_KNOWN = "not known"


MORE = "How far to trust each number, and what is counted in that: --all."


def lean_headline(sheet: LeanSheet, doubt: LeanDoubt | None) -> list[str]:
    """How far the car rolls, when a wheel lifts, and what the front carries of the load moved; each give or take."""
    rolls = f"{lean_title(sheet)}. The front axle takes {100.0 * sheet.front_share:.1f} % of the load moved."
    if doubt is None:
        return wrapped(rolls)
    gradient, share = (float(doubt.half_width_95("car", key)) for key in ("gradient", "front_share"))
    if not np.isfinite([gradient, share]).all():
        return wrapped(rolls)
    return wrapped(f"{rolls} Give or take {gradient:.2f} deg per g and {100.0 * share:.1f} %.")


def counted_words(told: Counted) -> str:
    """What is counted in the doubt of lean."""
    parts = _parts([one.part for one in told.sources if one.part is not None])
    points = [f"{' and '.join(told.points)} points"] if told.points else []
    return f"Counted, as the file says how well they are known: {', '.join([*points, *parts])}."


def not_counted_words(told: Counted) -> str:
    """What is not, and how a file would say it."""
    points = [f"{' and '.join(told.without)} points"] if told.without else []
    untold = [*points, *_parts(told.untold)]
    always = "ends of springs and bars, bump stops"
    if not untold:
        return f"Never counted: {always}."
    how = "`known_to` in [weights], `rate_known_to` beside a rate and the like would say it"
    return f"Not counted, as the file says nothing of them ({how}): {', '.join(untold)}. Never counted: {always}."


NOTHING_TOLD = (
    "How far to trust this is not told: the file says of nothing how well it is known (`measured_to`, `known_to` in "
    "[weights], `rate_known_to` beside a rate)."
)


def in_chances_words(car: Car) -> str:
    """What chances and bands count of a car's springs, weights and body, and what not; empty where it says nothing."""
    told = [one for one, _ in parts_told(car)]
    if not told:
        return ""
    parts = _parts(told)
    return (
        f"Counted besides the points: how well {', '.join(parts)} {'is' if len(parts) == 1 else 'are'} known, in "
        "anti-dive and the like, in the outer wheel's share in balance, and in ride heights that springs set. Not in "
        "the room of springs, nor in a working range in balance."
    )


def part_words(one: KnownPart) -> str:
    """A part as its owner calls it: "front spring rate"."""
    what = "weights" if one.what in _SCALES else one.what.value
    return f"{one.axle} {what}".strip()


def _parts(parts: Iterable[KnownPart]) -> list[str]:
    return list(dict.fromkeys(part_words(one) for one in parts))


def source_words(doubt: LeanDoubt, index: int) -> str:
    """A source of doubt by name: "front wheel_centre out", "rear spring rate"."""
    one = doubt.counted.sources[index]
    if one.part is None:
        return f"{one.axle} {one.reading}"
    return f"{one.axle} {one.part.what.value}".strip()


def with_way(value: float, way: float, decimals: int) -> str:
    """A number and how far either way: "2.92 +- 0.34", with a sign for plus or minus."""
    if not np.isfinite(way):
        return f"{value:.{decimals}f} ({PLUS_MINUS} {NOT_KNOWN})"
    return f"{value:.{decimals}f} {PLUS_MINUS} {way:.{decimals}f}"


def lean_doubt_words(doubt: LeanDoubt, unit: LengthUnit) -> Iterator[str]:
    """Roll gradient, front share, and what the body does at 1 g, with how far either way."""

    def of(key: str, scale: float, decimals: int) -> str:
        value, way = doubt.first["car", key].value, doubt.half_width_95("car", key)
        return with_way(float(value) * scale, float(way) * scale, decimals)

    yield (
        f"Roll gradient: {of('gradient', 1.0, 2)} deg per g in balance, {of('textbook_gradient', 1.0, 2)} by the "
        f"textbook. Front share of the load moved: {of('front_share', 100.0, 1)} % in balance, "
        f"{of('textbook_front_share', 100.0, 1)} % by the textbook."
    )
    found = doubt.sheet.balance
    state = int(abs(in_g(found.acceleration) - 1.0).argmin())
    if found.solved[state]:
        roll, heave = (doubt.half_width_95("lean", key)[..., state] for key in ("roll", "heave"))
        rise = [
            f"{name} {with_way(unit.from_mm(float(found.heave[i, state])), unit.from_mm(float(heave[i])), 1)}"
            for i, name in enumerate(("front", "rear"))
        ]
        rolls = with_way(float(np.degrees(found.roll[state])), float(np.degrees(roll)), 2)
        yield f"At 1 g the body rolls {rolls} deg over the ground and rises {', '.join(rise)} {unit.symbol}."
    arm, its_way = (unit.from_mm(float(one)) for one in _both(doubt, "arm"))
    over = with_way(arm, its_way, Dimension.LENGTH.decimals(unit))
    rises, by = (float(np.degrees(one)) for one in _both(doubt, "axis_inclination"))
    slope = with_way(rises, by, 2)
    yield f"The roll axis rises {slope} deg to the rear; the sprung mass lies {over} {unit.symbol} over it."
    worst = _most(doubt, ("car", "gradient"))
    if worst:
        yield f"Most of the roll gradient's doubt: {worst}."


def _both(doubt: LeanDoubt, key: str) -> tuple[Array, Array]:
    return doubt.first["car", key].value, doubt.half_width_95("car", key)


def under_load_words(doubt: LeanDoubt, unit: LengthUnit) -> Iterator[str]:
    """Each manoeuvre as far as it goes: where lateral forces work, and the front axle's share, how far either way."""
    loaded = doubt.loaded
    for i, one in enumerate(loaded.manoeuvres if loaded is not None else ()):
        assert loaded is not None  # else there is no manoeuvre
        at = (i, loaded.last[i])
        height, ways = loaded.force_weighted_height, doubt.half_width_95("load", "force_weighted_height")
        told = [
            f"{name} {with_way(unit.from_mm(float(height[(k, *at)])), unit.from_mm(float(ways[(k, *at)])), decimals)}"
            for k, name in enumerate(("front", "rear"))
            for decimals in (Dimension.LENGTH.decimals(unit),)
        ]
        text = f"{manoeuvre_words(one)}: force-weighted height {', '.join(told)} {unit.symbol}"
        share, way = loaded.front_share[at], doubt.half_width_95("load", "front_share")[at]
        if np.isfinite(share):
            text += f"; front share {with_way(100.0 * float(share), 100.0 * float(way), 1)} %"
        yield f"{text}."


def _most(doubt: LeanDoubt, key: tuple[str, str]) -> str:
    shares: Array = doubt.first[key].shares
    if not np.isfinite(shares).all() or not shares.any():
        return ""
    first = [int(i) for i in np.argsort(-shares)[:3] if shares[i] > 0.05]
    return ", ".join(f"{source_words(doubt, i).replace('_', ' ')} {100.0 * shares[i]:.0f} %" for i in first)


def way_shown(way: float, kind: Dimension, unit: LengthUnit, decimals: int | None) -> str:
    """How far either way, in a cell of a table."""
    return f"{PLUS_MINUS} {shown(way, kind, unit, decimals=decimals)}" if np.isfinite(way) else NOT_KNOWN
