"""How far to trust a car's lean: doubt of springs, bars, tyres, weights and body, against closed forms and whole files.

Formula throughout: a number y of independent inputs x, each known to u, is known to the root of the sum of (dy/dx u)^2
(JCGM 100:2008, 5.1.2, from memory); derivatives are written out here of rates in parallel and in series and of
phi / a = M h / (K - M g h). 95 %: 1.96 of it.
"""

import csv
import json
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from kinematics.car.car import Car
from kinematics.car.parts_known import parts_of
from kinematics.doubt.lean_doubt import LeanDoubt, lean_doubt
from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.demo_cars import DEMO_CARS, LOWERED_COUPE, demo_text
from kinematics.inputs.reading.faults import InputFaultError
from kinematics.loads.load_numbers import UNDER_LOAD
from kinematics.loads.report import LeanSheet, lean_sheet
from kinematics.loads.under_load import manoeuvres, under_load
from reports.command_line import main
from tests.short_run import at_places

WAY = 1.959964  # JCGM 100:2008, table G.1, from memory
G = 9.80665

# One standard deviation of each, beside what it stands beside in the demo car's file.
KNOWN = {
    "centre_of_gravity": ("up = 520,", "up = 520, up_known_to = 15,"),
    "wheelbase": ("wheelbase = 2560", "wheelbase = 2560\nwheelbase_known_to = 5"),
    "front weights": ("unsprung = 36 ", "known_to = 1.5\nunsprung = 36 "),
    "front unsprung": ("unsprung = 36 ", "unsprung_known_to = 2\nunsprung = 36 "),
    "front spring": ("rate = 34 ", "rate_known_to = 1.0\nrate = 34 "),
    "front bar": ("diameter = 22", "rate_known_to = 2.0\ndiameter = 22"),
    "front tyre": ("rate = 210  ", "rate_known_to = 15\nrate = 210  "),
    "rear spring": ("rate = 27", "rate_known_to = 0.8\nrate = 27"),
}
BARE = demo_text(DEMO_CARS["rear-drive-saloon"])
BARE = re.sub(r"measured_to = 2.5.*", "", BARE).replace(", known_to = 5", "")


def text_of(*named: str) -> str:
    text = BARE
    for name in named:
        old, new = KNOWN[name]
        assert text.count(old) == 1, name
        text = text.replace(old, new)
    return text


def doubted(*named: str) -> LeanDoubt:
    car = car_from(tomllib.loads(text_of(*named)), "doubted")
    found = lean_doubt(car, lean_sheet(car), car.limits.working)
    assert found is not None
    assert len(found.counted.sources) == len(named) + ("front weights" in named)
    return found


@pytest.fixture(scope="module")
def alone() -> Mapping[str, LeanDoubt]:
    """The doubt by each source alone."""
    return {name: doubted(name) for name in KNOWN}


def springs(found: LeanDoubt, key: str, axle: int) -> float:
    return float(found.half_width_95("springs", key)[axle, 0])


def value(found: LeanDoubt, key: str, axle: int) -> float:
    return float(found.first["springs", key].value[axle, 0])


def test_a_spring_rate(alone: Mapping[str, LeanDoubt]) -> None:
    """The spring's force at rest is the scales', so that the wheel rate changes by the rate times the square of the
    motion ratio (virtual work, formula), and the front spring touches nothing of the rear."""
    for name, axle, known_to in (("front spring", 0, 1.0), ("rear spring", 1, 0.8)):
        ratio = value(alone[name], "motion_ratio", axle)
        assert springs(alone[name], "wheel_rate", axle) == pytest.approx(WAY * known_to * ratio**2, rel=0.01)
        assert springs(alone[name], "wheel_rate", 1 - axle) == 0.0
        assert springs(alone[name], "spring_force", axle) == pytest.approx(0.0, abs=1e-6)


def test_a_bar_rate_and_a_tyre_rate(alone: Mapping[str, LeanDoubt]) -> None:
    """A bar's stiffness is in proportion to its rate; of K in series with the tyres' T, dK/dT = (K / T)^2."""
    found = alone["front bar"]
    bar = found.sheet.car.front.loads.bar
    assert bar is not None
    relative = springs(found, "roll_stiffness_of_bar", 0) / value(found, "roll_stiffness_of_bar", 0)
    assert relative == pytest.approx(WAY * 2.0 / bar.rate, rel=1e-6)
    both = value(found, "roll_stiffness_of_springs", 0) + value(found, "roll_stiffness_of_bar", 0)
    series = value(found, "roll_stiffness", 0)
    assert springs(found, "roll_stiffness", 0) == pytest.approx(
        springs(found, "roll_stiffness_of_bar", 0) * (series / both) ** 2, rel=1e-3
    )
    tyres = 1.0 / (1.0 / series - 1.0 / both)
    by_tyre = (series / tyres) ** 2 * tyres * WAY * 15.0 / 210.0
    assert springs(alone["front tyre"], "roll_stiffness", 0) == pytest.approx(by_tyre, rel=0.01)


def stiffness_left(sheet: LeanSheet) -> tuple[float, float, float]:
    """M h, K - M g h and M of the textbook's roll, of numbers that the sheet tells."""
    front, rear = sheet.front, sheet.rear
    mass = sum(one.setup.loads.sprung_mass for one in (front, rear))
    behind = rear.setup.loads.sprung_mass / mass
    arm = sheet.car.centre_of_gravity - (front.roll_centre * (1.0 - behind) + rear.roll_centre * behind)
    return mass * arm, front.roll.stiffness + rear.roll.stiffness - mass * G * arm, mass


def test_the_textbooks_roll_by_the_centre_of_gravity_and_by_stiffness(alone: Mapping[str, LeanDoubt]) -> None:
    """phi / a = M h / (K - M g h): by h, M K / (K - M g h)^2; by K, -M h / (K - M g h)^2."""
    moment, left, mass = stiffness_left(alone["wheelbase"].sheet)
    by_height = mass * (left + moment * G) / left**2 * np.degrees(1.0) * G
    found = float(alone["centre_of_gravity"].half_width_95("car", "textbook_gradient"))
    assert found == pytest.approx(WAY * 15.0 * by_height, rel=0.005)
    by_stiffness = moment / left**2 * np.degrees(1.0) * G
    for name, axle in (("front bar", 0), ("front tyre", 0), ("rear spring", 1)):
        expected = springs(alone[name], "roll_stiffness", axle) * by_stiffness
        assert float(alone[name].half_width_95("car", "textbook_gradient")) == pytest.approx(expected, rel=0.01)


def test_the_textbooks_load_moved_by_the_rear_springs(alone: Mapping[str, LeanDoubt]) -> None:
    """Of the elastic part K_f phi / t only phi knows of the rear's stiffness: it goes as 1 / (K - M g h)."""
    found = alone["rear spring"]
    _, left, _ = stiffness_left(found.sheet)
    elastic = found.first["car", "moved_elastic"].value[0]
    expected = elastic / left * springs(found, "roll_stiffness", 1)
    assert found.half_width_95("car", "moved_elastic")[0] == pytest.approx(expected, rel=0.01)
    assert found.half_width_95("car", "moved_geometric") == pytest.approx(np.zeros(2), abs=1e-6)


def test_the_scales(alone: Mapping[str, LeanDoubt]) -> None:
    """An axle's weight is the sum of two pads, each known to 1.5 kg; by how much its unsprung part is off, the springs
    carry less."""
    assert springs(alone["front weights"], "weight", 0) == pytest.approx(WAY * 1.5 * np.sqrt(2.0), rel=1e-9)
    assert springs(alone["front unsprung"], "weight", 0) == pytest.approx(0.0, abs=1e-9)


def test_the_roll_axis(alone: Mapping[str, LeanDoubt]) -> None:
    """The sprung mass is over it by as much more as it is higher. Of a slope s = d / l, ds = -d / l^2 by the wheelbase,
    and of the angle that over 1 + s^2."""
    found = alone["centre_of_gravity"]
    assert float(found.half_width_95("car", "arm")) == pytest.approx(WAY * 15.0, rel=1e-9)
    assert float(found.half_width_95("car", "axis_inclination")) == 0.0
    found = alone["wheelbase"]
    slope = (found.sheet.rear.roll_centre - found.sheet.front.roll_centre) / 2560.0
    by_wheelbase = slope / 2560.0 / (1.0 + slope**2)
    assert float(found.half_width_95("car", "axis_inclination")) == pytest.approx(WAY * 5.0 * by_wheelbase, rel=1e-4)


def test_under_load_in_files_with_other_numbers() -> None:
    """Half of what two cars differ by, each read from its own file and balanced by itself."""
    asked = manoeuvres(0.8, None, 0.7)
    car = car_from(tomllib.loads(text_of("rear spring")), "doubted")
    found = lean_doubt(car, lean_sheet(car), car.limits.working, loaded=under_load(car, asked))
    assert found is not None
    more, less = (
        under_load(car_from(tomllib.loads(BARE.replace("rate = 27", f"rate = {rate}")), "another"), asked)
        for rate in (27.8, 26.2)
    )
    for key in ("force_weighted_height", "front_share", "pitch", "camber"):
        number = next(one for one in UNDER_LOAD if one.key == key)
        expected = WAY * np.abs(number.read(more) - number.read(less)) / 2.0
        scale = float(np.nanmax(expected))
        assert scale > 0.0
        told = found.half_width_95("load", key)
        assert told == pytest.approx(expected, rel=0.01, abs=0.005 * scale, nan_ok=True)


@pytest.mark.campaign
def test_squares_add(alone: Mapping[str, LeanDoubt]) -> None:
    """All sources together, and each alone."""
    together = doubted(*KNOWN)
    for where, key in (("car", "gradient"), ("car", "front_share"), ("car", "moved_in_balance"), ("lean", "heave")):
        squares = np.sum([one.half_width_95(where, key) ** 2 for one in alone.values()], axis=0)
        assert together.half_width_95(where, key) ** 2 == pytest.approx(squares, rel=1e-9, abs=1e-18, nan_ok=True)


@pytest.mark.parametrize(
    ("name", "old", "new"),
    at_places(
        [
            ("front bar", "diameter = 22", "diameter = {}"),
            ("rear spring", "rate = 27", "rate = {}"),
            ("front tyre", "rate = 210  ", "rate = {}  "),
        ],
        0,
    ),
)
def test_files_with_other_numbers(alone: Mapping[str, LeanDoubt], name: str, old: str, new: str) -> None:
    """Half of what two cars differ by, each read from its own file and balanced by itself. Of the bar the rate goes as
    the fourth power of its diameter (Roark, from memory)."""
    found = alone[name]
    (source,) = found.counted.sources
    assert source.part is not None
    assert source.part.known_to is not None
    bar = found.sheet.car.front.loads.bar
    assert bar is not None
    known_to, middle = source.part.known_to, float(re.findall(r"[\d.]+", old)[0])
    ends = [
        middle * (1.0 + sign * known_to / bar.rate) ** 0.25 if name == "front bar" else middle + sign * known_to
        for sign in (1.0, -1.0)
    ]
    more, less = (lean_sheet(car_from(tomllib.loads(BARE.replace(old, new.format(end))), "another")) for end in ends)
    assert float(found.half_width_95("car", "gradient")) == pytest.approx(
        WAY * abs(more.gradient - less.gradient) / 2.0, rel=2e-3
    )
    assert float(found.half_width_95("car", "front_share")) == pytest.approx(
        WAY * abs(more.front_share - less.front_share) / 2.0, rel=2e-3
    )
    # Up to where the first wheel lifts.
    low = found.sheet.balance.acceleration < 1.0 * G
    for key in ("roll", "heave", "wheel_load"):
        expected = WAY * np.abs(more[key] - less[key])[..., low] / 2.0
        scale = float(expected.max())
        assert found.half_width_95("lean", key)[..., low] == pytest.approx(expected, rel=5e-3, abs=5e-3 * scale)


@pytest.mark.campaign
def test_many_cars_drawn() -> None:
    """200 cars drawn by another hand: each number of the file off by chance, the car read anew. The standard deviation
    of so many is itself known to 5 % (formula: 1 / sqrt(2 N)); three of these are allowed."""
    together = doubted("centre_of_gravity", "rear spring", "front tyre", "front unsprung")
    rng, found = np.random.default_rng(2024), []
    for _ in range(200):
        up, rear, tyre, unsprung = rng.normal([520.0, 27.0, 210.0, 36.0], [15.0, 0.8, 15.0, 2.0])
        text = BARE.replace("up = 520", f"up = {up}").replace("rate = 27", f"rate = {rear}")
        text = text.replace("rate = 210  ", f"rate = {tyre}  ").replace("unsprung = 36 ", f"unsprung = {unsprung} ")
        sheet = lean_sheet(car_from(tomllib.loads(text), "drawn"))
        found.append([sheet.gradient, sheet.front_share, sheet.front.ride.frequency, sheet["roll"][14]])
    drawn = np.std(np.array(found), axis=0, ddof=1)
    first = [
        float(together.half_width_95("car", "gradient")),
        float(together.half_width_95("car", "front_share")),
        springs(together, "ride_frequency", 0),
        float(together.half_width_95("lean", "roll")[14]),
    ]
    assert drawn * WAY == pytest.approx(first, rel=0.15)


def car_of(text: str) -> Car:
    return car_from(tomllib.loads(text), "file")


def test_what_is_not_told_is_not_counted() -> None:
    bare = car_of(BARE)
    assert lean_doubt(bare, lean_sheet(bare), bare.limits.working) is None
    told = parts_of(car_of(text_of("front bar")))
    assert [one.what.value for one in told if one.known_to is not None] == ["bar rate"]
    assert len(told) == 2 + 7 + 6  # of the body; two weights, unsprung, spring, tyre, damper of each axle, and a bar


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            "rate = 34 ",
            "rate_known_to = 12\nrate = 34 ",
            r"front\.spring\.rate_known_to: .*up to a third.*11\.3",
        ),
        ("rate = 27", "motion_ratio_known_to = 0.1\nrate = 27", r"rear\.spring\.motion_ratio_known_to: means nothing"),
        ("unsprung = 36 ", "known_to = 0\nunsprung = 36 ", r"front\.weights\.known_to: read 0; a number above 0"),
        ("up = 520,", "up = 520, up_known_to = 300,", r"body\.centre_of_gravity\.up_known_to: .*up to a third"),
        ("rate = 2.6 ", "rate_known_to = -1\nrate = 2.6 ", r"front\.damper\.rate_known_to: read -1"),
    ],
)
def test_faults(old: str, new: str, said: str) -> None:
    assert BARE.count(old) == 1
    with pytest.raises(InputFaultError, match=said):
        car_of(BARE.replace(old, new))


@pytest.mark.campaign
@pytest.mark.usefixtures("undrawn")
def test_what_is_printed_and_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same way either way on the terminal, in the document and in the file."""
    monkeypatch.chdir(tmp_path)
    Path("car.toml").write_text(text_of("rear spring", "front bar"), encoding="utf-8")
    found = doubted("rear spring", "front bar")
    way = float(found.half_width_95("car", "gradient"))
    assert main(["lean", "car.toml"]) == 0
    first = capsys.readouterr().out.splitlines()
    share, its = 100.0 * found.sheet.front_share, 100.0 * float(found.half_width_95("car", "front_share"))
    said = f"The front axle takes {share:.1f} % of the load moved. Give or take {way:.2f} deg per g and {its:.1f} %."
    assert " ".join(first[:2]).startswith(f"The car rolls {found.sheet.gradient:.2f} deg per g; the ")
    assert said in " ".join(first[:3])
    assert len(first) <= 55
    assert not any("How far to trust it" in line for line in first)
    assert main(["lean", "car.toml", "--all", "--into", "out"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert f"Roll gradient: {found.sheet.gradient:.2f} \N{PLUS-MINUS SIGN} {way:.2f} deg per g in balance" in told
    assert "how well they are known: front bar rate, rear spring rate." in told
    assert "Not counted, as the file says nothing of them" in told
    assert "front and rear points" not in told.partition("Not counted")[0]
    assert "front weights, front unsprung weight, front spring rate, front tyre rate" in told
    with Path("out/lean_doubt.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["number"] == "roll"]
    state = next(row for row in rows if abs(float(row["at"]) - 1.0) < 1e-6)
    at = int(abs(found.sheet.balance.acceleration - G).argmin())
    assert float(state["either_way_95"]) == pytest.approx(float(np.degrees(found.half_width_95("lean", "roll")[at])))
    assert all(row["either_way_95"] or row["note"] for row in rows)

    assert main(["lean", "car.toml", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)["doubt"]
    assert document["counted"] == ["front bar rate", "rear spring rate"]
    assert document["car"]["roll_gradient"] == {"unit": "deg/g", "value": pytest.approx(way)}
    assert "front points" in document["not_counted"]


@pytest.mark.campaign
def test_the_document_of_doubt_has_that_of_lean(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Entry by entry the same; none of a car that does not tell its springs."""
    monkeypatch.chdir(tmp_path)
    text = text_of("rear spring", "centre_of_gravity").replace('units = "mm"', 'units = "mm"\nmeasured_to = 2.0', 1)
    Path("car.toml").write_text(text, encoding="utf-8")
    Path("bare.toml").write_text(demo_text(LOWERED_COUPE), encoding="utf-8")
    documents = []
    for command in (
        ["lean", "car.toml"],
        ["doubt", "car.toml", "--draws", "100"],
        ["doubt", "bare.toml", "--draws", "100"],
    ):
        capsys.readouterr()
        main([*command, "--json"])
        documents.append(json.loads(capsys.readouterr().out))
    lean, told, bare = documents
    assert told["lean"]["doubt"]["counted"][-1] == "rear spring rate"
    assert {key: lean[key] for key in told["lean"]} == told["lean"]
    assert bare["lean"] is None


def test_nothing_told_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("car.toml").write_text(BARE, encoding="utf-8")
    assert main(["lean", "car.toml"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "the file says of nothing how well it is known" in told
    assert "\N{PLUS-MINUS SIGN}" not in told


def test_plans_say_what_they_count(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    text = text_of("front bar").replace('units = "mm"', 'units = "mm"\nmeasured_to = 2.0', 1)
    Path("car.toml").write_text(text, encoding="utf-8")
    plan = '[[plan]]\nname = "shim"\n[[plan.change]]\naxle = "front"\nwhat = "ride height"\nby = -5\n'
    Path("plans.toml").write_text(f'units = "mm"\n{plan}', encoding="utf-8")
    assert main(["compare", "car.toml", "plans.toml", "--doubt", "--draws", "100"]) in (0, 1)
    told = " ".join(capsys.readouterr().out.split())
    assert "Counted besides the points: how well front bar rate is known, in anti-dive" in told
    assert "Not in the room of springs, nor in a working range in balance." in told
