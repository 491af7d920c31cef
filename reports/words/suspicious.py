"""Oddities of an axle in words: what its owner should look at again."""

from collections.abc import Iterable, Sequence

import numpy as np

from kinematics.car.car import Car
from kinematics.car.lengths import LengthUnit
from kinematics.judging.mistyped import Mistyped, Slip
from kinematics.judging.suspicious import Odd, Oddity, disagreeing, suspicious
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.body import Sweep
from reports.words.both_sides import Told, once_for_both_sides
from reports.words.numbers import told, told_amount, whole_degrees

LOOK_AGAIN = "LOOK AGAIN"
_WAYS = {"ahead": ("ahead of", "behind"), "out": ("outboard of", "inboard of"), "up": ("above", "below")}
_LITTLE = 15.0  # mm
_WRITTEN = {"camber": "camber", "toe": "toe_in"}  # as the car file has them


def oddity_words(oddities: Iterable[Oddity], unit: LengthUnit) -> list[str]:
    """Each oddity in a sentence, what both sides have alike once."""
    return once_for_both_sides(oddities_told(oddities, unit))


def oddities_told(oddities: Iterable[Oddity], unit: LengthUnit) -> list[Told]:
    """What is said of each, with its place apart."""
    return [Told(oddity.axle, oddity.side, _what(oddity, unit)) for oddity in oddities]


def look_again_words(rests: Sequence[Sweep], unit: LengthUnit) -> list[str]:
    """What about the measured points is odd."""
    said = oddity_words([oddity for rest in rests for oddity in suspicious(rest, unit)], unit)
    return [
        f"Look again: {text[:-1] if text.endswith('.') else text}." if text[-1] != "?" else f"Look again: {text}"
        for text in said
    ]


def disagreement_words(car: Car) -> list[str]:
    """What to look at again where points were fitted to readings that do not agree; empty for most cars."""
    said = oddity_words([one for axle in car.axles for one in disagreeing(axle)], car.unit)
    return [f"{LOOK_AGAIN}  {text}." for text in said]


def _what(oddity: Oddity, unit: LengthUnit) -> str:
    if oddity.code is Odd.POINT_HARDLY_KNOWN:
        known_to = told(oddity.value, Dimension.LENGTH, unit, sign=False)
        return f"a point is known to {known_to} only; `measured_to` and `known_to` are in the file's unit"
    if oddity.code is Odd.READINGS_DISAGREE:
        return (
            f"the readings behind its points do NOT agree ({oddity.value:.1f} times as far apart as their doubts say), "
            "so points may lie elsewhere; mend the survey first"
        )
    if oddity.code is Odd.DOUBT_OF_OTHERS:
        return (
            f"{oddity.points[0]} was written for other points: the car file was edited since. Run `cornersweep survey` "
            "again, or take that table's last column away if its doubts still hold"
        )
    if len(oddity.slips) == 1:
        return f"{_fact(oddity, unit)}; {_corrected(oddity.slips[0], unit)}"
    if oddity.slips:
        sides = len({slip.side for slip in oddity.slips}) > 1
        either = " or ".join(_entry(slip, with_side=sides) for slip in oddity.slips)
        why = " or ".join(dict.fromkeys(slip.slip.value for slip in oddity.slips))
        return f"{_fact(oddity, unit)}; is {either} wrong ({why})?"
    if oddity.code in (Odd.PIVOTS_EXCHANGED, Odd.PIVOTS_CLOSE, Odd.TIE_ROD_ASLANT):
        return f"{_fact(oddity, unit)}: is a sign of `ahead` wrong?"
    return f"{_fact(oddity, unit)}; is a sign or digit wrong?"


def _fact(oddity: Oddity, unit: LengthUnit) -> str:
    match oddity.code:
        case Odd.NUMBER_UNUSUAL:
            quantity = QUANTITIES[oddity.number]
            read, usual = (told(value, quantity.dimension, unit) for value in (oddity.value, oddity.bound))
            way = "over" if oddity.value > oddity.bound else "under"
            cars = "hardly a car has" if oddity.hardly else "few cars have"
            return f"{quantity.title} {read}, and {cars} {way} {usual}"
        case Odd.PIVOTS_EXCHANGED:
            behind = told(oddity.value, Dimension.LENGTH, unit, sign=False)
            return f"{oddity.points[0]} lies {behind} behind {oddity.points[1]}"
        case Odd.PIVOTS_CLOSE:
            apart = told(oddity.value, Dimension.LENGTH, unit, sign=False)
            return f"{oddity.points[0]} and {oddity.points[1]} lie {apart} apart"
        case Odd.TIE_ROD_ASLANT:
            return f"in plan view the tie rod runs {whole_degrees(oddity.value)} aslant"
        case Odd.PLACE_UNUSUAL:
            of, seen_from = oddity.points
            usual = "little" if abs(oddity.bound) < _LITTLE else f"some {_beside(oddity.bound, oddity.way, unit, 'it')}"
            return f"{of} lies {_beside(oddity.value, oddity.way, unit, seen_from)}, and usual is {usual}"
        case Odd.TEXTBOOK_APART:
            apart, most = (told(one, Dimension.LENGTH, unit, sign=False) for one in (oddity.value, oddity.bound))
            return f"the textbook roll centre lies {apart} from the one by motion, and hardly a car's over {most}"
        case _:
            apart = told(oddity.value, Dimension.LENGTH, unit, sign=False)
            return f"`{oddity.way}` of {oddity.points[0]} differs by {apart} from side to side"


def _beside(value: float, way: str, unit: LengthUnit, of: str) -> str:
    word = _WAYS[way][0 if value >= 0.0 else 1]
    return f"{told(abs(value), Dimension.LENGTH, unit, sign=False)} {word} {of}"


def _entry(slip: Mistyped, *, with_side: bool = False) -> str:
    side = f"{slip.side} " if with_side and slip.side else ""
    return f"{side}`{_WRITTEN[slip.entry]}`" if slip.entry in _WRITTEN else f"`{slip.way}` of {side}{slip.entry}"


def _corrected(slip: Mistyped, unit: LengthUnit) -> str:
    """The question whether an entry was meant otherwise, as its owner writes it."""
    signed = slip.read * slip.likely < 0.0
    why = slip.slip.value if slip.slip is Slip.SIGN or not signed else f"{Slip.SIGN.value}, {slip.slip.value}"
    if slip.entry in _WRITTEN:
        read, likely = (f"{np.degrees(value):{'+' if signed else ''}.4g} deg" for value in (slip.read, slip.likely))
    else:
        read, likely = (told_amount(value, unit, sign=signed) for value in (slip.read, slip.likely))
    return f"should {_entry(slip)} be {likely}, not {read} ({why})?"
