"""A report's page of HTML, read as a browser and as a person reads it: valid, whole, and with the library's numbers.

HTML by html5lib's strict parser (the tokenizer's and tree builder's errors of the WHATWG standard, from memory); what
a page for all must have by WCAG 2.2: language, title, headings, names of figures, heads of tables (from memory).
"""

import collections
import math
import re
from dataclasses import replace

import numpy as np
import pytest

from kinematics import influence, judge, lean_sheet, sweep_bump
from kinematics.doubt.assessment import assess
from kinematics.doubt.question import AT_RIDE_HEIGHT
from kinematics.planning.comparison import compare
from kinematics.planning.travel_budget import told_end, travel_budgets
from tests.outputs.conftest import Garage
from tests.outputs.kinds import KEY, KIND, OF_PLANS
from tests.outputs.read_back import decimals, factor, symbol
from tests.outputs.reported import CHOSEN, DATE, Reported, tables, words

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def both(garage: Garage, campaign: bool) -> dict[str, Reported]:
    return {unit: Reported(garage, unit, campaign) for unit in ("mm", "in")}


@pytest.fixture
def report(both: dict[str, Reported], unit: str) -> Reported:
    return both[unit]


def assert_reads(text: str, value: float, kind: str, unit: str) -> None:
    """That a cell shows a value [inside units] to half of its last digit, with as many digits as its kind has."""
    assert re.fullmatch(r"[-+]?\d+(\.\d+)?", text), text
    digits = len(text.partition(".")[2])
    assert digits == decimals(kind, unit), text
    assert float(text) == pytest.approx(value * factor(kind, unit), abs=0.5000001 * 10.0**-digits)


def test_it_is_whole_and_valid(report: Reported) -> None:
    tree = report.read  # html5lib has raised otherwise
    assert tree.get("lang") == "en"
    assert words(tree.find("head/title")) == "two axles"
    assert [one.tag for one in tree.iter() if one.tag in ("script", "link", "iframe", "img", "object", "base")] == []
    for one in tree.iter():
        for key, value in one.attrib.items():
            name = key if isinstance(key, str) else key[1]
            assert not name.startswith("on"), key
            if name in ("src", "href", "action", "data", "srcset", "poster"):
                assert value.startswith("#"), value
            assert re.findall(r"url\((?!#)", value) == []
    looks = "".join(one.text or "" for one in tree.iter("style"))
    assert "url(" not in looks
    assert "@import" not in looks


def test_every_name_is_there_once(report: Reported) -> None:
    ids = collections.Counter(one.get("id") for one in report.read.iter() if one.get("id"))
    assert [name for name, count in ids.items() if count > 1] == []
    pointed = set(re.findall(r"url\(#([^)]*)\)", report.page)) | set(re.findall(r'href="#([^"]*)"', report.page))
    for one in report.read.iter():
        pointed |= set((one.get("aria-labelledby") or "").split())
    assert pointed - set(ids) == set()
    assert len(pointed) > 8


def test_headings_figures_and_tables_tell_what_they_are(report: Reported) -> None:
    tree = report.read
    assert len(list(tree.iter("h1"))) == len(list(tree.iter("main"))) == 1
    headings = [words(one) for one in tree.iter("h2")]
    assert len(headings) == len(set(headings)) == len(list(tree.iter("section")))
    assert [level for level in ("h3", "h4", "h5", "h6") if list(tree.iter(level))] == []
    drawings = list(tree.iter(f"{SVG}svg"))
    assert len(drawings) == len(list(tree.iter("figure"))) == len(report.document.pictures)
    for one in drawings:
        assert one.get("role") == "img"
        title, text = one.find(f"{SVG}title"), one.find(f"{SVG}desc")
        assert one.get("aria-labelledby") == f"{title.get('id')} {text.get('id')}"
        assert len(words(title)) > 10
        assert len(words(text)) > 40
        # Text is text: what the title says stands in the picture, too.
        drawn = " ".join(words(each) for each in one.iter(f"{SVG}text"))
        assert words(title).split()[0] in drawn
    for one in tree.iter("table"):
        assert words(one.find("caption"))
        assert {each.get("scope") for each in one.find("thead").iter("th")} == {"col"}
        assert {each.get("scope") for part in one.findall("tbody") for each in part.iter("th")} <= {"row", "rowgroup"}
        width = len(list(one.find("thead").iter("th")))
        assert all(sum(int(cell.get("colspan", 1)) for cell in row) == width for row in one.iter("tr"))


def test_the_first_page_says_what_the_commands_say(report: Reported) -> None:
    (head,) = [one for one in report.read.iter("div") if one.get("class") == "headline"]
    lines = [words(one) for one in head]
    assert 1 <= len(lines) <= 2
    found = report.solved.tried.compared[CHOSEN].values("front", "roll_centre_height")[0]
    height = f"{abs(found) * factor('length', report.unit):.{decimals('length', report.unit)}f} {report.unit}"
    assert height in " ".join(lines)
    assert f'"{CHOSEN}"' in " ".join(lines)
    assert "cornersweep" not in " ".join(lines)  # of no use on a garage wall; the terminal says it
    (about,) = [one for one in report.read.iter("p") if one.get("class") == "about"]
    assert DATE in words(about)
    first = next(report.read.iter("section"))
    assert len(list(first.iter(f"{SVG}svg"))) == 2
    assert "force-weighted" in words(first)
    steps = [words(one) for one in first.iter("li")]
    # What is in doubt is measured before anything is bought for it.
    assert steps[0].startswith("Measure again first: height of the front ")
    assert "front ride height" in " ".join(steps)


@pytest.mark.parametrize("axle", ["front", "rear"])
def test_numbers_at_ride_height(report: Reported, axle: str) -> None:
    own, unit = report.solved.car.axle(axle), report.unit
    swept = sweep_bump(own, np.zeros(1))
    study = assess(own, AT_RIDE_HEIGHT, report.solved.limits)
    assert study is not None
    head, *rows = report.table(f"{axle.capitalize()} axle, {own.suspension.name}")
    assert head == ["number", "as measured", "\N{PLUS-MINUS SIGN}", "unit"]
    told = set()
    for title, value, way, shown_unit in rows:
        name, _, side = title.partition(", ")
        key = KEY[name]
        kind = KIND[key]
        told.add(key)
        place = {"": 0, "left": 0, "right": 1}[side]
        assert_reads(value, float(np.asarray(swept[key]).reshape(-1)[place]), kind, unit)
        assert shown_unit == symbol(kind, unit)
        if way:
            assert_reads(way, float(study.half_width_95(("ride height", key)).reshape(-1)[place]), kind, unit)
    assert {"roll_centre_height", "camber", "toe", "bump_steer", "camber_gain", "roll_steer"} <= told


def test_limits_and_what_is_left(report: Reported) -> None:
    unit, limits = report.unit, report.solved.limits
    findings = [one for axle in report.solved.car.axles for one in judge(axle, limits)]
    head, *rows = report.table("Limits, as measured")
    assert head[:6] == ["check", "verdict", "worst", "at", "allowed", "margin"]
    rows = [row for row in rows if len(row) > 1]
    assert len(rows) == len(findings) > 6
    for row, one in zip(rows, findings, strict=True):
        assert row[1] == ("ok" if one.holds else "OUT")
        kind = "angle per length" if "steer" in row[0] else "angle" if "camber" in row[0] else "length"
        worst, margin = row[2].split()[0], row[5].split()[0]
        assert row[2].split()[1] == symbol(kind, unit)
        # What is out may have more digits, to tell it from the end of its range.
        assert float(worst) == pytest.approx(one.worst * factor(kind, unit), abs=0.51 * 10.0 ** -decimals(kind, unit))
        assert float(margin) == pytest.approx(
            abs(one.margin) * factor(kind, unit), abs=0.51 * 10.0 ** -decimals(kind, unit)
        )
        assert row[5].split()[2:] == (
            ["left"] if one.holds else ["too", "low" if one.worst < one.limit.low else "high"]
        )


def test_the_plan_beside_the_car_as_measured(report: Reported) -> None:
    unit, tried = report.unit, report.solved.tried
    fresh = compare(report.solved.car, [one.plan for one in tried.compared.outcomes[1:]], report.solved.limits)
    for axle in ("front", "rear"):
        head, *rows = report.table(f"{axle.capitalize()} axle, before and after")
        assert head == ["number at ride height", "as measured", "with the plan", "change", "unit"]
        titles = {one.title: one for one in fresh.numbers(axle)}
        assert [row[0] for row in rows] == list(titles)
        for title, before, after, change, _ in rows:
            key, kind = titles[title].key, OF_PLANS[title]
            values = [fresh[name].values(axle, key) for name in ("as measured", CHOSEN)]
            for cell, sides in zip((before, after), values, strict=True):
                shown = cell.split(" / ") if cell else []
                assert len(shown) <= len(sides)
                for text, value in zip(shown, sides, strict=False):
                    if math.isfinite(value):
                        assert_reads(text, value, kind, unit)
            if change and all(values) and all(map(math.isfinite, (values[0][0], values[1][0]))):
                assert_reads(change.split(" / ")[0], values[1][0] - values[0][0], kind, unit)


def test_what_each_change_did(report: Reported) -> None:
    """A change's gain is what the plan loses without it: the plan is compared with one less this change."""
    unit, solved = report.unit, report.solved
    head, *rows = report.table("Front axle: what each change adds")
    plan = solved.tried.compared[CHOSEN].plan
    lowered = next(change for change in plan.changes if change.axle == "front")
    less = replace(plan, name="less", changes=tuple(one for one in plan.changes if one is not lowered))
    fresh = compare(solved.car, [plan, less], solved.limits)
    place = next(i for i, title in enumerate(head) if title.startswith("front ride height"))
    (row,) = [row for row in rows if row[0] == "roll-centre height, ride height"]
    judged = ("front", "roll_centre_height", "ride height")
    margins = [
        next(one.margin for one in fresh[name].findings if (one.axle, one.limit.key, one.over) == judged)
        for name in (CHOSEN, "less")
    ]
    assert_reads(row[place], margins[0] - margins[1], "length", unit)


def test_travel(report: Reported) -> None:
    solved = report.solved
    plan = solved.tried.compared[CHOSEN].plan
    budgets = travel_budgets(solved.car, [plan], solved.limits.working)
    _, *rows = report.table("Travel of each corner")
    at = iter(rows)
    for budget in budgets:
        assert next(at) == [budget.plan.name]
        for corner in budget.corners:
            row = next(at)
            assert row[0] == f"{corner.axle} {corner.side}"
            for place, (_, ends) in zip((1, 3), corner.ways(), strict=True):
                end = told_end(ends)
                assert end is not None
                assert_reads(row[place], end.travel, "length", report.unit)
    assert next(at, None) is None


def test_springs_and_load_moved(report: Reported) -> None:
    unit, sheet = report.unit, lean_sheet(report.solved.car, report.solved.limits.working)
    springs = {row[0]: row for row in report.table("Springs at ride height")}
    middle = int(np.argmin(np.abs(sheet.front.rates.travel)))
    for place, axle in ((1, sheet.front), (2, sheet.rear)):
        text = springs["wheel rate"][place]
        rate = float(axle.rates.wheel_rate[:, middle].mean()) * factor("rate", unit)
        assert float(text) == pytest.approx(rate, abs=0.51 * 10.0 ** -len(text.partition(".")[2]))
    assert springs["wheel rate"][3] == symbol("rate", unit)
    moved = {row[0]: row for row in report.table("Load moved")}
    for place, transfer in ((1, sheet.textbook.front), (2, sheet.textbook.rear)):
        parts = [float(moved[one][place]) for one in ("geometric", "elastic", "unsprung")]
        # Formula: the parts add to the whole, each rounded by itself.
        assert sum(parts) == pytest.approx(float(moved["total, textbook"][place]), abs=2.0)
        assert float(moved["total, textbook"][place]) == pytest.approx(
            float(transfer.total) * factor("force", unit), abs=0.51
        )


def test_how_far_to_trust_springs_and_lean(report: Reported) -> None:
    """The document of `lean` at the same car has the same ways, and the figures of that section the bands."""
    unit, doubt = report.unit, report.solved.lean_doubt
    assert doubt is not None
    rows = {row[0]: row for row in report.table("How far to trust springs and lean")}
    for key, title, kind in (("wheel_rate", "wheel rate", "rate"), ("roll_centre_height", "roll centre", "length")):
        row = next(row for name, row in rows.items() if title in name)
        ways = doubt.half_width_95("springs", key)[:, 0] * factor(kind, unit)
        for text, way in zip(row[1:3], ways, strict=True):
            told = text.partition("\N{PLUS-MINUS SIGN}")[2].strip()
            assert float(told) == pytest.approx(way, abs=0.51 * 10.0 ** -len(told.partition(".")[2]))
    read = words(report.read)
    gradient, way = report.solved.lean_doubt.sheet.gradient, float(doubt.half_width_95("car", "gradient"))
    assert f"Roll gradient: {gradient:.2f} \N{PLUS-MINUS SIGN} {way:.2f} deg per g in balance" in read
    assert "Counted, as the file says how well they are known: front and rear points" in read


def test_what_each_point_does(report: Reported) -> None:
    unit = report.unit
    found = influence(report.solved.car.front)
    _, *rows = report.table("Front roll-centre height [")
    step = 1.0 if unit == "mm" else 25.4 / 16.0
    points = {f"{point.replace('_', ' ')} {way}": slope for point, way, slope in found.ranked("roll_centre_height")}
    assert len(rows) == 8
    for place, change, _ in rows:
        digits = len(change.partition(".")[2])
        said = points[place] * step * factor("length", unit)
        assert float(change) == pytest.approx(said, abs=0.51 * 10.0**-digits)


def test_what_to_measure_again(report: Reported) -> None:
    """Formula: shares of a variance; halving a source's deviation takes three quarters of its share away."""
    caption, rows = next(one for one in tables(report.read) if one[0].startswith("Front roll-centre height, "))
    whole = float(caption.split()[-2])
    shares = [float(row[1].removesuffix(" %")) / 100.0 for row in rows[1:]]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) <= 1.03
    for share, row in zip(shares, rows[1:], strict=True):
        left = whole * math.sqrt(1.0 - 0.75 * share)
        rounding = 0.006 * whole + 0.6 * 10.0 ** -decimals("length", report.unit)
        assert float(row[2].split()[0]) == pytest.approx(left, abs=rounding)


def test_definitions_and_cautions(report: Reported) -> None:
    text = words(report.read)
    assert "suspension work can injure or kill" in text
    assert "A lower car has less travel to its bump stops" in text  # the chosen plan lowers it
    meant = {words(one) for one in report.read.iter("dt")}
    symbol_ = report.unit
    assert {f"roll-centre height [{symbol_}]", "camber [deg]", "working range", "chance"} <= meant
