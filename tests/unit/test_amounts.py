"""Amounts in words: as fractions of an inch where their owner writes such, by Python's own fractions."""

import tomllib
from fractions import Fraction

import pytest

from kinematics.car.lengths import INCH, MM, LengthUnit, as_written, read_length, writes_fractions
from kinematics.inputs.plans.plan_text import plan_text
from kinematics.planning.changes import Change
from kinematics.planning.plans import Plan
from reports.words.fitted_parts import fitting_words
from reports.words.numbers import amount, told_amount, told_planned
from reports.words.plans import changes_words

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


def test_a_plan_file_keeps_what_its_words_round() -> None:
    """15 mm in a plan file in inches: 15 / 25.4 to the last digit that is written, and told to three decimals."""
    plan = Plan("up", (Change("front", "ride height", 15.0), Change("front", "strut top", shift=(0.0, 5.0, -5.0))))
    (written,) = tomllib.loads(plan_text([plan], [], INCH))["plan"]
    height, top = written["change"]
    assert [height["by"], top["out"], top["up"]] == pytest.approx([15.0 / 25.4, 5.0 / 25.4, -5.0 / 25.4], rel=1e-11)
    assert changes_words(plan, INCH) == "front ride height +0.591 in, front strut top +0.197 in out, -0.197 in up"
    assert fitting_words(plan.changes[1], INCH).endswith("0.197 in out, 0.197 in down.")


def test_only_a_tape_reading_in_inches_makes_fractions() -> None:
    assert writes_fractions({"plan": [{"change": [{"by": "13 5/8"}]}]})
    assert writes_fractions(["\N{VULGAR FRACTION ONE HALF}"])
    assert not writes_fractions({"name": "a 5/8 of nothing", "by": 0.625})
    assert as_written(MM, {"by": "5/8"}) == MM
    assert as_written(INCH, {"by": 0.625}) == INCH
