"""Random cars by the thousand, written, read, swept and checked: python -m tests.robustness.campaign --cars N --seed S.

Cars of one type move as one batch. A share goes through by itself as well, with notes, verdict and CSV, and has to come
to the same places. Prints what was tried, accepted, refused and solved, and every finding with the car's type and
number: `--only NUMBER --type NAME` prints that car's file and runs it alone.
"""

import argparse
import csv
import io
import re
import sys
import time
import warnings
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from kinematics import Axle, Car, judge, sweep_bump, sweep_grid, sweep_roll
from kinematics.car.suspensions import SUSPENSIONS
from kinematics.motion.ground import Attitude, expected_travel
from kinematics.motion.moving_axle import MovingAxle, moving
from kinematics.sweeps.body import Sweep
from kinematics.sweeps.rack import sweep_steer, turn_rack
from reports.outputs.csv_files import write_csv
from reports.words.verdict import sentence, summary
from solvers.vectors import Array
from tests.properties.plausible_cars import stacked
from tests.robustness import solved as checks
from tests.robustness.continuity import jumps, moving_points, turned_over
from tests.robustness.quick_locks import no_last_look
from tests.robustness.reasons import unexplained
from tests.robustness.solved import CHECKS, HOLDS, Solved
from tests.robustness.time_limits import NoEndError, time_limit
from tests.robustness.wild_cars import KINDS, WildCar, read, wild_car

# mm; close to ride height too, for a car may be measured where it all but locks
TRAVEL = np.sort(np.concatenate([np.linspace(-60.0, 60.0, 21), [-2.0, -0.5, -0.1, 0.1, 0.5, 2.0]]))
ROLL = np.radians(np.linspace(-4.0, 4.0, 7))
GRID = np.array([-40.0, 0.0, 40.0]), np.radians([-3.0, 0.0, 3.0])
RACK = np.linspace(-50.0, 50.0, 7)
BATCH = 512  # cars of one type moved at once; more go faster by the car, and take more memory
_NAMED = 12  # findings of one sort that are told
_NUMBER = re.compile(r"(?<![\w.])\d+\.?\d*(?:e[-+]?\d+)?")
_SAME_PLACE = 1e-4  # mm; near a lock a place follows from the travel like a square root
_LEVEL = 1e-6  # mm
_HANGS = 120.0  # s of work, for such a batch; some two hundred times what it takes for a car


@dataclass
class Tally:
    """What a campaign saw. findings: car number to what was found."""

    tried: int = 0
    accepted: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    states: Counter[str] = field(default_factory=Counter)
    reached: Counter[str] = field(default_factory=Counter)
    alone: int = 0
    findings: list[tuple[int, str, str]] = field(default_factory=list)

    def found(self, number: int, kind: str, what: str) -> None:
        self.findings.append((number, kind, what))

    def lines(self) -> Iterator[str]:
        yield f"tried {self.tried}, accepted {sum(self.accepted.values())}, refused {sum(self.refused.values())}"
        yield from (f"  accepted {count:6d}  {kind}" for kind, count in self.accepted.most_common())
        yield from (f"  refused  {count:6d}  {cause}" for cause, count in self.refused.most_common())
        yield f"states asked for {sum(self.states.values())}, reached {sum(self.reached.values())}"
        yield from (f"  {self.reached[kind]:8d} of {count:8d}  {kind}" for kind, count in self.states.items())
        yield f"single-car passes {self.alone}; findings {len(self.findings)}"
        alike: dict[str, list[tuple[int, str, str]]] = {}
        for one in sorted(self.findings):
            alike.setdefault(_NUMBER.sub("#", one[2]), []).append(one)
        for what, group in alike.items():
            yield f"{len(group)} times: {what}; in {dict(Counter(kind for _, kind, _ in group))}"
            most = sorted(group, key=lambda one: -max(map(float, _NUMBER.findall(one[2])), default=0.0))[:_NAMED]
            yield from (f"    car {number}, {kind}: {words}" for number, kind, words in most)


def run(
    cars: int,
    seed: int,
    alone: int,
    say: Callable[[str], None] = lambda _: None,
    first: int = 0,
    minutes: float = 1e9,
    batch: int = BATCH,
) -> Tally:
    """Try so many cars of each type, no new ones after so many minutes; one in `alone` also by itself."""
    ends = time.monotonic() + 60.0 * minutes
    numbered = ((kind, number) for number in range(first, first + cars) for kind in KINDS)
    made = (wild_car(kind, seed, number) for kind, number in numbered if time.monotonic() < ends)
    return try_all(made, alone, say, batch)


def try_all(
    cars: Iterable[WildCar], alone: int, say: Callable[[str], None] = lambda _: None, size: int = BATCH
) -> Tally:
    """Try these cars, so many of a type at once, one in `alone` also by itself."""
    tally, waiting = Tally(), {kind.name: list[tuple[int, Car]]() for kind in KINDS}
    for car in cars:
        number = car.number
        tally.tried += 1
        try:
            with time_limit(10.0):
                made = read(car)
        except (Exception, NoEndError) as error:
            tally.found(number, car.kind.name, f"reading it: {_told(error)}")
            continue
        if isinstance(made, list):
            tally.refused.update({_cause(words): 1 for words in made[:1]})
            continue
        tally.accepted[car.kind.name] += 1
        batch = waiting[car.kind.name]
        batch.append((number, made))
        if len(batch) == size:
            _try(batch, tally, alone)
            batch.clear()
            say(f"{tally.tried} tried, {len(tally.findings)} findings")
    for batch in waiting.values():
        if batch:
            _try(batch, tally, alone)
    return tally


def _cause(words: str) -> str:
    """A refusal without the car's own numbers and names."""
    text = words.split(": ", 1)[1]
    text = re.sub(r"[-+]?\d[\d.e+-]*", "#", text)
    return re.sub(r"\b\w+_\w+\b", "POINT", text)[:110]


def _told(error: BaseException) -> str:
    trace, where = error.__traceback__, ""
    while trace is not None:
        if "/tests/" not in trace.tb_frame.f_code.co_filename:
            where = f"{trace.tb_frame.f_code.co_filename.rsplit('/', 2)[-1]}:{trace.tb_lineno}"
        trace = trace.tb_next
    return f"{type(error).__name__}: {error} at {where}"[:300]


def _try(batch: list[tuple[int, Car]], tally: Tally, alone: int) -> None:
    """A batch of one type; where it fails as a whole, car by car."""
    axle = stacked([car.axles[0] for _, car in batch])
    axle = replace(axle, fittings=batch[0][1].axles[0].fittings, body=batch[0][1].axles[0].body)
    numbers = [number for number, _ in batch]
    try:
        most = _HANGS * max(len(batch) / BATCH, 1.0) if len(batch) > 1 else _HANGS / 4.0
        with time_limit(most), warnings.catch_warnings(), no_last_look():
            warnings.simplefilter("error")
            found = batch_findings(axle, tally)
    except (Exception, NoEndError) as error:
        if len(batch) == 1:
            tally.found(numbers[0], axle.suspension.name, f"swept: {_told(error)}")
        else:
            for half in (batch[: len(batch) // 2], batch[len(batch) // 2 :]):
                _try(half, tally, 0)
    else:
        for index, what in found:
            tally.found(numbers[index], axle.suspension.name, what)
    singles = [(i, number, car) for i, (number, car) in enumerate(batch) if alone and number % alone == 0]
    if not singles:
        return
    chosen = [i for i, *_ in singles]
    some = stacked([batch[i][1].axles[0] for i in chosen])
    travel = np.broadcast_to(TRAVEL, (len(chosen), 2, TRAVEL.size))
    try:
        with no_last_look():
            ready = moving(some, TRAVEL[0], TRAVEL[-1])
        together = moving_points(ready.at(travel)), ready.at(travel).reached, ready.reach
    except (Exception, NoEndError):
        together = None
    for place, (_, number, car) in enumerate(singles):
        tally.alone += 1
        try:
            with time_limit(_HANGS / 4.0), warnings.catch_warnings():
                warnings.simplefilter("error")
                found_alone = list(alone_findings(car))
                if together is not None:
                    own = together[0][place], together[1][place], np.stack(together[2], axis=-1)[place]
                    found_alone += list(elsewhere(car.axles[0], *own))
        except (Exception, NoEndError) as error:
            found_alone = [f"alone: {_told(error)}"]
        for what in found_alone:
            tally.found(number, axle.suspension.name, what)


def batch_findings(axle: Axle, tally: Tally) -> list[tuple[int, str]]:
    """What is wrong with N cars of one type: the place in the batch, and in words."""
    count = axle.batch_shape[0]
    lowered, rolled = np.meshgrid(*GRID, indexing="ij")
    attitude = Attitude(np.append(0.0 * ROLL, -lowered), np.append(ROLL, rolled))
    low, high = expected_travel(axle, attitude)
    ready = moving(axle, min(low, TRAVEL[0]), max(high, TRAVEL[-1]))
    travel = np.broadcast_to(TRAVEL, (count, 2, TRAVEL.size))
    found = _states_findings(ready, travel, "bump", tally)
    jump, gap = jumps(ready.at, travel)
    found += [(int(i), f"bump: jumps {jump[i]:.3g} mm") for i in np.flatnonzero(jump)]
    found += [(int(i), "bump: not reached between travels that are") for i in np.flatnonzero(gap)]
    standing = ready.stand(attitude)
    lost = standing.low | standing.high | standing.turned_over
    found += _states_findings(ready, standing.travel, "roll and grid", tally, ~lost.any(axis=-2), attitude)
    if not axle.suspension.whole_axle:  # a live axle has no path to read: each sweep moves it anew
        swept = sweep_bump(ready, TRAVEL)
        off = _angles_off(swept, ready, travel)
        found += [(int(i), f"bump: camber or toe off by {off[i]:.3g} rad") for i in np.flatnonzero(off > 1e-9)]
        for one in (sweep_roll(ready, ROLL), sweep_grid(ready, *GRID)):
            found += [(int(i), f"{one.kind}: reached, but not finite") for i in _not_finite(one)]
    if axle.suspension.rack:
        found += _steer_findings(axle, tally)
    return found


def _not_finite(sweep: Sweep) -> Array:
    """Cars with a reached state whose wheels have no finite place or angle."""
    bad = np.zeros(sweep.reached.shape, dtype=bool)
    for key in ("travel", "camber", "toe", "contact_y"):
        bad |= sweep.reached & ~np.isfinite(np.moveaxis(sweep[key], 1, 0)).all(axis=0)
    return np.flatnonzero(bad.reshape(len(bad), -1).any(axis=-1))


def _states_findings(
    ready: MovingAxle,
    travel: Array,
    sweep: str,
    tally: Tally,
    stood: Array | None = None,
    attitude: Attitude | None = None,
) -> list[tuple[int, str]]:
    states = ready.at(travel)
    own = Solved.of(states)
    if stood is not None:
        own = replace(own, reached=own.reached & stood[:, None, :])
    tally.states[sweep] += own.reached.size
    tally.reached[sweep] += int(own.reached.sum())
    found = []
    for name, check in CHECKS.items():
        off = check(own)
        found += [(int(i), f"{sweep}: {name} off by {off[i]:.3g} mm") for i in np.flatnonzero(off > HOLDS)]
    if attitude is not None:
        off = checks.standing(own, attitude.heave, attitude.roll)
        found += [(int(i), f"{sweep}: {off[i]:.3g} mm off the ground") for i in np.flatnonzero(off > _LEVEL)]
    over = turned_over(states, own.reached)
    return found + [(int(i), f"{sweep}: on another assembly") for i in np.flatnonzero(over)]


def _angles_off(swept: Sweep, ready: MovingAxle, travel: Array) -> Array:
    """Camber and toe as reported, against the spin axis in level axes (N,) [rad]."""
    own = Solved.of(ready.at(travel))
    axis = checks.spin_axis(own)
    side = np.array([1.0, -1.0])[:, None]
    camber, toe = np.arcsin(-axis[..., 2]), np.arctan2(axis[..., 0], side * axis[..., 1])
    reached = replace(own, reached=np.broadcast_to(swept.reached[:, None], own.reached.shape))
    return np.maximum(reached.worst(swept["camber"] - camber), reached.worst(swept["toe"] - toe))


def _steer_findings(axle: Axle, tally: Tally) -> list[tuple[int, str]]:
    """Links keep their lengths and wheel centres their height as the rack moves."""
    turned = turn_rack(axle, RACK)
    there = np.moveaxis(turned.reached, 0, -1)  # (N, R)
    tally.states["steer"] += 2 * there.size
    tally.reached["steer"] += 2 * int(there.sum())
    worst = np.zeros(there.shape)
    for one, other in axle.suspension.all_links:
        apart, measured = (np.linalg.norm(at[one] - at[other], axis=-1) for at in (turned.axle.points, axle.points))
        worst = np.maximum(worst, np.abs(np.moveaxis(apart - measured, 0, -1)).max(axis=-2))
    rise = turned.axle.points["wheel_centre"][..., 2] - axle.points["wheel_centre"][..., 2]
    worst = np.maximum(worst, np.abs(np.moveaxis(rise, 0, -1)).max(axis=-2))
    off = np.where(there, np.where(np.isfinite(worst), worst, np.inf), 0.0).max(axis=-1)
    return [(int(i), f"steer: lengths off by {off[i]:.3g} mm") for i in np.flatnonzero(off > HOLDS)]


def alone_findings(car: Car) -> Iterator[str]:
    """One car as its owner would see it: a reason for each gap, a verdict, and the same numbers in the CSV."""
    axle = car.axles[0]
    sweeps = [
        sweep_bump(axle, TRAVEL),
        sweep_bump(axle, TRAVEL, "left"),
        sweep_roll(axle, ROLL),
        sweep_grid(axle, *GRID),
    ]
    if axle.suspension.rack:
        sweeps.append(sweep_steer(axle, RACK))
    for sweep in sweeps:
        yield from unexplained(sweep)
        yield from _csv_findings(sweep, car)
    findings = judge(axle, car.limits)
    for finding in findings:
        text = sentence(finding, car.unit)
        if not np.isfinite(finding.worst) and finding.holds:
            yield f"verdict: holds without a number: {text}"
        if "nan" in text.lower().split():
            yield f"verdict: {text}"
    summary(findings)


def _csv_findings(sweep: Sweep, car: Car) -> Iterator[str]:
    file = io.BytesIO()
    write_csv(sweep, car.unit, file)
    head, *rows = csv.reader(io.StringIO(file.getvalue().decode("utf-8"), newline=""))
    columns = sweep.columns(car.unit)
    if head != [*columns, "note"] or len(rows) != sweep.gaps.which.size:
        yield f"{sweep.kind}: the CSV has {len(rows)} rows of {len(head)} columns"
        return
    told = np.array([[float(one) if one else np.nan for one in row[:-1]] for row in rows])
    held = np.stack(list(columns.values()), axis=1)
    # Half of the twelfth digit, and nothing at all where there is but rounding.
    held = np.where(np.isfinite(held), held, np.nan)
    if not np.allclose(told, held, rtol=5.1e-12, atol=1e-12, equal_nan=True):
        yield f"{sweep.kind}: the CSV has other numbers"


def elsewhere(axle: Axle, points: Array, reached: Array, reach: Array) -> Iterator[str]:
    """Whether a car moved alone comes to other places than in a batch: points (2, S, K, 3), reach (2, 2)."""
    ready = moving(axle, TRAVEL[0], TRAVEL[-1])
    states = ready.at(np.broadcast_to(TRAVEL, (2, TRAVEL.size)))
    at_end = np.abs(TRAVEL[None, :, None] - np.concatenate([reach, np.stack(ready.reach, axis=-1)], axis=-1)[:, None])
    inside = ~(at_end < 0.02).any(axis=-1)
    if ((states.reached != reached) & inside).any():
        yield "bump: reached alone and in a batch differ"
    both = states.reached & reached & inside
    off = np.linalg.norm(moving_points(states) - points, axis=-1).max(axis=-1)
    off = np.where(both, off, 0.0).max()
    if not off < _SAME_PLACE:
        yield f"bump: alone {off:.3g} mm from where it is in a batch"


def main() -> int:
    """Run a campaign from the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.robustness.campaign")
    parser.add_argument("--cars", type=int, default=100, help="so many of each type")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="number of the first car of each type")
    parser.add_argument("--alone", type=int, default=40, help="one car of so many also goes by itself")
    parser.add_argument("--minutes", type=float, default=1e9, help="no new cars after so long")
    parser.add_argument("--batch", type=int, default=BATCH, help="so many of a type at once")
    parser.add_argument("--only", type=int, help="print the file of the car of this number, and try it alone")
    parser.add_argument("--type", choices=SUSPENSIONS, default="strut", help="its type")
    options = parser.parse_args()
    if options.only is not None:
        car = wild_car(SUSPENSIONS[options.type], options.seed, options.only)
        print(car.text)  # noqa: T201
        tally = try_all([car], 1)
    else:
        begun = time.monotonic()

        def say(text: str) -> None:
            print(f"{time.monotonic() - begun:6.0f} s: {text}", file=sys.stderr, flush=True)  # noqa: T201

        tally = run(options.cars, options.seed, options.alone, say, options.first, options.minutes, options.batch)
    print("\n".join(tally.lines()))  # noqa: T201
    return 1 if tally.findings else 0


if __name__ == "__main__":
    sys.exit(main())
