"""An end to what does not end by itself."""

import signal
from collections.abc import Iterator
from contextlib import contextmanager


class NoEndError(BaseException):
    """Not an Exception: nothing that handles errors of its own, such as of files, may take it for one."""


@contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Raise NoEndError where what is inside does not end."""

    def ended(*_: object) -> None:
        raise NoEndError(f"no end after {seconds:g} s")

    before = signal.signal(signal.SIGALRM, ended)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)
