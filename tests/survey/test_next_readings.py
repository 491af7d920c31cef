"""What to read next: doubts expected after further readings, held against whole adjustments with these readings in.

Every check stacks the slopes of all readings itself and solves the least squares anew (SciPy's pseudo-inverse), or
plants the readings and fits the survey again; lists are held against every pair and triple there is.
"""

from dataclasses import replace
from itertools import combinations_with_replacement

import numpy as np
import pytest
from scipy.linalg import pinv

from kinematics import Limits, Question, assess
from kinematics.doubt.assessment import NORMAL_95
from kinematics.survey.dispensable import dispensable
from kinematics.survey.expected_doubt import ExpectedDoubt
from kinematics.survey.fit import SurveyFit, fit
from kinematics.survey.further_readings import FurtherReading, further_readings
from kinematics.survey.gauge_curves import gauge_curves
from kinematics.survey.next_readings import expected_doubt, gradient, next_readings
from kinematics.survey.readings import Survey, rows
from kinematics.survey.shortest_list import Wanted, shortest
from solvers.tangents import derivatives
from solvers.vectors import Array
from tests.survey.invented_surveys import survey_of, truth
from tests.survey.sheet_surveys import sheet_survey

ROLL_CENTRE = "roll_centre_height"


@pytest.fixture(scope="module")
def found() -> SurveyFit:
    return fit(sheet_survey("strut", 7, exact=True))


@pytest.fixture(scope="module")
def apart() -> SurveyFit:
    return fit(survey_of(truth("double wishbone", 3, apart=True), apart=True, seed=None))


def told_doubt(survey: Survey, number: str) -> float:
    """95 % either way that a survey's own fit and `assess` make of it, of the worse side."""
    again = fit(survey)
    study = assess(replace(again.axle, doubt=again.doubt), Question(), Limits())
    assert study is not None
    return float(study.half_width_95(("ride height", number)).max())


def shown_at(found: SurveyFit, what: FurtherReading) -> Survey:
    """The survey with a further reading planted: it reads what the fitted points show."""
    survey = found.survey
    if what.wheel_angle is not None:
        # Read twice, an angle's mean is known to its doubt over the root of two (formula).
        angles = [
            (one, (doubt**-2 + what.doubt**-2) ** -0.5 if one == what.wheel_angle else doubt)
            for one, doubt in survey.angle_doubts
        ]
        return replace(survey, angle_doubts=tuple(angles))
    assert what.reading is not None
    own = rows(replace(survey, readings=(what.reading,)))
    reads = float(own.predicted(found.best.parameters)[0])
    return replace(survey, readings=(*survey.readings, replace(what.reading, reads=reads)))


@pytest.mark.parametrize("number", [ROLL_CENTRE, "bump_steer", "camber"])
def test_as_it_is_now_it_is_the_doubt_that_the_survey_tells(found: SurveyFit, number: str) -> None:
    assert next_readings(found, number, most=1).now == pytest.approx(told_doubt(found.survey, number), rel=1e-9)


@pytest.mark.parametrize("number", [ROLL_CENTRE, "bump_steer"])
def test_each_further_reading_by_a_new_fit_with_it(found: SurveyFit, number: str) -> None:
    """Planted one by one, some of each kind, tapes, heights, angles, the track and a wheel's camber among them."""
    further = further_readings(found.survey)
    expected = expected_doubt(found, gradient(found, number), further)
    kinds = {}
    for row, one in enumerate(further):
        kinds.setdefault((one.again, one.wheel_angle or (one.reading and one.reading.kind)), row)
    assert {key[1] for key in kinds if isinstance(key[1], str)} >= {"up", "out", "ahead", "tape", "angle", "track"}
    for row in kinds.values():
        then = NORMAL_95 * np.sqrt(expected.variances(np.array([[row]])).max())
        assert then == pytest.approx(told_doubt(shown_at(found, further[row]), number), rel=1e-6), str(further[row])


def test_a_list_by_a_new_fit_with_all_of_it(found: SurveyFit) -> None:
    told = next_readings(found, ROLL_CENTRE, most=5)
    survey = found.survey
    for one in told:
        survey = shown_at(replace(found, survey=survey), one.what)
        assert one.after == pytest.approx(told_doubt(survey, ROLL_CENTRE), rel=1e-6)


def test_angles_that_are_known_exactly_add_no_doubt(found: SurveyFit) -> None:
    exact = replace(found.survey, angle_doubts=tuple((one, 0.0) for one, _ in found.survey.angle_doubts))
    with np.errstate(all="raise"):
        told = next_readings(fit(exact), ROLL_CENTRE, most=1)
    assert told.now == pytest.approx(told_doubt(exact, ROLL_CENTRE), rel=1e-9)
    assert told.then < told.now


def stacked(found: SurveyFit, further: tuple[FurtherReading, ...], chosen: tuple[int, ...], of: Array) -> Array:
    """Variances of a number with slopes `of` (n, S), angles taken as exact: least squares on all rows, by SciPy."""
    readings = [one.reading for one in (further[row] for row in chosen) if one.reading is not None]
    own = replace(found.survey, readings=(*found.survey.readings, *readings), angle_doubts=())
    every_row = rows(own).from_start(found.best.parameters)
    slopes = derivatives(every_row.predicted, found.best.parameters) / every_row.doubts[:, None]
    return np.asarray(((pinv(slopes).T @ of) ** 2).sum(axis=0))


def without_angles(found: SurveyFit) -> SurveyFit:
    return fit(replace(found.survey, angle_doubts=()))


@pytest.mark.parametrize("which", ["found", "apart"])
def test_sets_of_readings_by_the_stacked_least_squares(which: str, request: pytest.FixtureRequest) -> None:
    own = without_angles(request.getfixturevalue(which))
    further = further_readings(own.survey)
    first = gradient(own, "bump_steer")
    expected = expected_doubt(own, first, further)
    rng = np.random.default_rng(1)
    for size in (1, 2, 4, 9):
        chosen = tuple(int(row) for row in rng.integers(len(further), size=size))
        then = expected.variances(np.array([chosen]))[0]
        np.testing.assert_allclose(then, stacked(own, further, chosen, first.slopes), rtol=1e-7)


def test_a_further_reading_never_makes_a_number_worse_known(apart: SurveyFit) -> None:
    """Formula: what is taken from a variance is a square. Of all sets of one, two and three with one more."""
    own = without_angles(apart)
    further = further_readings(own.survey)
    expected = expected_doubt(own, gradient(own, ROLL_CENTRE), further)
    rng = np.random.default_rng(2)
    for size in (0, 1, 3):
        before = rng.integers(len(further), size=(200, size))
        after = np.concatenate([before, rng.integers(len(further), size=(200, 1))], axis=1)
        assert (expected.variances(after) <= expected.variances(before) * (1.0 + 1e-12)).all()


@pytest.mark.parametrize("times", [1, 4, 25, 400])
def test_the_only_reading_of_a_height_again_and_again(times: int) -> None:
    """Formula: read n times in all, its mean is known to one reading's doubt over the root of n."""
    doubt = 1.5
    alone = ExpectedDoubt(
        own=np.array([doubt**2]),
        shown=np.array([[doubt]]),
        between=np.ones((1, 1)),
        leaning=np.zeros((1, 0)),
        through=np.zeros((1, 0)),
        known_to=np.zeros(0),
        stated_again=np.zeros((1, 0)),
    )
    then = alone.variances(np.zeros((1, times - 1), dtype=int))[0, 0]
    assert np.sqrt(then) == pytest.approx(doubt / np.sqrt(times), rel=1e-9)


def few(found: SurveyFit, count: int) -> tuple[tuple[FurtherReading, ...], ExpectedDoubt, Array]:
    """Every so many of the further readings, that the fit's slopes alone tell of."""
    own = without_angles(found)
    further = further_readings(own.survey)
    further = further[:: max(1, len(further) // count)][:count]
    first = gradient(own, ROLL_CENTRE)
    return further, expected_doubt(own, first, further), first.slopes


def test_two_readings_are_the_best_of_all_pairs(found: SurveyFit) -> None:
    further, expected, slopes = few(found, 14)
    own = without_angles(found)
    all_pairs = list(combinations_with_replacement(range(len(further)), 2))
    best = min(float(stacked(own, further, pair, slopes).sum()) for pair in all_pairs)
    chosen = shortest(expected, Wanted(0.0, len(further), 2, 0.0))
    assert float(stacked(own, further, tuple(chosen), slopes).sum()) == pytest.approx(best, rel=1e-9)


@pytest.mark.parametrize("which", ["found", "apart"])
def test_three_readings_are_the_best_of_all_triples(which: str, request: pytest.FixtureRequest) -> None:
    """On small lists of candidates, with both sides' numbers where each is measured by itself."""
    found = request.getfixturevalue(which)
    further, expected, slopes = few(found, 8)
    own = without_angles(found)
    triples = list(combinations_with_replacement(range(len(further)), 3))
    best = min(float(stacked(own, further, triple, slopes).sum()) for triple in triples)
    chosen = shortest(expected, Wanted(0.0, len(further), 3, 0.0))
    assert float(stacked(own, further, tuple(chosen), slopes).sum()) == pytest.approx(best, rel=1e-6)


def drawn(rng: np.random.Generator, count: int) -> tuple[ExpectedDoubt, Array, Array, Array]:
    """A number of four unknowns, ten readings taken and some further ones, all slopes drawn."""
    taken, rows_of, of = (rng.normal(size=size) for size in ((10, 4), (count, 4), (4, 1)))
    covariance = np.linalg.inv(taken.T @ taken)
    seen = covariance @ rows_of.T
    none = np.zeros((count, 0))
    expected = ExpectedDoubt(
        own=(of.T @ covariance @ of)[0],
        shown=seen.T @ of,
        between=rows_of @ seen,
        leaning=np.zeros((1, 0)),
        through=none,
        known_to=np.zeros(0),
        stated_again=none,
    )
    return expected, taken, rows_of, of


@pytest.mark.parametrize("size", [2, 3])
def test_lists_for_drawn_readings_are_the_best_of_all(size: int) -> None:
    """By normal equations with each set's rows added, inverted here. The best alone is often not among the best two."""
    rng = np.random.default_rng(5)
    misled = 0
    for _ in range(40):
        expected, taken, rows_of, of = drawn(rng, 8)
        sets = list(combinations_with_replacement(range(8), size))
        more = rows_of[np.array(sets)]
        inverse = np.linalg.inv(taken.T @ taken + more.mT @ more)
        best = sets[int(np.argmin((of.T @ inverse @ of)[:, 0, 0]))]
        assert sorted(shortest(expected, Wanted(0.0, 8, size, 0.0))) == list(best)
        misled += shortest(expected, Wanted(0.0, 8, 1, 0.0))[0] not in best
    assert misled > 0


def test_the_same_reading_stands_in_a_list_three_times_at_most() -> None:
    """Common practice, no source: an error that repeats itself does not average out."""
    expected, *_ = drawn(np.random.default_rng(6), 1)
    assert shortest(expected, Wanted(0.0, 1, 12, 0.0)) == [0, 0, 0]


def test_no_shorter_list_would_do(found: SurveyFit) -> None:
    """What a list of three reaches, no pair of all that could be read reaches: every pair is tried here anew."""
    best = next_readings(found, ROLL_CENTRE, most=3)
    within = best.then * 1.001
    told = next_readings(found, ROLL_CENTRE, within)
    assert len(told) == 3
    assert told.reached
    assert told.then <= within < told[-1].before
    further = further_readings(found.survey)
    expected = expected_doubt(found, gradient(found, ROLL_CENTRE), further)
    pairs = np.array(list(combinations_with_replacement(range(len(further)), 2)))
    assert NORMAL_95 * np.sqrt(expected.variances(pairs).max(axis=1).min()) > within


@pytest.mark.parametrize("short_of_it", [1e-3, 1e-4, 1e-6])
def test_what_three_readings_all_but_reach_a_fourth_reaches(found: SurveyFit, short_of_it: float) -> None:
    """However little is left to what is wanted: a fourth reading takes it, for it makes the number better known."""
    within = next_readings(found, ROLL_CENTRE, most=3).then * (1.0 - short_of_it)
    told = next_readings(found, ROLL_CENTRE, within)
    assert (len(told), told.reached) == (4, True)
    assert told.then <= within


def test_what_is_known_well_enough_needs_nothing(found: SurveyFit) -> None:
    told = next_readings(found, ROLL_CENTRE, 100.0)
    assert (len(told), told.reached) == (0, True)
    assert told.then == told.now


def test_what_no_list_reaches_is_said_with_the_best_there_is(found: SurveyFit) -> None:
    told = next_readings(found, ROLL_CENTRE, 0.01)
    assert not told.reached
    assert len(told) <= 12
    assert 0.01 < told.then < told.now
    assert all(one.after < one.before for one in told)


def test_both_sides_come_down_where_each_is_measured_by_itself(apart: SurveyFit) -> None:
    """A reading on the left tells nothing of the right wheel's bump steer: the list has both."""
    now = next_readings(apart, "bump_steer", most=0).now
    assert now == pytest.approx(told_doubt(apart.survey, "bump_steer"), rel=1e-9)
    told = next_readings(apart, "bump_steer", 0.6 * now)
    assert told.reached
    names = " ".join(told.keys())
    assert "left " in names
    assert "right " in names


def test_a_toe_gauge_by_a_fit_with_its_curve(found: SurveyFit) -> None:
    """The curve planted as the fitted car shows it, and everything fitted again."""
    told = next_readings(found, "bump_steer", most=1)
    (toe,) = [one for one in told.curves if one.curves[0].of == "toe"]
    curve = replace(toe.curves[0], reads=toe.curves[0].shown(found.axle))
    with_it = replace(found.survey, curves=(curve,))
    assert toe.alone == pytest.approx(told_doubt(with_it, "bump_steer"), rel=1e-4)
    planted = shown_at(replace(found, survey=with_it), told[0].what)
    assert toe.besides == pytest.approx(told_doubt(planted, "bump_steer"), rel=1e-4)
    assert toe.alone < 0.3 * told.now
    assert gauge_curves(found)[0][0].doubt == pytest.approx(np.radians(0.02))


def test_a_reading_taken_twice_counts_as_the_better_of_both(found: SurveyFit) -> None:
    """Read a third time, by whoever read it to 1 mm, not to 3."""
    height = next(one for one in found.survey.readings if one.kind == "up")
    both = [replace(height, doubt=doubt) for doubt in (3.0, 1.0)]
    others = [one for one in found.survey.readings if one is not height]
    own = replace(found.survey, readings=(both[0], *others, both[1]))
    (again,) = [one for one in further_readings(own) if one.reading is not None and one.reading.of == height.of]
    assert (again.doubt, again.again) == (1.0, True)


def test_what_the_sheet_asks_for_has_its_number(found: SurveyFit) -> None:
    """All of this survey are the sheet's readings, so all that is read again has a number, each once."""
    further = [one for one in further_readings(found.survey) if one.reading is not None]
    again = [one for one in further if one.again]
    assert len(again) == len(found.survey.readings)
    numbers = [one.number for one in again]
    assert None not in numbers
    assert len(set(numbers)) == len(numbers)
    assert all(one.number is None and one.reading.kind == "tape" for one in further if not one.again)


@pytest.mark.parametrize("number", [ROLL_CENTRE, "scrub_radius"])
def test_what_could_be_left_out_by_a_new_fit_without_it(found: SurveyFit, number: str) -> None:
    """Readings are taken away one after the other and the survey fitted anew. Camber is known to a degree alone, so
    that it counts through the track beside the readings."""
    rough = tuple((one, float(np.radians(1.0))) for one, _ in found.survey.angle_doubts)
    survey = replace(found.survey, angle_doubts=rough)
    spared = dispensable(next_readings(fit(survey), number, most=1))
    assert spared
    for one in spared:
        left = tuple(each for each in survey.readings if str(each) != str(one.what.reading))
        assert len(left) == len(survey.readings) - 1
        survey = replace(survey, readings=left)
        assert one.without == pytest.approx(told_doubt(survey, number), rel=1e-6)
