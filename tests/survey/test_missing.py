"""What a survey leaves open is told, and what to read besides closes it. Ranks are worked out here a second time."""

from dataclasses import replace

import numpy as np
import pytest

from kinematics.car.car import Axle
from kinematics.car.lengths import INCH, MM
from kinematics.survey.fit import SurveyFit, fit
from kinematics.survey.missing import HARDLY, OPEN, missing
from kinematics.survey.readings import Reading, Survey, rows
from kinematics.survey.second_places import second_places
from reports.words.survey import missing_words, second_place_words
from tests.survey.invented_surveys import read_off, survey_of, true_parameters, truth

WAYS = ("up", "out", "ahead")


def by_rule(axle: Axle, doubt: float, *without: str) -> list[Reading]:
    """Every point by rule, but for readings in these words."""
    made = [Reading(way, (key,), 0.0, doubt) for key in axle.points for way in WAYS]
    return [reading for reading in made if str(reading) not in (*without, "ahead wheel_centre")]


def surveyed(axle: Axle, *readings: Reading, helpers: tuple[str, ...] = (), seed: int | None = 0) -> SurveyFit:
    return fit(read_off(Survey(axle, False, helpers, tuple(readings)), axle, seed))


def slopes(survey: Survey, at: np.ndarray) -> np.ndarray:
    """How readings change with the unknowns (m, n), by differences over 0.02 mm."""
    every_row = rows(survey).from_start(at)
    steps = 0.01 * np.eye(at.size)
    return (every_row.predicted(at + steps) - every_row.predicted(at - steps)).T / 0.02


def open_directions(survey: Survey, at: np.ndarray) -> int:
    """Directions of the hardpoints that nothing tells: formula, by ranks with and without the helpers' columns.

    A direction with a standard deviation of 1e7 mm is one; differences are good to some 1e-9.
    """
    jacobian, helper = slopes(survey, at) / rows(survey).doubts[:, None], survey.unknowns.of_helpers
    rank = np.linalg.matrix_rank(jacobian, tol=1e-7)
    taken = np.linalg.matrix_rank(jacobian[:, helper], tol=1e-7) if helper.any() else 0
    return int((~helper).sum() - (rank - taken))


def deviations(survey: Survey, at: np.ndarray) -> np.ndarray:
    """Standard deviations of the hardpoints' unknowns: formula, from the inverse of the normal equations, with a helper
    that nothing tells held to 1e4 mm."""
    jacobian, helper = slopes(survey, at) / rows(survey).doubts[:, None], survey.unknowns.of_helpers
    return np.sqrt(np.diag(np.linalg.inv(jacobian.T @ jacobian + 1e-8 * np.diag(helper)))[~helper])


@pytest.mark.parametrize("kind", ["strut", "five link", "live axle with Watt linkage on the axle"])
def test_a_full_survey_leaves_nothing_open(kind: str) -> None:
    found = fit(survey_of(truth(kind, 1), seed=1))
    told = missing(found)

    assert (told.open, told.hardly, told.directions, told.wanted) == ((), (), 0, ())
    assert missing_words(told, MM) == []
    assert second_places(found) == ()


def test_one_coordinate_left_out() -> None:
    axle = truth("strut", 1)
    told = missing(surveyed(axle, *by_rule(axle, 1.5, "ahead tie_rod_inner")))

    assert told.directions == 1
    assert missing_words(told, MM) == [
        "tie_rod_inner: ahead not determined by the readings",
        "read besides: ahead tie_rod_inner",
    ]


def test_a_point_that_nothing_touches_wants_three_and_two_on_one_tape_want_five() -> None:
    """Formula: 3 coordinates, and 6 less 1."""
    axle = truth("strut", 1)
    without = [f"{way} tie_rod_inner" for way in WAYS]
    told = missing(surveyed(axle, *by_rule(axle, 1.5, *without)))
    assert (told.directions, len(told.wanted)) == (3, 3)
    assert {str(reading) for reading in told.wanted} == set(without)

    without += [f"{way} tie_rod_outer" for way in WAYS]
    tie_rod = Reading("tape", ("tie_rod_inner", "tie_rod_outer"), 0.0, 2.0)
    told = missing(surveyed(axle, *by_rule(axle, 1.5, *without), tie_rod))
    assert (told.directions, len(told.wanted)) == (5, 5)
    assert {loose.name for loose in told.open} == {"tie_rod_inner", "tie_rod_outer"}


def test_a_string_of_which_only_out_counts_is_not_told() -> None:
    """And what hangs on it is, as long as nothing says where the string is."""
    axle = truth("strut", 1)
    string = "string"
    over = [Reading("out", (string, key), 200.0, 1.5) for key in ("strut_low", "tie_rod_outer")]
    base = by_rule(axle, 1.5, "out strut_low", "out tie_rod_outer")
    survey = Survey(axle, False, (string,), (*base, *over))
    told = missing(fit(survey))
    assert missing_words(told, MM) == [
        "strut_low: out not determined by the readings",
        "tie_rod_outer: out not determined by the readings",
        f"read besides: {told.wanted[0]}",
    ]
    assert str(told.wanted[0]) in ("out strut_low", "out tie_rod_outer")

    placed = replace(survey, readings=(*survey.readings, Reading("out", (string,), 900.0, 1.5)))
    assert missing_words(missing(fit(placed)), MM) == []


def test_two_sides_apart_without_a_common_way_are_told() -> None:
    """Each side's `ahead` from its own wheel centre only: how far the one wheel is ahead of the other stays open, and
    each side's points with it. One reading across closes it."""
    axle = truth("trailing arm", 1, apart=True)
    points = [f"{side} {key}" for side in ("left", "right") for key in axle.points]
    level = [Reading(way, (name,), 0.0, 1.5) for name in points for way in ("up", "out")]
    own = [
        Reading("ahead", (f"{side} {key}", f"{side} wheel_centre"), 0.0, 1.5)
        for side in ("left", "right")
        for key in axle.points
        if key != "wheel_centre"
    ]
    found = fit(read_off(Survey(axle, True, (), (*level, *own)), axle, 0))
    told = missing(found)

    assert told.directions == 1
    assert {loose.name for loose in told.open} == set(points)
    assert {way for loose in told.open for way in loose.ways} == {"ahead"}
    assert len(told.wanted) == 1
    assert told.wanted[0].kind == "ahead"


def test_hardly_determined_is_told_with_its_standard_deviation() -> None:
    """One tape square to what it should tell but for 1 in 20. Formula: its doubt over the sine, sigma L / d."""
    axle = truth("strut", 1)
    outer = axle.points["tie_rod_outer"][0]
    inner = outer + np.array([0.0, -350.0, 17.5])
    axle = replace(axle, points={**axle.points, "tie_rod_inner": np.array([inner, inner * [1.0, -1.0, 1.0]])})
    tape = Reading("tape", ("tie_rod_outer", "tie_rod_inner"), 0.0, 2.0)
    told = missing(surveyed(axle, *by_rule(axle, 1e-3, "up tie_rod_inner"), tape, seed=None))
    expected = 2.0 * np.hypot(350.0, 17.5) / 17.5

    assert told.open == ()
    (loose,) = told.hardly
    assert (loose.name, loose.ways) == ("tie_rod_inner", ("up",))
    np.testing.assert_allclose(loose.standard_deviations, expected, rtol=1e-3)
    assert missing_words(told, MM)[0] == "tie_rod_inner: hardly determined (up to 40 mm, one standard deviation)"
    assert missing_words(told, INCH)[0] == "tie_rod_inner: hardly determined (up to 1.6 in, one standard deviation)"
    assert told.wanted == ()
    assert [str(reading) for reading in told.better] == ["up tie_rod_inner"]


@pytest.mark.parametrize(
    ("kind", "apart"),
    [("strut", False), ("double wishbone", True), ("five link", False), ("live axle with three links", True)],
)
def test_whatever_is_left_out_is_caught_and_the_list_closes_it(kind: str, apart: bool) -> None:
    """Random parts of a survey. What is open is found by ranks at the true points, apart from the code under test;
    the list is then added there, and nothing may be left; fewer readings than open directions could not do it."""
    axle = truth(kind, 4, apart=apart)
    full = survey_of(axle, apart=apart, seed=4)
    rng = np.random.default_rng(4)
    seen_open = 0
    for _ in range(40):
        kept = rng.random(len(full.readings)) < rng.uniform(0.1, 0.9)
        survey = replace(full, readings=tuple(one for one, keep in zip(full.readings, kept, strict=True) if keep))
        found = fit(survey)
        told = missing(found)
        at = true_parameters(survey, axle)
        count = open_directions(survey, at)
        seen_open += count > 0

        assert told.directions >= count
        assert bool(told.open) >= bool(count)
        # What is open for being told too weakly may take a reading more.
        assert len(told.wanted) == count if told.directions == count else len(told.wanted) >= told.directions
        with_list = replace(survey, readings=(*survey.readings, *told.wanted))
        assert open_directions(with_list, at) == 0
        here = found.solved.parameters
        assert deviations(with_list, here).max() <= OPEN * 1.001
        with_more = replace(with_list, readings=(*with_list.readings, *told.better))
        assert deviations(with_more, here).max() <= HARDLY * 1.001
        if not count and deviations(survey, at).max() < HARDLY / 5.0:
            assert (told.wanted, told.better) == ((), ())
    assert 10 <= seen_open < 40


def three_tapes(seed: int | None) -> tuple[Axle, SurveyFit]:
    axle = truth("double wishbone", 1)
    base = ("lower_pivot_front", "lower_pivot_rear", "lower_ball_joint")
    tapes = [Reading("tape", ("tie_rod_outer", key), 0.0, 2.0) for key in base]
    without = [f"{way} tie_rod_outer" for way in WAYS]
    outer = axle.points["tie_rod_outer"][0] + [0.0, 0.0, 40.0]
    axle = replace(axle, points={**axle.points, "tie_rod_outer": np.array([outer, outer * [1.0, -1.0, 1.0]])})
    return axle, surveyed(axle, *by_rule(axle, 0.1, *without), *tapes, seed=seed)


def test_a_mirror_image_that_fits_as_well_is_told() -> None:
    """A point by three tapes. Formula: it may as well lie where the plane of the three mirrors it."""
    axle, found = three_tapes(None)
    (second,) = second_places(found)
    base = np.array([axle.points[key][0] for key in ("lower_pivot_front", "lower_pivot_rear", "lower_ball_joint")])
    normal = np.cross(base[1] - base[0], base[2] - base[0])
    normal /= np.linalg.norm(normal)
    outer = axle.points["tie_rod_outer"][0]
    mirrored = outer - 2.0 * normal * ((outer - base[0]) @ normal)
    ((name, here, there),) = second.moved

    assert name == "tie_rod_outer"
    places = sorted([here.tolist(), there.tolist()], key=lambda place: place[2])
    np.testing.assert_allclose(places, sorted([outer, mirrored], key=lambda place: place[2]), atol=1e-4)
    assert str(second.decides) == "up tie_rod_outer"
    assert {round(second.here, 3), round(second.there, 3)} == {round(outer[2], 3), round(mirrored[2], 3)}
    assert f"up {outer[2]:.0f}" in second_place_words(second, MM)
    assert f"up {mirrored[2]:.0f}" in second_place_words(second, MM)


@pytest.mark.parametrize(
    ("left_out", "way", "tape"),
    [
        ("out lower_pivot_rear", 1, ("lower_pivot_rear", "lower_ball_joint")),
        ("up strut_low", 2, ("strut_low", "strut_top")),
    ],
)
def test_a_place_that_no_car_has_is_not_told(left_out: str, way: int, tape: tuple[str, str]) -> None:
    """Formula: a tape alone fits as well where its far end is mirrored at the near one, along what is not read.

    A pivot of the arm then lies beyond the wheel, or the strut's foot above its top.
    """
    axle = truth("strut", 1)
    found = surveyed(axle, *by_rule(axle, 2.0, left_out), Reading("tape", tape, 0.0, 2.0))
    unknown, here = found.survey.unknowns, found.solved.parameters
    spot, around = (unknown.names[name][0] for name in tape)
    places = (unknown.spread @ here).reshape(-1, 3)
    beyond = places.copy()
    beyond[spot, way] = 2.0 * places[around, way] - places[spot, way]
    there = np.linalg.pinv(unknown.spread) @ beyond.ravel()
    chi_square = [float(((found.rows.residuals(at) / found.rows.doubts) ** 2).sum()) for at in (here, there)]

    assert chi_square[1] == pytest.approx(chi_square[0], abs=1e-3)
    assert np.abs(beyond - places).max() > 200.0
    assert second_places(found) == ()


def test_the_reading_that_decides_decides() -> None:
    axle, found = three_tapes(3)
    (second,) = second_places(found)
    survey = found.survey
    true_up = axle.points["tie_rod_outer"][0, 2]
    decided = fit(replace(survey, readings=(*survey.readings, replace(second.decides, reads=true_up))))

    assert second_places(decided) == ()
    assert abs(decided.axle.points["tie_rod_outer"][0, 2] - true_up) < 3.0
