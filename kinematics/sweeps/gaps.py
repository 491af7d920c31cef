"""What is missing in a sweep, state by state, and why."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kinematics.motion.reasons import Reason
from solvers.read_only import ReadOnly
from solvers.vectors import Flags

_NOTHING = -1


@dataclass(frozen=True)
class Gaps(ReadOnly):
    """The reasons of a sweep's gaps. which: (..., *shape), for each state its reason's place in `reasons`.

    It is -1 where all is there.
    """

    which: NDArray[np.intp]
    reasons: tuple[Reason, ...] = ()
    copies = False

    @staticmethod
    def none(*shape: int) -> "Gaps":
        """No gap in any state."""
        return Gaps(np.full(shape, _NOTHING, dtype=np.intp))

    @staticmethod
    def joined(parts: Sequence["Gaps"]) -> "Gaps":
        """Those of a sweep's parts (..., S), one behind the other."""
        places = {reason: i for i, reason in enumerate(dict.fromkeys(one for part in parts for one in part.reasons))}
        moved = [np.array([*(places[one] for one in part.reasons), _NOTHING])[part.which] for part in parts]
        return Gaps(np.concatenate(moved, axis=-1) if moved else np.empty(0, dtype=np.intp), tuple(places))

    @property
    def there(self) -> Flags:
        """Where something is missing."""
        return np.asarray(self.which != _NOTHING)

    def put(self, where: Flags, reason: Reason) -> "Gaps":
        """The same with a reason at some states, whatever was said of them before."""
        if not where.any():
            return self
        reasons = self.reasons if reason in self.reasons else (*self.reasons, reason)
        return Gaps(np.where(where, reasons.index(reason), self.which), reasons)

    def fill(self, where: Flags, reason: Reason) -> "Gaps":
        """The same with a reason at those of some states that have none."""
        return self.put(where & ~self.there, reason)

    def repeated(self, count: int) -> "Gaps":
        """Each state's so many times over, one behind the other (S count,)."""
        return replace(self, which=np.repeat(self.which, count))

    def reshaped(self, shape: tuple[int, ...]) -> "Gaps":
        """The same states in another shape."""
        return replace(self, which=self.which.reshape(shape))

    def at(self, *state: int) -> Reason | None:
        """Why something is missing in one state, None where nothing is."""
        place = int(self.which[state])
        return None if place == _NOTHING else self.reasons[place]

    def in_order(self, where: Flags | None = None) -> tuple[Reason, ...]:
        """Each reason once, of all states or of some, in the order of the states."""
        places = (self.which if where is None else self.which[where]).reshape(-1)
        return tuple(self.reasons[i] for i in dict.fromkeys(places.tolist()) if i != _NOTHING)

    def each(self, tell: Callable[[Reason], str]) -> NDArray[np.object_]:
        """What is told of each state's reason, "" where there is none."""
        return np.array([*map(tell, self.reasons), ""], dtype=object)[self.which]
