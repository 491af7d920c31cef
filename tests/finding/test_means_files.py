"""Means files: sound ones are read in either unit, faulty ones are told in full."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from kinematics import InputFaultError, demo_car
from kinematics.finding.means import Aim
from kinematics.finding.permitted import within_rules
from kinematics.inputs.demo_cars import DEMO_CARS, DEMO_MEANS, demo_text
from kinematics.inputs.plans.means_file import means_from, read_means

FAULTY = tomllib.loads((Path(__file__).parent / "faulty_means.toml").read_text(encoding="utf-8"))["faulty"]


@pytest.mark.parametrize("entry", FAULTY, ids=lambda entry: entry["what"])
def test_a_faulty_file_is_told_in_full(entry: dict[str, Any], tmp_path: Path) -> None:
    path = tmp_path / "means.toml"
    path.write_text(entry["text"], encoding="utf-8")
    with pytest.raises(InputFaultError) as told:
        read_means(path, demo_car())
    lines = [str(fault) for fault in told.value.faults]
    assert len(lines) == len(entry["says"]), lines
    for line, said in zip(lines, entry["says"], strict=True):
        assert said in line
    assert str(told.value).startswith(f"{path}: {len(lines)} fault")


IN_MM = """
units = "mm"
want = "price"
[[may]]
what = "longer ball joint"
sizes = [25.4, 12.7]
price = [90, 60]
[[may]]
what = "ride height"
from = -6.35
to = 3.175
step = 3.175
hours = 1
"""
IN_INCHES = (
    IN_MM.replace('"mm"', '"in"').replace("25.4", "1").replace("12.7", '"1/2"').replace("-6.35", '"-1/4"')
    .replace("3.175", '"1/8"')
)  # fmt: skip


def test_inches_are_the_same_as_millimetres() -> None:
    in_mm, in_inches = (means_from(tomllib.loads(text), "means", demo_car()) for text in (IN_MM, IN_INCHES))
    for one, other in zip(in_mm.amounts, in_inches.amounts, strict=True):
        assert one.change == other.change
        assert_allclose(one.values, other.values, rtol=1e-12)
        assert_allclose(one.prices, other.prices)
    assert in_mm.aim is in_inches.aim is Aim.PRICE


def test_sizes_are_sorted_with_their_prices_and_steps_count_from_zero() -> None:
    joint, height = means_from(tomllib.loads(IN_MM), "means", demo_car()).amounts
    assert_allclose(joint.values, [12.7, 25.4])
    assert_allclose(joint.prices, [60.0, 90.0])
    assert_allclose(height.values, [-6.35, -3.175, 3.175])


def test_a_rule_counts_both_ways_of_one_change_together() -> None:
    text = """
units = "mm"
[[may]]
what = "strut top"
way = "out"
sizes = [-3, 3, 6]
[[may]]
what = "strut top"
way = "ahead"
sizes = [4, 8]
[[rule]]
words = "mounts stay within 5 mm"
changes = "strut top"
at_most = 5
"""
    means, forbidden = within_rules(demo_car(), means_from(tomllib.loads(text), "means", demo_car()))
    assert [list(one.values) for one in means.amounts] == [[-3.0, 3.0], [4.0]]
    assert sorted(one.count for one in forbidden) == [1, 1]
    # Three out and four ahead are five in all; nothing is left over.
    assert means.permitted(np.array([[3.0, 4.0], [-3.0, 4.0], [3.0, 0.0]])).all()
    assert not means.permitted(np.array([[4.0, 4.0]])).any()


def test_the_built_in_means_suit_their_car() -> None:
    for car, name in DEMO_MEANS.items():
        assert means_from(tomllib.loads(demo_text(name)), name, demo_car(DEMO_CARS[car])).combinations > 200
