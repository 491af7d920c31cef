"""The car on the bench: read from its file, read again when that changes, solved once for all that is asked."""

import argparse
import hashlib
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

import numpy as np

from kinematics.car.car import Axle, Car
from kinematics.car.limits import Limits
from kinematics.doubt.solved_car import MeasuredCar, measure
from kinematics.inputs.reading.sizes import MOST_BYTES_TOML
from kinematics.inputs.reading.whole_file import whole_bytes
from kinematics.motion.moving_axle import MovingAxle
from kinematics.planning.changed_axle import ChangedAxle
from kinematics.planning.plans import Plan, carry_out
from kinematics.planning.settling import MeasuredSprings
from kinematics.sweeps.asked import Asked, made_ready, over_attitudes, over_travel
from kinematics.sweeps.rack import steered
from reports.commands.car_and_limits import read_with_limits
from reports.page.plan_store import means_beside, plans_beside
from reports.page.reach import Reach, reach_of
from reports.page.removed_plans import RemovedPlans
from reports.page.saved_before import SavedBefore

if TYPE_CHECKING:
    from solvers.vectors import Array

_Key = TypeVar("_Key")
_Kept = TypeVar("_Kept")
_MOST_KEPT = 12  # axles made ready: as measured, steered, changed


@dataclass(frozen=True)
class OpenCar:
    """A car as its file says, what it is held against, and how it stands. version: changes with the file's content."""

    car: Car
    limits: Limits
    measured: MeasuredCar
    version: str
    reach: Reach
    springs: MeasuredSprings


class Bench:
    """One car file with its plan and means files, and what is solved of it.

    Moving axles is for one thread at a time: `lock` is held meanwhile; `writing`, while a file is written.
    """

    def __init__(
        self, path: Path, limits: Path | None = None, plans: Path | None = None, means: Path | None = None
    ) -> None:
        self.path, self.limits = path, limits
        self.plans, self.means = plans or plans_beside(path), means or means_beside(path)
        self.lock, self.writing = threading.RLock(), threading.Lock()
        self.saved, self.removed = SavedBefore(), RemovedPlans()
        self.solved: dict[tuple[str, str], object] = {}  # for files that are taken along
        self._stamp: tuple[object, ...] = ()
        self._opened: OpenCar | None = None
        self._ready: dict[tuple[object, ...], MovingAxle] = {}
        self._made: dict[tuple[object, ...], object] = {}
        self._carried_out: dict[tuple[object, ...], Mapping[str, ChangedAxle]] = {}

    @property
    def files(self) -> list[str]:
        """The words that name its files on a command line."""
        return [str(self.path), *(["--limits", str(self.limits)] if self.limits is not None else [])]

    def opened(self) -> OpenCar:
        """The car as its file now says; read again where that was changed. InputFaultError where it has faults."""
        with self.lock:
            stamp = tuple(map(_stamp, self._read_from()))
            if self._opened is None or stamp != self._stamp:
                self._opened = self._read()
                self._stamp = stamp
            return self._opened

    def _read_from(self) -> Sequence[Path]:
        return [self.path, *([self.limits] if self.limits is not None else [])]

    def _read(self) -> OpenCar:
        version = hashlib.sha256(b"".join(whole_bytes(one, MOST_BYTES_TOML) for one in self._read_from())).hexdigest()
        if self._opened is not None and version == self._opened.version:
            return self._opened
        named = None if self.limits is None else str(self.limits)
        car, limits = read_with_limits(argparse.Namespace(car=str(self.path), limits=named))
        self._ready.clear()
        self._carried_out.clear()
        self._made.clear()
        return OpenCar(car, limits, measure(car, limits), version, reach_of(car), MeasuredSprings(car))

    def carried_out(self, opened: OpenCar, plan: Plan) -> Mapping[str, ChangedAxle]:
        """The axles after a plan; the last few are kept, for each move of a slider asks for one of them again."""
        key = opened.version, plan.changes, tuple(plan.targets.items())
        with self.lock:
            found = self._carried_out.pop(key, None) or carry_out(opened.car, [plan], opened.springs)[0]
            self._carried_out[key] = found
            _shorten(self._carried_out)
            return found

    def kept(self, opened: OpenCar, key: tuple[object, ...], make: Callable[[], _Kept]) -> _Kept:
        """What was made of a car for a key, anew only where it is not among the last few: a ghost stays where it is."""
        with self.lock:
            found: Any = self._made.pop((opened.version, *key), None) or make()
            self._made[opened.version, *key] = found
            _shorten(self._made)
            return cast(_Kept, found)

    def ready(self, axle: Axle, reach: Reach, rack: float = 0.0) -> MovingAxle:
        """An axle ready for all that the sliders and curves ask of it, its rack moved [mm, to the left positive].

        UnreachedError where the rack does not get there.
        """
        key = (id(axle), rack)
        with self.lock:
            found = self._ready.pop(key, None)
            if found is None:
                moved = steered(axle, np.array([rack])).variant(0) if rack else axle
                found = made_ready(moved, *asked_of(reach))
            self._ready[key] = found  # the one used last stands last; it holds its axle, so no other comes by that id
            _shorten(self._ready)
            return found


def _shorten(kept: dict[_Key, _Kept]) -> None:
    """Forget what was used longest ago."""
    while len(kept) > _MOST_KEPT:
        del kept[next(iter(kept))]


def asked_of(reach: Reach) -> tuple[Asked, ...]:
    """All that sliders and curves ask of an axle."""
    ends: Array = np.array([-reach.heave, 0.0, reach.heave])
    roll: Array = np.array([-reach.roll, reach.roll])
    pitched = (over_attitudes(ends, roll, pitch) for pitch in (-reach.pitch, reach.pitch))
    return over_travel(-reach.heave, reach.heave), over_attitudes(ends, roll), *pitched


def _stamp(path: Path) -> tuple[object, ...]:
    """What differs as soon as a file is written again; nothing of a file that is not there."""
    try:
        found = path.stat()
    except OSError:
        return ()
    return found.st_mtime_ns, found.st_size, found.st_ino
