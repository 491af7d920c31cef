"""What a shell completes: bash, zsh and fish are asked themselves where they are there; the words are the parsers'."""

import shutil
import subprocess

import pytest

from reports.command_line import main
from reports.command_menu import menu

BASH = """
{script}
COMP_WORDS=({words}); COMP_CWORD=$((${{#COMP_WORDS[@]}} - 1))
_cornersweep
printf '%s\\n' "${{COMPREPLY[@]}}"
"""


def script(shell: str, capsys: pytest.CaptureFixture[str]) -> str:
    assert main(["completion", shell]) == 0
    return capsys.readouterr().out


def asked(program: list[str], text: str) -> str:
    ended = subprocess.run(program, input=text, capture_output=True, text=True, check=False)
    assert ended.stderr == ""
    return ended.stdout


@pytest.mark.skipif(shutil.which("bash") is None, reason="asks bash")
def test_bash(capsys: pytest.CaptureFixture[str]) -> None:
    made = script("bash", capsys)
    expected = {
        "cornersweep s": {"survey", "sheet", "show", "sweep", "setup", "shelf", "schema"},
        "cornersweep draw --axle ''": {"front", "rear"},
        "cornersweep draw car.toml --ro": {"--roll"},
        "cornersweep sweep --roll": {"--roll", "--roll-step"},
        "cornersweep new doub": {"double-wishbone", "double-wishbone-with-toe-link"},
        "cornersweep new mea": {"means"},
        "cornersweep import --suspension mea": {""},
        "cornersweep schema p": {"plans"},
        "cornersweep doubt car.toml --about roll_centre_h": {"roll_centre_height"},
        "cornersweep show ca": {""},  # left to the shell, which knows the files
    }
    for words, offered in expected.items():
        assert set(asked(["bash"], BASH.format(script=made, words=words)).splitlines()) == offered, words


@pytest.mark.skipif(shutil.which("zsh") is None, reason="asks zsh")
def test_zsh_takes_it(capsys: pytest.CaptureFixture[str]) -> None:
    begun = f"autoload -Uz compinit; compinit -u -D\n{script('zsh', capsys)}\nprint $_comps[cornersweep]"
    assert asked(["zsh", "-f"], begun) == "_cornersweep\n"


@pytest.mark.skipif(shutil.which("fish") is None, reason="asks fish")
@pytest.mark.parametrize(
    ("words", "offered"),
    [("cornersweep sh", {"sheet", "show", "shelf"}), ("cornersweep draw --axle ", {"front", "rear"})],
)
def test_fish(words: str, offered: set[str], capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(["fish", "-N"], f"{script('fish', capsys)}\ncomplete -C '{words}'\n")
    assert {line.split("\t")[0] for line in told.splitlines()} == offered


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_every_command_and_option_is_in_it(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    made = script(shell, capsys)
    for name, parser in menu().commands.items():
        assert name in made
        assert parser.options
        for option in parser.options:
            assert (f"-l {option.removeprefix('--')} " if shell == "fish" else option) in made, (name, option)


def test_another_shell_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["completion", "cmd"])
    assert ended.value.code == 2
    assert "argument SHELL: invalid choice: 'cmd' (choose from" in capsys.readouterr().err
