"""Commands stopped by a signal in the middle of their writing, and two that write into one folder.

The instant is counted, not timed: a child of this process counts the calls it makes and stops itself after so many. A
number drawn is an instant drawn, on any machine the same. `python -m tests.robustness.stopped --runs N --seed S`.
"""

import argparse
import os
import signal
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import chdir, contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random
from types import FrameType, MappingProxyType
from typing import Any

from reports.command_line import main as run_command
from tests.command_line.car_texts import SOUND_CAR
from tests.robustness.option_words import captured, everything, furnish

SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGKILL)
_WRITING = "safe_write.py"
_SMALL = ("--travel", "-3", "3", "--step", "3", "--roll", "1", "--roll-step", "1")
# What writes one file, three, and many with figures among them.
COMMANDS: dict[str, tuple[str, ...]] = {
    "new": ("new", "strut", "out/mine.toml"),
    "survey": ("survey", "lowered_coupe_survey.toml", "out/mine.toml"),
    "import": ("import", "points.csv", "out/mine.toml", "--suspension", "strut", "--unit", "mm", "--ground", "0"),
    "shelf": ("shelf", "rear_drive_saloon.toml", "rear_drive_saloon_shelf.toml", "out/table.csv"),
    "sweep": ("sweep", "sound.toml", "out", *_SMALL),
}
WEIGHTS = {"new": 6, "survey": 2, "import": 6, "shelf": 3, "sweep": 1}  # figures take long
QUICK = {"new": 6, "survey": 1, "import": 4, "shelf": 1}
OLD = b"old\n"
_PART = ".part"


@dataclass(frozen=True)
class Instant:
    """After how many calls something happens; in_writing: only calls made by what writes files count."""

    calls: int
    in_writing: bool


def garage(folder: Path, names: Iterable[str] = COMMANDS) -> Path:
    """Put the files that the commands take into a folder, and an empty folder for what they write."""
    furnish(folder)
    (folder / "sound.toml").write_text(SOUND_CAR, encoding="utf-8")
    (folder / "out").mkdir()
    for name in names:
        # Once here, so that no child has to load the libraries anew.
        captured(lambda name=name: _run(COMMANDS[name], folder))
        empty(folder / "out")
    return folder


@contextmanager
def counting(instant: Instant, then: Callable[[], None]) -> Iterator[list[int]]:
    """Do something once at an instant; what is yielded holds how many calls there were."""
    calls = [0]

    def count(frame: FrameType, _event: str, _argument: Any) -> None:
        # Returns count too: what has just been done is another instant than what is about to be.
        if instant.in_writing and not frame.f_code.co_filename.endswith(_WRITING):
            return
        calls[0] += 1
        if calls[0] == instant.calls:
            then()

    sys.setprofile(count)
    try:
        yield calls
    finally:
        sys.setprofile(None)


def in_a_child(work: Callable[[], int]) -> int:
    """Start a child that does a work silently and ends with its status; its process number."""
    child = os.fork()
    if child == 0:
        status = 70
        try:
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, 1)
            os.dup2(nowhere, 2)
            sys.stdout, sys.stderr = (open(handle, "w", closefd=False) for handle in (1, 2))  # noqa: SIM115
            signal.signal(signal.SIGINT, signal.default_int_handler)
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            status = work()
        finally:
            os._exit(status)
    return child


def ended(child: int) -> int:
    """Wait for a child; its exit status, or minus the signal that ended it."""
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def written_by(words: tuple[str, ...], folder: Path) -> dict[str, bytes | None]:
    """What a command that is not stopped writes into `out`, which is emptied again."""
    status = ended(in_a_child(lambda: _run(words, folder)))
    assert status in (0, 1), (words, status)
    made = everything(folder / "out")
    empty(folder / "out")
    return made


def calls_of(words: tuple[str, ...], folder: Path, *, in_writing: bool) -> int:
    """How many calls a command makes from beginning to end."""
    told, tell = os.pipe()

    def work() -> int:
        with counting(Instant(-1, in_writing), lambda: None) as calls:
            status = _run(words, folder)
        os.write(tell, str(calls[0]).encode())
        return status

    ended(in_a_child(work))
    os.close(tell)
    with os.fdopen(told) as reader:
        calls = int(reader.read())
    empty(folder / "out")
    return calls


def stopped(words: tuple[str, ...], folder: Path, how: signal.Signals, instant: Instant) -> int:
    """Run a command that is sent a signal at an instant; how it ended."""

    def work() -> int:
        with counting(instant, lambda: os.kill(os.getpid(), how)):
            return _run(words, folder)

    return ended(in_a_child(work))


def interrupted_by(first: tuple[str, ...], second: tuple[str, ...], folder: Path, instant: Instant) -> tuple[int, int]:
    """Run a command that pauses at an instant while another runs from beginning to end; how both ended."""
    paused, pause = os.pipe()
    gone_on, go_on = os.pipe()

    def wait() -> None:
        os.write(pause, b".")
        os.read(gone_on, 1)

    def work() -> int:
        with counting(instant, wait):
            status = _run(first, folder)
        os.write(pause, b".")  # it may have come to its end before the instant
        return status

    one = in_a_child(work)
    os.read(paused, 1)
    other = ended(in_a_child(lambda: _run(second, folder)))
    os.write(go_on, b".")
    status = ended(one)
    for handle in (paused, pause, gone_on, go_on):
        os.close(handle)
    return status, other


def _run(words: tuple[str, ...], folder: Path) -> int:
    with chdir(folder):
        return run_command(list(words))


def empty(folder: Path) -> None:
    """Take all files out of a folder."""
    for path in folder.iterdir():
        path.unlink()


def damage(out: Path, whole: dict[str, bytes | None], old: bool) -> str:
    """What is wrong with a folder after a command was stopped, "" for nothing. old: whether every file was there."""
    for name, content in everything(out).items():
        if name.startswith(".") and name.endswith(_PART):
            continue
        if name not in whole:
            return f"{name} is left"
        if content != whole[name] and not (old and content == OLD):
            return f"{name} is neither the old file nor the whole new one"
    lost = [name for name in whole if old and not (out / name).exists()]
    return f"lost: {lost}" if lost else ""


def signal_findings(
    runs: int, seed: int, folder: Path, weights: Mapping[str, int] = MappingProxyType(WEIGHTS)
) -> Iterator[str]:
    """Send signals at so many instants, over commands by their weights; yield what was damaged."""
    known: dict[str, tuple[dict[str, bytes | None], list[int]]] = {}
    for number in range(runs):
        random = Random(f"{seed}/{number}")
        name = random.choices(list(weights), list(weights.values()))[0]
        if name not in known:
            calls = [calls_of(COMMANDS[name], folder, in_writing=flag) for flag in (False, True)]
            known[name] = written_by(COMMANDS[name], folder), calls
        whole, calls = known[name]
        in_writing, old, how = random.random() < 0.7, random.random() < 0.5, random.choice(SIGNALS)
        instant = Instant(random.randint(1, calls[in_writing]), in_writing)
        if old:
            for one in whole:
                (folder / "out" / one).write_bytes(OLD)
        status = stopped((*COMMANDS[name], *(("--replace",) if old else ())), folder, how, instant)
        wrong = damage(folder / "out", whole, old)
        if not wrong and how == signal.SIGINT and status not in (0, 1, 2, 130):
            wrong = f"ended with {status}"
        if wrong:
            yield f"run {number}: {name}, {how.name} at {instant}: {wrong}"
        empty(folder / "out")


def pair_findings(runs: int, seed: int, folder: Path) -> Iterator[str]:
    """Let two commands write the same files, one in the midst of the other, at so many instants; yield what was wrong.

    Without --replace, what the one that ran through has named stays; with it, each file is one's or the other's.
    """
    mine, theirs = COMMANDS["survey"], ("survey", "other_survey.toml", "out/mine.toml")
    text = (folder / "lowered_coupe_survey.toml").read_text(encoding="utf-8")
    (folder / "other_survey.toml").write_text(text.replace("reads = 297.5", "reads = 299"), encoding="utf-8")
    ours, others = written_by(mine, folder), written_by(theirs, folder)
    assert all(ours[name] != others[name] for name in ours)
    calls = calls_of(mine, folder, in_writing=True)
    for number in range(runs):
        random = Random(f"{seed}/pair/{number}")
        replace = ("--replace",) if random.random() < 0.5 else ()
        instant = Instant(random.randint(1, calls), True)
        first, second = interrupted_by((*mine, *replace), (*theirs, *replace), folder, instant)
        left = everything(folder / "out")
        wrong = [name for name, content in left.items() if content not in (ours.get(name), others.get(name))]
        wrong += [name for name in ours if name not in left]
        if not replace and second in (0, 1):
            # The other one named all three before ours had named any: all are the other's.
            wrong += [name for name, content in left.items() if content != others[name]]
        if (
            wrong
            or (replace and not {first, second} <= {0, 1})
            or (not replace and first in (0, 1) and second in (0, 1))
        ):
            yield f"pair {number}: {instant}, {replace}: {wrong}, ended with {first} and {second}"
        empty(folder / "out")


def main() -> int:
    """Run a campaign from the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.robustness.stopped")
    parser.add_argument("--runs", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = garage(Path(name))
        findings = [
            *signal_findings(options.runs, options.seed, folder),
            *pair_findings(options.runs // 4, options.seed, folder),
        ]
    print("\n".join([*findings, f"{len(findings)} findings"]))  # noqa: T201
    return 1 if findings else 0


if __name__ == "__main__":
    sys.exit(main())
