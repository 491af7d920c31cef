"""Columns as a pandas table, and rows as a table of a notebook; pandas is loaded where one is asked for."""

import html
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    import pandas

Columns = Mapping[str, NDArray[Any]]
_MOST_ROWS = 60  # of a table in a notebook


def as_table(columns: Columns, index: Columns) -> "pandas.DataFrame":
    """Columns (N,) as a table with such an index; ImportError says how to go on if pandas is not there."""
    try:
        import pandas
    except ImportError as missing:
        raise ImportError(
            "a table needs pandas (pip install 'cornersweep[tables]'); `columns()` works without"
        ) from missing
    if not index:
        return pandas.DataFrame(dict(columns))
    if len(index) == 1:
        ((name, values),) = index.items()
        return pandas.DataFrame(dict(columns), index=pandas.Index(values, name=name))
    levels = pandas.MultiIndex.from_arrays(list(index.values()), names=list(index))
    return pandas.DataFrame(dict(columns), index=levels)


def in_columns(rows: Iterable[Mapping[str, Any]]) -> dict[str, NDArray[Any]]:
    """Rows with the same keys as columns (N,); None becomes not a number among numbers, else stays empty text."""
    listed = list(rows)
    return {name: _column([row[name] for row in listed]) for name in (listed[0] if listed else ())}


def _column(cells: list[Any]) -> NDArray[Any]:
    empty = "" if any(isinstance(cell, str) for cell in cells) else np.nan
    return np.array([empty if cell is None else cell for cell in cells])


def as_html(caption: str, head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A caption and a table, of which a notebook shows the first rows."""
    shown = list(rows)
    body = "".join(_row(row, "td") for row in shown[:_MOST_ROWS])
    more = f"<p>and {len(shown) - _MOST_ROWS} more rows</p>" if len(shown) > _MOST_ROWS else ""
    return f"<p>{html.escape(caption)}</p><table>{_row(head, 'th')}{body}</table>{more}"


def _row(cells: Sequence[object], tag: str) -> str:
    return f"<tr>{''.join(f'<{tag}>{html.escape(_told(cell))}</{tag}>' for cell in cells)}</tr>"


def _told(cell: object) -> str:
    if isinstance(cell, float | np.floating):
        return f"{cell:.4g}" if np.isfinite(cell) else ""
    return str(cell)
