"""The sketch on a measuring sheet: a typical suspension to scale, from the front and from the left, points lettered."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from string import ascii_uppercase

from reportlab.lib.colors import Color, black, white
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from kinematics.car.car import SIDE_NAMES
from kinematics.car.suspension_type import CHASSIS, SuspensionType
from kinematics.survey.reading_list import point_names
from kinematics.survey.unknowns import WHEEL
from reports.tagged.parts import Part, marked

Place = tuple[float, float]
Box = tuple[float, float, float, float]  # left, bottom, right, top
Line = tuple[Place, Place]

FONT, BOLD = "Helvetica", "Helvetica-Bold"
LETTER_SIZE = 8.0  # pt
DOT = 2.2  # pt, a dot's radius

_CAPTION_SIZE = 8.0
_CAPTION = 14.0  # pt, below each view
_GAP = 24.0  # pt between the views
_TYRE_HALF_WIDTH = 95.0  # mm
_AROUND = 45.0  # mm kept free around what is drawn
_CLEAR = 1.2  # pt kept free around a letter
_REACHES = (8.0, 11.0, 15.0, 20.0, 27.0, 36.0, 48.0)  # pt from a dot to its letter
_LEAD_FROM = 11.0  # pt: from here on a thin line leads from the letter to its dot
_TURNS = tuple(
    math.radians(turn) for turn in (45, 135, 315, 225, 90, 270, 0, 180, 22, 67, 112, 157, 202, 247, 292, 337)
)
_GREY, _PALE = Color(0.45, 0.45, 0.45), Color(0.78, 0.78, 0.78)


def letters(kind: SuspensionType) -> dict[str, str]:
    """The letter of each point, by its name in readings."""
    names = [name for point in kind.points for name in point_names(point)]
    return dict(zip(names, ascii_uppercase, strict=False))


@dataclass(frozen=True)
class View:
    """One view on paper [pt]: dots, the letters beside them, and lines by their kind.

    part: the skeleton of a moving part; link; strut; axis: a pivot axis.
    """

    caption: str
    frame: Box
    dots: Mapping[str, Place]
    on_chassis: frozenset[str]
    places: Mapping[str, Place]
    lines: Sequence[tuple[str, Line]]
    ground: Line
    middle: Line | None
    tyre: Box

    def letter_box(self, name: str) -> Box:
        """The box of a point's letter, what is kept free around it included."""
        return _letter_box(self.places[name])


class Sketch(Flowable):
    """Both views side by side, in a width and at most a height [pt]; part: what it is of a document."""

    def __init__(self, kind: SuspensionType, width: float, height: float, part: Part | None = None) -> None:
        super().__init__()
        self._part = part
        self._letters = letters(kind)
        self.views = views(kind, width, height)
        self.width, self.height = width, self.views[0].frame[3]

    def draw(self) -> None:
        """Draw on the canvas that platypus has set."""
        with marked(self.canv, self._part):
            for view in self.views:
                _draw(self.canv, view, self._letters)


@cache
def views(kind: SuspensionType, width: float, height: float) -> tuple[View, View]:
    """The view from the front, where the car's left is on the right, and from the left, where its front is left."""
    at = _points(kind)
    across = {name: (place[1], place[2]) for name, place in at.items()}
    along = {name: (-place[0], place[2]) for name, place in at.items()}
    _, out, up = at[WHEEL]
    tyres = ((out - _TYRE_HALF_WIDTH, 0.0, out + _TYRE_HALF_WIDTH, 2.0 * up), (-up, 0.0, up, 2.0 * up))
    spans = [
        (min(0.0, tyre[0], *(x for x, _ in flat.values())), max(tyre[2], *(x for x, _ in flat.values())))
        for flat, tyre in zip((across, along), tyres, strict=True)
    ]
    top = max(2.0 * up, *(place[2] for place in at.values())) + _AROUND
    wide = sum(high - low + 2.0 * _AROUND for low, high in spans)
    scale = min((width - _GAP) / wide, (height - _CAPTION) / (top + 0.5 * _AROUND))
    left = 0.5 * (width - _GAP - scale * wide)
    made = []
    captions = (
        "from the front (car's left on the right)",
        "from the left (car's front on the left)",
    )
    for flat, tyre, span, caption in zip((across, along), tyres, spans, captions, strict=True):
        own = scale * (span[1] - span[0] + 2.0 * _AROUND)
        origin = (left + scale * (_AROUND - span[0]), _CAPTION + 0.5 * scale * _AROUND)
        frame = (left, _CAPTION, left + own, _CAPTION + scale * (top + 0.5 * _AROUND))
        middle = 0.0 if flat is across else None
        made.append(_view(kind, flat, (origin, scale), frame, tyre, middle, caption))
        left += own + _GAP
    return made[0], made[1]


def _points(kind: SuspensionType) -> dict[str, tuple[float, float, float]]:
    """Where each named point of the typical car lies: ahead, left, up [mm]."""
    at = {}
    for point in kind.points:
        for name in point_names(point):
            ahead, out, up = (point.other_side or point.typical) if name.startswith("right ") else point.typical
            at[name] = (ahead, -out if name.startswith("right ") else out, up)
    return at


def _view(
    kind: SuspensionType,
    flat: Mapping[str, Place],
    onto: tuple[Place, float],
    frame: Box,
    tyre: Box,
    middle: float | None,
    caption: str,
) -> View:
    (x, y), scale = onto

    def paper(place: Place) -> Place:
        return x + scale * place[0], y + scale * place[1]

    dots = {name: paper(place) for name, place in flat.items()}
    lines = [(what, (dots[one], dots[other])) for what, one, other in _joined(kind)]
    low, high = paper((tyre[0], tyre[1])), paper((tyre[2], tyre[3]))
    ground = ((frame[0], y), (frame[2], y))
    centre = None if middle is None else ((x, frame[1]), (x, frame[3]))
    places = _place_letters(dots, [line for _, line in lines] + ([centre] if centre else []) + [ground], frame)
    on_chassis = frozenset(name for point in kind.points if point.carrier == CHASSIS for name in point_names(point))
    return View(caption, frame, dots, on_chassis, places, lines, ground, centre, (*low, *high))


def _joined(kind: SuspensionType) -> Iterator[tuple[str, str, str]]:
    """What is joined by a line, by what kind of line; the skeletons first, for they lie below."""
    points = {point.key: point for point in kind.points}

    def named(*keys: str) -> Iterator[Sequence[str]]:
        if all(points[key].other_side is None for key in keys):
            yield keys
            return
        for side in SIDE_NAMES:
            yield [key if points[key].other_side is None else f"{side} {key}" for key in keys]

    for part in kind.bodies:
        on_it = [name for key in kind.points_on(part) for name in point_names(points[key])]
        pairs = [(WHEEL, name) for name in on_it if name != WHEEL] if WHEEL in on_it else combinations(on_it, 2)
        for one, other in pairs:
            yield "part", one, other
    for arm in kind.arms:
        yield "axis", arm.pivot_front, arm.pivot_rear
    for hinge in kind.hinges:
        yield "axis", hinge.first, hinge.second
    for link in kind.all_links:
        for one, other in named(*link):
            yield "link", one, other
    if kind.strut is not None:
        yield "strut", kind.strut.low, kind.strut.top_mount


def _place_letters(dots: Mapping[str, Place], lines: Sequence[Line], frame: Box) -> dict[str, Place]:
    """A place for each letter: clear of all dots and other letters, off the lines as well where that can be had."""
    taken = [(x - DOT - 1.0, y - DOT - 1.0, x + DOT + 1.0, y + DOT + 1.0) for x, y in dots.values()]
    found: dict[str, Place] = {}
    # Those in a crowd choose first.
    crowd = {
        name: sum(math.dist(place, other) < _REACHES[-2] for other in dots.values()) for name, place in dots.items()
    }
    for name in sorted(dots, key=lambda name: -crowd[name]):
        x, y = dots[name]
        best: tuple[float, Place] | None = None
        for reach in _REACHES:
            if best is not None and best[0] <= reach:
                break  # farther off costs more
            for turn in _TURNS:
                place = (x + reach * math.cos(turn), y + reach * math.sin(turn))
                box = _letter_box(place)
                within = frame[0] < box[0] and box[2] < frame[2] and frame[1] < box[1] and box[3] < frame[3]
                if not within or any(_meet(box, other) for other in taken):
                    continue
                crossed = sum(_crosses(line, box) for line in lines)
                leads_over = reach >= _LEAD_FROM and any(
                    _crosses((dots[name], place), other) for other in taken[len(dots) :]
                )
                cost = reach + 30.0 * crossed + 60.0 * leads_over
                if best is None or cost < best[0]:
                    best = (cost, place)
        # A typical car leaves room; the last resort is beside the dot.
        found[name] = best[1] if best is not None else (x + _REACHES[0], y + _REACHES[0])
        taken.append(_letter_box(found[name]))
    return found


def _letter_box(place: Place) -> Box:
    wide = 0.5 * stringWidth("M", BOLD, LETTER_SIZE) + _CLEAR
    high = 0.36 * LETTER_SIZE + _CLEAR  # half the height of capitals in this font
    return place[0] - wide, place[1] - high, place[0] + wide, place[1] + high


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _crosses(line: Line, box: Box) -> bool:
    """Whether a line meets a box: it is cut off at each of the box's sides in turn."""
    (x0, y0), (x1, y1) = line
    begin, end = 0.0, 1.0
    for start, way, low, high in ((x0, x1 - x0, box[0], box[2]), (y0, y1 - y0, box[1], box[3])):
        if way == 0.0:
            if not low < start < high:
                return False
            continue
        near, far = sorted(((low - start) / way, (high - start) / way))
        begin, end = max(begin, near), min(end, far)
    return begin < end


def _ends_at(line: Line, dot: Place) -> bool:
    return min(math.dist(end, dot) for end in line) < 2.0 * DOT


def _cut(one: Line, other: Line) -> bool:
    """Whether two lines cut each other: each has its ends on either side of the other."""

    def turn(line: Line, place: Place) -> float:
        (x0, y0), (x1, y1) = line
        return (x1 - x0) * (place[1] - y0) - (y1 - y0) * (place[0] - x0)

    return turn(one, other[0]) * turn(one, other[1]) <= 0.0 and turn(other, one[0]) * turn(other, one[1]) <= 0.0


def _draw(canvas: Canvas, view: View, letter_of: Mapping[str, str]) -> None:
    canvas.saveState()
    canvas.setLineCap(1)
    canvas.setStrokeColor(_GREY)
    canvas.setLineWidth(0.7)
    left, bottom, right, top = view.tyre
    if view.middle is None:
        canvas.ellipse(left, bottom, right, top)
    else:
        canvas.roundRect(left, bottom, right - left, top - bottom, 0.2 * (right - left))
        canvas.setDash(6, 2)
        _line(canvas, view.middle)
        canvas.setDash()
        canvas.setFillColor(_GREY)
        canvas.setFont(FONT, 6.5)
        canvas.drawString(view.middle[1][0] + 2.0, view.middle[1][1] - 6.0, "centre line")
    canvas.setStrokeColor(black)
    _line(canvas, view.ground)
    styles = {
        "part": (_PALE, 2.6, ()),
        "axis": (black, 0.6, (5, 2, 1, 2)),
        "link": (black, 1.2, ()),
        "strut": (black, 2.4, ()),
    }
    for what, line in view.lines:
        colour, thick, dash = styles[what]
        canvas.setStrokeColor(colour)
        canvas.setLineWidth(thick)
        canvas.setDash(list(dash))
        _line(canvas, line)
    canvas.setDash()
    canvas.setStrokeColor(black)
    for name, place in view.places.items():
        if math.dist(view.dots[name], place) >= _LEAD_FROM:
            canvas.setLineWidth(0.35)
            _line(canvas, (view.dots[name], place))
    canvas.setLineWidth(0.9)
    for name, (x, y) in view.dots.items():
        canvas.setFillColor(white if name in view.on_chassis else black)
        canvas.circle(x, y, DOT, stroke=1, fill=1)
    canvas.setFont(BOLD, LETTER_SIZE)
    for name, (x, y) in view.places.items():
        box = view.letter_box(name)
        canvas.setFillColor(white)
        canvas.rect(box[0] + _CLEAR, box[1], box[2] - box[0] - 2.0 * _CLEAR, box[3] - box[1], stroke=0, fill=1)
        canvas.setFillColor(black)
        canvas.drawCentredString(x, y - 0.36 * LETTER_SIZE, letter_of[name])
    canvas.setFont(FONT, _CAPTION_SIZE)
    canvas.drawCentredString(0.5 * (view.frame[0] + view.frame[2]), 3.0, view.caption)
    canvas.restoreState()


def _line(canvas: Canvas, line: Line) -> None:
    canvas.line(*line[0], *line[1])
