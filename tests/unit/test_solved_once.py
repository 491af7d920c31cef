"""Each command solves once and writes afterwards: an axle's path is traced once for all that is asked of it.

A property, no source: calls are counted while the commands run. What is traced besides is named below with its reason.
"""

from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.figure import Figure

from kinematics.car.car import Axle, Car
from kinematics.inputs.car import plausibility
from kinematics.inputs.demo_cars import demo_car, demo_text
from kinematics.motion import corners, live_axle
from kinematics.sweeps import rack
from reports.command_line import main
from reports.outputs import output, safe_write
from solvers.path import Path as SolvedPath
from solvers.spread import BLOCK

COUPE, SALOON, TOURER = "lowered_coupe.toml", "rear_drive_saloon.toml", "five_link_tourer.toml"
PLANS = "lowered_coupe_plans.toml"
COARSE = ("--step", "20", "--roll-step", "1")
DRAWS = 200  # of a demo
LOCKED = "the reader looks whether the linkage moves at all before there is a car"
MEASURED = "as measured, over all that is asked"
LOADS = "as measured, as far as balance is looked for: much farther than it is swept"
STOPS = "looked for stops, often to where the linkage locks"
RACK = "steered: another linkage at each rack travel, all in one batch"
SWEPT = 2  # of those in a sweep: for the tables over all that is asked, and finely at ride height for the curves
BATCH = "cars as they might be, or plans less one change: other linkages, all in one batch"
PLANNED = "changed by a plan, or by a doubt: another linkage"
IN_DOUBT = 2 * 26  # the saloon's front points, each moved by its doubt both ways for what the lean makes of it


class Watch:
    """What is traced and built, by axle and reason, and which solving goes on while a file is written."""

    def __init__(self, car: Car) -> None:
        self.traced: Counter[tuple[str, str]] = Counter()
        self.built: Counter[tuple[str, str]] = Counter()
        self.while_writing: list[str] = []
        self.files = 0
        self._car, self._writing, self._reading = car, False, False
        self._reach: tuple[float, float] | None = None

    def reason(self, axle: Axle) -> str:
        if axle.straight_ahead is not None:
            return RACK
        if axle.batch_shape:
            return BATCH
        if self._reading:
            return LOCKED
        if self._reach == (-160.0, 160.0):
            return STOPS
        own = self._car.axle(axle.name).points
        if not all(np.array_equal(point, own[key]) for key, point in axle.points.items()):
            return PLANNED
        return LOADS if self._reach == (-150.0, 150.0) else MEASURED

    def see(self, patch: pytest.MonkeyPatch) -> None:
        """Stand in the way of everything that traces, builds, solves or writes."""
        self._around(patch, plausibility, "_locked", "_reading")
        for module in (output, safe_write):
            self._around(patch, module, "write_whole", "_writing")
        for module in (corners, live_axle, plausibility):
            self._count_linkages(patch, module)
        self._count_paths(patch)
        solving: list[tuple[Any, str]] = [(SolvedPath, "at"), (SolvedPath, "row_motion"), (corners.Corners, "at")]
        solving += [(corners.Corners, "stand"), (live_axle.LiveAxle, "at"), (live_axle.LiveAxle, "stand")]
        solving += [(live_axle, "move"), (rack, "move"), (corners, "trace"), (corners, "motion_of_row")]
        for owner, name in solving:
            self._not_while_writing(patch, owner, name)

    def _around(self, patch: pytest.MonkeyPatch, module: Any, name: str, flag: str) -> None:
        plain = getattr(module, name)

        def around(*args: Any, **options: Any) -> Any:
            setattr(self, flag, True)
            self.files += flag == "_writing"
            try:
                return plain(*args, **options)
            finally:
                setattr(self, flag, False)

        patch.setattr(module, name, around)

    def _count_linkages(self, patch: pytest.MonkeyPatch, module: Any) -> None:
        plain: Callable[[Axle], Any] = module.axle_linkage

        def counted(axle: Axle) -> Any:
            self.built[axle.name, self.reason(axle)] += 1
            self._not_now(f"{module.__name__} built a linkage")
            return plain(axle)

        patch.setattr(module, "axle_linkage", counted)

    def _count_paths(self, patch: pytest.MonkeyPatch) -> None:
        from kinematics.motion import moving_axle

        plain = corners.trace_corners

        def counted(axle: Axle, low: float, high: float) -> corners.Corners:
            self._reach = (low, high)
            self.traced[axle.name, self.reason(axle)] += 1
            try:
                return plain(axle, low, high)
            finally:
                self._reach = None

        patch.setattr(moving_axle, "trace_corners", counted)
        patch.setattr(plausibility, "trace_corners", counted)

    def _not_while_writing(self, patch: pytest.MonkeyPatch, owner: Any, name: str) -> None:
        plain = getattr(owner, name)

        def watched(*args: Any, **options: Any) -> Any:
            self._not_now(f"{owner.__name__}.{name}")
            return plain(*args, **options)

        patch.setattr(owner, name, watched)

    def _not_now(self, what: str) -> None:
        if self._writing:
            self.while_writing.append(what)


def one(axle: str, *reasons: str) -> dict[tuple[str, str], int]:
    return {(axle, reason): 1 for reason in reasons}


Run = Callable[..., Watch]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.chdir(tmp_path)

    def watched(car: str, *words: str) -> Watch:
        for name in (car, PLANS):
            Path(name).write_text(demo_text(name), encoding="utf-8")
        watch = Watch(demo_car(car))
        with monkeypatch.context() as patch:
            watch.see(patch)
            # Figures are made while their files are written; ink on paper solves nothing, and takes longest.
            patch.setattr(Figure, "savefig", lambda _, file, **__: file.write(b"not drawn"))
            assert main(list(words)) in (0, 1)
        return watch

    return watched


# A live axle is solved state by state, so that nothing of it is traced.
STEERED = {("front", LOCKED): 1, ("front", MEASURED): 1, ("front", BATCH): 1, ("front", RACK): SWEPT}


def test_show(run: Run) -> None:
    assert run(COUPE, "show", COUPE).traced == one("front", LOCKED, MEASURED, BATCH)
    saloon = run(SALOON, "show", SALOON)
    # Its springs and weights are known: the outer shares come from their balance.
    assert saloon.traced == one("front", LOCKED, MEASURED, BATCH, LOADS)
    assert saloon.built["rear", MEASURED] == 2
    tourer = run(TOURER, "show", TOURER)
    assert tourer.traced == one("front", LOCKED, MEASURED, BATCH) | one("rear", LOCKED, MEASURED, BATCH)


@pytest.mark.campaign
def test_sweep_of_one_axle(run: Run) -> None:
    watch = run(COUPE, "sweep", COUPE, "out", *COARSE)
    assert watch.traced == STEERED
    assert (watch.built["front", MEASURED], watch.built["front", RACK]) == (1, SWEPT)
    # Once without tangents to be traced, once with them.
    assert watch.built["front", BATCH] == 2
    assert (watch.while_writing, watch.files) == ([], 13)


@pytest.mark.campaign
def test_sweep_of_two_axles(run: Run) -> None:
    watch = run(TOURER, "sweep", TOURER, "out", *COARSE)
    assert watch.traced == STEERED | one("rear", LOCKED, MEASURED, BATCH)
    assert watch.while_writing == []
    assert watch.built["front", MEASURED] == watch.built["rear", MEASURED] == 1


@pytest.mark.campaign
def test_sweep_with_a_live_axle(run: Run) -> None:
    watch = run(SALOON, "sweep", SALOON, "out", *COARSE)
    assert watch.traced == STEERED | one("front", LOADS)
    assert (watch.built["front", MEASURED], watch.built["rear", MEASURED]) == (1, 2)
    assert watch.while_writing == []


@pytest.mark.campaign
def test_demo_with_plans(run: Run) -> None:
    watch = run(COUPE, "demo", "out", "--car", "lowered-coupe", *COARSE)
    plans, blocks = 4, -(-DRAWS // BLOCK)
    assert watch.traced == {
        ("front", LOCKED): 1,
        ("front", MEASURED): 1,
        ("front", PLANNED): plans,
        ("front", STOPS): 1 + plans,
        # With tangents, the drawn cars, and each plan less one of its changes.
        ("front", BATCH): 1 + blocks + 1,
        # The sweep's travels; those of the doubt as measured, with tangents, and of the drawn cars; and the joints at
        # both locks, as measured and after each plan.
        ("front", RACK): SWEPT + 2 + blocks + 1 + plans,
    }
    assert watch.built["front", MEASURED] == 1
    assert watch.while_writing == []


@pytest.mark.campaign  # of the same steps a short run has a demo with plans, a sweep of this car and its lean
def test_demo_with_lean(run: Run) -> None:
    watch = run(SALOON, "demo", "out", "--car", "rear-drive-saloon", *COARSE)
    blocks = -(-DRAWS // BLOCK)
    # Three pairs of front springs on the shelf, each put in, packed or let settle, and looked at for its travel.
    assert watch.traced.pop(("front", PLANNED)) <= 3 * 5 + IN_DOUBT
    assert watch.traced == {
        ("front", LOCKED): 1,
        ("front", MEASURED): 1,
        # For the outer shares, and for the lean. For the travel that the shelf leaves: the springs calibrated once; put
        # on as they are and by two plans of the rear springs, one of which settles first; and what ends it after these.
        ("front", LOADS): 2 + 1 + (3 + 1) + 3,
        ("front", BATCH): 1 + blocks,
        ("front", RACK): SWEPT + 2 + blocks,
    }
    assert watch.while_writing == []


@pytest.mark.campaign
def test_compare_with_files(run: Run) -> None:
    watch = run(COUPE, "compare", COUPE, PLANS, "--into", "out", *COARSE)
    assert watch.traced["front", MEASURED] == 1
    assert watch.traced["front", PLANNED] == 4
    assert watch.traced["front", STOPS] == 5
    assert (watch.while_writing, watch.files) == ([], 4)


@pytest.mark.campaign
def test_doubt_with_files(run: Run) -> None:
    watch = run(COUPE, "doubt", COUPE, "--into", "out", "--draws", "100")
    assert watch.traced == one("front", LOCKED, MEASURED) | {("front", BATCH): 2, ("front", RACK): 3}
    assert (watch.while_writing, watch.files) == ([], 8)


@pytest.mark.campaign
def test_lean_with_files(run: Run) -> None:
    watch = run(SALOON, "lean", SALOON, "--into", "out")
    # For the outer shares, and for the lean.
    assert watch.traced == one("front", LOCKED) | {("front", LOADS): 2, ("front", PLANNED): IN_DOUBT}
    assert watch.built["rear", MEASURED] == 2
    assert (watch.while_writing, watch.files) == ([], 5)
