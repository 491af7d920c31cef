"""What stands around several drawings on one page: title and legend above, notes and whose car it is below."""

from collections.abc import Mapping, Sequence

from matplotlib.artist import Artist
from matplotlib.figure import Figure

from reports.figures.legends import LOOK, columns_in
from reports.figures.style import GREY, LINE, MARGIN, SMALL, TITLE, TITLE_LINE


def write_page(
    figure: Figure, title: Sequence[str], legend: Mapping[str, Artist], notes: Sequence[str], footer: str
) -> None:
    """Write them, in lines that fit the page already, on a figure of its size."""
    width, height = figure.get_size_inches()
    top = MARGIN + TITLE_LINE * len(title)
    figure.text(
        MARGIN / width, 1.0 - MARGIN / height, "\n".join(title), va="top", fontsize=TITLE, fontweight="bold",
        linespacing=1.25,
    )  # fmt: skip
    words = list(legend)
    figure.legend(
        list(legend.values()), words, loc="upper left", bbox_to_anchor=(MARGIN / width, 1.0 - (top + 0.04) / height),
        ncols=columns_in(words, width - 2 * MARGIN), borderaxespad=0.0, **LOOK,
    )  # fmt: skip
    low = (MARGIN + LINE) / height
    figure.text(MARGIN / width, low, "\n".join(notes), va="bottom", fontsize=SMALL, linespacing=1.25)
    figure.text(MARGIN / width, MARGIN / height, footer, va="bottom", fontsize=SMALL, color=GREY)
