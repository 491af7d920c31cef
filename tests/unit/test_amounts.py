"""Amounts in words: as fractions of an inch where their owner writes such, by Python's own fractions."""

from fractions import Fraction

import pytest

from kinematics.car.lengths import INCH, MM, LengthUnit, as_written, read_length, writes_fractions
from reports.words.numbers import amount, told_amount, told_planned

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


@pytest.mark.parametrize(
    ("length", "unit", "says"),
    [
        (5.0, INCH, "+0.197 in"),
        (5.0, TAPE, "+0.197 in"),
        (-10.0, INCH, "-0.394 in"),
        (12.7, INCH, "+0.5 in"),
        (0.0625 * 25.4, INCH, "+0.0625 in"),  # a sixteenth, as its owner wrote it
        (0.1875 * 25.4, TAPE, "+3/16 in"),
        (0.1875 * 25.4, MM, "+4.76 mm"),
        (-0.5 * 25.4, MM, "-12.7 mm"),
        (20.0, MM, "+20 mm"),
        (0.004, MM, "+0.004 mm"),  # what is there is never told as nothing
        (0.0, MM, "0 mm"),
    ],
)
def test_a_plan_from_means_in_another_unit_has_few_digits(length: float, unit: LengthUnit, says: str) -> None:
    """Formula: 25.4 mm to the inch, exact by definition; to 3 decimals in inches, 2 in mm."""
    assert told_planned(length, unit, sign=True) == says


def test_only_a_tape_reading_in_inches_makes_fractions() -> None:
    assert writes_fractions({"plan": [{"change": [{"by": "13 5/8"}]}]})
    assert writes_fractions(["\N{VULGAR FRACTION ONE HALF}"])
    assert not writes_fractions({"name": "a 5/8 of nothing", "by": 0.625})
    assert as_written(MM, {"by": "5/8"}) == MM
    assert as_written(INCH, {"by": 0.625}) == INCH
