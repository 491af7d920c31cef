"""Timings of two sides, taken in turns so that a busy machine slows both alike."""

import tracemalloc
from collections.abc import Callable
from dataclasses import dataclass
from time import perf_counter


@dataclass(frozen=True)
class Row:
    """One line of the table: both sides' times [s]; void: why the comparison does not count, or "".

    against: what the other side is. needed: a void row is a failure; otherwise it tells what is not installed.
    """

    name: str
    ours: float
    other: float
    note: str
    void: str = ""
    against: str = "plain loop"
    needed: bool = True

    @property
    def ratio(self) -> float:
        """How many times faster this tool is."""
        return self.other / self.ours


def best_of(
    repeats: int, ours_each: int, ours: Callable[[], object], other: Callable[[], object]
) -> tuple[float, float]:
    """Shortest time of each side [s]: repeats of the other, each next to `ours_each` repeats of ours."""
    best_ours = best_other = float("inf")
    for _ in range(repeats):
        best_ours = min(best_ours, *(_seconds(ours) for _ in range(ours_each)))
        best_other = min(best_other, _seconds(other))
    return best_ours, best_other


def shortest(work: Callable[[], object], repeats: int = 3) -> float:
    """Shortest time of some work [s]."""
    return min(_seconds(work) for _ in range(repeats))


def peak_memory(work: Callable[[], object]) -> float:
    """Most memory that some work takes at one time [MB]."""
    tracemalloc.start()
    work()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 1e6


def _seconds(work: Callable[[], object]) -> float:
    start = perf_counter()
    work()
    return perf_counter() - start
