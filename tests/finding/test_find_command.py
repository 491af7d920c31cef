"""The commands `find` and `influence` as a person meets them: first lines, tables, exit status, files."""

import contextlib
import csv
import io
import re
import tomllib
from dataclasses import dataclass
from pathlib import Path

import pytest

from kinematics import read_car
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.finding.search import find
from kinematics.inputs.car.car_file import read_limits
from kinematics.inputs.demo_cars import demo_text
from kinematics.inputs.plans.means_file import read_means
from reports.command_line import main
from reports.figures.trade_off import trade_off
from tests.command_line.car_texts import filled_in

COLUMNS, MOST_LINES = 80, 45
LIMITS = """
units = "mm"
[limits]
travel = [-12, 12]
roll = 1.0
[limits.front]
roll_centre_height = { from = 0, to = 40, over = "ride height" }
bump_steer = { from = -0.004, to = 0.004, over = ["ride height", "travel"] }
"""
MEANS = """
units = "mm"
[[may]]
what = "longer ball joint"
sizes = [12, 20, 25]
price = [90, 110, 120]
hours = 3
[[may]]
what = "ride height"
from = -6
to = 6
step = 3
[[may]]
what = "tie-rod shim"
from = 0
to = 25
step = 5
[[rule]]
words = "Ball joints are free, up to 20 mm."
changes = "longer ball joint"
at_most = 20
"""
NO_WAY = """
units = "mm"
[[may]]
what = "ride height"
sizes = [-5, 5]
[[may]]
what = "longer ball joint"
sizes = [20, 25]
[[may]]
what = "tie-rod shim"
from = 0
to = 25
step = 5
[[rule]]
words = "Ball joints stay as the maker made them."
changes = ["longer ball joint"]
"""


@dataclass(frozen=True)
class Run:
    """One command: where it ran, its status and what it printed."""

    folder: Path
    status: int
    lines: list[str]


def run(folder: Path, *words: str) -> Run:
    out, err = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patch, contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        patch.setenv("COLUMNS", str(COLUMNS))
        patch.delenv("FORCE_COLOR", raising=False)
        patch.chdir(folder)
        status = main(list(words))
    return Run(folder, status, out.getvalue().splitlines() or err.getvalue().splitlines())


@pytest.fixture(scope="module")
def garage(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("garage")
    texts = {"car.toml": demo_text(), "limits.toml": LIMITS, "means.toml": MEANS, "no_way.toml": NO_WAY}
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def found(garage: Path) -> Run:
    return run(garage, "find", "car.toml", "means.toml", "--limits", "limits.toml", "--into", "out")


@pytest.fixture(scope="module")
def not_found(garage: Path) -> Run:
    return run(garage, "find", "car.toml", "no_way.toml", "--limits", "limits.toml")


def test_the_first_lines_say_what_to_do(found: Run) -> None:
    assert found.status == 0
    answer = " ".join(found.lines[:2])
    assert re.match(r"Front roll centre [\d.]+ mm below ground\. Front: longer ball joint \d+ mm, ", answer)
    assert " holds all 4 limits; chance " in answer
    assert re.search(r"; chance \d+ %\.", answer)
    assert found.lines[2] == "Next: cornersweep sweep out/find_best.toml swept"
    assert all(len(line) <= COLUMNS for line in found.lines)
    assert len(found.lines) < MOST_LINES


def test_what_a_rule_takes_away_is_told(found: Run) -> None:
    told = " ".join(" ".join(found.lines).split())
    assert 'Rule "Ball joints are free, up to 20 mm." takes away 1 amount of front longer ball joint.' in told


def test_compare_agrees_on_the_found_plans(found: Run) -> None:
    compared = run(found.folder, "compare", "car.toml", "out/find_plans.toml", "--limits", "limits.toml")
    assert compared.status == 0
    assert any(re.match(r" best +[\d.]+ mm (above|below) +4 of 4 ", line) for line in compared.lines)


def test_the_best_plan_is_a_car_that_holds_the_limits(found: Run) -> None:
    text = (found.folder / "out/find_best.toml").read_text(encoding="utf-8")
    assert text.startswith("# car.toml after the plan that `cornersweep find` found with means.toml: front: longer")
    shown = run(found.folder, "show", "out/find_best.toml", "--limits", "limits.toml")
    assert shown.status == 0


def test_the_trade_off_has_a_row_for_each_plan(found: Run) -> None:
    with (found.folder / "out/find_trade_off.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [rows[0]["plan"], rows[1]["plan"]] == ["as measured", "best"]
    assert rows[1]["holds"] == "yes"
    assert float(rows[1]["price"]) in (90.0, 110.0)
    heights = {float(row["ride height [mm]"]) for row in rows if row["plan"].startswith("best at")}
    assert heights == {-6.0, -3.0, 0.0, 3.0, 6.0}
    assert (found.folder / "out/find_trade_off.png").read_bytes().startswith(b"\x89PNG")


def test_files_that_are_there_stop_it_first(found: Run) -> None:
    again = run(found.folder, "find", "car.toml", "means.toml", "--limits", "limits.toml", "--into", "out")
    assert again.status == 2
    assert "nothing written" in again.lines[0]


def test_where_none_holds_the_rule_that_binds_is_named(not_found: Run) -> None:
    assert not_found.status == 1
    answer = " ".join(not_found.lines[:3])
    assert ". No plan holds all 4 limits" in answer
    assert re.search(r"front roll-centre height at ride height must give way by [\d.]+ mm", answer)
    told = " ".join(" ".join(not_found.lines).split())
    assert 'Rule "Ball joints stay as the maker made them." takes away 2 amounts' in told
    assert "of front longer ball joint: it states no at_most, so it forbids them. Without it a plan holds all." in told
    assert not_found.lines[2].startswith("Next: cornersweep ")


@pytest.mark.parametrize(("limits", "status"), [("limits.toml", 1), ("wide.toml", 0)])
def test_rules_that_forbid_all_are_the_answer(limits: str, status: int, garage: Path) -> None:
    rule = '[[rule]]\nwords = "Standard."\nchanges = ["longer ball joint", "ride height", "tie-rod shim"]\n'
    (garage / "standard.toml").write_text(NO_WAY[: NO_WAY.index("[[rule]]")] + rule, encoding="utf-8")
    of_rolling = 'force_weighted_height = { from = 0, to = 1, over = "roll" }\n'  # a limit on it stands there anyway
    wide = re.sub(r"from = [-\d.]+, to = [\d.]+", "from = -900, to = 900", f"{LIMITS.rstrip()}\n{of_rolling}")
    (garage / "wide.toml").write_text(wide, encoding="utf-8")
    told = run(garage, "find", "car.toml", "standard.toml", "--limits", limits)
    assert told.status == status
    holds = "holds" if status == 0 else "does not hold"
    answer = " ".join(told.lines[:2])
    assert answer.endswith(f"The class rules forbid every change listed; the car as measured {holds} all 4 limits.")
    assert told.lines[2].startswith("Next: cornersweep ")


@pytest.mark.campaign
def test_where_only_doubt_is_in_the_way_the_words_and_the_picture_say_so(garage: Path) -> None:
    """What holds on the car as measured, and not with nearly every car that it may be."""
    (garage / "sure.toml").write_text(f"chance = 0.9999\n{MEANS}", encoding="utf-8")
    told = run(garage, "find", "car.toml", "sure.toml", "--limits", "limits.toml")
    assert told.status == 1
    assert told.lines[2] == "Next: cornersweep doubt car.toml --limits limits.toml"
    assert all(len(line) <= COLUMNS for line in told.lines)
    assert "Measure again what `cornersweep doubt car.toml` names" in " ".join(" ".join(told.lines).split())
    car, limits = read_car(garage / "car.toml"), read_limits(garage / "limits.toml")
    figure = trade_off(find(car, read_means(garage / "sure.toml", car), limits), car)
    title = " ".join(figure.texts[0].get_text().split())
    assert title.endswith(", on the car as measured; none with a chance of over 99 %")


def test_a_faulty_means_file_is_told(garage: Path) -> None:
    (garage / "faulty.toml").write_text(MEANS.replace("step = 3", "step = 0"), encoding="utf-8")
    faulty = run(garage, "find", "car.toml", "faulty.toml")
    assert faulty.status == 2
    assert faulty.lines[0] == "faulty.toml: 1 fault"


def test_a_stop_keeps_what_was_found(
    garage: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from kinematics.finding import search

    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.chdir(garage)
    monkeypatch.setattr(search, "candidates", stop)
    assert main(["find", "car.toml", "means.toml", "--limits", "limits.toml"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("Stopped early. Front roll centre ")
    assert re.search(r"Front: longer ball joint \d+ mm, .* holds all 4 limits\.", " ".join(out.split()))


def test_influence_names_the_points(garage: Path) -> None:
    told = run(garage, "influence", "car.toml", "--into", "moved")
    assert told.status == 0
    head = " ".join(told.lines[:2])
    assert re.match(r"Front roll-centre height is most sensitive to [a-z ]+: [+-][\d.]+ mm per mm\.", head)
    assert any(re.match(r"\s+tie rod inner up\s+\+0\.\d+\s+tie-rod inner, rack raised\s*$", one) for one in told.lines)
    assert len(told.lines) < MOST_LINES
    assert all(len(line) <= COLUMNS for line in told.lines)
    with (garage / "moved/front_influence.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {row["way"] for row in rows} == {"ahead", "out", "up"}
    assert {row["point"] for row in rows} >= {"lower_ball_joint", "strut_top", "wheel_centre"}
    assert (garage / "moved/front_influence.png").exists()


def test_what_no_kind_of_change_does_waits_for_all(garage: Path) -> None:
    """A wheel centre raised in its upright would do most, but no part does that: a spacer moves it out."""
    told, everything = (run(garage, "influence", "car.toml", *more) for more in ((), ("--all",)))
    assert not any("wheel centre up" in line for line in told.lines)
    (line, *_) = [line for line in everything.lines if "wheel centre up" in line]
    assert line.split()[-2:] == ["point", "only"]
    assert "most sensitive to moving the lower ball joint up: " in " ".join(everything.lines[:2])


def test_what_a_class_rule_forbids_is_marked_and_not_advised(garage: Path) -> None:
    told = run(garage, "influence", "car.toml", "--rules", "no_way.toml")
    rows = [line for line in told.lines if re.match(r"\s+lower ball joint up\s", line)]
    assert rows
    assert all(line.rstrip().endswith(" longer ball joint (down, forbidden)") for line in rows)
    assert "most sensitive to moving the lower pivot front up: " in " ".join(told.lines[:2])
    at_most = run(garage, "influence", "car.toml", "--rules", "means.toml")  # up to 20 mm is not forbidden
    assert not any("forbidden" in line for line in at_most.lines)


def test_a_file_without_rules_is_told(garage: Path) -> None:
    told = run(garage, "influence", "car.toml", "--rules", "limits.toml")
    assert told.status == 2
    assert told.lines[1].startswith("  rule: is missing: no class rules stand here")


def test_influence_of_an_axle_that_is_not_there(garage: Path) -> None:
    told = run(garage, "influence", "car.toml", "--axle", "rear")
    assert told.status == 2
    assert told.lines == ["car.toml: 1 fault", "  --axle: read 'rear'; the car has: front"]


@pytest.mark.campaign
def test_a_limit_over_the_whole_working_range_is_told(garage: Path) -> None:
    """Asked by the file over every travel with every roll, it decides here, and is named in full."""
    text = LIMITS + 'force_weighted_height = { from = -25.4, to = 76.2, over = "working range" }\n'
    (garage / "whole.toml").write_text(text, encoding="utf-8")
    told = run(garage, "find", "car.toml", "means.toml", "--limits", "whole.toml")
    assert told.status in (0, 1)
    assert "force-weighted roll-centre height over the working range" in " ".join(" ".join(told.lines).split())


def test_influence_in_inches_is_told_whole(garage: Path) -> None:
    """Per sixteenth of an inch, as a tape shows it; of no word or number only a part."""
    blank = run(garage, "new", "strut", "--units", "in")
    text = filled_in("\n".join(blank.lines), SUSPENSIONS["strut"], "in")
    (garage / "inches.toml").write_text(text, encoding="utf-8")
    told = run(garage, "influence", "inches.toml")
    assert told.status == 0
    assert "\N{HORIZONTAL ELLIPSIS}" not in "".join(told.lines)
    assert any(line.split() == ["roll-centre", "height", "[in]"] for line in told.lines)
    assert any(line.split()[-2:] == ["reached", "by"] and "per 1/16 in" in line for line in told.lines)
    assert max(map(len, told.lines)) <= 80


def test_no_plan_that_is_found_puts_a_point_under_the_ground(tmp_path: Path) -> None:
    """By hand: with its lowest bush 33 mm up, a car that has room for 60 mm may come down by 30 mm in steps of 5."""
    lowered = ("lower_ball_joint", "lower_pivot_front", "lower_pivot_rear", "tie_rod_outer", "tie_rod_inner")
    hatchback = demo_text("hill_climb_hatchback.toml")
    points = tomllib.loads(hatchback)["front"]["points"]
    down = points["lower_pivot_front"]["up"] - 33
    text = hatchback.split("[limits]")[0]
    for key in lowered:
        line = re.compile(rf"^({key} *=.*?up = )[\d.]+", re.MULTILINE)
        text, count = line.subn(rf"\g<1>{points[key]['up'] - down}", text)
        assert count == 1
    text, count = re.subn(r"^bump = .*$", "bump = 140", text, flags=re.MULTILINE)
    assert count == 1
    wide = """
[limits]
travel = [-5, 5]
roll = 0.5
[limits.front]
roll_centre_height = { from = -300, to = 200, over = "ride height" }
force_weighted_height = { from = -300, over = "roll" }
"""
    (tmp_path / "car.toml").write_text(text + wide, encoding="utf-8")
    means = 'units = "mm"\nwant = "lowest"\n[[may]]\nwhat = "ride height"\nfrom = -60\nto = 0\nstep = 5\n'
    (tmp_path / "means.toml").write_text(means, encoding="utf-8")
    told = run(tmp_path, "find", "car.toml", "means.toml", "--into", "out")
    assert told.status == 0
    assert "Front: ride height -30 mm (" in " ".join(told.lines[:3])
    best = next(at for at, line in enumerate(told.lines) if line.startswith(" best"))
    assert "+3.0 mm, front points' " in told.lines[best]
    assert "room above the ground" in told.lines[best + 1]
    assert min(float(point[0, 2]) for point in read_car(tmp_path / "out/find_best.toml").front.points.values()) < 5.0
