"""What `find` and `influence` tell, write and draw: against `compare`'s margins, the means as written, and slopes.

The margins of a found plan are those that comparing it finds (another path to them), in mm and in inches with factors
of the test's own. Slopes are the library's, which `tests/finding/test_influence.py` holds against differences.
"""

import re
import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from kinematics import read_car
from kinematics.finding.influence import Influence, influence
from kinematics.inputs.car.car_file import read_limits
from kinematics.loads.balanced_share import with_balanced_shares
from kinematics.planning.changes import Change
from kinematics.planning.comparison import Outcome, compare
from kinematics.planning.plans import Plan
from tests.outputs.conftest import Garage, Run, run
from tests.outputs.kinds import KIND
from tests.outputs.read_back import decimals, factor, rows, symbol
from tests.outputs.two_cars import CAR, written
from tests.short_run import at_places

MEANS = """
units = "UNIT"
[[may]]
axle = "front"
what = "longer ball joint"
sizes = [L(8), L(14)]
price = [90, 110]
hours = 3
[[may]]
axle = "front"
what = "ride height"
from = L(-6)
to = L(6)
step = L(6)
[[may]]
axle = "front"
what = "inner pivots"
way = "up"
sizes = [L(6), L(12)]
price = 40
hours = 1.5
"""
HIGH = """
units = "UNIT"
[limits]
travel = [L(-12), L(12)]
roll = 1.0
[limits.front]
roll_centre_height = { from = L(90), to = L(160), over = ["ride height"] }
camber_gain = { from = G(-0.06), to = G(0.0), over = ["ride height"] }
[limits.rear]
roll_centre_height = { from = L(100), to = L(350), over = ["ride height"] }
"""
WITHIN_REACH = HIGH.replace("from = L(90)", "from = L(75)").replace(
    "camber_gain", 'force_weighted_height = { from = L(-900), to = L(900), over = ["ride height"] }\ncamber_gain'
)
Margins = dict[tuple[str, str, str], tuple[float, float]]
OVER = {"at ride height": "ride height", "over the working travel": "travel", "over the working roll": "roll"}
TITLES = {
    "force-weighted roll-centre height": "force_weighted_height",
    "roll-centre height": "roll_centre_height",
    "camber gain": "camber_gain",
}
PRICES = {"longer ball joint": {8.0: 90.0, 14.0: 110.0}, "inner pivots up": {6.0: 40.0, 12.0: 40.0}, "ride height": {}}
HOURS = {"longer ball joint": 3.0, "inner pivots up": 1.5, "ride height": 0.0}
STEP = {"mm": 1.0, "in": 25.4 / 16.0}  # mm: what a point is moved by


class Searches:
    """One that finds a plan and one that finds none, in both units; each is run once, when asked for."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    @cache  # noqa: B019
    def __getitem__(self, asked: tuple[str, str]) -> Run:
        unit, name = asked
        folder = self._folder / f"{name} {unit}"
        folder.mkdir()
        limits = WITHIN_REACH if name == "found" else HIGH
        for file, text in (("car", CAR), ("means", MEANS), ("limits", limits)):
            (folder / f"{file}.toml").write_text(written(text, unit), encoding="utf-8")
        told = ["find", "car.toml", "means.toml", "--limits", "limits.toml", "--into", "out", "--drawing", "svg"]
        return run(told, folder, "out")


@pytest.fixture(scope="module")
def searches(tmp_path_factory: pytest.TempPathFactory) -> Searches:
    return Searches(tmp_path_factory.mktemp("searches"))


def amounts_of(row: dict[str, str], unit: str) -> dict[str, float]:
    """What a plan changes at the front [mm], from its row."""
    return {
        what: round(float(row[f"front {what} [{unit}]"]) / factor("length", unit), 6)
        for what in PRICES
        if float(row[f"front {what} [{unit}]"])
    }


def plan_of(amounts: dict[str, float]) -> Plan:
    changes = [
        Change("front", "inner pivots", shift=(0.0, 0.0, by))
        if what == "inner pivots up"
        else Change("front", what, by)
        for what, by in amounts.items()
    ]
    return Plan("one", tuple(changes))


Amounts = tuple[tuple[str, float], ...]


@cache
def _compared(garage: Garage, name: str, unit: str, every: tuple[Amounts, ...]) -> dict[Amounts, Margins]:
    """Margins of all plans of a trade-off, by their amounts; without any, of the car as measured."""
    limits_file = garage.path("mm", f"limits {name}.toml")
    limits_file.write_text(written(WITHIN_REACH if name == "found" else HIGH, "mm"), encoding="utf-8")
    # The outer shares are those that a car file in that unit gives, with its weights as they are written there.
    limits = with_balanced_shares(read_limits(limits_file), garage.car(unit))
    outcomes = compare(garage.car(), [plan_of(dict(one)) for one in every if one], limits, ()).outcomes
    return dict(zip(((), *(one for one in every if one)), map(_margins, outcomes), strict=True))


def _margins(outcome: Outcome) -> Margins:
    found: Margins = {}
    for one in outcome.findings:
        place = one.axle, one.limit.key, one.over
        width = one.limit.high - one.limit.low
        found[place] = min(found.get(place, (np.inf, width)), (one.margin, width))
    return found


FOUND_OR_NONE = at_places(["found", "none"], 1)


def margins_of(garage: Garage, told: Run, name: str, unit: str, amounts: dict[str, float]) -> Margins:
    """Of a plan, each limit's worst margin over both sides and the width of its range [mm, rad], by `compare`."""
    every = {tuple(sorted(amounts_of(row, unit).items())) for row in rows(told.folder / "find_trade_off.csv")}
    return _compared(garage, name, unit, tuple(sorted(every)))[tuple(sorted(amounts.items()))]


@pytest.mark.parametrize("name", FOUND_OR_NONE)
def test_rows_of_the_trade_off(searches: Searches, garage: Garage, name: str, unit: str) -> None:
    told = searches[unit, name]
    assert told.status == (0 if name == "found" else 1)
    seen = rows(told.folder / "find_trade_off.csv")
    assert [row["plan"] for row in seen[:2]] == ["as measured", "best"]
    for row in seen:
        amounts = amounts_of(row, unit)
        assert float(row["price"]) == sum(PRICES[what].get(by, 0.0) for what, by in amounts.items())
        assert float(row["hours"]) == sum(HOURS[what] for what in amounts)
        raised = amounts.get("ride height", 0.0) * factor("length", unit)
        assert float(row[f"ride height [{unit}]"]) == pytest.approx(raised, abs=1e-9)
        parts = []
        for (axle, key, over), (margin, width) in margins_of(garage, told, name, unit, amounts).items():
            (title,) = (
                f"margin: {axle} {title} {words} [{symbol(KIND[key], unit)}]"
                for title, each in TITLES.items()
                for words, place in OVER.items()
                if (each, place) == (key, over)
            )
            near = pytest.approx(margin * factor(KIND[key], unit), rel=1e-5, abs=1e-6)
            assert float(row[title]) == near, title
            parts.append(100.0 * margin / width)
        assert float(row["worst margin [% of the range]"]) == pytest.approx(min(parts), rel=1e-5, abs=1e-5)
        assert row["holds"] == ("yes" if min(parts) >= 0.0 else "no")
    assert (seen[1]["holds"] == "yes") == (name == "found")


def shown_plans(told: Run) -> dict[str, dict[str, str]]:
    """Rows of the table of plans, their broken lines joined, by name and head."""
    lines = told.out.splitlines()
    head = next(i for i, line in enumerate(lines) if line.split()[:2] == ["plan", "changes"])
    starts = [match.start() for match in re.finditer(r"(?<=  )\S|(?<=^ )\S", lines[head])]
    names = [lines[head][a:b].strip() for a, b in zip(starts, [*starts[1:], None], strict=True)]
    found: dict[str, dict[str, str]] = {}
    plan = ""
    for line in lines[head + 2 :]:
        if not line.strip():
            break
        # Numbers stand at the right of their columns: only text is cut at the heads' beginnings.
        plan = line[: starts[1]].strip() or plan
        cells = [line[starts[1] : starts[2]].strip(), line[starts[2] : starts[3]].strip()]
        row = found.setdefault(plan, dict.fromkeys(names, ""))
        row["changes"] = f"{row['changes']} {cells[0]}".strip()
        row["worst margin"] = f"{row['worst margin']} {re.split(r' {3,}', cells[1])[0]}".strip()
        row["numbers"] = row.get("numbers", "") + line[starts[3] - 6 :]
    return found


@pytest.mark.parametrize("name", FOUND_OR_NONE)
def test_plans_in_the_terminal(searches: Searches, garage: Garage, name: str, unit: str) -> None:
    """The tightest check and its margin, price and hours stand beside each plan."""
    told = searches[unit, name]
    seen = {row["plan"]: row for row in rows(told.folder / "find_trade_off.csv")}
    for plan, shown in shown_plans(told).items():
        amounts = amounts_of(seen[plan], unit)
        margins = margins_of(garage, told, name, unit, amounts)
        (axle, key, _), (margin, _) = min(margins.items(), key=lambda one: one[1][0] / one[1][1])
        value, words = shown["worst margin"].split(" ", 1)
        digits = decimals(KIND[key], unit)
        assert value == f"{margin * factor(KIND[key], unit):+.{digits}f}"
        assert words.startswith(f"{symbol(KIND[key], unit)}, {axle} ")
        assert any(words.split(f", {axle} ", 1)[1].startswith(title) for title, each in TITLES.items() if each == key)
        for what, by in amounts.items():
            # The means are in mm: in inches each amount is told to three decimals.
            far = round(by * factor("length", unit), 3 if unit == "in" else 2)
            assert f"{what} {'+' if what == 'ride height' and by > 0.0 else ''}{far:g} {unit}" in shown["changes"]
        assert shown["numbers"].split()[-2:] == [f"{float(seen[plan][each]):g}" for each in ("price", "hours")]


def test_what_is_in_the_way(searches: Searches, garage: Garage, unit: str) -> None:
    """Every limit that the nearest plan misses, by how much; and which of its amounts end where the means end."""
    told = searches[unit, "none"]
    best = rows(told.folder / "find_trade_off.csv")[1]
    amounts = amounts_of(best, unit)
    text = " ".join(told.out.split())
    missed = [margin for margin, _ in margins_of(garage, told, "none", unit, amounts).values() if margin < 0.0]
    gives = re.findall(r"must give way by ([\d.]+) (?:mm|in)", text.split("In the way: ")[1])
    wanted = sorted(f"{-margin * factor('length', unit):.{decimals('length', unit)}f}" for margin in missed)
    assert sorted(gives) == wanted
    ends = text.split("As far as the means go: ")[1]
    assert all((f"front {what} (" in ends) == (by in (14.0, 12.0, -6.0, 6.0)) for what, by in amounts.items())
    assert f"No plan holds all {len(margins_of(garage, told, 'none', unit, amounts))} limits" in text


@pytest.mark.campaign
def test_nothing_is_in_the_way_of_a_plan_that_holds(searches: Searches, unit: str) -> None:
    assert "In the way" not in searches[unit, "found"].out


@pytest.mark.parametrize("name", FOUND_OR_NONE)
def test_files_of_the_best_plan(searches: Searches, name: str, unit: str) -> None:
    told = searches[unit, name]
    best = amounts_of(rows(told.folder / "find_trade_off.csv")[1], unit)
    text = (told.folder / "find_plans.toml").read_text(encoding="utf-8")
    plan = tomllib.loads(text)["plan"][0]
    made = {
        f"{one['what']} up" if "up" in one else one["what"]: float(one.get("by", one.get("up")))
        for one in plan["change"]
    }
    assert plan["name"] == "best"
    assert {what: round(by / factor("length", unit), 5) for what, by in made.items()} == pytest.approx(best)
    head = (told.folder / "find_best.toml").read_text(encoding="utf-8").splitlines()[1]
    assert ("does not hold everything" in head) == (name == "none")


@pytest.mark.campaign
def test_what_is_left_of_the_adjusters(searches: Searches, garage: Garage) -> None:
    """12 mm of toe link either way, less what the best plan takes of it, for the side that takes more."""
    told = searches["mm", "none"]
    amounts = amounts_of(rows(told.folder / "find_trade_off.csv")[1], "mm")
    outcome = compare(garage.car(), [plan_of(amounts)], read_limits(told.folder.parent / "limits.toml"), ()).outcomes[1]
    used = outcome.axles["front"].toe_link
    assert np.abs(used).max() > 0.05
    left = read_car(told.folder / "find_best.toml").front.fittings.adjusters.toe_link
    assert left == pytest.approx((-12.0 - used.min(), 12.0 - used.max()), abs=0.011)


@pytest.mark.parametrize(("name", "words"), at_places([("found", "sweep"), ("none", "compare")], 1))
def test_what_to_do_next(searches: Searches, name: str, words: str, unit: str) -> None:
    """A plan that holds is a car to sweep; of plans that do not, the next thing is to look at them."""
    assert f"Next: cornersweep {words} " in searches[unit, name].out


@cache
def influences(garage: Garage) -> dict[str, Influence]:
    return {axle.name: influence(axle) for axle in garage.car().axles}


@pytest.fixture(scope="module")
def moved(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Run]:
    found = {}
    for unit in ("mm", "in"):
        folder = tmp_path_factory.mktemp(f"moved {unit}")
        (folder / "car.toml").write_text(written(CAR, unit), encoding="utf-8")
        found[unit] = run(["influence", "car.toml", "--into", "out", "--drawing", "svg"], folder, "out")
    return found


@pytest.mark.parametrize("name", ["front", "rear"])
def test_influence_in_the_file(moved: dict[str, Run], garage: Garage, name: str, unit: str) -> None:
    """Each number's change for a millimetre, or a sixteenth of an inch, of each point each way, by side."""
    found = influences(garage)[name]
    titles = {title: key for title, key in TITLES.items() if key in found.slopes} | {"toe": "toe"}
    told = [row for row in rows(moved[unit].folder / f"{name}_influence.csv") if row["number"] in titles]
    (head,) = (title for title in told[0] if title.startswith("change per"))
    assert head == ("change per mm" if unit == "mm" else "change per 1/16 in")
    seen = 0
    for row in told:
        key = titles[row["number"]]
        place = found.points.index(row["point"]), ("ahead", "out", "up").index(row["way"])
        slope = found.slopes[key][place]
        slope = slope[("left", "right").index(row["side"])] if slope.ndim else slope
        assert bool(row[head]) == np.isfinite(slope)
        if row[head]:
            wanted = float(slope) * STEP[unit] * factor(KIND[key], unit)
            assert float(row[head]) == pytest.approx(wanted, rel=1e-5, abs=1e-9)
            assert row["unit"].startswith(symbol(KIND[key], unit))
        seen += 1
    assert seen >= 100


# Which way the kinds of change move points, by the page of plan files: a joint down, a spacer out, what is on the
# chassis any way.
UPRIGHT = ("lower ball joint up", "tie rod outer up", "wheel centre out")
ON_CHASSIS = ("lower pivot front", "lower pivot rear", "tie rod inner", "strut top")


def largest(found: Influence, key: str) -> list[tuple[str, float]]:
    """What kinds of change do: point and way with its slope, of two sides the larger, largest first."""
    slopes = found.slopes[key]
    if slopes.ndim == 3:
        sides = np.nan_to_num(slopes)
        slopes = np.where(np.abs(sides[..., 0]) >= np.abs(sides[..., 1]), slopes[..., 0], slopes[..., 1])
    named = [
        (f"{point.replace('_', ' ')} {way}", float(slopes[i, j]))
        for i, point in enumerate(found.points)
        for j, way in enumerate(("ahead", "out", "up"))
        if np.isfinite(slopes[i, j])
    ]
    reached = [one for one in named if one[0] in UPRIGHT or one[0].rpartition(" ")[0] in ON_CHASSIS]
    return sorted(reached, key=lambda one: -abs(one[1]))


def test_influence_in_the_terminal(moved: dict[str, Run], garage: Garage, unit: str) -> None:
    """Under each number its largest effects, signed, largest first; the first line tells the very first."""
    lines, found = moved[unit].out.splitlines(), influences(garage)["front"]
    for title, key in TITLES.items():
        scale = STEP[unit] * factor(KIND[key], unit)
        start = next(i for i, line in enumerate(lines) if line.strip().startswith(f"{title} ["))
        order, told = largest(found, key), []
        for line in lines[start + 1 :]:
            match = re.match(r"\s+([a-z ]+ (?:ahead|out|up))\s+([-+][\d.]+)\s", line)
            if not match:
                break
            told.append((match[1].strip(), float(match[2]), len(match[2].rpartition(".")[2])))
        assert len(told) >= 2
        for (place, value, digits), (_, slope) in zip(told, order, strict=False):
            assert dict(order)[place] * scale == pytest.approx(value, abs=0.51 * 10.0**-digits)
            assert abs(value) == pytest.approx(abs(slope * scale), abs=1.01 * 10.0**-digits)
            assert digits >= 1
    first = " ".join(moved[unit].out.split("Rear ")[0].split())
    told_first = re.search(r"is most sensitive to moving the ([a-z ]+): ([-+][\d.]+) (mm|in) per (mm|1/16 in)", first)
    assert told_first is not None
    (place, slope) = largest(found, "roll_centre_height")[0]
    assert told_first[1] == place
    assert float(told_first[2]) == pytest.approx(slope * STEP[unit] * factor("length", unit), rel=0.01)
    assert told_first[4] == ("mm" if unit == "mm" else "1/16 in")


def test_influence_in_the_chart(moved: dict[str, Run], garage: Garage, unit: str) -> None:
    """Bars as long as the effects, largest first, up and down in two colours."""
    figure, found = moved[unit].figures["front_influence"], influences(garage)["front"]
    head = " ".join(figure.texts[0].get_text().split())
    assert not head.endswith(".")
    assert not re.search(r" -\d", head)
    by_title = {axes.get_title(loc="left"): axes for axes in figure.axes}
    for title, key in TITLES.items():
        axes = by_title[title]
        widths = [bar.get_width() for bar in axes.patches]
        wanted = [slope * STEP[unit] * factor(KIND[key], unit) for _, slope in largest(found, key)[: len(widths)]]
        assert np.abs(widths) == pytest.approx(np.abs(wanted), rel=1e-5)
        signs: dict[bool, set[tuple[float, ...]]] = {True: set(), False: set()}
        for bar, name in zip(axes.patches, (label.get_text() for label in axes.get_yticklabels()), strict=True):
            assert bar.get_width() == pytest.approx(
                dict(largest(found, key))[name] * STEP[unit] * factor(KIND[key], unit)
            )
            signs[bar.get_width() > 0.0].add(tuple(bar.get_facecolor()))
        assert not signs[True] & signs[False]
    colours = {bar.get_width() > 0.0: bar.get_facecolor()[:3] for axes in by_title.values() for bar in axes.patches}
    assert colours[True][2] > colours[True][0]  # more is blue
    assert colours[False][0] > colours[False][2]  # less is red


def test_what_no_point_moves(moved: dict[str, Run], unit: str) -> None:
    """A beam's camber gain, on level ground, is nothing whatever is moved: no effect is told, not one of rounding."""
    told = moved[unit].out.split("rear axle, ")[1].split("camber gain [")[1].split("bump steer [")[0]
    assert not re.search(r"[-+]\d", told)
    for row in rows(moved[unit].folder / "rear_influence.csv"):
        if row["number"] == "camber gain":
            (head,) = (title for title in row if title.startswith("change per"))
            assert float(row[head]) == 0.0
