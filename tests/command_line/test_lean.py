"""`lean`: what is printed, its files, exit status, and the same car in inches, pounds and pounds per inch."""

import contextlib
import csv
import io
import math
import re
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main
from tests.short_run import leave_undrawn

SALOON = demo_text("rear_drive_saloon.toml")
FILES = ["lean.csv", "lean.png", "lean_doubt.csv", "wheel_rates.csv", "wheel_rates.png"]
INCH, POUND, GRAVITY = 25.4, 0.45359237, 9.80665  # mm, kg, m/s^2; exact by definition (formula)
POUND_FORCE = POUND * GRAVITY  # N
RATE = POUND_FORCE / INCH  # N/mm in one lb/in

_LENGTHS = re.compile(
    r"\b(ahead|out|up|known_to|radius|measured_to|wheelbase|behind_front|rack_travel|gap|diameter|length|arm)"
    r"( *= )(-?[0-9.]+)"
)


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "car.toml").write_text(SALOON, encoding="utf-8")
    return tmp_path


@dataclass(frozen=True)
class Leaned:
    """The saloon's tables, and what was printed beside them."""

    folder: Path
    told: str


def lean_of(folder: Path, car: str) -> Leaned:
    """Lean of a car into a folder, its figures not drawn."""
    (folder / "car.toml").write_text(car, encoding="utf-8")
    out = io.StringIO()
    with pytest.MonkeyPatch.context() as patch, contextlib.redirect_stdout(out):
        patch.chdir(folder)
        leave_undrawn(patch)
        assert main(["lean", "car.toml", "--into", "out"]) == 0
    return Leaned(folder / "out", out.getvalue())


@pytest.fixture(scope="module")
def leaned(tmp_path_factory: pytest.TempPathFactory) -> Leaned:
    return lean_of(tmp_path_factory.mktemp("lean"), SALOON)


@cache
def in_inches() -> str:
    """The saloon in inches, lb, lb/in and lb s/in, to full precision."""
    text = _LENGTHS.sub(lambda read: f"{read[1]}{read[2]}{float(read[3]) / INCH!r}", SALOON)
    text = re.sub(
        r"^(left|right|unsprung) = ([0-9.]+)", lambda read: f"{read[1]} = {float(read[2]) / POUND!r}", text, flags=re.M
    )
    text = re.sub(r"^rate = ([0-9.]+)", lambda read: f"rate = {float(read[1]) / RATE!r}", text, flags=re.M)
    stop = "[[8, 250], [18, 1100], [26, 2800]]"
    pairs = [[8 / INCH, 250 / POUND_FORCE], [18 / INCH, 1100 / POUND_FORCE], [26 / INCH, 2800 / POUND_FORCE]]
    for was, now in (
        ('units = "mm"', 'units = "in"'),
        (stop, repr(pairs)),
        ("travel = [-25, 25]", f"travel = [{-25 / INCH!r}, {25 / INCH!r}]"),
        ("from = 150, to = 300", f"from = {150 / INCH!r}, to = {300 / INCH!r}"),
        ("from = -0.006, to = 0.006", f"from = {-0.006 * INCH!r}, to = {0.006 * INCH!r}"),
    ):
        assert text.count(was) == 1, was
        text = text.replace(was, now)
    return text


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def in_one_line(told: str) -> str:
    return re.sub(r"\s+", " ", told)


@pytest.mark.usefixtures("garage")
def test_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["lean", "car.toml"]) == 0
    told = capsys.readouterr()
    said = in_one_line(told.out)
    for words in (
        "575",
        "525",
        "wheel rate",
        "ride frequency",
        "Roll gradient:",
        "deg per g",
        "Front share",
        "CAUTION",
    ):
        assert words in said
    assert "no prediction of a lap time" in said
    assert "nan" not in said.lower()
    assert told.err == ""
    assert "\x1b" not in told.out


@pytest.mark.campaign
def test_what_is_told_of_ride_height_does_not_hang_on_the_working_range(
    garage: Path, leaned: Leaned, capsys: pytest.CaptureFixture[str]
) -> None:
    (garage / "car.toml").write_text(SALOON.replace("travel = [-25, 25]", "travel = [-60, 10]"), encoding="utf-8")
    main(["lean", "car.toml"])
    at_rest = re.compile(r"\W*(wheel rate |spring travel|the same in roll|bar at)")
    told = [
        [line for line in said.splitlines() if at_rest.match(line)] for said in (leaned.told, capsys.readouterr().out)
    ]
    assert len(told[0]) == 4
    assert told[0] == told[1]


@pytest.mark.campaign
def test_files(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["lean", "car.toml", "--into", "new/out"]) == 0
    said = capsys.readouterr().out.replace("\n", "")
    out = garage / "new" / "out"
    assert sorted(path.name for path in out.iterdir()) == FILES
    for name in FILES:
        assert f"wrote {Path('new/out') / name}" in said
    assert (out / "lean.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.campaign
@pytest.mark.parametrize(("text", "begins"), [("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_drawings(text: str, begins: bytes, garage: Path) -> None:
    assert main(["lean", "car.toml", "--into", "out", "--drawing", text]) == 0
    assert (garage / "out" / f"lean.{text}").read_bytes().startswith(begins)


def test_tables_have_no_hole_without_a_note(leaned: Leaned) -> None:
    for name in ("lean.csv", "wheel_rates.csv"):
        rows = table(leaned.folder / name)
        assert len(rows) > 10
        for row in rows:
            holes = [key for key, value in row.items() if value == "" and key != "note"]
            assert not holes or row["note"]
            assert all(math.isfinite(float(value)) for key, value in row.items() if key != "note" and value)


def test_loads_add_up(leaned: Leaned) -> None:
    """Wheel loads are the car's weight at every acceleration: 290 + 285 kg in front, 265 + 260 kg behind."""
    told = [row for row in table(leaned.folder / "lean.csv") if not row["note"]]
    rows = [{key: float(value) for key, value in row.items() if key != "note"} for row in told]
    assert len(rows) > 20
    at_rest = {"front_left": 290.0, "front_right": 285.0, "rear_left": 265.0, "rear_right": 260.0}
    for place, mass in at_rest.items():
        assert rows[0][f"wheel_load_{place}_N"] == pytest.approx(mass * GRAVITY, abs=1e-3)
    for row in rows:
        whole = sum(row[f"wheel_load_{place}_N"] for place in at_rest)
        assert whole == pytest.approx(1100.0 * GRAVITY, abs=1e-3)
        for axle, mass in (("front", 575.0), ("rear", 525.0)):
            both = row[f"wheel_load_{axle}_left_N"] + row[f"wheel_load_{axle}_right_N"]
            # A body that pitches by a tenth of a degree takes its weight along by a thousandth of the wheelbase.
            assert both == pytest.approx(mass * GRAVITY, rel=1e-3)
            # Load moved since rest is half of what the difference of the two has grown by.
            apart = row[f"wheel_load_{axle}_right_N"] - row[f"wheel_load_{axle}_left_N"]
            rest = (at_rest[f"{axle}_right"] - at_rest[f"{axle}_left"]) * GRAVITY
            assert row[f"load_moved_{axle}_N"] == pytest.approx((apart - rest) / 2.0, abs=1e-3)
    accelerations = [row["lateral_acceleration_g"] for row in rows]
    assert accelerations == sorted(accelerations)
    assert accelerations[0] == 0.0
    rolls = [row["roll_deg"] for row in rows]
    assert all(after > before for before, after in pairwise(rolls))


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_a_wheel_off_the_ground_is_noted(garage: Path) -> None:
    """Without a bar in front and with the mass high, the rear inner wheel lifts, or the front one; the row says so."""
    tall = SALOON.replace("centre_of_gravity = { up = 520", "centre_of_gravity = { up = 800")
    (garage / "car.toml").write_text(tall, encoding="utf-8")
    assert main(["lean", "car.toml", "--into", "out"]) == 0
    rows = table(garage / "out" / "lean.csv")
    places = [f"{axle}_{side}" for axle in ("front", "rear") for side in ("left", "right")]
    lifted = [row for row in rows if any(row[f"wheel_load_{place}_N"] in ("0.0", "-0.0") for place in places)]
    assert lifted
    for row in lifted:
        assert "off the ground: " in row["note"] or "no balance" in row["note"]


def test_what_is_said_of_wheel_lift_goes_as_far_as_balances_do(leaned: Leaned) -> None:
    """Beyond the last balance nothing is known of the wheels."""
    said = in_one_line(leaned.told)
    rows = [row for row in table(leaned.folder / "lean.csv") if row["lateral_acceleration_g"]]
    last = float(rows[-1]["lateral_acceleration_g"])
    found = re.search(r"No wheel leaves the ground up to ([0-9.]+) g|leaves the ground at about ([0-9.]+) g", said)
    assert found
    # Told to a hundredth, or a tenth, of a g.
    assert float(found[1] or found[2]) <= last + 0.05


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_nothing_is_overwritten_unasked(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "out").mkdir()
    (garage / "out" / "wheel_rates.csv").write_text("mine", encoding="utf-8")
    assert main(["lean", "car.toml", "--into", "out"]) == 2
    told = capsys.readouterr()
    assert "wheel_rates.csv" in told.err
    assert told.out == ""
    assert [path.name for path in (garage / "out").iterdir()] == ["wheel_rates.csv"]
    assert (garage / "out" / "wheel_rates.csv").read_text(encoding="utf-8") == "mine"
    assert main(["lean", "car.toml", "--into", "out", "--replace"]) == 0
    assert sorted(path.name for path in (garage / "out").iterdir()) == FILES
    assert (garage / "out" / "wheel_rates.csv").read_text(encoding="utf-8") != "mine"


@pytest.mark.usefixtures("garage")
@pytest.mark.parametrize(
    "arguments", [["--grip", "0"], ["--grip", "much"], ["--grip-loss", "1.5"], ["--grip-loss", "-1"]]
)
def test_grip_that_is_none(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["lean", "car.toml", *arguments])
    assert ended.value.code == 2
    assert arguments[0] in capsys.readouterr().err


@pytest.mark.campaign
@pytest.mark.usefixtures("garage")
def test_grip_without_loss_gives_up_at_its_coefficient(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["lean", "car.toml", "--grip", "0.9", "--grip-loss", "0"]) == 0
    assert "front at 0.90 g, rear at 0.90 g" in in_one_line(capsys.readouterr().out)


@pytest.fixture(scope="module")
def inches(tmp_path_factory: pytest.TempPathFactory) -> Leaned:
    return lean_of(tmp_path_factory.mktemp("inches"), in_inches())


@pytest.mark.campaign
class TestInInches:
    """The same car in inches, lb and lb/in: the same physics in other figures."""

    def test_tables(self, inches: Leaned, leaned: Leaned) -> None:
        factors = {"_in": ("_mm", INCH), "_lb": ("_N", POUND_FORCE), "_lb_per_in": ("_N_per_mm", RATE)}
        for file in ("lean.csv", "wheel_rates.csv"):
            metric, imperial = table(leaned.folder / file), table(inches.folder / file)
            assert len(metric) == len(imperial)
            for key in imperial[0]:
                if key == "note":
                    continue
                endings = [one for one in factors if key.endswith(one)]
                ending = max(endings, key=len, default="")
                to, factor = factors.get(ending, ("", 1.0))
                same = key.removesuffix(ending) + to
                for one, other in zip(metric, imperial, strict=True):
                    if one[same] == "":
                        assert other[key] == ""
                        continue
                    # Balances are found to 1e-8 mm, forces of some kN on 1e2 N/mm follow; zeros are zeros to that.
                    assert float(other[key]) * factor == pytest.approx(float(one[same]), rel=1e-7, abs=1e-5), key

    def test_printed(self, inches: Leaned) -> None:
        said = in_one_line(inches.told).partition("wrote ")[0]
        # 575 kg and 525 kg in pounds, rounded: 1267.66 and 1157.43.
        assert "1268" in said
        assert "1157" in said
        assert "lb/in" in said
        for symbol in ("N/mm", " mm", " kg"):
            assert symbol not in said
