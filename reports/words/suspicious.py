"""Oddities of an axle in words: what its owner should look at again."""

from collections.abc import Iterable

from kinematics.car.lengths import LengthUnit
from kinematics.judging.suspicious import Odd, Oddity
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from reports.words.both_sides import Told, once_for_both_sides
from reports.words.numbers import told, whole_degrees


def oddity_words(oddities: Iterable[Oddity], unit: LengthUnit) -> list[str]:
    """Each oddity in a sentence, what both sides have alike once."""
    return once_for_both_sides([Told(oddity.axle, oddity.side, _what(oddity, unit)) for oddity in oddities])


def _what(oddity: Oddity, unit: LengthUnit) -> str:
    match oddity.code:
        case Odd.NUMBER_UNUSUAL:
            quantity = QUANTITIES[oddity.number]
            read, usual = (told(value, quantity.dimension, unit) for value in (oddity.value, oddity.bound))
            way = "over" if oddity.value > oddity.bound else "under"
            return f"{quantity.title} {read}, and hardly a car has {way} {usual}; is a sign or digit wrong?"
        case Odd.PIVOTS_EXCHANGED:
            behind = told(oddity.value, Dimension.LENGTH, unit, sign=False)
            return f"{oddity.points[0]} lies {behind} behind {oddity.points[1]}: is a sign of `ahead` wrong?"
        case Odd.PIVOTS_CLOSE:
            apart = told(oddity.value, Dimension.LENGTH, unit, sign=False)
            return f"{oddity.points[0]} and {oddity.points[1]} lie {apart} apart: is a sign of `ahead` wrong?"
        case Odd.TIE_ROD_ASLANT:
            return f"in plan view the tie rod runs {whole_degrees(oddity.value)} aslant: is a sign of `ahead` wrong?"
        case Odd.POINT_HARDLY_KNOWN:
            known_to = told(oddity.value, Dimension.LENGTH, unit, sign=False)
            return f"a point is known to {known_to} only; `measured_to` and `known_to` are in the file's unit"
