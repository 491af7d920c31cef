"""Files to come: each with its name, known before anything is solved, and what fills it from what was solved."""

import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, Generic, TypeVar
from xml.sax.saxutils import escape

from reports.outputs.safe_write import write_whole

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_NO_DATE: dict[str, dict[str, None]] = {"png": {}, "svg": {"Date": None}, "pdf": {"CreationDate": None}}
_PACKED: dict[str, dict[str, Any]] = {"png": {"pil_kwargs": {"compress_level": 1}}}  # as small as more would make it
_DESCRIPTION = {"png": "Description", "svg": "Description", "pdf": "Subject"}  # what a format calls it
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
    from reports.figures.described import described
    from reports.figures.light_axes import lighten
    from reports.figures.light_letters import with_light_letters
    from reports.figures.style import paper

    # Some writers need to seek and re-read, so a file takes the finished bytes only.
    finished = io.BytesIO()
    with paper():
        figure = draw()
        told = described(figure)
        lighten(figure)
        if ending == "png":
            with_light_letters(figure)
        words = {"Title": told.title, _DESCRIPTION[ending]: told.text}
        figure.savefig(finished, format=ending, metadata={**_NO_DATE[ending], **words}, **_PACKED.get(ending, {}))
    return _read_aloud(finished.getvalue(), told.text) if ending == "svg" else finished.getvalue()


def _read_aloud(drawing: bytes, text: str) -> bytes:
    """An SVG whose title, which it has, and description are told as those of one picture."""
    described = f'</title>\n <desc id="description">{escape(text)}</desc>'.encode()
    named = drawing.replace(b"<title>", b'<title id="title">', 1).replace(b"</title>", described, 1)
    return named.replace(b"<svg ", b'<svg role="img" aria-labelledby="title description" ', 1)
