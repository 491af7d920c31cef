"""Spoiled files by the thousand: python -m tests.robustness.spoiled --inputs N --seed S --minutes M.

Every kind of file, spoiled by grammar and by bytes, goes through the function that reads it, and a share through the
command that takes it. Allowed is a sound result, or a fault in words; found is anything else: another exception, a
warning, a NaN, a control character or over 8 kB in what is told, a cell that a spreadsheet would work out, work
without an end (by calls counted, in a share). An input is made of the seed and its number alone: `--only NUMBER`
shows one.
"""

import argparse
import csv
import dataclasses
import faulthandler
import io
import math
import os
import re
import sys
import tempfile
import time
import warnings
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import chdir, nullcontext
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

import numpy as np

from kinematics import InputFaultError
from reports.command_line import main as run_command
from tests.robustness.option_words import captured
from tests.robustness.spoiled_files import FileKind, furnished, kinds
from tests.robustness.time_limits import NoEndError
from tests.robustness.work_limits import Work, counted

MOST_TOLD = 8000  # bytes
MOST_CALLS = 30_000_000  # of reading one file; a sound one takes some hundred thousand
_COUNTED = 20  # one input of so many has its calls counted
_WATCHED = 500  # inputs, after whose time without an end the campaign shows where it stands; decides nothing
_STUCK = 1800.0  # s
_NAMED = 12
# What must reach no terminal, written down here anew: C0 and C1 but for line ends, delete, line separators, direction.
_CONTROL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
_NUMBER = re.compile(r"[+-]?\d*\.?\d+(e[+-]?\d+)?", re.IGNORECASE)


@dataclass
class Tally:
    """What a campaign saw. most_calls: of reading one file, and its number; findings: number, kind and what."""

    tried: Counter[str] = field(default_factory=Counter)
    accepted: Counter[str] = field(default_factory=Counter)
    by_command: Counter[str] = field(default_factory=Counter)
    status: Counter[object] = field(default_factory=Counter)
    most_calls: tuple[int, int] = (0, 0)
    longest: int = 0
    findings: list[tuple[int, str, str]] = field(default_factory=list)

    def lines(self) -> Iterator[str]:
        tried, commands = sum(self.tried.values()), sum(self.by_command.values())
        yield f"read {tried}, accepted {sum(self.accepted.values())}; by command {commands}: status {dict(self.status)}"
        yield from (f"  {self.tried[kind]:7d} {kind}, accepted {self.accepted[kind]}" for kind in self.tried)
        yield f"most calls {self.most_calls[0]} (input {self.most_calls[1]}), longest told {self.longest} bytes"
        yield f"findings {len(self.findings)}"
        causes: dict[str, list[int]] = {}
        for number, kind, what in self.findings:
            causes.setdefault(f"{kind}: {what}", []).append(number)
        for what, numbers in causes.items():
            yield f"  {len(numbers)} of {what} (inputs {', '.join(map(str, numbers[:_NAMED]))})"


def spoiled_input(seed: int, number: int) -> tuple[str, bytes]:
    """The kind and the content of an input."""
    names = list(kinds())
    return names[number % len(names)], kinds()[names[number % len(names)]].spoiled(Random(f"{seed}/{number}"))


def run(inputs: int, seed: int, share: int, folder: Path, first: int = 0, minutes: float = math.inf) -> Tally:
    """Try so many inputs; one of `share` goes through its command too."""
    tally = Tally()
    furnished(folder)
    end = time.monotonic() + 60.0 * minutes
    for number in range(first, first + inputs):
        if time.monotonic() > end:
            break
        name, content = spoiled_input(seed, number)
        kind = kinds()[name]
        path = folder / f"spoiled{kind.ending}"
        path.write_bytes(content)
        tally.tried[name] += 1
        if tally.tried.total() % _WATCHED == 1:
            faulthandler.dump_traceback_later(_STUCK)
        what = _read(kind, path, number, tally, name)
        if not what and (number // len(kinds())) % share == 0:
            tally.by_command[name] += 1
            what = _by_command(kind, path, tally)
        if what:
            tally.findings.append((number, name, what))
    faulthandler.cancel_dump_traceback_later()
    return tally


def _read(kind: FileKind, path: Path, number: int, tally: Tally, name: str) -> str:
    """What went wrong in reading a file, "" for nothing."""
    counts = number // len(kinds()) % _COUNTED == 0
    try:
        with warnings.catch_warnings(), counted(MOST_CALLS) if counts else nullcontext(Work()) as work:
            warnings.simplefilter("error")
            result = kind.read(path)
    except InputFaultError as fault:
        told = str(fault)
        tally.longest = max(tally.longest, len(told.encode("utf-8", "replace")))
        return unfit_message(told)
    except (Exception, NoEndError) as error:
        return described(error)
    finally:
        tally.most_calls = max(tally.most_calls, (work.calls, number))
    tally.accepted[name] += 1
    return "a NaN in what was read" if holds_nan(result) else ""


def unfit_message(told: str) -> str:
    """What is wrong with a message, "" for nothing."""
    if _CONTROL.search(told):
        return f"control character {_CONTROL.findall(told)[0]!r} is told"
    if len(told.encode("utf-8", "replace")) >= MOST_TOLD:
        return "told in over 8 kB"
    return "" if told.strip() else "refused without a word"


def holds_nan(value: object) -> bool:
    """Whether a NaN stands anywhere in a record."""
    if isinstance(value, float):
        return math.isnan(value)
    if isinstance(value, np.ndarray):
        return value.dtype.kind in "fc" and bool(np.isnan(value).any())
    if isinstance(value, Mapping):
        return any(map(holds_nan, value.values()))
    if isinstance(value, (tuple, list)):
        return any(map(holds_nan, value))
    if dataclasses.is_dataclass(value):
        return any(holds_nan(getattr(value, one.name)) for one in dataclasses.fields(value))
    return False


def described(error: BaseException) -> str:
    """An exception and where it was raised."""
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    where = f"{Path(trace.tb_frame.f_code.co_filename).name}:{trace.tb_lineno}" if trace is not None else ""
    return f"{type(error).__name__}: {str(error)[:100]!r} at {where}"


def _by_command(kind: FileKind, path: Path, tally: Tally) -> str:
    """What went wrong when a command took a file, "" for nothing; what it wrote is taken away."""
    before = set(os.listdir(path.parent))  # noqa: PTH208
    try:
        with chdir(path.parent), warnings.catch_warnings():
            warnings.simplefilter("error")
            status, out, err = captured(lambda: run_command(kind.command(path.name)))
    except (Exception, NoEndError) as error:
        return f"by command: {described(error)}"
    tally.status[status] += 1
    written = [path.parent / name for name in set(os.listdir(path.parent)) - before]  # noqa: PTH208
    what = _odd_outcome(status, out, err, written)
    for one in written:
        one.unlink()
    return f"by command: {what}" if what else ""


def _odd_outcome(status: object, out: str, err: str, written: list[Path]) -> str:
    if status not in (0, 1, 2):
        return f"exit status {status}"
    if status == 2 and (written or unfit_message(err)):
        return unfit_message(err) or f"refused, but wrote {[path.name for path in written]}"
    if _CONTROL.search(out + err):
        return "a control character is printed"
    if re.search(r"\bnan\b", out):
        return "a NaN is printed"
    return next((what for path in written if path.suffix == ".csv" and (what := unsafe_cells(path))), "")


def unsafe_cells(path: Path) -> str:
    """What no cell of a table should hold, "" for nothing: a formula, or no number where one should be."""
    for row in csv.reader(io.StringIO(path.read_text(encoding="utf-8"), newline="")):
        for cell in row:
            if cell.startswith(("=", "+", "-", "@", "\t", "\r")) and not _NUMBER.fullmatch(cell):
                return f"a formula in {path.name}: {cell[:40]!r}"
            if cell.lower() in ("nan", "inf"):
                return f"{cell} in {path.name}"
    return ""


def main() -> int:
    """Run a campaign from the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.robustness.spoiled")
    parser.add_argument("--inputs", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="number of the first input")
    parser.add_argument("--share", type=int, default=20, help="one input of so many also goes through its command")
    parser.add_argument("--minutes", type=float, default=math.inf, help="no new inputs after so long")
    parser.add_argument("--only", type=int, help="print this input and try it alone")
    options = parser.parse_args()
    say: Callable[[str], None] = lambda text: print(text, flush=True)  # noqa: E731, T201
    with tempfile.TemporaryDirectory() as folder:
        if options.only is not None:
            say(repr(spoiled_input(options.seed, options.only)[1])[:20_000])
            tally = run(1, options.seed, 1, Path(folder), options.only)
        else:
            tally = run(options.inputs, options.seed, options.share, Path(folder), options.first, options.minutes)
    say("\n".join(tally.lines()))
    return 1 if tally.findings else 0


if __name__ == "__main__":
    sys.exit(main())
