"""A share of the campaign on spoiled files and of that on commands stopped in their writing; planted faults in both."""

import csv
import os
import signal
import sys
import tomllib
from pathlib import Path
from random import Random

import pytest

from kinematics.inputs.reading import content
from reports.outputs import safe_write
from tests.robustness import spoiled, stopped
from tests.robustness.spoiled_files import furnished, kinds
from tests.robustness.spoiled_trees import spoiled_tree

INPUTS, SEED = 400, 8
SHORT = 150  # inputs in a short run, of which some of each kind must be accepted
PLANTED = 150  # with a fault planted, which some of them show
STOPS, PAIRS = 100, 10
DEEP = 616901  # of seed 31: a value within others, more than a thousand deep
FEWER_STOPS, FEWER_PAIRS = 15, 2  # in a short run
posix = pytest.mark.skipif(not hasattr(os, "fork"), reason="a child that is a copy of its parent is a matter of POSIX")


@pytest.mark.parametrize("name", kinds())
def test_the_sound_file_is_read(name: str, tmp_path: Path) -> None:
    kind = kinds()[name]
    path = furnished(tmp_path) / f"spoiled{kind.ending}"
    path.write_text(kind.text, encoding="utf-8")
    assert not spoiled.holds_nan(kind.read(path))


def test_spoiled_files_are_refused_in_words_or_soundly_read(tmp_path: Path, campaign: bool) -> None:
    inputs = INPUTS if campaign else SHORT
    tally = spoiled.run(inputs, SEED, 10 if campaign else 50, tmp_path)
    assert tally.findings == []
    assert tally.tried.total() == inputs
    # Neither all refused, which would show little, nor all accepted.
    assert inputs / 10 < tally.accepted.total() < inputs / 2
    assert set(tally.accepted) == set(kinds())


def test_an_input_is_made_of_its_number_alone() -> None:
    assert spoiled.spoiled_input(3, 17) == spoiled.spoiled_input(3, 17)
    assert spoiled.spoiled_input(3, 17) != spoiled.spoiled_input(4, 17)


def test_a_value_put_into_others_four_times_is_written_and_refused(tmp_path: Path) -> None:
    """The reader meets what is deeper than calls may go with the limit that a user has."""
    before = sys.getrecursionlimit()
    assert len(spoiled.spoiled_input(31, DEEP)[1]) > 1000
    assert sys.getrecursionlimit() == before
    assert spoiled.run(1, 31, 10**6, tmp_path, DEEP).findings == []


@pytest.mark.campaign
def test_a_traceback_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(content, "shown", lambda value: str(int("9" * 5000)) + str(value))
    tally = spoiled.run(PLANTED, SEED, 10**6, tmp_path)
    assert any("ValueError: 'Exceeds the limit" in what for _, _, what in tally.findings)


@pytest.mark.campaign
def test_a_control_character_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kinematics.inputs.reading.faults.escaped", lambda text, **_: text)
    tally = spoiled.run(PLANTED, SEED, 10**6, tmp_path)
    assert any("control character" in what for _, _, what in tally.findings)


def test_what_has_no_end_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spoiled, "MOST_CALLS", 50)
    tally = spoiled.run(10, SEED, 10**6, tmp_path)
    assert any("no end after 50 calls" in what for _, _, what in tally.findings)


def test_a_formula_in_a_table_is_found(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    for cells, found in ((["-3.0", "'=1", "a-b"], False), (["=1"], True), (["-2+3"], True), (["nan"], True)):
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerow(cells)
        assert bool(spoiled.unsafe_cells(path)) == found


def test_a_nan_is_found() -> None:
    assert spoiled.holds_nan({"a": [(1.0, float("nan"))]})
    assert not spoiled.holds_nan({"a": [(1.0, float("inf"), "nan")]})


def test_trees_stay_toml() -> None:
    """Spoiled by grammar is not spoiled beyond it: Python's own reader takes nearly all, so our checks are reached."""
    tree = {"name": "a", "list": [1, 2.5, {"b": []}], "table": {"c": {"d": "e"}}, "rows": [{"f": 1}, {"f": 2}]}
    read = 0
    for number in range(200):
        try:
            tomllib.loads(spoiled_tree(Random(number), tree).decode())
        except ValueError:
            continue
        read += 1
    assert read > 150


@pytest.mark.campaign
@posix
def test_a_command_that_is_stopped_leaves_whole_files(tmp_path: Path, campaign: bool) -> None:
    """SIGINT, SIGTERM and SIGKILL at drawn instants: each file is the old one or the whole new one, or not there."""
    stops = STOPS if campaign else FEWER_STOPS
    assert list(stopped.signal_findings(stops, SEED, stopped.garage(tmp_path, stopped.QUICK), stopped.QUICK)) == []


@pytest.mark.campaign
@posix
def test_two_that_write_into_one_folder(tmp_path: Path, campaign: bool) -> None:
    """One pauses at a drawn instant while the other runs: whole files, and nothing overwritten that was not to be."""
    pairs = PAIRS if campaign else FEWER_PAIRS
    assert list(stopped.pair_findings(pairs, SEED, stopped.garage(tmp_path, ["survey"]))) == []


@posix
def test_a_half_written_file_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def straight(path: Path, text: bytes | str, *, replace: bool = False) -> None:
        path.write_text(str(text)[: len(text) // 2 if replace else 0])
        os.kill(os.getpid(), signal.SIGKILL)

    folder = stopped.garage(tmp_path, ["new"])
    monkeypatch.setattr(safe_write, "write_content", straight)
    words = stopped.COMMANDS["new"]
    stopped.stopped(words, folder, signal.SIGKILL, stopped.Instant(-1, True))
    assert "neither" in stopped.damage(folder / "out", {"mine.toml": b"whole"}, False)
