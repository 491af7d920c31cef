"""An end to what does not end by itself, by counting calls: the same on a slow machine as on a fast one."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from types import FrameType

from tests.robustness.time_limits import NoEndError


@dataclass
class Work:
    """Calls of functions made so far."""

    calls: int = 0


@contextmanager
def counted(most: int) -> Iterator[Work]:
    """Count the calls that are made inside; NoEndError beyond so many."""
    work = Work()

    def count(_frame: FrameType, event: str, _argument: object) -> None:
        if event in ("call", "c_call"):
            work.calls += 1
            if work.calls > most:
                raise NoEndError(f"no end after {most} calls")

    before = sys.getprofile()
    sys.setprofile(count)
    try:
        yield work
    finally:
        sys.setprofile(before)
