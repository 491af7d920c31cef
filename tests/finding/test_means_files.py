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
        read_means(path, demo_car(entry["car"]) if "car" in entry else demo_car())
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


SPRINGS = """
units = "mm"
[[front_spring]]
name = "softer"
rate = 35.026
price = 50
hours = 2
[[rear_spring]]
name = "stiffer"
rate = 52.539
[[front_bar]]
name = "none"
rate = 0
[lean]
roll_gradient = { to = 3 }
"""


def test_springs_are_read_in_either_unit() -> None:
    """200 lb/in are 35.026 N/mm: 200 times 4.448222 N over 25.4 mm (definitions)."""
    in_inches = SPRINGS.replace('"mm"', '"in"').replace("35.026", "200").replace("52.539", "300")
    car = demo_car("rear_drive_saloon.toml")
    for text in (SPRINGS, in_inches):
        means = means_from(tomllib.loads(text), "means", car)
        assert means.amounts == ()
        told = {one.name: (*one.place, one.change.by, one.price, one.hours) for one in means.pieces}
        assert list(told) == ["softer", "none", "stiffer"]
        assert told["none"] == ("front", "bar rate", 0.0, 0.0, 0.0)
        assert told["softer"][2] == pytest.approx(200.0 * 4.4482216 / 25.4, rel=1e-4)
        assert told["stiffer"][2] == pytest.approx(300.0 * 4.4482216 / 25.4, rel=1e-4)
        assert told["softer"][3:] == (50.0, 2.0)
        assert means.lean.gradient == (-np.inf, 3.0)
        assert means.lean.front_share == (-np.inf, np.inf)


# Ride heights 401 (none among them) by shims 41 by 22 springs at either end: 401 * 41 * 22 * 22.
@pytest.mark.parametrize(("count", "height", "told"), [
    (23, "sizes = [5]", "front_spring, rear_spring: 576 combinations with what is fitted; up to 500 are allowed"),
    (21, "from = -100\nto = 100\nstep = 0.5\n[[may]]\nwhat = 'tie-rod shim'\nfrom = -20\nto = 20\nstep = 1",
     "may: these make 7,957,444 plans with all springs and bars; up to 5,000,000 are allowed"),
])  # fmt: skip
def test_too_many_are_told(count: int, height: str, told: str) -> None:
    one = "[[{}_spring]]\nname = '{}'\nrate = {}\n"
    springs = "".join(one.format(axle, i, 20 + i) for axle in ("front", "rear") for i in range(count))
    text = f"units = 'mm'\n{springs}[[may]]\nwhat = 'ride height'\n{height}\n"
    with pytest.raises(InputFaultError) as error:
        means_from(tomllib.loads(text), "means", demo_car("rear_drive_saloon.toml"))
    assert [str(one)[: len(told)] for one in error.value.faults] == [told]


def test_the_built_in_means_suit_their_car() -> None:
    for car, name in DEMO_MEANS.items():
        assert means_from(tomllib.loads(demo_text(name)), name, demo_car(DEMO_CARS[car])).combinations > 200
