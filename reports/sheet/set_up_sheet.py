"""The set-up sheet: one printable page with boxes to tick, numbers to set, and blanks for what was measured after."""

from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from kinematics.setting.set_up import Entry, SetUp
from reports.cautions import CAUTION
from reports.sheet.names import DOUBT
from reports.sheet.paper import (
    CELLS,
    HEADING,
    JACK,
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
from reports.sheet.set_up_names import NOTE, set_up_keywords
from reports.sheet.sketch import BOLD
from reports.tagged.flowables import ruled, told
from reports.tagged.parts import Part, marked
from reports.words.plans import changes_words
from reports.words.set_up import (
    CROSS_MEANING,
    CROSS_NEAR,
    cross_words,
    keys_for_turns,
    number_words,
    row_words,
    steps_of,
    tolerance_words,
    unit_words,
    usual_doubt_words,
    what_words,
)

_BOX = 3.2 * mm
_TICK = 6 * mm  # width of the column of boxes
# Widths of the table's columns but for the first, which takes the rest.
_UNIT, _NEAR, _NUMBER, _SET, _READ, _DOUBT = 9 * mm, 14 * mm, 7 * mm, 16 * mm, 21 * mm, 16 * mm
_STEP = ParagraphStyle("step", TEXT, fontSize=8.2, leading=9.8)
_PLANNED = ParagraphStyle("planned", TEXT, fontName=BOLD, alignment=2)


class _TickBox(Flowable):
    """An empty box to tick by pen."""

    def __init__(self) -> None:
        super().__init__()
        self.width = self.height = _BOX

    def draw(self) -> None:
        with marked(self.canv, None):
            self.canv.setLineWidth(0.8)
            self.canv.rect(0, 0, _BOX, _BOX)


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
    return printed(
        lambda width, whole: [
            *_head(planned, width, whole),
            *_steps(planned, width, whole),
            *_numbers(planned, width, whole),
        ],
        paper,
        about,
    )


def _head(planned: SetUp, width: float, whole: Part) -> list[Flowable]:
    unit, plan = planned.car.unit, planned.plan
    changes = changes_words(plan, unit)
    about = f"{planned.car.name}. {f'Plan: {changes}.' if changes else ''}{f' ({plan.why})' if plan.why else ''}"
    on_paper = " This car file was made on paper: measure the car first." if planned.car.on_paper else ""
    return [
        told(escape(f"Set-up sheet: {plan.name}"), TITLE, whole.add("H1")),
        told(escape(f"{about}{on_paper}"), TEXT, whole.add("P")),
        Spacer(1, 3),
        owner(width, whole, planned.car.name),
        Spacer(1, 4),
        boxed(told(escape(f"{CAUTION} {JACK}"), SMALL, whole.add("P")), width),
    ]


def _steps(planned: SetUp, width: float, whole: Part) -> list[Flowable]:
    """Headings, and under each its lines with boxes to tick; without numbers, which belong to the table."""
    story: list[Flowable] = []
    for part in steps_of(planned):
        heading, listed = whole.add("H2"), whole.add("L")
        rows = [[_TickBox(), told(escape(line), _STEP, listed.add("LI").add("LBody"))] for line in part.lines]
        style = [*CELLS, ("VALIGN", (0, 0), (-1, -1), "TOP"), ("TOPPADDING", (0, 0), (0, -1), 1.5 * PADDING)]
        story += [told(part.heading, HEADING, heading), ruled(rows, colWidths=[_TICK, width - _TICK], style=style)]
    keys = keys_for_turns(planned)
    return [*story, *([told(f"<i>{escape(keys)}</i>", SMALL, whole.add("P"))] if keys else [])]


def _numbers(planned: SetUp, width: float, whole: Part) -> list[Flowable]:
    """What to set and what was measured after, left and right of each axle in one row."""
    unit = planned.car.unit
    widths = [_UNIT, _NEAR, *(2 * [_NUMBER, _SET, _READ]), _DOUBT]
    titles = ["what", "unit", "within", *(f"{side} {one}".strip() for side in ("left", "right") for one in _OF_A_SIDE)]
    titles += ["\N{PLUS-MINUS SIGN} doubt"]
    heading, table = whole.add("H2"), whole.add("Table")
    heads, body = table.add("THead").add("TR"), table.add("TBody")
    rows: list[list[Any]] = [
        [told(f"<b>{title}</b>", SMALL, heads.add("TH", scope="Column"), once=True) for title in titles]
    ]
    lefts = [one for one in planned.entries if one.side == "left"]
    rights = [one for one in planned.entries if one.side == "right"]
    rows += [_row(left, right, planned, body.add("TR")) for left, right in zip(lefts, rights, strict=True)]
    style = [*CELLS, ("GRID", (0, 0), (-1, -1), LINE, black), ("BACKGROUND", (0, 0), (-1, 0), PALE)]
    style += [("BOX", (column, 1), (column, -1), 1.2, black) for column in _WRITTEN]
    lengths = "as the tape shows them, such as 13 5/8" if unit.fractions else f"in {unit.plural}"
    how = (
        f"Lengths {lengths}, from the point's centre to a level floor; angles in degrees, each wheel: camber negative "
        "where the top leans in, toe-in negative for toe-out. \N{PLUS-MINUS SIGN} doubt, of both wheels: two readings "
        f"in three lie within it; left blank it counts as {usual_doubt_words(planned)}."
    )
    perches = planned.perches
    cross = "" if perches is None else _CROSS.format(cross_words(perches.cross))
    return [
        told("Set, and measured after", HEADING, heading),
        ruled(rows, colWidths=[width - sum(widths), *widths], repeatRows=1, style=style),
        *([told(cross, SMALL, whole.add("P"))] if cross else []),
        told(escape(how), SMALL, whole.add("P")),
        Spacer(1, 3),
        _note(width, whole),
    ]


_CROSS = (
    f"<b>Cross-weight {{}}</b> {CROSS_NEAR} ({CROSS_MEANING}). What the front or one side carries in all no perch "
    "changes: only mass that is moved does."
)
_OF_A_SIDE = ("no.", "set to", "measured")
_WRITTEN = (5, 8)  # columns of what is measured


def _row(left: Entry, right: Entry, planned: SetUp, line: Part) -> list[Any]:
    unit, measure = planned.car.unit, left.measure
    row: list[Any] = [
        told(escape(row_words(left, right, unit)), SMALL, line.add("TH", scope="Row")),
        told(escape(unit_words(measure, unit)), TEXT, line.add("TD")),
        told(escape(tolerance_words(measure, unit)), TEXT, line.add("TD")),
    ]
    for one in (left, right):
        about = f"{one.number}. {one.side} {what_words(one)}"
        row += [
            told(str(one.number), TEXT, line.add("TD")),
            told(number_words(one.planned, measure, unit), _PLANNED, line.add("TD")),
            blank(line.add("TD"), str(one.number), about, _READ - 2 * PADDING),
        ]
    about = f"doubt of {left.number} and {right.number}"
    return [*row, blank(line.add("TD"), f"{left.number}{DOUBT}", about, _DOUBT - 2 * PADDING)]


def _note(width: float, whole: Part) -> Flowable:
    wide = 18 * mm
    cells = [told("Remarks", TEXT, whole.add("P")), blank(whole, NOTE, "remarks", width - wide - 2 * PADDING)]
    return ruled([cells], colWidths=[wide, width - wide], style=[*CELLS, ("BOX", (1, 0), (1, 0), LINE, black)])
