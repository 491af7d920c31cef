"""Files to come: each with its name, known before anything is solved, and what fills it from what was solved."""

import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, Generic, TypeVar

from reports.outputs.safe_write import write_whole

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_FINISH: dict[str, Any] = {
    "png": {"pil_kwargs": {"compress_level": 1}},
    "svg": {"metadata": {"Date": None}},
    "pdf": {"metadata": {"CreationDate": None}},
}
Solved = TypeVar("Solved")


@dataclass(frozen=True)
class Output(Generic[Solved]):
    """One file to come: its name, and what fills it from a record of solved results. Filling it solves nothing."""

    name: str
    fill: Callable[[Solved, BinaryIO], None]


def paths(folder: Path, outputs: Sequence[Output[Any]]) -> list[Path]:
    """Where files are going to be written."""
    return [folder / output.name for output in outputs]


def write_outputs(folder: Path, outputs: Sequence[Output[Solved]], solved: Solved, *, replace: bool) -> Iterator[Path]:
    """Write files into a folder one by one, each whole or not at all, and tell each path written."""
    for output in outputs:
        path = folder / output.name
        write_whole(path, lambda file, fill=output.fill: fill(solved, file), replace=replace)  # type: ignore[misc]
        yield path


def drawn(draw: Callable[[Solved], "Figure"], ending: str) -> Callable[[Solved, BinaryIO], None]:
    """Return what draws solved results and writes the figure in the format of a file ending: png, svg or pdf."""

    def fill(solved: Solved, file: BinaryIO) -> None:
        file.write(ink(lambda: draw(solved), ending))

    return fill


def ink(draw: Callable[[], "Figure"], ending: str) -> bytes:
    """Draw a figure, and return the whole content of its file: of the same car the same, for it has no date."""
    # Matplotlib is slow to load: only a job that draws pays for it.
    from reports.figures.style import paper

    # Some writers need to seek and re-read, so a file takes the finished bytes only. Light packing of PNG is soon done.
    finished = io.BytesIO()
    with paper():
        draw().savefig(finished, format=ending, **_FINISH[ending])
    return finished.getvalue()
