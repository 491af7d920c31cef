"""`--help` of the tool and of each command."""

import pytest

from reports.command_line import main

COMMANDS = {
    "demo": ("--travel", "--step", "--roll", "--wheels", "--outer-share", "--drawing", "--replace"),
    "new": ("--units", "--axle", "--replace", "strut", "five-link"),
    "show": ("--limits", "--all"),
    "sweep": ("--travel", "--step", "--roll", "--heave", "--wheels", "--outer-share", "--limits", "--replace"),
    "travel": ("--limits", "--into", "--all", "--replace"),
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
    for command in COMMANDS:
        assert f"cornersweep {command} " in told
    assert "0 within the limits, 1 outside them, 2 the input was at fault" in told


@pytest.mark.parametrize("command", COMMANDS)
def test_of_a_command_names_its_options_and_exit_status(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    told = " ".join(helped([command, "--help"], capsys).split())
    assert told.startswith(f"usage: cornersweep {command}")
    for option in COMMANDS[command]:
        assert option in told
    assert "0 within the limits, 1 outside them, 2 the input was at fault" in told
