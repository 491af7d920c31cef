"""The search for a plan, run beside the page: how far it is, stopped when asked, and what it found."""

import threading
from dataclasses import dataclass, field, replace
from pathlib import Path

from kinematics.finding.found_plans import FoundPlan, Search
from kinematics.finding.means import Means
from kinematics.finding.search import find
from kinematics.inputs.plans.means_file import read_means
from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.commands.car_and_limits import written_so
from reports.commands.find import roll_centres
from reports.documents.amounts import Record, plain
from reports.page.bench import OpenCar
from reports.page.trial import entries_of
from reports.words.finding import check_words, headline, margin_words, plan_names, plan_words
from reports.words.numbers import per_cent


@dataclass
class SearchJob:
    """One search at a time. done: how many of count there are of what is being done."""

    what: str = ""
    done: int = 0
    count: int = 0
    running: bool = False
    _stop: threading.Event = field(default_factory=threading.Event)
    _found: Record | None = None
    _wanted: int = 0  # which search counts: one that was forgotten leaves nothing
    _faults: list[str] = field(default_factory=list)

    def start(self, opened: OpenCar, means_file: Path) -> None:
        """Begin; InputFaultError where the means file has faults, or there is nothing to hold. One at a time."""
        if self.running:
            return
        means = _means(opened, means_file)
        opened = replace(opened, car=written_so(opened.car, fractions=means.fractions))
        self.running, self.what, self._found, self._faults = True, "looking at plans", None, []
        self.done, self.count = 0, 1
        self._stop.clear()
        threading.Thread(target=self._run, args=(opened, means, self._wanted), daemon=True).start()

    def stop(self) -> None:
        """End it at the next step; what was found until then is kept."""
        self._stop.set()

    def forget(self) -> None:
        """End it, and keep nothing of it."""
        self._wanted += 1
        self._stop.set()
        self._found, self._faults = None, []

    def state(self) -> Record:
        """How far it is, and what it found."""
        progress: Record = {"running": self.running, "what": self.what, "done": self.done, "count": self.count}
        return {**progress, "faults": self._faults, "found": None if self.running else self._found}

    def _run(self, opened: OpenCar, means: Means, number: int) -> None:
        found, faults = None, []
        try:
            found = _record(opened, find(opened.car, means, opened.limits, progress=self._tell))
        except KeyboardInterrupt:
            faults = ["stopped before anything was found"]
        except (ValueError, InputFaultError) as error:
            faults = [str(error)]
        finally:
            if number == self._wanted:
                self._found, self._faults = found, faults
            self.running = False

    def _tell(self, what: str, done: int, count: int) -> None:
        if self._stop.is_set():
            # As Ctrl+C does it: the search then keeps what it has.
            raise KeyboardInterrupt
        self.what, self.done, self.count = what, done, count


def _means(opened: OpenCar, means_file: Path) -> Means:
    if not means_file.exists():
        text = "is not there yet: say first, on this page, what may be done"
        raise InputFaultError(str(means_file), [Fault("", text)])
    if not any(opened.limits.of(axle) for axle in opened.car.axles):
        raise InputFaultError(str(means_file), [Fault("limits", "no limits are stated, so there is nothing to hold")])
    return read_means(means_file, opened.car)


def _record(opened: OpenCar, search: Search) -> Record:
    """The headline, the plans that were found, and the trade-off as plans too."""
    car = opened.car
    words = headline(search, car, roll_centres(car, opened.limits, search), "")[:-1]
    named = list(zip(plan_names(search), [search.best, *search.alternatives], strict=True))
    return {
        "headline": " ".join(words),
        "stopped": search.stopped,
        "plans": [_plan(opened, search, one, name) for name, one in named],
        "trade_off": [_plan(opened, search, one, f"trade-off {i}") for i, one in enumerate(search.trade_off, 1)],
    }


def _plan(opened: OpenCar, search: Search, one: FoundPlan, name: str) -> Record:
    unit = opened.car.unit
    return {
        "name": name,
        "words": plan_words(search, one, unit) or "nothing changed",
        "holds": one.holds,
        "raised": plain(unit.from_mm(one.raised)),
        "worst": plain(100.0 * one.worst),
        "margin": _margin(opened, search, one),
        "chance": None if one.chance is None else per_cent(one.chance),
        **entries_of(one.plan, unit),
    }


def _margin(opened: OpenCar, search: Search, one: FoundPlan) -> str:
    """What is left to the check that is nearest its end, in that check's own unit."""
    check = search.checks[int(one.margins.argmin())]
    return f"{margin_words(check, one.worst, opened.car.unit, sign=True)}, {check_words(check)}"
