"""A tagged PDF as a screen reader meets it: pdfminer finds the letters of each run, pypdf the tree that orders them.

Tags by ISO 32000-1, 14.6 to 14.8 (from memory); neither reader knows what wrote the file.
"""

import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pypdf
from pdfminer.pdfdevice import PDFTextDevice
from pdfminer.pdfinterp import PDFPageInterpreter, PDFResourceManager
from pdfminer.pdfpage import PDFPage
from pdfminer.psparser import PSLiteral


@dataclass
class Read:
    """An element of the tree. text: its own letters and those of what stands in it; alt: its words for a picture."""

    kind: str
    text: str = ""
    alt: str = ""
    scope: str = ""
    blanks: list[str] = field(default_factory=list)
    within: "list[Read]" = field(default_factory=list)

    def every(self, *kinds: str) -> "Iterator[Read]":
        """All elements of these kinds, in the order of reading."""
        if self.kind in kinds:
            yield self
        for one in self.within:
            yield from one.every(*kinds)


@dataclass
class TaggedPdf:
    """The tree, and what was drawn outside of it: letters for the eye alone, and those that nothing tells of at all."""

    tree: Read
    ornaments: str
    untold: str
    drawn_untold: int
    root: Any


class _Runs(PDFTextDevice):
    """Collects letters by page and run; counts lines and pictures that belong to nothing."""

    def __init__(self) -> None:
        super().__init__(PDFResourceManager())
        self.runs: dict[tuple[int, int], str] = {}
        self.ornaments, self.untold, self.drawn_untold = "", "", 0
        self._page, self._open = -1, list[int | None]()

    def begin_page(self, *_: Any) -> None:
        self._page += 1

    def end_page(self, *_: Any) -> None:
        assert self._open == []

    def begin_tag(self, tag: PSLiteral, props: Any = None) -> None:
        number = props.get("MCID") if isinstance(props, dict) else None
        self._open.append(number if number is not None else None if tag.name == "Artifact" else -1)
        if number is not None:
            assert (self._page, number) not in self.runs
            self.runs[self._page, number] = ""

    def end_tag(self) -> None:
        self._open.pop()

    def render_string(self, textstate: Any, seq: Any, *_: Any) -> None:
        text = "".join(
            textstate.font.to_unichr(cid)
            for part in seq
            if isinstance(part, bytes)
            for cid in textstate.font.decode(part)
        )
        number = next((one for one in self._open if one != -1), -1)
        if number is None:
            self.ornaments += text
        elif number == -1:
            self.untold += text.strip()
        else:
            self.runs[self._page, number] += text + " "

    def paint_path(self, *_: Any, **__: Any) -> None:
        self.drawn_untold += not [one for one in self._open if one != -1]


def tagged(content: bytes) -> TaggedPdf:
    """Read it; every run must be told of once, by the element that the page's own list names for it."""
    device = _Runs()
    interpreter = PDFPageInterpreter(device.rsrcmgr, device)
    for page in PDFPage.get_pages(io.BytesIO(content)):
        interpreter.process_page(page)
    reader = pypdf.PdfReader(io.BytesIO(content))
    root = reader.trailer["/Root"].get_object()
    numbers = root["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    parents = {int(numbers[i]): numbers[i + 1].get_object() for i in range(0, len(numbers), 2)}
    pages = {page.indirect_reference.idnum: place for place, page in enumerate(reader.pages)}
    seen: set[tuple[int, int]] = set()

    def read(element: Any) -> Read:
        found = Read(str(element["/S"])[1:], alt=str(element.get("/Alt", "")))
        found.scope = str(element.get("/A", {}).get("/Scope", ""))
        for entry in element.get("/K", ()):
            one = entry.get_object()
            if one.get("/Type") == "/MCR":
                place = pages[one.raw_get("/Pg").idnum], int(one["/MCID"])
                listed = parents[reader.pages[place[0]]["/StructParents"]][place[1]]
                assert listed.get_object() == element
                assert place not in seen
                seen.add(place)
                found.text += device.runs[place]
            elif one.get("/Type") == "/OBJR":
                blank = one["/Obj"].get_object()
                assert parents[int(blank["/StructParent"])].get_object() == element
                found.blanks.append(str(blank["/T"]))
            else:
                found.within.append(read(one))
                found.text += found.within[-1].text
        found.text = " ".join(found.text.split()) + " "
        return found

    (whole,) = root["/StructTreeRoot"]["/K"]
    tree = read(whole.get_object())
    assert seen == set(device.runs)
    return TaggedPdf(tree, device.ornaments, device.untold, device.drawn_untold, root)
