"""`doubt` and `compare --doubt`: what is printed and written, and that it says the same in inches."""

import csv
import re
from pathlib import Path

import pytest

from reports.command_line import main
from reports.figures.style import Column
from tests.command_line.car_texts import SOUND_CAR, in_inches, with_tape_points
from tests.short_run import leave_undrawn

FILES = [
    "front_doubt_bump.csv",
    "front_doubt_bump.png",
    "front_doubt_ride_height.csv",
    "front_doubt_roll.csv",
    "front_doubt_roll.png",
    "front_doubt_shares.csv",
    "front_doubt_shares.png",
    "front_doubt_steer.csv",
]
_FEW = ["--draws", "100"]
PLANS = """
units = "mm"
[[plan]]
name = "up"
[[plan.change]]
what = "ride height"
by = 9
[[plan]]
name = "pivots up"
[[plan.change]]
what = "inner pivots"
up = 12
[[plan]]
name = "joint and shim"
[[plan.change]]
what = "longer ball joint"
by = 14
[[plan.change]]
what = "tie-rod shim"
by = 14
"""


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    (tmp_path / "inch.toml").write_text(in_inches(), encoding="utf-8")
    (tmp_path / "plans.toml").write_text(PLANS, encoding="utf-8")
    return tmp_path


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The files of one run, its figures not drawn."""
    folder = tmp_path_factory.mktemp("doubt")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        leave_undrawn(patch)
        (folder / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
        # The sound car is outside its limits, as `show` says of it too.
        assert main(["doubt", "car.toml", "--into", "out", *_FEW]) == main(["show", "car.toml"]) == 1
    return folder / "out"


def test_files_hold_a_value_its_deviation_and_a_drawn_interval_around_it(told: Path) -> None:
    assert sorted(path.name for path in told.iterdir()) == FILES
    table = {(row["number"], row["side"]): row for row in rows(told / "front_doubt_ride_height.csv")}
    for number in (
        ("roll-centre height", ""),
        ("scrub radius", "left"),
        ("scrub radius", "right"),
        ("mechanical trail", "left"),
    ):
        row = table[number]
        assert row["unit"] == "mm"
        value, deviation, low, high = (
            float(row[part]) for part in ("value", "standard_deviation", "drawn_low", "drawn_high")
        )
        assert low < value < high
        # 95 % of a normal distribution: 3.92 standard deviations wide (formula); a hundred draws tell it to some 15 %.
        assert high - low == pytest.approx(3.92 * deviation, rel=0.4)


def test_shares_sum_to_one_for_each_number(told: Path) -> None:
    table = rows(told / "front_doubt_shares.csv")
    for number in ("roll_centre_height_share", "bump_steer_left_share", "caster_right_share"):
        assert sum(float(row[number]) for row in table) == pytest.approx(1.0, abs=1e-12)
    # An arm's height at its ends is what its slope, and so the roll centre's height, hangs on most (common practice).
    most = max(table, key=lambda row: float(row["roll_centre_height_share"]))["measurement"]
    assert most.endswith(" up")
    assert "lower" in most


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_inches_say_the_same(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "car.toml").write_text(with_tape_points(), encoding="utf-8")
    ways = {}
    for file, unit in (("car.toml", "mm"), ("inch.toml", "in")):
        main(["doubt", file, "--into", unit, *_FEW])
        table = rows(garage / unit / "front_doubt_ride_height.csv")
        (row,) = (one for one in table if (one["number"], one["unit"]) == ("roll-centre height", unit))
        ways[unit] = float(row["standard_deviation"])
    capsys.readouterr()
    assert ways["in"] * 25.4 == pytest.approx(ways["mm"], rel=1e-9)


@pytest.mark.campaign
def test_the_same_seed_gives_the_same_files(garage: Path) -> None:
    for folder in ("one", "two"):
        main(["doubt", "car.toml", "--into", folder, *_FEW, "--seed", "3"])
    for name in FILES:
        assert (garage / "one" / name).read_bytes() == (garage / "two" / name).read_bytes()


@pytest.mark.usefixtures("garage")
def test_what_is_asked_about_is_ranked(capsys: pytest.CaptureFixture[str]) -> None:
    main(["doubt", "car.toml", "--about", "scrub radius", "--about", "caster", *_FEW])
    told = capsys.readouterr().out
    assert re.findall(r"^(.+?)(?:, left|, right)? \(± .*which measurement to do again", told, re.M) == [
        "scrub radius",
        "caster",
    ]


@pytest.mark.parametrize(
    ("change", "options", "says"),
    [
        (("measured_to = 2.0", ""), [], "measured_to: says nothing of how well it was measured"),
        (("", ""), ["--about", "roll center height"], "--about: this car has no number 'roll center height'; did you"),
    ],
)
def test_refusals(
    garage: Path,
    capsys: pytest.CaptureFixture[str],
    change: tuple[str, str],
    options: list[str],
    says: str,
) -> None:
    text = re.sub(r", (camber_|toe_in_)?known_to = [0-9.]+", "", SOUND_CAR) if change[0] else SOUND_CAR
    (garage / "car.toml").write_text(text.replace(*change) if change[0] else text, encoding="utf-8")
    assert main(["doubt", "car.toml", "--into", "out", *options, *_FEW]) == 2
    assert says in capsys.readouterr().err
    assert not (garage / "out").exists()


def test_nothing_is_overwritten_unasked(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "out").mkdir()
    (garage / "out/front_doubt_roll.csv").write_text("mine", encoding="utf-8")
    assert main(["doubt", "car.toml", "--into", "out", *_FEW]) == 2
    assert "is there already" in capsys.readouterr().err
    assert (garage / "out/front_doubt_roll.csv").read_text(encoding="utf-8") == "mine"
    assert len(list((garage / "out").iterdir())) == 1


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_plans_tell_how_sure_their_changes_are(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["compare", "car.toml", "plans.toml", "--doubt", "--all", *_FEW, "--into", "out"])
    told = capsys.readouterr().out
    assert "chance that all limits of the front axle really hold" in told.replace("\n", " ")
    found = {(row["plan"], row["number"]): row for row in rows(garage / "out/front_plans_doubt.csv")}
    for plan in ("pivots up", "joint and shim", "up"):
        row = found[plan, "roll-centre height"]
        value, change = (float(row[f"{what}_either_way_95_percent"]) for what in ("value", "change"))
        # Both cars share the errors of measuring, so the change is surer than either.
        assert change < 0.5 * value
        assert float(row["change_drawn_low"]) < float(row["change"]) < float(row["change_drawn_high"])


def test_compare_with_doubt_needs_a_doubt(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = re.sub(r", (camber_|toe_in_)?known_to = [0-9.]+", "", SOUND_CAR).replace("measured_to = 2.0", "")
    (garage / "car.toml").write_text(text, encoding="utf-8")
    assert main(["compare", "car.toml", "plans.toml", "--doubt", *_FEW]) == 2
    assert "says nothing of how well it was measured" in capsys.readouterr().err


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
@pytest.mark.parametrize(
    ("command", "said"),
    [
        pytest.param(["sweep", "car.toml", "out"], "to first order", id="sweep", marks=pytest.mark.campaign),
        pytest.param(["doubt", "car.toml", "--into", "out", *_FEW], "100 drawn cars", id="doubt"),
    ],
)
def test_curves_say_how_their_bands_were_found(command: list[str], said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[str] = []
    kept = Column.__post_init__

    def listening(column: Column) -> None:
        written.extend(column.notes)
        kept(column)

    monkeypatch.setattr(Column, "__post_init__", listening)
    main(command)
    bands = [note for note in written if note.startswith("Bands")]
    assert len(bands) == 2  # in bump and in roll
    assert all(said in note for note in bands)


def test_what_is_next_runs_where_results_are_there_already(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A car well known and far within its limit is swept next: into a folder of which no file is there."""
    known = SOUND_CAR.replace("measured_to = 2.0", "measured_to = 0.1").partition("[limits")[0]
    wide = "{ from = -900, to = 900 }"
    limits = f"[limits.front]\nroll_centre_height = {wide}\nforce_weighted_height = {wide}\n"
    (garage / "known.toml").write_text(f"{known}{limits}", encoding="utf-8")
    for there in ("results", "results_2"):
        main(["doubt", "known.toml", *_FEW])
        assert f"\nNext: cornersweep sweep known.toml {there}\n" in capsys.readouterr().out
        (garage / there).mkdir()
        (garage / there / "front_bump.csv").write_text("mine", encoding="utf-8")
    main(["doubt", "known.toml", *_FEW])
    (line,) = re.findall(r"^Next: cornersweep (.*)$", capsys.readouterr().out, re.MULTILINE)
    assert line == "sweep known.toml results_3"
