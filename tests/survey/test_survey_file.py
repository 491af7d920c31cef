"""Survey files: what is read, and faults told together, each with its key."""

import copy
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kinematics.car.lengths import MM
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.car.uncertainty import Coordinate
from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.reading.faults import InputFaultError
from kinematics.inputs.survey.survey_file import read_survey, survey_from
from kinematics.survey.fit import fit
from kinematics.survey.missing import missing
from reports.sheet.survey_template import survey_template
from tests.survey.invented_surveys import survey_of, truth

TEXT = """
name = "lowered coupe (invented)"
units = "mm"

[instruments]
tape = 2.5
level = 0.1

[front]
suspension = "strut"
wheel = { camber = -2.2, toe_in = 0.05, camber_known_to = 0.1, toe_in_known_to = 0.03 }
helpers = ["mark", "string"]
readings = [
  { up = "lower_ball_joint", reads = 182 },
  { up = ["strut_top", "lower_ball_joint"], reads = 600, known_to = 3 },
  { out = ["string", "lower_ball_joint"], reads = 210 },
  { ahead = "tie_rod_outer", reads = -128, note = "from the hub" },
  { tape = ["lower_ball_joint", "lower_pivot_front"], reads = 358.5, known_to = 3 },
  { tape = ["left tie_rod_inner", "right tie_rod_inner"], reads = 660 },
  { plumb = ["strut_top", "mark"], reads = 780 },
  { plumb = ["strut_low", "mark"] },
  { angle = ["lower_pivot_front", "lower_ball_joint"], reads = 5.7 },
  { angle = ["strut_low", "strut_top"], seen_from = "front", reads = 80, known_to = 0.5 },
  { level = ["lower_pivot_front", "lower_pivot_rear"] },
  { in_line = ["lower_pivot_front", "tie_rod_inner", "lower_pivot_rear"] },
  { offset = ["mark", "lower_pivot_front"], along = "ahead", by = -25 },
  { offset = ["mark", "lower_pivot_front"], along = ["strut_low", "strut_top"], by = 12 },
  { track = 1482 },
]

[front.points]
wheel_centre = { ahead = 0, out = 741, up = 298 }
lower_pivot_rear = { ahead = -196, out = 352, up = 152, known_to = 4 }

[body]
wheelbase = 2490

[limits]
travel = [-15, 15]
"""
WRITTEN = tomllib.loads(TEXT)


def changed(**front: Any) -> dict[str, Any]:
    written = copy.deepcopy(WRITTEN)
    written["front"].update(front)
    return written


def told(written: dict[str, Any]) -> list[str]:
    with pytest.raises(InputFaultError) as caught:
        survey_from(written, "survey.toml")
    return [str(fault) for fault in caught.value.faults]


def with_reading(**reading: Any) -> dict[str, Any]:
    """The sound file with one more reading, the 16th."""
    return changed(readings=[*WRITTEN["front"]["readings"], reading])


def test_what_is_read(tmp_path: Path) -> None:
    """Doubts: the reading's own, or its instrument's as the file says, or the default of the format."""
    path = tmp_path / "survey.toml"
    path.write_text(TEXT, encoding="utf-8")
    (survey,) = read_survey(path).surveys
    read = [(str(one), one.reads, one.doubt) for one in survey.readings]
    level, half = np.radians(0.1), np.radians(0.5)

    assert survey.helpers == ("mark", "string")
    assert not survey.apart
    expected = [
        ("up lower_ball_joint", 182.0, 1.5),
        ("up strut_top over lower_ball_joint", 600.0, 3.0),
        ("out string from lower_ball_joint", 210.0, 1.5),
        ("ahead tie_rod_outer", -128.0, 1.5),
        ("tape lower_ball_joint to lower_pivot_front", 358.5, 3.0),
        ("tape left tie_rod_inner to right tie_rod_inner", 660.0, 2.5),
        ("plumb strut_top to mark", 780.0, 1.5),
        ("plumb strut_low to mark", None, 1.5),
        ("angle lower_pivot_front to lower_ball_joint", np.radians(5.7), level),
        ("angle strut_low to strut_top seen from front", np.radians(80.0), half),
        ("level lower_pivot_front with lower_pivot_rear", 0.0, 2.0),
        ("in line lower_pivot_front, tie_rod_inner, lower_pivot_rear", 0.0, 2.0),
        ("offset mark to lower_pivot_front", -25.0, 1.5),
        ("offset mark to lower_pivot_front", 12.0, 1.5),
        ("track", 1482.0, 2.5),
        ("out wheel_centre", 741.0, 1.5),
        ("up wheel_centre", 298.0, 1.5),
        ("ahead lower_pivot_rear", -196.0, 4.0),
        ("out lower_pivot_rear", 352.0, 4.0),
        ("up lower_pivot_rear", 152.0, 4.0),
    ]
    assert [one[:2] for one in read] == [one[:2] for one in expected]
    np.testing.assert_allclose([one[2] for one in read], [one[2] for one in expected], rtol=1e-15)
    assert survey.readings[4].key == "front.readings 5"
    assert survey.readings[-1].key == "front.points.lower_pivot_rear.up"
    angles, doubts = zip(*survey.angle_doubts, strict=True)
    assert angles == (Coordinate("camber", ""), Coordinate("toe", ""))
    np.testing.assert_allclose(doubts, np.radians([0.1, 0.03]), rtol=1e-15)
    np.testing.assert_allclose(survey.axle.camber, np.radians([-2.2, -2.2]), rtol=1e-15)


def test_inches_and_tape_readings() -> None:
    """An inch is 25.4 mm, exact by definition; degrees stay degrees."""
    written = changed(
        readings=[
            {"tape": ["strut_low", "strut_top"], "reads": "13 5/8", "known_to": "1/16"},
            {"angle": ["strut_low", "strut_top"], "reads": 80},
            {"up": "strut_low", "reads": 16},
        ],
        points={},
    )
    written["units"], written["instruments"] = "in", {}
    written["limits"]["travel"], written["body"]["wheelbase"] = [-0.5, 0.5], 98
    (survey,) = survey_from(written, "survey.toml").surveys
    tape, angle, up = survey.readings

    np.testing.assert_allclose([tape.reads, tape.doubt], [13.625 * 25.4, 25.4 / 16.0], rtol=1e-15)
    np.testing.assert_allclose([angle.reads, angle.doubt], np.radians([80.0, 0.2]), rtol=1e-15)
    np.testing.assert_allclose([up.reads, up.doubt], [16 * 25.4, 1.5], rtol=1e-15)
    np.testing.assert_allclose(survey.axle.points["wheel_centre"][0], [0.0, 742.0, 298.0], rtol=1e-12)


def test_what_was_measured_to_is_the_rule_for_points() -> None:
    (survey,) = survey_from({**copy.deepcopy(WRITTEN), "measured_to": 3.0}, "survey.toml").surveys
    assert {reading.doubt for reading in survey.readings if "wheel_centre" in reading.of} == {3.0}


def test_the_rest_is_the_car_files() -> None:
    """With the fitted points put in, it is a car file as any other."""
    file = survey_from(WRITTEN, "survey.toml")
    (survey,) = file.surveys
    assert set(file.written) == {"name", "units", "front", "body", "limits"}
    assert set(file.written["front"]) == {"suspension", "wheel"}
    assert survey.axle.body.wheelbase == 2490.0
    assert file.car.limits.working.travel_high == 15.0
    assert WRITTEN["front"]["readings"]

    axle = fit(survey_of(truth("strut", 1), seed=1)).axle
    points = {
        key: dict(zip(("ahead", "out", "up"), both[0].tolist(), strict=True)) for key, both in axle.points.items()
    }
    car = car_from({**file.written, "front": {**file.written["front"], "points": points}}, "car.toml")
    np.testing.assert_allclose(car.front.points["strut_top"], axle.points["strut_top"], rtol=1e-12)


def test_the_file_can_be_fitted() -> None:
    """Few readings: something is open, and it is told."""
    (survey,) = survey_from(WRITTEN, "survey.toml").surveys
    found = fit(survey)

    assert missing(found).directions > 0
    assert len(found.readings) == len(set(found.doubt.sources) - {"camber", "toe"})


def test_an_axle_without_readings_is_measured_as_ever() -> None:
    written = copy.deepcopy(WRITTEN)
    rear = truth("trailing arm", 1)
    points = {
        key: dict(zip(("ahead", "out", "up"), both[0].tolist(), strict=True)) for key, both in rear.points.items()
    }
    written["rear"] = {"suspension": "trailing arm", "wheel": {"camber": -1.0, "toe_in": 0.0}, "points": points}
    file = survey_from(written, "survey.toml")

    assert [survey.axle.name for survey in file.surveys] == ["front"]
    np.testing.assert_allclose(file.car.rear.points["pivot_inner"], rear.points["pivot_inner"], rtol=1e-15)
    assert file.written["rear"] == written["rear"]


def test_points_of_sides_apart_are_readings_of_their_side() -> None:
    """One under [front.points] is for both sides but where a side has its own, as in a car file."""
    wheel = {"ahead": 0, "out": 741, "up": 298}
    written = changed(
        sides="apart",
        helpers=["mark"],
        readings=[{"tape": ["left strut_top", "mark"], "reads": 900}],
        points={"wheel_centre": wheel},
        right={"points": {"wheel_centre": {**wheel, "ahead": 4, "out": 743}}},
    )
    (survey,) = survey_from(written, "survey.toml").surveys
    assert [(str(reading), reading.reads) for reading in survey.readings[1:]] == [
        ("ahead left wheel_centre", 0.0),
        ("out left wheel_centre", 741.0),
        ("up left wheel_centre", 298.0),
        ("ahead right wheel_centre", 4.0),
        ("out right wheel_centre", 743.0),
        ("up right wheel_centre", 298.0),
    ]


FAULTY = {
    "no kind": ({"reads": 3}, "front.readings 16: says nothing of what was read; give one of: up, out, ahead, tape,"),
    "two kinds": (
        {"up": "strut_low", "out": "strut_low", "reads": 3},
        "front.readings 16: read up and out in one; give",
    ),
    "not read": ({"up": "strut_low"}, "front.readings 16.reads: is missing (what was read)"),
    "unknown kind": ({"hight": "strut_low", "reads": 3}, "front.readings 16.hight: this key is not known here"),
    "unknown name": (
        {"up": "strut_lo", "reads": 3},
        "front.readings 16.up: strut_lo is neither a point of a strut nor among the helpers; did you mean strut_low?",
    ),
    "unknown on a side": (
        {"tape": ["left strut_lo", "mark"], "reads": 3},
        "front.readings 16.tape: left strut_lo is neither a point of a strut nor among the helpers; did you mean",
    ),
    "one name for a tape": (
        {"tape": "strut_low", "reads": 3},
        'front.readings 16.tape: read "strut_low"; two names in quotes are allowed, like ["a", "b"]',
    ),
    "three names for a height": (
        {"up": ["strut_low", "mark", "string"], "reads": 3},
        'front.readings 16.up: read ["strut_low", "mark", "string"]; a name in quotes is allowed, or two,',
    ),
    "a line of two": (
        {"in_line": ["mark", "strut_low"]},
        'front.readings 16.in_line: read ["mark", "strut_low"]; three',
    ),
    "twice the same": (
        {"tape": ["mark", "mark"], "reads": 3},
        'front.readings 16.tape: read ["mark", "mark"]; the names must differ',
    ),
    "read nothing": ({"level": ["mark", "strut_low"], "reads": 3}, "front.readings 16.reads: does not go with level;"),
    "a tape of nothing": (
        {"tape": ["mark", "strut_low"], "reads": 0},
        "front.readings 16.reads: read 0; a length above 0 is allowed",
    ),
    "a wheel centre under the floor": (
        {"up": "wheel_centre", "reads": -2.6},
        "front.readings 16.reads: read -2.6; a wheel centre lies above the ground, so a height above 0 is allowed",
    ),
    "beyond upright": (
        {"angle": ["mark", "strut_low"], "reads": 95},
        "front.readings 16.reads: read 95; -90 to 90 degrees over level are allowed",
    ),
    "seen from above": (
        {"angle": ["mark", "strut_low"], "reads": 5, "seen_from": "above"},
        'front.readings 16.seen_from: read "above"; allowed: "front" or "side"',
    ),
    "offset nowhere": ({"offset": ["mark", "strut_low"], "by": 3}, "front.readings 16.along: is missing"),
    "offset sideways": (
        {"offset": ["mark", "strut_low"], "by": 3, "along": "sideways"},
        'front.readings 16.along: read "sideways"; "ahead", "out", "up" or two names',
    ),
    "offset along nothing": (
        {"offset": ["mark", "strut_low"], "by": 3, "along": ["mark", "nothing"]},
        "front.readings 16.along: nothing is neither a point of a strut nor among the helpers",
    ),
    "doubt of nothing": (
        {"up": "strut_low", "reads": 3, "known_to": 0},
        "front.readings 16.known_to: read 0; a number above 0 is allowed",
    ),
    "still blank": ({"up": "strut_low", "reads": "?"}, "front.readings 16.reads: is still blank"),
    "text for a number": ({"track": "wide"}, "front.readings 16.track: 'wide' is not a length"),
    "where it counts from": (
        {"ahead": "wheel_centre", "reads": 3},
        "front.readings 16.ahead: `ahead` is counted from the wheel centres, so theirs is 0 and nothing to read",
    ),
}


@pytest.mark.parametrize("case", FAULTY)
def test_a_faulty_reading_is_told(case: str) -> None:
    reading, begin = FAULTY[case]
    (fault,) = told(with_reading(**reading))
    assert fault.startswith(begin)


def test_faults_are_told_together() -> None:
    written = changed(
        readings=[{"up": "strut_lo", "reads": 3}, {"up": "strut_low"}, {"track": 1482, "by": 3}],
        helpers=["mark", "mark", "strut_low"],
        points={"wheel_centre": {"ahead": 5, "out": 741, "up": 298}},
    )
    assert [fault.partition(": ")[0] for fault in told(written)] == [
        "front.helpers, entry 2",
        "front.helpers, entry 3",
        "front.readings 1.up",
        "front.readings 2.reads",
        "front.readings 3.by",
        "front.points.wheel_centre.ahead",
    ]


@pytest.mark.parametrize(
    ("written", "begins"),
    [
        ({}, "the file is empty"),
        (changed(readings=[], points={}), "front.readings: is empty; a survey needs readings"),
        (changed(sides="mirrored"), 'front.sides: read "mirrored"; allowed: "alike" or "apart"'),
        (changed(readings="none"), 'front.readings: read "none"; a list in [ ] is allowed'),
        (changed(suspension="struts"), 'front.suspension: read "struts"; did you mean strut?'),
        (
            changed(points={"strut_lo": {"ahead": 1, "out": 2, "up": 3}}),
            "front.points.strut_lo: a strut has no such point",
        ),
        ({**WRITTEN, "instruments": {"tape": 0}}, "instruments.tape: read 0; a number above 0 is allowed"),
        ({**WRITTEN, "instruments": {"laser": 1}}, "instruments.laser: this key is not known here"),
        ({**WRITTEN, "doubt": "doubt.csv"}, "doubt: the readings say how well each point is known; leave it out"),
    ],
)
def test_a_faulty_file_is_told(written: dict[str, Any], begins: str) -> None:
    (fault,) = told(written)
    assert fault.startswith(begins)


def test_no_reading_at_all() -> None:
    written = copy.deepcopy(WRITTEN)
    del written["front"]["readings"]
    assert any(fault.startswith("there is no reading: give an axle a list") for fault in told(written))


def test_sides_in_names() -> None:
    """Apart, a name needs its side, but for a point in the middle, which has none. Numbers are those of the sheet."""
    kind = SUSPENSIONS["live axle with three links"]
    sheet = survey_template(kind, MM, "rear").splitlines()
    lower, panhard = (
        next(line.rpartition("# ")[2] for line in sheet if f'{{ up = "{of}"' in line)
        for of in ("lower_link_axle", "panhard_axle")
    )
    rear = {
        "suspension": "live axle with three links",
        "wheel": {"camber": 0.0, "toe_in": 0.0},
        "sides": "apart",
        "readings": [{"up": "lower_link_axle", "reads": 235}, {"up": "left panhard_axle", "reads": 285}],
    }
    assert told({"name": "invented", "units": "mm", "rear": rear}) == [
        "rear.readings 1.up: lower_link_axle is there on both sides, each measured by itself: "
        f'write "left lower_link_axle" or "right lower_link_axle" ({lower} of the measuring sheet)',
        "rear.readings 2.up: panhard_axle is one place for both sides; write it without left "
        f"({panhard} of the measuring sheet)",
    ]
