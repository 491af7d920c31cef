"""Faulty doubt files: each fault is told with its line, what was read and what is allowed."""

import tomllib
from pathlib import Path

import pytest

from kinematics import read_car
from kinematics.inputs.car.car_file import car_from
from kinematics.inputs.car.known_to import without_stated_doubt
from kinematics.inputs.demo_cars import DEMO_CARS, demo_text
from kinematics.inputs.reading.faults import InputFaultError
from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR

HEAD = "axle,of,way,side,unit,tape,gauge\n"
SOUND = "front,strut_top,up,both,mm,2,0\n"
CAMBER = "front,camber,,both,deg,0,0.1\n"
NO_HEAD = "line 1: its first line must start with axle,of,way,side,unit and go on with the sources of doubt"


def _car(doubt: str = 'doubt = "x.csv"') -> str:
    kept = SOUND_CAR.replace(", known_to = 4", "").replace(", known_to = 5", "")
    was = "measured_to = 2.0"
    assert kept.count(was) == 1
    return kept.replace(was, doubt)


def faults_of(folder: Path, content: bytes | None, car: str | None = None) -> list[str]:
    """What is told of a car beside a doubt file of this content; the message names the doubt file."""
    (folder / "car.toml").write_text(_car() if car is None else car, encoding="utf-8")
    if content is not None:
        (folder / "x.csv").write_bytes(content)
    with pytest.raises(InputFaultError) as caught:
        read_car(folder / "car.toml")
    assert caught.value.source == str(folder / ("x.csv" if car is None else "car.toml"))
    return [str(fault) for fault in caught.value.faults]


def test_the_sound_file_is_read(tmp_path: Path) -> None:
    (tmp_path / "car.toml").write_text(_car(), encoding="utf-8")
    (tmp_path / "x.csv").write_text(HEAD + SOUND + CAMBER, encoding="utf-8")
    doubt = read_car(tmp_path / "car.toml").front.doubt
    assert doubt is not None
    assert doubt.sources == ("tape", "gauge")


NO_POINT = "a strut has no such point; did you mean"
NOT_MM = "this car file's unit for it is mm"
LINES = {
    "axle": ("back,strut_top,up,both,mm,2,0", 'axle: read "back"; allowed: front'),
    "axle misspelt": ("frnt,strut_top,up,both,mm,2,0", 'axle: read "frnt"; did you mean front?'),
    "an axle that the car does not have": ("rear,wheel_centre,up,both,mm,2,0", 'axle: read "rear"; allowed: front'),
    "point": (
        "front,strut_topp,up,both,mm,2,0",
        f'of: read "strut_topp"; {NO_POINT} strut_top?',
    ),
    "a point of another type": (
        "front,upper_ball_joint,up,both,mm,2,0",
        f'of: read "upper_ball_joint"; {NO_POINT} lower_ball_joint?',
    ),
    "way": ("front,strut_top,down,both,mm,2,0", 'way: read "down"; ahead, out, up is allowed'),
    "no way": ("front,strut_top,,both,mm,2,0", 'way: read ""; ahead, out, up is allowed'),
    "way of an angle": ("front,camber,up,both,deg,2,0", 'way: read "up"; nothing is allowed'),
    "side": ("front,strut_top,up,middle,mm,2,0", 'side: read "middle"; allowed: both, left, right'),
    "unit": ("front,strut_top,up,both,cm,2,0", 'unit: read "cm"; this car file\'s unit for it is mm'),
    "unit of the other kind of car": (
        "front,strut_top,up,both,in,2,0",
        'unit: read "in"; this car file\'s unit for it is mm',
    ),
    "unit of an angle": ("front,toe,,both,mm,2,0", 'unit: read "mm"; this car file\'s unit for it is deg'),
    "words": ("front,strut_low,up,both,mm,2,about 3", 'read "about 3"; a number is allowed'),
    "nothing": ("front,strut_low,up,both,mm,2,", 'read ""; a number is allowed'),
    "not a number": ("front,strut_low,up,both,mm,nan,0", 'read "nan"; a number is allowed'),
    "infinity": ("front,strut_low,up,both,mm,2,-inf", 'read "-inf"; a number is allowed'),
    "far too large": ("front,strut_low,up,both,mm,1e9,0", 'read "1e9"; a number is allowed'),
    "decimal comma": ('front,strut_low,up,both,mm,"2,5",0', 'read "2,5"; a number is allowed'),
    "too few": ("front,strut_low,up,both,mm,2", "has 6 entries; the first line has 7"),
    "too many": ("front,strut_low,up,both,mm,2,0,1", "has 8 entries; the first line has 7"),
    "twice": ("front,strut_top,up,both,mm,1,1", "strut_top up of the front axle stands there twice"),
}


@pytest.mark.parametrize(("line", "says"), LINES.values(), ids=LINES)
def test_a_line_at_fault(line: str, says: str, tmp_path: Path) -> None:
    content = HEAD + SOUND + line + "\n" + CAMBER
    assert faults_of(tmp_path, content.encode()) == [f"line 3: {says}"]


def test_all_lines_at_fault_are_told_together(tmp_path: Path) -> None:
    lines = [line for line, _ in LINES.values()]
    told = faults_of(tmp_path, (HEAD + SOUND + "\n".join(lines)).encode())
    assert told == [f"line {number}: {says}" for number, (_, says) in enumerate(LINES.values(), start=3)]


def test_the_same_on_another_side_is_not_twice(tmp_path: Path) -> None:
    (tmp_path / "car.toml").write_text(_car(), encoding="utf-8")
    both = "front,strut_top,up,left,mm,1,0\nfront,strut_top,up,right,mm,1,0\nfront,strut_top,out,left,mm,1,1\n"
    (tmp_path / "x.csv").write_text(HEAD + both, encoding="utf-8")
    doubt = read_car(tmp_path / "car.toml").front.doubt
    assert doubt is not None
    assert [one.sides for one in doubt.coordinates] == [(0,), (1,), (0,)]


@pytest.mark.parametrize(
    "content",
    [
        "",
        "axle,of,way,side\n",
        "axle,of,way,side,unit\n",
        "of,axle,way,side,unit,tape\n",
        SOUND,
        "axle;of;way;side;unit;tape\n",
    ],
    ids=["empty", "short", "no sources", "other order", "no head", "semicolons"],
)
def test_a_bad_first_line(content: str, tmp_path: Path) -> None:
    assert faults_of(tmp_path, content.encode()) == [NO_HEAD]


def test_a_point_that_both_sides_share(tmp_path: Path) -> None:

    written = without_stated_doubt(tomllib.loads(demo_text(DEMO_CARS["rear-drive-saloon"])))
    key = next(iter(car_from(written, "saloon").rear.suspension.single))
    (tmp_path / "x.csv").write_text(HEAD + f"rear,{key},up,left,mm,2,0\n", encoding="utf-8")
    with pytest.raises(InputFaultError) as caught:
        car_from(written | {"doubt": "x.csv"}, "saloon", tmp_path)
    assert [str(fault) for fault in caught.value.faults] == ['line 2: side: read "left"; allowed: both']


def test_no_such_file(tmp_path: Path) -> None:
    (told,) = faults_of(tmp_path, None)
    assert told.startswith("there is no such file; the car file names it in `doubt`: put it back")


def test_a_folder(tmp_path: Path) -> None:
    (tmp_path / "x.csv").mkdir()
    (told,) = faults_of(tmp_path, None)
    assert told == "this is a folder; name the file in it"


@pytest.mark.parametrize(
    "content",
    [b"\x89PNG\r\n\x1a\n\x00\x00\x00\xff\xfe", "axle,of,w\u00e4y".encode("latin-1")],
    ids=["picture", "Latin-1"],
)
def test_what_is_not_utf_8_text(content: bytes, tmp_path: Path) -> None:
    assert faults_of(tmp_path, content) == ["line 1 is not UTF-8 text; save the table as CSV in UTF-8"]


def test_a_quote_that_does_not_end(tmp_path: Path) -> None:
    (told,) = faults_of(tmp_path, (HEAD + 'front,"strut_top,up,both,mm,2,0\n').encode())
    assert told.startswith("this is not CSV: ")


def test_zeros_in_the_file(tmp_path: Path) -> None:
    (fault,) = faults_of(tmp_path, bytes(1000))
    assert fault.startswith('line 1: read "\\x00\\x00')
    assert fault.endswith("; without the control character \\x00 it is allowed")


@pytest.mark.parametrize(
    ("car", "key"),
    [
        (_car('measured_to = 2.0\ndoubt = "x.csv"'), "measured_to"),
        (_car().replace("up = 782 }", "up = 782, known_to = 3 }"), "front.strut_top: known_to"),
        (_car().replace("radius = 298 }", "radius = 298, camber_known_to = 0.1 }"), "front.camber: known_to"),
    ],
    ids=["measured_to", "known_to", "camber_known_to"],
)
def test_doubt_stated_in_the_car_file_besides(car: str, key: str, tmp_path: Path) -> None:
    (told,) = faults_of(tmp_path, (HEAD + SOUND).encode(), car)
    text = "the file named in `doubt` says how well each coordinate is known; leave one of the two out"
    assert told.endswith(f": {text}")
    assert told.startswith(key.partition(":")[0])


def test_the_command_line_tells_it_and_ends_with_2(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "car.toml").write_text(_car(), encoding="utf-8")
    (tmp_path / "x.csv").write_text(HEAD + SOUND + LINES["way"][0], encoding="utf-8")
    assert main(["show", "car.toml"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.splitlines() == ["x.csv: 1 fault", f"  line 3: {LINES['way'][1]}"]


def test_blank_lines_are_counted(tmp_path: Path) -> None:
    content = HEAD + "\n" + SOUND + "front,strut_top,down,both,mm,2,0\n"
    assert [fault.split(":")[0] for fault in faults_of(tmp_path, content.encode())] == ["line 4"]
