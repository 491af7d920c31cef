"""The set-up sheet: one printable page with boxes to tick, numbers to set, and blanks for what was measured after."""

import io
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape

from pypdf import PdfReader
from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from kinematics.setting.set_up import Entry, SetUp
from reports.cautions import CAUTION
from reports.sheet.names import DOUBT
from reports.sheet.paper import (
    BLANK_HEIGHT,
    CELLS,
    HEADING,
    LINE,
    PADDING,
    PALE,
    SMALL,
    TEXT,
    TITLE,
    Paper,
    Properties,
    blank,
    boxed,
    owner,
    printed,
)
from reports.sheet.set_up_names import MECHANIC, NOTE, set_up_keywords
from reports.sheet.sketch import BOLD
from reports.tagged.flowables import ruled, told
from reports.tagged.parts import Part, marked
from reports.words.plans import changes_words
from reports.words.set_up import CROSS_MEANING, CROSS_NEAR, Steps, cross_words, outside_words, steps_of
from reports.words.set_up_numbers import (
    TOES,
    number_words,
    row_words,
    tolerance_words,
    usual_doubt_words,
    was_words,
    what_words,
)
from reports.words.suspicious import disagreement_words

_TICK = 6 * mm  # width of the column of boxes
# Widths of the table's columns but for the first, which takes the rest.
_WAS, _NEAR, _NUMBER, _SET, _READ, _DOUBT = 16 * mm, 15 * mm, 6.5 * mm, 15 * mm, 20.5 * mm, 14 * mm


@dataclass(frozen=True)
class _Look:
    """Type and room of steps and table.

    box: to tick; apart: above and below a step; around: above and below a row; blank: its height [pt].
    """

    title: ParagraphStyle
    heading: ParagraphStyle
    step: ParagraphStyle
    small: ParagraphStyle
    box: float
    apart: float
    around: float
    blank: float


_ROOMY = _Look(
    TITLE,
    HEADING,
    ParagraphStyle("step", TEXT, fontSize=8.2, leading=9.8),
    SMALL,
    box=3.2 * mm,
    apart=0.8,
    around=PADDING,
    blank=BLANK_HEIGHT,
)
_CLOSE = _Look(
    ParagraphStyle("close title", TITLE, fontSize=13, leading=16),
    ParagraphStyle("close heading", HEADING, fontSize=9, leading=11, spaceBefore=2.5, spaceAfter=0),
    ParagraphStyle("close step", TEXT, fontSize=7.8, leading=9.1),
    ParagraphStyle("close small", SMALL, fontSize=7.2, leading=8),
    box=2.9 * mm,
    apart=0.7,
    around=0.7,
    blank=5.8 * mm,
)
_TIGHT = _Look(
    ParagraphStyle("tight title", TITLE, fontSize=12, leading=14),
    ParagraphStyle("tight heading", HEADING, fontSize=8.5, leading=9.8, spaceBefore=1.5, spaceAfter=0),
    ParagraphStyle("tight step", TEXT, fontSize=7.3, leading=8.3),
    ParagraphStyle("tight small", SMALL, fontSize=7, leading=7.6),
    box=2.6 * mm,
    apart=0.5,
    around=0.2,
    blank=5.3 * mm,
)
_PLANNED = ParagraphStyle("planned", TEXT, fontName=BOLD, alignment=2)


class _TickBox(Flowable):
    """An empty box to tick by pen."""

    def __init__(self, size: float) -> None:
        super().__init__()
        self.width = self.height = size

    def draw(self) -> None:
        with marked(self.canv, None):
            self.canv.setLineWidth(0.8)
            self.canv.rect(0, 0, self.width, self.height)


def set_up_sheet(planned: SetUp, cross: float | None, paper: Paper) -> bytes:
    """Return the sheet for a set-up as PDF; the same bytes every time.

    Blanks are form fields: "12" for the reading of number 12, "11 doubt" for a row whose left number is 11. cross: the
    cross-weight asked for in per cent, None for as it comes.
    """
    unit = planned.car.unit
    about = Properties(
        title=f"Set-up sheet: {planned.car.name}, {planned.plan.name}",
        subject=f"What to fit, turn and measure for one plan, in {unit.symbol}",
        keywords=set_up_keywords(planned, cross),
        foot=f"cornersweep set-up sheet: {planned.plan.name}, {unit.symbol}"[:90],
    )

    def laid_out(look: _Look) -> bytes:
        return printed(
            lambda width, whole: [
                *_head(planned, look, width, whole),
                *_steps(planned, look, width, whole),
                *_numbers(planned, look, width, whole),
            ],
            paper,
            about,
        )

    # The roomiest that fits one page; where none does, the roomiest of all.
    every = (laid_out(look) for look in (_ROOMY, _CLOSE, _TIGHT))
    return next((one for one in every if _pages(one) == 1), None) or laid_out(_ROOMY)


def _pages(content: bytes) -> int:
    return len(PdfReader(io.BytesIO(content)).pages)


def _head(planned: SetUp, look: _Look, width: float, whole: Part) -> list[Flowable]:
    unit, plan = planned.car.unit, planned.plan
    changes, outside = changes_words(plan, unit), outside_words(planned)
    about = f"{planned.car.name}. {f'Plan: {changes}.' if changes else ''}{f' ({plan.why})' if plan.why else ''}"
    on_paper = " This car file was made on paper: measure the car first." if planned.car.on_paper else ""
    return [
        told(escape(f"Set-up sheet: {plan.name}"), look.title, whole.add("H1")),
        told(escape(f"{about}{on_paper}"), TEXT, whole.add("P")),
        *([told(f"<b>{escape(outside)}</b>", look.step, whole.add("P"))] if outside else []),
        *(told(f"<b>{escape(text)}</b>", look.step, whole.add("P")) for text in disagreement_words(planned.car)),
        Spacer(1, 3),
        owner(width, whole, planned.car.name),
        Spacer(1, 4),
        boxed(told(escape(CAUTION), SMALL, whole.add("P")), width),
    ]


def _steps(planned: SetUp, look: _Look, width: float, whole: Part) -> list[Flowable]:
    """Headings, and under each its lines with boxes to tick; short lines two abreast, read across."""
    story: list[Flowable] = []
    for part in steps_of(planned):
        heading = whole.add("H2")
        story.append(told(part.heading, look.heading, heading))
        if part.lines:
            story.append(_boxes(part, look, width, whole.add("L")))
    return story


def _boxes(part: Steps, look: _Look, width: float, listed: Part) -> Flowable:
    abreast = 2 if part.short else 1
    cells: list[Any] = []
    for line in part.lines:
        cells += [_TickBox(look.box), told(escape(line), look.step, listed.add("LI").add("LBody"))]
    cells += [""] * (-len(cells) % (2 * abreast))
    rows = [cells[at : at + 2 * abreast] for at in range(0, len(cells), 2 * abreast)]
    style = [*CELLS, ("VALIGN", (0, 0), (-1, -1), "TOP")]
    style += [("TOPPADDING", (0, 0), (-1, -1), look.apart), ("BOTTOMPADDING", (0, 0), (-1, -1), look.apart)]
    style += [("TOPPADDING", (column, 0), (column, -1), 1.5 * look.apart) for column in range(0, 2 * abreast, 2)]
    return ruled(rows, colWidths=abreast * [_TICK, width / abreast - _TICK], style=style)


def _numbers(planned: SetUp, look: _Look, width: float, whole: Part) -> list[Flowable]:
    """What to set and what was measured after, left and right of each axle in one row."""
    widths = [_WAS, _NEAR, *(2 * [_NUMBER, _SET, _READ]), _DOUBT]
    titles = ["what", "was", "within", *(one.format(side) for side in ("left", "right") for one in _OF_A_SIDE)]
    titles += ["\N{PLUS-MINUS SIGN} doubt"]
    heading, how = whole.add("H2"), whole.add("P")
    table = whole.add("Table")
    heads, body = table.add("THead").add("TR"), table.add("TBody")
    rows: list[list[Any]] = [
        [told(f"<b>{title}</b>", look.small, heads.add("TH", scope="Column"), once=True) for title in titles]
    ]
    lefts = [one for one in planned.entries if one.side == "left"]
    rights = [one for one in planned.entries if one.side == "right"]
    rows += [_row(left, right, planned, look, body.add("TR")) for left, right in zip(lefts, rights, strict=True)]
    style = [*CELLS, ("GRID", (0, 0), (-1, -1), LINE, black), ("BACKGROUND", (0, 0), (-1, 0), PALE)]
    style += [("BOX", (column, 1), (column, -1), 1.2, black) for column in _WRITTEN]
    style += [(f"{end}PADDING", (0, 0), (-1, -1), look.around) for end in ("TOP", "BOTTOM")]
    perches = planned.perches
    cross = "" if perches is None else _CROSS.format(cross_words(perches.cross))
    return [
        told("Set, and measured after", look.heading, heading),
        told(escape(_how(planned)), look.small, how),
        Spacer(1, 2),
        ruled(rows, colWidths=[width - sum(widths), *widths], repeatRows=1, style=style),
        *([told(cross, look.small, whole.add("P"))] if cross else []),
        *([told(_BACK, look.small, whole.add("P"))] if planned.plan.changes or planned.plan.targets else []),
        Spacer(1, 3),
        _signed(look, width, whole),
    ]


def _how(planned: SetUp) -> str:
    """Where from, which way is positive, and what a doubt is: before the numbers, for whoever reads them."""
    unit = planned.car.unit
    lengths = "as the tape shows them, such as 13 5/8" if unit.fractions else f"in {unit.plural}"
    over = "; toe may also be written as a length over the tyre's diameter, its unit behind it"
    toes = f", toe-in negative for toe-out{over}" if any(one.measure in TOES for one in planned.entries) else ""
    return (
        f"Heights {lengths}, from the point's centre to a level floor; degrees, each wheel: camber negative where the "
        f"top leans in{toes}. \N{PLUS-MINUS SIGN} doubt, of both wheels: two readings in three lie within it; left "
        f"blank: {usual_doubt_words(planned)}."
    )


_BACK = (
    "<b>The way back:</b> take out what was fitted, turn adjusters and perches back as far as they were turned, and "
    "set all to the numbers under “was”."
)
_CROSS = (
    f"<b>Cross-weight {{}}</b> {CROSS_NEAR} ({CROSS_MEANING}). Perches do not change what "
    "the front axle or one side carries in all: only moving mass does."
)
_OF_A_SIDE = ("no.", "{} goal", "{} measured")
_WRITTEN = (5, 8)  # columns of what is measured


def _row(left: Entry, right: Entry, planned: SetUp, look: _Look, line: Part) -> list[Any]:
    unit, measure = planned.car.unit, left.measure
    row: list[Any] = [
        told(escape(row_words(left, right, planned)), look.small, line.add("TH", scope="Row")),
        told(escape(was_words(left, right, unit)), look.small, line.add("TD")),
        told(escape(tolerance_words(measure, unit)), look.small, line.add("TD")),
    ]
    for one in (left, right):
        about = f"{one.number}. {one.side} {what_words(one, planned)}"
        row += [
            told(str(one.number), TEXT, line.add("TD")),
            told(number_words(one.planned, measure, unit), _PLANNED, line.add("TD")),
            blank(line.add("TD"), str(one.number), about, _READ - 2 * PADDING, height=look.blank),
        ]
    about = f"doubt of {left.number} and {right.number}"
    return [*row, blank(line.add("TD"), f"{left.number}{DOUBT}", about, _DOUBT - 2 * PADDING, height=look.blank)]


def _signed(look: _Look, width: float, whole: Part) -> Flowable:
    """Remarks, and the name of the mechanic who looked at it."""
    cells: list[Flowable] = []
    widths: list[float] = []
    for label, name, part in (("Remarks", NOTE, 0.5), ("Mechanic: name, date", MECHANIC, 0.5)):
        wide = 16 * mm if name == NOTE else 32 * mm
        own = part * width - wide
        cells += [
            told(label, TEXT, whole.add("P")),
            blank(whole, name, label.lower(), own - 2 * PADDING, height=look.blank),
        ]
        widths += [wide, own]
    boxes = [("BOX", (column, 0), (column, 0), LINE, black) for column in (1, 3)]
    return ruled([cells], colWidths=widths, style=[*CELLS, *boxes])
