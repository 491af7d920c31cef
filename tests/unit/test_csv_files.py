"""CSV files as RFC 4180 (Y. Shafranovich, 2005) has them, section 2 (from memory): CRLF ends, quotes doubled."""

import csv
import io
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics import demo_car
from kinematics.car.lengths import INCH, MM, LengthUnit
from kinematics.numbers.registry import QUANTITIES
from kinematics.sweeps.body import Sweep
from kinematics.sweeps.gaps import Gaps
from kinematics.sweeps.roll_axis import RollAxis
from reports.outputs.csv_files import write_columns, write_csv, write_roll_axis
from reports.outputs.decimals import decimal

NOTES = ["", 'locks, at "full" bump', "two\r\nlines"]
HEIGHTS = [0.1, math.nan, -math.inf]  # mm


def three_states() -> Sweep:
    """Three states in which every number is 1 mm, 1 rad or 1, but for heave, roll-centre height and left camber."""
    values = {key: np.ones((2, 3) if quantity.per_side else 3) for key, quantity in QUANTITIES.items()}
    values["roll_centre_height"] = np.array(HEIGHTS)
    values["heave"] = np.array([-0.0, 0.0, 1.0])
    values["camber"] = np.array([[math.pi / 180, -1e-300, 1e300], [1.0, 1.0, 1.0]])
    return Sweep(demo_car().front, "bump", (3,), values, np.ones(3, bool), Gaps.none(3))


def written(unit: LengthUnit) -> bytes:
    file = io.BytesIO()
    write_columns(three_states().columns(unit), NOTES, file)
    return file.getvalue()


def rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8"), newline=""), strict=True))


def test_line_ends_and_quotes() -> None:
    content = written(MM)
    assert content.endswith(b',"two\r\nlines"\r\n')
    assert b',"locks, at ""full"" bump"\r\n' in content
    assert content.count(b"\r\n") == content.count(b"\n") == content.count(b"\r") == 5
    assert not content.startswith(b"\xef\xbb\xbf")


def test_one_header_and_one_row_for_each_state() -> None:
    header, *body = csv.reader(io.StringIO(written(MM).decode("utf-8"), newline=""), strict=True)
    assert len(body) == 3
    assert {len(row) for row in body} == {len(header)}
    assert len(set(header)) == len(header)
    assert header[-1] == "note"


def test_notes_come_back() -> None:
    assert [row["note"] for row in rows(written(MM))] == NOTES


def test_what_is_not_finite_is_an_empty_field() -> None:
    assert [row["roll_centre_height_mm"] for row in rows(written(MM))] == ["0.1", "", ""]


def test_nothing_is_not_negative() -> None:
    assert [row["heave_mm"] for row in rows(written(MM))] == ["0.0", "0.0", "1.0"]


TWELVE_DIGITS = 5.1e-12  # how far a number moves that is rounded to twelve, as a part of it, at most (formula)


def test_numbers_come_back_to_twelve_digits() -> None:
    """What is smaller than any number of a car is zero, and has no sign."""
    found = [float(row["camber_left_deg"]) for row in rows(written(MM))]
    assert found == pytest.approx([1.0, 0.0, 1e300 * 180 / math.pi], rel=TWELVE_DIGITS, abs=0.0)
    assert math.copysign(1.0, found[1]) == 1.0


@given(st.floats(min_value=1e-9, max_value=1e11), st.sampled_from([-1.0, 1.0]))
def test_a_number_is_written_as_a_near_decimal(size: float, sign: float) -> None:
    (told,) = decimal([sign * size]).tolist()
    assert told == pytest.approx(sign * size, rel=TWELVE_DIGITS, abs=0.0)
    assert len(repr(abs(told)).partition("e")[0].replace(".", "").strip("0")) <= 12


@pytest.mark.parametrize("asked", [-3.0, 0.1, 2.75, -0.25, 41.7, 1e-3])
def test_a_driver_is_written_as_it_was_asked(asked: float) -> None:
    for there, back in ((math.radians, math.degrees), (INCH.to_mm, INCH.from_mm)):
        assert repr(float(decimal(back(there(asked))))) == repr(asked)


@pytest.mark.parametrize(
    ("unit", "column", "value"),
    [
        (MM, "swing_arm_length_left_mm", 1.0),
        (INCH, "swing_arm_length_left_in", 1 / 25.4),
        (MM, "bump_steer_right_deg_per_mm", 180 / math.pi),
        (INCH, "bump_steer_right_deg_per_in", 25.4 * 180 / math.pi),
        (INCH, "caster_left_deg", 180 / math.pi),
        (INCH, "jacking_coefficient_left", 1.0),
    ],
)
def test_columns_say_side_and_unit(unit: LengthUnit, column: str, value: float) -> None:
    assert [float(row[column]) for row in rows(written(unit))] == pytest.approx([value] * 3, rel=TWELVE_DIGITS)


def test_a_roll_axis_that_runs_to_infinity_has_a_note() -> None:
    """Of three states, one where the front roll centre is nowhere: empty fields there, and a word why."""
    place = np.zeros((1, 3))
    front = np.array([[10.0, math.nan, 12.0]])
    rear = place + 200.0
    axis = RollAxis(
        place,
        place,
        front,
        rear,
        rear * 0.0,
        rear * 0.0,
        (1450.0, 1450.0),
        rear,
        rear,
        2500.0,
        place + 1200.0,
        place + 500.0,
        0.0,
        np.ones((1, 3), bool),
        (),
    )
    file = io.BytesIO()
    write_roll_axis(axis, MM, file)
    found = rows(file.getvalue())
    assert [row["front_roll_centre_height_mm"] for row in found] == ["10.0", "", "12.0"]
    assert [bool(row["note"]) for row in found] == [False, True, False]


def on_the_way() -> Sweep:
    """A roll centre 20 m to the right, then 20 m to the left, then 0.1 m, then 0.1 m to the right; a track of 1.5 m."""
    values = {key: np.ones((2, 4) if quantity.per_side else 4) for key, quantity in QUANTITIES.items()}
    values["roll_centre_offset"] = np.array([-2e4, 2e4, 100.0, -100.0])
    values["contact_y"] = np.array([[750.0] * 4, [-750.0] * 4])
    values["swing_arm_length"] = np.array([[3e4, 2e4, -4e4, -3e4], [2e3] * 4])
    return Sweep(demo_car().front, "roll", (4,), values, np.ones(4, bool), Gaps.none(4))


def test_what_runs_to_infinity_between_two_rows_has_a_note() -> None:
    """Where lines meet far out at one side, then far out at the other, they have been parallel in between (formula)."""
    file = io.BytesIO()
    write_csv(on_the_way(), MM, file)
    begin = "to infinity and back between the state before and this one: "
    assert [row["note"] for row in rows(file.getvalue())] == [
        "",
        f"{begin}roll-centre offset",
        f"{begin}left {QUANTITIES['swing_arm_length'].title}",
        "",
    ]


def test_the_file_stays_open_for_its_owner() -> None:
    file = io.BytesIO()
    write_csv(three_states(), MM, file)
    file.write(b"more")
    assert file.getvalue().endswith(b"more")
