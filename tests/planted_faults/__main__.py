"""Plant faults of one line in a copy of the tree, run the tests that concern them, list those that nothing noticed.

`python -m tests.planted_faults [--only FOLDER]` plants those of the list (`faults/*.toml`); `--by-chance COUNT` as many
others, half of them in `reports`, the rest spread over all folders. What a short run of the tests does not notice is
tried again with all of them (`--campaign`). A survivor named in `survivors.toml` changes nothing that a user sees; its
reason stands there.
"""

import argparse
import random
import resource
import sys
import tempfile
import tomllib
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

from tests.planted_faults import trial
from tests.planted_faults.concerned import concerned, not_there
from tests.planted_faults.listed import GoneError, ListedFault, listed
from tests.planted_faults.operators import Fault, faults_in

AnyFault = Fault | ListedFault
_SOUND: dict[bool, set[str]] = {False: set(), True: set()}  # tests known to pass: of a short run, of a campaign


def main() -> int:
    """Plant, run, tell; 1 if a fault that is not listed went unseen, or cannot be planted any more."""
    parser = argparse.ArgumentParser(prog="python -m tests.planted_faults", description=__doc__)
    parser.add_argument("--only", default="", metavar="FOLDER", help="faults in files whose path begins so")
    parser.add_argument("--with", default="", dest="word", metavar="TEXT", help="faults in whose name this stands")
    parser.add_argument("--by-chance", type=int, metavar="COUNT", help="so many drawn faults, not those of the list")
    parser.add_argument("--seed", type=int, default=1, help="of what is drawn (default: %(default)s)")
    parser.add_argument(
        "--trust", action="store_true", help="tests are known to pass: do not see first whether they do"
    )
    parser.add_argument("--list", action="store_true", help="name the faults without planting them")
    options = parser.parse_args()
    chosen: Sequence[AnyFault] = listed(options.only)
    if options.by_chance is not None:
        chosen = choose(options.only, options.seed, options.by_chance)
    chosen = [fault for fault in chosen if options.word in fault.name]
    if options.list:
        print("\n".join(fault.name for fault in chosen))
        return 0
    return told(chosen, trust=options.trust)


def choose(only: str, seed: int, count: int) -> list[Fault]:
    """Faults by chance: half in `reports` unless only some are asked for; in turn by folder and by kind of fault."""
    rng = random.Random(seed)
    pools: dict[bool, dict[str, list[Fault]]] = {True: defaultdict(list), False: defaultdict(list)}
    for package in trial.PACKAGES:
        for file in sorted((trial.ROOT / package).rglob("*.py")):
            path = file.relative_to(trial.ROOT).as_posix()
            if path.startswith(only):
                pools[package == "reports"][str(Path(path).parent)] += faults_in(trial.ROOT, path)
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


def told(chosen: Sequence[AnyFault], *, trust: bool) -> int:
    """Plant each, one after the other, and tell what came of it; trust: tests pass without a fault."""
    with (Path(__file__).parent / "survivors.toml").open("rb") as file:
        reasons = {one["fault"]: one["reason"] for one in tomllib.load(file).get("survivor", [])}
    if lost := not_there(trial.ROOT):
        raise SystemExit(f"these tests are named in concerned.py, and are not there: {', '.join(lost)}")
    count: dict[str, int] = defaultdict(int)
    unseen: list[str] = []
    trial.load()
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "tree"
        trial.copied(copy)
        for number, fault in enumerate(chosen, start=1):
            begun = _work()
            state = _state(copy, fault, reasons, trust=trust)
            print(f"{number:4} {state:8} {_work() - begun:4.0f} s  {fault.name}", flush=True)
            count[state] += 1
            unseen += [fault.name] if state in ("UNSEEN", "GONE") else []
    visible = len(chosen) - count["excused"] - count["GONE"]
    caught = count["caught"] + count["campaign"]
    share = f"{100.0 * caught / max(visible, 1):.1f} %"
    print(f"{caught} of {visible} faults caught ({share}), {count['campaign']} of them by the campaign alone, "
          f"{count['excused']} change nothing seen; {_work():.0f} s of the processor")  # fmt: skip
    for name in unseen:
        print(f"  {name}")
    return 1 if unseen else 0


def _state(copy: Path, fault: AnyFault, reasons: dict[str, str], *, trust: bool) -> str:
    excused = fault.name in reasons
    try:
        if _noticed(copy, fault, trust=trust):
            return "caught"
        if not excused and _noticed(copy, fault, trust=trust, campaign=True):
            return "campaign"
    except GoneError as gone:
        print(f"  {gone}")
        return "GONE"
    return "excused" if excused else "UNSEEN"


def _noticed(copy: Path, fault: AnyFault, *, trust: bool, campaign: bool = False) -> bool:
    """Whether the tests fail with a fault planted; the copy is whole again afterwards. Raises GoneError."""
    file, tests = copy / fault.path, concerned(fault.path)
    whole = file.read_text(encoding="utf-8")
    spoiled = fault.planted(whole)
    compile(spoiled, fault.path, "exec")  # a line that is no Python would be caught by anything
    if not (trust or _sound(copy, tests, campaign=campaign)):
        raise SystemExit(f"these fail without any fault: {' '.join(tests)}; mend them first")
    try:
        trial.put(file, spoiled)
        return not trial.passes(copy, tests, campaign=campaign)
    finally:
        trial.put(file, whole)


def _sound(copy: Path, tests: list[str], *, campaign: bool) -> bool:
    """Whether tests pass as they are: what fails anyway would notice every fault."""
    known = _SOUND[campaign]
    failing = [test for test in tests if test not in known and not trial.passes(copy, [test], campaign=campaign)]
    known.update(set(tests) - set(failing))
    return not failing


def _work() -> float:
    """Time of the processor that all runs took so far [s]."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


if __name__ == "__main__":
    sys.exit(main())
