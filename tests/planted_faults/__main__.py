"""Plant faults of one line in a copy of the tree, run the tests that concern them, list those that nothing noticed.

`python -m tests.planted_faults [--only FOLDER] [--seed S] [--count N]`. Half of the faults are in `reports`; the rest
are spread over all folders. A survivor named in `survivors.toml` changes nothing that a user sees; its reason stands
there.
"""

import argparse
import itertools
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections import defaultdict
from pathlib import Path

from tests.planted_faults.concerned import concerned
from tests.planted_faults.operators import Fault, faults_in

ROOT = Path(__file__).parents[2]
_PACKAGES = ("solvers", "kinematics", "reports")
_COPIED = (*_PACKAGES, "tests", "benchmarks", "pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE")
_SOUND: dict[str, bool] = {}
_SECONDS = itertools.count(1_000_000_000)
_MOST_WORK = 900  # s of the processor: a fault that makes a loop endless has been noticed


def main() -> int:
    """Plant, run, tell; 1 if a fault that is not listed went unseen."""
    parser = argparse.ArgumentParser(prog="python -m tests.planted_faults", description=__doc__)
    parser.add_argument("--only", default="", metavar="FOLDER", help="faults in files whose path begins so")
    parser.add_argument("--seed", type=int, default=1, help="of the choice (default: %(default)s)")
    parser.add_argument("--count", type=int, default=200, help="how many faults (default: %(default)s)")
    parser.add_argument("--list", action="store_true", help="name the faults without planting them")
    options = parser.parse_args()
    chosen = choose(options.only, options.seed, options.count)
    if options.list:
        print("\n".join(f"{fault.line:4} {fault.name}" for fault in chosen))
        return 0
    return told(chosen)


def choose(only: str, seed: int, count: int) -> list[Fault]:
    """Faults by chance: half in `reports` unless only some are asked for; in turn by folder and by kind of fault."""
    rng = random.Random(seed)
    pools: dict[bool, dict[str, list[Fault]]] = {True: defaultdict(list), False: defaultdict(list)}
    for package in _PACKAGES:
        for file in sorted((ROOT / package).rglob("*.py")):
            path = file.relative_to(ROOT).as_posix()
            if path.startswith(only):
                pools[package == "reports"][str(Path(path).parent)] += faults_in(ROOT, path)
    parts = [(pools[True], count // 2), (pools[False], count - count // 2)]
    if not pools[False] or not pools[True]:
        parts = [(pools[True] or pools[False], count)]
    chosen = [fault for pool, many in parts for fault in _in_turn(pool, many, rng)]
    rng.shuffle(chosen)
    return chosen


def _in_turn(pool: dict[str, list[Fault]], many: int, rng: random.Random) -> list[Fault]:
    """From each folder in turn, and there from each kind of fault, so that no one idea takes all places."""
    left: dict[str, dict[str, list[Fault]]] = {}
    for folder, faults in pool.items():
        by_kind = defaultdict(list)
        for fault in rng.sample(faults, len(faults)):
            by_kind[fault.kind].append(fault)
        left[folder] = dict(by_kind)
    chosen: list[Fault] = []
    while len(chosen) < many and left:
        for folder in sorted(left):
            kinds = [kind for kind, faults in left[folder].items() if faults]
            if not kinds:
                del left[folder]
                continue
            chosen.append(left[folder][rng.choice(sorted(kinds))].pop())
    return chosen[:many]


def told(chosen: list[Fault]) -> int:
    """Plant each, one after the other, and tell what came of it."""
    with (Path(__file__).parent / "survivors.toml").open("rb") as file:
        reasons = {one["fault"]: one["reason"] for one in tomllib.load(file).get("survivor", [])}
    caught, excused, unseen = 0, 0, []
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "tree"
        _copy(copy)
        for number, fault in enumerate(chosen, start=1):
            noticed = _noticed(copy, fault)
            state = "caught" if noticed else "excused" if fault.name in reasons else "UNSEEN"
            print(
                f"{number:4} {state:8} {fault.path}:{fault.line} {fault.kind}: {fault.was!r} -> {fault.now!r}",
                flush=True,
            )
            caught += noticed
            excused += state == "excused"
            unseen += [fault] if state == "UNSEEN" else []
    visible = len(chosen) - excused
    print(
        f"{caught} of {visible} faults caught ({100.0 * caught / max(visible, 1):.0f} %), {excused} change nothing seen"
    )
    for fault in unseen:
        print(f"  {fault.name}  (line {fault.line})")
    return 1 if unseen else 0


def _copy(copy: Path) -> None:
    copy.mkdir()
    for name in _COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
        elif source.exists():
            shutil.copy(source, copy / name)


def _noticed(copy: Path, fault: Fault) -> bool:
    """Whether the tests fail with a fault planted; the copy is whole again afterwards."""
    tests = [test for test in concerned(fault.path) if _is_sound(copy, test)]
    if not tests:
        raise SystemExit(f"all tests that concern {fault.path} fail without any fault; mend them first")
    file = copy / fault.path
    whole = file.read_text(encoding="utf-8")
    try:
        _put(file, fault.planted(whole))
        return not _run(copy, tests)
    finally:
        _put(file, whole)


def _put(file: Path, text: str) -> None:
    """Write a file at a second of its own: Python takes what it has compiled for current by size and second."""
    file.write_text(text, encoding="utf-8")
    second = next(_SECONDS)
    os.utime(file, (second, second))


def _is_sound(copy: Path, test: str) -> bool:
    """Whether a test file or folder passes as it is: what fails anyway would notice every fault."""
    if test not in _SOUND:
        _SOUND[test] = _run(copy, [test])
        if not _SOUND[test]:
            print(f"     left out: {test} fails without any fault", flush=True)
    return _SOUND[test]


def _run(copy: Path, tests: list[str]) -> bool:
    run = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
    environment = {**os.environ, "PYTHONPATH": str(copy)}
    done = subprocess.run(run, cwd=copy, env=environment, capture_output=True, check=False, preexec_fn=_limited)
    return done.returncode == 0


def _limited() -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (_MOST_WORK, _MOST_WORK))


if __name__ == "__main__":
    sys.exit(main())
