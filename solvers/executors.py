"""Work handed to any executor in the style of `concurrent.futures`: results in order, only a few pieces under way."""

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future
from typing import TypeVar

_In = TypeVar("_In")
_Out = TypeVar("_Out")
_AHEAD = 16  # pieces of work handed out before waiting for the first: bounds the memory


def in_order(executor: Executor, work: Callable[[_In], _Out], pieces: Iterable[_In]) -> Iterator[_Out]:
    """Results of work on each piece, in the order of the pieces."""
    waiting: deque[Future[_Out]] = deque()
    for piece in pieces:
        waiting.append(executor.submit(work, piece))
        if len(waiting) > _AHEAD:
            yield waiting.popleft().result()
    while waiting:
        yield waiting.popleft().result()
