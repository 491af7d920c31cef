"""Plans side by side: the table in a file, the one in the terminal and what each change does, value by value.

Against the library's numbers with factors of the test's own, and each number that only plans have by hand.
"""

import re
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from kinematics import Axle, sweep_bump
from kinematics.doubt.differences import PlanDoubt, plan_doubts
from kinematics.inputs.plans.plan_file import read_plans
from kinematics.loads.report import whole_car
from kinematics.planning.comparison import Comparison, compare
from reports.words.plans import adjusted_words
from tests.outputs.conftest import Garage, run
from tests.outputs.kinds import OF_PLANS
from tests.outputs.read_back import assert_shown, decimals, factor, rows, symbol

NORMAL_95 = 1.959964
AXLES, PLANS = ("front", "rear"), ("as measured", "lower", "joint", "pivots")


@cache
def compared(garage: Garage) -> Comparison:
    car = garage.car()
    read = read_plans([str(garage.path("mm", "plans.toml"))], car)
    return compare(car, read.plans, car.limits, read.rules)


@cache
def doubts(garage: Garage, name: str) -> list[PlanDoubt]:
    car = garage.car()
    read = read_plans([str(garage.path("mm", "plans.toml"))], car)
    return plan_doubts(car, car.axle(name), read.plans, car.limits, draws=100, seed=1)


def numbers(garage: Garage, axle: str, title: str) -> list[tuple[float, ...]]:
    comparison = compared(garage)
    (key,) = (number.key for number in comparison.numbers(axle) if number.title == title)
    return [outcome.values(axle, key) for outcome in comparison.outcomes]


@pytest.mark.parametrize("name", AXLES)
def test_numbers_in_the_file(garage: Garage, name: str, unit: str) -> None:
    told = rows(garage.ran("compare", unit).folder / f"{name}_plans.csv")
    assert list(told[0]) == ["number", "side", "unit", *PLANS, "note"]
    assert len({row["number"] for row in told}) == len(compared(garage).numbers(name))
    for row in told:
        kind = OF_PLANS[row["number"]]
        assert row["unit"] == symbol(kind, unit)
        for plan, values in zip(PLANS, numbers(garage, name, row["number"]), strict=True):
            value = values[-1 if row["side"] == "right" else 0]
            assert float(row[plan]) == pytest.approx(value * factor(kind, unit), rel=1e-6, abs=1e-7), row["number"]
    sides = [row["side"] for row in told if row["number"] == "camber"]
    assert sides == (["left", "right"] if name == "front" else [""])


@pytest.mark.parametrize("name", AXLES)
def test_numbers_in_the_terminal(garage: Garage, name: str, unit: str) -> None:
    seen = 0
    for title, cells, shown_unit in side_by_side(garage.ran("compare", unit).out, name):
        kind = OF_PLANS[title]
        assert shown_unit == symbol(kind, unit)
        for cell, values in zip(cells, numbers(garage, name, title), strict=True):
            told = cell.split(" / ")
            for one, value in zip(told, values, strict=False):
                assert_shown(one, value, kind, unit)
            if len(told) < len(values):
                assert_shown(told[0], values[1], kind, unit)
        seen += 1
    assert seen == len(compared(garage).numbers(name))


def side_by_side(out: str, name: str) -> list[tuple[str, list[str], str]]:
    """Titles, cells and units: columns end where their heads do, and a cell may go on in the lines below."""
    lines = out.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith(f"two axles: {name} axle at ride height"))
    head = next(i for i in range(start, start + 6) if lines[i].lstrip().startswith("number"))
    ends = [lines[head].index(plan) + len(plan) for plan in PLANS]
    found: list[tuple[str, list[str], str]] = []
    for line in lines[head + 2 :]:
        if not line.strip():
            break
        starts = [ends[0] - 12, *(max(end - 12, before) for before, end in pairwise(ends))]
        cells = [line[a:b].strip() for a, b in zip(starts, ends, strict=True)]
        title = line[: starts[0]].strip()
        if title:
            found.append((title, cells, line[ends[-1] :].strip()))
        else:
            joined = [" ".join(filter(None, pair)) for pair in zip(found[-1][1], cells, strict=True)]
            found[-1] = (found[-1][0], joined, found[-1][2])
    return found


@pytest.mark.parametrize("name", AXLES)
def test_what_a_plan_changes(garage: Garage, name: str, unit: str) -> None:
    """After less before, with its sign, once or left and right; what would show as zero is left out."""
    out = garage.ran("compare", unit).out
    lines = [line.split(f"{name}: ")[1] for line in out.splitlines() if line.startswith(f"changes     {name}: ")]
    assert len(lines) == 3
    for plan, line in enumerate(lines, start=1):
        words = []
        for number in compared(garage).numbers(name):
            kind, values = OF_PLANS[number.title], numbers(garage, name, number.title)
            before, after = (np.broadcast_to(values[i], 2) for i in (0, plan))
            steps = [signed(step * factor(kind, unit), kind, unit) for step in after - before]
            steps = steps[:1] if steps[0] == steps[1] else steps
            if any(re.search("[1-9]", step.split()[0]) for step in steps):
                words.append(f"{number.title} {' / '.join(steps)}")
        assert line.rstrip() == (", ".join(words) or "nothing that shows")


def signed(value: float, kind: str, unit: str) -> str:
    digits = decimals(kind, unit)
    return f"{round(value, digits) + 0.0:+.{digits}f} {symbol(kind, unit)}".rstrip()


def test_what_each_change_adds(garage: Garage, unit: str) -> None:
    """With a change less without it, the other made: here by hand from margins of three plans."""
    outcome = next(one for one in compared(garage).outcomes if one.plan.name == "lower")
    out = garage.ran("compare", unit).out
    table = out.split("what each change adds to each margin")[1]
    for share in outcome.shares:
        titles = {
            "roll_centre_height": "roll-centre height",
            "force_weighted_height": "force-weighted roll-centre height",
            "bump_steer": "bump steer",
            "camber": "camber",
        }
        line = next(
            line
            for line in table.splitlines()
            if line.strip().startswith(f"{share.axle} {titles[share.key]}, {share.over}")
        )
        kind = OF_PLANS.get(titles[share.key], "length")
        assert line.rstrip().endswith(f"  {symbol(kind, unit)}")
        (cell,) = re.findall(r"  ([+-]?[0-9.]+|runs off)  ", line)
        if cell != "runs off":
            assert_shown(cell, share.gain, kind, unit)
    lower = next(
        line for line in table.splitlines() if line.strip().startswith("front roll-centre height, ride height")
    )
    # Without the front's change the rear alone is lowered, and the body pitches the other way.
    car = garage.car()
    rear = replace(outcome.plan, changes=tuple(one for one in outcome.plan.changes if one.axle == "rear"))
    (before,) = compare(car, [rear], car.limits, ()).outcomes[1].values("front", "roll_centre_height")
    (after,) = numbers(garage, "front", "roll-centre height")[1]

    def margin(height: float) -> float:
        return min(height + 25.4, 76.2 - height)

    (cell,) = re.findall(r"  ([+-][0-9.]+)  ", lower)
    assert_shown(cell, margin(after) - margin(before), "length", unit)


@pytest.mark.parametrize("name", AXLES)
def test_how_sure_in_the_file(garage: Garage, name: str, unit: str) -> None:
    told = rows(garage.ran("compare", unit).folder / f"{name}_plans_doubt.csv")
    by_plan = {one.plan.name: one for one in doubts(garage, name)}
    keys = {number.title: number.key for number in compared(garage).numbers(name)}
    assert {row["plan"] for row in told} == set(PLANS[1:])
    for row in told:
        one, key, kind = by_plan[row["plan"]], keys[row["number"]], OF_PLANS[row["number"]]
        place = 1 if row["side"] == "right" else 0
        assert row["unit"] == symbol(kind, unit)
        low, high = one.spread[key].interval()
        for title, value in (
            ("value", one.value[key].value),
            ("value_either_way_95_percent", NORMAL_95 * np.sqrt((one.value[key].slopes ** 2).sum(axis=0))),
            ("change", one.change[key].value),
            ("change_either_way_95_percent", NORMAL_95 * np.sqrt((one.change[key].slopes ** 2).sum(axis=0))),
            ("change_drawn_low", low),
            ("change_drawn_high", high),
        ):
            wanted = float(value.reshape(-1)[place]) * factor(kind, unit)
            # An inch car's points are rounded elsewhere: drawn ends lie on a scale of counts.
            assert float(row[title]) == pytest.approx(wanted, rel=1e-4, abs=1e-6), (row["number"], title)
        assert float(row["all_limits_hold"]) == pytest.approx(one.holding["all limits", "ride height"])


@pytest.mark.parametrize("name", AXLES)
def test_how_sure_in_the_terminal(garage: Garage, name: str, unit: str) -> None:
    lines = garage.ran("compare", unit).out.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith(f"How sure: {name} axle"))
    keys = {number.title: number.key for number in compared(garage).numbers(name)}
    shape = re.compile(r"^ ?(\S.*?)  +(\S+) ± (\S+)  +(\S+) ± (\S+)(?:  +(\S.* times))? *(\S*) *$")
    seen = 0
    for one in doubts(garage, name)[1:]:
        at = next(i for i in range(start, len(lines)) if lines[i].rstrip() == one.plan.name)
        for line in lines[at + 4 :]:
            if not line.strip():
                break
            found = shape.match(line)
            assert found, line
            title, _, side = (
                found[1].rpartition(", ") if found[1].endswith((", left", ", right")) else (found[1], "", "")
            )
            key, kind, place = keys[title], OF_PLANS[title], int(side == "right")
            ways = [
                NORMAL_95 * np.sqrt((part[key].slopes ** 2).sum(axis=0)).reshape(-1) for part in (one.value, one.change)
            ]
            assert_shown(found[2], float(one.value[key].value.reshape(-1)[place]), kind, unit)
            assert_shown(found[3], float(ways[0][place]), kind, unit)
            assert_shown(found[4], float(one.change[key].value.reshape(-1)[place]), kind, unit)
            assert_shown(found[5], float(ways[1][place]), kind, unit)
            assert found[4][0] in "+-"
            assert found[7] == symbol(kind, unit)
            times = ways[0].max() / ways[1].max() if ways[1].max() > 0.0 else np.inf
            told = "" if times < 1.5 else "over 1000 times" if times >= 1000.0 else f"{times:.0f} times"
            assert (found[6] or "") == told
            seen += 1
    assert seen > 10


# Numbers that only plans have, by hand


def points(axle: Axle, key: str) -> np.ndarray:
    return np.asarray(axle.points[key])


@pytest.mark.parametrize("plan", range(4))
@pytest.mark.parametrize("name", AXLES)
def test_each_compared_number_by_hand(garage: Garage, name: str, plan: int) -> None:
    comparison, car = compared(garage), garage.car()
    outcome = comparison.outcomes[plan]
    changed, measured = outcome.axles[name].axle, car.axle(name)

    def told(title: str) -> np.ndarray:
        return np.array(numbers(garage, name, title)[plan])

    near = sweep_bump(changed, np.array([-1.0, 0.0, 1.0]))
    heights = near["roll_centre_height"]
    assert told("roll-centre height") == pytest.approx(heights[1], abs=1e-6)
    assert told("its change per travel") == pytest.approx((heights[2] - heights[0]) / 2.0, abs=1e-6)
    # The body comes down by 12 mm in front and 7 behind: at its centre of gravity by what lies between.
    down = 12.0 - 5.0 * 1142.0 / 2560.0 if plan == 1 else 0.0
    assert told("centre-of-gravity height") == pytest.approx(520.0 - down, abs=0.02)
    assert told("centre of gravity over roll centre") == pytest.approx(
        told("centre-of-gravity height") - heights[1], abs=1e-6
    )
    for title, key in (
        ("camber", "camber"),
        ("toe", "toe"),
        ("bump steer", "bump_steer"),
        ("camber gain", "camber_gain"),
    ):
        both = near[key][:, 1]
        assert told(title)[[0, -1]] == pytest.approx(both, abs=1e-6)
    assert told("track") == pytest.approx(near["contact_y"][0, 1] - near["contact_y"][1, 1], abs=1e-6)
    working = sweep_bump(changed, np.linspace(-25.0, 20.0, 181))["toe"]
    assert told("toe change, working travel")[[0, -1]] == pytest.approx(
        working.max(axis=1) - working.min(axis=1), abs=2e-6
    )
    lowest = min(float(place[:, 2].min()) for key, place in changed.points.items() if key != "wheel_centre")
    assert told("lowest joint over ground") == pytest.approx(lowest, abs=1e-6)
    if name == "rear":
        moved = measured.points["wheel_centre"][:, 0] - changed.points["wheel_centre"][:, 0]
        assert told("wheels moved back")[[0, -1]] == pytest.approx(moved, abs=1e-6)
        low, high = (
            points(changed, key)[0] - points(measured, key)[0] for key in ("lower_link_axle", "upper_link_axle")
        )
        # Side view: the nose rises where what stands higher on the axle goes further back.
        turned = (low - high)[0] / (points(measured, "upper_link_axle") - points(measured, "lower_link_axle"))[0, 2]
        assert told("pinion angle, nose up") == pytest.approx(turned, abs=2e-5 + 0.02 * abs(turned))


@pytest.mark.parametrize("name", AXLES)
def test_springs_of_plans_by_hand(garage: Garage, name: str) -> None:
    place = AXLES.index(name)
    kilos, tyre, unsprung = ((290.0, 282.0), 210.0, 36.0) if name == "front" else ((265.0, 258.0), 190.0, 60.0)
    raised = {"front": -12.0, "rear": -7.0}[name]
    loads = numbers(garage, name, "wheel load at rest")
    assert loads[0] == pytest.approx([9.80665 * kilo for kilo in kilos], abs=1e-3)
    assert numbers(garage, name, "corner raised since measured")[0] == pytest.approx([0.0], abs=1e-6)
    assert np.array(numbers(garage, name, "corner raised since measured")[1]) == pytest.approx(raised, abs=0.05)
    bump, droop = (45.0, 38.0) if name == "front" else (52.0, 47.0)
    assert numbers(garage, name, "travel to bump stop")[0] == pytest.approx([bump], abs=1e-4)
    assert numbers(garage, name, "travel to droop stop")[0] == pytest.approx([droop], abs=1e-4)
    # What the body comes down by is gone from bump and added to droop; a strut's travel counts along the strut.
    assert numbers(garage, name, "travel to bump stop")[1][0] == pytest.approx(bump + raised, abs=0.8)
    assert numbers(garage, name, "travel to droop stop")[1][0] == pytest.approx(droop - raised, abs=0.8)
    rates = numbers(garage, name, "wheel rate")
    for rate, told, load in zip(rates, numbers(garage, name, "ride frequency, Hz"), loads, strict=True):
        ride = 1.0 / (1.0 / rate[0] + 1.0 / tyre)
        # A body that pitches takes its weight along over the wheels.
        assert sum(load) == pytest.approx(sum(kilos) * 9.80665, rel=2e-3)
        sprung = sum(load) / 9.80665 / 2.0 - unsprung
        assert told[0] == pytest.approx(np.sqrt(1000.0 * ride / sprung) / (2.0 * np.pi), rel=1e-6)
    spring = whole_car(garage.car()).axles[place]
    assert float(np.mean(spring.rate)) == pytest.approx({"front": 34.0, "rear": 27.0}[name])
    ratio = numbers(garage, name, "spring travel per wheel travel")[0][0]
    # K MR^2 and what the ratio's change adds; on these cars less than a tenth.
    assert rates[0][0] == pytest.approx(float(np.mean(spring.rate)) * ratio**2, rel=0.1)


def lines_marked(out: str, mark: str, plan: str) -> list[str]:
    """What is told of a plan behind a mark such as "ok" or "OUTSIDE"."""
    lines = out.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith(f"{plan}  "))
    names = tuple(f"{name}  " for name in PLANS if name != plan)
    found = []
    for line in lines[start + 1 :]:
        if line.startswith((*names, "Ranking")):
            break
        found += [line.removeprefix(mark).strip()] if line.startswith(f"{mark} ") else []
    return found


def test_how_each_plan_fares(garage: Garage, unit: str) -> None:
    """Limits that hold are counted, those that do not are each told, and the ranking goes by both, then by margin."""
    out = garage.ran("compare", unit).out
    places = {}
    for one in compared(garage).outcomes:
        missed = [finding for finding in one.findings if finding.margin < 0.0 or finding.trouble]
        held, count = len(one.findings) - len(missed), len(one.findings)
        assert len(lines_marked(out, "OUTSIDE", one.plan.name)) == len(missed)
        told = lines_marked(out, "ok", one.plan.name)
        assert [re.findall(r"\d+", words) for words in told] == ([[str(held), str(count)]] if held else [])
        worst = min(finding.margin / (finding.limit.high - finding.limit.low) for finding in one.findings)
        # The longer ball joint goes 14 mm, and its rule allows 10.
        places[one.plan.name] = (one.plan.name != "joint" and not one.troubles, held, worst)
    ranked = re.findall(
        r"^  (\d)\. (.+?): (\d+) of \d+ checks hold, worst margin (beyond )?([-+]\d+) %(.*)$", out, re.MULTILINE
    )
    assert [place for place, *_ in ranked] == [str(i) for i in range(1, len(places) + 1)]
    assert [name for _, name, *_ in ranked] == sorted(places, key=lambda name: places[name], reverse=True)
    for _, name, held, beyond, margin, more in ranked:
        assert int(held) == places[name][1]
        worst = 100.0 * places[name][2]
        assert worst < int(margin) if beyond else int(margin) == pytest.approx(worst, abs=0.51)
        assert ("not to be built" in more) == (not places[name][0])


def test_a_plan_that_fits_in_some_cars_only(garage: Garage, capsys: pytest.CaptureFixture[str]) -> None:
    """Put together in 93 of 100 drawn cars, it is told to be lost in 7 % (formula)."""
    from reports.tables.plan_doubt_table import show_plan_doubts
    from reports.tables.terminal import console

    car = garage.car()
    found = doubts(garage, "front")
    show_plan_doubts(console(), car, car.front, [found[0], replace(found[1], possible=0.93)], 100)
    (line,) = (
        line
        for line in " ".join(capsys.readouterr().out.split()).split(". ")
        if f'"{found[1].plan.name}" cannot' in line
    )
    assert re.findall(r"([\d.]+) %", line)[-1] == "7"


@pytest.mark.campaign
def test_a_figure_says_how_many_plans_it_shows(garage: Garage, tmp_path: Path) -> None:
    """Four of six plans, besides the car as measured."""
    plans = "".join(
        f'[[plan]]\nname = "plan {i}"\n[[plan.change]]\naxle = "front"\nwhat = "ride height"\nby = -{i}\n'
        for i in range(1, 7)
    )
    (tmp_path / "plans.toml").write_text(f'units = "mm"\n{plans}', encoding="utf-8")
    told = ["compare", str(garage.path("mm", "car.toml")), "plans.toml", "--into", "out", "--drawing", "svg"]
    done = run([*told, "--step", "30", "--roll-step", "3"], tmp_path, "out")
    for name in ("front_plans_bump", "front_plans_roll"):
        title = " ".join(done.figures[name].texts[0].get_text().split())
        assert re.findall(r"(\d+) of (\d+)", title) == [("4", "6")]
        assert len(done.figures[name].legends[0].get_texts()) == 5


def test_adjusters_that_go_unlike_on_both_sides(garage: Garage) -> None:
    """Left and right are told by name, each with its own amount, longer positive."""
    car = garage.car()
    (axle,) = (one.axles["front"] for one in compared(garage).outcomes if one.plan.name == "joint")
    told = adjusted_words(car.front, replace(axle, toe_link=np.array([1.5, -2.5])), car.unit)
    assert "tie rod +1.5 mm (left), -2.5 mm (right) (longer positive)" in told
    alike = adjusted_words(car.front, replace(axle, toe_link=np.array([1.5, 1.5])), car.unit)
    assert "tie rod +1.5 mm (longer positive)" in alike
