"""`--jobs`: other processes that take a share of the work; what comes out is the same to the last bit."""

import signal
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager

MOST_JOBS = 256


@contextmanager
def sharing(jobs: int) -> Iterator[Executor | None]:
    """Processes that take work, or None where one alone does it; they start when there is some to take."""
    if jobs == 1:
        yield None
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # A process that is copied while others of NumPy's threads run may hang, so each begins anew.
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn"), initializer=_leave_stopping) as pool:
        try:
            yield pool
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def _leave_stopping() -> None:
    """Let the process that began the work be stopped, and end the others."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
