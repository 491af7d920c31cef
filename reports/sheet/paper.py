"""What printed sheets share: paper, type, boxes, and blanks that can be filled in by pen or on a screen."""

import io
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

from pypdf import PdfReader, PdfWriter
from reportlab.lib.colors import Color, black
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from kinematics.car.lengths import LengthUnit
from reports.sheet.names import BY, CAR, DATE
from reports.sheet.sketch import BOLD, FONT
from reports.tagged.flowables import Told, ruled, told
from reports.tagged.parts import Part, marked, whole
from reports.tagged.written import write_parts

Paper = Literal["a4", "letter"]
PAPERS: dict[Paper, tuple[float, float]] = {"a4": A4, "letter": LETTER}  # pt

_MARGIN, _FOOT = 10 * mm, 13 * mm
PADDING = 1.5  # pt around a blank
PALE = Color(0.9, 0.9, 0.9)
LINE = 0.5  # pt
BLANK_HEIGHT = 6.4 * mm  # room for a pencil
_WRITING = 9.0  # pt, what is typed into a blank
_LONGEST = 300  # characters in a blank

TEXT = ParagraphStyle("text", fontName=FONT, fontSize=8.5, leading=10.5)
SMALL = ParagraphStyle("small", TEXT, fontSize=7.5, leading=9)
TITLE = ParagraphStyle("title", TEXT, fontName=BOLD, fontSize=15, leading=19)
HEADING = ParagraphStyle("heading", TEXT, fontName=BOLD, fontSize=9.5, leading=12, spaceBefore=4, spaceAfter=1)

JACK = (
    "Never go under a car that only a jack holds: use ramps or stands made for its weight, on firm "
    "ground, wheels chocked."
)

CELLS: list[Any] = [
    ("FONT", (0, 0), (-1, -1), FONT, TEXT.fontSize),
    ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
    ("LEFTPADDING", (0, 0), (-1, -1), PADDING),
    ("RIGHTPADDING", (0, 0), (-1, -1), PADDING),
    ("TOPPADDING", (0, 0), (-1, -1), PADDING),
    ("BOTTOMPADDING", (0, 0), (-1, -1), PADDING),
]


def paper_of(named: Paper | None, unit: LengthUnit) -> Paper:
    """The paper that was named, else what a garage that measures in this unit has."""
    return named or ("letter" if unit.symbol == "in" else "a4")


class Blank(Flowable):
    """A blank that can be typed into; on paper its table's lines make the box."""

    def __init__(self, name: str, about: str, width: float, written: str = "", height: float = BLANK_HEIGHT) -> None:
        super().__init__()
        # A field's font has the letters of western Europe only; any other name stands above it on the page alone.
        self._written = written[:_LONGEST].encode("latin-1", "ignore").decode("latin-1").strip()
        self.width, self.height = width, height
        self._name, self._about = name, about

    def draw(self) -> None:
        """Put the field where platypus has put this."""
        look: dict[str, Any] = {"fontName": FONT, "fontSize": _WRITING, "textColor": black, "fillColor": None}
        look |= {"borderWidth": 0, "borderColor": None, "width": self.width, "height": self.height}
        look |= {"value": self._written} if self._written else {}
        self.canv.acroForm.textfield(name=self._name, tooltip=self._about, maxlen=_LONGEST, relative=True, **look)


@dataclass(frozen=True)
class Properties:
    """What a sheet says in its file, and at the foot of each page; keywords: which sheet it is, for reading it back."""

    title: str
    subject: str
    keywords: str
    foot: str


Story = Callable[[float, Part], list[Flowable]]


def printed(story: Story, paper: Paper, about: Properties) -> bytes:
    """A sheet as PDF, the same bytes every time.

    story: what stands on it, of the width that it has [pt] and the document whose parts it tells.
    """
    make = partial(_document, story, PAPERS[paper], about)
    _, pages, _ = make(0)
    content, _, parts = make(pages)
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(content)))
    writer.metadata = {
        "/Title": about.title, "/Author": "cornersweep", "/Subject": about.subject, "/Keywords": about.keywords,
        "/Producer": "cornersweep",
    }  # fmt: skip
    write_parts(writer, parts)
    file = io.BytesIO()
    writer.write(file)
    return file.getvalue()


def _document(story: Story, size: tuple[float, float], about: Properties, pages: int) -> tuple[bytes, int, Part]:
    """The document, whose foot says how many pages there are, how many there really are, and its parts."""
    file, parts = io.BytesIO(), whole()
    document = BaseDocTemplate(file, pagesize=size, invariant=1)
    width = size[0] - 2 * _MARGIN
    frame = Frame(_MARGIN, _FOOT, width, size[1] - _MARGIN - _FOOT, 0, 0, 0, 0)
    document.addPageTemplates(PageTemplate(frames=[frame], onPage=partial(_foot, about.foot, size, pages)))
    document.build(story(width, parts))
    return file.getvalue(), document.page, parts


def _foot(about: str, size: tuple[float, float], pages: int, canvas: Canvas, document: BaseDocTemplate) -> None:
    canvas.saveState()
    canvas.setFont(FONT, 8)
    with marked(canvas, None):
        canvas.drawString(_MARGIN, 8 * mm, about)
        canvas.drawRightString(size[0] - _MARGIN, 8 * mm, f"page {document.page} of {pages}")
    canvas.restoreState()


def blank(of: Part, name: str, about: str, width: float, written: str = "", height: float = BLANK_HEIGHT) -> Blank:
    """A blank, told as a form's in a part."""
    of.add("Form", about, blank=name)
    return Blank(name, about, width, written, height)


def owner(width: float, of: Part, car: str = "") -> Flowable:
    """Whose car, when, and who measured; of: what it is a part of; car: its name, written in already."""
    labels = (("Car", CAR, 0.46), ("Date", DATE, 0.2), ("Measured by", BY, 0.34))
    cells: list[Flowable] = []
    widths = []
    for label, name, part in labels:
        wide = _wide(label)
        cells += [
            told(label, TEXT, of.add("P")),
            blank(of, name, label.lower(), part * width - wide - 2 * PADDING, car if name == CAR else ""),
        ]
        widths += [wide, part * width - wide]
    boxes = [("BOX", (column, 0), (column, 0), LINE, black) for column in (1, 3, 5)]
    return ruled([cells], colWidths=widths, style=[*CELLS, *boxes])


def _wide(label: str) -> float:
    return 5.0 * len(label) + 6.0


def boxed(content: Told, width: float) -> Flowable:
    """Content in a heavy box, for what must not be missed."""
    return ruled([[content]], colWidths=[width], style=[("BOX", (0, 0), (-1, -1), 1.5, black)])
