"""Faults of an input, told to the person who wrote it: which key, what was read, what is allowed."""

import difflib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

_MOST = 60  # faults that are told before the rest are counted
_LONGEST = 60  # characters of a value that are shown


@dataclass(frozen=True)
class Fault:
    """One fault: the key it is at ("" for the whole file) and what is wrong, read and allowed."""

    key: str
    message: str

    def __str__(self) -> str:
        """Key and message in one line."""
        return f"{self.key}: {self.message}" if self.key else self.message


class InputFaultError(Exception):
    """An input that cannot be used. source: the file or option; faults: everything found wrong with it."""

    def __init__(self, source: str, faults: Sequence[Fault]) -> None:
        self.source = source
        self.faults = tuple(faults)
        count = "1 fault" if len(self.faults) == 1 else f"{len(self.faults)} faults"
        told = [f"  {fault}" for fault in self.faults[:_MOST]]
        if len(self.faults) > _MOST:
            told.append(f"  and {len(self.faults) - _MOST} more")
        super().__init__("\n".join([f"{source}: {count}", *told]))


def shown(value: object) -> str:
    """Return what was read much as its owner wrote it, cut short where long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(shown(item) for item in value[:4])}{', ...' if len(value) > 4 else ''}]"
    text = json.dumps(value, ensure_ascii=False) if isinstance(value, str) else str(value)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."


def did_you_mean(written: str, known: Iterable[str]) -> str:
    """Return a hint at the known key closest to what was written, or else at all that are known."""
    names = list(known)
    close = difflib.get_close_matches(written, names, n=1)
    return f"; did you mean {close[0]}?" if close else f"; allowed: {', '.join(names)}"
