"""Standard output that a command outlives: where it cannot be written any more, the work goes on to its files."""

import contextlib
import io
import os
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stdout
from typing import Any, TextIO


class Outlet(io.TextIOBase):
    """Text for a stream. The first error of it is kept, and what comes after goes nowhere."""

    def __init__(self, stream: TextIO) -> None:
        super().__init__()
        self._stream = stream
        self.error: OSError | None = None

    def write(self, text: str) -> int:
        """Write text as long as it can be written."""
        self._try(self._stream.write, text)
        return len(text)

    def flush(self) -> None:
        """Hand on what waits."""
        self._try(self._stream.flush)

    def close(self) -> None:
        """Leave the stream open, and what it may have become: nothing here waits to be handed on."""

    def isatty(self) -> bool:
        """Whether the stream is a terminal."""
        return self._stream.isatty()

    def fileno(self) -> int:
        """The stream's number."""
        return self._stream.fileno()

    @property
    def encoding(self) -> str:  # type: ignore[override]
        """How the stream writes letters."""
        return self._stream.encoding

    def _try(self, step: Any, *given: str) -> None:
        if self.error is not None:
            return
        try:
            step(*given)
        except OSError as error:
            self.error = error
            # What still waits in the stream would fail once more as the program ends.
            with contextlib.suppress(OSError, ValueError):
                os.dup2(os.open(os.devnull, os.O_WRONLY), self._stream.fileno())


@contextmanager
def outlived(stream: TextIO) -> Iterator[Outlet]:
    """Let standard output go to a stream that may end before the work does."""
    outlet = Outlet(stream)
    with redirect_stdout(outlet):
        yield outlet
        outlet.flush()
