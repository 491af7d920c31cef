"""Amounts in words: as fractions of an inch where their owner writes such, by Python's own fractions."""

from fractions import Fraction

import pytest

from kinematics.car.lengths import INCH, MM, as_written, read_length, writes_fractions
from reports.words.numbers import amount, told_amount

TAPE = as_written(INCH, {"by": "5/8"})


@pytest.mark.parametrize("sixtyfourths", [*range(-200, 201, 7), 1, -1, 0, 32, 64, -64, 96])
def test_a_fraction_is_read_back(sixtyfourths: int) -> None:
    told = amount(float(Fraction(sixtyfourths, 64)) * 25.4, TAPE)
    assert "." not in told
    assert Fraction(read_length(told)) == Fraction(sixtyfourths, 64)


def test_signs_units_and_what_is_no_fraction() -> None:
    assert told_amount(0.625 * 25.4, TAPE, sign=True) == "+5/8 in"
    assert told_amount(-1.25 * 25.4, TAPE, sign=True) == "-1 1/4 in"
    assert told_amount(0.0, TAPE, sign=True) == "0 in"
    assert told_amount(0.3 * 25.4, TAPE) == "0.3 in"
    assert told_amount(0.625 * 25.4, INCH) == "0.625 in"
    assert told_amount(20.0, MM, sign=True) == "+20 mm"


def test_only_a_tape_reading_in_inches_makes_fractions() -> None:
    assert writes_fractions({"plan": [{"change": [{"by": "13 5/8"}]}]})
    assert writes_fractions(["\N{VULGAR FRACTION ONE HALF}"])
    assert not writes_fractions({"name": "a 5/8 of nothing", "by": 0.625})
    assert as_written(MM, {"by": "5/8"}) == MM
    assert as_written(INCH, {"by": 0.625}) == INCH
