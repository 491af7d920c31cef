"""A doubt file written and read again beside its car file: what is known of the car stays what it was."""

import math
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from numpy.testing import assert_allclose

from kinematics import Car, read_car, sweep_bump
from kinematics.car.lengths import UNITS
from kinematics.car.uncertainty import ANGLES, WAYS, Coordinate, Doubt
from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.car.known_to import without_stated_doubt
from kinematics.inputs.demo_cars import DEMO_CARS, demo_text
from kinematics.inputs.reading.faults import InputFaultError
from kinematics.inputs.tables.doubt_file import doubt_text
from reports.words.suspicious import look_again_words
from solvers.vectors import Array
from tests.command_line.car_texts import SOUND_CAR, in_inches
from tests.properties.plausible_cars import REPEATABLE

_DIGITS = 5.001e-9  # of each number: the file has nine digits, the first of which may be a one


def _without_doubt(text: str, name: str = "my doubt.csv") -> str:
    """The car's text, with a doubt file in the place of what it says of its own doubt."""
    lines = [line for line in text.splitlines() if not line.startswith("measured_to")]
    kept = "\n".join(lines)
    for size in ("4", "5", repr(4 / 25.4), repr(5 / 25.4)):
        kept = kept.replace(f", known_to = {size}", "")
    assert "known_to" not in kept
    unit = "in" if 'units = "in"' in kept else "mm"
    return kept.replace(f'units = "{unit}"', f'units = "{unit}"\ndoubt = "{name}"')


def _read_again(folder: Path, text: str, doubts: dict[str, Doubt], unit: str) -> Car:
    (folder / "car.toml").write_text(text, encoding="utf-8")
    (folder / "my doubt.csv").write_bytes(doubt_text(doubts, UNITS[unit]).encode("utf-8"))
    return read_car(folder / "car.toml")


_KIND = car_from(tomllib.loads(SOUND_CAR), "sound").front.suspension
_COORDINATES = [
    *(Coordinate(key, way, sides) for key in _KIND.keys for way in WAYS for sides in ((0, 1), (0,), (1,))),
    *(Coordinate(angle, "", sides) for angle in ANGLES for sides in ((0, 1), (0,), (1,))),
]
_SIZES = st.floats(-50.0, 50.0, allow_subnormal=False).filter(lambda one: one == 0.0 or abs(one) > 1e-6)
# A source's name may hold what CSV must quote.
_NAMES = st.text(st.sampled_from("abc ,;:\"'µ°"), min_size=1, max_size=12).map(lambda one: f"n{one}")


@st.composite
def _doubts(draw: st.DrawFn) -> Doubt:
    coordinates = draw(st.lists(st.sampled_from(_COORDINATES), min_size=1, max_size=12, unique=True))
    sources = draw(st.lists(_NAMES, min_size=1, max_size=8, unique=True))
    influence: Array = draw(arrays.arrays(np.float64, (len(coordinates), len(sources)), elements=_SIZES))
    influence[0, ~influence.any(axis=0)] = 1.0  # a source that moves nothing is none
    return Doubt(tuple(coordinates), influence, tuple(sources))


@REPEATABLE
@given(doubt=_doubts(), unit=st.sampled_from(["mm", "in"]))
def test_what_is_written_is_read_again(tmp_path_factory: pytest.TempPathFactory, doubt: Doubt, unit: str) -> None:
    text = _without_doubt(SOUND_CAR if unit == "mm" else in_inches())
    again = _read_again(tmp_path_factory.mktemp("garage"), text, {"front": doubt}, unit).front.doubt
    assert again is not None
    assert again.coordinates == doubt.coordinates
    assert again.sources == doubt.sources
    assert_allclose(again.influence, doubt.influence, rtol=_DIGITS, atol=0.0)
    most = 3.0 * _DIGITS * np.outer(doubt.standard_deviation, doubt.standard_deviation)
    assert (np.abs(again.covariance - doubt.covariance) <= most).all()


@pytest.mark.parametrize("name", DEMO_CARS.values(), ids=DEMO_CARS)
def test_both_axles_of_a_car_keep_their_own_doubt(name: str, tmp_path: Path) -> None:
    """What the car file states of itself, in a file beside it instead: the same doubt on the same axle."""
    written = tomllib.loads(demo_text(name)) | {"measured_to": 1.5}
    car = car_from(written, name)
    doubts = {axle.name: axle.doubt for axle in car.axles if axle.doubt is not None}
    assert len(doubts) == len(car.axles)
    (tmp_path / "beside.csv").write_bytes(doubt_text(doubts, car.unit).encode("utf-8"))
    again = car_from(without_stated_doubt(written) | {"doubt": "beside.csv"}, name, tmp_path)
    for axle in again.axles:
        assert axle.doubt is not None
        assert axle.doubt.coordinates == doubts[axle.name].coordinates
        assert axle.doubt.sources == doubts[axle.name].sources
        assert_allclose(axle.doubt.influence, doubts[axle.name].influence, rtol=_DIGITS)


_BY_HAND = """axle,of,way,side,unit,front: tape,front: angle gauge,front: floor
front,tie_rod_outer,up,both,UNIT,2,0,0.5
front,strut_top,out,left,UNIT,-1.5,0,0
front,wheel_centre,up,right,UNIT,0,0,1
front,camber,,both,deg,0,0.1,-0.2
front,toe,,left,deg,0,0.05,0
"""


@pytest.mark.parametrize(("unit", "scale"), [("mm", 1.0), ("in", 25.4)])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"], ids=["plain", "byte order mark"])
def test_a_file_by_hand(unit: str, scale: float, ending: str, mark: str, tmp_path: Path) -> None:
    text = _without_doubt(SOUND_CAR if unit == "mm" else in_inches())
    (tmp_path / "car.toml").write_text(text, encoding="utf-8")
    table = mark + _BY_HAND.replace("UNIT", unit).replace("\n", ending)
    (tmp_path / "my doubt.csv").write_bytes(table.encode("utf-8"))
    doubt = read_car(tmp_path / "car.toml").front.doubt
    assert doubt is not None
    assert [str(one) for one in doubt.coordinates] == [
        "tie_rod_outer up",
        "left strut_top out",
        "right wheel_centre up",
        "camber",
        "left toe",
    ]
    assert doubt.sources == ("tape", "angle gauge", "floor")
    degree = math.pi / 180.0
    sizes = np.array([[2, 0, 0.5], [-1.5, 0, 0], [0, 0, 1], [0, 0.1, -0.2], [0, 0.05, 0]])
    expected = sizes * np.array([scale, scale, scale, degree, degree])[:, None]
    assert_allclose(doubt.influence, expected, rtol=1e-12)
    assert_allclose(doubt.standard_deviation[0], scale * math.hypot(2.0, 0.5), rtol=1e-12)
    # The floor tilts the camber as it lifts the tie rod: the wheel's height and camber err together.
    assert_allclose(doubt.covariance[2, 3], scale * -0.2 * degree, rtol=1e-12)


_SCATTERS = _BY_HAND.replace("front: floor\n", "front: floor,readings_scatter\n")


def _read_scattering(folder: Path, cells: list[str]) -> Doubt:
    head, *lines = _SCATTERS.replace("UNIT", "mm").splitlines()
    table = [head, *(f"{line},{cell}" for line, cell in zip(lines, cells, strict=True))]
    (folder / "car.toml").write_text(_without_doubt(SOUND_CAR), encoding="utf-8")
    (folder / "my doubt.csv").write_text("\n".join(table), encoding="utf-8")
    doubt = read_car(folder / "car.toml").front.doubt
    assert doubt is not None
    return doubt


def test_how_far_readings_scatter_is_no_source(tmp_path: Path) -> None:
    """By hand: the doubts as they stand, of the same sources; written again, each of its lines says so."""
    doubt = _read_scattering(tmp_path, ["2.5"] * 5)
    assert (doubt.sources, doubt.scatter) == (("tape", "angle gauge", "floor"), 2.5)
    assert doubt.influence[0] == pytest.approx([2.0, 0.0, 0.5])
    head, *lines = doubt_text({"front": doubt}, UNITS["mm"]).splitlines()
    assert head.endswith(",readings_scatter")
    assert [line.rpartition(",")[2] for line in lines] == ["2.5"] * 5
    assert "readings_scatter" not in doubt_text({"front": replace(doubt, scatter=1.0)}, UNITS["mm"])


@pytest.mark.parametrize("cell", ["0.5", "-2", "nan", "inf", "much", ""])
def test_a_scatter_that_is_none_is_told_with_its_line(cell: str, tmp_path: Path) -> None:
    with pytest.raises(InputFaultError, match=r"line 4: readings_scatter: read .*; a number from 1 to 1000000"):
        _read_scattering(tmp_path, ["2.5", "2.5", cell, "2.5", "2.5"])


def test_an_axle_that_the_file_does_not_name_has_no_doubt(tmp_path: Path) -> None:
    written = without_stated_doubt(tomllib.loads(demo_text(DEMO_CARS["rear-drive-saloon"])))
    table = "axle,of,way,side,unit,tape\nrear,wheel_centre,up,both,mm,2\n"
    (tmp_path / "x.csv").write_text(table, encoding="utf-8")
    car = car_from(written | {"doubt": "x.csv"}, "saloon", tmp_path)
    assert car.front.doubt is None
    assert car.rear.doubt is not None
    assert car.rear.doubt.sources == ("tape",)


def test_a_car_without_what_it_said_of_its_doubt_is_the_same_car() -> None:
    written = tomllib.loads(SOUND_CAR)
    car, bare = car_from(written, "sound").front, car_from(without_stated_doubt(written), "bare").front
    assert bare.doubt is None
    for key, point in car.points.items():
        np.testing.assert_array_equal(bare.points[key], point)
    assert "known_to" in str(written)  # what was read is left alone


def _surveyed(folder: Path) -> tuple[str, list[str]]:
    """A car file and the lines of its doubt file, as they are written to stand beside each other."""
    car = car_from(tomllib.loads(SOUND_CAR), "sound")
    assert car.front.doubt is not None
    text = _without_doubt(SOUND_CAR)
    table = doubt_text({"front": car.front.doubt}, car.unit, tomllib.loads(text))
    (folder / "car.toml").write_text(text, encoding="utf-8")
    (folder / "my doubt.csv").write_bytes(table.encode("utf-8"))
    return text, table.splitlines(keepends=True)


def _looked_at(folder: Path) -> list[str]:
    front = read_car(folder / "car.toml").front
    return [one for one in look_again_words([sweep_bump(front, np.zeros(1))], UNITS["mm"]) if "my doubt.csv" in one]


def test_a_table_and_its_car_belong_together(tmp_path: Path) -> None:
    """What says so is no source of doubt, and a table that does not say so is read as ever."""
    _surveyed(tmp_path)
    stated = car_from(tomllib.loads(SOUND_CAR), "sound").front.doubt
    read = read_car(tmp_path / "car.toml").front.doubt
    assert stated is not None
    assert read is not None
    assert read.sources == stated.sources
    assert_allclose(read.covariance, stated.covariance, rtol=3.0 * _DIGITS, atol=1e-12)
    assert _looked_at(tmp_path) == []


def test_a_lost_line_is_told(tmp_path: Path) -> None:
    _, lines = _surveyed(tmp_path)
    (tmp_path / "my doubt.csv").write_bytes("".join(lines[:-1]).encode("utf-8"))
    with pytest.raises(InputFaultError) as told:
        read_car(tmp_path / "car.toml")
    assert "my doubt.csv" in str(told.value)
    assert f"written with {len(lines) - 1} lines of coordinates, and {len(lines) - 2} are there" in str(told.value)
    assert "run `cornersweep survey` again" in str(told.value)


def test_a_car_edited_after_its_doubt_was_written_is_told(tmp_path: Path) -> None:
    text, lines = _surveyed(tmp_path)
    (place,) = [line for line in text.splitlines() if line.startswith("strut_top")]
    edited = text.replace(place, re.sub(r"up = (\d+)", lambda up: f"up = {int(up[1]) + 2}", place))
    assert edited != text
    (tmp_path / "car.toml").write_text(edited, encoding="utf-8")
    (said,) = _looked_at(tmp_path)
    assert said.startswith("Look again: my doubt.csv was written for other points: the car file was edited since.")
    # What is not about points may be edited: its name, another comment, a number as another writes it.
    for other in (place.replace(" }", ".0 }"), re.sub(r"up = (\d+)", r'up = "\g<1> 0/8"', place)):
        assert other != place
        (tmp_path / "car.toml").write_text(f"# a comment\n{text.replace(place, other)}", encoding="utf-8")
        assert _looked_at(tmp_path) == []
    # Its owner may say that the doubts still hold: without the last column nothing is told.
    (tmp_path / "car.toml").write_text(edited, encoding="utf-8")
    shortened = "\r\n".join(re.sub(r',("[^"]*"|[^,"]*)$', "", line.rstrip("\r\n")) for line in lines) + "\r\n"
    (tmp_path / "my doubt.csv").write_bytes(shortened.encode("utf-8"))
    assert _looked_at(tmp_path) == []
