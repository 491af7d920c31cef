"""The measuring sheet: a printable PDF for the garage floor whose blanks can be filled in by pen or on a tablet."""

from itertools import groupby
from xml.sax.saxutils import escape

from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from kinematics.car.lengths import LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.survey.reading_list import SuggestedReading, reading_list
from reports.cautions import CAUTION
from reports.sheet.names import DOUBT, REMARKS, keywords
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
    Blank,
    Paper,
    Properties,
    blank,
    boxed,
    owner,
    printed,
)
from reports.sheet.sketch import FONT, Sketch, letters
from reports.tagged.flowables import ruled, told
from reports.tagged.parts import Part
from reports.words.reading_list import group_words, instrument_words, point_words, what_words, where_words

_SKETCH_HEIGHT = 66 * mm
# Widths of the table's columns but for `where`, which takes the rest.
_NUMBER, _WHAT, _UNIT, _READING, _DOUBT, _REMARKS = 8 * mm, 43 * mm, 9 * mm, 25 * mm, 16 * mm, 27 * mm

_LISTED = ParagraphStyle("listed", TEXT, leftIndent=11, bulletFontName=FONT, bulletFontSize=8.5, spaceAfter=1.5)

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


def measuring_sheet(kind: SuspensionType, unit: LengthUnit, axle: str, paper: Paper) -> bytes:
    """Return the sheet for one axle of a type as PDF; the same bytes every time.

    Blanks are form fields: "12" for the reading of number 12, "12 doubt", "12 remarks". ValueError for a type whose
    owner lists the points.
    """
    about = Properties(
        title=f"Measuring sheet: {kind.name}, {axle} axle",
        subject=f"What to measure of this suspension on the garage floor, in {unit.symbol}",
        keywords=keywords(kind, unit, axle),
        foot=f"cornersweep measuring sheet: {kind.name}, {axle} axle, {unit.symbol}",
    )
    return printed(
        lambda width, whole: [*_front(kind, unit, axle, width, whole), *_readings(kind, unit, width, whole)],
        paper,
        about,
    )


def _front(kind: SuspensionType, unit: LengthUnit, axle: str, width: float, whole: Part) -> list[Flowable]:
    """The first page's upper part: whose car, safety, how to set up, and the sketch."""
    lengths = "millimetres (mm)" if unit.symbol == "mm" else "inches (in), also as the tape shows them (13 5/8)"
    doubts = "2 mm for a tape, 1.5 mm for a rule" if unit.symbol == "mm" else "0.08 in for a tape, 0.06 in for a rule"
    columns = (
        f"Lengths in {lengths}, angles in degrees. <b>\N{PLUS-MINUS SIGN} doubt</b> (known_to): two readings in three "
        "lie within it; if that is the worst you would ever be off, write half of it. Left blank, it counts as "
        f"{doubts}, 0.2 degrees for a level."
    )
    story: list[Flowable] = [
        told(escape(f"Measuring sheet: {kind.name}, {axle} axle"), TITLE, whole.add("H1")),
        owner(width, whole),
        Spacer(1, 5),
        boxed(told(escape(f"{CAUTION} {JACK}"), TEXT, whole.add("P")), width),
        told("How to set up", HEADING, whole.add("H2")),
        *_listed(whole.add("L")),
        told(f"<b>Instruments:</b> {_INSTRUMENTS}.", TEXT, whole.add("P")),
        Spacer(1, 2),
        told(columns, TEXT, whole.add("P")),
        told("The points (a typical car, to scale; yours differs)", HEADING, whole.add("H2")),
        Sketch(kind, width, _SKETCH_HEIGHT, whole.add("Figure", f"From the front and from the left: {kind.name}")),
        told(_legend(kind), TEXT, whole.add("P")),
        Spacer(1, 6),
    ]
    return story


def _listed(steps: Part) -> list[Flowable]:
    return [
        told(step, _LISTED, steps.add("LI").add("LBody"), f"{number}.") for number, step in enumerate(_STEPS, start=1)
    ]


def _legend(kind: SuspensionType) -> str:
    """Which letter is which point, and how the sketch is drawn."""
    points = ", ".join(f"<b>{letter}</b> {escape(point_words(name))}" for name, letter in letters(kind).items())
    drawn = "filled dots move with the wheel, open dots are on the chassis; grey: moving parts"
    return f"{points}. <i>In the sketch {drawn}.</i>"


def _readings(kind: SuspensionType, unit: LengthUnit, width: float, whole: Part) -> list[Flowable]:
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
    table = whole.add("Table")
    heads, body = table.add("THead").add("TR"), table.add("TBody")
    rows: list[list[Flowable | str]] = [
        [told(f"<b>{title}</b>", SMALL, heads.add("TH", scope="Column"), once=True) for title in titles]
    ]
    style = [*CELLS, ("GRID", (0, 0), (-1, -1), LINE, black), ("BACKGROUND", (0, 0), (-1, 0), PALE)]
    letter_of = letters(kind)
    for _, group in groupby(reading_list(kind), key=lambda entry: entry.group):
        entries = list(group)
        at = len(rows)
        head = body.add("TR").add("TH", scope="Row", columns=len(titles))
        rows.append([told(f"<b>{escape(group_words(entries[0]))}</b>", TEXT, head)])
        style += [
            ("SPAN", (0, at), (-1, at)),
            ("BACKGROUND", (0, at), (-1, at), PALE),
            ("NOSPLIT", (0, at), (0, at + 1)),
        ]
        for entry in entries:
            if entry.measure == "words":
                style.append(("SPAN", (4, len(rows)), (-1, len(rows))))
            rows.append(_row(entry, letter_of, unit, body.add("TR")))
    return [ruled(rows, colWidths=widths, repeatRows=1, style=style)]


def _row(entry: SuggestedReading, letter_of: dict[str, str], unit: LengthUnit, line: Part) -> list[Flowable | str]:
    marks = (
        "\N{EN DASH}".join(_mark(name, letter_of) for name in entry.of)
        if entry.kind not in ("camber", "toe_in")
        else ""
    )
    what = escape(what_words(entry))
    symbol = {"length": unit.symbol, "angle": "deg", "words": ""}[entry.measure]
    row: list[Flowable | str] = [
        told(str(entry.number), TEXT, line.add("TD")),
        told(f"<b>{marks}</b> {what}" if marks else what, TEXT, line.add("TH", scope="Row")),
        told(f"{escape(where_words(entry))} ({instrument_words(entry)})", SMALL, line.add("TD")),
        told(symbol, TEXT, line.add("TD")),
    ]
    if entry.measure == "words":
        return [*row, _blank(entry, "", _READING + _DOUBT + _REMARKS, line.add("TD", columns=3)), "", ""]
    wides = {"": _READING, DOUBT: _DOUBT, REMARKS: _REMARKS}
    return [*row, *(_blank(entry, after, wide, line.add("TD")) for after, wide in wides.items())]


def _blank(entry: SuggestedReading, after: str, wide: float, cell: Part) -> Blank:
    return blank(cell, f"{entry.number}{after}", f"{entry.number}. {what_words(entry)}{after}", wide - 2 * PADDING)


def _mark(name: str, letter_of: dict[str, str]) -> str:
    """A point's letter in the sketch, which for parts alike shows the left side."""
    return letter_of.get(name) or letter_of[name.removeprefix("left ").removeprefix("right ")]
