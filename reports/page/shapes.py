"""What a drawing is made of: lines, outlines, circles and marks in its own plane, for the page to draw as they are."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from reports.documents.amounts import Record
from solvers.vectors import Array

_DECIMALS = 2  # of a mm; finer than any screen shows


@dataclass
class Shapes:
    """A drawing as it grows. look: what a shape is, by which the page knows how to draw it."""

    drawn: list[Record] = field(default_factory=list)
    marks: list[Record] = field(default_factory=list)

    def line(self, look: str, points: Iterable[Array]) -> None:
        """A line through points (2,) [mm]; left out where one of them is not finite."""
        self._add(look, points, closed=False)

    def outline(self, look: str, points: Iterable[Array]) -> None:
        """A closed outline."""
        self._add(look, points, closed=True)

    def _add(self, look: str, points: Iterable[Array], *, closed: bool) -> None:
        places = np.array(list(points))
        if places.size and np.isfinite(places).all():
            self.drawn.append({"look": look, "path": places.round(_DECIMALS).tolist(), "closed": closed})

    def circle(self, look: str, centre: Array, radius: float) -> None:
        """A circle."""
        self.drawn.append({"look": look, "at": centre.round(_DECIMALS).tolist(), "radius": round(radius, _DECIMALS)})

    def mark(self, look: str, at: Array, **named: str) -> None:
        """A point, left out where it is not finite. named: its words, or that by which the page knows it again."""
        if np.isfinite(at).all():
            self.marks.append({"look": look, "at": at.round(_DECIMALS).tolist(), **named})

    def record(self) -> Record:
        """All of it."""
        return {"shapes": self.drawn, "marks": self.marks}


def frame_round(points: Array, beside: float, below: float, above: float) -> Record:
    """What a drawing shows: points (P, 2) and so much more round them [mm]."""
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    ends = {"left": left - beside, "right": right + beside, "bottom": bottom - below, "top": top + above}
    return {name: round(float(end), _DECIMALS) for name, end in ends.items()}
