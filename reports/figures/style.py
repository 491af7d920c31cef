"""How figures look on paper: colours and lines, sizes, numbers, and the words around a figure."""

import re
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from kinematics.car.car import Axle
from kinematics.car.lengths import LengthUnit
from kinematics.car.limits import Limit
from kinematics.numbers.quantity import Dimension
from kinematics.numbers.registry import QUANTITIES
from reports.words.wrapped import evenly_wrapped, wrapped
from solvers.vectors import Array

# Colours that colour-blind people tell apart and that stay apart in grey: M. Okabe, K. Ito, "Color Universal
# Design", 2008. Values as in Matplotlib's "okabe_ito" sequence (seen in source).
BLACK, ORANGE, SKY, GREEN = "#000000", "#E69F00", "#56B4E9", "#009E73"
BLUE, VERMILION, PURPLE = "#0072B2", "#D55E00", "#CC79A7"
GREY, PALE_GREY, PALE_GREEN, PALE_BLUE = "#707070", "#EFEFEF", "#D9F0E8", "#CFE6F5"

SOLID, DASHED, DOTTED = "-", (0, (5, 2)), (0, (1, 1.4))

Style = dict[str, Any]  # keywords of a Matplotlib line

WIDTH = 7.2  # in; fits the width of A4 between 13 mm margins at full size
MARGIN = 0.14  # in
TITLE, TEXT, SMALL = 11.0, 9.0, 8.0  # pt

LINE = 0.15  # in, one line of small text
TITLE_LINE = 0.21
CHARACTER = 0.06  # in, a small character's width with some to spare
TITLE_CHARACTER = 0.1

_SETTINGS = {
    "font.family": ["sans-serif"],
    # These come with Matplotlib, so figures are the same everywhere; the others have what the first lacks.
    "font.sans-serif": ["DejaVu Sans", "DejaVu Serif", "DejaVu Sans Mono", "STIXGeneral"],
    "font.size": TEXT,
    "text.hinting": "none",  # at 150 dots to the inch letters look as well, and are sooner drawn
    "text.usetex": False,
    "text.parse_math": False,  # names in the car file may contain "$"
    "axes.labelsize": TEXT,
    "axes.titlesize": TEXT,
    "axes.grid": True,
    "axes.axisbelow": True,
    "axes.linewidth": 0.8,
    "axes.spines.top": True,
    "axes.spines.right": True,
    "axes.facecolor": "white",
    "axes.edgecolor": "black",
    "axes.unicode_minus": True,
    "axes.formatter.useoffset": False,
    "axes.xmargin": 0.0,
    "axes.ymargin": 0.0,
    "figure.facecolor": "white",
    "figure.dpi": 150.0,
    "grid.color": "#D5D5D5",
    "grid.linewidth": 0.6,
    "grid.linestyle": "-",
    "lines.linewidth": 1.6,
    "lines.markersize": 4.5,
    "lines.dashed_pattern": (5.0, 2.0),
    "legend.fontsize": SMALL,
    "legend.frameon": False,
    "savefig.bbox": None,
    "savefig.dpi": "figure",
    "savefig.facecolor": "auto",
    "svg.fonttype": "none",  # letters, which can be searched, read aloud and set in another hand
    "pdf.fonttype": 42,  # TrueType, embedded: shapes alone (Type 3) are not searched everywhere
    "svg.hashsalt": "cornersweep",  # the same drawing gives the same file
    "xtick.labelsize": SMALL,
    "ytick.labelsize": SMALL,
    "xtick.direction": "out",
    "ytick.direction": "out",
}


@contextmanager
def paper() -> Iterator[None]:
    """Settings in which figures are built, and best also saved, whatever the user's own Matplotlib settings are.

    Of a letter that none of the fonts has, its box is drawn, without a warning: the owner knows what he called his car.
    """
    with matplotlib.rc_context(_SETTINGS), warnings.catch_warnings():  # type: ignore[arg-type]
        warnings.filterwarnings("ignore", message="Glyph .* missing from", category=UserWarning)
        warnings.filterwarnings("ignore", message="Matplotlib currently does not support", category=UserWarning)
        yield


@dataclass(frozen=True)
class Sheet:
    """What is written around a figure: its title and the car's name."""

    title: str
    car: str

    def footer(self, axle: Axle | None) -> str:
        """The line at the foot: whose axle this is, or whose car."""
        if axle is None:
            return self.car
        return ", ".join(part for part in (self.car, f"{axle.name} axle", axle.suspension.name) if part)


@dataclass
class Column:
    """A figure filled from the top: title, then rows of stated height, then notes and footer. Inches.

    footed: whether its foot says whose axle, or car, this is; not where the page says it.
    """

    sheet: Sheet
    axle: Axle
    rows: Sequence[float]
    notes: Sequence[str] = ()
    whole_car: bool = False
    footed: bool = True
    figure: Figure = field(init=False)

    def __post_init__(self) -> None:
        title = title_lines(self.sheet.title)
        notes = note_lines(self.notes)
        footer = note_lines([self.sheet.footer(None if self.whole_car else self.axle)] if self.footed else [])
        head = MARGIN + TITLE_LINE * len(title)
        foot = LINE * (len(notes) + len(footer)) + (0.08 if notes else 0.0) + MARGIN
        self._height = head + sum(self.rows) + foot
        self._top = head
        self.figure = Figure(figsize=(WIDTH, self._height))
        self._write(MARGIN, MARGIN, "\n".join(title), fontsize=TITLE, fontweight="bold")
        if notes:
            self._write(MARGIN, self._height - foot, "\n".join(notes), fontsize=SMALL)
        below = self._height - MARGIN - LINE * len(footer)
        if footer:
            self._write(MARGIN, below + 0.03, "\n".join(footer), fontsize=SMALL, color=GREY)

    def _write(self, left: float, top: float, text: str, **font: object) -> None:
        self.figure.text(left / WIDTH, 1.0 - top / self._height, text, va="top", linespacing=1.25, **font)  # type: ignore[arg-type]

    def top(self, row: int, down: float = 0.0) -> float:
        """Figure coordinate of a row's upper edge, or so many inches below it."""
        return 1.0 - (self._top + sum(self.rows[:row]) + down) / self._height

    def axes(self, row: int, head: float, height: float, left: float, right: float = MARGIN) -> Axes:
        """Axes in a row, `head` below its upper edge, between the margins left and right."""
        bottom = self.top(row, head + height)
        return self.figure.add_axes((left / WIDTH, bottom, (WIDTH - left - right) / WIDTH, height / self._height))


def title_lines(title: str, width: float = WIDTH - 2 * MARGIN) -> list[str]:
    """Lines of a title in a width [in]."""
    return evenly_wrapped(with_minus(title), int(width / TITLE_CHARACTER))


def note_lines(notes: Sequence[str]) -> list[str]:
    """Lines of small text that fit the figure's width."""
    return [line for note in notes for line in wrapped(note, int((WIDTH - 2 * MARGIN) / CHARACTER))]


def span(values: Array) -> tuple[float, float]:
    """Ends of an axis over all that is finite; a single value still needs an axis to stand on."""
    known = values[np.isfinite(values)]
    low, high = float(known.min()), float(known.max())
    return (low, high) if low < high else (low - 1.0, high + 1.0)


def number(value: float, kind: Dimension, unit: LengthUnit, *, sign: bool = False) -> str:
    """A value in mm or radians as written on paper, in degrees or the user's unit, with the symbol."""
    symbol = kind.unit(unit)
    scaled = value * kind.scale(unit)
    decimals = kind.decimals(unit)
    if kind is Dimension.LENGTH and abs(value) >= 1000.0:
        decimals -= 1
    # Adding zero turns a rounded "-0.0" into "0.0".
    text = f"{round(scaled, decimals) + 0.0:{'+' if sign else ''}.{decimals}f}"
    if float(text) == 0.0:
        text = text.lstrip("+")
    return f"{text} {symbol}".strip().replace("-", "\N{MINUS SIGN}")


def with_minus(text: str) -> str:
    """A text with the minus sign of the axes before its numbers; hyphens in words and names stay."""
    return re.sub(r"(?<= )-(?=\d)", "\N{MINUS SIGN}", text)


def allowed(limit: Limit, unit: LengthUnit) -> str:
    """A limit's range in words."""
    kind = QUANTITIES[limit.key].dimension
    low, high = (number(value, kind, unit) if abs(value) < 1e300 else "" for value in (limit.low, limit.high))
    if low and high:
        return f"allowed {low.split()[0]} to {high}"
    return f"allowed up to {high}" if high else f"allowed {low} or more"
