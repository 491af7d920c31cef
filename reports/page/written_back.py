"""A text written back into the file that it was read from: with the mark and the line ends that its editor gave it."""

import re
from pathlib import Path

from reports.outputs.safe_write import write_content

_MARK = "\N{ZERO WIDTH NO-BREAK SPACE}"  # before the text, as some editors write it: the byte order mark
_BARE_END = re.compile(r"(?<!\r)\n")


def write_back(path: Path, text: str) -> str:
    """Write a file anew; where it is there, it begins with a byte order mark if it did, and its lines end as they did.

    Lines that ended both ways stay as the text has them. What is returned is the text as it is then read.
    """
    before = path.read_bytes().decode("utf-8", "replace") if path.exists() else ""
    if "\n" in before and not _BARE_END.search(before):
        text = _BARE_END.sub("\r\n", text)
    write_content(path, (_MARK if before.startswith(_MARK) else "") + text, replace=True)
    return text
