"""Front views of several plans, each over a pale ghost of the car as measured, all to one scale on one sheet of A4."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from matplotlib.artist import Artist
from matplotlib.figure import Figure

from kinematics.car.car import Axle
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import ROLL_CENTRE, Limit
from kinematics.numbers.stance import Stance
from reports.figures.front_view import draw_front_view
from reports.figures.front_view_geometry import front_view_of
from reports.figures.front_view_look import ARM_ANGLES, front_view_legend, roll_centre_words
from reports.figures.legends import legend_height
from reports.figures.page_words import write_page
from reports.figures.style import (
    CHARACTER,
    LINE,
    MARGIN,
    TEXT,
    TITLE_LINE,
    WIDTH,
    Sheet,
    paper,
    title_lines,
)
from reports.words.wrapped import wrapped

_PAGES = ((WIDTH, 10.6), (10.6, WIDTH))  # in: A4 upright and on its side, less its margins
_LEFT, _GAP = 0.5, 0.12  # in beside each drawing: tick labels, and what parts it from the next
_OVER, _UNDER = 0.1, 0.28  # in over and under each drawing: besides its title, tick labels
_TITLE_LINE = 0.17  # in, of a drawing's title
_NAME_CHARACTER = 0.083  # in, a character's width in it
_FOOT = MARGIN + 3 * LINE + 0.05


def front_views(
    views: Sequence[tuple[str, Stance]],
    unit: LengthUnit,
    sheet: Sheet,
    limits: Sequence[Limit] = (),
    *,
    upright: bool = False,
) -> Figure:
    """Draw the first position of each labelled stance over that of the first, the car as measured.

    The car's left side is on the right of each drawing; the allowed roll-centre height is shaded. As many drawings
    stand beside each other as leaves them largest; upright: on a page that is not turned.
    """
    geometry = [front_view_of(stance) for _, stance in views]
    # One frame for all: what differs between plans then shows as a difference on paper.
    left, right = min(one.frame[0] for one in geometry), max(one.frame[1] for one in geometry)
    bottom, top = min(one.frame[2] for one in geometry), max(one.frame[3] for one in geometry)
    framed = [replace(view, frame=(left, right, bottom, top)) for view in geometry]
    heights = [limit for limit in limits if limit.key == ROLL_CENTRE.key]
    names, axle = [name for name, _ in views], views[0][1].states.axle
    with paper():
        legend = front_view_legend(framed[0], unit, heights, plans=len(views) > 1)
        ghost, shown = (framed[0], framed[1:]) if len(views) > 1 else (None, framed)
        titles = [
            f"{name}: {roll_centre_words(view, unit)[0]}"
            for name, view in zip(names[-len(shown) :], shown, strict=True)
        ]
        layout = _layout(
            titles, (top - bottom) / (right - left), sheet.title, list(legend), _PAGES[:1] if upright else _PAGES
        )
        figure = _page(layout, legend, sheet, axle, unit)
        for place, (title, view) in enumerate(zip(titles, shown, strict=True)):
            axes = figure.add_axes(layout.place(place))
            draw_front_view(axes, view, unit, heights, ghost=ghost, brief=True)
            lines = "\n".join(_lines(title, layout.wide))
            axes.set_title(lines, loc="left", fontsize=TEXT, fontweight="bold", linespacing=1.15)
    return figure


@dataclass(frozen=True)
class _Layout:
    """Where drawings of a size stand on a page [in]."""

    columns: int
    rows: int
    wide: float
    tall: float
    title: tuple[str, ...]
    legend: float
    over: float

    @property
    def across(self) -> float:
        """What the drawings need."""
        return MARGIN + self.columns * (_LEFT + self.wide + _GAP)

    @property
    def width(self) -> float:
        return max(self.across, WIDTH)

    @property
    def head(self) -> float:
        return MARGIN + TITLE_LINE * len(self.title) + self.legend + 0.08

    @property
    def height(self) -> float:
        return self.head + self.rows * (self.over + self.tall + _UNDER) + _FOOT

    def place(self, index: int) -> tuple[float, float, float, float]:
        """Left, bottom, width and height of a drawing, in parts of the page."""
        row, column = divmod(index, self.columns)
        # Drawings that are narrower than the words above them stand in the middle of the page.
        x = MARGIN + 0.5 * (self.width - self.across) + column * (_LEFT + self.wide + _GAP) + _LEFT
        y = self.height - self.head - row * (self.over + self.tall + _UNDER) - self.over - self.tall
        return x / self.width, y / self.height, self.wide / self.width, self.tall / self.height


def _lines(title: str, wide: float) -> list[str]:
    """A drawing's title in lines that fit a width [in]."""
    return wrapped(title, int((wide + _LEFT) / _NAME_CHARACTER))


def _layout(
    titles: Sequence[str], aspect: float, title: str, legend: Sequence[str], pages: Sequence[tuple[float, float]]
) -> _Layout:
    """The arrangement in which drawings of an aspect, height over width, are largest, each under its title."""
    tried = []
    count = len(titles)
    for page in pages:
        lines = tuple(title_lines(title, page[0] - 2 * MARGIN))
        above = legend_height(legend, page[0] - 2 * MARGIN)
        for columns in (1, 2):
            rows = -(-count // columns)
            head = MARGIN + TITLE_LINE * len(lines) + above + 0.08
            wide = (page[0] - MARGIN) / columns - _LEFT - _GAP
            over = 0.0
            for _ in range(3):
                # A narrower drawing has a title of more lines, which leave it less.
                over = max(over, _OVER + _TITLE_LINE * max(len(_lines(one, wide)) for one in titles))
                tall = (page[1] - head - _FOOT) / rows - over - _UNDER
                wide = min(wide, tall / aspect)
            # The page is cut to the drawings, and title and legend to the page.
            width = _Layout(columns, rows, wide, wide * aspect, lines, above, over).width - 2 * MARGIN
            cut = tuple(title_lines(title, width))
            tried.append(_Layout(columns, rows, wide, wide * aspect, cut, legend_height(legend, width), over))
    # Upright comes first where both do as well.
    return max(tried, key=lambda one: round(one.wide, 2))


def _page(layout: _Layout, legend: Mapping[str, Artist], sheet: Sheet, axle: Axle, unit: LengthUnit) -> Figure:
    width, height = layout.width, layout.height
    figure = Figure(figsize=(width, height))
    note = f"Seen from the front, to scale, heights and sideways distances [{unit.symbol}]."
    note += f" {ARM_ANGLES}" if axle.suspension.arms else ""
    notes = wrapped(note, int((width - 2 * MARGIN) / CHARACTER))
    write_page(figure, layout.title, legend, notes, sheet.footer(axle))
    return figure
