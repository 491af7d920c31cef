"""What every result has in common: short forms, lookup, what a number is, tables; and nothing in it can be changed.

Properties, no source; tables are held against the numbers that the results carry, turned into units by hand.
"""

import copy
import dataclasses
import inspect
import math
import pickle
import pydoc
import re
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import pytest

import kinematics as k
from tests.unit.api_results import COUPE, MADE, OF_NUMBERS, OF_ROWS, ROLL, SALOON, TRAVEL, made

INCH = 25.4


def test_each_exported_function_has_its_result_here() -> None:
    functions = {name for name in k.__all__ if inspect.isfunction(getattr(k, name))}
    assert functions == set(MADE)


@pytest.mark.parametrize("name", MADE)
def test_a_result_is_shown_in_a_line(name: str) -> None:
    told = repr(made(name))
    assert len(told) < 220
    assert "\n" not in told
    assert "array(" not in told


def test_doubt_is_shown_in_a_line() -> None:
    # Of one number for each coordinate that the file states a doubt of: as many as it has sources.
    doubt = COUPE.front.doubt
    assert doubt is not None
    assert repr(doubt) == f"<doubt of {len(doubt.coordinates)} coordinates from {len(doubt.sources)} sources>"


@pytest.mark.parametrize("name", [name for name in k.__all__ if callable(getattr(k, name))])
def test_help_shows_arrays_by_a_short_name(name: str) -> None:
    """In a signature; what an array holds, the words beneath it say."""
    shown = pydoc.plain(pydoc.render_doc(getattr(k, name)))
    assert "numpy.ndarray[tuple" not in shown


def test_labels_of_axes_are_broken_into_lines() -> None:
    for number in k.QUANTITIES.values():
        whole, broken = number.axis_label(k.INCH), number.axis_label(k.INCH, 45)
        assert max(map(len, broken.splitlines())) <= 45
        assert broken.replace("\n", " ") == whole
        assert ("\n" in broken) == (len(whole) > 45)


@pytest.mark.parametrize("name", [*OF_NUMBERS, *OF_ROWS])
def test_a_result_is_looked_up_by_name(name: str) -> None:
    result = made(name)
    keys = result.keys()
    assert len(result) == len(keys) > 0
    assert list(result) == (keys if name in OF_NUMBERS else [result[key] for key in keys])
    for key in keys:
        assert key in result
        assert result[key] is not None
    assert "no such name" not in result
    with pytest.raises(KeyError, match=r"is no .* here"):
        result["no such name"]


@pytest.mark.parametrize("name", [*OF_NUMBERS, *OF_ROWS])
def test_a_slip_of_the_pen_gets_the_nearest_name(name: str) -> None:
    result = made(name)
    key = result.keys()[-1]
    last = key[-1] if isinstance(key, tuple) else key
    with pytest.raises(KeyError) as caught:
        result[f"{', '.join(key[:-1])}, {last}x" if isinstance(key, tuple) else f"{last}x"]
    assert f"did you mean {key!r}" in caught.value.args[0]


@pytest.mark.parametrize("name", OF_NUMBERS)
def test_each_number_says_what_it_is(name: str) -> None:
    result = made(name)
    for key in result:
        number = result.about(key[1] if isinstance(key, tuple) else key)
        assert number.title
        assert number.key == (key[1] if isinstance(key, tuple) else key)
        assert number.label(k.MM) in repr(number)
        assert result.in_unit(key).shape == np.shape(result[key])


@pytest.mark.parametrize("name", [*OF_NUMBERS, *OF_ROWS])
def test_a_result_becomes_a_table_and_is_shown_in_a_notebook(name: str) -> None:
    result = made(name)
    table, columns = result.table(k.MM), result.columns(k.MM)
    assert set(columns) <= set(table.columns)
    assert {len(column) for column in columns.values()} == {len(table)}
    html = result._repr_html_()
    assert html.count("<tr>") == html.count("</tr>") > 1
    if name in OF_NUMBERS:
        assert html.count("<tr>") == min(len(result), 60) + 1


def test_lengths_in_tables_are_in_the_unit_asked_for() -> None:
    for name in ("sweep_bump", "roll_axis", "rank", "travel_budgets", "influence"):
        mm, inch = made(name).table(k.MM), made(name).table(k.INCH)
        for column in (one for one in mm.columns if re.fullmatch(r"\w+_mm", one) and "_per_" not in one):
            np.testing.assert_allclose(inch[column[:-2] + "in"], mm[column] / INCH, rtol=1e-12)


def test_a_verdict_as_a_table() -> None:
    verdict = made("judge")
    table = verdict.table(k.MM)
    for (_, row), finding in zip(table.iterrows(), verdict, strict=True):
        angle = {"deg": 180.0 / math.pi, "deg/mm": 180.0 / math.pi, "mm": 1.0}[row["unit"]]
        assert row["worst"] == pytest.approx(finding.worst * angle)
        assert row["margin"] == pytest.approx(finding.margin * angle)
        assert row["holds"] == finding.holds
    # A margin is the distance of the worst value to the nearer end.
    inside = np.minimum(table["worst"] - table["low"], table["high"] - table["worst"])
    np.testing.assert_allclose(table["margin"], inside, rtol=1e-9, atol=1e-12)


def test_a_comparison_as_a_table() -> None:
    compared = made("compare")
    table = compared.table(k.INCH).set_index(["number", "side"])
    for outcome in compared:
        (height,) = outcome.values("front", "roll_centre_height")
        assert table.loc[("roll_centre_height", ""), outcome.plan.name] == pytest.approx(height / INCH)
    assert (table["unit"]["roll_centre_height"] == "in").all()


def test_the_influence_of_a_point_in_owners_units() -> None:
    found = made("influence")
    table = found.table(k.INCH)
    place = found.points.index("lower_ball_joint")
    assert table.loc[("lower_ball_joint", "up"), "camber_left_deg_per_in"] == pytest.approx(
        math.degrees(found["camber"][place, 2, 0]) * INCH
    )


def test_doubt_as_a_table() -> None:
    study = made("assess")
    table = study.table(k.MM)
    bump = table[(table["place"] == "bump") & (table["number"] == "camber") & (table["side"] == "right")]
    np.testing.assert_allclose(bump["at"], TRAVEL)
    np.testing.assert_allclose(bump["value"], np.degrees(study["bump", "camber"][k.RIGHT]))
    low, high = study.band(("bump", "camber"))
    np.testing.assert_allclose(bump["low_95"], np.degrees(low[k.RIGHT]))
    np.testing.assert_allclose(bump["high_95"], np.degrees(high[k.RIGHT]))
    assert (bump["unit"] == "deg").all()
    spread = study.chances.spread["bump", "camber"]
    np.testing.assert_allclose(bump["drawn_mean"], np.degrees(spread.mean[k.RIGHT]))


def test_a_survey_as_a_table() -> None:
    table = made("fit").table(k.INCH)
    np.testing.assert_allclose(table["off_by"], table["read"] - table["fitted"], atol=1e-12)
    assert set(table["unit"]) == {"in", "deg"}


def test_a_lean_and_its_rates_as_tables() -> None:
    sheet = made("lean_sheet")
    table = sheet.table(k.MM)
    assert table.index.name == "lateral_acceleration_g"
    np.testing.assert_allclose(table["roll_deg"], np.degrees(sheet["roll"]))
    # In a steady corner what one side gains the other loses: the weight stays.
    loads = [column for column in table.columns if column.startswith("wheel_load")]
    balanced = table[loads].dropna()
    assert len(balanced) > len(table) // 2
    np.testing.assert_allclose(balanced.sum(axis=1), balanced.iloc[0].sum(), rtol=1e-9)
    rates = sheet.wheel_rates
    assert rates["wheel_rate"].shape == (2, 2, rates["travel"].size)
    np.testing.assert_allclose(rates.table(k.MM).index, rates["travel"])
    with pytest.raises(KeyError, match="did you mean 'wheel_rate'"):
        rates["wheel_rates"]


def test_a_shelf_as_a_table() -> None:
    ranking = made("rank")
    table = ranking.table(k.MM)
    assert tuple(table.loc[0, ["front_spring", "rear_spring", "front_bar", "rear_bar"]]) == ("as fitted",) * 4
    assert table["front_share_percent"].to_numpy() == pytest.approx(100.0 * ranking.front_share)
    assert (np.diff(table["outside_percent"].iloc[1:]) >= -1e-9).all()


def test_found_plans_as_a_table() -> None:
    found = made("find")
    table = found.table(k.MM).set_index("plan")
    assert table.loc["as measured", "front_ride_height_mm"] == 0.0
    assert table.loc["best", "front_ride_height_mm"] == found["best"].amounts[0]
    assert table.loc["best", "holds"] == found.best.holds


def writable(value: Any, path: str, seen: set[int]) -> Iterator[str]:
    """Paths of all arrays and mappings that can be written to, in a record and all that it is made of."""
    if isinstance(value, np.ndarray):
        yield from [path] if value.flags.writeable else []
    elif id(value) in seen:
        return
    elif dataclasses.is_dataclass(value):
        seen.add(id(value))
        for one in dataclasses.fields(value):
            yield from writable(getattr(value, one.name), f"{path}.{one.name}", seen)
    elif isinstance(value, Mapping):
        yield from [path] if getattr(type(value), "__setitem__", None) is dict.__setitem__ else []
        for key, one in value.items():
            yield from writable(one, f"{path}[{key!r}]", seen)
    elif isinstance(value, list | tuple | set | frozenset):
        for place, one in enumerate(value):
            yield from writable(one, f"{path}[{place}]", seen)


class TestFrozen:
    """What a call gives stays as it is."""

    @pytest.mark.parametrize("name", MADE)
    def test_nothing_of_a_result_can_be_written_to(self, name: str) -> None:
        assert list(writable(made(name), name, set())) == []

    @pytest.mark.parametrize("name", [name for name in MADE if name != "carry_out"])
    def test_no_field_can_be_set(self, name: str) -> None:
        result = made(name)
        with pytest.raises(dataclasses.FrozenInstanceError):
            setattr(result, dataclasses.fields(result)[0].name, None)

    def test_the_walk_finds_what_can_be_written_to(self) -> None:
        found = writable({"a": [np.zeros(2)], "b": k.Question(np.zeros(1), np.zeros(1), np.zeros(1))}, "x", set())
        assert list(found) == ["x", "x['a'][0]"]

    def test_who_hands_over_an_array_goes_on_writing_to_his_own(self) -> None:
        joint, travel = np.array(COUPE.front.points["lower_ball_joint"]), np.array(TRAVEL)
        axle = COUPE.front.with_points(lower_ball_joint=joint)
        asked = k.Question(travel, np.zeros(0), np.zeros(0))
        study, sweep = k.assess(axle, asked, COUPE.limits), k.sweep_bump(axle, travel)
        joint += 1.0
        travel += 1.0
        np.testing.assert_array_equal(axle.points["lower_ball_joint"], COUPE.front.points["lower_ball_joint"])
        np.testing.assert_array_equal(study.question.travel, TRAVEL)
        np.testing.assert_array_equal(sweep.asked["travel"], TRAVEL)

    def test_an_axle_that_is_made_cannot_be_written_to(self) -> None:
        axle = dataclasses.replace(COUPE.front, camber=np.zeros(2))
        with pytest.raises(ValueError, match="read-only"):
            axle.camber[0] = 1.0
        with pytest.raises(ValueError, match="read-only"):
            axle.points["wheel_centre"][0, 0] = 1.0

    def test_what_cannot_be_written_to_is_copied_and_sent_to_other_processes(self) -> None:
        axle = COUPE.front
        for again in (pickle.loads(pickle.dumps(axle)), copy.deepcopy(axle)):
            assert type(again.points) is type(axle.points)
            assert again.points.keys() == axle.points.keys()
            np.testing.assert_array_equal(again.points["wheel_centre"], axle.points["wheel_centre"])
            with pytest.raises(TypeError, match="with_points"):
                again.points["wheel_centre"] = 0.0
        own = dict(axle.points) | {"mine": np.zeros(3)}
        assert "mine" not in axle.points
        assert len(own) == len(axle.points) + 1


class TestStatesAsAsked:
    """A table's rows are named by what was asked for, also where it cannot be reached."""

    def test_in_bump_and_in_roll(self) -> None:
        far = k.sweep_bump(SALOON.front, np.array([-400.0, 0.0, 10.0]))
        assert not far.reached[0]
        bump = far.table(k.MM)
        assert bump.index.name == "travel_mm"
        np.testing.assert_array_equal(bump.index, [-400.0, 0.0, 10.0])
        assert bump.loc[-400.0, "gap"]
        roll = made("sweep_roll").table(k.INCH)
        assert roll.index.name == "roll_deg"
        np.testing.assert_allclose(roll.index, np.degrees(ROLL))

    def test_one_wheel_alone(self) -> None:
        for wheel in ("left", "right"):
            table = k.sweep_bump(COUPE.front, TRAVEL, wheel).table(k.INCH)
            np.testing.assert_allclose(table.index, TRAVEL / INCH)
            np.testing.assert_allclose(table[f"travel_{wheel}_in"], TRAVEL / INCH, atol=1e-12)

    def test_over_the_grid(self) -> None:
        sweep = k.sweep_grid(SALOON.front, np.array([-400.0, 0.0]), ROLL[:1])
        assert sweep.reached.tolist() == [[False], [True]]
        table = sweep.table(k.MM)
        np.testing.assert_allclose(table.index.get_level_values("bump_mm"), [-400.0, 0.0])
        np.testing.assert_allclose(table.index.get_level_values("roll_deg"), [-1.0, -1.0])

    def test_along_the_rack(self) -> None:
        assert made("sweep_steer").table(k.MM).index.name == "rack_mm"
        sweep = k.sweep_steer(COUPE.front, np.array([-5.0, 5.0])[:, None], roll=ROLL)
        table = sweep.table(k.MM)
        assert table.index.names == ["rack_mm", "roll_deg"]
        np.testing.assert_allclose(table["rack_travel_mm"], table.index.get_level_values("rack_mm"))

    def test_several_cars(self) -> None:
        joint = COUPE.front.points["lower_ball_joint"] + np.array([0.0, -5.0, -10.0])[:, None, None] * [0.0, 0.0, 1.0]
        many = k.sweep_bump(COUPE.front.with_points(lower_ball_joint=joint), TRAVEL)
        table = many.table(k.MM)
        assert table.index.names == ["car", "travel_mm"]
        for car in range(3):
            alone = k.sweep_bump(many.axle.variant(car), TRAVEL).table(k.MM)
            for column in ("camber_left_deg", "toe_right_deg", "roll_centre_height_mm"):
                np.testing.assert_allclose(table.loc[car, column], alone[column], atol=1e-9)

    def test_some_of_several_cars(self) -> None:
        joint = COUPE.front.points["lower_ball_joint"] + np.linspace(-9.0, 0.0, 4)[:, None, None] * [0.0, 0.0, 1.0]
        body = dataclasses.replace(COUPE.front.body, centre_of_gravity=np.linspace(400.0, 430.0, 4))
        many = dataclasses.replace(COUPE.front.with_points(lower_ball_joint=joint), body=body)
        some = many.variant(slice(1, 3))
        assert some.batch_shape == (2,)
        np.testing.assert_array_equal(some.body.centre_of_gravity, [410.0, 420.0])
        both = k.sweep_bump(some, TRAVEL, only=["roll_centre_height"])["roll_centre_height"]
        all_four = k.sweep_bump(many, TRAVEL, only=["roll_centre_height"])["roll_centre_height"]
        np.testing.assert_allclose(both, all_four[1:3], atol=1e-9)

    def test_cars_keep_their_numbers(self) -> None:
        """Each table's rows under a car's number are that car's, whichever part of the cars is swept."""
        pytest.importorskip("xarray")
        joint = COUPE.front.points["lower_ball_joint"] + np.linspace(-9.0, 0.0, 6)[:, None, None] * [0.0, 0.0, 1.0]
        many = COUPE.front.with_points(lower_ball_joint=joint)
        whole = k.sweep_bump(many, TRAVEL).table()
        for part, numbers in ((slice(0, 3), [0, 1, 2]), (slice(3, 6), [3, 4, 5]), (slice(5, None, -2), [5, 3, 1])):
            sweep = k.sweep_bump(many.variant(part), TRAVEL)
            table = sweep.table()
            assert table.index.unique("car").tolist() == sweep.to_xarray()["car"].values.tolist() == numbers
            for car in numbers:
                np.testing.assert_allclose(table.loc[car, "toe_left_deg"], whole.loc[car, "toe_left_deg"], atol=1e-9)
        again = many.variant(slice(2, 6)).variant(slice(1, 3)).with_points(tie_rod_inner=many.points["tie_rod_inner"])
        assert k.sweep_bump(again, TRAVEL).table().index.unique("car").tolist() == [3, 4]
        other = again.with_points(lower_ball_joint=joint)
        assert k.sweep_bump(other, TRAVEL).table().index.unique("car").tolist() == list(range(6))
        assert many.variant(slice(2, 6)).variant(1).numbers is None


def test_one_rack_travel_alone_is_the_same_as_a_list_of_one() -> None:
    alone, listed = k.sweep_steer(COUPE.front, 5.0), k.sweep_steer(COUPE.front, [5.0])
    for key in ("camber", "toe"):
        np.testing.assert_array_equal(alone[key], listed[key][..., 0])
