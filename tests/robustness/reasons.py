"""Random cars, each swept and judged far beyond its range: whatever is missing has a reason, and no number told is nan.

`python -m tests.robustness.reasons --cars N --seed S --minutes M` takes as many as fit, and counts the reasons by code;
`--looks 2` asks two of the seven questions of each car, in turn by its number, instead of all.
"""

import argparse
import re
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import product

import numpy as np

from kinematics import Axle, Car, Sweep, judge, sweep_bump, sweep_grid, sweep_roll
from kinematics.car.limits import Limit, Limits, WorkingRange
from kinematics.car.suspension_type import SuspensionType
from kinematics.judging.suspicious import suspicious
from kinematics.motion.reasons import Gap, Reason
from kinematics.sweeps.rack import sweep_steer
from reports.words.gaps import gap_words
from reports.words.suspicious import oddity_words
from reports.words.verdict import sentence, summary
from solvers.vectors import Flags
from tests.robustness.quick_locks import no_last_look
from tests.robustness.wild_cars import KINDS, read, wild_car

TRAVEL = np.array([-250.0, -120.0, -60.0, -20.0, 0.0, 20.0, 60.0, 120.0, 250.0])
ROLL = np.radians([-15.0, -6.0, -2.0, 0.0, 2.0, 6.0, 15.0])
RACK = np.array([-150.0, -60.0, -20.0, 0.0, 20.0, 60.0, 150.0])
WORKING = WorkingRange(-100.0, 100.0, float(np.radians(15.0)))
_NO_NUMBER = re.compile(r"\b(nan|inf|none|null)\b|\(\)|  ", re.IGNORECASE)


@dataclass
class Seen:
    """What a scan met: cars swept by type, gaps and findings by code, and whatever is wrong, with the car's number."""

    cars: Counter[str] = field(default_factory=Counter)
    states: int = 0
    gaps: Counter[Gap] = field(default_factory=Counter)
    judged: int = 0
    troubled: int = 0
    not_judged: int = 0
    oddities: int = 0
    wrong: list[tuple[int, str]] = field(default_factory=list)

    def lines(self) -> Iterator[str]:
        """What was met, a line each."""
        yield f"{sum(self.cars.values())} cars: {dict(self.cars)}"
        yield f"{self.states} states; gaps: { {gap.value: count for gap, count in self.gaps.most_common()} }"
        yield f"{self.judged} findings, {self.troubled} with a reason, {self.not_judged} that cannot be judged"
        yield f"{self.oddities} oddities; wrong: {len(self.wrong)}"
        yield from (f"  car {number}: {what}" for number, what in self.wrong)


def scan(
    cars: int,
    seed: int,
    first: int = 0,
    minutes: float = 1e9,
    kinds: Iterable[SuspensionType] = KINDS,
    looks: int | None = None,
) -> Seen:
    """Sweep and judge so many cars of each type, no new ones after so many minutes; looks: questions to each."""
    ends, seen = time.monotonic() + 60.0 * minutes, Seen()
    for number, kind in product(range(first, first + cars), kinds):
        if time.monotonic() > ends:
            break
        made = read(wild_car(kind, seed, number))
        if isinstance(made, Car):
            try:
                with no_last_look():
                    found = list(wrong_with(made, seen, None if looks is None else (number, looks)))
                seen.wrong += [(number, f"{kind.name}: {what}") for what in found]
            except (ArithmeticError, LookupError, TypeError, ValueError) as error:
                seen.wrong.append((number, f"{kind.name}: {type(error).__name__}: {error}"))
    return seen


def wrong_with(car: Car, seen: Seen, part: tuple[int, int] | None = None) -> Iterator[str]:
    """What is wrong with one car's reasons; what it has is added to `seen`. part: first question and how many."""
    axle = car.axles[0]
    seen.cars[axle.suspension.name] += 1
    asked: list[Callable[[], Iterator[str]]] = [
        *(lambda made=made: _swept(made(), seen) for made in _sweeps(axle)),
        lambda: _judged(car, axle, seen),
    ]
    first, count = (0, len(asked)) if part is None else part
    for place in range(first, first + count):
        yield from asked[place % len(asked)]()


def _swept(sweep: Sweep, seen: Seen) -> Iterator[str]:
    seen.states += sweep.reached.size
    seen.gaps.update(reason.gap for reason in _each(sweep) if reason is not None)
    yield from unexplained(sweep)
    for reason in sweep.gaps.reasons:
        yield from _told(gap_words(reason))


def _judged(car: Car, axle: Axle, seen: Seen) -> Iterator[str]:
    keys = ("roll_centre_height", "camber", "toe", "bump_steer", "swing_arm_length")
    limits = Limits(WORKING, {axle.name: tuple(Limit(key, -1.0, 1.0, source="invented") for key in keys)})
    findings = judge(axle, limits)
    for finding in findings:
        seen.judged += 1
        seen.troubled += bool(finding.trouble)
        seen.not_judged += bool(np.isnan(finding.at))
        text = sentence(finding, car.unit)
        yield from _told(text)
        if finding.holds and (finding.trouble or not np.isfinite(finding.worst)):
            yield f"holds, though not all of it is known: {text}"
        if "cannot be judged" in text and not finding.trouble:
            yield f"no reason: {text}"
        if not finding.margin < 0.0 and not np.isfinite(finding.worst):
            yield f"a margin without a value: {text}"
    summary(findings)
    oddities = suspicious(sweep_bump(axle, np.zeros(1)), car.unit)
    seen.oddities += len(oddities)
    for text in oddity_words(oddities, car.unit):
        yield from _told(text)


def _told(text: str) -> Iterator[str]:
    if _NO_NUMBER.search(text):
        yield f"tells no number: {text}"


def _sweeps(axle: Axle) -> Iterator[Callable[[], Sweep]]:
    yield lambda: sweep_bump(axle, TRAVEL)
    yield lambda: sweep_bump(axle, TRAVEL, "left")
    yield lambda: sweep_roll(axle, ROLL, -60.0)
    yield lambda: sweep_grid(axle, TRAVEL[1:-1:3], ROLL[::3])
    if axle.suspension.rack:
        yield lambda: sweep_steer(axle, RACK)
        yield lambda: sweep_steer(axle, RACK[::3, None], bump=TRAVEL[None, ::4], roll=ROLL[-2])


def _each(sweep: Sweep) -> list[Reason | None]:
    return [sweep.gaps.at(*state) for state in np.ndindex(sweep.shape)]


def unexplained(sweep: Sweep) -> Iterator[str]:
    """Where a sweep's reasons do not go with its numbers: none, one too many, or of another kind."""
    reasons = _each(sweep)
    there = {key: _finite(sweep, key) for key in sweep.values}
    whole = np.logical_and.reduce(list(there.values())).reshape(-1)
    for state, (reason, reached, all_there) in enumerate(
        zip(reasons, sweep.reached.reshape(-1).tolist(), whole.tolist(), strict=True)
    ):
        said = "nothing" if reason is None else reason.gap.value
        if not reached and (reason is None or not reason.gap.unreached):
            yield f"{sweep.kind}: state {state} is not reached, and {said} is said"
        elif reached and not all_there and (reason is None or reason.gap.unreached):
            lacking = [key for key, finite in there.items() if not finite.reshape(-1)[state]]
            yield f"{sweep.kind}: state {state} has no {lacking}, and {said} is said"
        elif reached and all_there and reason is not None:
            yield f"{sweep.kind}: state {state} has every number, and {said} is said"
        if reached and reason is not None and reason.number and there[reason.number].reshape(-1)[state]:
            yield f"{sweep.kind}: state {state} has its {reason.number}, and {said} is said"


def _finite(sweep: Sweep, key: str) -> Flags:
    finite = np.isfinite(sweep[key])
    return np.asarray(finite if finite.shape == sweep.reached.shape else finite.all(axis=0))


def main() -> int:
    """Scan from the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.robustness.reasons")
    parser.add_argument("--cars", type=int, default=100, help="so many of each type")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="number of the first car of each type")
    parser.add_argument("--minutes", type=float, default=1e9, help="no new cars after so long")
    parser.add_argument("--looks", type=int, help="questions asked of each car (default: all)")
    options = parser.parse_args()
    seen = scan(options.cars, options.seed, options.first, options.minutes, looks=options.looks)
    print("\n".join(seen.lines()))  # noqa: T201
    return 1 if seen.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
