"""The measuring sheet: a printable PDF for the garage floor whose blanks can be filled in by pen or on a tablet."""

import io
from functools import partial
from itertools import groupby
from typing import Any, Literal
from xml.sax.saxutils import escape

from reportlab.lib.colors import Color, black
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Paragraph, Spacer, Table

from kinematics.car.lengths import LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.survey.reading_list import SuggestedReading, reading_list
from reports.cautions import CAUTION
from reports.sheet.names import BY, CAR, DATE, DOUBT, REMARKS, keywords
from reports.sheet.sketch import BOLD, FONT, Sketch, letters
from reports.words.reading_list import group_words, instrument_words, point_words, what_words, where_words

Paper = Literal["a4", "letter"]
PAPERS: dict[Paper, tuple[float, float]] = {"a4": A4, "letter": LETTER}  # pt

_MARGIN, _FOOT = 10 * mm, 13 * mm
_SKETCH_HEIGHT = 66 * mm
_BLANK_HEIGHT, _PADDING = 6.4 * mm, 1.5  # room for a pencil; pt around a blank
_WRITING = 9.0  # pt, what is typed into a blank
_LONGEST = 300  # characters in a blank
# Widths of the table's columns but for `where`, which takes the rest.
_NUMBER, _WHAT, _UNIT, _READING, _DOUBT, _REMARKS = 8 * mm, 43 * mm, 9 * mm, 25 * mm, 16 * mm, 27 * mm
_PALE = Color(0.9, 0.9, 0.9)
_LINE = 0.5  # pt

_TEXT = ParagraphStyle("text", fontName=FONT, fontSize=8.5, leading=10.5)
_SMALL = ParagraphStyle("small", _TEXT, fontSize=7.5, leading=9)
_TITLE = ParagraphStyle("title", _TEXT, fontName=BOLD, fontSize=15, leading=19)
_HEADING = ParagraphStyle("heading", _TEXT, fontName=BOLD, fontSize=9.5, leading=12, spaceBefore=4, spaceAfter=1)
_LISTED = ParagraphStyle("listed", _TEXT, leftIndent=11, bulletFontName=FONT, bulletFontSize=8.5, spaceAfter=1.5)

_JACK = (
    "Never go under a car that only a jack holds: use ramps or stands made for its weight, on firm "
    "ground, wheels chocked."
)
_STEPS = (
    "<b>Level.</b> Check the floor where the four tyres stand, with a water level or a straight bar with a spirit "
    "level on it, read twice, turned end for end. Put plates under the low tyres until all four stand level. Heights "
    "count from that level: where the floor beside a point is lower or higher, say so in the remarks and write the "
    "corrected height.",
    "<b>As raced.</b> Tyres at pressure, fuel, driver or ballast in the seat, steering straight ahead and held. Roll "
    "the car back and forth, push it down at both ends and let it settle. Jack nothing up between two readings.",
    "<b>Lines on the floor.</b> Drop a plumb bob from all four hubs. Chalk the line through this axle's two marks: "
    "<i>ahead</i> counts from it. Halve the line at each axle; through both middles runs the centre line: <i>out</i> "
    "counts from it. Both diagonals from hub to hub must be equally long, or the axles do not stand square: say so.",
    "<b>Marks.</b> Hold the string at the point's centre (a bolt: half its length; a ball: the middle of its housing), "
    "let the bob come to rest and mark the floor. Then measure between marks and lines, not in the air. A point "
    "without a side is read on the car's left.",
    "<b>More than enough.</b> The list asks for more than is needed, so that a wrong reading shows. Leave out what "
    "cannot be reached; do not reckon it from others. Read twice, and write what the tape shows.",
)
_INSTRUMENTS = (
    "tape, steel rule, set square, plumb bob, chalk and masking tape, digital level (set to zero on the levelled "
    "floor), water level or straight bar with a spirit level, string and two stands, tyre gauge"
)


class _Blank(Flowable):
    """A blank that can be typed into; on paper its table's lines make the box."""

    def __init__(self, name: str, about: str, width: float) -> None:
        super().__init__()
        self.width, self.height = width, _BLANK_HEIGHT
        self._name, self._about = name, about

    def draw(self) -> None:
        """Put the field where platypus has put this."""
        look: dict[str, Any] = {"fontName": FONT, "fontSize": _WRITING, "textColor": black, "fillColor": None}
        look |= {"borderWidth": 0, "borderColor": None, "width": self.width, "height": self.height}
        self.canv.acroForm.textfield(name=self._name, tooltip=self._about, maxlen=_LONGEST, relative=True, **look)


def measuring_sheet(kind: SuspensionType, unit: LengthUnit, axle: str, paper: Paper) -> bytes:
    """Return the sheet for one axle of a type as PDF; the same bytes every time.

    Blanks are form fields: "12" for the reading of number 12, "12 doubt", "12 remarks". ValueError for a type whose
    owner lists the points.
    """
    make = partial(_document, kind, unit, axle, PAPERS[paper])
    _, pages = make(0)
    content, _ = make(pages)
    return content


def _document(
    kind: SuspensionType, unit: LengthUnit, axle: str, size: tuple[float, float], pages: int
) -> tuple[bytes, int]:
    """The document, whose foot says how many pages there are, and how many there really are."""
    file = io.BytesIO()
    document = BaseDocTemplate(
        file,
        pagesize=size,
        invariant=1,
        title=f"Measuring sheet: {kind.name}, {axle} axle",
        author="cornersweep",
        subject=f"What to measure of this suspension on the garage floor, in {unit.symbol}",
        keywords=[keywords(kind, unit, axle)],
    )
    width = size[0] - 2 * _MARGIN
    frame = Frame(_MARGIN, _FOOT, width, size[1] - _MARGIN - _FOOT, 0, 0, 0, 0)
    foot = partial(_foot, f"{kind.name}, {axle} axle, {unit.symbol}", size, pages)
    document.addPageTemplates(PageTemplate(frames=[frame], onPage=foot))
    document.build([*_front(kind, unit, axle, width), *_readings(kind, unit, width)])
    return file.getvalue(), document.page


def _foot(about: str, size: tuple[float, float], pages: int, canvas: Canvas, document: BaseDocTemplate) -> None:
    canvas.saveState()
    canvas.setFont(FONT, 8)
    canvas.drawString(_MARGIN, 8 * mm, f"cornersweep measuring sheet: {about}")
    canvas.drawRightString(size[0] - _MARGIN, 8 * mm, f"page {document.page} of {pages}")
    canvas.restoreState()


def _front(kind: SuspensionType, unit: LengthUnit, axle: str, width: float) -> list[Flowable]:
    """The first page's upper part: whose car, safety, how to set up, and the sketch."""
    lengths = "millimetres (mm)" if unit.symbol == "mm" else "inches (in), also as the tape shows them (13 5/8)"
    doubts = "2 mm for a tape, 1.5 mm for a rule" if unit.symbol == "mm" else "0.08 in for a tape, 0.06 in for a rule"
    columns = (
        f"Lengths in {lengths}, angles in degrees. <b>\N{PLUS-MINUS SIGN} doubt</b> (known_to): two readings in three "
        "lie within it; if that is the worst you would ever be off, write half of it. Left blank, it counts as "
        f"{doubts}, 0.2 degrees for a level."
    )
    story: list[Flowable] = [
        Paragraph(escape(f"Measuring sheet: {kind.name}, {axle} axle"), _TITLE),
        _owner(width),
        Spacer(1, 5),
        _boxed(Paragraph(escape(f"{CAUTION} {_JACK}"), _TEXT), width),
        Paragraph("How to set up", _HEADING),
        *(Paragraph(step, _LISTED, bulletText=f"{number}.") for number, step in enumerate(_STEPS, start=1)),
        Paragraph(f"<b>Instruments:</b> {_INSTRUMENTS}.", _TEXT),
        Spacer(1, 2),
        Paragraph(columns, _TEXT),
        Paragraph("The points (a typical car, to scale; yours differs)", _HEADING),
        Sketch(kind, width, _SKETCH_HEIGHT),
        Paragraph(_legend(kind), _TEXT),
        Spacer(1, 6),
    ]
    return story


def _owner(width: float) -> Table:
    """Whose car, when, and who measured."""
    labels = (("Car", CAR, 0.46), ("Date", DATE, 0.2), ("Measured by", BY, 0.34))
    cells, widths = [], []
    for label, name, part in labels:
        wide = _wide(label)
        cells += [Paragraph(label, _TEXT), _Blank(name, label.lower(), part * width - wide - 2 * _PADDING)]
        widths += [wide, part * width - wide]
    boxes = [("BOX", (column, 0), (column, 0), _LINE, black) for column in (1, 3, 5)]
    return Table([cells], colWidths=widths, style=[*_CELLS, *boxes])


def _wide(label: str) -> float:
    return 5.0 * len(label) + 6.0


_CELLS: list[Any] = [
    ("FONT", (0, 0), (-1, -1), FONT, _TEXT.fontSize),
    ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
    ("LEFTPADDING", (0, 0), (-1, -1), _PADDING),
    ("RIGHTPADDING", (0, 0), (-1, -1), _PADDING),
    ("TOPPADDING", (0, 0), (-1, -1), _PADDING),
    ("BOTTOMPADDING", (0, 0), (-1, -1), _PADDING),
]


def _boxed(content: Flowable, width: float) -> Table:
    return Table([[content]], colWidths=[width], style=[("BOX", (0, 0), (-1, -1), 1.5, black)])


def _legend(kind: SuspensionType) -> str:
    """Which letter is which point, and how the sketch is drawn."""
    points = ", ".join(f"<b>{letter}</b> {escape(point_words(name))}" for name, letter in letters(kind).items())
    drawn = "filled dots move with the wheel, open dots are on the chassis; grey: moving parts"
    return f"{points}. <i>In the sketch {drawn}.</i>"


def _readings(kind: SuspensionType, unit: LengthUnit, width: float) -> list[Flowable]:
    """The numbered table, a heading row before each group, kept together with its group's first entry."""
    where = width - sum((_NUMBER, _WHAT, _UNIT, _READING, _DOUBT, _REMARKS))
    widths = [_NUMBER, _WHAT, where, _UNIT, _READING, _DOUBT, _REMARKS]
    titles = (
        "no.",
        "what",
        "where to put the tape, plumb bob or level",
        "unit",
        "reading",
        "\N{PLUS-MINUS SIGN} doubt",
        "remarks",
    )
    rows: list[list[Flowable | str]] = [[Paragraph(f"<b>{title}</b>", _SMALL) for title in titles]]
    style = [*_CELLS, ("GRID", (0, 0), (-1, -1), _LINE, black), ("BACKGROUND", (0, 0), (-1, 0), _PALE)]
    letter_of = letters(kind)
    for _, group in groupby(reading_list(kind), key=lambda entry: entry.group):
        entries = list(group)
        at = len(rows)
        rows.append([Paragraph(f"<b>{escape(group_words(entries[0]))}</b>", _TEXT)])
        style += [
            ("SPAN", (0, at), (-1, at)),
            ("BACKGROUND", (0, at), (-1, at), _PALE),
            ("NOSPLIT", (0, at), (0, at + 1)),
        ]
        for entry in entries:
            if entry.measure == "words":
                style.append(("SPAN", (4, len(rows)), (-1, len(rows))))
            rows.append(_row(entry, letter_of, unit))
    return [Table(rows, colWidths=widths, repeatRows=1, style=style)]


def _row(entry: SuggestedReading, letter_of: dict[str, str], unit: LengthUnit) -> list[Flowable | str]:
    marks = (
        "\N{EN DASH}".join(_mark(name, letter_of) for name in entry.of)
        if entry.kind not in ("camber", "toe_in")
        else ""
    )
    what = escape(what_words(entry))
    symbol = {"length": unit.symbol, "angle": "deg", "words": ""}[entry.measure]
    row: list[Flowable | str] = [
        str(entry.number),
        Paragraph(f"<b>{marks}</b> {what}" if marks else what, _TEXT),
        Paragraph(f"{escape(where_words(entry))} ({instrument_words(entry)})", _SMALL),
        symbol,
    ]
    if entry.measure == "words":
        return [*row, _blank(entry, "", _READING + _DOUBT + _REMARKS), "", ""]
    return [*row, _blank(entry, "", _READING), _blank(entry, DOUBT, _DOUBT), _blank(entry, REMARKS, _REMARKS)]


def _blank(entry: SuggestedReading, after: str, wide: float) -> _Blank:
    return _Blank(f"{entry.number}{after}", f"{entry.number}. {what_words(entry)}{after}", wide - 2 * _PADDING)


def _mark(name: str, letter_of: dict[str, str]) -> str:
    """A point's letter in the sketch, which for parts alike shows the left side."""
    return letter_of.get(name) or letter_of[name.removeprefix("left ").removeprefix("right ")]
