"""`--help` of the tool and of each command."""

import argparse

import pytest

from kinematics.car.suspensions import SUSPENSIONS
from reports.command_line import main
from reports.command_menu import menu

COMMANDS = {
    "demo": ("--travel", "--step", "--roll", "--wheels", "--outer-share", "--drawing", "--replace"),
    "new": ("--units", "--axle", "--replace", "strut", "five-link"),
    "show": ("--limits", "--all"),
    "sweep": ("--travel", "--step", "--roll", "--heave", "--wheels", "--outer-share", "--limits", "--replace"),
    "travel": ("--limits", "--into", "--all", "--replace"),
    "setup": ("--plan", "--change", "--cross", "--write", "--measured", "--paper", "--replace"),
    "report": ("--limits", "--plan", "--means", "--date", "--paper", "--replace", ".pdf"),
    "record": ("--add", "--date", "--state", "--notes", "--into", "--all", "--replace"),
    "draw": ("--bump", "--roll", "--axle", "--replace", ".png"),
}


def helped(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 0
    told = capsys.readouterr()
    assert told.err == ""
    return told.out


def test_of_the_tool_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    told = helped(["--help"], capsys)
    listed = told.partition("commands:")[2]
    for command in menu().commands:
        assert f"\n    {command} " in listed or f"\n    {command}\n" in listed
    assert "0 within the limits, 1 outside them, 2 the input was at fault" in " ".join(told.split())


@pytest.mark.parametrize("command", COMMANDS)
def test_of_a_command_names_its_options_and_exit_status(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    told = " ".join(helped([command, "--help"], capsys).split())
    assert told.startswith(f"usage: cornersweep {command}")
    for option in COMMANDS[command]:
        assert option in told
    assert "exit status: 0 " in told
    assert "2 the input was at fault" in told or command == "demo"


@pytest.mark.parametrize("command", ["", *menu().commands])
def test_it_fits_eighty_columns(
    command: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """But for examples, which are command lines to be copied whole."""
    monkeypatch.setenv("COLUMNS", "80")
    told = helped([*filter(None, [command]), "--help"], capsys).splitlines()
    assert [line for line in told if len(line) > 79 and not line.startswith("  cornersweep ")] == []


@pytest.mark.parametrize("command", ["new", "sheet", "import"])
def test_all_suspension_types_are_named(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    told = helped([command, "--help"], capsys).partition("suspension types: ")[2].partition("\n\n")[0]
    named = [" ".join(one.split()).replace("-", " ") for one in told.split(",")]
    assert named == [name.replace("-", " ") for name in SUSPENSIONS]


ACTIONS = [(name, action) for name, parser in menu().commands.items() for action in parser.added]


@pytest.mark.parametrize("command", menu().commands)
def test_every_word_of_a_command_is_explained(command: str) -> None:
    """In words that stand by themselves, with what counts where an option is left out."""
    for action in (one for name, one in ACTIONS if name == command):
        told = (action.help or "") % (vars(action) | {"prog": "cornersweep"})
        assert told, action.dest
        assert not told.startswith(("of ", "and ", "the same ")) or action.dest in ("driving", "cornering", "shelf")
        if action.option_strings and action.choices and not action.required:
            assert "(default: " in told or action.dest == "unit", action.dest


def is_read(action: argparse.Action) -> bool:
    """Whether a parser knows what may be given; others take any word, such as a file's name."""
    return action.nargs != 0 and (action.choices is not None or action.type is not None)


READ = [(name, action) for name, action in ACTIONS if is_read(action)]
WRONG = "no/such"  # neither number nor length nor any word that an option takes


@pytest.mark.parametrize(("command", "action"), READ, ids=[f"{name} {action.dest}" for name, action in READ])
def test_a_wrong_value_is_told_with_what_is_allowed(
    command: str, action: argparse.Action, capsys: pytest.CaptureFixture[str]
) -> None:
    count = action.nargs if isinstance(action.nargs, int) else 1
    option = action.option_strings[-1:]
    with pytest.raises(SystemExit) as ended:
        main([command, *option, *[WRONG] * count])
    assert ended.value.code == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith(f"usage: cornersweep {command} ")
    last = told.err.splitlines()[-1]
    assert last.startswith(f"cornersweep {command}: error: argument {option[0] if option else action.metavar}: ")
    assert repr(WRONG) in last
    for choice in action.choices or ():
        assert str(choice) in last


def test_both_kinds_are_tried() -> None:
    assert {name for name, _ in READ} >= {"demo", "new", "sheet", "import", "sweep", "compare", "draw", "schema"}
    assert len(READ) > 40
