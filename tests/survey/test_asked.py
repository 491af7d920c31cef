"""What the measuring sheet asks for determines every coordinate, and nearly every reading is checked by others."""

import tomllib
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from kinematics.car.lengths import INCH, MM, LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.survey.survey_file import survey_from
from kinematics.survey.fit import fit
from kinematics.survey.reading_list import SuggestedReading, reading_list
from reports.sheet.survey_template import survey_template
from reports.words.reading_list import group_words, what_words, where_words
from solvers.vectors import Array
from tests.properties.plausible_cars import named

KINDS = [kind for kind in SUSPENSIONS.values() if not kind.listed]
# One standard deviation of each kind of reading [mm, deg], of an amateur with a tape (common practice, no source).
DOUBTS = {"up": 1.5, "out": 1.5, "ahead": 1.5, "tape": 2.0, "track": 2.0, "angle": 0.2}
CAMBER, TOE = -1.5, 0.1  # degrees, each wheel
STEP = 0.01  # mm


def unknowns(kind: SuspensionType) -> dict[str, Array]:
    """Each place that is to be found, ahead, out (to its side, or left), up [mm], in a car like the typical one.

    The sides being alike, that is one place for both but where the type builds the right side in another way.
    """
    places = {}
    rng = np.random.default_rng(1)
    for point in kind.points:
        both = {"": point.typical} if point.other_side is None else {"left ": point.typical, "right ": point.other_side}
        for side, place in both.items():
            shift = rng.uniform(-8.0, 8.0, 3) * ([0, 1, 1] if point.key == "wheel_centre" else 1)
            places[f"{side}{point.key}"] = np.array(place, dtype=float) + shift
    return places


def place_of(name: str, places: dict[str, Array]) -> Array:
    """x ahead, y left, z up of a name in a reading."""
    right = name.startswith("right ")
    ahead, out, up = places[name] if name in places else places[name.removeprefix("left ").removeprefix("right ")]
    return np.array([ahead, -out if right else out, up])


def predicted(entry: SuggestedReading, places: dict[str, Array]) -> float:
    """What a reading shows, written out anew from its meaning (formula)."""
    at = [place_of(name, places) for name in entry.of]
    if entry.kind == "up":
        return float(at[0][2])
    if entry.kind == "out":
        return float(-at[0][1] if entry.of[0].startswith("right ") else at[0][1])
    if entry.kind == "ahead":
        return float(at[0][0])
    if entry.kind == "tape":
        return float(np.linalg.norm(at[1] - at[0]))
    if entry.kind == "track":
        # A disc of camber c and toe t stands on the ground: its lowest point lies h tan(c) cos(t) further out than its
        # centre of height h if the top leans in (formula).
        _, out, up = places["wheel_centre"]
        return float(2.0 * (out - up * np.tan(np.radians(CAMBER)) * np.cos(np.radians(TOE))))
    away = at[1] - at[0]
    level = {None: np.hypot(away[0], away[1]), "front": abs(away[1]), "side": abs(away[0])}[entry.seen_from]
    return float(np.degrees(np.arctan2(away[2], level)))


def readings(kind: SuspensionType) -> list[SuggestedReading]:
    return [entry for entry in reading_list(kind) if entry.kind in DOUBTS]


def slopes(kind: SuspensionType, of: list[SuggestedReading]) -> Array:
    """Of each reading with each unknown coordinate, by differences; each row over its reading's doubt."""
    places = unknowns(kind)
    columns = []
    for name in places:
        for way in range(3):
            if name == "wheel_centre" and way == 0:
                continue  # ahead is counted from there
            ends = []
            for step in (-STEP, STEP):
                moved = {key: place.copy() for key, place in places.items()}
                moved[name][way] += step
                ends.append(np.array([predicted(entry, moved) for entry in of]))
            columns.append((ends[1] - ends[0]) / (2.0 * STEP))
    return np.stack(columns, axis=1) / np.array([[DOUBTS[entry.kind]] for entry in of])


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_every_coordinate_is_determined(kind: SuspensionType) -> None:
    matrix = slopes(kind, readings(kind))
    count = sum(3 * (2 if point.other_side else 1) for point in kind.points) - 1
    assert matrix.shape[1] == count
    assert np.linalg.matrix_rank(matrix, tol=1e-3) == count
    # Well determined: none worse than twice a rule's doubt.
    deviations = np.sqrt(np.diag(np.linalg.inv(matrix.T @ matrix)))
    assert deviations.max() <= 3.0


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_any_one_reading_can_be_left_out(kind: SuspensionType) -> None:
    of = readings(kind)
    matrix = slopes(kind, of)
    unchecked = []
    for left_out, entry in enumerate(of):
        rest = np.delete(matrix, left_out, axis=0)
        strength = np.linalg.svd(rest, compute_uv=False)
        if strength[-1] < 0.05:  # a coordinate would be known to 20 mm at best
            unchecked.append(f"{entry.kind} {' '.join(entry.of)}")
    # Nothing on a garage floor checks the height of a point far ahead in the middle of the car but to read it again.
    assert unchecked == (["up torque_arm_front"] if kind.name == "live axle with torque arm" else [])


@pytest.mark.parametrize("unit", [MM, INCH], ids=["mm", "in"])
@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_filled_in_exactly_the_points_come_out(kind: SuspensionType, unit: LengthUnit) -> None:
    places = unknowns(kind)
    values = {}
    for entry in reading_list(kind):
        if entry.kind in DOUBTS:
            value = predicted(entry, places)
            values[entry.number] = repr(value if entry.measure == "angle" else value / unit.in_mm)
        elif entry.kind in ("camber", "toe_in"):
            values[entry.number] = repr(CAMBER if entry.kind == "camber" else TOE)
    read = survey_from(tomllib.loads(survey_template(kind, unit, "rear", values)), "survey.toml")
    (survey,) = read.surveys
    assert read.car.unit is unit
    points = fit(survey).axle.points
    for name, place in places.items():
        side, _, key = name.rpartition(" ")
        right = place * [1.0, 1.0 if key in kind.single else -1.0, 1.0]
        if side != "right":
            assert points[key][0] == pytest.approx(place, abs=1e-6)
        if side != "left":
            assert points[key][1] == pytest.approx(right, abs=1e-6)


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_numbers_run_through_in_the_order_of_the_work(kind: SuspensionType) -> None:
    entries = reading_list(kind)
    assert [entry.number for entry in entries] == list(range(1, len(entries) + 1))
    groups = list(dict.fromkeys(group_words(entry) for entry in entries))
    assert groups[:3] == ["Before anything is measured", "Wheels", "Wheel centres and track"]
    # Each group is in one piece: whoever has read its last entry is done with it.
    changes = sum(group_words(one) != group_words(other) for one, other in pairwise(entries))
    assert changes == len(groups) - 1
    assert len({(entry.kind, entry.of, entry.seen_from, what_words(entry)) for entry in entries}) == len(entries)


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_every_point_says_where_on_the_part_it_is(kind: SuspensionType) -> None:
    told = {entry.of[0].split()[-1]: where_words(entry) for entry in reading_list(kind) if entry.kind == "up"}
    for point in kind.points:
        assert point.where in told[point.key]


@pytest.mark.parametrize(
    "make", [reading_list, lambda kind: survey_template(kind, MM, "front")], ids=["list", "template"]
)
def test_a_linkage_of_ones_own_has_no_list(make: Callable[[SuspensionType], object]) -> None:
    with pytest.raises(ValueError, match="points that its owner lists"):
        make(SUSPENSIONS["free linkage"])


@pytest.mark.parametrize("kind", KINDS, ids=named)
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_a_blank_template_says_of_each_number_that_it_is_blank(kind: SuspensionType, axle: str) -> None:
    text = survey_template(kind, MM, axle)
    table = tomllib.loads(text)
    assert table["units"] == "mm"
    assert table[axle]["suspension"] == kind.name
    blanks = [reading.get("reads", reading.get("track")) for reading in table[axle]["readings"]]
    assert blanks == ["?"] * len(readings(kind))
    for entry in reading_list(kind):
        assert text.count(f"no. {entry.number}\n") + text.count(f"no. {entry.number} ") == 1 or entry.kind == "toe_in"


def test_what_is_no_number_is_kept_as_written() -> None:
    kind = SUSPENSIONS["strut"]
    numbers = {entry.kind + str(entry.of): entry.number for entry in reading_list(kind)}
    up, out = numbers["up('lower_ball_joint',)"], numbers["out('lower_ball_joint',)"]
    ahead, tape = numbers["ahead('lower_ball_joint',)"], numbers["tape('strut_low', 'strut_top')"]
    values = {up: '18"2', out: "27 1/8", ahead: "\N{MINUS SIGN}.5", tape: "about\n400\\"}
    text = survey_template(kind, INCH, "front", values, {up: "0.1", out: "x"}, {up: 'by "Jo"\t\x07'}, name='a "b" \\c')
    table = tomllib.loads(text)
    assert table["name"] == 'a "b" \\c'
    entries = table["front"]["readings"]
    assert {"up": "lower_ball_joint", "reads": '18"2', "known_to": 0.1, "note": 'by "Jo"'} in entries
    assert {"out": "lower_ball_joint", "reads": "27 1/8", "known_to": "x"} in entries
    assert {"ahead": "lower_ball_joint", "reads": -0.5} in entries
    assert {"tape": ["strut_low", "strut_top"], "reads": "about 400\\"} in entries
