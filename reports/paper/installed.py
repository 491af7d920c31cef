"""Files that come with the tool and that a report is written with: where one is missing, that is said in words."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from kinematics.inputs.reading.faults import Fault, InputFaultError


@contextmanager
def refuse_missing(name: str | Path) -> Iterator[None]:
    """Raise InputFaultError where a file of the installation cannot be read; it says so and what to do."""
    try:
        yield
    except OSError as error:
        text = (
            f"cannot be read ({error.strerror or error}), and the report is written with it; install cornersweep again"
        )
        raise InputFaultError("cornersweep report", [Fault(Path(name).name, text)]) from None
