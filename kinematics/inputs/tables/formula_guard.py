"""Text in a cell of a table that a spreadsheet would take for a formula: an apostrophe before it keeps it text."""

import re

# What a cell begins with that a spreadsheet then works out or runs; the wide forms are those of East Asian keyboards
# (common practice, no source).
_FORMULA = re.compile("'*[=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_MARK = "'"


def guarded(cell: str) -> str:
    """Return a cell of text that no spreadsheet works out: with an apostrophe before it where it looks like a formula.

    A number stays one, with its sign. `unguarded` gives the text back.
    """
    return _MARK + cell if _FORMULA.match(cell) and not _NUMBER.fullmatch(cell) else cell


def unguarded(cell: str) -> str:
    """Return the text that `guarded` made a cell of."""
    text = cell.removeprefix(_MARK)
    return text if text != cell and guarded(text) == cell else cell
