"""What a report holds, before anything writes it: sections of words, tables and pictures.

All of it is plain text: whoever writes it as HTML or PDF escapes it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Words:
    """A paragraph."""

    text: str
    strong: bool = False


@dataclass(frozen=True)
class Points:
    """A list, each point a sentence or two; numbered where their order matters."""

    texts: Sequence[str]
    numbered: bool = False


@dataclass(frozen=True)
class Caution:
    """What must not be overlooked; it stands in a frame."""

    text: str


@dataclass(frozen=True)
class Row:
    """One row of a table. look: "group" heads the rows below it, "out" is outside its limits."""

    cells: Sequence[str]
    look: Literal["plain", "group", "out"] = "plain"


@dataclass(frozen=True)
class Table:
    """A table with its heads; right: the columns whose cells stand at the right, for they are numbers."""

    caption: str
    heads: Sequence[str]
    rows: Sequence[Row]
    right: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Beside:
    """Tables side by side, as many as fit, then those below."""

    tables: Sequence[Table]


@dataclass(frozen=True)
class Terms:
    """Words and what they mean."""

    meanings: Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Picture:
    """A figure, drawn when it is written; its own title is what it finds. small: where it shares a page with others."""

    draw: Callable[[], "Figure"]
    small: bool = False


Block: TypeAlias = Words | Points | Caution | Table | Beside | Terms | Picture


@dataclass(frozen=True)
class Section:
    """Blocks under a heading; new_page: on paper it begins one."""

    heading: str
    blocks: Sequence[Block]
    new_page: bool = False


@dataclass(frozen=True)
class Document:
    """A whole report. about: lines under its title; headline: the answer, by paragraphs."""

    title: str
    about: Sequence[str]
    headline: Sequence[str]
    sections: Sequence[Section]

    @property
    def pictures(self) -> list[Picture]:
        """All pictures in their order."""
        return [block for section in self.sections for block in section.blocks if isinstance(block, Picture)]
