"""A figure in words, for whoever cannot see it: its title, and what it shows, out of what is written in it."""

from collections.abc import Iterator
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text


@dataclass(frozen=True)
class Described:
    """title: what the figure tells first. text: its axes, its curves and its notes."""

    title: str
    text: str


def described(figure: Figure) -> Described:
    """Find the words of a figure; its title is what is written largest."""
    written = sorted((one for one in figure.texts if _words(one)), key=lambda one: -float(one.get_fontsize()))
    title = _words(written[0]) if written else ""
    notes = [_words(one) for one in figure.texts if one not in written[:1] and _words(one)]
    parts = [*_legend(figure), *(part for axes in figure.axes for part in _axes(axes)), *notes]
    return Described(title, " ".join(f"{part.rstrip('.')}." for part in dict.fromkeys(parts)))


def _axes(axes: Axes) -> Iterator[str]:
    up, along = axes.get_ylabel(), axes.get_xlabel()
    if up or along:
        yield _joined(" over ".join(filter(None, (up, along))))
    if axes.get_title():
        yield _joined(axes.get_title())
    yield from _legend(axes)


def _legend(of: Figure | Axes) -> Iterator[str]:
    legends = of.legends if isinstance(of, Figure) else [of.get_legend()]
    for legend in legends:
        words = [_words(one) for one in legend.get_texts()] if legend is not None else []
        if any(words):
            yield f"Shown: {'; '.join(filter(None, words))}"


def _words(text: Text) -> str:
    return _joined(text.get_text())


def _joined(text: str) -> str:
    return " ".join(text.split())
