"""Lengths as a person writes them: decimals, and fractions as a tape shows them."""

import math
import re

import pytest

from kinematics.car.lengths import INCH, MM, STILL_BLANK, UNITS, LengthUnit, read_length

# Sixteenths and the like are exact in binary, so what is read must be equal, not near.
READINGS = {
    "13 5/8": 13.625,
    "-13 5/8": -13.625,
    "- 13 5/8": -13.625,
    "  13   5 / 8  ": 13.625,
    "13\t5/8": 13.625,
    "5/8": 0.625,
    "13-5/8": 13.625,
    "-13-5/8": -13.625,
    "13\u00bd": 13.5,
    "13 \u215e": 13.875,
    "\u00bc": 0.25,
    "-\u00be": -0.75,
    "-3/4": -0.75,
    "0 1/16": 0.0625,
    "0/8": 0.0,
    "11/8": 1.375,  # improper, as when counting eighths
    "29 3/16": 29.1875,
    "7 63/64": 7.984375,
    "13.625": 13.625,
    " -13.625 ": -13.625,
    "+4": 4.0,
    ".5": 0.5,
    "1e2": 100.0,
    "801,0": 801.0,
    " -12,5 ": -12.5,
    "1000,25": 1000.25,
    "0,125": 0.125,
    "+0,0625": 0.0625,
}


@pytest.mark.parametrize(("written", "value"), READINGS.items())
def test_readings(written: str, value: float) -> None:
    assert read_length(written) == value


@pytest.mark.parametrize("written", [13, -13, 0, 13.625, -0.5])
def test_plain_numbers_stay(written: float) -> None:
    read = read_length(written)
    assert read == written
    assert type(read) is float


def test_thirds_are_rounded_once() -> None:
    # 1/3 has no binary form; the nearest number to 40/3 is what Python's own division gives.
    assert read_length("13 1/3") == 40 / 3


@pytest.mark.parametrize(
    "written",
    [
        "13 5/",
        "13 5/0",
        "5/-8",
        "13 -5/8",
        "13 5",
        "13 5/8 1/16",
        "13.5 5/8",
        "1,000,000",
        "1,2,3",
        "13,6 5/8",
        "--3/4",
        "/8",
        "",
        " ",
        "a",
        "1_000_000/8",
    ],
)
def test_what_is_no_reading_is_told_with_an_example(written: str) -> None:
    with pytest.raises(ValueError, match=r'is not a length; write a number like 13\.625 or .* "13 5/8"') as caught:
        read_length(written)
    assert repr(written) in str(caught.value)


@pytest.mark.parametrize(
    ("written", "ways"),
    [("1,000", "1000 or 1.000"), ("-13,625", "-13625 or -13.625"), ("12,0000", "120000 or 12.0000")],
)
def test_a_comma_that_may_part_thousands_is_refused(written: str, ways: str) -> None:
    with pytest.raises(ValueError, match=f"its comma may part thousands or decimals: write {ways}$"):
        read_length(written, MM)


@pytest.mark.parametrize(
    ("written", "unit", "says"),
    [
        ("20mm", MM, "lengths in this file are in mm$"),
        ("20 mm", MM, "lengths in this file are in mm$"),
        ("-20,5 MM", MM, "lengths in this file are in mm$"),
        ("2 cm", MM, "lengths in this file are in mm, so write 20$"),
        ("2 1/2 in", MM, "lengths in this file are in mm, so write 63.5$"),  # an inch is 25.4 mm by definition
        ("13 5/8 inches", INCH, "lengths in this file are in inches$"),
        ("50.8mm", INCH, "lengths in this file are in inches, so write 2$"),
        ("1 ft", INCH, "lengths in this file are in inches, so write 12$"),
        ("1/0 in", MM, "lengths in this file are in mm$"),
        ("13 5/8 in", None, "leave the unit out$"),
        ("20 mm", None, "leave the unit out$"),
    ],
)
def test_a_unit_behind_a_length_is_told_as_such(written: str, unit: LengthUnit | None, says: str) -> None:
    with pytest.raises(ValueError, match="is not a length; leave the unit out") as caught:
        read_length(written, unit)
    assert re.search(says, str(caught.value))


@pytest.mark.parametrize("written", [True, False, None, [13], {"mm": 13}])
def test_what_is_neither_number_nor_text_is_refused(written: object) -> None:
    with pytest.raises(ValueError, match="is not a length"):
        read_length(written)  # type: ignore[arg-type]


def test_a_blank_is_called_blank() -> None:
    with pytest.raises(ValueError, match=r"^is still blank$"):
        read_length(STILL_BLANK)


def test_units() -> None:
    # The international inch is exactly 25.4 mm (formula: its definition).
    assert INCH.to_mm(10.0) == 254.0
    assert INCH.from_mm(254.0) == 10.0
    assert INCH.to_mm(read_length("13 5/8")) == pytest.approx(346.075, abs=1e-12)
    assert MM.to_mm(12.3) == MM.from_mm(12.3) == 12.3
    assert {symbol: unit.symbol for symbol, unit in UNITS.items()} == {"mm": "mm", "in": "in"}


def test_infinity_and_not_a_number_are_left_to_the_file_to_refuse() -> None:
    assert read_length("inf") == math.inf
    assert math.isnan(read_length("nan"))
