"""Legends above their axes, in as many lines as their words need, so that layouts can be planned before drawing."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes

from reports.figures.style import CHARACTER, SMALL

ENTRY = 0.155  # in, height of one line of a legend
_HANDLE = 0.52  # in, what an entry takes besides its words
_GAP = 0.05  # in, between legend and axes

LOOK: dict[str, Any] = {
    "fontsize": SMALL,
    "borderpad": 0.0,
    "handlelength": 2.6,
    "handletextpad": 0.5,
    "columnspacing": 1.4,
    "labelspacing": 0.35,
}


def columns_in(words: Sequence[str], width: float) -> int:
    """How many columns of entries fit a width [in]; columns are filled one after the other."""
    for count in range(len(words), 1, -1):
        if sum(max(map(_width, column)) for column in _split(words, count)) <= width:
            return count
    return 1


def legend_height(words: Sequence[str], width: float) -> float:
    """Height [in] of a legend of these words in a width [in]; none without words."""
    if not words:
        return 0.0
    columns = _split(words, columns_in(words, width))
    return ENTRY * max(sum(one.count("\n") + 1 for one in column) for column in columns) + _GAP


def legend_above(axes: Axes, entries: Mapping[str, Artist], width: float, height: float) -> None:
    """Write a legend, words to marks, just above axes of a width and height [in]."""
    axes.legend(
        list(entries.values()), list(entries), loc="lower left", bbox_to_anchor=(0.0, 1.0 + _GAP / height),
        ncols=columns_in(list(entries), width), borderaxespad=0.0, **LOOK,
    )  # fmt: skip


def _split(words: Sequence[str], count: int) -> list[list[str]]:
    return [[words[i] for i in part] for part in np.array_split(np.arange(len(words)), count)]


def _width(words: str) -> float:
    return max(map(len, words.split("\n"))) * CHARACTER + _HANDLE
