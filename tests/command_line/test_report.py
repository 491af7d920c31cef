"""The command `report`: how it ends, what it refuses, and which plan it tells of."""

import re
import shutil
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.garage.test_a_car_in_fractions import CAR, PLANS
from tests.outputs.reported import pages_by_pypdf, parsed, words

HATCH, COUPE = "hill_climb_hatchback", "lowered_coupe"
NAMED = '"<b>Käfer</b> & Co № 5"'


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    for car in (HATCH, COUPE):
        for part in ("", "_plans", "_means"):
            (tmp_path / f"{car}{part}.toml").write_text(demo_text(f"{car}{part}.toml"), encoding="utf-8")
    return tmp_path


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """No figures: a report then holds words and tables alone."""
    monkeypatch.setattr("reports.paper.html._picture", lambda *_: iter(()))


def report(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    status = main(["report", *arguments])
    told = capsys.readouterr()
    return status, told.out, told.err


def headline(path: Path) -> list[str]:
    tree = parsed(path.read_text(encoding="utf-8"))
    (head,) = [one for one in tree.iter("div") if one.get("class") == "headline"]
    return [words(one) for one in head]


@pytest.mark.usefixtures("quick")
def test_outside_its_limits(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The headline is the one that `show` prints, but for the command that comes next, and so is the exit status."""
    status, out, err = report(capsys, f"{COUPE}.toml", "report.html")
    assert (status, err) == (1, "")
    assert "wrote report.html" in out
    assert main(["show", f"{COUPE}.toml"]) == 1
    shown = capsys.readouterr().out.splitlines()[:3]
    assert shown[2].startswith("Next: ")
    assert " ".join(headline(garage / "report.html")) == " ".join(shown[:2])
    assert out.splitlines()[:3] == shown


@pytest.mark.campaign
@pytest.mark.usefixtures("quick")
def test_the_best_plan_of_the_means(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = report(capsys, f"{HATCH}.toml", "found.html", "--means", f"{HATCH}_means.toml")
    assert status == 0
    assert 'With "best" ' in " ".join(headline(garage / "found.html"))
    assert f"find {HATCH}.toml {HATCH}_means.toml --write-car best after.toml" in " ".join(out.split())


@pytest.mark.campaign
@pytest.mark.usefixtures("quick")
def test_a_plan_that_is_found_beside_one_of_its_name(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "car.toml").write_text(CAR, encoding="utf-8")
    (garage / "plans.toml").write_text(PLANS.replace('name = "down"', 'name = "best"'), encoding="utf-8")
    (garage / "means.toml").write_text(
        'units = "in"\n[[may]]\nwhat = "ride height"\nsizes = ["-3/8"]\n', encoding="utf-8"
    )
    report(capsys, "car.toml", "found.html", "plans.toml", "--means", "means.toml")
    tree = parsed((garage / "found.html").read_text(encoding="utf-8"))
    assert any(words(one) == 'Plan: "best, found"' for one in tree.iter("h2"))
    assert {"best", "best, found"} <= {words(one) for one in tree.iter("th")}


@pytest.mark.campaign
@pytest.mark.usefixtures("quick")
def test_a_plan_that_is_named(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, *_ = report(capsys, f"{COUPE}.toml", "named.html", "--plan", f"{COUPE}_plans.toml", "rack up")
    assert status == 1
    assert 'With "rack up" ' in " ".join(headline(garage / "named.html"))
    tree = parsed((garage / "named.html").read_text(encoding="utf-8"))
    assert any(words(one) == 'Plan: "rack up"' for one in tree.iter("h2"))


@pytest.mark.campaign
@pytest.mark.usefixtures("quick")
def test_a_plan_that_cannot_be_built(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = report(capsys, f"{COUPE}.toml", "named.html", "--plan", f"{COUPE}_plans.toml", "strut tops in")
    assert '"strut tops in" cannot be built' in " ".join(out.split())
    tree = parsed((garage / "named.html").read_text(encoding="utf-8"))
    assert "Strut towers stay as the maker drilled them." in words(tree)


@pytest.mark.usefixtures("quick")
def test_names_and_dates_are_text(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = demo_text(f"{COUPE}.toml").replace('"lowered coupe (invented)"', f"'{NAMED}'")
    (garage / "odd.toml").write_text(text, encoding="utf-8")
    report(capsys, "odd.toml", "odd.html", "--date", "<i>today</i>", "--paper", "letter")
    tree = parsed((garage / "odd.html").read_text(encoding="utf-8"))
    assert words(next(tree.iter("h1"))) == NAMED
    (about,) = [one for one in tree.iter("p") if one.get("class") == "about"]
    assert words(about).endswith("<i>today</i>")
    assert "@page { size: letter; }" in "".join(one.text for one in tree.iter("style"))
    assert not re.search(r"20\d\d-\d\d", (garage / "odd.html").read_text(encoding="utf-8"))


@pytest.mark.campaign
@pytest.mark.parametrize("car", ["hill-climb-hatchback", "lowered-coupe", "rear-drive-saloon", "five-link-tourer"])
@pytest.mark.parametrize("ending", ["html", "pdf"])
def test_twice_the_same_to_the_last_byte(
    car: str, ending: str, garage: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name = car.replace("-", "_")
    (garage / f"{name}.toml").write_text(demo_text(f"{name}.toml"), encoding="utf-8")
    made = []
    for _ in range(2):
        report(capsys, f"{name}.toml", f"report.{ending}", "--replace")
        made.append((garage / f"report.{ending}").read_bytes())
    assert made[0] == made[1]
    if ending == "pdf":
        assert f"page 1 of {len(pages_by_pypdf(made[0]))}" in pages_by_pypdf(made[0])[0]


REFUSED = {
    "another ending": (["report.doc"], "read report.doc; a name that ends in .html or .pdf is allowed"),
    "a file that is there": (["taken.html"], "taken.html: is there already; add --replace to write over it"),
    "no such plan": (
        ["report.html", "--plan", f"{COUPE}_plans.toml", "rack upp"],
        '--plan: there is no plan "rack upp"; did you mean "rack up"?',
    ),
    "no such means file": (
        ["report.pdf", "--means", "no_means.toml"],
        "there is no such file; `cornersweep new means no_means.toml` writes one to change",
    ),
    "no such plan file": (["report.pdf", "no_plans.toml"], "no_plans.toml"),
    "no such folder": (["nowhere/report.html"], "there is no folder nowhere"),
}


@pytest.mark.parametrize("case", REFUSED)
@pytest.mark.usefixtures("quick")
def test_what_is_refused(case: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "taken.html").write_text("mine", encoding="utf-8")
    arguments, said = REFUSED[case]
    status, out, err = report(capsys, f"{COUPE}.toml", *arguments)
    assert status == 2
    assert said in err
    assert "Traceback" not in err + out
    assert (garage / "taken.html").read_text(encoding="utf-8") == "mine"
    assert not list(garage.glob("report.*"))


def test_its_looks_are_missing(
    garage: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("reports.paper.html._LOOKS", "gone.css")
    status, _, err = report(capsys, f"{COUPE}.toml", "report.html")
    assert status == 2
    assert "gone.css: cannot be read (No such file or directory), and the report is written with it" in err
    assert not (garage / "report.html").exists()


@pytest.mark.parametrize("spoiled", [None, b"no font"])
def test_a_font_is_missing(
    spoiled: bytes | None,
    garage: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    import matplotlib

    there = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    folder = garage / "data" / "fonts" / "ttf"
    folder.mkdir(parents=True)
    shutil.copy(there / "DejaVuSans.ttf", folder)
    if spoiled is not None:
        (folder / "DejaVuSans-Bold.ttf").write_bytes(spoiled)
    monkeypatch.setattr("matplotlib.get_data_path", lambda: str(garage / "data"))
    status, _, err = report(capsys, f"{COUPE}.toml", "report.pdf")
    assert status == 2
    assert "DejaVuSans-Bold.ttf: cannot be read (" in err
    assert "install cornersweep again" in err
    assert not (garage / "report.pdf").exists()
