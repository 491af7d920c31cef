"""Every option of every command with bad values: refused in words or done, and nothing of the owner's is touched."""

import shutil
from pathlib import Path

import numpy as np
import pytest

from tests.robustness.option_words import SOUND, command_lines, commands, everything, furnish, misbehaviour
from tests.short_run import at_places

PER_OPTION, FEWER = 2, 1  # of a short run the second


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    # A page that is opened would be served until somebody stops it.
    monkeypatch.setattr("reports.page.server.serve", lambda place, _, **__: place.socket.close())
    furnish(tmp_path)
    return tmp_path


def test_every_command_is_tried() -> None:
    assert set(commands()) == set(SOUND)


# A value that a demo takes makes a whole one, and others take their time too.
@pytest.mark.parametrize("command", at_places(SOUND, *range(1, len(SOUND), 5)))
def test_bad_values(command: str, garage: Path, campaign: bool) -> None:
    before = everything(garage)
    count = PER_OPTION if campaign else FEWER
    for arguments in command_lines(command, count, np.random.default_rng(list(command.encode())), run_jobs=False):
        wrong, ended = misbehaviour(arguments, garage, before)
        assert not wrong, (arguments, ended)
        tidy(garage, before)


def tidy(folder: Path, before: dict[str, bytes | None]) -> None:
    """Take away what a command that ran has written, so that the next one meets the same folder."""
    for name in sorted(set(everything(folder)) - set(before)):
        path = folder / name
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)
