"""The best plan, as `find`, `compare` and `report` tell of it: no two of them contradict each other, none sends round.

What `find` wants most is read from the plan file that it writes, room in a limit from the heights in `compare`'s own
table (formula: the nearer end of the range), and each next command is run as it is printed.
"""

import re
import shlex
import tomllib
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.outputs.reported import parsed, words

CAR, MEANS, FOUND = "car.toml", "car_means.toml", "out/find_plans.toml"
LOW, HIGH = -20.0, 160.0  # mm; as measured the roll centre lies about midway
WIDE = f"""
units = "mm"
[limits.front]
roll_centre_height = {{ from = {LOW}, to = {HIGH}, over = "ride height" }}
force_weighted_height = {{ from = -928, to = 1072, over = "roll" }}
"""
NO_WAY = 'units = "mm"\n[limits.front]\nroll_centre_height = { from = 400, to = 410, over = "ride height" }\n'
LOWER = """
units = "mm"
[[plan]]
name = "down"
[[plan.change]]
what = "ride height"
by = -26
"""
SPACER = 'units = "mm"\n[[plan]]\nname = "packed"\n[[plan.change]]\nwhat = "spring spacer"\nby = 1\n'
SENTENCE = "Stops, adjusters and joints only rule plans out; `find` counts the room to them."


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setattr("reports.paper.html._picture", lambda *_: iter(()))
    for name, text in {
        CAR: demo_text("hill_climb_hatchback.toml"),
        MEANS: demo_text("hill_climb_hatchback_means.toml"),
        "wide.toml": WIDE,
        "no_way.toml": NO_WAY,
        "lower.toml": LOWER,
        "spacer.toml": SPACER,
        "saloon.toml": demo_text("rear_drive_saloon.toml"),
    }.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def wanting(garage: Path, want: str) -> None:
    text = demo_text("hill_climb_hatchback_means.toml")
    assert text.count('want = "lowest"') == 1
    (garage / MEANS).write_text(text.replace('want = "lowest"', f'want = "{want}"'), encoding="utf-8")


def told(capsys: pytest.CaptureFixture[str], *asked: str) -> tuple[int, list[str]]:
    status = main(list(asked))
    said = capsys.readouterr()
    assert said.err == ""
    return status, [line.rstrip() for line in said.out.splitlines()]


def next_of(lines: list[str]) -> list[str]:
    """The words after "cornersweep" of the command that comes next."""
    (line,) = [one for one in lines[:4] if one.startswith("Next: ")]
    assert len(line) <= 80
    start, *then = shlex.split(line.removeprefix("Next: "))
    assert start == "cornersweep"
    return then


def runs(capsys: pytest.CaptureFixture[str], command: list[str]) -> None:
    """It does not stumble over what it was told: 0 and 1 only say whether limits hold."""
    assert main([*command, "--draws", "100"] if command[0] == "doubt" else command) in (0, 1)
    assert capsys.readouterr().err == ""


@pytest.mark.campaign
@pytest.mark.parametrize(
    "want",
    ["lowest", "least change", "price", "fewest parts"],
)
def test_a_report_by_means_is_about_what_they_want_most(
    want: str, garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wanting(garage, want)
    # Less is asked of the car than it holds as measured, so that something has to be done.
    means = (garage / MEANS).read_text(encoding="utf-8").replace("chance = 0.8 ", "chance = 0.9 ")
    (garage / MEANS).write_text(means, encoding="utf-8")
    told(capsys, "find", CAR, MEANS, "--into", "out")
    plans = tomllib.loads((garage / FOUND).read_text(encoding="utf-8"))["plan"]
    assert plans[0]["name"] == "best"
    _, lines = told(capsys, "report", CAR, "found.html", "--means", MEANS)
    assert 'With "best" ' in " ".join(lines[:2])
    tree = parsed((garage / "found.html").read_text(encoding="utf-8"))
    assert 'Plan: "best"' in [words(one) for one in tree.iter("h2")]
    by = {change["what"]: change["by"] for change in plans[0]["change"]}
    first = next(words(one) for one in tree.iter("li") if words(one).startswith('Make the changes of "best": '))
    assert all(re.search(rf"{what} [-+]?{abs(amount):g} mm", first) for what, amount in by.items())
    if len(plans) > 1:
        (table,) = [one for one in tree.iter("table") if "all plans" in words(one)]
        named = [words(cell) for cell in table.iter("th")]
        assert "the most wanted of the means first" in words(table)
        rows = ["as measured", "best (told of here)", *(one["name"] for one in plans[1:])]
        assert [one for one in named if one in rows] == rows


@pytest.mark.campaign
def test_a_report_is_about_the_car_as_it_is_where_the_means_want_no_change(
    garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The plan beside it has more room, yet the means are content with what is there, as `find` says."""
    wanting(garage, "fewest parts")
    _, found = told(capsys, "find", CAR, MEANS)
    assert "The car as measured holds all 5 limits" in " ".join(found[:2])
    _, ranked = told(capsys, "compare", CAR, "lower.toml")
    assert 'Most room with "down"' in " ".join(ranked[:2])
    status, lines = told(capsys, "report", CAR, "found.html", "lower.toml", "--means", MEANS)
    assert status == 0
    assert "No plan of the means is wanted more than the car as measured." in " ".join(lines[:2])
    tree = parsed((garage / "found.html").read_text(encoding="utf-8"))
    assert not [one for one in tree.iter("h2") if words(one).startswith("Plan: ")]
    (table,) = [one for one in tree.iter("table") if "all plans" in words(one)]
    assert "The car as measured leads, then all plans" in words(table)


@pytest.mark.campaign
def test_what_the_car_as_measured_holds_sends_nobody_back_to_find(
    garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    limited = [CAR, "--limits", "wide.toml"]
    status, _ = told(capsys, "find", *limited, MEANS, "--into", "out")
    assert status == 0
    status, lines = told(capsys, "compare", *limited, FOUND)
    assert status == 0
    assert "No plan that can be built leaves more room in its tightest limit." in " ".join(lines[:2])
    heights = re.findall(r"^ (\w+ \w+|best) +([\d.]+) mm (above|below) +2 of 2", "\n".join(lines), flags=re.MULTILINE)
    over = {name: float(height) * (1.0 if way == "above" else -1.0) for name, height, way in heights}
    room = {name: min(height - LOW, HIGH - height) for name, height in over.items()}
    assert {"as measured", "best"} <= room.keys()
    assert room["as measured"] == max(room.values()) > room["best"]
    assert next_of(lines) == ["doubt", *limited]
    runs(capsys, next_of(lines))
    status, lines = told(capsys, "report", *limited, "found.html", FOUND)
    assert status == 0
    assert next_of(lines) == ["doubt", *limited]
    page = words(parsed((garage / "found.html").read_text(encoding="utf-8")))
    assert "No plan that can be built leaves more room in its tightest limit." in page
    assert "The car as measured leads, then all plans, by checks that hold" in page


def test_plans_that_find_made_do_not_lead_back_to_it(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where nothing holds: the same plans in a file of one's own lead on to `find`."""
    limited = [CAR, "--limits", "no_way.toml"]
    status, found = told(capsys, "find", *limited, MEANS, "--into", "out")
    assert status == 1
    assert next_of(found) == ["compare", *limited, FOUND]
    status, lines = told(capsys, *next_of(found))
    assert status == 1
    assert next_of(lines) == ["influence", CAR]
    runs(capsys, next_of(lines))
    (garage / "mine.toml").write_text((garage / FOUND).read_text(encoding="utf-8"), encoding="utf-8")
    _, lines = told(capsys, "compare", *limited, "mine.toml")
    assert next_of(lines) == ["find", *limited, MEANS]


@pytest.mark.campaign
def test_the_plan_to_take_is_written_by_the_command_that_is_printed(
    garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status, lines = told(capsys, "compare", CAR, "lower.toml")
    assert status == 0
    assert next_of(lines) == ["compare", CAR, "lower.toml", "--write-car", "down", "after.toml"]
    runs(capsys, next_of(lines))
    assert tomllib.loads((garage / "after.toml").read_text(encoding="utf-8"))["front"]["points"]
    _, lines = told(capsys, "compare", CAR, "--change", "ride height", "-26")
    assert lines[2] == "Next: the same with --write-car 'this change' after.toml"  # in full it is too long for a line


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
def test_what_no_car_file_tells_leads_to_the_set_up_sheet(capsys: pytest.CaptureFixture[str]) -> None:
    """Spacers are a matter for the sheet: `--write-car` refuses them."""
    status, lines = told(capsys, "compare", "saloon.toml", "--limits", "wide.toml", "spacer.toml")
    assert status == 0
    assert next_of(lines) == ["setup", "saloon.toml", "--limits", "wide.toml", "spacer.toml", "--plan", "packed"]
    assert main(["compare", *next_of(lines)[1:-2], "--write-car", "packed", "after.toml"]) == 2
    assert "changes the spring spacer" in capsys.readouterr().err
    runs(capsys, next_of(lines))


@pytest.mark.campaign
def test_find_leads_to_the_set_up_sheet_of_its_best_plan(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Its tightest is a stop, which ranks no plan in `compare`: that says so."""
    _, lines = told(capsys, "find", CAR, MEANS, "--into", "out")
    assert next_of(lines) == ["setup", CAR, FOUND, "--plan", "best"]
    runs(capsys, next_of(lines))
    row = " ".join(" ".join(lines).split()).partition(" best front: ")[2].partition(" other 1 ")[0]
    assert re.search(r"travel .*to the bump", row)
    _, compared = told(capsys, "compare", CAR, FOUND)
    assert "bump stop" not in " ".join(compared).partition("what limits it")[2].partition("Adjusters")[0]
    assert SENTENCE in " ".join(compared)
    told(capsys, "report", CAR, "found.html", "--means", MEANS)
    assert SENTENCE in words(parsed((garage / "found.html").read_text(encoding="utf-8")))


@pytest.mark.campaign
def test_what_is_surer_is_named_where_the_car_as_measured_has_more_room(
    garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Room and chance need not agree, where one limit is known less well; both numbers stand in the table too."""
    steered = f'{WIDE}bump_steer = {{ from = -0.0053, to = 0.0053, over = "ride height" }}\n'
    (garage / "steered.toml").write_text(steered, encoding="utf-8")
    (garage / "lower.toml").write_text(LOWER.replace("-26", "-28"), encoding="utf-8")
    status, lines = told(capsys, "compare", CAR, "--limits", "steered.toml", "lower.toml")
    assert status == 0
    chances = dict(re.findall(r"^ (as measured|down) .* (\d+) % ", "\n".join(lines), flags=re.MULTILINE))
    assert int(chances["down"]) >= int(chances["as measured"]) + 5
    head = " ".join(lines[:2])
    assert "leaves more room in its tightest limit" in head
    assert f'; "down" is surer to hold all ({chances["down"]} %).' in head
    assert next_of(lines) == ["doubt", CAR, "--limits", "steered.toml"]
    _, reported = told(capsys, "report", CAR, "--limits", "steered.toml", "found.html", "lower.toml")
    assert reported[:3] == lines[:3]
