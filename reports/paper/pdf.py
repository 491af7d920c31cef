"""A report as PDF: the same blocks set by ReportLab, its pictures laid in as they were drawn, text as text."""

import io
from collections.abc import Iterator, Sequence
from functools import partial
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import Color, black
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    PageBreak,
    PageTemplate,
    Spacer,
)

from reports.paper.blocks import Beside, Block, Caution, Document, Picture, Points, Section, Table, Terms, Words
from reports.paper.fonts import BOLD, FONT, with_fonts
from reports.paper.inked import InkedPage, all_on_pages
from reports.paper.laid_in import LaidIn, with_pictures
from reports.sheet.paper import PAPERS, Paper
from reports.tagged.flowables import Told, ruled, told
from reports.tagged.parts import Part, marked, whole

_SIDE, _HEAD, _FOOT = 13 * mm, 12 * mm, 15 * mm
_GAP = 11.0  # pt, between the columns of a table
_GREY, _PALE = Color(0.35, 0.35, 0.35), Color(0.72, 0.72, 0.72)
_SMALL = 0.92  # of the width
_MOST = 0.45  # of a page, that is kept on one
_FEW = 3  # items of a list, that stay with their heading
_LEAST = 100.0  # pt, for a heading, a caption, heads and two rows
_HALVINGS = 30

_TEXT = ParagraphStyle("text", fontName=FONT, fontSize=8.5, leading=11.5, spaceAfter=4)
_STRONG = ParagraphStyle("strong", _TEXT, fontName=BOLD)
_OVER = ParagraphStyle("over", _STRONG, keepWithNext=1)
_TITLE = ParagraphStyle("title", _TEXT, fontName=BOLD, fontSize=15, leading=18, spaceAfter=2)
_ABOUT = ParagraphStyle("about", _TEXT, fontSize=7.5, leading=9.5, textColor=_GREY, spaceAfter=3)
_HEADLINE = ParagraphStyle("headline", _STRONG, fontSize=9, leading=12, spaceAfter=0)
_HEADING = ParagraphStyle("heading", _STRONG, fontSize=12, leading=15, spaceBefore=8, spaceAfter=4)
_CAPTION = ParagraphStyle("caption", _STRONG, spaceAfter=2)
_LISTED = ParagraphStyle("listed", _TEXT, leftIndent=13, bulletFontName=FONT, bulletFontSize=8.5, spaceAfter=2)
_CELL = ParagraphStyle("cell", _TEXT, fontSize=7.5, leading=9.5, spaceAfter=0)
_NUMBER = ParagraphStyle("number", _CELL, alignment=2)
_MEANING = ParagraphStyle("meaning", _TEXT, leftIndent=13, firstLineIndent=-13, spaceAfter=3)


def pdf(document: Document, paper: Paper) -> bytes:
    """The whole report; the same bytes every time."""
    with_fonts()
    drawn, pictures = all_on_pages(document.pictures)
    size = PAPERS[paper]
    # Set once to count the pages, and again so that each foot tells of how many it is.
    _, pages, _ = _set(document, pictures, size, 0)
    content, _, parts = _set(document, pictures, size, pages)
    return with_pictures(content, drawn, document.title, parts)


def _set(
    document: Document, pictures: Sequence[InkedPage], size: tuple[float, float], pages: int
) -> tuple[bytes, int, Part]:
    """The document with room for its pictures, its foot saying how many pages; how many there really are; its parts."""
    file = io.BytesIO()
    width, height = size[0] - 2 * _SIDE, size[1] - _HEAD - _FOOT
    made = BaseDocTemplate(file, pagesize=size, invariant=1, title=document.title, author="cornersweep", lang="en")
    frame = Frame(_SIDE, _FOOT, width, height, 0, 0, 0, 0)
    foot = partial(_foot, document.title, size, pages)
    made.addPageTemplates(PageTemplate(frames=[frame], onPage=foot))
    parts = whole()
    setter = _Setter(width, height, (LaidIn(one, place) for place, one in enumerate(pictures)))
    made.build(list(setter.document(document, parts)))
    return file.getvalue(), made.page, parts


def _foot(title: str, size: tuple[float, float], pages: int, canvas: Canvas, document: BaseDocTemplate) -> None:
    canvas.saveState()
    canvas.setFont(FONT, 7.5)
    canvas.setFillColor(_GREY)
    number = f"page {document.page} of {pages}"
    room = size[0] - 2 * _SIDE - canvas.stringWidth(number, FONT, 7.5) - 12
    with marked(canvas, None):
        canvas.drawString(_SIDE, 8 * mm, _cut(canvas, title, room))
        canvas.drawRightString(size[0] - _SIDE, 8 * mm, number)
    canvas.restoreState()


def _cut(canvas: Canvas, text: str, room: float) -> str:
    """As much of a text as fits."""
    if canvas.stringWidth(text, FONT, 7.5) <= room:
        return text
    while text and canvas.stringWidth(f"{text}...", FONT, 7.5) > room:
        text = text[:-1]
    return f"{text}..."


class _Setter:
    """Turns blocks into what ReportLab sets, in a width and height [pt]."""

    def __init__(self, width: float, height: float, pictures: Iterator[LaidIn]) -> None:
        self._width, self._height, self._pictures = width, height, pictures

    def document(self, document: Document, whole: Part) -> Iterator[Flowable]:
        """All of it, each part told in the whole."""
        yield told(escape(document.title), _TITLE, whole.add("H1"))
        yield from (told(escape(line), _ABOUT, whole.add("P")) for line in document.about)
        lines = [[told(escape(line), _HEADLINE, whole.add("P"))] for line in document.headline]
        style: list[Any] = [("LINEBEFORE", (0, 0), (0, -1), 2.5, black), *_tight(6, 0.5)]
        yield ruled(lines, colWidths=[self._width], style=style, spaceAfter=5)
        for section in document.sections:
            yield from self._section(section, whole.add("Sect"))

    def _section(self, section: Section, whole: Part) -> Iterator[Flowable]:
        if section.new_page:
            yield PageBreak()
        heading = _heading(section.heading, whole.add("H2"))
        parts = [list(self._block(block, whole)) for block in section.blocks]
        # The heading stays with what it heads: the words that come first, and the table or picture after them.
        lead = next((place for place, block in enumerate(section.blocks) if not isinstance(block, Words)), 0) + 1
        *opening, led = parts[:lead]
        few = {Beside: 1, Points: _FEW, Terms: _FEW}.get(type(section.blocks[lead - 1]), len(led))
        first = [one for part in opening for one in part] + led[:few]
        yield from _together([heading, *first], self._width, self._height)
        yield from led[few:]
        for block, part in zip(section.blocks[lead:], parts[lead:], strict=True):
            yield from _together(part, self._width, self._height) if isinstance(block, Table) else part

    def _block(self, block: Block, whole: Part) -> Iterator[Flowable]:
        match block:
            case Words():
                yield told(escape(block.text), _OVER if block.strong else _TEXT, whole.add("P"))
            case Points():
                listed = whole.add("L")
                for number, text in enumerate(block.texts, 1):
                    bullet = f"{number}." if block.numbered else "\N{BULLET}"
                    yield told(escape(text), _LISTED, listed.add("LI").add("LBody"), bullet)
                yield Spacer(1, 3)
            case Caution():
                style: list[Any] = [("BOX", (0, 0), (-1, -1), 1.5, black), *_tight(6, 4, 6)]
                framed = [[told(escape(block.text), _TEXT, whole.add("P"))]]
                yield ruled(framed, colWidths=[self._width], style=style, spaceBefore=4, spaceAfter=4)
            case Terms():
                listed = whole.add("L")
                for word, text in block.meanings:
                    meaning = f"<b>{escape(word)}</b> {escape(text)}"
                    yield told(meaning, _MEANING, listed.add("LI").add("LBody"))
            case Table():
                yield from self._table(block, self._width, whole)
            case Beside():
                yield from self._beside(block, whole)
            case Picture():
                picture = next(self._pictures)
                picture.fit((_SMALL if block.small else 1.0) * self._width, self._height - 2 * _HEADING.leading)
                picture.tell(whole)
                yield picture

    def _beside(self, block: Beside, whole: Part) -> Iterator[Flowable]:
        """Tables in rows, each as full as the page is wide."""
        rows: list[list[Table]] = [[]]
        half = 0.5 * (self._width - _GAP)
        for table in block.tables:
            taken = sum(sum(_widths(one, half)) + _GAP for one in rows[-1])
            if rows[-1] and taken + sum(_widths(table, half)) > self._width:
                rows.append([])
            rows[-1].append(table)
        for row in rows:
            cells = [[*self._table(table, half, whole), Spacer(1, 8)] for table in row]
            widths = [sum(_widths(table, half)) + _GAP for table in row]
            style: list[Any] = [("VALIGN", (0, 0), (-1, -1), "TOP"), *_tight(0, 0)]
            yield ruled([cells], colWidths=widths, style=style, hAlign="LEFT")

    def _table(self, table: Table, width: float, whole: Part) -> Iterator[Flowable]:
        widths = _widths(table, width)
        part = whole.add("Table")
        caption = part.add("Caption")
        heads, body = part.add("THead").add("TR"), part.add("TBody")
        rows: list[list[Told | str]] = [
            [
                told(f"<b>{escape(head)}</b>", _style(place, table), heads.add("TH", scope="Column"), once=True)
                for place, head in enumerate(table.heads)
            ]
        ]
        style: list[Any] = [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, black),
            ("LINEBELOW", (0, 1), (-1, -1), 0.3, _PALE),
            *_tight(0, 2, right=_GAP),
            # No row stands alone, neither under the heads nor over the foot.
            ("NOSPLIT", (0, 0), (-1, min(2, len(table.rows)))),
            ("NOSPLIT", (0, max(-2, -len(table.rows))), (-1, -1)),
        ]
        for place, row in enumerate(table.rows, 1):
            line = body.add("TR")
            if row.look == "group":
                head = line.add("TH", scope="Row", columns=len(table.heads))
                rows.append([told(f"<b>{escape(row.cells[0])}</b>", _CELL, head), *[""] * (len(table.heads) - 1)])
                style += [
                    ("SPAN", (0, place), (-1, place)),
                    ("NOSPLIT", (0, place), (-1, min(place + 1, len(table.rows)))),
                ]
                continue
            look = "<b>{}</b>" if row.look == "out" else "{}"
            cells = [line.add("TD") if i else line.add("TH", scope="Row") for i in range(len(row.cells))]
            rows.append(
                [
                    told(look.format(escape(text)), _style(i, table), cell)
                    for i, (text, cell) in enumerate(zip(row.cells, cells, strict=True))
                ]
            )
        made = ruled(rows, colWidths=widths, style=style, repeatRows=1, spaceAfter=8, hAlign="LEFT")
        yield told(escape(table.caption), _CAPTION, caption)
        yield made


def _heading(words: str, part: Part) -> Flowable:
    """A section's heading, also among the file's bookmarks."""
    made = _Bookmarked(escape(words), _HEADING)
    made.words, made._part = words, part
    return made


class _Bookmarked(Told):
    words = ""

    def draw(self) -> None:
        """Set it, and mark the place."""
        key = f"section {self.words}"
        self.canv.bookmarkHorizontal(key, 0, _HEADING.leading)
        self.canv.addOutlineEntry(self.words, key)
        super().draw()


def _together(parts: Sequence[Flowable], width: float, height: float) -> Iterator[Flowable]:
    """On one page, where they do not take most of one, or where a picture is the last."""
    tall = sum(one.wrap(width, height)[1] for one in parts)
    last = parts[-1]
    if isinstance(last, LaidIn):
        yield CondPageBreak(tall - last.spare + sum(one.getSpaceBefore() + one.getSpaceAfter() for one in parts))
        yield from parts
    elif tall < _MOST * height:
        yield KeepTogether(list(parts))
    else:
        yield CondPageBreak(_LEAST)
        yield from parts


def _style(place: int, table: Table) -> ParagraphStyle:
    return _NUMBER if place in table.right else _CELL


def _tight(left: float, above: float, right: float = 0.0) -> list[Any]:
    every = (0, 0), (-1, -1)
    return [
        ("LEFTPADDING", *every, left), ("RIGHTPADDING", *every, right),
        ("TOPPADDING", *every, above), ("BOTTOMPADDING", *every, above),
    ]  # fmt: skip


def _widths(table: Table, whole: float) -> list[float]:
    """Columns as wide as their words; where that is too much for the page, the widest give way, down to one word."""
    least, most = [], []
    for place, head in enumerate(table.heads):
        rows = [(row.cells[place], BOLD if row.look == "out" else FONT) for row in table.rows if row.look != "group"]
        cells = [(head, BOLD), *rows]
        words = [(word, font) for text, font in cells for word in text.split()] or [("", FONT)]
        least.append(max(_wide(*one) for one in words))
        most.append(max(_wide(*one) for one in cells))
    if sum(least) >= whole:
        return [whole * one / sum(least) for one in least]
    low, high = 0.0, max(most)
    for _ in range(_HALVINGS):
        widest = 0.5 * (low + high)
        fits = sum(_between(widest, *ends) for ends in zip(least, most, strict=True)) <= whole
        low, high = (widest, high) if fits else (low, widest)
    widest = max(most) if sum(most) <= whole else low
    return [_between(widest, *ends) for ends in zip(least, most, strict=True)]


def _between(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)


def _wide(text: str, font: str) -> float:
    """A cell's width [pt], with what parts it from the next; a little more, for sums are rounded."""
    return float(stringWidth(text, font, _CELL.fontSize)) + _GAP + 0.5
