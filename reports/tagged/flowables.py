"""What ReportLab sets, each told as the part that it is."""

from collections.abc import Sequence
from typing import Any, cast

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Paragraph, Table

from reports.tagged.parts import Part, marked


class Told(Paragraph):
    """A paragraph that is one part, also where it goes on on the next page; heads that are set anew there are not."""

    _part: Part | None = None
    _once = False

    def split(self, *room: float) -> list[Flowable]:
        """Two of the same part."""
        halves: list[Flowable] = super().split(*room)
        for half in halves:
            if isinstance(half, Told):
                half._part = self._part
        return halves

    def draw(self) -> None:
        """Set it."""
        again = self._once and self._part is not None and bool(self._part.within)
        with marked(self.canv, None if again else self._part):
            super().draw()


def told(text: str, style: ParagraphStyle, part: Part, bullet: str | None = None, *, once: bool = False) -> Told:
    """A paragraph as a part; once: where it is set a second time, that is for the eye alone."""
    # ReportLab makes the two of a paragraph that it splits by this same name, with arguments of its own.
    made = Told(text, style, bulletText=bullet)
    made._part, made._once = part, once
    return made


def _ornament(table: Table, what: str, *_: Any) -> None:
    """ReportLab tells what of a table it draws next."""
    if what in ("startBG", "startLines"):
        table.canv.addLiteral("/Artifact BMC")
    elif what in ("endBG", "endLines"):
        table.canv.addLiteral("EMC")


def ruled(cells: Sequence[list[Any]], **look: Any) -> Table:
    """A table, or what is set as one, whose lines and grounds are for the eye alone; what its cells are they tell."""
    return Table(cells, renderCB=cast("Any", _ornament), **look)
