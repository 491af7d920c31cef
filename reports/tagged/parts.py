"""The parts of a document as a tree, and where on which page each of them stands (ISO 32000-1, 14.7)."""

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

Kind: TypeAlias = Literal[
    "Document", "Sect", "H1", "H2", "P", "Note", "L", "LI", "LBody", "Table", "Caption",
    "THead", "TBody", "TR", "TH", "TD", "Figure", "Form",
]  # fmt: skip


@dataclass(frozen=True)
class Place:
    """A run of marks on a page, which is counted from 0, and the run's number there."""

    page: int
    number: int


@dataclass
class Part:
    """One part: what it is, and what stands in it, in the order of reading.

    said: what is read aloud in its place. scope: what a head of a table heads. columns: how many of a table's columns
    it spans. blank: the name of the form field that belongs to it.
    """

    kind: Kind
    runs: Counter[int]
    said: str = ""
    scope: Literal["", "Column", "Row"] = ""
    columns: int = 1
    blank: str = ""
    within: "list[Part | Place]" = field(default_factory=list)

    def add(
        self,
        kind: Kind,
        said: str = "",
        *,
        scope: Literal["", "Column", "Row"] = "",
        columns: int = 1,
        blank: str = "",
    ) -> "Part":
        """A new part, the last in this one."""
        part = Part(kind, self.runs, said, scope, columns, blank)
        self.within.append(part)
        return part

    def place(self, page: int) -> Place:
        """A new run of marks for it on a page."""
        place = Place(page, self.runs[page])
        self.runs[page] += 1
        self.within.append(place)
        return place


def whole() -> Part:
    """A document without any part yet; how many runs a page has is counted with it."""
    return Part("Document", Counter())


@contextmanager
def marked(canvas: "Canvas", part: Part | None) -> Iterator[None]:
    """What is drawn meanwhile belongs to the part, or to none: it is there for the eye alone."""
    if part is None:
        canvas.addLiteral("/Artifact BMC")
    else:
        place = part.place(canvas.getPageNumber() - 1)
        canvas.addLiteral(f"/{part.kind} <</MCID {place.number}>> BDC")
    yield
    canvas.addLiteral("EMC")
