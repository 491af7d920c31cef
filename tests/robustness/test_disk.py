"""Disks that fill up, folders without rights, runs that are stopped or killed, and jobs too large for the machine."""

import csv
import errno
import io
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.command_line.car_texts import SOUND_CAR
from tests.robustness.option_words import everything, furnish, run
from tests.short_run import at_places

ROOT = Path(__file__).parents[2]
SMALL = ("--travel", "-3", "3", "--roll", "1", "--roll-step", "1")
# Run in a process of its own: first what `SETTING` says, then the command.
# A shell's background job ignores the interrupt, and so would what it starts.
PROGRAM = """
import os, signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
{patience}{setting}
from reports.command_line import main
sys.exit(main())
"""
# A run without end is ended after so many seconds of the processor's work, however busy the machine is.
PATIENCE = (
    ""
    if sys.platform == "win32"
    else """
import resource
resource.setrlimit(resource.RLIMIT_CPU, (100, 100))
"""
)
# Every write beyond so many bytes in all fails as on a full disk. Python's own buffered files write through `io`, so
# it is the files opened by `os.fdopen` that are made to count.
FULL = """
import errno, io
LEFT = [{room}]
class Full(io.BufferedWriter):
    def __init__(self, handle, _mode):
        super().__init__(io.FileIO(handle, "wb"))
    def write(self, data):
        LEFT[0] -= len(data)
        if LEFT[0] < 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return super().write(data)
os.fdopen = Full
"""
# Half of a file is written; then it waits for a signal.
SLOW = """
import io
class Slow(io.BufferedWriter):
    def __init__(self, handle, _mode):
        super().__init__(io.FileIO(handle, "wb"))
    def write(self, data):
        super().write(data[: len(data) // 2])
        self.flush()
        print("half", file=sys.stderr, flush=True)
        signal.pause()
        return super().write(data[len(data) // 2 :])
os.fdopen = Slow
"""


@pytest.fixture
def garage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    furnish(tmp_path)
    (tmp_path / "car.toml").write_text(SOUND_CAR, encoding="utf-8")
    return tmp_path


def started(setting: str, *arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", PROGRAM.format(patience=PATIENCE, setting=setting), *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )


def in_a_process(setting: str, *arguments: str) -> tuple[int, str]:
    with started(setting, *arguments) as process:
        _, told = process.communicate()
    return process.returncode, told


WRITERS = {
    "new": (("new", "strut", "out/blank.toml"), "out/blank.toml"),
    "sheet": (("sheet", "strut", "out/sheet.pdf"), "out/sheet.pdf"),
    "survey": (("survey", "lowered_coupe_survey.toml", "out/mine.toml"), "out/mine.toml"),
    "import": (
        ("import", "points.csv", "out/mine.toml", "--suspension", "strut", "--unit", "mm", "--ground", "0"),
        "out/mine.toml",
    ),
    "draw": (("draw", "car.toml", "out/a.svg"), "out/a.svg"),
    "shelf": (("shelf", "rear_drive_saloon.toml", "rear_drive_saloon_shelf.toml", "out/table.csv"), "out/table.csv"),
}


@pytest.mark.parametrize("command", at_places(WRITERS, 4))
def test_a_full_disk(command: str, garage: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk takes no byte more: exit status 2, the reason, and what was there before is whole."""
    arguments, written = WRITERS[command]
    out = garage / "out"
    out.mkdir()
    (garage / written).write_bytes(b"old")
    before = everything(garage)

    def full(handle: int) -> None:
        os.ftruncate(handle, 0)
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    ended = run([*arguments, "--replace"])
    assert ended.status == 2
    assert os.strerror(errno.ENOSPC) in ended.told
    assert everything(garage) == before


@pytest.mark.campaign
def test_a_disk_that_fills_up_half_way(garage: Path) -> None:
    """A sweep of many files: those named are whole, none is half-written, none has a name of its own."""
    status, told = in_a_process(FULL.format(room=60_000), "sweep", "car.toml", "out", *SMALL)
    assert status == 2
    assert "No space left on device" in told
    assert "Traceback" not in told
    for path in (garage / "out").iterdir():
        assert path.suffix == ".csv"
        content = path.read_bytes().decode("utf-8")
        assert content.endswith("\r\n")
        assert len({len(row) for row in csv.reader(io.StringIO(content, newline=""))}) == 1


# A disk that only the process sees which mounts it, and what that one starts: it is gone with them.
ON_ITS_OWN_DISK = """
mount -t tmpfs -o size=64k tmpfs disk || exit 99
echo old > disk/front_bump.csv
"$@"
status=$?
ls -A disk
exit $status
"""


@pytest.mark.campaign
@pytest.mark.skipif(sys.platform != "linux", reason="disks of a process's own are a matter of Linux")
def test_a_disk_of_64_kb(garage: Path) -> None:
    (garage / "disk").mkdir()
    alone = ["unshare", "--mount", *([] if os.geteuid() == 0 else ["--map-root-user"]), "sh", "-c", ON_ITS_OWN_DISK]
    command = [sys.executable, "-c", PROGRAM.format(patience=PATIENCE, setting=""), "sweep", "car.toml", "disk"]
    ended = subprocess.run(
        [*alone, "sh", *command, "--replace", *SMALL],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    if ended.returncode in (1, 99) and "No space" not in ended.stderr:
        pytest.skip(f"no disk of its own may be mounted here: {ended.stderr}")
    assert ended.returncode == 2
    assert "No space left on device" in ended.stderr
    left = ended.stdout.splitlines()
    assert "front_bump.csv" in left
    assert not [name for name in left if name.endswith(".part")]
    assert list((garage / "disk").iterdir()) == []


# The superuser without his privileges is an owner like any other: capset(2), third version, none of any sort.
WITHOUT_PRIVILEGES = """
import ctypes
libc = ctypes.CDLL(None, use_errno=True)
if libc.capset((ctypes.c_uint32 * 2)(0x20080522, 0), (ctypes.c_uint32 * 6)()):
    raise OSError(ctypes.get_errno(), "capset")
"""


@pytest.mark.campaign
@pytest.mark.skipif(
    sys.platform != "linux" and getattr(os, "geteuid", int)() == 0,
    reason="rights are a matter of POSIX, and the superuser may write everywhere",
)
@pytest.mark.parametrize("command", WRITERS)
def test_a_folder_without_rights(command: str, garage: Path) -> None:
    """As somebody who may read everything here and write nothing, in a process of its own."""
    arguments, _ = WRITERS[command]
    out = garage / "out"
    out.mkdir()
    out.chmod(0o555)
    (garage / "before").mkdir()
    # What Python itself lies in may be closed to anybody else: so the command runs once before, and loads everything.
    words = [word.replace("out/", "before/") for word in arguments]
    setting = f"from reports.command_line import main\nmain({words!r})"
    setting += WITHOUT_PRIVILEGES if os.geteuid() == 0 else ""
    before = everything(out)
    status, told = in_a_process(setting, *arguments)
    assert status == 2
    assert told.splitlines()[-1].endswith(f"cannot be written: {os.strerror(errno.EACCES)}")
    assert everything(out) == before


@pytest.mark.campaign
@pytest.mark.skipif(sys.platform == "win32", reason="signals are a matter of POSIX")
@pytest.mark.parametrize("how", at_places([signal.SIGINT, signal.SIGTERM, signal.SIGKILL], 1), ids=lambda one: one.name)
def test_a_run_stopped_half_way_through_a_file(how: signal.Signals, garage: Path) -> None:
    """The old file is whole, and no half of a new one has its name."""
    old = garage / "mine.toml"
    old.write_bytes(b"old")
    before = everything(garage)
    with started(SLOW, "new", "strut", "mine.toml", "--replace") as process:
        assert process.stderr is not None
        assert process.stderr.readline() == "half\n"
        process.send_signal(how)
        _, told = process.communicate()
    assert "Traceback" not in told
    left = {name: content for name, content in everything(garage).items() if before.get(name) != content}
    assert old.read_bytes() == b"old"
    if how == signal.SIGINT:
        assert process.returncode == 130
        assert left == {}
    # What is killed can tidy nothing away: what is left is hidden and says that it is a part.
    assert all(name.startswith(".mine.toml.") and name.endswith(".part") for name in left)


MEMORY = """
import resource
resource.setrlimit(resource.RLIMIT_AS, ({size}, {size}))
"""
LARGE = {
    "a fine grid": ("sweep", "car.toml", "out", "--step", "0.001", "--roll-step", "0.01"),
    "a long way": ("sweep", "car.toml", "out", "--travel", "-5000", "5000", "--step", "0.001"),
    "many rolls": ("sweep", "car.toml", "out", "--roll", "15", "--roll-step", "0.01", "--step", "0.01"),
    "a million cars and one": ("doubt", "car.toml", "--draws", "1000001"),
    "a file without end": ("show", "/dev/zero"),
    "a table without end": ("import", "/dev/zero", "out.toml", "--suspension", "strut"),
    "a sheet without end": ("sheet", "--filled-in", "/dev/zero", "out.toml"),
    "a survey without end": ("survey", "/dev/zero"),
    "a huge list": ("show", "list.toml"),
    "deep lists": ("show", "deep.toml"),
    "deep tables": ("show", "tables.toml"),
    "one long number": ("show", "number.toml"),
    "a key of many parts": ("show", "dots.toml"),
}


@pytest.mark.campaign
@pytest.mark.skipif(sys.platform != "linux", reason="limits of memory are a matter of Linux")
@pytest.mark.parametrize("job", LARGE)
def test_what_is_too_large_is_refused_before_memory_goes(job: str, garage: Path) -> None:
    """Within 3 GB of addresses, of which NumPy and its threads take one, and within the patience there is."""
    big = {
        "list.toml": "a = [" + "0," * 450_000 + "0]",
        "deep.toml": "a = " + "[" * 490_000 + "]" * 490_000,
        "tables.toml": "a = " + "{b = " * 150_000 + "1" + "}" * 150_000,
        "number.toml": "a = " + "9" * 900_000,
        "dots.toml": "a" + ".a" * 400_000 + " = 1",
    }
    if LARGE[job][1] in big:
        (garage / LARGE[job][1]).write_text(big[LARGE[job][1]], encoding="utf-8")
    before = everything(garage)
    status, told = in_a_process(MEMORY.format(size=3_000_000_000), *LARGE[job])
    assert status == 2, told
    assert "Traceback" not in told
    assert len(told) < 5000
    assert everything(garage) == before
