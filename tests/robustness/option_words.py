"""Command lines with bad values in them, made from the parsers' own options: a new option is tried by itself."""

import argparse
import io
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from kinematics.inputs.demo_cars import DEMO_CARS, DEMO_PLANS, DEMO_SHELVES, DEMO_SURVEYS, demo_car, demo_text
from reports.command_line import main
from reports.command_menu import menu
from reports.commands.doubt import DoubtFiles
from reports.outputs.lean_files import lean_outputs
from tests.robustness.time_limits import time_limit

CAR, SALOON = "lowered_coupe.toml", "rear_drive_saloon.toml"
TAKEN = "taken"  # a folder in which every name that a command writes is there already
MOST_SECONDS = 30.0  # of work

# Words that a person, a script or a shell may hand over. No word leads out of the folder that the tests run in.
BAD = (
    "",
    " ",
    ".",
    "-",
    "--",
    "-x",
    "nan",
    "-nan",
    "inf",
    "-inf",
    "1e999",
    "-1e999",
    "1e-400",
    "5e-324",
    "0",
    "-0",
    "-1",
    "1e6",
    "9" * 400,
    "0x10",
    "1_000",
    "1,5",
    "1/0",
    "3 1/0",
    "-3/4",
    "13 5/8",
    "99999999999/1",
    "\N{VULGAR FRACTION ONE HALF}",
    "\N{ARABIC-INDIC DIGIT THREE}",
    "\N{SUPERSCRIPT TWO}",
    "\N{MINUS SIGN}5",
    "\udcff\udcfe",
    "\N{LATIN SMALL LETTER E WITH ACUTE}" * 5000,
    "a" * 300 + ".toml",
    "a" * 300 + ".pdf",
    "two\nlines",
    "\x1b[31mred",
    "[bold]bold[/]",
    "%s%n{0}{}",
    "strut\tstrut",
    "nowhere/at/all.toml",
    "car.toml/in/a/file.toml",
    "noise.bin",
    "/dev/null",
    "/dev/zero",
    "/proc/self/mem",
    "True",
    "None",
    "x=y=z",
    "=",
    "up=",
    "up=nan",
    "up=1,up=2",
)

# Options whose value is a place to write to: most words are good names, and then the whole job runs.
PLACES = ("folder", "into", "file", "table")
BAD_PLACES = ("car.toml", "noise.bin", "car.toml/in/a/file.toml", "/dev/null", TAKEN)

# A sound command line for each command: what stands in each positional, and options that keep the job small.
SOUND: dict[str, tuple[dict[str, str], list[str]]] = {
    "demo": ({"folder": TAKEN}, ["--travel", "-3", "3", "--roll", "1", "--roll-step", "1"]),
    "new": ({"suspension": "strut", "file": f"{TAKEN}/car.toml"}, []),
    "survey": ({"survey": "lowered_coupe_survey.toml", "car": f"{TAKEN}/car.toml"}, ["--next"]),
    "sheet": ({"what": "strut", "file": f"{TAKEN}/sheet.pdf"}, []),
    "import": ({"points": "points.csv", "file": f"{TAKEN}/car.toml"}, ["--suspension", "strut"]),
    "show": ({"car": CAR}, []),
    "sweep": ({"car": CAR, "folder": TAKEN}, ["--travel", "-3", "3", "--roll", "1", "--roll-step", "1"]),
    "compare": ({"car": CAR, "plans": "lowered_coupe_plans.toml"}, ["--into", TAKEN, "--draws", "100"]),
    "find": ({"car": CAR, "means": "lowered_coupe_means.toml"}, ["--into", TAKEN]),
    "influence": ({"car": CAR}, ["--into", TAKEN]),
    "travel": ({"car": CAR, "plans": "lowered_coupe_plans.toml"}, ["--into", TAKEN]),
    "setup": (
        {"car": CAR, "plans": "lowered_coupe_plans.toml"},
        ["--plan", "rack up", "--write", f"{TAKEN}/setup.pdf"],
    ),
    "weigh": ({"scales": "scales.toml", "car": SALOON}, ["--write-car", f"{TAKEN}/car.toml"]),
    "record": ({"folder": "my_record"}, ["--add", CAR, "--date", "2026-03-14"]),
    "doubt": ({"car": CAR}, ["--into", TAKEN, "--draws", "100"]),
    "lean": ({"car": SALOON}, ["--into", TAKEN]),
    "shelf": (
        {"car": SALOON, "shelf": "rear_drive_saloon_shelf.toml", "table": f"{TAKEN}/shelf.csv"},
        [],
    ),
    "draw": ({"car": CAR, "file": f"{TAKEN}/a.png"}, []),
    "open": ({"car_file": CAR}, []),
    "report": ({"car": CAR, "file": f"{TAKEN}/report.html"}, []),
    "schema": ({"kind": "car", "file": f"{TAKEN}/car.toml"}, []),
    "completion": ({"shell": "bash"}, []),
}


SCALES = """
units = "mm"
[level]
front_left = 290
front_right = 285
rear_left = 265
rear_right = 260
"""


@dataclass(frozen=True)
class Ended:
    """How a command ended. status: None where it raised; told: what it said on standard error, or the exception."""

    status: object
    told: str


def commands() -> dict[str, argparse.ArgumentParser]:
    """Every command's own parser."""
    return dict(menu().commands)


def furnish(folder: Path) -> None:
    """Put the built-in files into a folder, and files that are in the way."""
    for names in (DEMO_CARS, DEMO_PLANS, DEMO_SHELVES, DEMO_SURVEYS):
        for name in names.values():
            (folder / name).write_text(demo_text(name), encoding="utf-8")
    (folder / "car.toml").write_text("mine", encoding="utf-8")
    (folder / "noise.bin").write_bytes(np.random.default_rng(7).bytes(3000))
    rows = ["name,ahead,out,up"]
    for line in demo_text(DEMO_CARS["lowered-coupe"]).splitlines():
        words = line.replace(",", " ").replace("=", " ").split()
        if len(words) > 8 and words[2] == "ahead" and words[4] == "out" and words[6] == "up":
            rows.append(f"{words[0]},{words[3]},{words[5]},{words[7]}")
    (folder / "points.csv").write_text("\n".join(dict.fromkeys(rows)) + "\n", encoding="utf-8")
    (folder / "scales.toml").write_text(SCALES, encoding="utf-8")
    taken = folder / TAKEN
    taken.mkdir()
    names = ["car.toml", "car_doubt.csv", "car_readings.csv", "sheet.pdf", "shelf.csv", "report.html"]
    names += [f"a.{ending}" for ending in ("png", "svg", "pdf")]
    names += [name for demo in (DEMO_CARS, DEMO_PLANS, DEMO_SHELVES, DEMO_SURVEYS) for name in demo.values()]
    for axle in ("front", "rear"):
        names += [f"{axle}_{kind}.csv" for kind in ("bump", "plans")]
    for ending in ("png", "svg", "pdf"):
        for car in (demo_car(name) for name in DEMO_CARS.values()):
            names += [one.name for one in lean_outputs(car, ending)]
            names += [path.name for path in DoubtFiles.of(car, car.limits, taken, ending).paths]
    for name in names:
        (taken / name).write_bytes(b"mine")


def command_lines(
    command: str, per_option: int, rng: np.random.Generator, *, run_jobs: bool = True
) -> Iterator[list[str]]:
    """Command lines that are sound but for one value, or one value more or less.

    run_jobs: False where only places that cannot be written to are tried, so that no job runs to its end.
    """
    parser = commands()[command]
    positionals, kept_small = SOUND[command]
    for action in parser._actions:
        if isinstance(action, argparse._HelpAction):
            continue
        bad = BAD if run_jobs or action.dest not in PLACES else BAD_PLACES
        for word in rng.choice(np.array(bad, dtype=object), min(per_option, len(bad)), replace=False):
            places = dict(positionals)
            words: list[str] = []
            if not action.option_strings:
                places[action.dest] = str(word)
            elif action.nargs == 0:
                words = [action.option_strings[-1], str(word)]  # a switch takes no value
            else:
                count = action.nargs if isinstance(action.nargs, int) else 1
                values = [str(word), *(str(one) for one in rng.choice(np.array(BAD, dtype=object), count - 1))]
                words = [action.option_strings[-1], *values]
                if count == 1 and rng.random() < 0.5:
                    words = [f"{action.option_strings[-1]}={word}"]
            own = [] if "--replace" in words else kept_small
            yield [command, *places.values(), *own, *words]


def run(arguments: list[str]) -> Ended:
    """Run a command within the time it may take."""

    def limited() -> object:
        with time_limit(MOST_SECONDS):
            return main(arguments)

    try:
        status, _, told = captured(limited)
    except BaseException as error:
        trace = error.__traceback__
        while trace is not None and trace.tb_next is not None:
            trace = trace.tb_next
        where = f"{trace.tb_frame.f_code.co_filename}:{trace.tb_lineno}" if trace else ""
        return Ended(None, f"{type(error).__name__}: {str(error)[:200]} at {where}")
    return Ended(status, told)


def captured(command: Callable[[], object]) -> tuple[object, str, str]:
    """Run a command; its exit status, and what it said on standard output and standard error."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", errors="strict") for _ in range(2))
    status: object
    with redirect_stdout(out), redirect_stderr(err):
        try:
            status = command()
        except SystemExit as ended:
            status = ended.code
    return status, _said(out), _said(err)


def _said(stream: io.TextIOWrapper) -> str:
    if stream.closed:
        return ""
    stream.flush()
    content = stream.buffer.getvalue() if isinstance(stream.buffer, io.BytesIO) else b""
    return content.decode("utf-8")


def everything(folder: Path) -> dict[str, bytes | None]:
    """Every file of a folder with its content."""
    return {str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None for path in folder.rglob("*")}


def misbehaviour(arguments: list[str], folder: Path, before: dict[str, bytes | None]) -> tuple[str, Ended]:
    """Run a command and say what it did that it must not, "" for nothing. before: what lies in the folder."""
    ended = run(arguments)
    after = everything(folder)
    lost = [name for name, content in before.items() if after.get(name, b"gone") != content]
    new = [name for name in after if name not in before]
    if ended.status is None:
        return ended.told, ended
    if ended.status not in (0, 1, 2):
        return f"exit status {ended.status}", ended
    if "Traceback" in ended.told:
        return "a traceback", ended
    if lost and "--replace" not in arguments:
        return f"overwritten: {lost}", ended
    if any(name.endswith(".part") for name in new):
        return f"half-written: {new}", ended
    if ended.status == 2 and new:
        return f"refused, but wrote {new}", ended
    if ended.status == 2 and not ended.told.strip():
        return "refused without a word", ended
    return "", ended
