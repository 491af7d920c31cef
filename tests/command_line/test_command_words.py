"""The words of a command line: options anywhere, wrong ones with the nearest, and what a run ends with.

130, 141 and 70: what shells give for 128 and SIGINT or SIGPIPE, and EX_SOFTWARE of sysexits.h (from memory).
"""

import re
import shlex
import shutil
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import pytest

import reports.command_line as line
from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main, parsed
from reports.command_menu import menu

CAR = "car.toml"


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / CAR).write_text(demo_text("lowered_coupe.toml"), encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("new strut --units in blank.toml", "new strut blank.toml --units in"),
        ("compare car.toml --limits l.toml plans.toml", "compare car.toml plans.toml --limits l.toml"),
        ("compare --axle front car.toml --change 'ride height' -10", "compare car.toml --change 'ride height' -10"),
        ("sweep --travel -40 50 car.toml --step 1/4 out", "sweep car.toml out --travel -40 50 --step 1/4"),
        ("draw --bump -3/4 car.toml a.png", "draw car.toml a.png --bump -3/4"),
        ("import --up -z p.csv --suspension strut c.toml", "import p.csv c.toml --suspension strut --up -z"),
    ],
)
def test_options_stand_anywhere(one: str, other: str) -> None:
    assert vars(parsed(shlex.split(one))) == vars(parsed(shlex.split(other)))


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("shwo car.toml", 'cornersweep: error: read "shwo", no command; did you mean show?'),
        (
            "show car.toml --alll",
            'cornersweep show: error: read "--alll", no option of this command; did you mean --all?',
        ),
        ("show car.toml other.toml", 'cornersweep show: error: read "other.toml" besides what this command takes'),
        ("show", "cornersweep show: error: the following arguments are required: car"),
        ("draw car.toml a.png --roll 90", "argument --roll: '90': -15 to 15 degrees is allowed"),
        ("", "cornersweep: name a command"),
    ],
)
def test_wrong_words(words: str, says: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    assert ended.value.code == 2
    told = capsys.readouterr()
    assert told.err.splitlines()[-1].endswith(says)
    # The usage is that of the command in question.
    named = re.search(r"(\w+): error", says)
    assert told.err.startswith(f"usage: cornersweep {named[1]} " if named and named[1] != "cornersweep" else "usage: ")


@pytest.mark.parametrize("command", menu().commands)
def test_examples_of_the_help_are_command_lines(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main([command, "--help"])
    shown = capsys.readouterr().out.partition("for example:")[2].splitlines()
    examples = [one.strip() for one in shown if one.startswith("  cornersweep ")]
    assert examples
    for example in examples:
        words = shlex.split(example)
        assert words[:2] == ["cornersweep", command]
        assert callable(parsed(words[1:]).run)


def test_version_by_module() -> None:
    ended = subprocess.run([sys.executable, "-m", "reports", "--version"], capture_output=True, text=True, check=False)
    assert (ended.returncode, ended.stdout) == (0, f"cornersweep {version('cornersweep')}\n")


@pytest.mark.campaign
@pytest.mark.skipif(shutil.which("bash") is None, reason="a pipe of a shell")
def test_a_reader_that_goes_is_no_verdict(garage: Path) -> None:
    """`show` of a car outside its limits ends with 1; `| head` must not make 0 of it."""
    script = f"{sys.executable} -m reports show {CAR} --all | head -n 1; exit ${{PIPESTATUS[0]}}"
    ended = subprocess.run(["bash", "-c", script], cwd=garage, capture_output=True, text=True, check=False)
    # A pipe may take all of it before `head` goes.
    assert ended.returncode in (1, 141)
    assert "Traceback" not in ended.stderr
    assert main(["show", CAR]) == 1


@pytest.mark.usefixtures("garage")
def test_stopped_and_broken(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def stop(_: object) -> int:
        raise KeyboardInterrupt

    def fail(_: object) -> int:
        raise ZeroDivisionError("planted")

    monkeypatch.setattr("sys.argv", ["cornersweep", "show", CAR])
    monkeypatch.setattr("reports.command_line.menu", menu.__wrapped__)  # one that is made with what is planted
    monkeypatch.setattr("reports.commands.sweep.show", stop)
    assert line.run() == 130
    assert capsys.readouterr().err == "stopped; files already named are whole\n"
    monkeypatch.setattr("reports.commands.sweep.show", fail)
    assert line.run() == 70
    told = capsys.readouterr().err
    assert "ZeroDivisionError: planted" in told
    assert "a fault of cornersweep, not of your files" in told
