"""What `setup` refuses, in words: which entry, what was read, what is allowed, and nothing written."""

import shlex
import tomllib
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.survey.test_measuring_sheet import filled_in

CAR = demo_text("lowered_coupe.toml")
PLANS = demo_text("lowered_coupe_plans.toml")
SALOON = demo_text("rear_drive_saloon.toml")
WORDS = ["setup", "car.toml", "plans.toml"]


@pytest.fixture(autouse=True)
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "car.toml").write_text(CAR, encoding="utf-8")
    (tmp_path / "plans.toml").write_text(PLANS, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def refused(words: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert main(words) == 2
    told = capsys.readouterr()
    assert told.out == ""
    return told.err


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, str]:
    """The PDF and the file of the plan "rack up"."""
    folder = tmp_path_factory.mktemp("sheet")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        (folder / "car.toml").write_text(CAR, encoding="utf-8")
        (folder / "plans.toml").write_text(PLANS, encoding="utf-8")
        assert main([*WORDS, "--plan", "rack up", "--write", "s.pdf", "s.toml"]) == 0
    return (folder / "s.pdf").read_bytes(), (folder / "s.toml").read_text(encoding="utf-8")


def test_which_plan_is_asked(capsys: pytest.CaptureFixture[str]) -> None:
    told = refused(WORDS, capsys)
    names = '"tie-rod ends down", "rack up", "rack up, more camber"'
    assert f"--plan: is missing: say which of 4 plans; allowed: {names}" in told
    told = refused([*WORDS, "--plan", "rack upp"], capsys)
    assert '--plan: there is no plan "rack upp"; did you mean "rack up"?' in told


def test_a_plan_that_breaks_a_rule(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = refused([*WORDS, "--plan", "strut tops in", "--write", "s.pdf"], capsys)
    assert '"strut tops in": cannot be built: front strut top by 9 mm is forbidden' in told
    assert not (garage / "s.pdf").exists()


def test_files_of_another_kind_and_files_that_are_there(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = refused([*WORDS, "--plan", "rack up", "--write", "s.txt"], capsys)
    assert '--write: read "s.txt"; a name that ends in .pdf or .toml is allowed' in told
    (garage / "s.pdf").write_text("mine", encoding="utf-8")
    assert "s.pdf: is there already; add --replace" in refused(
        [*WORDS, "--plan", "rack up", "--write", "s.pdf"], capsys
    )
    assert (garage / "s.pdf").read_text(encoding="utf-8") == "mine"


def test_a_cross_weight_without_weights(capsys: pytest.CaptureFixture[str]) -> None:
    told = refused(["setup", "car.toml", "--cross", "50"], capsys)
    assert "--cross: a cross-weight needs both axles, [front.spring] and [front.weights], wheelbase" not in told
    assert "--cross: a cross-weight needs both axles, [front.spring] and [front.weights]" in told


def test_a_cross_weight_that_no_perch_brings(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With the front perches alone: one of their springs would have to push the car down."""
    (garage / "car.toml").write_text(f"{SALOON}\n[front.adjusters]\nperch_thread = 2\n", encoding="utf-8")
    assert "--cross: no perches bring 70 %: springs come loose" in refused(
        ["setup", "car.toml", "--cross", "70"], capsys
    )


def test_springs_that_cannot_be_right_are_said_on_the_sheet(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As measured, without a cross-weight, the rest of the sheet needs no springs."""
    spring = "[front.spring]\n"
    assert spring in SALOON
    text = SALOON.replace(spring, f"{spring}free_length = 400\nblock_length = 390\n", 1)
    (garage / "car.toml").write_text(text, encoding="utf-8")
    assert main(["setup", "car.toml"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "wheel loads, cannot be told (front.spring would be coil bound as the car stands; are its rate" in out


@pytest.mark.campaign
def test_the_next_command_reads_this_sheet_back(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A change of the rear axle, and limits from another file, are of it too."""
    (garage / "car.toml").write_text(SALOON, encoding="utf-8")
    (garage / "my limits.toml").write_text('units = "mm"\n[limits]\n', encoding="utf-8")
    words = ["setup", "car.toml", "--limits", "my limits.toml", "--axle", "rear", "--change", "ride height", "-9"]
    assert main([*words, "--write", "s.toml"]) == 0
    (line,) = [line for line in capsys.readouterr().out.splitlines() if line.startswith("then: cornersweep ")]
    text = filled((garage / "s.toml").read_text(encoding="utf-8"), no5="-2")
    (garage / "s.toml").write_text(text, encoding="utf-8")
    assert main(shlex.split(line.removeprefix("then: cornersweep "))) == 0


def test_options_that_mean_nothing_together(capsys: pytest.CaptureFixture[str]) -> None:
    told = refused([*WORDS, "--measured", "s.pdf", "--cross", "50", "--write", "a.pdf"], capsys)
    for option in ("--cross", "--write"):
        assert f"{option}: means nothing beside --measured; leave it out" in told


def filled(text: str, **rows: str) -> str:
    """The file with readings written in place of blanks, by `no5="..."`."""
    for name, value in rows.items():
        text = text.replace(
            f'no = {name.removeprefix("no")}, reads = "?"', f"no = {name.removeprefix('no')}, reads = {value}"
        )
    return text


def test_words_for_numbers(sheet: tuple[bytes, str], garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In the file and on the PDF alike, with the entry, all at once."""
    read = {"3": "about two", "5": "12", "1": "1,485"}
    (garage / "f.toml").write_text(
        filled(sheet[1], **{f"no{n}": f'"{one}"' for n, one in read.items()}), encoding="utf-8"
    )
    (garage / "f.pdf").write_bytes(filled_in(sheet[0], read | {"1 doubt": "good"}))
    for name in ("f.toml", "f.pdf"):
        told = refused([*WORDS, "--measured", name], capsys)
        assert told.startswith(f"{name}: {'4' if name == 'f.pdf' else '3'} faults\n")
        assert (
            'no. 1 (front left ride height): read "1,485"; a number from 0 to 1500 mm is allowed; what was not read '
            "stays blank"
        ) in told
        assert 'no. 3 (front left camber): read "about two"; a number from -15 to 15 degrees is allowed' in told
        assert 'no. 5 (front left toe-in): read "12"; -10 to 10 degrees is allowed' in told
    assert 'no. 1 (front left ride height) doubt: read "good"; a number from 0 to 100 mm is allowed' in told


@pytest.mark.parametrize(
    ("was", "now", "says"),
    [
        (
            'no = 6, reads = "?"',
            "no = 60, reads = 0.1",
            "no. 60: is no number of this sheet; numbers 1 to 10 are allowed",
        ),
        ('no = 6, reads = "?"', "no = 5, reads = 0.1", "no. 5: read twice; leave one of the two out"),
        ('sheet = "', 'sheet = "x', 'this sheet asks for other numbers than "rack up" now has'),
        (
            'plan = "rack up"',
            'plan = "rack"',
            'it is for the plan "rack", which none of the plan files named here holds',
        ),
        ('units = "mm"', 'units = "in"', "this sheet is in inches, the car file in mm; write a new one"),
        ("readings = [", "reading = [", "reading: this key is not known here; did you mean readings?"),
    ],
)
def test_a_file_that_is_wrong(
    was: str, now: str, says: str, sheet: tuple[bytes, str], garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = filled(sheet[1], no1="148")
    assert was in text
    (garage / "f.toml").write_text(text.replace(was, now, 1), encoding="utf-8")
    assert says in refused([*WORDS, "--measured", "f.toml"], capsys)


def test_a_sheet_of_another_plan_or_car(
    sheet: tuple[bytes, str], garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (garage / "f.pdf").write_bytes(filled_in(sheet[0], {"1": "148"}))
    told = refused([*WORDS, "--plan", "tie-rod ends down", "--measured", "f.pdf"], capsys)
    assert '--plan: read "tie-rod ends down", but the sheet is for "rack up"; leave the option out' in told
    moved = CAR.replace(
        "lower_pivot_front = { ahead = 118,  out = 352, up = 148 }",
        "lower_pivot_front = { ahead = 118,  out = 352, up = 149 }",
    )
    assert moved != CAR
    (garage / "car.toml").write_text(moved, encoding="utf-8")
    told = refused([*WORDS, "--measured", "f.pdf"], capsys)
    assert (
        'this sheet asks for other numbers than "rack up" now has: the car file or the plan has changed since' in told
    )


@pytest.mark.campaign
def test_what_is_no_sheet(sheet: tuple[bytes, str], garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "blank.pdf").write_bytes(sheet[0])
    assert "nothing is filled in" in refused([*WORDS, "--measured", "blank.pdf"], capsys)
    assert main(["sheet", "strut", "other.pdf"]) == 0
    capsys.readouterr()
    assert "this PDF is no set-up sheet" in refused([*WORDS, "--measured", "other.pdf"], capsys)
    assert "there is no such file" in refused([*WORDS, "--measured", "gone.toml"], capsys)
    (garage / "spoiled.pdf").write_bytes(sheet[0][: len(sheet[0]) // 2])
    assert "spoiled.pdf: 1 fault" in refused([*WORDS, "--measured", "spoiled.pdf"], capsys)


def test_markup_in_names_is_only_text(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A name that would be markup is printed as it is, in the PDF too, and the file stays TOML."""
    name = "<b>fast</b> & [red]low[/] {x}"
    text = PLANS.replace('name = "rack up"', f'name = "{name}"', 1).replace(
        'on_top_of = "rack up"', f'on_top_of = "{name}"'
    )
    (garage / "plans.toml").write_text(text, encoding="utf-8")
    assert main([*WORDS, "--plan", name, "--write", "s.pdf", "s.toml"]) == 0
    assert name in " ".join(capsys.readouterr().out.split())
    from tests.survey.test_measuring_sheet import pages_of

    assert name in pages_of((garage / "s.pdf").read_bytes()).pages[0].extract_text()
    text = (garage / "s.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text)["plan"] == name
    (garage / "s.toml").write_text(filled(text, no1="148"), encoding="utf-8")
    assert main([*WORDS, "--measured", "s.toml"]) == 0


def test_scales_that_do_not_add_up(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "car.toml").write_text(SALOON, encoding="utf-8")
    assert main(["setup", "car.toml", "--write", "s.toml"]) == 0
    text = filled((garage / "s.toml").read_text(encoding="utf-8"), no3="290", no4="285", no11="215", no12="260")
    (garage / "s.toml").write_text(text, encoding="utf-8")
    capsys.readouterr()
    assert main(["setup", "car.toml", "--measured", "s.toml"]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "the scales do not add up" in out
    # 290 + 285 + 215 + 260, and what the car file's scales show: 290 + 285 + 265 + 260.
    assert "they show 1050.0 kg, the plan's car weighs 1100.0 kg" in out
