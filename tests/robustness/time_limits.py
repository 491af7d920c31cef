"""An end to what does not end by itself: after so much work of the processor, however busy the machine is."""

import signal
from collections.abc import Iterator
from contextlib import contextmanager


class NoEndError(BaseException):
    """Not an Exception: nothing that handles errors of its own, such as of files, may take it for one."""


@contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Raise NoEndError where what is inside has not ended after so many seconds of the processor."""

    def ended(*_: object) -> None:
        raise NoEndError(f"no end after {seconds:g} s of work")

    before = signal.signal(signal.SIGPROF, ended)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, before)
