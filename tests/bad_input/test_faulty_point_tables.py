"""Faulty tables of points: everything that is wrong is told at once, with its line, and nothing is written."""

from collections.abc import Callable
from pathlib import Path

import pytest

from kinematics.inputs.reading.faults import InputFaultError
from kinematics.inputs.tables.point_table import axes_from
from tests.command_line.test_import import DRAWN, WHOLE, run

STRUT = ("--suspension", "strut")
# Each: what is done to a sound table, which options stand in the place of the usual ones, and all that is told.
TABLES: dict[str, tuple[Callable[[str], str], tuple[str, ...], list[str]]] = {
    "everything at once": (
        lambda text: (
            text.replace("strut_top", "strut_tip")
            .replace("1528,-330", "15l8,-330")
            .replace("lower_ball_joint,1396,-690,169.5,", "lower_ball_joint,1396")
            .replace("172.5", "")
            + "Strut low,1398,-626,407.5,\n,1,2,3,\n"
        ),
        WHOLE,
        [
            "line 3: has 2 of 4 fields; each as in the header is needed",
            "line 5, z: is empty; a number is needed",
            'line 9, x: read "15l8"; a number is allowed',
            "line 11: the point has no name",
            'line 6: "strut_tip" is no point of a strut; did you mean strut_top?',
            "lines 7 and 10: strut_low stands there more than once for one side",
            "strut_top is missing (centre of the top mount's bearing)",
        ],
    ),
    "not a number at all": (
        lambda text: text.replace("1396", "nan").replace("1282", "1e99").replace("1422", "1422 mm"),
        WHOLE,
        [
            'line 3, x: read "nan"; a number from -1000000 to 1000000 is allowed',
            'line 4, x: read "1e99"; a number from -1000000 to 1000000 is allowed',
            'line 6, x: read "1422 mm"; a number is allowed',
        ],
    ),
    "decimal commas between commas": (
        lambda text: text.replace(".5", ",5"),
        WHOLE,
        [
            f"line {line}: has 6 fields, the header 5; a number with a decimal comma? Then separate fields by semi"
            for line in range(2, 10)
        ],
    ),
    "thousands with a point": (
        lambda text: text.replace(",", ";").replace("1396", "1.396,0"),
        WHOLE,
        ['line 3, x: read "1.396,0"; a number is allowed'],
    ),
    "no ground": (
        lambda text: text,
        WHOLE[:6],
        ["where is the ground? State its height, or give the table a point ground"],
    ),
    "two grounds": (
        lambda text: f"{text}ground,0,0,-12.5,\nGROUND,0,0,-12,\n",
        WHOLE[:6],
        ["lines 10 and 11: ground stands there more than once"],
    ),
    "ground twice": (
        lambda text: f"{text}ground,0,0,-12.5,\n",
        WHOLE,
        ["line 10: ground stands in the table and is stated besides; leave one out"],
    ),
    "no unit": (
        lambda text: text,
        (*WHOLE[:4], *WHOLE[6:]),
        ["in which unit is it? State one; mm, cm, m, in are allowed"],
    ),
    "another unit in the header": (
        lambda text: text.replace("X,Y,Z", "X [cm],Y [cm],Z [cm]"),
        WHOLE,
        ["its header says cm, and mm is stated; one unit is allowed"],
    ),
    "two units in the header": (
        lambda text: text.replace("X,Y,Z", "X [cm],Y [mm],Z"),
        (*WHOLE[:4], *WHOLE[6:]),
        ["its header says cm and mm; one unit is allowed"],
    ),
    "a unit that there is not": (
        lambda text: text.replace("X,Y,Z", "X [ft],Y,Z"),
        (*WHOLE[:4], *WHOLE[6:]),
        ["its header says ft; mm, cm, m, in are allowed"],
    ),
    "no axes": (
        lambda text: text,
        WHOLE[4:],
        ["its columns are x, y and z: say which way two of them point, forward, left or up"],
    ),
    "axes for columns that need none": (
        lambda text: text.replace("X,Y,Z", "ahead,out,up"),
        WHOLE,
        ["its columns are ahead, out and up; leave out which of its axes point where"],
    ),
    "twice on the other side": (
        lambda text: text + text.partition("\n")[2].replace(",-", ",").replace("strut_top", "right strut_low"),
        WHOLE,
        ["lines 14 and 15: strut_low stands there more than once for one side"],
    ),
    "a side that is missing": (
        lambda text: f"{text}right strut_top,1422,566,813.5,\n",
        WHOLE,
        [
            "right wheel_centre is missing (centre of the hub, in the wheel's centre plane); the other side's is there",
            "right lower_ball_joint is missing (centre of the ball); the other side's is there",
            "right lower_pivot_front is missing",
            "right lower_pivot_rear is missing",
            "right strut_low is missing",
            "right tie_rod_outer is missing",
            "right tie_rod_inner is missing",
        ],
    ),
    "on the centre plane": (
        lambda text: text.replace("-566", "0"),
        WHOLE,
        ['line 6: "strut_top" lies on the centre plane; write left or right before its name'],
    ),
}


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def told(words: tuple[str, ...]) -> tuple[str, list[str]]:
    with pytest.raises(InputFaultError) as caught:
        run("import", "points.csv", "my_car.toml", *words)
    return caught.value.source, [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize("what", TABLES)
def test_all_that_is_wrong_with_a_table(what: str, garage: Path, capsys: pytest.CaptureFixture[str]) -> None:
    change, words, says = TABLES[what]
    (garage / "points.csv").write_text(change(DRAWN), encoding="utf-8")
    source, lines = told((*STRUT, *words))
    assert source == "points.csv"
    assert [line[: len(begin)] for line, begin in zip(lines, says, strict=True)] == says
    assert [path.name for path in garage.iterdir()] == ["points.csv"]
    assert capsys.readouterr().out == ""


# What is no table of points at all.
CONTENTS: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "the file is empty; a header like name,x,y,z is to come first"),
    "blank": (b"\n , ,\n# a comment\n", "the file is empty; a header like name,x,y,z is to come first"),
    "only a header": (b"name,x,y,z\n", "there is no point in it, only a header"),
    "no header": (
        DRAWN.partition("\n")[2].encode(),
        'its header reads ["Wheel centre", "1400", "-742", "285.5", ...]: ',
    ),
    "a column missing": (
        b"name,x,y\na,1,2\n",
        'its header reads ["name", "x", "y"]: z is missing; columns name, x, y, z',
    ),
    "a column twice": (
        b"name,x,x,y,z\na,1,2,3,4\n",
        'its header reads ["name", "x", "x", "y", ...]: x is there twice;',
    ),
    "both kinds of columns": (
        b"name,x,out,up\na,1,2,3\n",
        'its header reads ["name", "x", "out", "up"]: y is missing, z',
    ),
    # Of Latin-1, a u umlaut (FC) starts no character of UTF-8.
    "not UTF-8": (b"name,x,y,z\nk\xfcbel,1,2,3\n", "line 2 is not UTF-8 text; save the table as CSV in UTF-8"),
    "far too large": (b"#" * 6_000_000, "the file is larger than 5000 kB; is it the right file?"),
}


@pytest.mark.parametrize("what", CONTENTS)
def test_no_table_of_points(what: str, garage: Path) -> None:
    content, says = CONTENTS[what]
    (garage / "points.csv").write_bytes(content)
    source, (line,) = told((*STRUT, *WHOLE))
    assert source == "points.csv"
    assert line.startswith(says)


@pytest.mark.usefixtures("garage")
def test_no_file_and_a_folder() -> None:
    assert told((*STRUT, *WHOLE)) == ("points.csv", ["there is no such file"])
    Path("points.csv").mkdir()
    assert told((*STRUT, *WHOLE)) == ("points.csv", ["this is a folder; name the file in it"])


def test_a_zero_byte_is_no_number(garage: Path) -> None:
    (garage / "points.csv").write_bytes(DRAWN.replace("1396", "13\x0096").encode())
    _, lines = told((*STRUT, *WHOLE))
    assert len(lines) == 1
    assert lines[0].startswith("line 3: read ")
    assert lines[0].endswith("; without the control character \\x00 it is allowed")


def test_a_thousand_faults_are_counted(garage: Path) -> None:
    (garage / "points.csv").write_text(DRAWN + "bolt,1,2,3\n" * 1000, encoding="utf-8")
    _, lines = told((*STRUT, *WHOLE))
    assert len(lines) == 41
    assert lines[0].startswith('line 10: "bolt" is no point of a strut; allowed: wheel_centre, lower_ball_joint, ')
    assert lines[-1] == "and 960 faults more"


def test_axes_that_turn_the_car_upside_down(garage: Path) -> None:
    # By hand: x back and y left make z point down, so the hub, 285.5 up in the drawing, lies at -285.5 + 12.5.
    (garage / "points.csv").write_text(DRAWN, encoding="utf-8")
    source, lines = told((*STRUT, "--forward", "-x", "--left", "+y", *WHOLE[4:]))
    assert source == "points.csv"
    assert "front.points.wheel_centre.up: read -273 mm; the point is under the ground" in lines
    assert lines[-1].startswith("so read, these are no points of a car; are the axes,")
    assert not (garage / "my_car.toml").exists()


# ---- which axis points where

AXES: dict[str, tuple[tuple[str | None, str | None, str | None], list[str]]] = {
    # x back and y left: by the right hand z points down.
    "in a mirror": (
        ("-x", "+y", "+z"),
        [
            "forward -x, left +y and up +z are a left-handed set, as in a mirror: one of them is wrong; state two, "
            "and the third follows"
        ],
    ),
    "one alone": (("-x", None, None), ["say of two of the table's axes which way they point: forward, left or up"]),
    "none": ((None, None, None), ["say of two of the table's axes which way they point: forward, left or up"]),
    "no axis": (("ahead", "+y", None), ['forward: read "ahead"; one of +x, -x, +y, -y, +z, -z is allowed']),
    "two the same": (
        ("+y", "-y", None),
        ['left: read "-y", the same axis as forward; three different ones are needed'],
    ),
    "three the same": (
        ("x", "x", "-x"),
        [
            'left: read "x", the same axis as forward; three different ones are needed',
            'up: read "-x", the same axis as forward; three different ones are needed',
        ],
    ),
}


@pytest.mark.parametrize("what", AXES)
def test_axes_that_are_none(what: str) -> None:
    words, says = AXES[what]
    with pytest.raises(InputFaultError) as caught:
        axes_from(*words)
    assert [str(fault) for fault in caught.value.faults] == says


def test_a_left_handed_set_through_the_command(garage: Path) -> None:
    (garage / "points.csv").write_text(DRAWN, encoding="utf-8")
    source, (line,) = told((*STRUT, "--forward", "-x", "--left", "+y", "--up", "+z", *WHOLE[4:]))
    assert source == "the table's axes"
    assert "left-handed" in line
    assert not (garage / "my_car.toml").exists()


# ---- options

NAMES = [f"--name={one}" for one in ("LBJ", "=strut_top", "A=strut_tip", "B=strut_top", "B=strut_low")]
OPTIONS: dict[str, tuple[tuple[str, ...], list[str]]] = {
    "a type that there is not": (("--suspension", "struts"), ['suspension: read "struts"; did you mean strut?']),
    "a linkage of one's own": (
        ("--suspension", "free linkage"),
        ["suspension: a free linkage has the points and joints that you list; write its file from `cornersweep new`"],
    ),
    "angles that no wheel has, a doubt of nothing": (
        (*STRUT, "--camber", "-150", "--toe", "nan", "--known-to", "0", "--centre", "inf"),
        [
            "--camber: read -150; -15 to 15 degrees are allowed",
            "--toe: read nan; -10 to 10 degrees are allowed",
            "--centre: read inf; a number from -1000000 to 1000000 is allowed",
            "--known-to: read 0; a number above 0 is allowed",
        ],
    ),
    "names that are none": (
        (*STRUT, *NAMES),
        [
            '--name: read "LBJ"; two names are allowed, like LBJ=lower_ball_joint',
            '--name: read "=strut_top"; two names are allowed, like LBJ=lower_ball_joint',
            '--name: read "A=strut_tip": a strut has no such point; did you mean strut_top?',
            '--name: read "B=strut_low"; B is strut_top already',
        ],
    ),
}


@pytest.mark.parametrize("what", OPTIONS)
def test_options_at_fault(what: str, garage: Path) -> None:
    words, says = OPTIONS[what]
    (garage / "points.csv").write_text(DRAWN, encoding="utf-8")
    source, lines = told(words)
    assert source == "cornersweep import"
    assert lines == says


def test_a_side_for_a_point_in_the_middle(garage: Path) -> None:
    (garage / "points.csv").write_text("name,ahead,out,up\nleft panhard_axle,1,2,3\n", encoding="utf-8")
    _, lines = told(("--suspension", "live axle with three links", "--unit", "mm", "--ground", "0"))
    assert lines[0] == 'line 2: "left panhard_axle": there is one for both sides; write it without left'


def test_nothing_is_overwritten_unasked(garage: Path) -> None:
    (garage / "points.csv").write_text(DRAWN, encoding="utf-8")
    (garage / "my_car.toml").write_text("mine", encoding="utf-8")
    assert told((*STRUT, *WHOLE)) == (
        "nothing written",
        ["my_car.toml: is there already; add --replace to write over it"],
    )
    assert (garage / "my_car.toml").read_text(encoding="utf-8") == "mine"
