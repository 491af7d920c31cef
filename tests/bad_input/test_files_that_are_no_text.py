"""Files that no change of a word in a car file gives: not text, not TOML, far too large, or empty."""

import os
from pathlib import Path

import pytest

from kinematics import InputFaultError, read_car
from kinematics.inputs.car.car_file import read_limits
from reports.command_line import main
from tests.command_line.car_texts import SOUND_CAR

FILES = {
    # Bytes 0-127 of UTF-8 are ASCII; a u umlaut of Latin-1 (FC) starts no character of UTF-8.
    "not UTF-8": (
        SOUND_CAR.replace("club coupe", "cl\N{LATIN SMALL LETTER U WITH DIAERESIS}b coupe").encode("latin-1"),
        "line 3 is not UTF-8 text; save the file as plain text in UTF-8",
    ),
    "a picture": (
        b"\x89PNG\r\n\x1a\n" + bytes(range(256)),
        "line 1 is not UTF-8 text; save the file as plain text in UTF-8",
    ),
    "zero bytes": (bytes(100), "this is not valid TOML: "),
    "prose": (b"My car has struts in front.\n", "this is not valid TOML: "),
    "empty": (b"", "the file is empty; `cornersweep new strut` writes one to fill in"),
    "only comments": (b"# my car\n", "the file is empty; `cornersweep new strut` writes one to fill in"),
    "2 MB": (b"#" * 2_000_000, "the file is larger than 1000 kB; is it the right file?"),
    "nested lists": (b"a = " + b"[" * 100_000 + b"]" * 100_000, "its lists and tables are nested too deeply"),
    "nested tables": (b"a = " + b"{b = " * 50_000 + b"1" + b"}" * 50_000, "its lists and tables are nested too deeply"),
    "no axle": (
        b'name = "a"\nunits = "mm"\n',
        "there is no axle: give a [front] table, a [rear] table, or both",
    ),
}


@pytest.mark.parametrize("name", FILES)
def test_told_in_one_line(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    content, says = FILES[name]
    monkeypatch.chdir(tmp_path)
    Path("car.toml").write_bytes(content)
    assert main(["show", "car.toml"]) == 2
    told = capsys.readouterr()
    head, line = told.err.splitlines()
    assert head == "car.toml: 1 fault"
    assert line.startswith(f"  {says}")
    assert told.out == ""


@pytest.mark.parametrize(
    ("line", "hint"),
    [
        ("up = 13 1/2", 'a fraction must stand in quotes, like "13 5/8"'),
        ("up = 13-1/2", 'a fraction must stand in quotes, like "13 5/8"'),
        ("up = 13\u00bd", 'a fraction must stand in quotes, like "13 5/8"'),
        ("wheel = { radius = 11 3/4 }", 'a fraction must stand in quotes, like "13 5/8"'),
        ("up = 16,5", "a decimal point is needed, like 13.625"),
        ("name = \u201cmy car\u201d", "curly quotes are no quotes here"),
        (
            '{ up = "13 1/8"" },  # no. 36',
            'an inch mark inside quotes is written "13 1/8\\"" or \'13 1/8"\', or left away',
        ),
        ('up = "-4.5"" # low', 'an inch mark inside quotes is written "-4.5\\"" or \'-4.5"\', or left away: "-4.5"'),
        ('reads = ["2\' 4"", 3]', 'an inch mark inside quotes is written "2\' 4\\"", or left away'),
    ],
)
def test_slips_that_are_made_most_get_a_hint(line: str, hint: str, tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text(f'units = "in"\n{line}\n', encoding="utf-8")
    with pytest.raises(InputFaultError) as caught:
        read_car(path)
    assert f"{line} ({hint}" in str(caught.value)
    assert "line 2" in str(caught.value)


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text(SOUND_CAR, encoding="utf-8-sig")
    assert read_car(path).name == "club coupe (invented)"


def test_windows_line_ends_do_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text(SOUND_CAR, encoding="utf-8", newline="\r\n")
    assert read_car(path).name == "club coupe (invented)"


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text(SOUND_CAR, encoding="utf-8")
    path.chmod(0)
    with pytest.raises(InputFaultError, match="the file cannot be read: Permission denied"):
        read_car(path)


def test_an_empty_file_of_limits(tmp_path: Path) -> None:
    path = tmp_path / "limits.toml"
    path.touch()
    with pytest.raises(InputFaultError) as caught:
        read_limits(path)
    assert [str(fault) for fault in caught.value.faults] == [
        'units: is missing ("mm" or "in")',
        "limits: is missing (a section [limits])",
    ]
