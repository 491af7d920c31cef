"""Inputs that are too large, and characters that are no text: told with what was read and what is allowed, and soon.

The bounds stand in `kinematics/inputs/reading/sizes.py`; the numbers below are what a person reads of them.
"""

import csv
import io
from pathlib import Path

import numpy as np
import pytest

from kinematics import demo_car, read_car
from kinematics.car.uncertainty import Coordinate, independent
from kinematics.inputs.demo_cars import DEMO_CARS, demo_text
from kinematics.inputs.tables.doubt_file import doubt_text
from kinematics.inputs.tables.formula_guard import guarded, unguarded
from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR
from tests.robustness.option_words import captured
from tests.robustness.work_limits import counted
from tests.short_run import at_places

MOST_CALLS = 10_000_000  # the parser alone takes some four million for a megabyte; these files once took far more
SURVEY = demo_text("lowered_coupe_survey.toml")
READING = '  { tape = ["strut_top", "strut_low"], reads = 363.5 },\n'


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    return tmp_path


def plan(name: str, besides: str = "") -> str:
    return f'[[plan]]\nname = "{name}"\n{besides}\n[[plan.change]]\nwhat = "longer ball joint"\nby = 1\n'


def plans(count: int, *, chain: bool = False) -> str:
    below = [f'on_top_of = "p{number - 1}"' if chain and number else "" for number in range(count)]
    return 'units = "mm"\n' + "".join(plan(f"p{number}", below[number]) for number in range(count))


RULE = '[[rule]]\nwords = "a"\nchanges = ["no such thing"]\n'
TOO_LARGE: dict[str, tuple[str, tuple[str, ...], str]] = {
    "500 plans": (plans(500), ("compare", "car.toml", "big.toml"), "plan: read 500 plans; at most 100 are allowed"),
    "a chain of plans": (
        plans(60, chain=True),
        ("compare", "car.toml", "big.toml"),
        "plan p59: with what it stands on top of it has 60 changes; at most 50 are allowed",
    ),
    "12,000 faulty rules": (
        'units = "mm"\n' + RULE * 12_000,
        ("compare", "car.toml", "big.toml"),
        "rule: read 12000 rules; at most 200 are allowed",
    ),
    "15,000 readings": (
        SURVEY.replace("readings = [\n", "readings = [\n" + READING * 15_000),
        ("survey", "big.toml"),
        "front.readings: read 150",
    ),
    "a name of 900,000 characters": (
        SOUND_CAR.replace("club coupe", "x" * 900_000),
        ("show", "big.toml"),
        f'name: read "{"x" * 59}..., 900011 characters; at most 200 are allowed',
    ),
    "a key of 900,000 characters": (
        SOUND_CAR.replace("measured_to", "x" * 900_000),
        ("show", "big.toml"),
        "xxxxxxxx",
    ),
    "a number of 5,000 digits": (
        SOUND_CAR.replace("out = 741", f"out = {'7' * 5000}"),
        ("show", "big.toml"),
        "line 12: read 77777777777777777777..., a number of over 4300 digits; at most 400 are allowed",
    ),
    "a hexadecimal number of 5,000 digits": (
        SOUND_CAR.replace("out = 741", f"out = 0x{'f' * 5000}"),
        ("show", "big.toml"),
        "front.points.wheel_centre.out: read a whole number of some 6000 digits; at most 400 digits are allowed",
    ),
    "a word of 100,000 characters": ("", ("show", "y" * 100_000), f'word 2: read "{"y" * 59}..., 100000 characters'),
}


def test_a_field_of_a_table_beyond_what_csv_holds(garage: Path) -> None:
    (garage / "long.csv").write_text(f"name,ahead,out,up\n{'z' * 200_000},0,1,2\n", encoding="utf-8")
    words = ["import", "long.csv", "out.toml", "--suspension", "strut", "--unit", "mm", "--ground", "0"]
    status, _, err = captured(lambda: main(words))
    assert status == 2
    assert err.splitlines()[1].startswith("  line 2 is not CSV: ")


@pytest.mark.parametrize("what", at_places(TOO_LARGE, 0, 2, 4, 7, 8))
def test_what_is_too_large_is_told_in_short(what: str, garage: Path) -> None:
    content, words, says = TOO_LARGE[what]
    if "readings" in what:
        content = content.replace(" ", "")  # less than the megabyte that a file may have
    (garage / "big.toml").write_text(content, encoding="utf-8")
    with counted(MOST_CALLS):
        status, out, err = captured(lambda: main(list(words)))
    assert status == 2
    assert out == ""
    head, *lines = err.splitlines()
    assert head.endswith((": 1 fault", ": 2 faults"))
    assert len(lines) == (2 if head.endswith("s") else 1)
    assert lines[0].strip().startswith(says)
    assert len(err) < 1000


@pytest.mark.campaign
def test_as_many_as_are_allowed_are_read(garage: Path) -> None:
    (garage / "chain.toml").write_text(plans(40, chain=True), encoding="utf-8")
    status, out, _ = captured(lambda: main(["compare", "car.toml", "chain.toml", "--all"]))
    assert status in (0, 1)
    assert "p39" in out


def test_plans_of_several_files_count_together(garage: Path) -> None:
    for number in range(2):
        text = 'units = "mm"\n' + "".join(plan(f"p{number} {one}") for one in range(60))
        (garage / f"{number}.toml").write_text(text, encoding="utf-8")
    status, _, err = captured(lambda: main(["compare", "car.toml", "0.toml", "1.toml"]))
    assert status == 2
    assert err.splitlines() == ["1.toml: 1 fault", "  read 120 plans; at most 100 are allowed"]


def test_many_faults_fit_on_a_screen_or_two(garage: Path) -> None:
    text = 'units = "mm"\n' + RULE * 200
    (garage / "rules.toml").write_text(text, encoding="utf-8")
    status, _, err = captured(lambda: main(["compare", "car.toml", "rules.toml"]))
    assert status == 2
    assert len(err.encode()) < 8000
    head, *lines = err.splitlines()
    assert head == "rules.toml: 200 faults"
    assert lines[-1] == f"  and {200 - (len(lines) - 1)} more"


def test_no_arguments_are_the_usage_whatever_python_was_called_with(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.argv", ["pytest", "show", "car.toml"])
    status, out, err = captured(lambda: main([]))
    assert status == 2
    assert err.startswith("usage: cornersweep ")
    assert out == ""


CONTROLS = ("\x00", "\x1b", "\x7f", "\x9b", "\u202e", "\u2066", "\u2028", "\t", "\n")
WRITTEN = ("\\u0000", "\\u001b", "\\u007f", "\\u009b", "\\u202e", "\\u2066", "\\u2028", "\\t", "\\n")  # as in TOML
TOLD = ("\\x00", "\\x1b", "\\x7f", "\\x9b", "\\u202e", "\\u2066", "\\u2028", "\\t", "\\n")


@pytest.mark.parametrize(("written", "told"), list(zip(WRITTEN, TOLD, strict=True)))
def test_a_control_character_in_a_name(written: str, told: str, garage: Path) -> None:
    (garage / "odd.toml").write_text(SOUND_CAR.replace("club coupe", f"club{written}coupe"), encoding="utf-8")
    status, out, err = captured(lambda: main(["show", "odd.toml"]))
    assert (status, out) == (2, "")
    allowed = f"without the control character {told} it is allowed"
    assert err.splitlines()[1:] == [f'  name: read "club{told}coupe (invented)"; {allowed}']


@pytest.mark.parametrize(("control", "told"), list(zip(CONTROLS, TOLD, strict=True)))
def test_a_control_character_on_the_command_line(control: str, told: str, garage: Path) -> None:
    assert (garage / "car.toml").is_file()
    for words in (["show", f"a{control}b.toml"], ["show", "car.toml", f"--a{control}b"], [f"sh{control}ow"]):
        status, out, err = captured(lambda words=words: main(words))
        assert (status, out) == (2, "")
        assert told in err
        assert not set(CONTROLS) - {"\n"} & set(err)


@pytest.mark.parametrize("words", [["survey", "a\udcff.toml", "b.toml"], ["survey", "s.toml", "\udcff.toml"]])
def test_a_file_name_whose_bytes_are_no_letters(words: list[str], garage: Path) -> None:
    """As a shell hands over a name in Latin-1: it could stand neither in a car file nor on a terminal."""
    for name in ("a\udcff.toml", "s.toml"):
        (garage / name).write_text(SURVEY, encoding="utf-8")
    status, out, err = captured(lambda: main(words))
    assert (status, out) == (2, "")
    assert '\\udcff.toml"; a name whose letters are UTF-8 is allowed' in err
    assert len(list(garage.iterdir())) == 3


def test_control_characters_in_keys_and_tables(garage: Path) -> None:
    points = 'name,ahead,out,up\n"wheel\x1b[31m",0,741,298\n'
    files = {
        "odd.toml": (SOUND_CAR.replace("measured_to", '"a\\u001bb"'), ["show", "odd.toml"]),
        "odd.csv": (points, ["import", "odd.csv", "out.toml", "--suspension", "strut", "--unit", "mm"]),
        "broken.toml": ("units = \u202e\n", ["show", "broken.toml"]),
    }
    for name, (text, words) in files.items():
        (garage / name).write_text(text, encoding="utf-8")
        status, _, err = captured(lambda words=words: main(words))
        assert status == 2
        assert "\\x1b" in err or "\\u202e" in err
        assert "\x1b" not in err
        assert "\u202e" not in err


def test_why_may_run_over_several_lines(garage: Path) -> None:
    text = 'units = "mm"\n' + plan("p", 'why = """first\nsecond"""')
    (garage / "plans.toml").write_text(text, encoding="utf-8")
    status, _, err = captured(lambda: main(["compare", "car.toml", "plans.toml"]))
    assert (status in (0, 1), err) == (True, "")


FORMULAS = ("=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "=HYPERLINK(1)")


@pytest.mark.campaign
def test_names_of_plans_are_no_formulas_in_tables(garage: Path) -> None:
    """A spreadsheet works out what begins with = + - @ (common practice, no source); a number stays a number."""
    (garage / "plans.toml").write_text('units = "mm"\n' + "".join(map(plan, FORMULAS)), encoding="utf-8")
    small = ["--travel", "-3", "3", "--step", "3", "--roll", "1", "--roll-step", "1", "--into", "out"]
    assert captured(lambda: main(["compare", "car.toml", "plans.toml", *small]))[0] in (0, 1)
    text = (garage / "out" / "front_plans.csv").read_text(encoding="utf-8")
    head, *rows = csv.reader(io.StringIO(text, newline=""))
    assert [cell for cell in head if cell.startswith("'")] == [f"'{name}" for name in FORMULAS]
    cells = [cell for row in rows for cell in row[3:-1] if cell]
    assert any(cell.startswith("-") for cell in cells)
    assert np.isfinite([float(cell) for cell in cells]).all()


@pytest.mark.parametrize("cell", ["-3.0", "+4", "-1e-05", "-.5", "plain", "", "a=b", "'quoted'"])
def test_what_is_no_formula_stays_as_it_is(cell: str) -> None:
    assert guarded(cell) == cell == unguarded(cell)


@pytest.mark.parametrize("cell", [*FORMULAS, "\t=1", "\r=1", "'=1", "''@x", "-", "-inf", "\N{FULLWIDTH EQUALS SIGN}1"])
def test_a_guarded_cell_comes_back(cell: str) -> None:
    assert guarded(cell) == f"'{cell}"
    assert unguarded(guarded(cell)) == cell


def test_a_point_called_like_a_formula_is_none_in_a_doubt_file() -> None:
    car = demo_car(DEMO_CARS["lowered-coupe"])
    text = doubt_text({"front": independent([Coordinate("=A1", "up", (0, 1))], [2.0])}, car.unit)
    assert not [cell for row in csv.reader(io.StringIO(text)) for cell in row if cell.startswith("=")]


ODD_NAMES = {
    "glyphs that no font has": "\N{AUTOMOBILE} \N{CJK UNIFIED IDEOGRAPH-8ECA} \U0010fffd",
    "letters from right to left": "\N{HEBREW LETTER ALEF}\N{HEBREW LETTER BET}",
    "markup": "[bold red]car[/] [link=x]y[/link] :car: $x^2$ %s {0}",
}


@pytest.mark.campaign
@pytest.mark.parametrize("what", at_places(ODD_NAMES, 0))
def test_a_name_is_drawn_and_printed_as_it_is_written(what: str, garage: Path) -> None:
    """Every warning is an error in these tests, so a glyph that is missed would be one."""
    name = ODD_NAMES[what]
    (garage / "odd.toml").write_text(SOUND_CAR.replace("club coupe (invented)", name), encoding="utf-8")
    assert read_car(garage / "odd.toml").name == name
    status, out, _ = captured(lambda: main(["show", "odd.toml", "--all"]))
    assert status in (0, 1)
    assert name in out.replace("\n", " ").replace("  ", " ")
    for ending in ("png", "svg", "pdf"):
        assert captured(lambda ending=ending: main(["draw", "odd.toml", f"odd.{ending}"]))[::2] == (0, "")
        assert (garage / f"odd.{ending}").stat().st_size > 1000


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["compare", "car.toml", "plans.toml"], "trying 3 plans"),
        (["survey", "survey.toml"], "fitting the points"),
    ],
)
def test_long_work_is_told_on_a_terminal(
    words: list[str], says: str, garage: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (garage / "plans.toml").write_text(plans(3), encoding="utf-8")
    (garage / "survey.toml").write_text(SURVEY, encoding="utf-8")
    terminal = _Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    monkeypatch.setenv("TERM", "xterm")
    assert main(words) in (0, 1)
    assert says in terminal.getvalue()
    assert says not in capsys.readouterr().out
