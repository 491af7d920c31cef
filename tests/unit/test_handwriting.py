"""What people write in a box, and what a file then has: by hand, in inches and millimetres."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.car.lengths import INCH, MM, read_length
from reports.sheet.handwriting import as_file_has_it, is_number


@pytest.mark.parametrize(
    ("written", "inches"),
    [
        ("1' 3 5/8\"", 15.625),
        ("1'-3 5/8\"", 15.625),
        ('6 3/4"', 6.75),
        ('-6 3/4"', -6.75),
        ("5'", 60.0),
        ('14.5"', 14.5),
        ("2\u2032 0 1/2\u2033", 24.5),
        ("3/4''", 0.75),
        ("13 5/8", 13.625),
        ("6 in", 6.0),
        ("7,25", 7.25),
    ],
)
def test_inches(written: str, inches: float) -> None:
    assert read_length(as_file_has_it(written, INCH)) == inches


@pytest.mark.parametrize(
    ("written", "value"),
    [("182,5", 182.5), ("0,125", 0.125), ("182 mm", 182.0), ("182 MM", 182.0), ("-5,25", -5.25), ("\u20135.5", -5.5)],
)
def test_millimetres(written: str, value: float) -> None:
    assert read_length(as_file_has_it(written, MM)) == value


@pytest.mark.parametrize(
    ("written", "value"),
    [("-1,5", -1.5), ("\u20131.5", -1.5), ("0.2 deg", 0.2), ("2", 2.0), ("1.5\u00b0", 1.5), ("-1 3/4", -1.75)],
)
def test_degrees(written: str, value: float) -> None:
    assert read_length(as_file_has_it(written, None)) == value
    assert is_number(as_file_has_it(written, None))


def test_what_has_another_unit() -> None:
    assert as_file_has_it("641,5 lb", None, ["lb"]) == "641.5"


@pytest.mark.parametrize(
    "written", ["1,250", "six", "nan", "inf", "1' 3", "5' 4' 3\"", '1/0"', "12..5", "1' 1/0\"", '6 3/4" 2']
)
def test_what_may_be_mistaken_is_no_number(written: str) -> None:
    """1,250 may be 1.25 or 1250; without its mark the 3 of 1' 3 may be anything."""
    assert not is_number(as_file_has_it(written, INCH))


def test_feet_and_inches_mean_nothing_on_a_sheet_in_mm() -> None:
    assert not is_number(as_file_has_it("1' 3\"", MM))


@given(st.integers(0, 9), st.integers(0, 11), st.integers(0, 15))
def test_any_feet_inches_and_sixteenths(feet: int, inches: int, sixteenths: int) -> None:
    """Formula: 12 inches to the foot."""
    part = f" {sixteenths}/16" if sixteenths else ""
    value = read_length(as_file_has_it(f"{feet}' {inches}{part}\"", INCH))
    assert value == float(Fraction(12 * feet + inches) + Fraction(sixteenths, 16))


@pytest.mark.campaign
@given(st.text(max_size=20))
def test_any_text_is_read_or_left(text: str) -> None:
    for unit in (MM, INCH, None):
        is_number(as_file_has_it(text, unit))
