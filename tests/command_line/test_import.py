"""`import`: coordinates worked out by hand from the convention, all conventions, sides, units; and the car text."""

import copy
import tomllib
from collections.abc import Callable
from dataclasses import replace
from itertools import permutations, product
from pathlib import Path

import numpy as np
import pytest

from kinematics import read_car
from kinematics.car.lengths import UNITS
from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.car.car_text import car_text
from kinematics.inputs.demo_cars import DEMO_CARS, demo_car, demo_text
from kinematics.inputs.tables.point_table import Convention, axes_from, read_points
from reports.command_line import parsed
from solvers.vectors import Array
from tests.command_line.free_linkage_text import as_free_linkage
from tests.properties.plausible_cars import named, typical_axle

# A drawing whose x points back, y right and z up, in mm, its origin 1400 mm ahead of the front axle and 12.5 mm over
# the ground. Invented. By hand: ahead = 1400 - x, left = -y, up = z + 12.5.
DRAWN = """\
Name,X,Y,Z,remark
Wheel centre,1400,-742,285.5,hub
lower_ball_joint,1396,-690,169.5,
LOWER PIVOT FRONT,1282,-352,168.5,
lower pivot rear,1596,-352,172.5,
strut_top,1422,-566,813.5,
strut_low,1398,-626,407.5,
tie-rod outer,1528,-676,203.5,
tie_rod_inner,1528,-330,204.5,
"""
BY_HAND = {
    "wheel_centre": (0, 742, 298),
    "lower_ball_joint": (4, 690, 182),
    "lower_pivot_front": (118, 352, 181),
    "lower_pivot_rear": (-196, 352, 185),
    "strut_top": (-22, 566, 826),
    "strut_low": (2, 626, 420),
    "tie_rod_outer": (-128, 676, 216),
    "tie_rod_inner": (-128, 330, 217),
}
AXES = ("--forward", "-x", "--left", "-y")
WHOLE = (*AXES, "--unit", "mm", "--ground", "-12.5", "--camber", "-1.5", "--toe", "0.05")
STRUT = SUSPENSIONS["strut"]
KINDS = [kind for kind in SUSPENSIONS.values() if not kind.listed]
MIRROR = np.array([1.0, -1.0, 1.0])


def run(*words: str) -> int:
    options = parsed(words)
    status: int = options.run(options)
    return status


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def check_by_hand(points: dict[str, Array], by_hand: dict[str, tuple[int, int, int]] = BY_HAND) -> None:
    for key, place in by_hand.items():
        assert points[key][0] == pytest.approx(place, abs=1e-9), key
        assert points[key][1] == pytest.approx(place * MIRROR, abs=1e-9), key


@pytest.mark.parametrize("forward", [("--forward", "-x"), ("--forward=-x",), ("--for", "-X")], ids=" ".join)
def test_as_worked_out_by_hand(forward: tuple[str, ...], garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "points.csv").write_text(DRAWN, encoding="utf-8")
    assert run("import", "points.csv", "my_car.toml", "--suspension", "Strut", *forward, *WHOLE[2:]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "wrote my_car.toml: 8 points of a strut, front axle, in mm",
        "then: cornersweep show my_car.toml",
    ]
    car = read_car("my_car.toml")
    assert car.name == "my car"
    (axle,) = car.axles
    assert axle.name == "front"
    assert axle.suspension is STRUT
    check_by_hand(dict(axle.points))
    assert np.degrees(axle.camber) == pytest.approx(-1.5)
    assert np.degrees(axle.toe) == pytest.approx(0.05)
    assert axle.doubt is None
    text = (garage / "my_car.toml").read_text(encoding="utf-8")
    assert "lower_ball_joint  = { ahead = 4,    out = 690, up = 182 }\n" in text
    # Alike on both sides, they stand there once.
    assert ".left" not in text
    assert ".right" not in text


def test_how_well_they_are_known_and_which_axle(garage: Path) -> None:
    (garage / "points.csv").write_text(DRAWN, encoding="utf-8")
    assert (
        run("import", "points.csv", "a.toml", "--suspension", "strut", "--axle", "rear", "--known-to", "0.5", *WHOLE)
        == 0
    )
    (axle,) = read_car("a.toml").axles
    assert axle.name == "rear"
    assert axle.doubt is not None
    assert set(axle.doubt.standard_deviation.tolist()) == {0.5}


def test_angles_not_given_are_left_blank_and_told(garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (garage / "points.csv").write_text(DRAWN, encoding="utf-8")
    assert run("import", "points.csv", "a.toml", "--suspension", "strut", *WHOLE[:8]) == 0
    assert 'still "?": camber and toe_in;' in capsys.readouterr().out
    written = tomllib.loads((garage / "a.toml").read_text(encoding="utf-8"))
    assert written["front"]["wheel"] == {"camber": "?", "toe_in": "?"}
    assert run("import", "points.csv", "a.toml", "--suspension", "strut", *WHOLE[:10], "--replace") == 0
    assert 'still "?": toe_in;' in capsys.readouterr().out


# How else the same table may be written: each a change of the text, and what is then said.
WRITTEN: dict[str, tuple[Callable[[str], str], tuple[str, ...]]] = {
    "semicolons, decimal commas": (
        lambda text: text.replace(",", ";").replace(".5", ",5"),
        ("--unit", "mm", "--ground", "-12.5"),
    ),
    "tabs, decimal commas": (
        lambda text: text.replace(",", "\t").replace(".5", ",5"),
        ("--unit", "mm", "--ground", "-12.5"),
    ),
    "byte order mark, Windows line ends": (
        lambda text: "\ufeff" + text.replace("\n", "\r\n"),
        ("--unit", "mm", "--ground", "-12.5"),
    ),
    "unit in the header": (
        lambda text: text.replace("Name,X,Y,Z", "point, x [mm], y (mm), z"),
        ("--ground", "-12.5"),
    ),
    "comments and blank lines": (
        lambda text: f"# scanned\n\n{text}\n,,,,\n# end\n",
        ("--unit", "mm", "--ground", "-12.5"),
    ),
    "quoted names": (
        lambda text: text.replace("strut_top", '"strut_top"'),
        ("--unit", "mm", "--ground", "-12.5"),
    ),
    "ground as a point": (lambda text: f"{text}Ground,0,0,-12.5,\n", ("--unit", "mm")),
    "centre plane stated": (
        lambda text: "\n".join(shifted(line, 20.0) for line in text.splitlines()),
        ("--unit", "mm", "--ground", "-12.5", "--centre", "-20"),
    ),
    "centre plane as a point": (
        lambda text: "\n".join(shifted(line, 20.0) for line in text.splitlines()) + "\nCentre plane,0,20,0,\n",
        ("--unit", "mm", "--ground", "-12.5"),
    ),
    "another name": (
        lambda text: text.replace("lower_ball_joint", "LBJ"),
        ("--unit", "mm", "--ground", "-12.5", "--name", "lbj=lower_ball_joint"),
    ),
    "another name with a side": (
        lambda text: text.replace("lower_ball_joint", "B7"),
        ("--unit", "mm", "--ground", "-12.5", "--name", "B7 = left lower_ball_joint"),
    ),
    "left said before": (
        lambda text: text.replace("strut_top", "Left strut top"),
        ("--unit", "mm", "--ground", "-12.5"),
    ),
    "left said after": (
        lambda text: text.replace("strut_top", "STRUT_TOP_LEFT"),
        ("--unit", "mm", "--ground", "-12.5"),
    ),
    "in metres": (lambda text: scaled(text, 0.001), ("--unit", "m", "--ground", "-0.0125")),
    "in centimetres": (lambda text: scaled(text, 0.1), ("--unit", "cm", "--ground", "-1.25")),
    "only the right side": (
        lambda text: scaled(text, 1.0, np.array([1.0, -1.0, 1.0])),
        ("--unit", "mm", "--ground", "-12.5"),
    ),
}


def shifted(line: str, by: float) -> str:
    name, x, y, *rest = line.split(",")
    return line if name == "Name" else ",".join([name, x, repr(float(y) + by), *rest])


def scaled(text: str, by: float, turn: Array | None = None) -> str:
    head, *rows = text.splitlines()
    out = [head]
    for row in rows:
        name, *place = row.split(",")[:4]
        values = by * np.array([float(value) for value in place]) * (1.0 if turn is None else turn)
        out.append(",".join([name, *(f"{value:.7g}" for value in values), ""]))
    return "\n".join(out)


@pytest.mark.parametrize("how", WRITTEN)
def test_the_same_table_otherwise(how: str, garage: Path) -> None:
    change, words = WRITTEN[how]
    (garage / "points.csv").write_text(change(DRAWN), encoding="utf-8", newline="")
    assert (
        run("import", "points.csv", "a.toml", "--suspension", "strut", *AXES, *words, "--camber", "-1", "--toe", "0")
        == 0
    )
    check_by_hand(dict(read_car("a.toml").axles[0].points))


def test_inches_stay_inches(garage: Path) -> None:
    # By hand: 742 mm = 29.2126 in to four decimals.
    (garage / "points.csv").write_text(scaled(DRAWN, 1 / 25.4), encoding="utf-8")
    words = ("--unit", "in", "--ground", repr(-12.5 / 25.4), "--camber", "-1", "--toe", "0", "--known-to", "0.02")
    assert run("import", "points.csv", "a.toml", "--suspension", "strut", *AXES, *words) == 0
    text = (garage / "a.toml").read_text(encoding="utf-8")
    assert 'units = "in"' in text
    assert "measured_to = 0.02\n" in text
    assert "out = 29.2126," in text
    for key, place in BY_HAND.items():
        # Rounded to 0.0001 in = 0.00254 mm.
        assert read_car("a.toml").axles[0].points[key][0] == pytest.approx(place, abs=0.00254)


def test_columns_that_say_ahead_out_and_up(garage: Path) -> None:
    lines = ["up;name;out;ahead", "0;ground;0;0"]
    lines += [f"{up};{key};{out};{ahead + 30}" for key, (ahead, out, up) in BY_HAND.items() if key != "strut_top"]
    lines += ["826;left strut_top;566;8", "820;right strut_top;560;5"]
    (garage / "points.csv").write_text("\n".join(lines), encoding="utf-8")
    assert (
        run("import", "points.csv", "a.toml", "--suspension", "strut", "--unit", "mm", "--camber", "-1", "--toe", "0")
        == 0
    )
    points = dict(read_car("a.toml").axles[0].points)
    top = points.pop("strut_top")
    check_by_hand(points, {key: place for key, place in BY_HAND.items() if key != "strut_top"})
    assert top == pytest.approx(np.array([[-22, 566, 826], [-25, -560, 820]]), abs=1e-9)


def test_sides_by_sign_and_the_axle_in_the_middle_of_both_wheels(garage: Path) -> None:
    # The right side 6 mm further back in the drawing, whose x points back: the middle lies 3 mm behind the left hub.
    rows = DRAWN.splitlines()
    for row in DRAWN.splitlines()[1:]:
        name, x, y, z, _ = row.split(",")
        rows.append(f"{name},{float(x) + 6},{-float(y)},{z},")
    (garage / "points.csv").write_text("\n".join(rows), encoding="utf-8")
    assert run("import", "points.csv", "a.toml", "--suspension", "strut", *WHOLE) == 0
    points = read_car("a.toml").axles[0].points
    for key, place in BY_HAND.items():
        assert points[key][0] == pytest.approx(place + np.array([3, 0, 0]), abs=1e-9)
        assert points[key][1] == pytest.approx(place * MIRROR - np.array([3, 0, 0]), abs=1e-9)


def conventions() -> list[tuple[str, str, str]]:
    """All right-handed ones: forward, left and up, 3 axes in 6 orders with 8 pairs of signs, half of them mirrors."""
    found = []
    for order, signs in product(permutations("xyz"), product("+-", repeat=3)):
        # Handedness by counting: an even order of the letters and an even number of minus signs, or both odd (formula).
        swaps = sum(order.index(a) > order.index(b) for a, b in (("x", "y"), ("x", "z"), ("y", "z")))
        if (swaps + signs.count("-")) % 2 == 0:
            found.append(tuple(sign + letter for sign, letter in zip(signs, order, strict=True)))
    return found


def test_there_are_twenty_four() -> None:
    # Rotations of a cube onto itself (from memory).
    assert len(set(conventions())) == 24


@pytest.mark.parametrize("left_out", [None, 0, 1, 2], ids=["none", "forward", "left", "up"])
@pytest.mark.parametrize("words", conventions(), ids=" ".join)
def test_every_convention_leads_back(words: tuple[str, str, str], left_out: int | None, tmp_path: Path) -> None:
    rng = np.random.default_rng(5)
    truth = {}
    for key, place in BY_HAND.items():
        both = np.array([place, place * MIRROR], dtype=float) + rng.uniform(-9.0, 9.0, (2, 3))
        truth[key] = both
    middle = truth["wheel_centre"][:, 0].mean()
    lines = ["z,name,y,x"]
    for key, both in truth.items():
        for side, place in zip(("left", "right"), both, strict=True):
            drawn = {}
            # A value goes where the words say, from an origin 700 ahead, 40 left, 90 up of ours (by hand).
            for word, value in zip(words, place - [700.0, 40.0, 90.0], strict=True):
                drawn[word[1]] = float(-value if word[0] == "-" else value)
            lines.append(f"{drawn['z']!r},{side} {key},{drawn['y']!r},{drawn['x']!r}")
    path = tmp_path / "points.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    stated = [None if place == left_out else word for place, word in enumerate(words)]
    points, unit = read_points(path, STRUT, Convention(axes_from(*stated), "mm", ground=-90.0, centre=-40.0))
    assert unit == "mm"
    for key, both in truth.items():
        assert points[key] == pytest.approx(both - [middle, 0.0, 0.0], abs=1e-9)


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_every_type(kind: SuspensionType, garage: Path) -> None:
    axle = typical_axle(kind)
    lines = ["name,x,y,z", "ground,0,0,0"]
    for point in kind.points:
        for side, place in zip(("left ", "right "), axle.points[point.key], strict=True):
            if not (point.single and side == "right "):
                lines.append(f"{'' if point.single else side}{point.key},{','.join(map(repr, place.tolist()))}")
    (garage / "points.csv").write_text("\n".join(lines), encoding="utf-8")
    words = ("--forward", "+x", "--left", "y", "--unit", "mm", "--camber", "0", "--toe", "0")
    assert run("import", "points.csv", "a.toml", "--suspension", kind.name, *words) == 0
    read = read_car("a.toml").axles[0]
    for key, both in axle.points.items():
        assert read.points[key] == pytest.approx(both, abs=1e-9)


# ---- the text of a car file


def without_points(written: dict[str, object]) -> dict[str, object]:
    """A car file's content as a survey leaves it; of a free linkage's points, what carries them."""
    bare = copy.deepcopy(written)
    for name in ("front", "rear"):
        axle = bare.get(name)
        if not isinstance(axle, dict):
            continue
        for table in (axle, axle.get("left", {}), axle.get("right", {})):
            points = table.pop("points", {})
            if axle["suspension"] == "free linkage":
                table["points"] = {
                    key: {one: value for one, value in point.items() if one in ("on", "single")}
                    for key, point in points.items()
                }
        for side in ("left", "right"):
            if axle.get(side) == {}:
                del axle[side]
    return bare


CARS = {name: demo_text(file) for name, file in DEMO_CARS.items()}


@pytest.mark.parametrize("name", CARS)
def test_a_demo_car_written_again(name: str) -> None:
    written = tomllib.loads(CARS[name])
    car = demo_car(DEMO_CARS[name])
    points = {axle.name: axle.points for axle in car.axles}
    text = car_text(without_points(written), points, {"doubt": 'my "own".csv'}, ["Fitted.", ""])
    assert text.startswith('# Fitted.\n#\n\ndoubt = "my \\"own\\".csv"\n')
    again = tomllib.loads(text)
    assert again.pop("doubt") == 'my "own".csv'
    read = car_from(again, "again.toml")
    for axle, before in zip(read.axles, car.axles, strict=True):
        assert list(axle.points) == list(before.points)
        for key, both in before.points.items():
            assert axle.points[key] == pytest.approx(both, abs=1e-9)
        assert axle.fittings == before.fittings
        assert axle.camber.tolist() == before.camber.tolist()
    # All that is not a point is as it was.
    assert without_points(again) == without_points(written)


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_points_of_every_type_are_read_back_as_rounded(kind: SuspensionType, unit: str) -> None:
    axle = typical_axle(kind)
    rng = np.random.default_rng(2)
    points = {}
    for key, both in axle.points.items():
        shift = rng.uniform(-3.0, 3.0, (2, 3)) if key != "wheel_centre" else np.zeros((2, 3))
        points[key] = both + (shift[:1] if key in kind.single else shift)
    written = {"name": "a", "units": unit, "front": {"suspension": kind.name, "wheel": {"camber": 0, "toe_in": 0}}}
    read = car_from(tomllib.loads(car_text(written, {"front": points})), "again.toml").axles[0]
    step = UNITS[unit].to_mm(0.001 if unit == "mm" else 0.0001)
    for key, both in points.items():
        assert read.points[key] == pytest.approx(both, abs=0.5000001 * step)
    written["front"]["left"] = {"wheel": {"camber": 0.5}}
    read = car_from(tomllib.loads(car_text(written, {"front": points})), "again.toml").axles[0]
    assert np.degrees(read.camber) == pytest.approx([0.5, 0.0])


def test_a_hair_between_the_sides_is_none() -> None:
    axle = typical_axle(STRUT)
    written = {"name": "a", "units": "mm", "front": {"suspension": "strut", "wheel": {"camber": 0, "toe_in": 0}}}
    for off, count in ((0.9e-6, 1), (1.1e-6, 2)):
        points = dict(axle.points)
        points["strut_top"] = points["strut_top"] + np.array([[0.0, 0.0, 0.0], [off, 0.0, 0.0]])
        lines = car_text(written, {"front": points}).splitlines()
        assert sum(line.startswith("strut_top") for line in lines) == count


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_a_free_linkage_keeps_what_carries_each_point(kind: SuspensionType) -> None:
    written = tomllib.loads(as_free_linkage(kind))
    car = car_from(written, "free.toml")
    points = {axle.name: axle.points for axle in car.axles}
    again = tomllib.loads(car_text(without_points(written), points))
    read = car_from(again, "again.toml")
    for axle, before in zip(read.axles, car.axles, strict=True):
        assert axle.suspension.carriers == before.suspension.carriers
        assert axle.suspension.single == before.suspension.single
        assert replace(axle.suspension, points=()) == replace(before.suspension, points=())
        for key, both in before.points.items():
            assert axle.points[key] == pytest.approx(both, abs=0.0005)
