"""Words drawn as one piece each: dots as Matplotlib makes them, in a fraction of its time.

Matplotlib lays out a text twice, to measure it and to draw it, and since 3.11 draws each letter by itself. Here a text
is laid out once, its letters are drawn in one go, and the same text is not drawn anew in the same figure. It leans on
what Matplotlib keeps to itself, so it is for the releases that it was tried with alone.
"""

from math import ceil, floor
from typing import Any, NamedTuple, cast

import matplotlib
import numpy as np
from matplotlib.backend_bases import GraphicsContextBase
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg, get_hinting_flag
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.text import Text

_FINE = 64.0  # FreeType's units to a dot
_TRIED = (3, 11)


def with_light_letters(figure: Figure) -> None:
    """Have a figure's words drawn so, where this Matplotlib is one that it was tried with."""
    if matplotlib.__version_info__[:2] == _TRIED:
        LightCanvas(figure)


class _Written(NamedTuple):
    """A text in one line [dots]: width, height and depth under its foot; its dots, 0 to 255, and where they lie.

    left: where they begin, right of the foot's left end; under: how many rows lie below the foot.
    """

    size: tuple[float, float, float]
    dots: Any
    left: int
    under: int


class LightCanvas(FigureCanvasAgg):
    """One that draws a figure, which then belongs to it, so."""

    def get_renderer(self) -> RendererAgg:
        """The same one, as long as the figure keeps its size."""
        width, height = (int(side) for side in self.figure.bbox.size)
        size = width, height, self.figure.dpi
        kept = getattr(self, "renderer", None)
        if kept is None or (int(kept.width), int(kept.height), kept.dpi) != size:
            self.renderer = _Renderer(width, height, self.figure.dpi)
        return cast("RendererAgg", self.renderer)


class _Renderer(RendererAgg):
    """Writes level words from the dots that it keeps of each, and leaves all else as it is."""

    def __init__(self, width: int, height: int, dpi: float) -> None:
        super().__init__(width, height, dpi)  # type: ignore[no-untyped-call]
        self._kept: dict[tuple[str, int], _Written] = {}

    def get_text_width_height_descent(
        self, s: str, prop: FontProperties, ismath: bool | str
    ) -> tuple[float, float, float]:
        """Width, height and depth of a text [dots]."""
        if ismath:
            return super().get_text_width_height_descent(s, prop, cast("Any", ismath))  # type: ignore[no-untyped-call, no-any-return]
        return self._written(s, prop).size

    def draw_text(
        self,
        gc: GraphicsContextBase,
        x: float,
        y: float,
        s: str,
        prop: FontProperties,
        angle: float,
        ismath: Any = False,
        mtext: Text | None = None,
    ) -> None:
        """Write a text with the left end of its foot there, to the nearest dot."""
        written = self._written(s, prop) if not (angle or ismath) else None
        if written is None or not written.dots.size:
            super().draw_text(gc, x, y, s, prop, angle, ismath, mtext)  # type: ignore[no-untyped-call]
            return
        place = round(x) + written.left, round(y) + written.under
        cast("Any", self)._renderer.draw_text_image(written.dots, *place, 0, gc)

    def _written(self, words: str, prop: FontProperties) -> _Written:
        # A hash of what sets the hand: two hands of one figure differ in size, weight or family.
        key = words, hash(prop)
        if key not in self._kept:
            font = cast("Any", self)._prepare_font(prop)
            font.set_text(words, 0.0, flags=get_hinting_flag())  # type: ignore[no-untyped-call]
            width, height = font.get_width_height()
            depth = font.get_descent()
            font.draw_glyphs_to_bitmap(antialiased=True)
            dots = np.array(font.get_image())
            left, _ = font.get_bitmap_offset()
            above = int((height - depth) / _FINE + 1.0)  # rows over the foot, of which FreeType leaves the first blank
            # FreeType's copy of Matplotlib rounds the first letter's place up and the others' down, by up to a dot.
            begins = (floor if len(words) == 1 else ceil)(left / _FINE)
            size = width / _FINE, height / _FINE, depth / _FINE
            self._kept[key] = _Written(size, dots, begins, dots.shape[0] - above)
        return self._kept[key]
